//! Chromaticity coordinates of the CIE 1931 standard observer.

use serde::{Deserialize, Serialize};

/// A CIE 1931 chromaticity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Xy {
    /// x = X / (X + Y + Z).
    pub x: f64,
    /// y = Y / (X + Y + Z); must not be 0 where the chromaticity stands for a light.
    pub y: f64,
}

impl Xy {
    /// A chromaticity from its two coordinates.
    pub const fn new(x: f64, y: f64) -> Xy {
        Xy { x, y }
    }

    /// Tristimulus values of this chromaticity at Y = 1.
    pub fn to_xyz(self) -> [f64; 3] {
        [self.x / self.y, 1.0, (1.0 - self.x - self.y) / self.y]
    }

    /// The chromaticity of tristimulus values; their sum must not be 0.
    pub fn from_xyz(xyz: [f64; 3]) -> Xy {
        let sum = xyz[0] + xyz[1] + xyz[2];
        Xy::new(xyz[0] / sum, xyz[1] / sum)
    }

    /// CIE 1960 UCS (u, v): the plane in which correlated colour temperature and Duv are defined.
    ///
    /// # Source
    /// CIE 15:2018, the 1960 diagram; ANSI C78.377 for Duv.
    pub fn to_uv1960(self) -> [f64; 2] {
        let d = -2.0 * self.x + 12.0 * self.y + 3.0;
        [4.0 * self.x / d, 6.0 * self.y / d]
    }

    /// The chromaticity of CIE 1960 (u, v).
    pub fn from_uv1960(uv: [f64; 2]) -> Xy {
        let [u, v] = uv;
        let d = 2.0 * u - 8.0 * v + 4.0;
        Xy::new(3.0 * u / d, 2.0 * v / d)
    }

    /// CIE 1976 (u', v'): u' = u, v' = 1.5 v.
    ///
    /// # Source
    /// CIE 15:2018, 8.1.
    pub fn to_uv1976(self) -> [f64; 2] {
        let [u, v] = self.to_uv1960();
        [u, 1.5 * v]
    }

    /// The chromaticity of CIE 1976 (u', v').
    pub fn from_uv1976(uv: [f64; 2]) -> Xy {
        Xy::from_uv1960([uv[0], uv[1] / 1.5])
    }

    /// Whether the chromaticity can be a light: finite, y > 0, and no coordinate outside 0..1.
    pub fn is_light(self) -> bool {
        self.x.is_finite() && self.x >= 0.0 && self.y > 0.0 && self.x + self.y <= 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn uv_round_trips(x in 0.05f64..0.7, y in 0.05f64..0.8) {
            let xy = Xy::new(x, y);
            // Two divisions each way: a few ulp.
            for back in [
                Xy::from_uv1960(xy.to_uv1960()),
                Xy::from_uv1976(xy.to_uv1976()),
                Xy::from_xyz(xy.to_xyz()),
            ] {
                prop_assert!((back.x - x).abs() < 1e-13 && (back.y - y).abs() < 1e-13);
            }
        }
    }
}
