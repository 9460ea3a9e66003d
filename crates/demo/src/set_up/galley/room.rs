//! What the galley is built of: boarded walls, a post, a beam with its rail, shelf, locker and worktop.

use super::solid::Solid;
use crate::body::{Boards, Gauge, OAK_WOOD};
use crate::material::{BRASS, CREAM, CREAM_SHADE, IRON, SAGE, SAGE_SHADE};
use crate::space::{Bounds, Place, Vec3, distance, grain, smooth, v3};
use crate::trace::{Shape, Surface};

/// The front of the wall behind everything.
pub const WALL_Z: f64 = -1.3;
/// The left wall.
const LEFT_X: f64 = -1.52;
/// Width of a board.
const BOARD: f64 = 0.105;
/// Where the boards change from the lower to the upper paint.
const DADO_Y: f64 = 1.1;

/// Walls of tongue and groove, another paint below than above, with a moulding between.
pub fn walls() -> Vec<Box<dyn Shape>> {
    let boards = |least: Vec3, most: Vec3, paint, shade| {
        Box::new(Boards::new(Bounds { least, most }, BOARD, paint, shade).behind()) as Box<dyn Shape>
    };
    let (out, up) = (WALL_Z - 0.05, 2.3);
    vec![
        boards(v3(LEFT_X, DADO_Y, out), v3(2.4, up, WALL_Z), CREAM_SHADE, SAGE_SHADE),
        boards(v3(LEFT_X, 0.0, out), v3(2.4, DADO_Y, WALL_Z), SAGE, SAGE_SHADE),
        boards(v3(LEFT_X - 0.05, DADO_Y, WALL_Z), v3(LEFT_X, up, 1.4), CREAM_SHADE, SAGE_SHADE),
        boards(v3(LEFT_X - 0.05, 0.0, WALL_Z), v3(LEFT_X, DADO_Y, 1.4), SAGE, SAGE_SHADE),
        moulding(Bounds { least: v3(LEFT_X, DADO_Y - 0.03, WALL_Z), most: v3(2.4, DADO_Y + 0.03, WALL_Z + 0.022) }),
    ]
}

/// A painted moulding along x.
fn moulding(bounds: Bounds) -> Box<dyn Shape> {
    let (centre, half) = (bounds.centre(), bounds.half());
    Solid::new(
        Place::at(centre),
        Bounds::around(v3(0.0, 0.0, 0.0), half),
        move |q| distance::block(q, half, 0.008),
        |q, normal| {
            let worn = grain(41, v3(q.x * 3.0, q.y * 20.0, 0.0));
            Surface::of(SAGE_SHADE, normal).mixed(IRON, 0.2 + 0.4 * smooth(0.5, 0.8, worn)).glossy(0.04, 20.0)
        },
    )
    .behind()
    .boxed()
}

/// An upright post of oak with worn edges.
pub fn post(at: Vec3, half: f64, height: f64) -> Box<dyn Shape> {
    let size = v3(half, height / 2.0, half);
    Solid::new(
        Place::at(at + v3(0.0, height / 2.0, 0.0)),
        Bounds::around(v3(0.0, 0.0, 0.0), size),
        move |q| distance::block(q, size, 0.009),
        |q, normal| OAK_WOOD.surface(v3(q.y, q.x, q.z), 3, normal),
    )
    .boxed()
}

/// A plank or beam of wood along x, within a box.
pub fn timber(bounds: Bounds) -> Box<dyn Shape> {
    let (centre, half) = (bounds.centre(), bounds.half());
    let plank = (centre.y * 100.0 + centre.x * 37.0) as i64;
    Solid::new(
        Place::at(centre),
        Bounds::around(v3(0.0, 0.0, 0.0), half),
        move |q| distance::block(q, half, half.y.min(half.z).min(0.006)),
        move |q, normal| OAK_WOOD.surface(v3(q.x, q.z, q.y), plank, normal),
    )
    .boxed()
}

/// A painted locker or worktop's body: doors with bevelled panels towards +z, a wooden top.
pub fn locker(bounds: Bounds, doors: f64) -> Vec<Box<dyn Shape>> {
    let (centre, half) = (bounds.centre(), bounds.half());
    let wide = 2.0 * half.x / doors;
    let body = Solid::new(
        Place::at(centre),
        Bounds::around(v3(0.0, 0.0, 0.0), half),
        move |q| {
            let outer = distance::block(q, half, 0.004);
            if q.z < half.z - 0.03 || outer > 0.05 {
                return outer;
            }
            let x = (q.x + half.x) / wide;
            let across = (x - x.floor() - 0.5) * wide;
            let panel =
                distance::block(v3(across, q.y, q.z - half.z), v3(wide / 2.0 - 0.06, half.y - 0.08, 0.008), 0.0);
            let gap = (0.0025 - (wide / 2.0 - across.abs())).max(0.0);
            0.8 * distance::without(outer, panel, 0.006).max(outer + gap)
        },
        |q, normal| {
            let worn = grain(57, v3(q.x * 5.0, q.y * 5.0, q.z * 5.0));
            Surface::of(SAGE_SHADE, normal).mixed(IRON, 0.45 + smooth(0.45, 0.8, worn) * 0.3).glossy(0.04, 18.0)
        },
    );
    let over = v3(0.012, 0.0, 0.015);
    let top = Bounds {
        least: v3(bounds.least.x, bounds.most.y, bounds.least.z) - over,
        most: bounds.most + over + v3(0.0, 0.03, 0.0),
    };
    vec![body.boxed(), timber(top)]
}

/// A shelf on the wall with its brackets and a rail that keeps things on it in a seaway.
pub fn shelf(left: f64, right: f64, height: f64) -> Vec<Box<dyn Shape>> {
    let board = Bounds { least: v3(left, height - 0.022, WALL_Z), most: v3(right, height, WALL_Z + 0.2) };
    let middle = v3((left + right) / 2.0, height, WALL_Z + 0.19);
    let half = (right - left) / 2.0;
    let rail = Solid::new(
        Place::at(middle),
        Bounds { least: v3(-half, -0.001, -0.006), most: v3(half, 0.05, 0.006) },
        move |q| {
            let cell = 0.16;
            let x = q.x - cell * (q.x / cell).round();
            let bar = distance::limb(q, v3(-half + 0.01, 0.045, 0.0), v3(half - 0.01, 0.045, 0.0), 0.0045, 0.0045);
            bar.min(distance::limb(v3(x, q.y, q.z), v3(0.0, 0.0, 0.0), v3(0.0, 0.045, 0.0), 0.0035, 0.0035))
        },
        |_, normal| brass(normal),
    );
    let bracket = |x: f64| {
        Solid::new(
            Place::at(v3(x, height - 0.022, WALL_Z)),
            Bounds { least: v3(-0.012, -0.16, 0.0), most: v3(0.012, 0.0, 0.17) },
            |q| {
                let slope = (q.z - q.y - 0.16) * 0.707;
                distance::block(q - v3(0.0, -0.08, 0.085), v3(0.012, 0.08, 0.085), 0.003).max(slope)
            },
            |q, normal| OAK_WOOD.surface(v3(q.y, q.x, q.z), 5, normal),
        )
        .boxed()
    };
    vec![timber(board), rail.boxed(), bracket(left + 0.08), bracket(right - 0.08)]
}

/// Brass that has been polished for years.
pub fn brass(normal: Vec3) -> Surface {
    Surface { metal: true, ..Surface::of(BRASS, normal).glossy(0.7, 70.0) }
}

/// A bar of brass along x that things hang from, held out from a beam by short arms above it.
pub fn rail(at: Vec3, half: f64) -> Box<dyn Shape> {
    Solid::new(
        Place::at(at),
        Bounds { least: v3(-half, -0.008, -0.008), most: v3(half, 0.07, 0.008) },
        move |q| {
            let x = q.x.abs() - half * 0.8;
            distance::limb(q, v3(-half, 0.0, 0.0), v3(half, 0.0, 0.0), 0.007, 0.007).min(distance::limb(
                v3(x, q.y, q.z),
                v3(0.0, 0.0, 0.0),
                v3(0.0, 0.07, 0.0),
                0.005,
                0.005,
            ))
        },
        |_, normal| brass(normal),
    )
    .boxed()
}

/// The clock on a wall.
pub fn wall_clock(at: Vec3, hours: f64) -> Box<dyn Shape> {
    Box::new(Gauge::clock(Place::at(at), 0.1, hours))
}

/// Cream paint of a door or a box.
pub fn cream(q: Vec3, normal: Vec3) -> Surface {
    let worn = grain(63, q * 7.0);
    Surface::of(CREAM, normal).mixed(CREAM_SHADE, smooth(0.4, 0.7, worn)).glossy(0.04, 25.0)
}
