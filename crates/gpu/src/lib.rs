//! Plans as WGSL text and bytes ([`assemble`]), and the device that runs them ([`device`]).
//!
//! `assemble` knows no wgpu; it can be tested and read without an adapter.

pub mod assemble;
pub mod device;
