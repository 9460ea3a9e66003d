//! Two published conversions of HDR light to SDR, forward: methods A and C of Report ITU-R BT.2446.
//!
//! No rendering uses them; they are here for pictures that were made by them to be held against.

use crate::primaries;

/// Method A: a curve on luma, with colour difference scaled after it.
///
/// # Source
/// Report ITU-R BT.2446-1, clause 4, tables 2 and 3. As printed, the pieces of the knee part by 5.5e-4 at 0.7399.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MethodA {
    hdr_rho: f64,
    sdr_rho: f64,
}

/// What method A makes of a colour, with its steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByMethodA {
    /// Luma on the HDR scale, on a perceptual scale, after the knee, and on the SDR scale.
    pub luma: [f64; 4],
    /// Red, green, blue of the SDR signal (gamma 2.4); saturated colours may leave 0 to 1.
    pub rgb: [f64; 3],
}

/// The exponent of both signals.
const GAMMA: f64 = 2.4;

/// Luminance weights of BT.2020 as the report prints them.
const WEIGHTS: [f64; 3] = [0.2627, 0.6780, 0.0593];

impl MethodA {
    /// For the peaks of the two displays in nits.
    pub fn new(hdr_peak_nits: f64, sdr_peak_nits: f64) -> Self {
        let rho = |peak: f64| 1.0 + 32.0 * (peak / 10_000.0).powf(1.0 / GAMMA);
        Self { hdr_rho: rho(hdr_peak_nits), sdr_rho: rho(sdr_peak_nits) }
    }

    /// The SDR signal of linear BT.2020 light, 0 to 1 of the HDR peak.
    pub fn sdr(&self, light: [f64; 3]) -> ByMethodA {
        let [red, green, blue] = light.map(|channel| channel.max(0.0).powf(1.0 / GAMMA));
        let luma = WEIGHTS[0] * red + WEIGHTS[1] * green + WEIGHTS[2] * blue;
        let perceptual = (1.0 + (self.hdr_rho - 1.0) * luma).ln() / self.hdr_rho.ln();
        let kneed = if perceptual <= 0.7399 {
            1.0770 * perceptual
        } else if perceptual < 0.9909 {
            -1.1510 * perceptual * perceptual + 2.7811 * perceptual - 0.6302
        } else {
            0.5 * perceptual + 0.5
        };
        let sdr = (self.sdr_rho.powf(kneed) - 1.0) / (self.sdr_rho - 1.0);
        // Black has no colour to scale.
        let scale = if luma == 0.0 { 0.0 } else { sdr / (1.1 * luma) };
        let cb = scale * (blue - luma) / 1.8814;
        let cr = scale * (red - luma) / 1.4746;
        let mapped = sdr - (0.1 * cr).max(0.0);
        let (red, blue) = (mapped + 1.4746 * cr, mapped + 1.8814 * cb);
        let green = (mapped - WEIGHTS[0] * red - WEIGHTS[2] * blue) / WEIGHTS[1];
        ByMethodA { luma: [luma, perceptual, kneed, sdr], rgb: [red, green, blue] }
    }
}

/// Method C's curve on luminance: linear to 58.535 nits of SDR, logarithmic above.
///
/// # Source
/// Report ITU-R BT.2446-1, clause 6. k1, k3 and the inflection point are read in open implementations; k2 and k4 are what
/// makes value and slope continuous there, and agree with the published figures from memory.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MethodC {
    /// Slope of the straight part.
    pub k1: f64,
    /// Nits per natural logarithm above.
    pub k2: f64,
    /// Shift inside the logarithm.
    pub k3: f64,
    /// Nits where the logarithm vanishes.
    pub k4: f64,
    /// HDR nits at which the logarithm begins.
    pub inflection_nits: f64,
}

impl Default for MethodC {
    fn default() -> Self {
        let (k1, k3, sdr_nits) = (0.83802, 0.74204, 58.535);
        let inflection_nits = sdr_nits / k1;
        let k2 = k1 * (1.0 - k3) * inflection_nits;
        Self { k1, k2, k3, k4: sdr_nits - k2 * (1.0 - k3).ln(), inflection_nits }
    }
}

impl MethodC {
    /// SDR luminance of HDR luminance, both in nits. What passes 100 is for the range above white.
    pub fn sdr_nits(&self, hdr_nits: f64) -> f64 {
        if hdr_nits < self.inflection_nits {
            self.k1 * hdr_nits
        } else {
            self.k2 * (hdr_nits / self.inflection_nits - self.k3).ln() + self.k4
        }
    }

    /// SDR light of HDR light, linear BT.2020 in nits. `crosstalk` below 1/3 (0.04 is usual) mixes the channels before
    /// the curve and parts them after it; luminance goes through the curve and the channels keep their ratios.
    pub fn sdr_light(&self, nits: [f64; 3], crosstalk: f64) -> [f64; 3] {
        let mix = |share: f64, rgb: [f64; 3]| {
            let sum: f64 = rgb.iter().sum();
            rgb.map(|channel| (1.0 - 3.0 * share) * channel + share * sum)
        };
        let mixed = mix(crosstalk, nits);
        let weights = primaries::BT2020.luminance_weights();
        let luminance: f64 = weights.iter().zip(mixed).map(|(weight, channel)| weight * channel).sum();
        let gain = if luminance > 0.0 { self.sdr_nits(luminance) / luminance } else { self.k1 };
        // The inverse of the mixture is a mixture by another share.
        mix(-crosstalk / (1.0 - 3.0 * crosstalk), mixed.map(|channel| gain * channel))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn method_c_keeps_ratios_but_for_the_crosstalk() {
        let method = MethodC::default();
        let grey = method.sdr_light([203.0; 3], 0.04);
        for channel in grey {
            assert!((channel - method.sdr_nits(203.0)).abs() < 1e-11, "{grey:?}");
        }
        let colour = [300.0, 80.0, 20.0];
        let out = method.sdr_light(colour, 0.0);
        for (got, given) in out.iter().zip(colour) {
            assert!((got / given - out[0] / colour[0]).abs() < 1e-13, "{out:?}");
        }
    }

    #[test]
    fn method_c_is_continuous_in_value_and_slope() {
        let method = MethodC::default();
        let (at, step) = (method.inflection_nits, 1e-5);
        let slope = |from: f64| (method.sdr_nits(from + step) - method.sdr_nits(from)) / step;
        assert!((method.sdr_nits(at - 1e-9) - method.sdr_nits(at)).abs() < 1e-8);
        assert!((slope(at) - slope(at - 2.0 * step)).abs() < 1e-5);
    }
}
