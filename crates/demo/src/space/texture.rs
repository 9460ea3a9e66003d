//! Repeatable unevenness: what keeps surfaces from looking drawn.

use super::Vec3;

/// 0 below `from`, 1 above `to`, smooth between.
pub fn smooth(from: f64, to: f64, value: f64) -> f64 {
    let share = ((value - from) / (to - from)).clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}

/// Linear mix of two numbers.
pub fn mix(a: f64, b: f64, share: f64) -> f64 {
    a + (b - a) * share
}

/// A well-mixed word of a seed and a number: SplitMix64's finishing steps (Steele, Lea, Flood 2014).
pub fn hash(seed: u64, number: u64) -> u64 {
    let mut word = (seed ^ number.wrapping_mul(0x9E37_79B9_7F4A_7C15)).wrapping_add(0x9E37_79B9_7F4A_7C15);
    word = (word ^ (word >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    word = (word ^ (word >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    word ^ (word >> 31)
}

/// A repeatable number in 0..1 for a cell of a grid in space.
pub fn chance(seed: u64, x: i64, y: i64, z: i64) -> f64 {
    // Odd multipliers keep the cells apart; the hash does the rest.
    let cell = (x as u64).wrapping_mul(0xD6E8_FEB8_6659_FD93)
        ^ (y as u64).wrapping_mul(0xA076_1D64_78BD_642F)
        ^ (z as u64).wrapping_mul(0xE703_7ED1_A0B4_28DB);
    (hash(seed, cell) >> 11) as f64 / (1_u64 << 53) as f64
}

/// The whole number at or below a value: `floor` is a call where the processor that is built for has no word for it.
pub fn below(value: f64) -> i64 {
    let whole = value as i64;
    whole - i64::from(value < whole as f64)
}

/// Smooth repeatable unevenness in 0..1, one bump a unit.
pub fn uneven(seed: u64, p: Vec3) -> f64 {
    let (i, j, k) = (below(p.x), below(p.y), below(p.z));
    let within = |value: f64, whole: i64| smooth(0.0, 1.0, value - whole as f64);
    let (u, v, w) = (within(p.x, i), within(p.y, j), within(p.z, k));
    let line = |j: i64, k: i64| mix(chance(seed, i, j, k), chance(seed, i + 1, j, k), u);
    let face = |k: i64| mix(line(j, k), line(j + 1, k), v);
    mix(face(k), face(k + 1), w)
}

/// Unevenness of three sizes in 0..1: coarse, half and a quarter of it, each half as strong.
pub fn grain(seed: u64, p: Vec3) -> f64 {
    (4.0 * uneven(seed, p) + 2.0 * uneven(seed + 1, p * 2.03) + uneven(seed + 2, p * 4.01)) / 7.0
}
