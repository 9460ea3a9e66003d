//! What stands and hangs in the galley in every shot.

use super::{range, room, ware, window};
use crate::body::{Planks, WARM_WOOD};
use crate::material::{BRICK, CREAM, ENAMEL_RIM, SAGE};
use crate::space::{Bounds, Vec3, v3};
use crate::trace::Shape;

use super::room::WALL_Z;

/// The bulb of the lamp over the table.
pub const BULB: Vec3 = v3(0.02, 1.64, -0.55);
/// The window's middle.
pub const PANE: Vec3 = v3(1.25, 1.46, WALL_Z);
/// Height of the worktop.
pub const WORKTOP: f64 = 0.89;
/// Height of the range.
pub const RANGE: f64 = 0.9;
/// Height of the table.
pub const TABLE: f64 = 0.76;
/// Height of the locker under the window.
pub const LOCKER: f64 = 0.93;
/// Height of the rail that pans hang from, and how far it stands from the camera.
pub const RAIL: [f64; 2] = [1.83, -0.64];

/// Walls, post, beam, range, lockers, table, and the shelf with its ware.
pub fn fittings() -> Vec<Box<dyn Shape>> {
    let mut shapes = room::walls();
    shapes.push(room::post(v3(0.715, 0.0, -0.2), 0.055, 2.1));
    shapes.push(room::timber(Bounds { least: v3(-1.52, 1.9, -0.72), most: v3(2.0, 2.1, -0.58) }));
    shapes.push(room::rail(v3(-0.77, RAIL[0], RAIL[1]), 0.69));
    shapes.extend(range::range(Bounds { least: v3(-1.0, 0.1, -0.62), most: v3(0.1, RANGE, -0.12) }));
    shapes.extend(room::locker(Bounds { least: v3(-1.5, 0.1, -0.02), most: v3(-0.52, WORKTOP - 0.03, 0.36) }, 2.0));
    shapes.extend(room::locker(Bounds { least: v3(0.78, 0.1, -1.28), most: v3(1.8, LOCKER - 0.03, -0.45) }, 2.0));
    let table = Bounds { least: v3(-0.3, TABLE - 0.035, 0.14), most: v3(1.3, TABLE, 0.74) };
    shapes.push(Box::new(Planks::new(table, 0.15).of(WARM_WOOD)));
    shapes.push(window::curtain(v3(PANE.x - 0.3, PANE.y + 0.36, WALL_Z), 0.1, 0.62));
    shapes.extend(room::shelf(-0.06, 0.66, 1.42));
    let on = |x: f64, z: f64| v3(x, 1.42, WALL_Z + z);
    shapes.push(ware::jar(on(0.02, 0.1), 0.05, 0.15, BRICK, true));
    shapes.push(ware::jar(on(0.13, 0.1), 0.042, 0.12, ENAMEL_RIM, false));
    shapes.push(ware::bottle(on(0.21, 0.08)));
    shapes.push(ware::plates(on(0.36, 0.13), 4));
    shapes.push(ware::jar(on(0.53, 0.1), 0.055, 0.17, SAGE, true));
    shapes.push(ware::jar(on(0.61, 0.1), 0.036, 0.1, CREAM, false));
    shapes
}
