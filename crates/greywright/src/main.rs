//! The greywright binary.
fn main() {}
