//! What the tracer relies on, of all that is of cloth and rope: distances no ray steps over, boxes that hold, marks that lie on it.

use proptest::prelude::*;

use super::{Garment, Grip, Rope, Torso, Towel, Vest};
use crate::space::{Place, Ray, Vec3, v3};
use crate::trace::Shape;
use crate::trace::trials::{shares, within};

fn place() -> Place {
    Place::at(v3(0.3, 1.2, -0.4)).facing(0.6)
}

/// A torso whose right hand holds a mug and whose left lies on a table.
fn busy(garment: Garment) -> Torso {
    let at = |q: Vec3| place().outward(q);
    Torso::new(place(), garment)
        .with_hand(-1.0, Grip::Round { at: at(v3(0.0, -0.42, 0.36)), along: v3(0.0, 1.0, 0.0), radius: 0.043 })
        .with_hand(1.0, Grip::Flat { at: at(v3(0.13, -0.46, 0.34)) })
}

fn bodies() -> Vec<Box<dyn Shape>> {
    vec![
        Box::new(Torso::new(place(), Garment::OilskinAndVest)),
        Box::new(busy(Garment::Oilskin)),
        Box::new(busy(Garment::Jacket)),
        Box::new(Vest::hanging(place())),
        Box::new(Rope::hanging(place(), 0.06)),
        Box::new(Towel::hanging(place())),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn no_ray_steps_over_a_surface(from in shares(), to in shares(), seconds in 0.0..2.0) {
        for (number, body) in bodies().iter().enumerate() {
            let bounds = body.bounds();
            let start = within(&bounds.grown(0.1), from);
            if body.distance(start, seconds) < 0.0 {
                continue;
            }
            let ray = Ray { from: start, towards: (within(&bounds, to) - start).unit() };
            let mut metres = 0.0;
            for _ in 0..300 {
                let distance = body.distance(ray.at(metres), seconds);
                prop_assert!(distance > -0.002, "body {number}: {distance} at {metres} m");
                if distance < 1e-4 || metres > 4.0 {
                    break;
                }
                metres += distance;
            }
        }
    }

    #[test]
    fn the_box_holds_the_body(at in shares(), axis in 0_usize..3, upper in any::<bool>(), seconds in 0.0..2.0) {
        for (number, body) in bodies().iter().enumerate() {
            let bounds = body.bounds();
            let mut shares = at;
            shares[axis] = if upper { 1.0 } else { 0.0 };
            let distance = body.distance(within(&bounds, shares), seconds);
            prop_assert!(distance >= 0.0, "body {number}: {distance} on its box");
        }
    }
}

#[test]
fn marks_lie_on_their_cloth() {
    let on = |body: &dyn Shape, mark: Vec3, name: &str, material: crate::material::Material| {
        let distance = body.distance(mark, 0.0);
        assert!(distance.abs() < 0.001, "{name}: {distance}");
        let met = body.surface(mark, v3(0.0, 0.0, 1.0), 0.0);
        assert!(met.paints[0] == material && met.share < 1e-9, "{name}: {}", met.paints[0].name());
    };
    for side in [-1.0, 1.0] {
        for (garment, material) in [
            (Garment::Oilskin, crate::material::OILSKIN),
            (Garment::OilskinAndVest, crate::material::VEST),
            (Garment::Jacket, crate::material::COTTON),
        ] {
            let torso = Torso::new(place(), garment);
            on(&torso, torso.chest(side), "chest", material);
        }
    }
    let vest = Vest::hanging(place());
    on(&vest, vest.orange(), "vest", crate::material::VEST);
    for rope in [Rope::hanging(place(), 0.0), Rope::carried(place())] {
        assert!(rope.distance(rope.tan(), 0.0).abs() < 0.001, "rope");
    }
}

#[test]
fn a_rope_swings_to_and_fro_in_its_period_and_one_at_rest_does_not() {
    let (rope, still) = (Rope::hanging(place(), 0.06), Rope::hanging(place(), 0.0));
    let low = place().outward(v3(0.17, -0.128, 0.0));
    let at = |seconds: f64| rope.distance(low, seconds);
    assert!((at(0.4) - at(2.9)).abs() < 1e-9 && (at(0.625) - at(1.875)).abs() > 0.01);
    assert!(still.distance(low, 0.4) == still.distance(low, 1.0) && !still.moves() && rope.moves());
}
