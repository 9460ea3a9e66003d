//! The opto-optical transfer of HLG: from scene light to the light of a display of a given peak.
//!
//! # Source
//! Rec. ITU-R BT.2100-2, table 5 with notes 5e and 5f; the wider system gamma is Report ITU-R BT.2390.

use crate::transfer::{Form, Transfer};

/// Luminance weights of BT.2020 as BT.2100 prints them.
pub const WEIGHTS: [f64; 3] = [0.2627, 0.6780, 0.0593];

/// The system gamma for a display's peak: 1.2 + 0.42 log10(peak / 1000) from 400 to 2000 nits, and
/// 1.2 x 1.111 ^ log2(peak / 1000) outside.
pub fn gamma(peak_nits: f64) -> f64 {
    let ratio = peak_nits / 1000.0;
    if (400.0..=2000.0).contains(&peak_nits) { 1.2 + 0.42 * ratio.log10() } else { 1.2 * 1.111f64.powf(ratio.log2()) }
}

/// Black lift in signal, sqrt(3 (black / peak) ^ (1 / gamma)).
pub fn black_lift(peak_nits: f64, black_nits: f64) -> f64 {
    (3.0 * (black_nits / peak_nits).powf(1.0 / gamma(peak_nits))).sqrt()
}

/// Display light in nits of BT.2020 scene light (0..1). A black above 0 lifts the signal before the camera curve is
/// undone, as the Recommendation's electro-optical transfer does.
pub fn nits_from_scene(rgb: [f64; 3], peak_nits: f64, black_nits: f64) -> [f64; 3] {
    let lift = black_lift(peak_nits, black_nits);
    let scene = if lift == 0.0 { rgb } else { through_signal(rgb, |signal| (1.0 - lift) * signal + lift) };
    let factor = peak_nits * power(luminance(scene), gamma(peak_nits) - 1.0);
    scene.map(|v| factor * v)
}

/// Scene light of display light in nits: the inverse of [`nits_from_scene`].
pub fn scene_from_nits(nits: [f64; 3], peak_nits: f64, black_nits: f64) -> [f64; 3] {
    let gamma = gamma(peak_nits);
    let relative = nits.map(|v| v / peak_nits);
    let factor = power(luminance(relative), (1.0 - gamma) / gamma);
    let scene = relative.map(|v| factor * v);
    let lift = black_lift(peak_nits, black_nits);
    if lift == 0.0 { scene } else { through_signal(scene, |signal| (signal - lift) / (1.0 - lift)) }
}

fn through_signal(rgb: [f64; 3], f: impl Fn(f64) -> f64) -> [f64; 3] {
    let curve = Transfer::Hlg;
    rgb.map(|v| curve.decode(Form::Exact, f(curve.encode(Form::Exact, v))))
}

fn luminance(rgb: [f64; 3]) -> f64 {
    WEIGHTS[0] * rgb[0] + WEIGHTS[1] * rgb[1] + WEIGHTS[2] * rgb[2]
}

/// |y| ^ exponent. Luminance at or next to 0 (black, or colours whose parts cancel) is held off 0, so that a negative
/// exponent stays finite.
fn power(y: f64, exponent: f64) -> f64 {
    y.abs().max(1e-30).powf(exponent)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_inverse_undoes(
            rgb in prop::array::uniform3(0.001f64..1.0), peak in 200.0f64..4000.0, raised: bool,
        ) {
            let black = if raised { 0.005 } else { 0.0 };
            let back = scene_from_nits(nits_from_scene(rgb, peak, black), peak, black);
            for (got, want) in back.iter().zip(rgb) {
                // Two powers and, with a raised black, two passes through the camera curve.
                prop_assert!((got - want).abs() < 1e-11, "{got} {want}");
            }
        }
    }

    #[test]
    fn hostile_light_stays_finite() {
        for rgb in [[0.0; 3], [-1.0, 0.387_463, 0.0], [1e6, -1e6, 1e6]] {
            for peak in [100.0, 1000.0, 10_000.0] {
                let nits = nits_from_scene(rgb, peak, 0.0);
                assert!(nits.iter().chain(&scene_from_nits(rgb, peak, 0.0)).all(|v| v.is_finite()));
            }
        }
        assert_eq!(nits_from_scene([0.0; 3], 1000.0, 0.0), [0.0; 3]);
    }
}
