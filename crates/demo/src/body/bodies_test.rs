//! What the tracer relies on, tried on every body that stands still: boxes that hold them, and distances that never promise more room than
//! there is.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::material::{CREAM, CREAM_SHADE};
use crate::space::{Bounds, Place, Vec3, v3};
use crate::trace::Shape;

static BODIES: LazyLock<Vec<(&'static str, Box<dyn Shape>)>> = LazyLock::new(bodies);

fn bodies() -> Vec<(&'static str, Box<dyn Shape>)> {
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

/// A point of a box by shares of its extent.
fn within(bounds: &Bounds, share: [f64; 3]) -> Vec3 {
    let at = v3(2.0 * share[0] - 1.0, 2.0 * share[1] - 1.0, 2.0 * share[2] - 1.0);
    bounds.centre() + bounds.half().times(at)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn steps_by_the_distance_never_leap_into_a_body(from in prop::array::uniform3(0.0..1.0_f64), to in prop::array::uniform3(0.0..1.0_f64)) {
        for (name, body) in BODIES.iter() {
            let bounds = body.bounds();
            let (start, end) = (within(&bounds.grown(0.1), from), within(&bounds, to));
            let towards = (end - start).unit();
            let mut metres = 0.0;
            for _ in 0..120 {
                let room = body.distance(start + towards * metres, 0.0);
                if room < 2e-4 || metres > 2.0 {
                    break;
                }
                for share in [0.25, 0.5, 0.75, 0.95] {
                    let p = start + towards * (metres + share * room);
                    // A millimetre is less than a pixel of any shot.
                    prop_assert!(body.distance(p, 0.0) > -1e-3, "{name}: {room} from {:?} leaps into it", start + towards * metres);
                }
                metres += room;
            }
        }
    }

    #[test]
    fn boxes_hold_their_bodies(share in prop::array::uniform2(0.0..1.0_f64)) {
        for (name, body) in BODIES.iter() {
            let bounds = body.bounds().grown(5e-4);
            let [u, v] = share;
            for at in [[0.0, u, v], [1.0, u, v], [u, 0.0, v], [u, 1.0, v], [u, v, 0.0], [u, v, 1.0]] {
                let p = within(&bounds, at);
                prop_assert!(body.distance(p, 0.0) > 0.0, "{name} reaches beyond its box at {p:?}");
            }
        }
    }
}
