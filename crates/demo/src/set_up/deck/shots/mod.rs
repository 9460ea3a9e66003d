//! The shots: where the camera, the crew and the stores are.

mod coiling;
mod late;
mod wide;

pub(super) use coiling::coiling;
pub(super) use late::late;
pub(super) use wide::wide;

use crate::body::{Card, Chart, Head};
use crate::set_up::MarkKind::Skin;
use crate::set_up::{Mark, marks};
use crate::space::{Place, Vec3, v3};
use crate::trace::Shape;

/// Half the width of a mark on a cheek, in metres.
const CHEEK_HALF: f64 = 0.007;

/// The first place of a body that is met from its front, `across` and `up` in the axes of its place.
fn front(body: &dyn Shape, place: Place, across: f64, up: f64) -> Vec3 {
    let from = place.outward(v3(across, up, 0.6));
    marks::met(body, from, place.outward(v3(across, up, 0.0)) - from)
}

/// The marks of card and chart, and of both faces; `key` is the side of each face that the key is on.
fn usual(card: &Card, chart: &Chart, mate: (&Head, f64), cook: (&Head, f64)) -> Vec<Mark> {
    let mut all = vec![marks::grey("grey card", card)];
    all.extend(marks::darks(card));
    all.extend(marks::patches(chart));
    for (name, (head, side)) in [
        ("mate, key side", mate),
        ("mate, fill side", (mate.0, -mate.1)),
        ("cook, key side", cook),
        ("cook, fill side", (cook.0, -cook.1)),
    ] {
        all.push(marks::square(name, head.cheek(side), CHEEK_HALF, Skin));
    }
    all
}
