//!use edges/tables.wgsl

// A one-dimensional table of rising pairs, straight between neighbours and beyond both ends.

struct Table {
    start: u32,
    length: u32,
}

// The table holds `length` inputs, then `length` outputs.
fn table_lookup(p: Table, value: f32) -> f32 {
    var low = 0u;
    var high = p.length - 1u;
    while high - low > 1u {
        let middle = (low + high) / 2u;
        if tables[p.start + middle] <= value {
            low = middle;
        } else {
            high = middle;
        }
    }
    let x0 = tables[p.start + low];
    let x1 = tables[p.start + high];
    let y0 = tables[p.start + p.length + low];
    let y1 = tables[p.start + p.length + high];
    return y0 + (value - x0) * ((y1 - y0) / (x1 - x0));
}

fn table_curve(p: Table, value: vec3f) -> vec3f {
    return vec3f(table_lookup(p, value.x), table_lookup(p, value.y), table_lookup(p, value.z));
}
