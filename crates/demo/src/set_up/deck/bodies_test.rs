//! The ship's own bodies: boxes that hold them, and distances that never promise more room than there is.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::boat::{Boat, Davit};
use super::cowl::Cowl;
use super::guard::Guard;
use super::house::{Door, Porthole};
use super::rail::Rail;
use super::stores::{Cask, Crate};
use super::tail::Tail;
use super::wall_lamp::WallLamp;
use crate::space::{Place, v3};
use crate::trace::trials::{Bodies, boxes_hold, shares, steps_do_not_leap};

static BODIES: LazyLock<Bodies> = LazyLock::new(|| {
    let at = v3(0.3, 0.1, -0.2);
    vec![
        ("boat", Box::new(Boat { middle: at })),
        ("davit", Box::new(Davit { foot: at })),
        ("cowl", Box::new(Cowl { foot: at, high: 1.9 })),
        ("guard", Box::new(Guard { from: at, wide: 1.5, sag: 0.14 })),
        ("door", Box::new(Door { foot: at })),
        ("porthole", Box::new(Porthole { middle: at, level: 1.0 })),
        ("rail", Box::new(Rail { athwart: false, at: 0.4, span: [-2.0, 1.0] })),
        ("rail athwart", Box::new(Rail { athwart: true, at: 0.4, span: [-2.0, 1.0] })),
        ("cask", Box::new(Cask { at })),
        ("crate", Box::new(Crate { place: Place::at(at).facing(0.3), size: v3(0.36, 0.8, 0.24), seed: 5 })),
        ("tail", Box::new(Tail { from: at, long: 0.25, swing: 0.07 })),
        ("lamp", Box::new(WallLamp { root: at, halo: [0.5, 0.02] })),
    ]
});

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn steps_by_the_distance_never_leap_into_a_body(from in shares(), to in shares(), seconds in 0.0..2.0_f64) {
        // Two millimetres are less than a pixel where the ship is seen.
        steps_do_not_leap(&BODIES, [from, to], seconds, 2e-3)?;
    }

    #[test]
    fn boxes_hold_their_bodies(at in [0.0..1.0, 0.0..1.0], seconds in 0.0..2.0_f64) {
        boxes_hold(&BODIES, at, seconds)?;
    }
}
