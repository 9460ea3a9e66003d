//! The wall behind everything and the bench before it.

use super::look::Look;
use crate::geometry::{Point, at, mix, smooth, uneven};
use crate::material::{CREAM, CREAM_SHADE, DECK_PAINT, DECK_SHADE, OAK, OAK_DARK, SAGE, SAGE_SHADE};

/// Where the wall ends and the bench begins.
pub const BENCH_TOP: f64 = 6.72;
/// Where the bench's upper face ends and its front begins.
const BENCH_EDGE: f64 = 7.36;

/// What a wall is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wall {
    /// Riveted steel plates under deck paint.
    Plates,
    /// Upright boards under cream paint.
    Boards,
    /// Framed panels under sage paint.
    Panels,
}

impl Wall {
    /// The surface of the wall at a point.
    pub fn look(self, p: Point) -> Look {
        match self {
            Self::Plates => plates(p),
            Self::Boards => boards(p),
            Self::Panels => panels(p),
        }
    }
}

/// Paint is never quite even: slow stains and a fine tooth.
fn stain(seed: u64, p: Point) -> f64 {
    let slow = uneven(seed, at(p.x * 0.7, p.y * 0.5));
    let middle = uneven(seed + 1, at(p.x * 3.1, p.y * 1.7));
    let fine = uneven(seed + 2, at(p.x * 19.0, p.y * 17.0));
    0.5 * slow + 0.3 * middle + 0.2 * fine
}

/// Offset from the nearest of lines that repeat every `pitch`.
fn from_line(value: f64, pitch: f64) -> f64 {
    value - (value / pitch).round() * pitch
}

fn plates(p: Point) -> Look {
    const PITCH: f64 = 4.2;
    let across = from_line(p.x - 1.55, PITCH);
    let down = from_line(p.y - 3.15, 30.0);
    let paint = |open: f64| Look::of(DECK_PAINT).mixed(DECK_SHADE, smooth(0.25, 0.85, stain(11, p))).open(open);
    // Two rows of rivets along the upright seam, one along the level one.
    let along = from_line(p.y - 0.24, 0.48);
    let beside = across.abs() - 0.16;
    let below = down.abs() - 0.14;
    let level = from_line(p.x - 0.12, 0.48);
    for rivet in [at(beside * across.signum(), along), at(level, below * down.signum())] {
        let distance = rivet.length() / 0.055;
        if distance < 1.0 {
            return paint(1.0)
                .facing([rivet.x / 0.055 * 0.8, rivet.y / 0.055 * 0.8, (1.0 - 0.64 * distance * distance).sqrt()])
                .glossy(0.10, 40.0);
        }
        if distance < 1.6 {
            return paint(mix(0.72, 1.0, smooth(1.0, 1.6, distance)));
        }
    }
    let seam = across.abs().min(down.abs());
    if seam < 0.03 {
        return paint(0.55 + 12.0 * seam);
    }
    let ripple = uneven(15, at(p.x * 0.9, p.y * 0.8)) - 0.5;
    paint(1.0).facing([0.10 * ripple, 0.06 * ripple, 1.0]).glossy(0.02, 8.0)
}

fn boards(p: Point) -> Look {
    const PITCH: f64 = 0.78;
    let board = (p.x / PITCH + 0.5).floor();
    let across = from_line(p.x - PITCH / 2.0, PITCH);
    let tint = 0.35 * uneven(21, at(board * 7.3, 0.5));
    let grain = uneven(22, at(p.x * 9.0 + board * 3.0, p.y * 0.6));
    let paint = Look::of(CREAM).mixed(CREAM_SHADE, tint + 0.3 * grain + 0.35 * smooth(0.5, 0.9, stain(23, p)));
    let depth = across.abs();
    if depth < 0.016 {
        return paint.open(0.35);
    }
    if depth < 0.055 {
        return paint.facing([-across.signum() * 0.6, 0.0, 1.0]).open(0.9);
    }
    paint.glossy(0.02, 10.0)
}

fn panels(p: Point) -> Look {
    const WIDE: f64 = 4.0;
    let across = (from_line(p.x - 2.0, WIDE).abs() - 1.72, (p.y - 3.0).abs() - 2.55);
    // Distance outwards from the panel's edge, and the side that it is nearest to.
    let (edge, sideways) = if across.0 > across.1 { (across.0, true) } else { (across.1, false) };
    let paint = Look::of(SAGE).mixed(SAGE_SHADE, smooth(0.3, 0.9, stain(31, p)));
    if edge.abs() < 0.10 {
        // A half-round moulding.
        let side = edge / 0.10;
        let outwards = if sideways { from_line(p.x - 2.0, WIDE).signum() } else { (p.y - 3.0).signum() };
        let tilt = side * 0.75 * outwards;
        let normal = if sideways { [tilt, 0.0, 0.66] } else { [0.0, tilt, 0.66] };
        return paint.facing(normal).glossy(0.06, 20.0);
    }
    let corner = mix(0.8, 1.0, smooth(0.10, 0.22, edge.abs()));
    paint.open(corner).glossy(0.02, 8.0)
}

/// The bench: planks seen from a little above, and their front.
pub fn bench(p: Point) -> Look {
    if p.y < BENCH_EDGE {
        // Foreshortened: what is far is narrow.
        let far = (p.y - BENCH_TOP) / (BENCH_EDGE - BENCH_TOP);
        let across = 1.0 / (1.6 - far);
        let along = (p.x - 8.0) / (0.85 + 0.15 * far);
        let wood = grain(41, along, across * 9.0);
        return wood.facing([0.0, -0.72, 0.69]).glossy(0.10, 6.0);
    }
    if p.y < BENCH_EDGE + 0.09 {
        let side = (p.y - BENCH_EDGE) / 0.09;
        return grain(42, p.x, 0.0).facing([0.0, mix(-0.7, 0.1, side), 0.7]).glossy(0.25, 30.0);
    }
    grain(43, p.x, p.y * 6.0).open(mix(0.35, 0.62, smooth(BENCH_EDGE + 0.09, BENCH_EDGE + 0.4, p.y)))
}

fn grain(seed: u64, along: f64, across: f64) -> Look {
    let bend = 0.8 * uneven(seed, at(along * 0.5, across * 0.4));
    let lines = uneven(seed + 5, at(along * 0.35, (across + bend) * 4.0));
    let pores = uneven(seed + 6, at(along * 3.0, across * 14.0));
    Look::of(OAK).mixed(OAK_DARK, 0.75 * smooth(0.3, 0.8, lines) + 0.25 * smooth(0.5, 0.9, pores))
}
