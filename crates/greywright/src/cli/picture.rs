//! A before/after picture for people: as shot on the left, corrected on the right.

use std::path::Path;
use std::sync::Arc;

use colour::{Form, Transfer};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::device::Gpu;
use media::{About, Depth, Format, layout_for};

use super::chain::{Chain, ChainArgs};
use super::engine::Engine;
use super::failure::Failure;

/// Originals wider than this are shown at half their size, so that both sides fit on a screen.
const WIDEST: u32 = 960;
/// Pixels between the two, in a neutral grey.
const GAP: u32 = 16;
/// sRGB code of that grey: 5 % of white, dark and neutral.
const GREY: f32 = 0.247;
const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);

/// Writes the picture as PNG, each side as large as the original, or half as large. Both chains end in sRGB.
pub fn before_after(
    gpu: Option<&Arc<Gpu>>,
    original: &Path,
    before: &str,
    after: &str,
    out: &Path,
) -> Result<(), Failure> {
    let mut picture = media::read(original)?;
    picture.frame.replace_non_finite();
    let frame = Arc::new(picture.frame);
    let is_whole = frame.size().width <= WIDEST;
    let size = if is_whole { frame.size() } else { half(frame.size()) };
    let mut sides = Vec::with_capacity(2);
    let mut rendering = None;
    for chain in [before, after] {
        let chain = read(chain)?;
        let elaborated = chain.for_frame(&picture.about, 0)?;
        // The same on both sides.
        rendering = elaborated.rendering();
        let mut engine = Engine::new(gpu, &elaborated, frame.layout(), FLOATS)?;
        let shown = engine.frame(Arc::clone(&frame))?;
        sides.push(if is_whole { shown.to_pixels(Range::Full) } else { halved(&shown) });
    }
    let whole = Size::new(size.width * 2 + GAP, size.height);
    let mut pixels = vec![[GREY, GREY, GREY, 1.0]; whole.pixels()];
    for (side, at) in sides.iter().zip([0, (size.width + GAP) as usize]) {
        for (row, from) in side.chunks(size.width as usize).enumerate() {
            let start = row * whole.width as usize + at;
            pixels[start..start + from.len()].copy_from_slice(from);
        }
    }
    let layout = layout_for(Format::Png, Depth::Sixteen, Channels::Rgb)?;
    let encoding = Some(("sRGB".to_string(), "made so".to_string()));
    let about = About { encoding, rendering, ..About::default() };
    media::write(out, &Frame::from_pixels(&pixels, whole, layout, Range::Full), &about)?;
    Ok(())
}

fn read(chain: &str) -> Result<Chain, Failure> {
    ChainArgs { chain: Some(chain.to_string()), ..ChainArgs::default() }.read()
}

fn half(size: Size) -> Size {
    Size::new((size.width / 2).max(1), (size.height / 2).max(1))
}

/// Half the size: each pixel is the mean light of four, so that edges and noise look as they do from afar.
fn halved(frame: &Frame) -> Vec<[f32; 4]> {
    let size = half(frame.size());
    let pixels = frame.to_pixels(Range::Full);
    let width = frame.size().width as usize;
    let light = |code: f32| Transfer::Srgb.decode(Form::Exact, f64::from(code.clamp(0.0, 1.0)));
    let mut out = Vec::with_capacity(size.pixels());
    for y in 0..size.height as usize {
        for x in 0..size.width as usize {
            let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| {
                let (x, y) = ((2 * x + dx).min(width - 1), (2 * y + dy).min(frame.size().height as usize - 1));
                pixels[y * width + x]
            });
            let mean = |channel: usize| four.iter().map(|pixel| light(pixel[channel])).sum::<f64>() / 4.0;
            let [r, g, b] = [0, 1, 2].map(|channel| Transfer::Srgb.encode(Form::Exact, mean(channel)) as f32);
            out.push([r, g, b, 1.0]);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 61966-2-1: half the light of white has the code 1.055 * .5^(1/2.4) - .055 = .73536.
    #[test]
    fn half_the_size_keeps_the_light() {
        let [black, white] = [[0.0, 0.0, 0.0, 1.0], [1.0, 1.0, 1.0, 1.0]];
        let size = Size::new(5, 2);
        let pixels = [black, white, white, white, black, white, black, white, white, black];
        let small = halved(&Frame::from_pixels(&pixels, size, FLOATS, Range::Full));
        assert_eq!((half(size), small.len()), (Size::new(2, 1), 2));
        assert!(small[0].iter().take(3).all(|code| (code - 0.73536).abs() < 1e-4), "{:?}", small[0]);
        assert_eq!(small[1], white);
        assert_eq!(half(Size::new(1, 1)), Size::new(1, 1));
    }
}
