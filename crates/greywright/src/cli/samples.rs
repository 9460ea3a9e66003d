//! The pixels that `verify` tries an operation on.

use ops::Signal;

/// Seeded random pixels beside the ramps.
const RANDOM: usize = 4096;

/// Pixels for a signal: linear light from -14 to +8 stops about mid grey with negatives, or code from
/// below 0 to above 1; ramps in grey and in pure colours, and seeded random mixtures.
pub fn pixels(signal: &Signal) -> Vec<[f32; 4]> {
    let ramp: Vec<f32> = if signal.curve.is_linear() {
        let stops = (0..=880).map(|step| step as f32 / 40.0 - 14.0);
        stops.flat_map(|stops| [0.18 * stops.exp2(), -0.18 * (stops - 6.0).exp2()]).chain([0.0]).collect()
    } else {
        (-60..=1090).map(|step| step as f32 / 1023.0).collect()
    };
    let mut pixels: Vec<[f32; 4]> = Vec::new();
    for &value in &ramp {
        let low = value * 0.25;
        pixels.extend(
            [[value; 3], [value, low, low], [low, value, low], [low, low, value]].map(|[r, g, b]| [r, g, b, 1.0]),
        );
    }
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut pick = || {
        // A linear congruential step; its high bits choose a place on the ramp.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ramp[(state >> 33) as usize % ramp.len()]
    };
    pixels.extend((0..RANDOM).map(|_| [pick(), pick(), pick(), 1.0]));
    pixels
}
