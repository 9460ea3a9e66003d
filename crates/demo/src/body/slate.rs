//! A frame of split slate about a flat face: what chart and card have in common.

use crate::material::{BRASS, SLATE, SLATE_PALE};
use crate::space::Leg as _;
use crate::space::{Vec3, distance, grain, smooth, uneven, v3};
use crate::trace::Surface;

/// A slate with a flat face let into it. Own axes: x right, y up from its foot, z out of the face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slate {
    /// Half its width and height, and half the opening's, in metres.
    pub half: [f64; 2],
    /// Half the opening's width, and how high its lower and upper edge are.
    pub opening: [f64; 3],
}

/// Where the face lies, from the middle of the slate's thickness; the frame stands out a little more.
pub const FACE: f64 = 0.01;
/// How far the frame stands out over the face.
const LIP: f64 = 0.0012;
/// The most that a split edge springs in or out.
const SPLIT: f64 = 0.0016;

impl Slate {
    /// Signed distance, or a lower bound of it.
    pub fn distance(&self, q: Vec3) -> f64 {
        let [wide, high] = self.half;
        let [across, below, above] = self.opening;
        let p = q - v3(0.0, high, 0.0);
        let body = distance::block(p, v3(wide, high, FACE + LIP), 0.0025);
        if body > 0.012 {
            return body - SPLIT;
        }
        // Slate splits in leaves: its edges are stepped along z and ragged along their length.
        let edge = (wide - q.x.abs()).min(high - p.y.abs());
        let ragged = if edge < 0.008 {
            let leaves = uneven(132, v3(q.x * 70.0, q.y * 70.0, q.z * 260.0));
            (2.0 * (0.6 * uneven(131, q * 75.0) + 0.4 * leaves) - 1.0) * SPLIT * smooth(0.008, 0.0, edge)
        } else {
            0.0
        };
        let window = distance::block(
            q - v3(0.0, 0.5 * (below + above), FACE + 0.02),
            v3(across, 0.5 * (above - below), 0.02),
            0.0,
        );
        0.85 * (body + ragged).max(-window)
    }

    /// Whether a point of the surface lies on the flat face.
    pub fn within(&self, q: Vec3) -> bool {
        let [across, below, above] = self.opening;
        q.x.abs() < across && q.y > below && q.y < above && (q.z - FACE).abs() < 8e-4
    }

    /// What is met beside the face: slate, pale where it is worn, and a brass pin in each corner.
    pub fn surface(&self, q: Vec3, normal: Vec3) -> Surface {
        let [wide, high] = self.half;
        let [across, below, _] = self.opening;
        let pin = (q.x.abs() - 0.5 * (wide + across)).leg((q.y - high).abs() - high + 0.5 * below);
        if q.z > 0.0 && pin < 0.0026 {
            return Surface { metal: true, ..Surface::of(BRASS, normal).glossy(0.6, 40.0) };
        }
        let edge = (wide - q.x.abs()).min(q.y).min(2.0 * high - q.y);
        let worn = smooth(0.0045, 0.0008, edge + 0.003 * uneven(133, q * 130.0)) * 0.7;
        let cloud = smooth(0.45, 0.8, grain(134, v3(q.x * 22.0, q.y * 22.0, q.z * 120.0))) * 0.3;
        let bend = v3(uneven(135, q * 210.0) - 0.5, uneven(136, q * 210.0) - 0.5, uneven(137, q * 210.0) - 0.5) * 0.22;
        Surface::of(SLATE, normal).mixed(SLATE_PALE, worn + cloud).glossy(0.035, 14.0).bent(bend)
    }
}
