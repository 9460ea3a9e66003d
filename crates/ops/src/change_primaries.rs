//! Linear light from one set of primaries to another, adapting its white.
//!
//! `out = NPM(to)^-1 . CAT(white of from -> white of to) . NPM(from) . in`. A conversion: elaboration
//! inserts it. Negatives and values above one follow the matrix. Invertible.
//!
//! # Source
//! SMPTE RP 177 (normalised primary matrix); the adaptation's own source.

use colour::{Adaptation, Matrix, Primaries};

use crate::{Budget, Constant, Derived, Eval, Point, Pointwise, Shader, Signal};

/// A change of primaries of linear light.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangePrimaries {
    /// Primaries of what comes.
    pub from: Primaries,
    /// Primaries of what leaves.
    pub to: Primaries,
    /// How the white is adapted.
    pub adaptation: Adaptation,
}

impl Pointwise for ChangePrimaries {
    fn describe(&self) -> String {
        format!("primaries {} to {}, {}", self.from.name, self.to.name, self.adaptation.name())
    }

    fn shader(&self) -> Shader {
        shader!("ops/change_primaries.wgsl", "ChangePrimaries", "op_change_primaries")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        // Through XYZ, one matrix after the other.
        let to_xyz = self.from.xyz_from_rgb();
        let adapt = self.adaptation.matrix(self.from.white, self.to.white);
        let from_xyz = self.to.rgb_from_xyz();
        if self.from == self.to {
            return Box::new(|rgb| rgb);
        }
        Box::new(move |rgb| from_xyz.apply(adapt.apply(to_xyz.apply(rgb))))
    }

    fn derive(&self, takes: &Signal) -> Derived {
        let matrix = self.matrix(takes).unwrap_or(Matrix::IDENTITY);
        Derived::new(vec![("matrix", Constant::Matrix(matrix.0))])
    }

    fn matrix(&self, _takes: &Signal) -> Option<Matrix> {
        Some(Primaries::rgb_from_rgb(&self.to, &self.from, self.adaptation))
    }

    fn budget(&self) -> Budget {
        // As white-balance: a matrix with rounded constants and cancelling terms.
        Budget { ulps: 8.0, floor: 0.0 }
    }

    fn is_undone_by(&self, next: &Point) -> bool {
        matches!(next, Point::ChangePrimaries(next)
            if next.from == self.to && next.to == self.from && next.adaptation == self.adaptation)
    }
}
