//! The harness: what the suites under tests/ share.

pub mod cases;
pub mod edits;
pub mod frames;
pub mod gpu;
pub mod outside;
pub mod picture;
pub mod pixels;
pub mod plain;
pub mod program;
pub mod random;
pub mod saver;
pub mod shared;
pub mod table;
pub mod tolerance;
pub mod written;
