//! Colour difference to the truth, where it is known: of the demo, of a chart.
//!
//! Delta E 2000 pixel by pixel or patch by patch between what a candidate shows and what its own output transform makes of the
//! truth, as the display shows both; Delta E ITP where either is PQ or HLG. Mean, 95th percentile and maximum.

use colour::primaries::D65;

use crate::readings::Tristimulus;
use crate::tap::HDR_WHITE_NITS;

/// Delta E 2000 between two shown colours; Delta E ITP where white is HDR reference white.
pub fn difference(a: &Tristimulus, b: &Tristimulus) -> f64 {
    match a.delta_e_itp(b) {
        Some(itp) if is_hdr(a) && is_hdr(b) => itp,
        _ => a.delta_e_2000(b),
    }
}

/// A place where equal distances are about equally seen: CIELAB, and on PQ and HLG the axes of Delta E ITP with its weights.
pub(super) fn coordinates(of: &Tristimulus) -> [f64; 3] {
    match of.itp() {
        Some(itp) if is_hdr(of) => itp,
        _ => of.lab(),
    }
}

fn is_hdr(of: &Tristimulus) -> bool {
    of.white_nits == Some(HDR_WHITE_NITS)
}

/// What many differences come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Differences {
    /// The mean.
    pub mean: f64,
    /// What 95 of 100 stay below.
    pub p95: f64,
    /// The largest.
    pub max: f64,
    /// How many there are.
    pub count: usize,
}

impl Differences {
    /// Of these differences; none where there are none or one is no number.
    pub fn of(differences: impl IntoIterator<Item = f64>) -> Option<Differences> {
        let mut all: Vec<f64> = differences.into_iter().collect();
        all.sort_unstable_by(f64::total_cmp);
        let max = *all.last()?;
        // The value at the rank of 95 in 100, rounded up: no less than 95 % are at or below it.
        let rank = (0.95 * all.len() as f64).ceil() as usize;
        let p95 = *all.get(rank.saturating_sub(1))?;
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        mean.is_finite().then_some(Differences { mean, p95, max, count: all.len() })
    }
}

/// A neutral of a luminance.
pub(super) fn neutral(like: &Tristimulus) -> Tristimulus {
    Tristimulus { xyz: D65.to_xyz().map(|v| v * like.xyz[1]), ..*like }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundred_differences_have_their_mean_rank_and_maximum() {
        let all = Differences::of((1..=100).map(f64::from)).unwrap();
        assert_eq!((all.mean, all.p95, all.max, all.count), (50.5, 95.0, 100.0, 100));
        assert_eq!(Differences::of([2.0]).unwrap().p95, 2.0);
        assert_eq!(Differences::of([]), None);
        assert_eq!(Differences::of([1.0, f64::NAN]), None);
    }

    #[test]
    fn two_bright_displays_are_told_apart_by_itp() {
        let of = |y: f64, white| Tristimulus { xyz: D65.to_xyz().map(|v| v * y), white_nits: Some(white) };
        // Source: Rec. ITU-R BT.2124-0: 1 % more luminance at 203 nits is 0.749 (facts, from colour-science).
        let itp = difference(&of(1.0, HDR_WHITE_NITS), &of(1.01, HDR_WHITE_NITS));
        assert!((itp - 0.749).abs() < 0.001, "{itp}");
        let lab = difference(&of(1.0, 100.0), &of(0.0, 100.0));
        assert!((lab - 100.0).abs() < 1e-9);
        // Distances of coordinates are that difference on HDR, and CIELAB's else.
        let distance = |a: Tristimulus, b: Tristimulus| {
            let (a, b) = (coordinates(&a), coordinates(&b));
            a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
        };
        assert!((distance(of(1.0, HDR_WHITE_NITS), of(1.01, HDR_WHITE_NITS)) - itp).abs() < 1e-9);
        assert!((distance(of(1.0, 100.0), of(0.0, 100.0)) - 100.0).abs() < 1e-9);
    }
}
