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
use crate::space::{Bounds, Place, Vec3, v3};
use crate::trace::Shape;

static BODIES: LazyLock<Vec<(&'static str, Box<dyn Shape>)>> = LazyLock::new(|| {
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

/// A point of a box by shares of its extent.
fn within(bounds: &Bounds, share: [f64; 3]) -> Vec3 {
    let at = v3(2.0 * share[0] - 1.0, 2.0 * share[1] - 1.0, 2.0 * share[2] - 1.0);
    bounds.centre() + bounds.half().times(at)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn steps_by_the_distance_never_leap_into_a_body(
        from in prop::array::uniform3(0.0..1.0_f64),
        to in prop::array::uniform3(0.0..1.0_f64),
        seconds in 0.0..2.0_f64,
    ) {
        for (name, body) in BODIES.iter() {
            let bounds = body.bounds();
            let (start, end) = (within(&bounds.grown(0.1), from), within(&bounds, to));
            let towards = (end - start).unit();
            let mut metres = 0.0;
            for _ in 0..120 {
                let room = body.distance(start + towards * metres, seconds);
                if room < 2e-4 || metres > 6.0 {
                    break;
                }
                for share in [0.25, 0.5, 0.75, 0.95] {
                    let p = start + towards * (metres + share * room);
                    // Two millimetres are less than a pixel where the ship is seen.
                    prop_assert!(body.distance(p, seconds) > -2e-3, "{name}: {room} leaps into it at {p:?}");
                }
                metres += room;
            }
        }
    }

    #[test]
    fn boxes_hold_their_bodies(share in prop::array::uniform2(0.0..1.0_f64), seconds in 0.0..2.0_f64) {
        for (name, body) in BODIES.iter() {
            let bounds = body.bounds().grown(5e-4);
            let [u, v] = share;
            for at in [[0.0, u, v], [1.0, u, v], [u, 0.0, v], [u, 1.0, v], [u, v, 0.0], [u, v, 1.0]] {
                let p = within(&bounds, at);
                prop_assert!(body.distance(p, seconds) > 0.0, "{name} reaches beyond its box at {p:?}");
            }
        }
    }
}
