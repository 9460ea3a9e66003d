//! The use of codes as a picture: red, green and blue from the top, codes from left to right, in neutral greys.

use std::path::Path;

use colour::range;
use frame::{Channels, Frame, Range, Size};
use media::{About, CodeUse, Depth, Format, layout_for};

use crate::cli::failure::Failure;

/// Columns: one a code in 10 bits.
const WIDTH: usize = 1024;
/// Rows of a channel's bars, and between two channels.
const HEIGHT: usize = 128;
const GAP: usize = 16;
/// Rows of the marks at legal black and white, under the bars.
const MARK: usize = 6;
/// Greys, as sRGB signal: neutral, and apart enough to read.
const GROUND: f32 = 0.12;
const BAR: f32 = 0.72;
const MARKS: f32 = 0.45;

/// Writes the picture. A bar's height is the logarithm of its count, so that rare codes are seen beside common ones.
pub fn write(codes: &CodeUse, path: &Path) -> Result<(), Failure> {
    let size = Size::new(WIDTH as u32, (3 * (HEIGHT + GAP)) as u32);
    let mut pixels = vec![[GROUND, GROUND, GROUND, 1.0]; size.pixels()];
    for (channel, counts) in codes.channels().iter().enumerate() {
        let top = channel * (HEIGHT + GAP);
        let bars = columns(counts);
        let most = bars.iter().copied().max().unwrap_or(0);
        for (x, count) in bars.iter().enumerate() {
            let height = ((*count as f64).ln_1p() / (most.max(1) as f64).ln_1p() * HEIGHT as f64).round() as usize;
            for y in top + HEIGHT - height.min(HEIGHT)..top + HEIGHT {
                pixels[y * WIDTH + x] = [BAR, BAR, BAR, 1.0];
            }
        }
        for signal in [0.0, 1.0] {
            let code = range::code_from_signal(codes.bits(), colour::CodeRange::Legal, signal) as usize;
            let x = code * WIDTH / counts.len();
            for y in top + HEIGHT + 2..top + HEIGHT + 2 + MARK {
                pixels[y * WIDTH + x] = [MARKS, MARKS, MARKS, 1.0];
            }
        }
    }
    let layout = layout_for(Format::Png, Depth::Sixteen, Channels::Rgb)?;
    let about = About { encoding: Some(("sRGB".to_string(), "made so".to_string())), ..About::default() };
    media::write(path, &Frame::from_pixels(&pixels, size, layout, Range::Full), &about)?;
    Ok(())
}

/// Counts by column: several columns show one code below 10 bits, and one the sum of several codes above.
fn columns(counts: &[u64]) -> Vec<u64> {
    (0..WIDTH)
        .map(|x| {
            let first = x * counts.len() / WIDTH;
            let end = ((x + 1) * counts.len() / WIDTH).max(first + 1);
            counts[first..end].iter().sum()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::columns;

    #[test]
    fn every_code_has_its_column() {
        let counts: Vec<u64> = (0..256).collect();
        assert_eq!(columns(&counts)[4 * 77 + 3], 77);
        let sums = columns(&vec![1; 65536]);
        assert!(sums.iter().all(|sum| *sum == 64));
    }
}
