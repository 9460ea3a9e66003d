//! Chromatic adaptation: what a surface under one white must be to look the same under another.

use crate::{Matrix, Xy, names};
use serde::{Deserialize, Serialize};

/// A linear (von Kries) adaptation transform, named after its cone matrix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Adaptation {
    /// Lam 1985 in the linear form that ICC profiles and the Academy use.
    #[serde(rename = "Bradford", alias = "bradford")]
    Bradford,
    /// CIE 159:2004, the adaptation of CIECAM02.
    #[serde(rename = "CAT02", alias = "cat02")]
    Cat02,
    /// Li et al. 2017, the adaptation of CAM16.
    #[serde(rename = "CAT16", alias = "cat16")]
    Cat16,
    /// Hunt-Pointer-Estevez cones, normalised to D65.
    #[serde(rename = "von-Kries", alias = "von-kries")]
    VonKries,
    /// Gains on X, Y and Z themselves.
    #[serde(rename = "XYZ-scaling", alias = "xyz-scaling")]
    XyzScaling,
}

impl Adaptation {
    /// All five, in the order in which they are listed to the user.
    pub const ALL: [Adaptation; 5] =
        [Adaptation::Bradford, Adaptation::Cat02, Adaptation::Cat16, Adaptation::VonKries, Adaptation::XyzScaling];

    /// The name that is shown.
    pub fn name(self) -> &'static str {
        match self {
            Adaptation::Bradford => "Bradford",
            Adaptation::Cat02 => "CAT02",
            Adaptation::Cat16 => "CAT16",
            Adaptation::VonKries => "von Kries",
            Adaptation::XyzScaling => "XYZ scaling",
        }
    }

    /// The name as it is typed and written in files: without a space.
    pub fn id(self) -> &'static str {
        match self {
            Adaptation::Bradford => "Bradford",
            Adaptation::Cat02 => "CAT02",
            Adaptation::Cat16 => "CAT16",
            Adaptation::VonKries => "von-Kries",
            Adaptation::XyzScaling => "XYZ-scaling",
        }
    }

    /// The transform of that name; case and punctuation do not matter.
    pub fn parse(name: &str) -> Option<Adaptation> {
        Adaptation::ALL.into_iter().find(|a| names::same(a.name(), name))
    }

    /// The matrix from XYZ to the cone-like responses in which gains are taken.
    ///
    /// # Source
    /// Bradford: Lam 1985, ICC.1 annex E. CAT02: CIE 159:2004. CAT16: Li et al. 2017, Color Res. Appl. 42.
    /// von Kries: Hunt-Pointer-Estevez normalised to D65, as tabulated by Fairchild.
    pub const fn cone_from_xyz(self) -> Matrix {
        match self {
            Adaptation::Bradford => {
                Matrix([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
            }
            Adaptation::Cat02 => {
                Matrix([[0.7328, 0.4296, -0.1624], [-0.7036, 1.6975, 0.0061], [0.0030, 0.0136, 0.9834]])
            }
            Adaptation::Cat16 => Matrix([
                [0.401288, 0.650173, -0.051461],
                [-0.250268, 1.204414, 0.045854],
                [-0.002079, 0.048952, 0.953127],
            ]),
            Adaptation::VonKries => {
                Matrix([[0.40024, 0.7076, -0.08081], [-0.2263, 1.16532, 0.0457], [0.0, 0.0, 0.91822]])
            }
            Adaptation::XyzScaling => Matrix::IDENTITY,
        }
    }

    /// The full adaptation on XYZ: the white `from` becomes the white `to`, Y kept.
    /// Equal whites give exactly the identity.
    pub fn matrix(self, from: Xy, to: Xy) -> Matrix {
        self.matrix_by_degree(from, to, 1.0)
    }

    /// As [`Adaptation::matrix`], with each cone gain drawn towards 1: gain = degree (to / from) + 1 - degree.
    /// Degree 0 is exactly the identity.
    pub fn matrix_by_degree(self, from: Xy, to: Xy, degree: f64) -> Matrix {
        if from == to || degree == 0.0 {
            return Matrix::IDENTITY;
        }
        let cones = self.cone_from_xyz();
        let (source, target) = (cones.apply(from.to_xyz()), cones.apply(to.to_xyz()));
        let gain = |i: usize| degree * (target[i] / source[i]) + (1.0 - degree);
        let gains = Matrix::diagonal([gain(0), gain(1), gain(2)]);
        // The five matrices are constants with determinants far from 0 (tested below).
        let back = cones.inverse().unwrap_or(Matrix::IDENTITY);
        back * gains * cones
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primaries::{ACES_WHITE, D65};
    use proptest::prelude::*;

    #[test]
    fn equal_whites_are_the_identity_bit_for_bit() {
        for a in Adaptation::ALL {
            assert_eq!(a.matrix(D65, D65), Matrix::IDENTITY);
            assert_eq!(a.matrix_by_degree(D65, ACES_WHITE, 0.0), Matrix::IDENTITY);
            assert!(a.cone_from_xyz().inverse().is_some());
            assert_eq!(Adaptation::parse(&a.name().to_uppercase()), Some(a));
        }
        assert_eq!(Adaptation::parse("von-kries"), Some(Adaptation::VonKries));
        assert_eq!(Adaptation::parse("bredford"), None);
    }

    proptest! {
        #[test]
        fn white_goes_to_white_and_back(x in 0.25f64..0.5, y in 0.25f64..0.45) {
            let from = Xy::new(x, y);
            for a in Adaptation::ALL {
                let there = a.matrix(from, D65);
                let white = there.apply(from.to_xyz());
                for (got, want) in white.iter().zip(D65.to_xyz()) {
                    // One inverse and one product of matrices with entries of order 1.
                    prop_assert!((got - want).abs() < 1e-12);
                }
                let round = (a.matrix(D65, from) * there).apply([0.2, 0.3, 0.4]);
                for (got, want) in round.iter().zip([0.2, 0.3, 0.4]) {
                    prop_assert!((got - want).abs() < 1e-12);
                }
            }
        }
    }
}
