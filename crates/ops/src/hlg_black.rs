//! The signal of an HLG display with a raised black.
//!
//! Such a display lifts the signal, `(1 - lift) * signal + lift`, before it undoes the camera curve, so that signal 0
//! shows its black; this step is the inverse of that lift. Without a black it leaves every bit. The whole real line;
//! signal below 0 is light below black. Invertible.
//!
//! # Source
//! Rec. ITU-R BT.2100-2 table 5, the electro-optical transfer with its black lift.

use colour::{Affine, Matrix, hlg_ootf};

use crate::{Budget, Constant, Derived, Eval, Pointwise, Shader, Signal};

/// The inverse of the black lift of an HLG display.
#[derive(Debug, Clone, PartialEq)]
pub struct HlgBlack {
    /// Light of signal white.
    pub peak_nits: f64,
    /// Light of signal black.
    pub black_nits: f64,
}

impl HlgBlack {
    fn lift(&self) -> f64 {
        hlg_ootf::black_lift(self.peak_nits, self.black_nits)
    }
}

impl Pointwise for HlgBlack {
    fn describe(&self) -> String {
        format!("signal of an HLG display with a black of {} nits", self.black_nits)
    }

    fn shader(&self) -> Shader {
        shader!("ops/hlg_black.wgsl", "HlgBlack", "op_hlg_black")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let lift = self.lift();
        Box::new(move |rgb| rgb.map(|signal| (signal - lift) / (1.0 - lift)))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let left = 1.0 - self.lift();
        Derived::new(vec![
            ("scale", Constant::Scalar(left.recip())),
            ("offset", Constant::Scalar(-self.lift() / left)),
        ])
    }

    fn affine(&self, _takes: &Signal) -> Option<Affine> {
        let left = 1.0 - self.lift();
        let scale = Matrix::diagonal([left.recip(); 3]);
        Some(Affine { matrix: scale, offset: [-self.lift() / left; 3] })
    }

    fn is_by_channel(&self) -> bool {
        true
    }

    fn budget(&self) -> Budget {
        // A product and a sum of terms not larger than one.
        Budget { ulps: 4.0, floor: 1e-7 }
    }
}
