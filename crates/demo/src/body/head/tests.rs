//! What the tracer and the set-ups count on.

use super::*;
use crate::material::{SKIN_DEEP, SKIN_LIGHT};
use crate::space::chance;

const CREW: [Crew; 2] = [Crew::Mate, Crew::Cook];
const TURNED: Pose = Pose { nod: 0.3, lean: -0.15, turns: 0.4 };

fn heads() -> Vec<Head> {
    let place = Place::at(v3(0.4, 1.5, -0.3)).facing(0.7);
    CREW.iter().flat_map(|&who| [Pose::default(), TURNED].map(|pose| Head::new(who, place, pose))).collect()
}

/// A repeatable point about a head, up to `reach` metres from its middle along each axis.
fn point(head: &Head, number: i64, reach: f64) -> Vec3 {
    let part = |axis: i64| (2.0 * chance(7, number, axis, 0) - 1.0) * reach;
    head.place.at + v3(part(0), 0.16 + part(1), part(2))
}

fn direction(number: i64) -> Vec3 {
    let part = |axis: i64| 2.0 * chance(8, number, axis, 0) - 1.0;
    v3(part(0), part(1), part(2) + 1e-3).unit()
}

#[test]
fn a_step_by_the_distance_does_not_go_through_the_surface() {
    for head in heads() {
        for number in 0..20_000 {
            let p = point(&head, number, 0.25);
            let seconds = 0.1 * (number % 20) as f64;
            let distance = head.distance(p, seconds);
            let within = head.distance(p + direction(number) * distance, seconds);
            // A bound that is a millimetre too high at the edge of the hair leaves no hole.
            assert!(distance <= 0.0 || within > -1.5e-3, "{:?} {p:?}: {distance} leads to {within}", head.who);
        }
    }
}

#[test]
fn its_box_holds_it_while_it_turns() {
    for head in heads() {
        for number in 0..20_000 {
            let p = point(&head, number, 0.3);
            let seconds = 0.13 * (number % 20) as f64;
            assert!(head.distance(p, seconds) > 0.0 || head.bounds().distance(p) == 0.0, "{:?} {p:?}", head.who);
        }
    }
}

#[test]
fn the_cheeks_marks_are_plain_skin() {
    for head in heads() {
        let skin = if head.who == Crew::Mate { SKIN_LIGHT } else { SKIN_DEEP };
        for side in [-1.0, 1.0] {
            let middle = head.cheek(side);
            assert!(head.distance(middle, 0.0).abs() < 1e-3);
            let out = (0..3).map(|axis| {
                let step = v3([1.0, 0.0, 0.0][axis], [0.0, 1.0, 0.0][axis], [0.0, 0.0, 1.0][axis]) * 1e-3;
                head.distance(middle + step, 0.0) - head.distance(middle - step, 0.0)
            });
            let out: Vec<f64> = out.collect();
            let out = v3(out[0], out[1], out[2]).unit();
            let across = out.cross(v3(0.0, 1.0, 0.0)).unit();
            let up = across.cross(out);
            for at in 0..81 {
                let part = |cell: i32| f64::from(cell - 4) / 4.0 * Head::CHEEK_HALF;
                let mut p = middle + out * 0.02 + across * part(at % 9) + up * part(at / 9);
                for _ in 0..40 {
                    p = p - out * head.distance(p, 0.0);
                }
                let seen = head.surface(p, out, 0.0);
                assert_eq!((seen.paints[0], seen.share), (skin, 0.0), "{:?} {side} {at}", head.who);
            }
        }
    }
}

#[test]
fn a_still_head_stays_and_a_turning_one_comes_back() {
    for head in heads() {
        let p = head.cheek(1.0);
        assert_eq!(head.moves(), head.pose.turns != 0.0);
        assert!((head.distance(p, 0.0) - head.distance(p, PERIOD)).abs() < 1e-6);
        assert_eq!(head.moves(), (head.distance(p, 0.0) - head.distance(p, 0.6)).abs() > 1e-3);
    }
}
