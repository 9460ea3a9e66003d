//! Enamel on sheet steel: the one glaze of mug and jug.

use crate::material::{ENAMEL, ENAMEL_RIM, IRON};
use crate::space::{Vec3, smooth, uneven, v3};
use crate::trace::Surface;

/// What is met at a point of the own axes: white or blue glaze, black where it has chipped off the steel.
///
/// `blue` tells how far the blue glaze is away, in metres, negative within it; chips are balls of a middle and a radius.
pub fn enamel(q: Vec3, normal: Vec3, blue: f64, chips: &[(Vec3, f64)]) -> Surface {
    let ragged = (uneven(5, q * 520.0) - 0.5) * 0.0035;
    let chip = chips.iter().fold(f64::INFINITY, |least, (at, radius)| least.min((q - *at).length() - radius)) + ragged;
    if chip < 0.0 {
        return Surface::of(IRON, normal).glossy(0.03, 9.0);
    }
    // A glaze runs: its edge wanders, and it never lies quite flat.
    let edge = blue + (uneven(9, q * 95.0) - 0.5) * 0.0018;
    let wave = v3(uneven(11, q * 60.0) - 0.5, 0.0, uneven(12, q * 60.0) - 0.5) * 0.05;
    let bare = smooth(0.0006, 0.0, chip);
    let blue = smooth(0.0004, -0.0004, edge);
    let glaze = if blue > 0.5 { ENAMEL_RIM } else { ENAMEL };
    let (other, share) = if bare > 0.0 {
        (IRON, 0.6 * bare)
    } else if blue > 0.5 {
        (ENAMEL, 1.0 - blue)
    } else {
        (ENAMEL_RIM, blue)
    };
    Surface::of(glaze, normal).mixed(other, share).glossy(0.045, 220.0).bent(wave)
}
