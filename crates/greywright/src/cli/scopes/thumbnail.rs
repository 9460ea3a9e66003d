//! The picture at a tap, small, as something to look at beside its scopes.

use colour::primaries::BT709;
use colour::{Form, Matrix, Transfer};
use ops::white_balance::xyz_with_d65;

use super::Tapped;
use crate::draw::Ink;

/// The most samples a side of a small pixel; a larger picture is sampled, which a person does not see.
const SAMPLES: usize = 4;

/// A small picture.
pub struct Thumbnail {
    /// Columns and rows.
    pub size: [u32; 2],
    /// Pixels from the upper left.
    pub pixels: Vec<Ink>,
}

/// How numbers are shown, in words.
pub fn shown_as(tapped: &Tapped) -> String {
    match (shows_light(tapped), tapped.tap.white_nits()) {
        (false, _) => "code as it is".to_string(),
        (true, None) => "light in sRGB, clipped at scene 1".to_string(),
        (true, Some(nits)) => format!("light in sRGB, clipped at {nits} nits"),
    }
}

/// Log code is shown as code, since the scopes beside it are of that; what is light, or a display's, as light.
fn shows_light(tapped: &Tapped) -> bool {
    !tapped.is_unknown() && (!tapped.tap.is_code() || !tapped.tap.is_scene())
}

/// The picture at most so large. Each pixel is a mean of light, so that edges and noise look as from afar.
pub fn make(tapped: &Tapped, most: [u32; 2]) -> Thumbnail {
    let (width, height) = (tapped.size.width.max(1), tapped.size.height.max(1));
    let scale = (f64::from(most[0]) / f64::from(width)).min(f64::from(most[1]) / f64::from(height));
    // A small picture keeps its pixels' size or gets a whole multiple of it.
    let scale = if scale >= 1.0 { scale.floor() } else { scale };
    let size = [width, height].map(|side| ((f64::from(side) * scale).round() as u32).max(1));
    let to_srgb = srgb_from_tap(tapped);
    let light = |x: u32, y: u32| {
        let at = y as usize * width as usize + x as usize;
        let [r, g, b, _] = tapped.pixels.get(at).copied().unwrap_or_default().map(f64::from);
        match &to_srgb {
            Some(matrix) => matrix.apply(tapped.tap.light([r, g, b])),
            None => [r, g, b].map(|code| Transfer::Srgb.decode(Form::Exact, code.clamp(0.0, 1.0))),
        }
        .map(|v| if v.is_nan() { 0.0 } else { v.clamp(0.0, 1.0) })
    };
    let mut pixels = Vec::with_capacity(size[0] as usize * size[1] as usize);
    for y in 0..size[1] {
        let rows = samples(y, size[1], height);
        for x in 0..size[0] {
            let columns = samples(x, size[0], width);
            let mut sum = [0.0; 3];
            for row in &rows {
                for column in &columns {
                    let light = light(*column, *row);
                    sum = [0, 1, 2].map(|channel| sum[channel] + light[channel]);
                }
            }
            let count = (rows.len() * columns.len()) as f64;
            pixels.push(Ink(sum
                .map(|sum| (Transfer::Srgb.encode(Form::Exact, sum / count) * 255.0).round().clamp(0.0, 255.0) as u8)));
        }
    }
    Thumbnail { size, pixels }
}

/// Places of the large picture that one small pixel is the mean of.
fn samples(at: u32, small: u32, large: u32) -> Vec<u32> {
    let edge = |at: u32| (u64::from(at) * u64::from(large) / u64::from(small)) as u32;
    let (from, to) = (edge(at), edge(at + 1).max(edge(at) + 1).min(large));
    let step = ((to - from) as usize).div_ceil(SAMPLES);
    (from..to).step_by(step).collect()
}

/// Light at the tap to linear sRGB; none where code is shown as it is.
fn srgb_from_tap(tapped: &Tapped) -> Option<Matrix> {
    if !shows_light(tapped) {
        return None;
    }
    // The matrix of real primaries has an inverse.
    Some(xyz_with_d65(&BT709).inverse()? * tapped.tap.xyz_from_light())
}
