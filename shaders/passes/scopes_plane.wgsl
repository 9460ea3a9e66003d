//!use passes/scopes.wgsl

// Cells of a plane of colours, too many to hold: a workgroup holds those that it meets first, which are those that most of its
// pixels fall into. Places in held memory repeat over the plane, so that neighbouring cells never want the same one. A place is
// two words: the cell that has it, plus one, and its count.

struct Plane {
    base: u32,
    columns: u32,
    // Where what is not a number is counted, and what is dark.
    apart: u32,
    dark: u32,
    // Where its places begin in held memory; the one after the last is for what is counted apart.
    held_from: u32,
    places: u32,
    // Bits of a column that choose a place, and the mask of rows.
    column_bits: u32,
    row_mask: u32,
}

struct Cell {
    // In the grids.
    at: u32,
    // In held memory.
    place: u32,
}

struct CellRun {
    cell: Cell,
    count: u32,
}

fn plane_cell(plane: Plane, column: u32, row: u32) -> Cell {
    if column == NOT_A_NUMBER || row == NOT_A_NUMBER {
        return plane_apart(plane, plane.apart);
    }
    let place = ((row & plane.row_mask) << plane.column_bits) | (column & ((1u << plane.column_bits) - 1u));
    return Cell(plane.base + row * plane.columns + column, plane.held_from + 2u * place);
}

fn plane_apart(plane: Plane, at: u32) -> Cell {
    return Cell(at, plane.held_from + 2u * plane.places);
}

fn end_cell_run(run: CellRun) {
    if run.count == 0u {
        return;
    }
    let owner = run.cell.at + 1u;
    var had = atomicLoad(&held[run.cell.place]);
    if had == 0u {
        let exchange = atomicCompareExchangeWeak(&held[run.cell.place], 0u, owner);
        had = select(exchange.old_value, owner, exchange.exchanged);
    }
    if had == owner {
        atomicAdd(&held[run.cell.place + 1u], run.count);
    } else {
        atomicAdd(&counts[run.cell.at], run.count);
    }
}

fn go_on_in_plane(run: CellRun, cell: Cell) -> CellRun {
    if cell.at == run.cell.at {
        return CellRun(cell, run.count + 1u);
    }
    end_cell_run(run);
    return CellRun(cell, 1u);
}

fn give_plane(thread: u32, threads: u32, plane: Plane) {
    for (var place = thread; place <= plane.places; place += threads) {
        let at = plane.held_from + 2u * place;
        let owner = atomicLoad(&held[at]);
        if owner != 0u {
            atomicAdd(&counts[owner - 1u], atomicLoad(&held[at + 1u]));
        }
    }
}
