//! What the tracer relies on, tried on every body that stands still: boxes that hold them, and distances that never promise more room than
//! there is.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::material::{CREAM, CREAM_SHADE};
use crate::space::{Bounds, Place, v3};
use crate::trace::trials::{Bodies, boxes_hold, shares, steps_do_not_leap};

static BODIES: LazyLock<Bodies> = LazyLock::new(bodies);

fn bodies() -> Bodies {
    let place = Place::at(v3(0.2, 0.9, -0.1)).facing(0.35);
    let top = Bounds { least: v3(-0.5, -0.04, -0.3), most: v3(0.5, 0.0, 0.3) };
    let wall = Bounds { least: v3(-0.6, -0.6, -0.04), most: v3(0.6, 0.6, 0.04) };
    vec![
        ("card", Box::new(Card::standing(place))),
        ("chart", Box::new(Chart::standing(place))),
        ("chest", Box::new(Chest::standing(place, v3(0.3, 0.18, 0.2), WARM_WOOD))),
        ("cord", Box::new(Cord::lying(place))),
        ("clock", Box::new(Gauge::clock(place, 0.09, 4.8))),
        ("gauge", Box::new(Gauge::pressure(place, 0.06))),
        ("herbs", Box::new(Herbs::standing(place))),
        ("jug", Box::new(Jug::standing(place))),
        ("mug", Box::new(Mug::standing(place))),
        ("pan", Box::new(Pan::hanging(place))),
        ("roll", Box::new(Roll::lying(place))),
        ("trap", Box::new(Trap::standing(place))),
        ("slab", Box::new(Slab::new(top, 0.004, CREAM))),
        ("planks", Box::new(Planks::new(top, 0.12))),
        ("deck", Box::new(Planks::new(top, 0.1).along_z().of(PINE_WOOD))),
        ("boards", Box::new(Boards::new(wall, 0.11, CREAM, CREAM_SHADE))),
        ("plates", Box::new(Plates::new(wall, [0.5, 0.4], CREAM, CREAM_SHADE))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn steps_by_the_distance_never_leap_into_a_body(from in shares(), to in shares()) {
        // A millimetre is less than a pixel of any shot.
        steps_do_not_leap(&BODIES, [from, to], 0.0, 1e-3)?;
    }

    #[test]
    fn boxes_hold_their_bodies(at in [0.0..1.0, 0.0..1.0]) {
        boxes_hold(&BODIES, at, 0.0)?;
    }
}
