//! A table with an entry for every half float: fine near zero and wide far out.

use half::f16;

/// Entries for every bit pattern of a half float, between which it is linear. What lies beyond the largest half gets what
/// that one gets.
///
/// # Source
/// Academy S-2014-006 (CLF 3.0), the LUT1D node with `halfDomain`; IEEE 754, binary16.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfTable {
    entries: Vec<[f64; 3]>,
}

/// Bit patterns of a half float.
pub(super) const PATTERNS: usize = 1 << 16;

impl HalfTable {
    /// A table of these entries by their bit patterns; none unless there is a finite one for each.
    pub fn new(entries: Vec<[f64; 3]>) -> Option<HalfTable> {
        let sound = entries.len() == PATTERNS && entries.iter().flatten().all(|entry| entry.is_finite());
        sound.then_some(HalfTable { entries })
    }

    /// The table of a function of each channel, in single floats. Infinities get what the largest half gets, and what is no
    /// number gets what 0 gets.
    pub fn of(curve: impl Fn(f64) -> f64) -> Option<HalfTable> {
        let entry = |bits: u16| {
            let half = f16::from_bits(bits);
            let at = if half.is_nan() { 0.0 } else { half.to_f64().clamp(f16::MIN.to_f64(), f16::MAX.to_f64()) };
            [f64::from(curve(at).clamp(f64::from(f32::MIN), f64::from(f32::MAX)) as f32); 3]
        };
        Self::new((0..=u16::MAX).map(entry).collect())
    }

    /// The entries, by bit pattern.
    pub fn entries(&self) -> &[[f64; 3]] {
        &self.entries
    }

    /// What comes out.
    pub fn look_up(&self, rgb: [f64; 3]) -> [f64; 3] {
        let entry = |half: f16, channel: usize| {
            self.entries.get(usize::from(half.to_bits())).and_then(|of| of.get(channel)).copied().unwrap_or_default()
        };
        [0, 1, 2].map(|channel| {
            let [r, g, b] = rgb;
            let v = [r, g, b].get(channel).copied().unwrap_or_default().clamp(f16::MIN.to_f64(), f16::MAX.to_f64());
            let [low, high] = around(v);
            let (from, to) = (low.to_f64(), high.to_f64());
            let share = if to > from { (v - from) / (to - from) } else { 0.0 };
            entry(low, channel) * (1.0 - share) + entry(high, channel) * share
        })
    }
}

/// The halves next to a number within their range: not above it, and not below it.
fn around(v: f64) -> [f16; 2] {
    let near = f16::from_f64(v);
    let of = |magnitude: u16| f16::from_bits(magnitude | (near.to_bits() & 0x8000));
    let magnitude = near.to_bits() & 0x7fff;
    match (near.to_f64().abs().total_cmp(&v.abs()), v < 0.0) {
        (std::cmp::Ordering::Equal, _) => [near, near],
        // Towards zero of it lies the other one; below it stands the one of the larger magnitude where it is negative.
        (std::cmp::Ordering::Greater, false) => [of(magnitude.saturating_sub(1)), near],
        (std::cmp::Ordering::Greater, true) => [near, of(magnitude.saturating_sub(1))],
        (std::cmp::Ordering::Less, false) => [near, of(magnitude + 1)],
        (std::cmp::Ordering::Less, true) => [of(magnitude + 1), near],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_lie_between_their_neighbours() {
        for v in [0.0, 1.0, 0.3, -0.3, 1e-9, -1e-9, 65504.0, -65504.0, 1000.3, -2.0001] {
            let [low, high] = around(v).map(f16::to_f64);
            assert!(low <= v && v <= high, "{v}: {low} {high}");
            assert!(high - low <= (v.abs() / 1024.0).max(6e-8), "{v}: {low} {high}");
        }
    }

    #[test]
    fn a_straight_curve_comes_out_as_it_is_to_the_ends_of_halves() {
        let table = HalfTable::of(|v| 0.25 * v - 1.0).unwrap();
        for v in [-3.7, -1e-8, 0.0, 0.18, 4.4, 65504.0] {
            let [r, g, b] = table.look_up([v; 3]);
            assert!((r - (0.25 * v - 1.0)).abs() < 1e-7 * (1.0 + v.abs()) && r == g && g == b, "{v} {r}");
        }
        assert_eq!(table.look_up([1e9, -1e9, 0.0]), [0.25 * 65504.0 - 1.0, -0.25 * 65504.0 - 1.0, -1.0]);
        assert_eq!(HalfTable::new(vec![[0.0; 3]; 7]), None);
        assert_eq!(HalfTable::of(|_| f64::NAN), None);
    }
}
