//! A colour as tristimulus values, and everything that follows from them.

use colour::primaries::{BT2020, D65};
use colour::{Adaptation, Xy, cct, difference, uniform};

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

    /// The colour whose neutral is another white: light as it came, where equal numbers stand for the white that a camera was
    /// set to. By Bradford's cones, which is how cameras are commonly imitated, not how this one did it.
    #[must_use]
    pub fn under(&self, white: Xy) -> Tristimulus {
        Tristimulus { xyz: Adaptation::Bradford.matrix(D65, white).apply(self.xyz), ..*self }
    }

    /// The neutral of another white that is as light as this colour.
    #[must_use]
    pub fn neutral_of(&self, white: Xy) -> Tristimulus {
        Tristimulus { xyz: white.to_xyz().map(|v| v * self.xyz[1]), ..*self }
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

    /// The axes of Delta E ITP with its weights, so that a distance is that difference; none in a scene.
    ///
    /// # Source
    /// Rec. ITU-R BT.2124-0.
    pub fn itp(&self) -> Option<[f64; 3]> {
        self.ictcp().map(|[i, t, p]| [720.0 * i, 360.0 * t, 720.0 * p])
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
    fn a_camera_s_white_is_the_light_and_a_neutral_is_as_light() {
        let grey = Tristimulus { xyz: D65.to_xyz().map(|v| 0.18 * v), white_nits: None };
        let tungsten = Xy::new(0.4476, 0.4074);
        let Some(Xy { x, y }) = grey.under(tungsten).xy() else { panic!("light") };
        assert!((x - tungsten.x).abs() < 1e-12 && (y - tungsten.y).abs() < 1e-12);
        assert!((grey.under(tungsten).xyz[1] - 0.18).abs() < 1e-12);
        let neutral = grey.neutral_of(tungsten);
        assert!((neutral.lab()[0] - grey.lab()[0]).abs() < 1e-12 && grey.delta_e_2000(&grey.neutral_of(D65)) < 1e-6);
        assert!(grey.delta_e_2000(&neutral) > 20.0);
    }

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
