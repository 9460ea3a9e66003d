//! Display light of an HLG display back to the scene light that its signal carries.
//!
//! A hybrid log-gamma display of a peak shows scene light through an optical-optical transfer,
//! `Fd = peak * Ys^(gamma - 1) * E`; this step is its inverse, so that a picture made of display
//! light (1.0 is 100 nits) is shown as it is. Crosses channels through BT.2020 luminance.
//! Mirrored about black by the size of the luminance, so that nothing is lost below it; where the
//! luminance of a colour outside the gamut vanishes, the gain is held finite. Invertible.
//!
//! # Source
//! Rec. ITU-R BT.2100-2 table 5 and note 5f; extended gamma: Rep. ITU-R BT.2390.

use colour::hlg_ootf;

use crate::{Budget, Constant, Derived, Eval, Pointwise, Shader, Signal};

/// Nits that 1.0 of linear display light stands for.
const NITS_OF_ONE: f64 = 100.0;

/// The inverse of the transfer from scene to display light.
#[derive(Debug, Clone, PartialEq)]
pub struct HlgLight {
    /// Light of signal white.
    pub peak_nits: f64,
}

impl Pointwise for HlgLight {
    fn describe(&self) -> String {
        format!("scene light of an HLG display of {} nits", self.peak_nits)
    }

    fn shader(&self) -> Shader {
        shader!("ops/hlg_light.wgsl", "HlgLight", "op_hlg_light")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let peak_nits = self.peak_nits;
        Box::new(move |rgb| hlg_ootf::scene_from_nits(rgb.map(|light| light * NITS_OF_ONE), peak_nits, 0.0))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let gamma = hlg_ootf::gamma(self.peak_nits);
        Derived::new(vec![
            ("scale", Constant::Scalar(NITS_OF_ONE / self.peak_nits)),
            ("exponent", Constant::Scalar((1.0 - gamma) / gamma)),
            ("weights", Constant::Triple([0.2627, 0.6780, 0.0593])),
        ])
    }

    fn budget(&self) -> Budget {
        // A power with exponent about -0.2 of a luminance.
        Budget { ulps: 32.0, floor: 1e-7 }
    }
}
