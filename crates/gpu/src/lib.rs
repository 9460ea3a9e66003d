//! Plans as WGSL text and bytes, and the device that runs them.
