//! The window in the hull: a square pane in a brass ring with dogs, a frame of painted wood, a curtain drawn aside.

use super::room::{WALL_Z, brass, cream};
use super::solid::Solid;
use crate::material::{CREAM, NIGHT, SAGE};
use crate::space::{Bounds, Place, Vec3, distance, grain, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Half the width of the pane.
pub const HALF: f64 = 0.23;

/// How bright what is seen through the pane is, beside a perfect diffuser in the key, by the place on it.
pub type Outside = fn(Vec3) -> f64;

/// Dawn: pale sky over a dark sea. The band over the horizon, and it alone, clips the camera's blue.
pub fn dawn(q: Vec3) -> f64 {
    let cloud = grain(61, v3(q.x * 5.0 + 3.0 * q.y, q.y * 16.0, 0.3));
    let sky = mix(10.8, 5.2, smooth(0.02, 0.26, q.y + 0.06 * cloud)) * mix(0.86, 1.04, cloud);
    let swell = grain(62, v3(q.x * 18.0, q.y * 90.0, 0.0));
    let sea = mix(3.6, 1.3, smooth(HORIZON, -HALF, q.y)) * mix(0.75, 1.15, swell);
    mix(sea, sky, smooth(HORIZON - 0.002, HORIZON + 0.002, q.y))
}

/// An overcast morning: an even white sky, a grey sea.
pub fn overcast(q: Vec3) -> f64 {
    let cloud = grain(67, v3(q.x * 4.0, q.y * 12.0, 0.9));
    let sky = mix(2.7, 3.6, cloud);
    let swell = grain(68, v3(q.x * 18.0, q.y * 90.0, 0.0));
    mix(mix(0.7, 1.2, swell), sky, smooth(HORIZON - 0.004, HORIZON + 0.004, q.y))
}

/// Where the sea ends on the pane, above its middle.
const HORIZON: f64 = -0.075;

/// The window at its middle on the back wall, with what is seen through it, by which source.
pub fn window(middle: Vec3, outside: Outside, source: usize) -> Vec<Box<dyn Shape>> {
    let at = Place::at(v3(middle.x, middle.y, WALL_Z));
    let outer = HALF + 0.085;
    let frame = Solid::new(
        at,
        Bounds { least: v3(-outer, -outer, 0.0), most: v3(outer, outer, 0.075) },
        move |q| {
            let block = distance::block(q - v3(0.0, 0.0, 0.03), v3(outer, outer, 0.045), 0.01);
            // The reveal widens towards the room.
            let wide = HALF + 0.012 + 0.35 * q.z;
            let hole = distance::block(q - v3(0.0, 0.0, 0.05), v3(wide, wide, 0.2), 0.05);
            0.9 * distance::without(block, hole, 0.006)
        },
        cream,
    );
    let ring = Solid::new(
        at,
        Bounds { least: v3(-HALF - 0.03, -HALF - 0.03, 0.0), most: v3(HALF + 0.03, HALF + 0.03, 0.06) },
        |q| {
            let flat = v3(q.x, q.y, 0.0);
            let square = distance::block(flat, v3(HALF, HALF, 1.0), 0.045).abs() - 0.018;
            let ring = distance::common(square, (q.z - 0.02).abs() - 0.012, 0.006);
            // Dogs with wing nuts at the sides.
            let dog = v3(q.x.abs() - HALF, q.y.abs() - 0.11, q.z - 0.035);
            ring.min(distance::limb(dog, v3(0.0, -0.012, 0.0), v3(0.0, 0.012, 0.0), 0.009, 0.009))
        },
        |q, normal| {
            let dull = smooth(0.5, 0.7, grain(71, q * 40.0));
            let surface = brass(normal);
            Surface { gloss: surface.gloss * (1.0 - 0.35 * dull), ..surface }
        },
    );
    let pane = Solid::new(
        at,
        Bounds { least: v3(-HALF, -HALF, -0.002), most: v3(HALF, HALF, 0.008) },
        |q| distance::block(q, v3(HALF, HALF, 0.008), 0.0),
        move |q, normal| {
            // Salt and drying drops take a little of the light.
            let salt = smooth(0.62, 0.85, grain(73, q * 45.0)) * smooth(0.1, -0.2, q.y + 0.1 * uneven(74, q * 9.0));
            let level = outside(q) * (1.0 - 0.16 * salt);
            Surface { glow: Some((source, level)), ..Surface::of(NIGHT, normal) }
        },
    );
    vec![frame.boxed(), ring.behind().boxed(), pane.behind().boxed()]
}

/// A half curtain of sage cloth with a pale stripe, gathered, before the wall; `top` is the middle of its upper edge.
pub fn curtain(top: Vec3, half: f64, long: f64) -> Box<dyn Shape> {
    let at = Place::at(top + v3(0.0, 0.0, 0.1));
    // Folds: a wave whose crests are unequal.
    let fold = move |q: Vec3| {
        let u = q.x / half * 3.4 + 0.35 * (q.y * 2.0);
        0.016 * (std::f64::consts::TAU * 0.5 * (u + 0.22 * (2.3 * u).sin())).sin() * (0.55 - 0.6 * q.y).min(1.0)
    };
    Solid::new(
        at,
        Bounds { least: v3(-half, -long, -0.024), most: v3(half, 0.01, 0.024) },
        move |q| {
            let outer = distance::block(q - v3(0.0, 0.005 - long / 2.0, 0.0), v3(half, long / 2.0, 0.024), 0.0);
            if outer > 0.03 {
                return outer;
            }
            (0.55 * ((q.z - fold(q)).abs() - 0.003)).max(outer)
        },
        move |q, normal| {
            let stripe = (q.y + long - 0.05).abs() < 0.012;
            let weave = 0.1 * (grain(79, q * THREADS) - 0.5);
            let paint = if stripe { CREAM } else { SAGE };
            Surface { soft: 0.25, ..Surface::of(paint, normal).bent(v3(weave, weave, 0.0)) }
        },
    )
    .boxed()
}

/// Threads a metre.
const THREADS: f64 = 260.0;
