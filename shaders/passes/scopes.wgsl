// Counting pixels into the cells of scopes: what both kernels share.
//
// Many pixels fall into few cells, and additions to one cell wait for each other. So a thread first adds up pixels that follow
// each other down a column and fall into the same cell (a run); a workgroup then counts in its own memory, and adds to the
// grids once, at its end.

@group(0) @binding(3) var<storage, read_write> counts: array<atomic<u32>>;

// 16 KiB, which every device has; emptied by the kernel itself.
const HELD_WORDS: u32 = 4096u;
var<workgroup> held: array<atomic<u32>, 4096>;

// The slot of what is not a number.
const NOT_A_NUMBER: u32 = 0xffffffffu;
// Set in the place of a count that goes to the grids at once.
const DIRECT: u32 = 0x80000000u;

// The part of the region that lies in the pixels at hand.
struct Piece {
    // Pixels a row of what is at hand.
    stride: u32,
    // The first pixel of the part.
    left: u32,
    top: u32,
    width: u32,
    height: u32,
    // Column of the region in which the part begins.
    column: u32,
}

// As `measure::scopes::Axis`: slot 0 lies below the bins, slot `bins + 1` above.
struct Axis {
    scale: f32,
    offset: f32,
    bins: u32,
    first_code: i32,
    codes: u32,
}

// By its bits: a compiler may take it that no float is not a number.
fn is_not_a_number(value: f32) -> bool {
    return (bitcast<u32>(value) & 0x7fffffffu) > 0x7f800000u;
}

fn slot_of(axis: Axis, value: f32) -> u32 {
    let position = value * axis.scale + axis.offset;
    if is_not_a_number(value) || is_not_a_number(position) {
        return NOT_A_NUMBER;
    }
    return u32(i32(clamp(floor(position), -1.0, f32(axis.bins))) + 1);
}

// On an axis in stops; light of zero or less lies below every stop.
fn slot_of_light(axis: Axis, light: f32) -> u32 {
    if is_not_a_number(light) {
        return NOT_A_NUMBER;
    }
    if light <= 0.0 {
        return 0u;
    }
    return slot_of(axis, log2(light));
}

// Codes below and above the axis count as the one before its first and the one after its last. Where a shift divides, it does;
// else a product with the reciprocal, which is the same for every pixel, put right by one at the most.
fn slot_of_code(axis: Axis, code: i32) -> u32 {
    let from_first = clamp(code - axis.first_code, -1, i32(axis.codes));
    let doubled = 2u * axis.codes;
    if (doubled & (doubled - 1u)) == 0u && axis.bins < min(doubled, 16384u) {
        return u32((((2 * from_first + 1) * i32(axis.bins)) >> firstTrailingBit(doubled)) + 1);
    }
    if from_first < 0 {
        return 0u;
    }
    if from_first == i32(axis.codes) {
        return axis.bins + 1u;
    }
    let wanted = (2u * u32(from_first) + 1u) * axis.bins;
    let near = u32(f32(wanted) * (1.0 / f32(doubled)));
    let below = near - select(0u, 1u, near * doubled > wanted);
    return below + select(1u, 2u, wanted - below * doubled >= doubled);
}

// Sixteen bits a count: no workgroup sees more pixels.
fn add_to_held(at: u32, count: u32) {
    atomicAdd(&held[at >> 1u], count << ((at & 1u) * 16u));
}

// Pixels of one cell, one after the other: a place in held memory, or one in the grids with `DIRECT`.
struct Run {
    at: u32,
    count: u32,
}

fn end_run(run: Run) {
    if run.count == 0u {
        return;
    }
    if run.at >= DIRECT {
        atomicAdd(&counts[run.at - DIRECT], run.count);
    } else {
        add_to_held(run.at, run.count);
    }
}

fn go_on(run: Run, at: u32) -> Run {
    if at == run.at {
        return Run(at, run.count + 1u);
    }
    end_run(run);
    return Run(at, 1u);
}

fn empty_held(thread: u32, threads: u32) {
    for (var word = thread; word < HELD_WORDS; word += threads) {
        atomicStore(&held[word], 0u);
    }
}

// Adds held counts from `start` on to the grid at `base`: rows of `group` columns there, of `columns` in the grid.
fn give_held(thread: u32, threads: u32, start: u32, length: u32, base: u32, group: u32, columns: u32) {
    for (var cell = thread; cell < length; cell += threads) {
        let at = start + cell;
        let count = (atomicLoad(&held[at >> 1u]) >> ((at & 1u) * 16u)) & 0xffffu;
        if count != 0u {
            atomicAdd(&counts[base + cell / group * columns + cell % group], count);
        }
    }
}
