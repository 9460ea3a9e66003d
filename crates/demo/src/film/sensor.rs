//! From light to code values: veil, noise, saturation, the camera's curve.

use colour::Encoding;
use colour::transfer::Form;
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use rayon::prelude::*;

use super::noise::Noise;

/// Linear camera light at which a channel of the sensor is full. Our own choice: six stops above mid grey.
pub const FULL: f64 = 12.0;

/// What lies between the light of a frame and its codes.
#[derive(Debug, Clone, Copy)]
pub struct Sensor<'a> {
    /// The camera's curve.
    pub encoding: &'a Encoding,
    /// Bits of a code, 8 or 10.
    pub bits: u8,
    /// The veil in linear camera RGB.
    pub veil: [f64; 3],
    /// Noise, unless it is left away.
    pub noise: Option<Noise>,
}

impl Sensor<'_> {
    /// The frame of linear camera light, row by row.
    pub fn frame(&self, light: &[[f32; 3]], size: Size) -> Frame {
        let pixels: Vec<[f32; 4]> = light
            .par_iter()
            .enumerate()
            .map(|(pixel, rgb)| {
                let code = |channel: usize| {
                    let veiled = f64::from(rgb[channel]) + self.veil[channel];
                    let read = self.noise.map_or(veiled, |noise| noise.on(veiled, pixel, channel));
                    self.encoding.transfer.encode(Form::Published, read.min(FULL)) as f32
                };
                [code(0), code(1), code(2), 1.0]
            })
            .collect();
        Frame::from_pixels(&pixels, size, layout(self.bits), Range::Full)
    }

    /// Which channels of a pixel are full: 1 for red, 2 for green, 4 for blue, added.
    pub fn clipped(&self, light: [f32; 3]) -> u16 {
        (0..3).filter(|c| f64::from(light[*c]) + self.veil[*c] >= FULL).map(|c| 1 << c).sum()
    }
}

/// How codes lie in a frame.
fn layout(bits: u8) -> Layout {
    let samples = if bits == 10 { Samples::Ten } else { Samples::Codes(bits) };
    Layout { channels: Channels::Rgb, samples, order: ByteOrder::Big }
}
