//! The cooking range with what stands on it: an iron body with a brass rail, a pot, a kettle, a ladle.

use super::room::brass;
use super::solid::Solid;
use crate::body::PINE_WOOD;
use crate::material::{BRASS, COPPER, CREAM, ENAMEL, ENAMEL_RIM, IRON, STEEL, VOID};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, grain, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Cast iron, blackened, a little shiny where hands and pots go.
fn iron(q: Vec3, normal: Vec3) -> Surface {
    let rough = grain(19, q * 90.0) - 0.5;
    let worn = smooth(0.45, 0.8, grain(23, q * 9.0));
    Surface::of(IRON, normal)
        .mixed(STEEL, 0.12 * worn)
        .glossy(0.05 + 0.03 * worn, 22.0)
        .bent(v3(rough, -rough, 0.6 * rough) * 0.08)
}

/// The range's body from its box: panels of cream enamel in an iron frame towards +z, rings of lids on its top.
pub fn range(bounds: Bounds) -> Vec<Box<dyn Shape>> {
    let (centre, half) = (bounds.centre(), bounds.half());
    let panels = 3.0;
    let wide = 2.0 * half.x / panels;
    let across = move |x: f64| {
        let cell = (x + half.x) / wide;
        (cell - cell.floor() - 0.5) * wide
    };
    let lid = move |q: Vec3| {
        let x = q.x - 0.42 * (q.x / 0.42).round();
        (x.leg(q.z) - 0.115).abs().min((x.leg(q.z) - 0.06).abs())
    };
    let body = Solid::new(
        Place::at(centre),
        Bounds::around(v3(0.0, 0.0, 0.0), half),
        move |q| {
            let outer = distance::block(q, half, 0.012);
            if outer > 0.03 {
                return outer;
            }
            let panel = v3(across(q.x), q.y + 0.02, q.z - half.z);
            let inset = distance::block(panel, v3(wide / 2.0 - 0.045, half.y - 0.09, 0.012), 0.0);
            let groove = if q.y > half.y - 0.01 { (0.0035 - lid(q)).max(0.0) } else { 0.0 };
            0.8 * distance::without(outer, inset, 0.01).max(outer + groove)
        },
        move |q, normal| {
            let inside = wide / 2.0 - 0.05 - across(q.x).abs();
            if q.z > half.z - 0.03 && q.z < half.z - 0.006 && inside > 0.0 {
                let chip = grain(29, q * 24.0);
                let edge = smooth(0.02, 0.0, inside);
                return Surface::of(CREAM, normal)
                    .mixed(IRON, smooth(0.72, 0.78, chip + 0.25 * edge))
                    .glossy(0.05, 80.0)
                    .bent(v3(uneven(31, q * 14.0) - 0.5, uneven(32, q * 14.0) - 0.5, 0.0) * 0.05);
            }
            iron(q, normal)
        },
    );
    let at = v3(centre.x, bounds.most.y + 0.002, bounds.most.z + 0.03);
    let long = half.x - 0.02;
    let rail = Solid::new(
        Place::at(at),
        Bounds { least: v3(-long - 0.012, -0.07, -0.04), most: v3(long + 0.012, 0.014, 0.014) },
        move |q| {
            let bar = distance::limb(q, v3(-long, 0.0, 0.0), v3(long, 0.0, 0.0), 0.011, 0.011);
            let x = q.x - 0.34 * (q.x / 0.34).round().clamp(-1.0, 1.0);
            let arm = distance::limb(v3(x, q.y, q.z), v3(0.0, 0.0, 0.0), v3(0.0, -0.045, -0.03), 0.009, 0.012);
            bar.min(arm)
        },
        |_, normal| brass(normal),
    );
    vec![body.boxed(), rail.boxed()]
}

/// A stock pot of grey-blue enamel with two handles and a dark rim, open, 240 mm across.
pub fn pot(at: Vec3, turned: f64) -> Box<dyn Shape> {
    Solid::new(
        Place::at(at).facing(turned),
        Bounds { least: v3(-0.165, 0.0, -0.125), most: v3(0.165, 0.2, 0.125) },
        |q| {
            let shell = distance::drum(q - v3(0.0, 0.097, 0.0), 0.097, 0.112, 0.118, 0.012);
            let hollow = distance::drum(q - v3(0.0, 0.12, 0.0), 0.1, 0.109, 0.113, 0.012);
            let rim = distance::ring(q - v3(0.0, 0.194, 0.0), 0.1175, 0.005);
            let hand = v3(q.x.abs() - 0.122, q.z, q.y - 0.15);
            let handle = distance::ring(hand, 0.03, 0.0055);
            distance::without(shell, hollow, 0.003).min(rim).min(handle)
        },
        |q, normal| {
            if q.x.leg(q.z) < 0.1135 && q.y > 0.03 {
                let stew = grain(37, q * 60.0);
                return Surface::of(CREAM, normal).mixed(COPPER, stew).glossy(0.04, 40.0);
            }
            let rim = q.y > 0.186 || q.x.abs() > 0.121;
            let chip = smooth(0.76, 0.8, grain(43, q * 22.0) + 0.1 * smooth(0.17, 0.19, q.y));
            let paint = if rim { IRON } else { ENAMEL_RIM };
            Surface::of(paint, normal).mixed(if rim { IRON } else { VOID }, chip).glossy(0.045, 110.0)
        },
    )
    .boxed()
}

/// A kettle of white enamel with an arched handle, its spout towards +x.
pub fn kettle(at: Vec3, turned: f64) -> Box<dyn Shape> {
    Solid::new(
        Place::at(at).facing(turned),
        Bounds { least: v3(-0.115, 0.0, -0.112), most: v3(0.19, 0.275, 0.112) },
        |q| {
            let belly = distance::drum(q - v3(0.0, 0.075, 0.0), 0.075, 0.11, 0.085, 0.035);
            let lid = distance::ellipsoid(q - v3(0.0, 0.148, 0.0), v3(0.065, 0.022, 0.065));
            let knob = distance::ball(q - v3(0.0, 0.178, 0.0), 0.013);
            let spout = distance::limb(q, v3(0.07, 0.06, 0.0), v3(0.165, 0.15, 0.0), 0.024, 0.012);
            let bow = distance::ring(v3(q.x, q.z, q.y - 0.15), 0.095, 0.006).max(0.148 - q.y);
            distance::joined(belly, spout, 0.02).min(distance::joined(lid, knob, 0.006)).min(bow)
        },
        |q, normal| {
            if q.y > 0.17 || (q.y > 0.15 && q.z.abs() < 0.01 && q.x.abs() > 0.08 && q.x < 0.11) {
                return Surface::of(IRON, normal).glossy(0.05, 40.0);
            }
            let rim = smooth(0.003, 0.002, (q.y - 0.145).abs());
            let chip = smooth(0.78, 0.82, grain(47, q * 20.0));
            Surface::of(ENAMEL, normal).mixed(ENAMEL_RIM, rim.max(chip)).glossy(0.05, 100.0)
        },
    )
    .boxed()
}

/// A wooden spoon that stands in a pot, from its foot to the end of its handle.
pub fn spoon(foot: Vec3, end: Vec3) -> Box<dyn Shape> {
    let way = end - foot;
    let thick = v3(0.022, 0.022, 0.022);
    let least = v3(way.x.min(0.0), way.y.min(0.0), way.z.min(0.0)) - thick;
    let most = v3(way.x.max(0.0), way.y.max(0.0), way.z.max(0.0)) + thick;
    Solid::new(
        Place::at(foot),
        Bounds { least, most },
        move |q| {
            let bowl = distance::ellipsoid(q, v3(0.02, 0.022, 0.02));
            bowl.min(distance::limb(q, v3(0.0, 0.0, 0.0), way, 0.008, 0.0105))
        },
        |q, normal| PINE_WOOD.surface(v3(q.y, q.x, q.z), 11, normal),
    )
    .boxed()
}

/// A ladle that hangs from its eye, 340 mm long.
pub fn ladle(hook: Vec3, turned: f64) -> Box<dyn Shape> {
    Solid::new(
        Place::at(hook).facing(turned),
        Bounds { least: v3(-0.05, -0.385, -0.055), most: v3(0.05, 0.024, 0.055) },
        |q| {
            let shaft = distance::limb(q, v3(0.0, -0.02, 0.0), v3(0.0, -0.3, 0.0), 0.0055, 0.0045);
            let eye = distance::ring(v3(q.x, q.z, q.y), 0.015, 0.004);
            let cup = distance::ball(q - v3(0.0, -0.332, 0.012), 0.046).abs() - 0.0025;
            let cup = cup.max(q.y + 0.32 - 0.3 * q.z);
            shaft.min(eye).min(cup)
        },
        |q, normal| {
            if q.y < -0.285 {
                Surface { metal: true, ..Surface::of(COPPER, normal).glossy(0.8, 70.0) }
            } else {
                Surface { metal: true, ..Surface::of(BRASS, normal).glossy(0.6, 50.0) }
            }
        },
    )
    .boxed()
}
