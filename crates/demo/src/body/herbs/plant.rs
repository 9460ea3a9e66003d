//! How the herbs grow: every leaf's place and turn, from one seed.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::leaf::{Kind, Part};
use crate::space::{Vec3, chance, mix, v3};

/// A stream of repeatable numbers.
struct Dice {
    seed: u64,
    thrown: i64,
}

impl Dice {
    fn between(&mut self, a: f64, b: f64) -> f64 {
        self.thrown += 1;
        mix(a, b, chance(self.seed, self.thrown, 0, 0))
    }
}

/// All parts of all plants, in the crate's own axes.
pub fn all() -> Vec<Part> {
    let mut parts = Vec::new();
    sage(&mut Dice { seed: 811, thrown: 0 }, &mut parts);
    parsley(&mut Dice { seed: 823, thrown: 0 }, &mut parts);
    basil(&mut Dice { seed: 829, thrown: 0 }, &mut parts);
    chives(&mut Dice { seed: 839, thrown: 0 }, &mut parts);
    parts
}

/// The way a leaf's upper side looks that points along `along`: as near to upright as that allows.
fn upper(along: Vec3, roll: f64) -> Vec3 {
    let upright = if along.y.abs() > 0.95 { v3(0.3, 0.0, 1.0) } else { v3(0.0, 1.0, 0.0) };
    let across = along.cross(upright).unit();
    let up = across.cross(along).unit();
    (up * roll.cos() + across * roll.sin()).unit()
}

fn leaf(kind: Kind, from: Vec3, along: Vec3, roll: f64, half: Vec3, [bend, cup]: [f64; 2], seed: f64) -> Part {
    Part { kind, middle: from + along * half.x, along, up: upper(along, roll), half, bend, cup, seed }
}

/// A thin stalk between two points.
fn stalk(kind: Kind, from: Vec3, to: Vec3, thin: f64, seed: f64) -> Part {
    let way = to - from;
    let length = way.length();
    leaf(kind, from, way.unit(), 0.0, v3(0.52 * length, thin, thin), [0.0, 0.0], seed)
}

/// Shoots that lean out, with pairs of long leaves that cross from pair to pair.
fn sage(dice: &mut Dice, parts: &mut Vec<Part>) {
    for shoot in 0..13 {
        let root = v3(dice.between(-0.15, -0.07), 0.09, dice.between(-0.08, 0.085));
        let lean = v3(dice.between(-0.42, 0.4), 1.0, dice.between(-0.25, 0.5)).unit();
        let tall = dice.between(0.075, 0.135);
        parts.push(stalk(Kind::Sage, root, root + lean * tall, 0.0017, 0.2));
        let turn = dice.between(0.0, TAU);
        let pairs = 5 + shoot % 2;
        for pair in 0..pairs {
            let share = (f64::from(pair) + 1.0) / f64::from(pairs);
            let at = root + lean * (tall * mix(0.35, 1.0, share));
            let size = mix(1.0, 0.5, share * share);
            for side in 0..2 {
                let around = turn + f64::from(pair) * FRAC_PI_2 + f64::from(side) * PI + dice.between(-0.3, 0.3);
                let out = v3(around.cos(), mix(0.15, 1.1, share) + dice.between(-0.2, 0.2), around.sin()).unit();
                let half = v3(0.0235 * dice.between(0.85, 1.2), 0.0078 * dice.between(0.85, 1.15), 0.0011);
                parts.push(leaf(
                    Kind::Sage,
                    at,
                    out,
                    dice.between(-0.4, 0.4),
                    half * size,
                    [9.0, 12.0],
                    dice.between(0.0, 1.0),
                ));
            }
        }
    }
}

/// Stalks that part in three, each with a leaf of three lobes.
fn parsley(dice: &mut Dice, parts: &mut Vec<Part>) {
    for _ in 0..64 {
        let root = v3(dice.between(-0.06, 0.055), 0.09, dice.between(-0.085, 0.085));
        let out = dice.between(0.0, TAU);
        let lean = v3(0.7 * out.cos() * dice.between(0.1, 1.0), 1.0, 0.8 * out.sin() * dice.between(0.1, 1.0)).unit();
        let top = root + lean * dice.between(0.04, 0.115);
        parts.push(stalk(Kind::Chive, root, top, 0.0011, 0.9));
        let turn = dice.between(0.0, TAU);
        for branch in 0..3 {
            let around = turn + f64::from(branch) * TAU / 3.0 + dice.between(-0.3, 0.3);
            let flat = v3(around.cos(), dice.between(0.0, 0.55), around.sin()).unit();
            let at = top + flat * dice.between(0.006, 0.012);
            let size = dice.between(0.7, 1.2);
            for lobe in [-1.25, -0.6, 0.0, 0.6, 1.25_f64] {
                // The middle lobe is the longest and starts farthest out; none lies flat.
                let towards = (flat.turned_y(lobe) + v3(0.0, dice.between(-0.35, 0.3), 0.0)).unit();
                let half = v3(0.0074 - 0.0022 * lobe.abs(), 0.0031, 0.0009) * (size * dice.between(0.85, 1.15));
                let from = at + flat * (0.004 * size * (1.0 - lobe.abs() / 1.25));
                let roll = dice.between(-0.8, 0.8);
                parts.push(leaf(Kind::Parsley, from, towards, roll, half, [28.0, -35.0], dice.between(0.0, 1.0)));
            }
        }
    }
}

/// A few stems with broad leaves in crossing pairs, the smallest at the top.
fn basil(dice: &mut Dice, parts: &mut Vec<Part>) {
    for _ in 0..9 {
        let root = v3(dice.between(0.07, 0.145), 0.09, dice.between(0.0, 0.085));
        let lean = v3(dice.between(-0.2, 0.35), 1.0, dice.between(-0.2, 0.35)).unit();
        let tall = dice.between(0.055, 0.1);
        parts.push(stalk(Kind::Basil, root, root + lean * tall, 0.0018, 0.4));
        let turn = dice.between(0.0, TAU);
        for pair in 0..4 {
            let share = f64::from(pair) / 3.0;
            let at = root + lean * (tall * mix(0.35, 1.0, share));
            for side in 0..2 {
                let around = turn + f64::from(pair) * FRAC_PI_2 + f64::from(side) * PI + dice.between(-0.25, 0.25);
                let out = v3(around.cos(), mix(0.1, 0.9, share) + dice.between(-0.15, 0.2), around.sin()).unit();
                let half = v3(0.019, 0.0125, 0.0011) * mix(1.05, 0.5, share) * dice.between(0.85, 1.15);
                parts.push(leaf(
                    Kind::Basil,
                    at,
                    out,
                    dice.between(-0.3, 0.3),
                    half,
                    [14.0, -16.0],
                    dice.between(0.0, 1.0),
                ));
            }
        }
    }
}

/// A tuft of stalks behind, each in three bending lengths; a few bear a round flower.
fn chives(dice: &mut Dice, parts: &mut Vec<Part>) {
    for number in 0..44 {
        let root = v3(dice.between(0.07, 0.145), 0.09, dice.between(-0.08, -0.005));
        let mut lean = v3(dice.between(-0.22, 0.25), 1.0, dice.between(-0.18, 0.25)).unit();
        let flowers = number % 7 == 0;
        let length = if flowers { dice.between(0.045, 0.055) } else { dice.between(0.026, 0.052) };
        let (mut at, seed) = (root, dice.between(0.0, 1.0));
        let droop = if flowers { 0.0 } else { dice.between(0.0, 0.22) };
        for _ in 0..3 {
            let next = at + lean * length;
            parts.push(stalk(Kind::Chive, at, next, if flowers { 0.0013 } else { 0.0016 }, seed));
            lean = (lean + v3(lean.x, -0.2, lean.z) * droop * 2.0).unit();
            at = next;
        }
        if flowers {
            flower(dice, at, parts);
        }
    }
}

fn flower(dice: &mut Dice, at: Vec3, parts: &mut Vec<Part>) {
    for petal in 0..46 {
        // Evenly about a ball: equal steps in height, golden steps around.
        let height = mix(-0.75, 1.0, (f64::from(petal) + 0.5) / 46.0);
        let around = 2.399_963 * f64::from(petal);
        let wide = (1.0 - height * height).sqrt();
        let out = (v3(wide * around.cos(), height, wide * around.sin())
            + v3(dice.between(-0.1, 0.1), 0.15, dice.between(-0.1, 0.1)))
        .unit();
        let half = v3(0.0062 * dice.between(0.85, 1.2), 0.0019, 0.0012);
        parts.push(leaf(Kind::Flower, at + out * 0.0015, out, 0.0, half, [0.0, 0.0], dice.between(0.0, 1.0)));
    }
}
