//! Shadow noise: what a candidate makes of the noise near four stops below the card.
//!
//! The standard deviation of luma in 10-bit codes over one place, in the original and as it is shown. The place is marked, or
//! it is the block of 16 by 16 pixels, about four stops below the card, whose luma varies least in the original: structure
//! of the scene would count as noise.

use frame::Size;

use super::{Grey, TEN_BIT};
use crate::Tap;
use crate::scopes::Region;

/// Where shadow noise is looked for, in stops from the card.
pub const SHADOW_STOPS: f64 = -4.0;
/// How far from there a block may be, in stops.
const REACH: f64 = 1.0;
/// Columns and rows of a block.
const SIDE: u32 = 16;

/// A place whose noise is measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Where it is.
    pub region: Region,
    /// The stops of its mean light from the card.
    pub stops: f64,
}

/// The standard deviation of luma in 10-bit codes over a region of a picture. None where it has fewer than two pixels.
pub fn noise(tap: &Tap, pixels: &[[f32; 4]], size: Size, region: Region) -> Option<f64> {
    let luma = tap.y_cb_cr();
    let all: Vec<f64> = inside(pixels, size, region).map(|rgb| luma.luma(rgb)).collect();
    if all.len() < 2 {
        return None;
    }
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    let squares: f64 = all.iter().map(|v| (v - mean) * (v - mean)).sum();
    Some(TEN_BIT * (squares / (all.len() - 1) as f64).sqrt())
}

/// The flattest block near four stops below the card within a region of an original. `scene` makes scene light (AP1) of its signal. None where
/// no block lies there.
pub fn flattest(
    tap: &Tap,
    pixels: &[[f32; 4]],
    size: Size,
    within: Region,
    grey: &Grey,
    scene: &dyn Fn([f64; 3]) -> [f64; 3],
) -> Option<Block> {
    let luminance = Tap::new(ops::Signal::scene()).luminance_weights();
    let mut best: Option<(f64, Block)> = None;
    // Whole blocks alone.
    let starts = |first: u32, length: u32| (first..(first + length).saturating_sub(SIDE - 1)).step_by(SIDE as usize);
    for top in starts(within.y(), within.height()) {
        for left in starts(within.x(), within.width()) {
            let region = Region::new(left, top, SIDE, SIDE, size)?;
            let sum: f64 = inside(pixels, size, region)
                .map(|rgb| scene(rgb).iter().zip(luminance).map(|(v, weight)| v * weight).sum::<f64>())
                .sum();
            let stops = (sum / f64::from(SIDE * SIDE) / grey.level).log2();
            // A block without light is at no stop.
            if stops.is_nan() || (stops - SHADOW_STOPS).abs() > REACH {
                continue;
            }
            let noise = noise(tap, pixels, size, region)?;
            if best.is_none_or(|(least, _)| noise < least) {
                best = Some((noise, Block { region, stops }));
            }
        }
    }
    best.map(|(_, block)| block)
}

/// The pixels of a region, without alpha.
pub(super) fn inside(pixels: &[[f32; 4]], size: Size, region: Region) -> impl Iterator<Item = [f64; 3]> {
    let rows = pixels.chunks(size.width.max(1) as usize).skip(region.y() as usize).take(region.height() as usize);
    rows.flat_map(move |row| row.iter().skip(region.x() as usize).take(region.width() as usize))
        .map(|[r, g, b, _]| [*r, *g, *b].map(f64::from))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Known;
    use ops::Signal;

    fn picture(size: Size, of: impl Fn(u32, u32) -> f32) -> Vec<[f32; 4]> {
        let rows = (0..size.height).flat_map(|y| (0..size.width).map(move |x| (x, y)));
        rows.map(|(x, y)| of(x, y)).map(|v| [v, v, v, 1.0]).collect()
    }

    #[test]
    fn noise_is_a_standard_deviation_in_codes() {
        let size = Size::new(20, 20);
        let pixels = picture(size, |x, y| if (x + y) % 2 == 0 { 0.1 } else { 0.102 });
        let tap = Tap::new(Signal::log());
        let whole = Region::whole(size).unwrap();
        // Half of 400 pixels a thousandth above the mean, half below: sd is 0.001 sqrt(400 / 399).
        let want = 1.023 * (400.0f64 / 399.0).sqrt();
        assert!((noise(&tap, &pixels, size, whole).unwrap() - want).abs() < 1e-4);
        assert_eq!(noise(&tap, &pixels, size, Region::new(3, 3, 1, 1, size).unwrap()), None);
    }

    #[test]
    fn the_flattest_block_of_the_right_level_is_found() {
        let size = Size::new(64, 32);
        let grey = Grey::of_card([0.18; 3], Known::Card).unwrap();
        let dark = 0.18 / 16.0;
        // Left: far too bright and flat. Then noisy, flatter, and too dark.
        let pixels = picture(size, |x, y| {
            let wave = if (x + y) % 2 == 0 { 1.0 } else { -1.0 };
            match (x / 16, y / 16) {
                (0, _) => 0.18,
                (1, _) => dark * (1.0 + 0.2 * wave),
                (2, 1) => dark * (1.0 + 0.05 * wave),
                (2, _) => dark * (1.0 + 0.1 * wave),
                _ => dark / 8.0,
            }
        });
        let tap = Tap::new(Signal::scene());
        let whole = Region::whole(size).unwrap();
        let block = flattest(&tap, &pixels, size, whole, &grey, &|rgb| rgb).unwrap();
        assert_eq!((block.region.x(), block.region.y()), (32, 16));
        assert!((block.stops + 4.0).abs() < 1e-3);
        let bright = picture(size, |_, _| 0.5);
        assert_eq!(flattest(&tap, &bright, size, whole, &grey, &|rgb| rgb), None);
        // Only within the region: the noisier one, and none where no whole block lies.
        let left = Region::new(0, 0, 32, 32, size).unwrap();
        assert_eq!(flattest(&tap, &pixels, size, left, &grey, &|rgb| rgb).unwrap().region.x(), 16);
        assert_eq!(flattest(&tap, &pixels, size, Region::new(33, 0, 15, 32, size).unwrap(), &grey, &|rgb| rgb), None);
    }
}
