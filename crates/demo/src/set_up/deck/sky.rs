//! What is behind the ship: the sky of the blue hour, the shore and the sea.
//!
//! Painted by direction, so that it costs a ray nothing. Nothing here changes with time.

use super::{AFTERGLOW, HORIZON, LAMP, SKY, ZENITH};
use crate::space::{Ray, Vec3, chance, grain, mix, smooth, uneven, v3};
use crate::trace::Glow;

/// Height of the eye over the water, in metres above the deck's own height.
const DECK_OVER_WATER: f64 = 6.0;

/// Where the last light stands and where the shore is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sky {
    /// Level direction of length 1 towards the last band of light.
    pub(super) glow: Vec3,
    /// Level direction towards the middle of the lights on the shore.
    pub(super) shore: Vec3,
    /// How bright the band is: 1 early, less as the light goes.
    pub(super) band: f64,
}

impl Sky {
    /// The light along a ray.
    pub(super) fn look(&self, ray: &Ray) -> Vec<Glow> {
        let d = ray.towards;
        if d.y < 0.0 { self.sea(ray) } else { self.air(d) }
    }

    /// The sky at a height above the horizon: deep above, paler below, and rosy where the sun went.
    fn air(&self, d: Vec3) -> Vec<Glow> {
        let level = v3(d.x, 0.0, d.z).unit();
        let near = smooth(-0.3, 1.0, level.dot(self.glow));
        let up = d.y.clamp(0.0, 1.0);
        // Long thin streaks of cloud, flat with distance.
        let streak = grain(401, v3(level.x * 3.0, up * 46.0, level.z * 3.0));
        let cloud = smooth(0.5, 0.8, streak) * smooth(0.01, 0.06, up) * smooth(0.36, 0.12, up);
        let pale = 0.50 * (-up / 0.085).exp() * mix(0.45, 1.0, near);
        let deep = 0.30 * (-up / 0.40).exp() * smooth(-0.08, 0.12, up) + 0.03;
        let band = self.band * 0.75 * near * near * (-up / 0.045).exp() * (1.0 - 0.5 * cloud);
        vec![
            Glow { source: HORIZON, level: 0.45 * pale * (1.0 - 0.28 * cloud) },
            Glow { source: SKY, level: 0.40 * pale * (1.0 - 0.28 * cloud) },
            Glow { source: ZENITH, level: deep * (1.0 - 0.20 * cloud) },
            Glow { source: AFTERGLOW, level: band },
        ]
        .into_iter()
        .chain(self.shore_at(d, level))
        .collect()
    }

    /// Lights of the shore, a hand's breadth over the horizon: small soft dots, no two alike.
    fn shore_at(&self, d: Vec3, level: Vec3) -> Option<Glow> {
        let sideways = level.cross(self.shore).y;
        if level.dot(self.shore) < 0.6 || !(0.0..0.022).contains(&d.y) {
            return None;
        }
        let pitch = 0.0125;
        let cell = (sideways / pitch).floor();
        let at = |salt: i64| chance(77, cell as i64, salt, 0);
        if at(1) < 0.42 {
            return None;
        }
        let middle = (cell + 0.25 + 0.5 * at(2)) * pitch;
        let (across, high) = (sideways - middle, d.y - 0.003 - 0.008 * at(3) * at(3));
        let wide = 0.0008 + 0.0008 * at(4);
        let away = (across * across + high * high) / (wide * wide);
        let level = (0.8 + 5.0 * at(5) * at(5)) * (1.0 / (1.0 + away * away) + 0.012 / (1.0 + 0.02 * away));
        Some(Glow { source: if at(6) < 0.72 { LAMP } else { SKY }, level })
    }

    /// Near-black water that mirrors the low sky the more the flatter it is seen, broken by small waves.
    fn sea(&self, ray: &Ray) -> Vec<Glow> {
        let d = ray.towards;
        let level = v3(d.x, 0.0, d.z).unit();
        let down = -d.y;
        let metres = (ray.from.y + DECK_OVER_WATER) / down.max(1e-4);
        let spot = ray.at(metres.min(4000.0));
        // Waves grow with distance, so that they stay a few pixels high.
        let scale = 1.0 / (0.5 + 0.012 * metres.min(4000.0));
        let (along, across) = (spot.dot(level), spot.dot(v3(level.z, 0.0, -level.x)));
        let waves = 0.6 * uneven(411, v3(across * 0.70 * scale.sqrt(), along * 0.30 * scale, 1.0))
            + 0.4 * uneven(412, v3(across * 2.2 * scale.sqrt(), along * 0.9 * scale, 2.0));
        let near = smooth(-0.3, 1.0, level.dot(self.glow));
        let flat = (-down / 0.035).exp();
        let mirrored = 0.02 + 0.30 * flat;
        let glint = smooth(0.55, 0.85, waves) * (0.10 * near + 0.03) * (-down / 0.16).exp() * smooth(0.0, 0.006, down);
        let band = self.band * near * near * (0.16 * (-down / 0.02).exp() + 1.1 * glint);
        vec![
            Glow { source: SKY, level: mirrored * 0.36 * mix(0.55, 1.0, near) * mix(0.75, 1.15, waves) },
            Glow { source: ZENITH, level: 0.012 + 0.5 * glint },
            Glow { source: AFTERGLOW, level: band },
        ]
    }
}
