//! Ware: plates, jars and a bottle on the shelf, onions on a string.

use super::solid::Solid;
use crate::material::{AMBER, BRASS, CREAM, CREAM_SHADE, ENAMEL, ENAMEL_RIM, GREEN, IRON, Material, PINE, ROPE};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, chance, distance, grain, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A round jar with a lid, of a paint with a pale label or without.
pub fn jar(at: Vec3, radius: f64, height: f64, paint: Material, label: bool) -> Box<dyn Shape> {
    let half = height / 2.0;
    Solid::new(
        Place::at(at),
        Bounds { least: v3(-radius, 0.0, -radius), most: v3(radius, height, radius) },
        move |q| {
            let body = distance::drum(q - v3(0.0, half * 0.86, 0.0), half * 0.86, radius, radius, 0.009);
            let lid =
                distance::drum(q - v3(0.0, height * 0.92, 0.0), height * 0.08, radius * 0.96, radius * 0.92, 0.006);
            body.min(lid)
        },
        move |q, normal| {
            if q.y > height * 0.85 {
                return Surface { metal: true, ..Surface::of(BRASS, normal).glossy(0.5, 40.0) };
            }
            let on = label && q.z > 0.3 * radius && (q.y / height - 0.42).abs() < 0.2;
            let worn = grain(83, q * 25.0);
            let surface =
                if on { Surface::of(CREAM, normal).mixed(CREAM_SHADE, worn) } else { Surface::of(paint, normal) };
            surface.glossy(if on { 0.02 } else { 0.05 }, 60.0)
        },
    )
    .boxed()
}

/// A bottle of dark green glass with a cork.
pub fn bottle(at: Vec3) -> Box<dyn Shape> {
    Solid::new(
        Place::at(at),
        Bounds { least: v3(-0.038, 0.0, -0.038), most: v3(0.038, 0.29, 0.038) },
        |q| {
            let body = distance::drum(q - v3(0.0, 0.09, 0.0), 0.09, 0.037, 0.037, 0.014);
            let neck = distance::limb(q, v3(0.0, 0.16, 0.0), v3(0.0, 0.265, 0.0), 0.022, 0.013);
            let cork = distance::drum(q - v3(0.0, 0.277, 0.0), 0.012, 0.01, 0.011, 0.002);
            distance::joined(body, neck, 0.03).min(cork)
        },
        |q, normal| {
            if q.y > 0.272 {
                return Surface::of(PINE, normal);
            }
            Surface::of(GREEN, normal).mixed(IRON, 0.75).glossy(0.05, 150.0)
        },
    )
    .boxed()
}

/// Plates that stand on edge side by side in a rack, seen from the front: `count` of them, leaning back.
pub fn plates(at: Vec3, count: u32) -> Box<dyn Shape> {
    let depth = 0.028 * f64::from(count);
    Solid::new(
        Place::at(at),
        Bounds { least: v3(-0.12, 0.0, -depth), most: v3(0.12, 0.245, 0.04) },
        move |q| {
            let cell = (-q.z / 0.028 + 0.25 * q.y / 0.028 * 0.5).round().clamp(0.0, f64::from(count) - 1.0);
            let p = v3(
                q.x + 0.006 * (chance(5, cell as i64, 0, 0) - 0.5),
                q.y - 0.12,
                q.z + 0.028 * cell - 0.12 * q.y + 0.02,
            );
            // A shallow dish: its rim nearer to the eye than its well.
            let round = p.x.leg(p.y);
            let dish = 0.012 * smooth(0.07, 0.085, round);
            0.7 * distance::common(round - 0.118, (p.z - dish).abs() - 0.0035, 0.003)
        },
        |q, normal| {
            let round = q.x.leg(q.y - 0.12);
            let line = smooth(0.004, 0.002, (round - 0.108).abs());
            Surface::of(ENAMEL, normal).mixed(ENAMEL_RIM, line).glossy(0.05, 90.0)
        },
    )
    .boxed()
}

/// A string of onions that hangs from a hook.
pub fn onions(hook: Vec3) -> Box<dyn Shape> {
    Solid::new(
        Place::at(hook),
        Bounds { least: v3(-0.085, -0.46, -0.085), most: v3(0.085, 0.0, 0.085) },
        |q| {
            let cord = distance::limb(q, v3(0.0, 0.0, 0.0), v3(0.0, -0.4, 0.0), 0.004, 0.004);
            let cell = (-q.y / 0.056).round();
            let near = (cell - 1.0).max(2.0) as i64..=(cell + 1.0).min(7.0) as i64;
            // Rows further off are at least so far away.
            near.fold(cord.min(0.03), |least, row| least.min(onion(q, row)))
        },
        |q, normal| {
            let skin = uneven(97, v3(q.x * 40.0, q.y * 9.0, q.z * 40.0));
            let dry = smooth(0.03, 0.012, q.x.leg(q.z));
            Surface::of(AMBER, normal).mixed(ROPE, (0.45 + 0.4 * skin).max(dry)).glossy(0.05, 35.0)
        },
    )
    .boxed()
}

/// Three onions around the cord in a row of the string.
fn onion(q: Vec3, row: i64) -> f64 {
    (0..3).fold(1.0, |least, at| {
        let turn = 2.094 * at as f64 + 1.1 * row as f64;
        let big = 0.034 + 0.008 * chance(7, row, at, 0);
        let centre = v3(0.038 * turn.cos(), -0.056 * row as f64 + 0.014 * chance(8, row, at, 0), 0.038 * turn.sin());
        let p = q - centre;
        least.min(distance::joined(
            distance::ball(v3(p.x, p.y * 1.08, p.z), big),
            distance::limb(p, v3(0.0, big * 0.6, 0.0), v3(-centre.x * 0.5, big * 1.6, -centre.z * 0.5), 0.01, 0.003),
            0.012,
        ))
    })
}
