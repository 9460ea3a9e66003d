//!use passes/scopes.wgsl

// A waveform: a workgroup holds all levels of a few columns.

struct Waveform {
    @align(16) axis: Axis,
    @align(16) base: u32,
    // Where what is not a number is counted, a plane each.
    apart: u32,
    // Where its counts begin in held memory; `DIRECT` if they are not held.
    held_from: u32,
    planes: u32,
    @align(16) weights: vec3f,
    @align(16) code_weights: vec3u,
}

// The columns of a workgroup.
struct Columns {
    // Columns of the grid, over the columns of the region.
    columns: u32,
    region: u32,
    // Columns of the grid a workgroup, rows of the picture a workgroup, rows a thread.
    group: u32,
    band: u32,
    walk: u32,
}

fn waveform_luma(p: Waveform, rgb: vec3f) -> f32 {
    return p.weights.x * rgb.x + p.weights.y * rgb.y + p.weights.z * rgb.z;
}

fn waveform_code_luma(p: Waveform, code: vec3i) -> i32 {
    let rgb = vec3u(code);
    return i32((p.code_weights.x * rgb.x + p.code_weights.y * rgb.y + p.code_weights.z * rgb.z + 32768u) >> 16u);
}

fn waveform_at(p: Waveform, over: Columns, plane: u32, slot: u32, column: u32) -> u32 {
    if slot == NOT_A_NUMBER {
        return DIRECT | (p.apart + plane);
    }
    let row = plane * (p.axis.bins + 2u) + slot;
    if p.held_from == DIRECT {
        return DIRECT | (p.base + row * over.columns + column);
    }
    return p.held_from + row * over.group + column % over.group;
}

fn give_waveform(thread: u32, threads: u32, p: Waveform, over: Columns, first: u32) {
    if p.held_from != DIRECT {
        let length = p.planes * (p.axis.bins + 2u) * over.group;
        give_held(thread, threads, p.held_from, length, p.base + first, over.group, over.columns);
    }
}

// The first column of the region that counts in a column of the grid.
fn region_column(over: Columns, column: u32) -> u32 {
    return (column * over.region + over.columns - 1u) / over.columns;
}
