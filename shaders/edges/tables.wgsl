// Curves that are tables, one after the other.

@group(0) @binding(1) var<storage, read> tables: array<f32>;
