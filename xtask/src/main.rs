//! Set-up and chores.
fn main() {}
