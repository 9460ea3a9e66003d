//! Mean colours of the parts of a picture that ranks cut out.

use super::fit::ap1;

/// Ranks by luminance where the nine bands end, as shares of the pixels: narrow at black, where a raised black shows. The
/// brightest hundredth is left out: lamps and clip.
const EDGES: [f64; 10] = [0.0, 0.01, 0.04, 0.1, 0.2, 0.35, 0.5, 0.7, 0.9, 0.99];
/// Fewer pixels have no such statistics: each part of the narrowest band has four at the least.
pub const LEAST_PIXELS: usize = 1600;
/// Light below which a logarithm would tell noise.
const LEAST_LIGHT: f64 = 1e-6;

/// The parts of a picture's pixels, given in CIE XYZ, four of each band. None for fewer than [`LEAST_PIXELS`].
pub fn tones(pixels: impl IntoIterator<Item = [f64; 3]>) -> Option<Vec<[f64; 3]>> {
    let mut all: Vec<[f64; 3]> = pixels.into_iter().filter(|xyz| xyz.iter().all(|v| v.is_finite())).collect();
    if all.len() < LEAST_PIXELS {
        return None;
    }
    all.sort_by(|a, b| a[1].total_cmp(&b[1]));
    let at = |share: f64| (share * all.len() as f64).round() as usize;
    let mut parts = Vec::with_capacity(4 * (EDGES.len() - 1));
    for ends in EDGES.windows(2) {
        let [from, to] = [ends.first(), ends.last()].map(|end| at(end.copied().unwrap_or_default()));
        let mut band: Vec<([f64; 2], [f64; 3])> =
            all.get(from..to)?.iter().map(|xyz| (ratios(ap1(*xyz)), *xyz)).collect();
        for half in halves(&mut band, 0) {
            for part in halves(half, 1) {
                let count = part.len().max(1) as f64;
                let sum = part.iter().fold([0.0; 3], |sum, (_, xyz)| [0, 1, 2].map(|i| sum[i] + xyz[i]));
                parts.push(sum.map(|v| v / count));
            }
        }
    }
    Some(parts)
}

/// `ln R/G` and `ln B/G`.
fn ratios([r, g, b]: [f64; 3]) -> [f64; 2] {
    let log = |v: f64| v.max(LEAST_LIGHT).ln();
    [log(r) - log(g), log(b) - log(g)]
}

/// The lower and the upper half by one of the ratios.
fn halves(band: &mut [([f64; 2], [f64; 3])], by: usize) -> [&mut [([f64; 2], [f64; 3])]; 2] {
    band.sort_by(|a, b| a.0[by].total_cmp(&b.0[by]));
    let middle = band.len() / 2;
    let (low, high) = band.split_at_mut(middle);
    [low, high]
}
