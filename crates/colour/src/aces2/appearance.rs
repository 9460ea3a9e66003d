//! The appearance model of ACES 2: lightness J, colourfulness M and hue h of light, and back.
//!
//! Cone responses of CAM16 with full adaptation, the correlates of Hellwig and Fairchild (2022), a dim surround, an
//! adapting light of 100 cd/m2 and a background of 20 %.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use crate::{Matrix, Primaries, Xy};

/// The light that 1.0 of linear RGB stands for, in nits.
pub const REFERENCE_NITS: f64 = 100.0;

/// The colours of CAM16's cone responses as primaries; only their directions count, since the white is adapted out.
const CAM16: [Xy; 4] =
    [Xy::new(0.8336, 0.1735), Xy::new(2.3854, -1.4659), Xy::new(0.087, -0.125), Xy::new(0.333, 0.333)];
const ADAPTING_NITS: f64 = 100.0;
const BACKGROUND_NITS: f64 = 20.0;
/// Of the dim surround: the exponential non-linearity and the chromatic induction.
const SURROUND_C: f64 = 0.59;
const SURROUND_N_C: f64 = 0.9;
/// The response is `x^0.42 / (x^0.42 + 27.13)`, of 400 at most.
const RESPONSE_POWER: f64 = 0.42;
const RESPONSE_OFFSET: f64 = 27.13;
const RESPONSE_MOST: f64 = 400.0;
/// Where the inverse of the response stops, short of its pole.
const RESPONSE_LIMIT: f64 = 0.99;

/// The three correlates of a colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jmh {
    /// Lightness: 100 at 100 nits of white.
    pub j: f64,
    /// Colourfulness, 0 for a neutral.
    pub m: f64,
    /// Hue in degrees, 0 to below 360.
    pub hue: f64,
}

impl Jmh {
    /// No light.
    pub const BLACK: Jmh = Jmh { j: 0.0, m: 0.0, hue: 0.0 };
}

/// The model for linear RGB on one set of primaries, 1.0 standing for 100 nits, the white adapted out.
#[derive(Debug, Clone, PartialEq)]
pub struct Appearance {
    /// Linear RGB to what the cone responses are taken of.
    pub cones_from_rgb: Matrix,
    /// The inverse.
    pub rgb_from_cones: Matrix,
    /// Cone responses to the achromatic response (1 for 100 nits of white) and the opponent colours a and b, whose length is M.
    pub opponent_from_responses: Matrix,
    /// The inverse.
    pub responses_from_opponent: Matrix,
    /// What a neutral's nits are multiplied by before its response is taken.
    pub cone_per_nit: f64,
    /// The response of 100 nits of white.
    pub white_response: f64,
    /// The exponent of lightness over the achromatic response.
    pub exponent: f64,
}

impl Appearance {
    /// The model for light on these primaries.
    pub fn new(primaries: &Primaries) -> Appearance {
        let [red, green, blue, white] = CAM16;
        let sharpened = Primaries { name: "CAM16".into(), red, green, blue, white };
        let cones = sharpened.rgb_from_xyz() * primaries.xyz_from_rgb();
        let k4 = (1.0 / (5.0 * ADAPTING_NITS + 1.0)).powi(4);
        let level = 0.2 * k4 * (5.0 * ADAPTING_NITS) + 0.1 * (1.0 - k4).powi(2) * (5.0 * ADAPTING_NITS).cbrt();
        // White gives all three cones the adaptation level.
        let adapted = Matrix::diagonal(cones.apply([1.0; 3]).map(|white| level / white)) * cones;
        let white_response = response(level);
        let colourfulness = RESPONSE_MOST * 43.0 * SURROUND_N_C;
        let achromatic = 1.0 / ((2.0 + 1.0 + 1.0 / 20.0) * white_response);
        let opponent = Matrix::diagonal([achromatic, colourfulness, colourfulness])
            * Matrix([[2.0, 1.0, 1.0 / 20.0], [1.0, -12.0 / 11.0, 1.0 / 11.0], [1.0 / 9.0, 1.0 / 9.0, -2.0 / 9.0]]);
        Appearance {
            cones_from_rgb: adapted,
            rgb_from_cones: adapted.inverse().unwrap_or(Matrix::IDENTITY),
            opponent_from_responses: opponent,
            responses_from_opponent: opponent.inverse().unwrap_or(Matrix::IDENTITY),
            cone_per_nit: level / REFERENCE_NITS,
            white_response,
            exponent: SURROUND_C * (1.48 + (BACKGROUND_NITS / REFERENCE_NITS).sqrt()),
        }
    }

    /// The achromatic response and the opponent colours of linear RGB.
    pub fn opponent_from_rgb(&self, rgb: [f64; 3]) -> [f64; 3] {
        self.opponent_from_responses.apply(self.cones_from_rgb.apply(rgb).map(response))
    }

    /// The correlates of linear RGB; black where there is no achromatic response.
    pub fn jmh_from_rgb(&self, rgb: [f64; 3]) -> Jmh {
        let [achromatic, a, b] = self.opponent_from_rgb(rgb);
        if achromatic <= 0.0 {
            return Jmh::BLACK;
        }
        let turned = b.atan2(a).to_degrees();
        let hue = if turned < 0.0 { turned + 360.0 } else { turned };
        // A hue a rounding below zero comes out as a full turn.
        let hue = if hue < 360.0 { hue } else { 0.0 };
        Jmh { j: self.j_from_achromatic(achromatic), m: a.hypot(b), hue }
    }

    /// The linear RGB that has these correlates.
    pub fn rgb_from_jmh(&self, jmh: Jmh) -> [f64; 3] {
        let (sine, cosine) = jmh.hue.to_radians().sin_cos();
        let opponent = [self.achromatic_from_j(jmh.j), jmh.m * cosine, jmh.m * sine];
        self.rgb_from_cones.apply(self.responses_from_opponent.apply(opponent).map(cone))
    }

    /// Lightness of an achromatic response.
    pub fn j_from_achromatic(&self, achromatic: f64) -> f64 {
        100.0 * achromatic.powf(self.exponent)
    }

    /// The achromatic response of a lightness.
    pub fn achromatic_from_j(&self, j: f64) -> f64 {
        (j / 100.0).powf(1.0 / self.exponent)
    }

    /// Lightness of a neutral of that many nits, 0 or more.
    pub fn j_from_nits(&self, nits: f64) -> f64 {
        self.j_from_achromatic(response(nits * self.cone_per_nit) / self.white_response)
    }

    /// Nits of the neutral of a lightness, 0 or more.
    pub fn nits_from_j(&self, j: f64) -> f64 {
        cone(self.white_response * self.achromatic_from_j(j)) / self.cone_per_nit
    }
}

/// The compressed response of a cone, odd about zero, below 1.
fn response(cone: f64) -> f64 {
    let power = cone.abs().powf(RESPONSE_POWER);
    (power / (RESPONSE_OFFSET + power)).copysign(cone)
}

/// The inverse of [`response`].
fn cone(response: f64) -> f64 {
    let limited = response.abs().min(RESPONSE_LIMIT);
    (RESPONSE_OFFSET * limited / (1.0 - limited)).powf(1.0 / RESPONSE_POWER).copysign(response)
}
