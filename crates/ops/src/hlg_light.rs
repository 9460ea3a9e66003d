//! Display light of an HLG display (1.0 is 100 nits) to the scene light that its signal carries, and back.
//!
//! A hybrid log-gamma display of a peak shows scene light through an optical-optical transfer,
//! `Fd = peak * Ys^(gamma - 1) * E`; its inverse before the curve lets a picture made of display light be shown as
//! it is. 0 is then the display's black, 1.0 is 100 nits above it, less what the black takes of the peak; what a raised
//! black changes of the signal comes after encoding ([`crate::hlg_black`]). Crosses channels through BT.2020 luminance.
//! Mirrored about black by the size of the luminance, so that nothing is lost below it; where the
//! luminance of a colour outside the gamut vanishes, the gain is held finite. Invertible.
//!
//! # Source
//! Rec. ITU-R BT.2100-2 table 5 and note 5f; extended gamma: Rep. ITU-R BT.2390.

use colour::hlg_ootf;

use crate::{Budget, Constant, Derived, Display, Eval, Point, Pointwise, Shader, Signal};

/// The transfer between scene and display light, one way.
#[derive(Debug, Clone, PartialEq)]
pub struct HlgLight {
    /// Light of signal white.
    pub peak_nits: f64,
    /// Light of signal black; that of light that is shown is none.
    pub black_nits: f64,
    /// Whether it gives the light that is shown, of the scene light that the signal carries.
    pub shown: bool,
}

impl HlgLight {
    /// Display light to the scene light that the signal carries.
    pub fn carried(peak_nits: f64, black_nits: f64) -> Self {
        Self { peak_nits, black_nits, shown: false }
    }

    /// The scene light that the signal carries to the light of a display without a raised black.
    pub fn shown(peak_nits: f64) -> Self {
        Self { peak_nits, black_nits: 0.0, shown: true }
    }
}

impl Pointwise for HlgLight {
    fn describe(&self) -> String {
        let light = if self.shown { "light shown by" } else { "scene light of" };
        format!("{light} an HLG display of {}/{} nits", self.peak_nits, self.black_nits)
    }

    fn shader(&self) -> Shader {
        shader!("ops/hlg_light.wgsl", "HlgLight", "op_hlg_light")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let peak_nits = self.peak_nits;
        let [zero, unit] = Display::Hlg.zero_and_unit_nits(peak_nits, self.black_nits);
        if self.shown {
            return Box::new(move |rgb| hlg_ootf::nits_from_scene(rgb, peak_nits, 0.0).map(|nits| nits / unit));
        }
        Box::new(move |rgb| hlg_ootf::scene_from_nits(rgb.map(|light| zero + light * unit), peak_nits, 0.0))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let gamma = hlg_ootf::gamma(self.peak_nits);
        let peak = self.peak_nits / 100.0;
        let black = self.black_nits / self.peak_nits;
        let (scale, exponent, gain) =
            if self.shown { (1.0, gamma - 1.0, peak) } else { ((1.0 - black) / peak, (1.0 - gamma) / gamma, 1.0) };
        Derived::new(vec![
            ("scale", Constant::Scalar(scale)),
            ("black", Constant::Scalar(black)),
            ("exponent", Constant::Scalar(exponent)),
            ("weights", Constant::Triple([0.2627, 0.6780, 0.0593])),
            ("gain", Constant::Scalar(gain)),
        ])
    }

    fn budget(&self) -> Budget {
        // A power with exponent about 0.2 of a luminance.
        Budget { ulps: 32.0, floor: 1e-7 }
    }

    fn is_undone_by(&self, next: &Point) -> bool {
        matches!(next, Point::HlgLight(next) 
            if next.shown != self.shown && next.peak_nits == self.peak_nits && next.black_nits == self.black_nits)
    }
}
