//! A copper pan on its hook.

use super::lathe::line;
use crate::material::{COPPER, IRON};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, chance, distance, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A copper pan that hangs on a wall by its handle, its outside to +z; 260 mm across, its origin is the middle of its bottom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pan {
    place: Place,
}

/// How deep it is, in metres.
const DEEP: f64 = 0.066;

impl Pan {
    /// Hanging at a place.
    pub fn hanging(place: Place) -> Self {
        Self { place }
    }

    /// The hammered sheet with its rim.
    fn copper(q: Vec3) -> f64 {
        let upright = v3(q.x, -q.z - 0.05, q.y);
        let outside = distance::drum(upright, 0.05, 0.115, 0.142, 0.024);
        let sheet = ((outside + 0.0016).abs() - 0.0016).max(-q.z - DEEP);
        let rim = (q.x.leg(q.y) - 0.1325).leg(q.z + DEEP) - 0.0026;
        sheet.min(rim)
    }

    /// The iron handle with its foot, its eye and the rivets, and the hook that it hangs on.
    fn iron(q: Vec3) -> f64 {
        let side = q.x.abs();
        // The foot lies on the wall; the bar rises from it, bends forward a little and narrows.
        let foot = distance::block(q - v3(0.0, 0.1315, -0.044), v3(0.024, 0.0035, 0.014), 0.003);
        let rivet = distance::ellipsoid(v3(side - 0.0155, q.y - 0.1345, q.z + 0.044), v3(0.0058, 0.0042, 0.0058));
        let share = ((q.y - 0.13) / 0.19).clamp(0.0, 1.0);
        let (wide, ahead) = (mix(0.0125, 0.0085, share), -0.044 + 0.016 * share * share);
        let across = (side - wide + 0.002).max(0.0).leg(((q.z - ahead).abs() - 0.0012).max(0.0)) - 0.002;
        let bar = 0.97 * across.max(q.y - 0.322).max(0.13 - q.y);
        let eye =
            ((q.x.leg(q.y - 0.333) - 0.0115).abs() - 0.0042).max(0.0).leg(((q.z + 0.028).abs() - 0.0015).max(0.0))
                - 0.0016;
        let peg =
            line(q.y, q.z, [0.3395, -0.085], [0.339, -0.018]).min(line(q.y, q.z, [0.339, -0.018], [0.347, -0.012]));
        let hook = peg.leg(q.x) - 0.0032;
        distance::joined(foot, bar, 0.008).min(rivet).min(distance::joined(bar, eye, 0.006)).min(hook)
    }

    /// The blows of the hammer: every one a shallow bowl, close to its neighbours, over the bottom and along the wall.
    fn hammered(q: Vec3) -> Vec3 {
        let r = q.x.leg(q.y).max(1e-6);
        let outward = v3(q.x / r, q.y / r, 0.0);
        if q.z > -0.012 {
            let by = blow(q.x, q.y, 0);
            return v3(by[0], by[1], 0.0);
        }
        // Along the wall: about it, and down it.
        let by = blow(0.13 * q.y.atan2(q.x), q.z, 1);
        v3(-outward.y, outward.x, 0.0) * by[0] + v3(0.0, 0.0, by[1])
    }
}

/// How the nearest of many blows bends the sheet at a point of it.
fn blow(u: f64, v: f64, sheet: i64) -> [f64; 2] {
    const APART: f64 = 0.0125;
    let (u, v) = (u / APART, v / APART);
    let mut best = (f64::INFINITY, [0.0, 0.0], 0.0);
    for cell in 0..9 {
        let (i, j) = (u.floor() as i64 + cell % 3 - 1, v.floor() as i64 + cell / 3 - 1);
        let own = |which: i64| chance(31, i, j, 3 * sheet + which);
        let (a, b) = (u - i as f64 - mix(0.12, 0.88, own(0)), v - j as f64 - mix(0.12, 0.88, own(1)));
        if a * a + b * b < best.0 {
            best = (a * a + b * b, [a, b], mix(0.07, 0.15, own(2)));
        }
    }
    let (_, by, deep) = best;
    by.map(|way| -deep * way)
}

impl Shape for Pan {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.136, -0.136, -0.086), most: v3(0.136, 0.352, 0.002) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let copper = Self::copper(q);
        if q.y > 0.09 { copper.min(Self::iron(q)) } else { copper.min(0.126 - q.y) }
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        if q.y > 0.09 && Self::iron(q) < Self::copper(q) {
            let rough =
                v3(uneven(41, q * 300.0) - 0.5, uneven(42, q * 300.0) - 0.5, uneven(43, q * 300.0) - 0.5) * 0.25;
            return Surface::of(IRON, normal).glossy(0.05, 14.0).bent(rough);
        }
        // Handled copper is bright in the middle and browned by fire towards its rim and in patches.
        let browned = smooth(0.35, 0.8, uneven(44, q * 19.0) + 4.0 * (-q.z - 0.045).max(0.0));
        let bend = self.place.outward(Self::hammered(q)) - self.place.at;
        let surface = Surface::of(COPPER, normal).glossy(mix(0.88, 0.5, browned), mix(95.0, 61.0, browned)).bent(bend);
        Surface { metal: true, ..surface }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn its_bottom_is_at_its_origin() {
        let pan = Pan::hanging(Place::at(v3(0.1, 1.0, -0.5)));
        assert!(pan.distance(v3(0.1, 1.0, -0.5), 0.0).abs() < 1e-3);
    }
}
