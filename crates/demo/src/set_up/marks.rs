//! The marks that every set-up has: those of the grey card and of the chart.

use super::{Mark, MarkKind};
use crate::body::{Card, Chart};
use crate::space::Vec3;
use crate::trace::Shape;

/// The names of the chart's patches.
const PATCHES: [&str; 24] = [
    "patch 01", "patch 02", "patch 03", "patch 04", "patch 05", "patch 06", "patch 07", "patch 08", "patch 09",
    "patch 10", "patch 11", "patch 12", "patch 13", "patch 14", "patch 15", "patch 16", "patch 17", "patch 18",
    "patch 19", "patch 20", "patch 21", "patch 22", "patch 23", "patch 24",
];
/// The names of the dark greys at the card's foot.
const DARKS: [&str; 3] = ["dark grey, 4 stops under", "dark grey, 5 stops under", "dark grey, 6 stops under"];

/// The grey of a card by this name.
pub(super) fn grey(name: &'static str, card: &Card) -> Mark {
    Mark { name, place: card.face(), half: Card::FACE_HALF, kind: MarkKind::Card }
}

/// The dark greys at a card's foot.
pub(super) fn darks(card: &Card) -> Vec<Mark> {
    let half = [Card::DARK_HALF; 2];
    let mark =
        |(at, &name): (usize, &&'static str)| Mark { name, place: card.dark(at), half, kind: MarkKind::DarkGrey };
    DARKS.iter().enumerate().map(mark).collect()
}

/// The 24 patches.
pub(super) fn patches(chart: &Chart) -> Vec<Mark> {
    let half = [Chart::PATCH_HALF; 2];
    let mark =
        |(at, &name): (usize, &&'static str)| Mark { name, place: chart.patch(at), half, kind: MarkKind::Patch(at) };
    PATCHES.iter().enumerate().map(mark).collect()
}

/// A square of so many metres to each side of a point of a surface.
pub(super) fn square(name: &'static str, place: Vec3, half: f64, kind: MarkKind) -> Mark {
    Mark { name, place, half: [half, half], kind }
}

/// The first place of a body on the way from a point, at moment 0: for marks on bodies that name none of their own.
pub(super) fn met(body: &dyn Shape, from: Vec3, towards: Vec3) -> Vec3 {
    let (towards, mut at) = (towards.unit(), from);
    for _ in 0..200 {
        at = at + towards * body.distance(at, 0.0);
    }
    at
}
