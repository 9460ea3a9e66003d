//! A colour as tristimulus values, and everything that follows from them.

use colour::primaries::{BT2020, D65};
use colour::{Xy, cct, difference, uniform};

/// CIE XYZ with white D65 at Y = 1, and the light of that white where it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tristimulus {
    /// X, Y and Z.
    pub xyz: [f64; 3],
    /// Nits of Y = 1; none in a scene.
    pub white_nits: Option<f64>,
}

impl Tristimulus {
    /// CIE 1931 (x, y); none where X + Y + Z is not above 0.
    pub fn xy(&self) -> Option<Xy> {
        let sum: f64 = self.xyz.iter().sum();
        (sum > 0.0).then(|| Xy::from_xyz(self.xyz))
    }

    /// CIE 1976 (u', v'); none where (x, y) is none.
    pub fn uv1976(&self) -> Option<[f64; 2]> {
        self.xy().map(Xy::to_uv1976)
    }

    /// Correlated colour temperature in kelvin, and Duv; none for what has none.
    pub fn cct_duv(&self) -> Option<(f64, f64)> {
        self.xy().and_then(|xy| cct::cct_duv(xy).ok())
    }

    /// CIE L*, a*, b* against D65.
    pub fn lab(&self) -> [f64; 3] {
        difference::cielab(self.xyz, D65)
    }

    /// Luminance in nits; none in a scene.
    pub fn nits(&self) -> Option<f64> {
        self.white_nits.map(|white| self.xyz[1] * white)
    }

    /// Delta E 2000 to another colour.
    ///
    /// # Source
    /// ISO/CIE 11664-6:2014.
    pub fn delta_e_2000(&self, other: &Tristimulus) -> f64 {
        difference::ciede2000(self.lab(), other.lab())
    }

    /// Delta E ITP to another colour; none where the light of either is not known in nits.
    ///
    /// # Source
    /// Rec. ITU-R BT.2124-0.
    pub fn delta_e_itp(&self, other: &Tristimulus) -> Option<f64> {
        Some(difference::delta_e_itp(self.ictcp()?, other.ictcp()?))
    }

    fn ictcp(&self) -> Option<[f64; 3]> {
        let white = self.white_nits?;
        Some(uniform::ictcp_from_nits(BT2020.rgb_from_xyz().apply(self.xyz).map(|v| v * white)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_and_scenes_lack_what_they_must() {
        let black = Tristimulus { xyz: [0.0; 3], white_nits: Some(100.0) };
        assert_eq!((black.xy(), black.uv1976(), black.cct_duv(), black.nits()), (None, None, None, Some(0.0)));
        assert_eq!(black.lab(), [0.0; 3]);
        let white = Tristimulus { xyz: D65.to_xyz(), white_nits: None };
        assert_eq!((white.delta_e_itp(&black), white.nits()), (None, None));
        assert!((white.delta_e_2000(&black) - 100.0).abs() < 1e-9); // L* 100 to L* 0, whose weight at 50 is 1
    }
}
