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

/// Pixels between the two, in a neutral grey.
const GAP: u32 = 16;
/// sRGB code of that grey: 5 % of white, dark and neutral.
const GREY: f32 = 0.247;
const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);

/// Writes the picture as PNG, half as wide as the originals on each side. Both chains end in sRGB.
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
    let size = Size::new((frame.size().width / 2).max(1), (frame.size().height / 2).max(1));
    let mut sides = Vec::with_capacity(2);
    let mut rendering = None;
    for chain in [before, after] {
        let chain = read(chain)?;
        let elaborated = chain.for_frame(&picture.about, 0)?;
        // The same on both sides.
        rendering = elaborated.rendering();
        let mut engine = Engine::new(gpu, &elaborated, frame.layout(), FLOATS)?;
        sides.push(halved(&engine.frame(Arc::clone(&frame))?, size));
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

/// Half the size: each pixel is the mean light of four, so that edges and noise look as they do from afar.
fn halved(frame: &Frame, size: Size) -> Vec<[f32; 4]> {
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
