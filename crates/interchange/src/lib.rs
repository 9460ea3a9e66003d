//! Files that carry corrections to other tools and back: text in, text out, no folders.

pub mod cube;
