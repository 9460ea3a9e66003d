//! The ACES 2 rendering undone: linear light on a display's limiting primaries becomes scene light on AP1.
//!
//! What the output transform shows as it came: a title, a graphic, a finished picture. Light outside the limiting
//! primaries' 0 to the peak is cut off first. Near white the published inverse of the gamut compression is close, not exact.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use std::sync::Arc;

use colour::Primaries;
use colour::aces2::appearance::REFERENCE_NITS;

use crate::aces2_cache::{Made, aces2};
use crate::aces2_constants::{Side, constants};
use crate::{Budget, Derived, Eval, Pointwise, Shader, Signal};

/// The inverse of the rendering for one display.
#[derive(Debug, Clone, PartialEq)]
pub struct AcesScene {
    /// Light of the display's white.
    pub peak_nits: f64,
    /// The peak that the tone scale is made for, 100 to 10000 nits; shown as `peak_nits`.
    pub tone_peak_nits: f64,
    /// The primaries that the picture was kept within, and that it comes on.
    pub limit: Primaries,
    /// Nits that 1.0 of the linear light that comes stands for.
    pub unit_nits: f64,
}

/// Roundings of a channel that those inside come to: about as many as the rendering shows at the most.
const INNER_ROUNDINGS: f64 = 128.0;

impl AcesScene {
    fn made(&self) -> Arc<Made> {
        aces2(self.tone_peak_nits, &self.limit)
    }
}

impl Pointwise for AcesScene {
    fn describe(&self) -> String {
        let Self { peak_nits, tone_peak_nits, limit, .. } = self;
        if peak_nits == tone_peak_nits {
            return format!("aces-2.0 rendering undone, for {peak_nits} nits within {}", limit.name);
        }
        format!("aces-2.0 rendering undone, for {tone_peak_nits} nits within {}, shown at {peak_nits}", limit.name)
    }

    fn shader(&self) -> Shader {
        shader!("ops/aces_scene.wgsl", "Aces2", "op_aces_scene")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let made = self.made();
        let peak = self.peak_nits / self.unit_nits;
        Box::new(move |rgb| made.transform.scene(rgb.map(|light| light / peak)))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let made = self.made();
        let transform = &made.transform;
        let most = self.peak_nits / self.unit_nits;
        let scale = transform.tone_scale().peak_nits / REFERENCE_NITS / most;
        let from = Side { model: transform.limiting_model(), scale, grey: 1.0 };
        let scene = transform.scene_model();
        // Its way back takes the response itself.
        let to = Side { model: scene, scale: 1.0, grey: 1.0 / scene.white_response };
        Derived { constants: constants(&made, &from, &to, most), table: made.hues.table.clone() }
    }

    fn budget(&self) -> Budget {
        // As the rendering's; where it is steep, `inner_rounding` says so.
        Budget { ulps: 512.0, floor: 1e-6 }
    }

    fn inner_rounding(&self, takes: &Signal) -> Option<Eval> {
        // Near white and near the limiting primaries' edge the way back is steep without end. Cone responses are as large as
        // the largest channel, and so are the roundings of them and of lightness and colourfulness: as if each channel came
        // with some of that size.
        let eval = self.eval(takes);
        let peak = self.peak_nits / self.unit_nits;
        Some(Box::new(move |rgb: [f64; 3]| {
            let rgb = rgb.map(|channel| channel.clamp(0.0, peak));
            let largest = rgb.iter().fold(0.0f64, |largest, channel| largest.max(channel.abs()));
            let by = INNER_ROUNDINGS / 16_777_216.0 * largest;
            let value = eval(rgb);
            let mut off = [0.0; 3];
            for channel in 0..3 {
                for by in [by, -by] {
                    let mut moved = rgb;
                    moved[channel] += by;
                    let moved = eval(moved);
                    (0..3).for_each(|out| off[out] = f64::max(off[out], (moved[out] - value[out]).abs()));
                }
            }
            off
        }))
    }
}
