//!use passes/scopes.wgsl

// A histogram: a workgroup holds all of it.

struct Histogram {
    @align(16) axis: Axis,
    @align(16) base: u32,
    // Where what is not a number is counted, a channel each.
    apart: u32,
    // Where its counts begin in held memory; `DIRECT` if they are not held.
    held_from: u32,
}

fn histogram_at(p: Histogram, channel: u32, slot: u32) -> u32 {
    if slot == NOT_A_NUMBER {
        return DIRECT | (p.apart + channel);
    }
    let cell = channel * (p.axis.bins + 2u) + slot;
    return select(p.held_from + cell, DIRECT | (p.base + cell), p.held_from == DIRECT);
}

fn give_histogram(thread: u32, threads: u32, p: Histogram) {
    if p.held_from != DIRECT {
        give_held(thread, threads, p.held_from, 3u * (p.axis.bins + 2u), p.base, 1u, 1u);
    }
}
