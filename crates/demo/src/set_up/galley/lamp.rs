//! The lamp over the table: an enamelled shade on a rod, its inside lit, a frosted bulb that does not clip.

use super::room::brass;
use super::solid::Solid;
use crate::material::{ENAMEL_RIM, GREEN, IRON, VOID, WHITE};
use crate::space::{Bounds, Place, Vec3, distance, grain, mix, smooth, v3};
use crate::trace::{Halo, Shape, Surface};

/// How bright the middle of the bulb is, beside a perfect diffuser in the key: below where the camera clips.
const BULB: f64 = 8.0;
/// How bright the shade's inside is beside the bulb.
const INSIDE: f64 = 4.2;

/// The lamp, from where its bulb is; `lit` or out.
pub fn lamp(bulb: Vec3, lit: bool, source: usize) -> Vec<Box<dyn Shape>> {
    let rod = 0.34;
    let shade = Solid::new(
        Place::at(bulb),
        Bounds { least: v3(-0.172, -0.012, -0.172), most: v3(0.172, rod, 0.172) },
        move |q| {
            let cone = distance::drum(q - v3(0.0, 0.045, 0.0), 0.055, 0.168, 0.05, 0.0).abs() - 0.0025;
            let cone = cone.max(-(q.y + 0.004)).max(q.y - 0.094);
            let lip = distance::ring(q - v3(0.0, -0.004, 0.0), 0.166, 0.0055);
            let cap = distance::drum(q - v3(0.0, 0.115, 0.0), 0.03, 0.052, 0.028, 0.01);
            let stem = distance::limb(q, v3(0.0, 0.12, 0.0), v3(0.0, rod, 0.0), 0.008, 0.008);
            (0.75 * cone).min(lip).min(cap).min(stem)
        },
        move |q, normal| {
            let inward = normal.x * q.x + normal.z * q.z < 0.0 || normal.y < -0.5;
            if inward && q.y < 0.092 && q.y > -0.003 {
                let away = (q.x * q.x + q.z * q.z).sqrt();
                let level = mix(INSIDE, 0.35 * INSIDE, smooth(0.04, 0.17, away));
                let glow = lit.then_some((source, level));
                let paint = if lit { VOID } else { WHITE };
                return Surface { glow, ..Surface::of(paint, normal) };
            }
            if q.y > 0.085 {
                return brass(normal);
            }
            let chip = smooth(0.7, 0.76, grain(53, q * 30.0) + 0.35 * smooth(0.012, -0.008, q.y));
            Surface::of(GREEN, normal).mixed(IRON, chip.max(0.35)).glossy(0.05, 120.0)
        },
    );
    let glass = Solid::new(
        Place::at(bulb),
        Bounds { least: v3(-0.04, -0.04, -0.04), most: v3(0.04, 0.075, 0.04) },
        |q| {
            distance::joined(
                distance::ball(q, 0.036),
                distance::limb(q, v3(0.0, 0.03, 0.0), v3(0.0, 0.06, 0.0), 0.02, 0.015),
                0.02,
            )
        },
        move |q, normal| {
            let level = BULB * mix(1.0, 0.55, smooth(0.012, 0.04, q.length()));
            let glow = lit.then_some((source, level.max(0.55 * BULB)));
            let paint = if lit { VOID } else { ENAMEL_RIM };
            Surface { glow, ..Surface::of(paint, normal) }
        },
    );
    // Steam and fat hang in the air about it.
    let halo = lit.then_some(Halo { source, place: bulb, level: 0.3, wide: 0.012 });
    vec![shade.boxed(), glass.behind().haloed(halo).boxed()]
}
