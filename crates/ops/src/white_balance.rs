//! White balance: the light of the scene seen as if it were another light.
//!
//! `out = W^-1 . CAT(from -> to) . W . in` on linear light, where `W = Bradford(white of the
//! primaries -> D65) . NPM` reads equal RGB as D65 and CAT is a von Kries-style adaptation in the
//! cone space of the method. Domain and range: the whole real line. Negatives and values above one
//! follow the matrix; alpha is untouched. Invertible: swap `from` and `to` (at degree 1).
//!
//! # Source
//! Bradford: Lam 1985 as in ICC.1; CAT02: CIE 159:2004; CAT16: Li et al. 2017; von Kries with
//! Hunt-Pointer-Estevez cones; NPM: SMPTE RP 177.

use colour::white::White;
use colour::{Adaptation, Matrix, Primaries, Xy, primaries};

use crate::{Budget, Constant, Context, Derived, Domain, Eval, OpError, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// Which light the picture was lit by, and which it shall look lit by.
    pub struct WhiteBalance {
        /// The light that lit the scene: kelvin with Duv, x,y or an illuminant; D65 unless told. A lower kelvin makes the picture bluer.
        from: White = d65(), White, None, ends ("bluer", "warmer");
        /// The light it shall look lit by; D65 unless told.
        to: White = d65(), White, None, ends ("warmer", "bluer");
        /// The cone space of the adaptation: Bradford, CAT02, CAT16, von-Kries or XYZ-scaling.
        method: Adaptation = Adaptation::Bradford, Choice, None;
        /// How much of the adaptation is applied: 0 leaves the picture, 1 takes the whole cast away.
        degree: f64 = 1.0, Scale, Share, soft (0.0, 1.0), hard (0.0, 1.0), ends ("cast stays", "cast goes");
    }
}

fn d65() -> White {
    White::named("D65").unwrap_or(White::Chromaticity(primaries::D65))
}

impl WhiteBalance {
    fn whites(&self) -> Result<(Xy, Xy), OpError> {
        let refuse = |field, error: &dyn std::fmt::Display| OpError::Setting { operation: Self::ID, field, reason: error.to_string() };
        let from = self.from.xy().map_err(|error| refuse("from", &error))?;
        let to = self.to.xy().map_err(|error| refuse("to", &error))?;
        Ok((from, to))
    }
}

impl Operation for WhiteBalance {
    const ID: &'static str = "white-balance";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "takes away the cast of the light that you name, in cone space";
    const HOME: Domain = Domain::Scene;

    fn signals(&self, _context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        self.whites()?;
        Ok(Signals { needs: given.clone(), gives: given.clone() })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.degree == 0.0 || self.whites().is_ok_and(|(from, to)| from == to)
    }

    fn uses_primaries(&self) -> bool {
        true
    }

    fn inverse(&self) -> Option<Self> {
        (self.degree == 1.0).then(|| Self { from: self.to, to: self.from, ..self.clone() })
    }
}

/// `W`: linear RGB to XYZ where equal RGB reads as D65.
pub fn xyz_with_d65(space: &Primaries) -> Matrix {
    Adaptation::Bradford.matrix(space.white, primaries::D65) * space.xyz_from_rgb()
}

impl Pointwise for WhiteBalance {
    fn describe(&self) -> String {
        format!("white-balance from {} to {}, {}, degree {}", self.from, self.to, self.method.name(), self.degree)
    }

    fn shader(&self) -> Shader {
        shader!("ops/white_balance.wgsl", "WhiteBalance", "op_white_balance")
    }

    fn eval(&self, takes: &Signal) -> Eval {
        let Ok((from, to)) = self.whites() else { return Box::new(|rgb| rgb) };
        if self.is_neutral() {
            return Box::new(|rgb| rgb);
        }
        // Step by step as a textbook does it: to XYZ, to cones, scale, and back.
        let to_xyz = xyz_with_d65(&takes.primaries);
        let cones = self.method.cone_from_xyz();
        let (Some(from_xyz), Some(back)) = (to_xyz.inverse(), cones.inverse()) else { return Box::new(|rgb| rgb) };
        let (from, to) = (cones.apply(from.to_xyz()), cones.apply(to.to_xyz()));
        let degree = self.degree;
        let gains: [f64; 3] = std::array::from_fn(|i| degree * to[i] / from[i] + (1.0 - degree));
        Box::new(move |rgb| {
            let lms = cones.apply(to_xyz.apply(rgb));
            let scaled = [lms[0] * gains[0], lms[1] * gains[1], lms[2] * gains[2]];
            from_xyz.apply(back.apply(scaled))
        })
    }

    fn derive(&self, takes: &Signal) -> Derived {
        let matrix = self.matrix(takes).unwrap_or(Matrix::IDENTITY);
        Derived::new(vec![("matrix", Constant::Matrix(matrix.0))])
    }

    fn matrix(&self, takes: &Signal) -> Option<Matrix> {
        let whites = self.whites().ok().filter(|_| !self.is_neutral());
        let to_xyz = xyz_with_d65(&takes.primaries);
        Some(match (whites, to_xyz.inverse()) {
            (Some((from, to)), Some(back)) => back * self.method.matrix_by_degree(from, to, self.degree) * to_xyz,
            _ => Matrix::IDENTITY,
        })
    }

    fn budget(&self) -> Budget {
        // Three products and two sums a channel with constants rounded to f32; the terms may be
        // several times the result where a strong cast is taken away.
        Budget { ulps: 8.0, floor: 0.0 }
    }
}
