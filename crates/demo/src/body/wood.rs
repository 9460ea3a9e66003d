//! Sawn wood: rings of a trunk cut lengthwise, with fibres and a few knots.

use crate::material::{Material, OAK, OAK_DARK, PINE, PINE_DARK, WOOD_WARM};
use crate::space::Leg as _;
use crate::space::{Vec3, chance, mix, smooth, uneven, v3};
use crate::trace::Surface;

/// A kind of wood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wood {
    /// What grows in spring.
    pub light: Material,
    /// What grows in summer, and the knots.
    pub dark: Material,
    /// From ring to ring, in metres.
    pub ring: f64,
    /// How strongly the rings show, 0..1.
    pub strength: f64,
    /// Share of a metre's length of plank that has a knot, 0..1.
    pub knots: f64,
    /// Bare and dry, without varnish.
    pub dull: bool,
}

/// Oiled oak.
pub const OAK_WOOD: Wood = Wood { light: OAK, dark: OAK_DARK, ring: 0.0046, strength: 0.85, knots: 0.18, dull: false };
/// Pine, with more knots and clearer rings.
pub const PINE_WOOD: Wood =
    Wood { light: PINE, dark: PINE_DARK, ring: 0.0056, strength: 1.0, knots: 0.45, dull: false };

/// A wood close to skin in hue.
pub const WARM_WOOD: Wood = Wood { light: WOOD_WARM, dark: OAK, ring: 0.0042, strength: 0.6, knots: 0.08, dull: false };

impl Wood {
    /// What is met at a point of a plank: x along it, y across, z through it, metres; every plank has its number.
    pub fn surface(&self, q: Vec3, plank: i64, normal: Vec3) -> Surface {
        let own = |which: i64| chance(71, plank, which, 0);
        // The trunk's middle lies below the plank and not quite along it: flat arches where it is near, lines elsewhere.
        let beside = (own(0) - 0.5) * 0.12;
        let below = mix(0.025, 0.075, own(1)) + q.z + (own(2) - 0.5) * 0.07 * q.x;
        let crooked = 0.022 * (uneven(72, v3(q.x * 1.5, own(3) * 40.0, 0.0)) - 0.5);
        let mut radius = (q.y - beside + crooked).leg(below);
        radius += 0.005 * (uneven(73, v3(q.x * 2.6, q.y * 9.0, own(4) * 40.0)) - 0.5);
        radius += 0.0022 * (uneven(74, v3(q.x * 11.0, q.y * 40.0, own(4) * 40.0)) - 0.5);
        let (bump, knot) = self.knot(q, plank);
        let phase = radius / self.ring + 3.0 * bump;
        let ring = phase - phase.floor();
        let strength = self.strength * mix(0.55, 1.0, chance(75, phase.floor() as i64, plank, 0));
        let late = smooth(0.15, 0.72, ring) * smooth(1.0, 0.74, ring) * strength;
        // Fibres, coarse and fine, and every plank a little lighter or darker than the next.
        let fibre = uneven(76, v3(q.x * 5.0, q.y * 130.0, q.z * 130.0 + own(5) * 40.0));
        let fine = uneven(77, v3(q.x * 16.0, q.y * 420.0, q.z * 420.0));
        let tone = 0.5 * (own(6) - 0.4);
        let share = tone + 0.6 * late + 0.22 * (fibre - 0.3) + 0.14 * (fine - 0.5) + 0.9 * knot;
        let surface = Surface::of(self.light, normal).mixed(self.dark, share.min(1.0));
        if self.dull {
            return surface.glossy(0.012, 6.0);
        }
        // The varnish is worn off in places.
        let worn = smooth(0.3, 0.75, uneven(78, v3(q.x * 6.0, q.y * 11.0, own(7) * 30.0)));
        surface.glossy(mix(0.032, 0.014, worn), mix(34.0, 10.0, worn))
    }

    /// How far a knot pushes the rings aside, and how much of the place it covers.
    fn knot(&self, q: Vec3, plank: i64) -> (f64, f64) {
        let length = (q.x - 0.37 * chance(79, plank, 0, 0)).floor();
        let own = |which: i64| chance(80, plank, length as i64, which);
        if own(0) > self.knots {
            return (0.0, 0.0);
        }
        let along = q.x - 0.37 * chance(79, plank, 0, 0) - length - mix(0.2, 0.8, own(1));
        let across = q.y - (own(2) - 0.5) * 0.08;
        let size = mix(0.005, 0.0095, own(3));
        let away = (along * 0.7).leg(across);
        let near = size / (size + away);
        let ring = 0.5 + 0.5 * (away * 1500.0).sin();
        (1.1 * near * near, smooth(1.15 * size, 0.85 * size, away) * mix(0.75, 1.0, ring))
    }
}
