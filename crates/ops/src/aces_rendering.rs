//! The ACES 2 rendering: scene light on AP1 becomes linear light on a display's limiting primaries.
//!
//! A tone scale made for the display's peak sets lightness; colourfulness is compressed towards white and to what the
//! limiting primaries hold; hue stays. The ACES white becomes the display's. Light below zero on AP1 and beyond what
//! reaches the peak is cut off before, what leaves the limiting primaries after, so the result lies in 0 to the peak.
//! Where the transform's reference of 100 nits is shown as less, as in cinemas, the picture of a brighter display is shown,
//! dimmer. Undone by [`AcesScene`](crate::AcesScene) where nothing was cut off.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use std::sync::Arc;

use colour::Primaries;
use colour::aces2::appearance::REFERENCE_NITS;

use crate::aces2_cache::{Made, aces2};
use crate::aces2_constants::{Side, constants, peak_achromatic};
use crate::{Budget, Derived, Eval, Pointwise, Shader, Signal};

/// The rendering for one display.
#[derive(Debug, Clone, PartialEq)]
pub struct AcesRendering {
    /// Light of the display's white.
    pub peak_nits: f64,
    /// The peak that the tone scale is made for, 100 to 10000 nits; shown as `peak_nits`.
    pub tone_peak_nits: f64,
    /// The primaries that the picture is kept within, and that it leaves on.
    pub limit: Primaries,
    /// Nits that 1.0 of the linear light that leaves stands for.
    pub unit_nits: f64,
}

impl AcesRendering {
    fn made(&self) -> Arc<Made> {
        aces2(self.tone_peak_nits, &self.limit)
    }
}

impl Pointwise for AcesRendering {
    fn describe(&self) -> String {
        let Self { peak_nits, tone_peak_nits, limit, .. } = self;
        if peak_nits == tone_peak_nits {
            return format!("aces-2.0 rendering for {peak_nits} nits within {}", limit.name);
        }
        format!("aces-2.0 rendering for {tone_peak_nits} nits within {}, shown at {peak_nits}", limit.name)
    }

    fn shader(&self) -> Shader {
        shader!("ops/aces_rendering.wgsl", "Aces2", "op_aces_rendering")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let made = self.made();
        let peak = self.peak_nits / self.unit_nits;
        Box::new(move |ap1| made.transform.rendered(ap1).map(|share| share * peak))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let made = self.made();
        let transform = &made.transform;
        let most = self.peak_nits / self.unit_nits;
        let from = Side { model: transform.scene_model(), scale: 1.0, grey: 1.0 };
        let to = Side {
            model: transform.limiting_model(),
            scale: transform.tone_scale().peak_nits / REFERENCE_NITS / most,
            grey: peak_achromatic(transform),
        };
        Derived { constants: constants(&made, &from, &to, most), table: made.hues.table.clone() }
    }

    fn budget(&self) -> Budget {
        // Opponent colours are differences of responses, times 155: a rounding of a response is ten of the colour. 100 to
        // 200 units are seen at the most; single-float powers of other adapters may be less exact. Of what
        // the table misses of a cusp, a quarter reaches the light at the most.
        Budget { ulps: 512.0, floor: 1e-6 + 0.25 * self.made().hues.missed }
    }
}

#[cfg(test)]
mod tests {
    use colour::aces2::appearance::Jmh;
    use colour::aces2::chroma::Reach;
    use colour::primaries;
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// What the shader leaves out: colours well within the triangle of black, cusp and white are where they are.
        #[test]
        fn colours_well_within_the_gamut_are_not_moved(peak in 0usize..4, hue in 0usize..360, j in 0.0f64..0.98) {
            for limit in [primaries::BT709, primaries::P3_D65, primaries::BT2020] {
                let made = aces2([100.0, 400.0, 2000.0, 10_000.0][peak], &limit);
                let (gamut, cusp) = (made.transform.gamut(), made.transform.cusp_table()[hue + 1]);
                let j = j * gamut.most_j;
                let m = 0.4 * cusp.m * (j / cusp.j).min((gamut.most_j - j) / (gamut.most_j - cusp.j));
                let colour = Jmh { j, m, hue: cusp.hue };
                // Nothing reaches as far as this: the least room that there is to compress into.
                let reach = Reach { most_m: 10.0 * gamut.most_j, most_j: gamut.most_j, exponent: 1.0 / 1.137 };
                prop_assert_eq!(gamut.compressed(colour, &cusp, &reach).m, m);
            }
        }
    }
}
