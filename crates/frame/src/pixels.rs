//! Stored bytes to signal values in single float, and back.

use half::f16;
use rayon::prelude::*;

use crate::dither::Codes;
use crate::{ByteOrder, Dither, Frame, Layout, Range, Samples, Size};

/// Largest 10-bit code.
const TEN_MAX: f64 = 1023.0;

impl Frame {
    /// Signal values, one `[red, green, blue, alpha]` a pixel, rows from the top.
    ///
    /// Integers are divided by their largest code and put on `range`; floats are taken as they are under
    /// [`Range::Full`]. Alpha is 1 where the layout has none. Associated alpha is divided out of red,
    /// green and blue, except where it is 0 or not finite: those pixels are left as they are.
    pub fn to_pixels(&self, range: Range) -> Vec<[f32; 4]> {
        let mut pixels = vec![[0.0; 4]; self.size().pixels()];
        let layout = self.layout();
        let (scale, offset) = range.signal_from_stored(layout.samples);
        let highest = f64::from(layout.samples.highest_code());
        let order = layout.order;
        let out = &mut pixels;
        match (layout.samples, layout.has_alpha()) {
            (Samples::Ten, _) => {
                // 1024 answers are all there are.
                let table: Vec<f32> =
                    (0..1024_u32).map(|code| (f64::from(code) / TEN_MAX * scale + offset) as f32).collect();
                unpack::<4, _>(self, out, |bytes| {
                    let codes = ten_codes(order.u32_from(*bytes));
                    let [red, green, blue] = codes.map(|code| table[code as usize]);
                    [red, green, blue, 1.0]
                });
            }
            (Samples::Codes(_), false) => {
                let decode = |code: u16| (f64::from(code) / highest * scale + offset) as f32;
                unpack::<6, _>(self, out, |bytes| opaque(shorts::<6, 3>(bytes, order).map(decode)));
            }
            (Samples::Codes(_), true) => {
                let decode = |code: u16| (f64::from(code) / highest * scale + offset) as f32;
                unpack::<8, _>(self, out, |bytes| {
                    let [red, green, blue, alpha] = shorts::<8, 4>(bytes, order);
                    let alpha = (f64::from(alpha) / highest) as f32;
                    dissociate([red, green, blue].map(decode), alpha)
                });
            }
            (Samples::Half, false) => unpack::<6, _>(self, out, |bytes| {
                let values = shorts::<6, 3>(bytes, order).map(half_value);
                opaque(values.map(|value| ranged(value, scale, offset)))
            }),
            (Samples::Half, true) => unpack::<8, _>(self, out, |bytes| {
                let [red, green, blue, alpha] = shorts::<8, 4>(bytes, order).map(half_value);
                dissociate([red, green, blue].map(|value| ranged(value, scale, offset)), alpha)
            }),
            (Samples::Float, false) => unpack::<12, _>(self, out, |bytes| {
                let values = words::<12, 3>(bytes, order).map(f32::from_bits);
                opaque(values.map(|value| ranged(value, scale, offset)))
            }),
            (Samples::Float, true) => unpack::<16, _>(self, out, |bytes| {
                let [red, green, blue, alpha] = words::<16, 4>(bytes, order).map(f32::from_bits);
                dissociate([red, green, blue].map(|value| ranged(value, scale, offset)), alpha)
            }),
        }
        pixels
    }

    /// The codes of red, green and blue as stored, rows from the top; none for floats, and none where there is alpha:
    /// colour under it was multiplied and is no longer a code of the picture.
    pub fn to_codes(&self) -> Option<Vec<[u16; 3]>> {
        let layout = self.layout();
        if layout.is_float() || layout.has_alpha() {
            return None;
        }
        let order = layout.order;
        let mut codes = vec![[0; 3]; self.size().pixels()];
        if layout.samples == Samples::Ten {
            unpack::<4, _>(self, &mut codes, |bytes| ten_codes(order.u32_from(*bytes)).map(|code| code as u16));
        } else {
            unpack::<6, _>(self, &mut codes, |bytes| shorts::<6, 3>(bytes, order));
        }
        Some(codes)
    }

    /// A frame that stores `pixels` (signal values, alpha not associated): the inverse of
    /// [`Frame::to_pixels`].
    ///
    /// Red, green and blue are multiplied by alpha (except where it is 0 or not finite), also where the
    /// layout drops alpha: what is left is the picture over black. Integers are rounded half up,
    /// `floor(value x max + 0.5)`, and clamped to their codes, NaN to 0; halves are rounded to nearest
    /// even, and a finite value too large for them becomes +-65504. A 10-bit layout drops alpha.
    ///
    /// `pixels` must hold `size.pixels()` entries; missing ones become stored zeros, further ones are ignored.
    pub fn from_pixels(pixels: &[[f32; 4]], size: Size, layout: Layout, range: Range) -> Frame {
        Frame::packed(pixels, size, layout, range, |codes, _, rgb| rgb.map(|signal| codes.nearest(signal)))
    }

    /// As [`Frame::from_pixels`], where red, green and blue are dithered to their codes with the noise of frame
    /// `number`. Alpha and floats are stored without noise.
    pub fn from_pixels_dithered(
        pixels: &[[f32; 4]],
        size: Size,
        layout: Layout,
        range: Range,
        dither: Dither,
        number: i64,
    ) -> Frame {
        Frame::packed(pixels, size, layout, range, |codes, [x, y], rgb| {
            let noise = dither.noise(x, y, number);
            std::array::from_fn(|channel| codes.dithered(rgb[channel], noise[channel]))
        })
    }

    /// A frame that stores `pixels`, their integer codes as `rounded` says for a column and a row.
    fn packed(
        pixels: &[[f32; 4]],
        size: Size,
        layout: Layout,
        range: Range,
        rounded: impl Fn(&Codes, [u32; 2], [f32; 3]) -> [u32; 3] + Sync,
    ) -> Frame {
        debug_assert_eq!(pixels.len(), size.pixels(), "pixels and size must agree");
        let layout = layout.valid();
        let order = layout.order;
        let mut bytes = vec![0; size.pixels() * layout.bytes_per_pixel()];
        let (scale, offset) = range.stored_from_signal(layout.samples);
        let codes = Codes::new(range, layout.samples);
        let alpha_codes = Codes::new(Range::Full, layout.samples);
        let rounded = |at, pixel| rounded(&codes, at, associate(clamp_alpha(pixel)));
        let half = |value: f32| half_bits(ranged(value, scale, offset));
        let float = |value: f32| ranged(value, scale, offset).to_bits();
        let out = &mut bytes;
        match (layout.samples, layout.has_alpha()) {
            (Samples::Ten, _) => pack::<4>(pixels, size, out, |at, pixel| {
                let [red, green, blue] = rounded(at, pixel);
                order.bytes_of_u32(red << 22 | green << 12 | blue << 2)
            }),
            (Samples::Codes(_), false) => {
                pack::<6>(pixels, size, out, |at, pixel| from_shorts(rounded(at, pixel).map(|code| code as u16), order))
            }
            (Samples::Codes(_), true) => pack::<8>(pixels, size, out, |at, pixel| {
                let [red, green, blue] = rounded(at, pixel);
                let alpha = alpha_codes.nearest(pixel[3]);
                from_shorts([red, green, blue, alpha].map(|code| code as u16), order)
            }),
            (Samples::Half, false) => {
                pack::<6>(pixels, size, out, |_, pixel| from_shorts(associate(pixel).map(half), order));
            }
            (Samples::Half, true) => pack::<8>(pixels, size, out, |_, pixel| {
                let [red, green, blue] = associate(pixel).map(half);
                from_shorts([red, green, blue, half_bits(pixel[3])], order)
            }),
            (Samples::Float, false) => {
                pack::<12>(pixels, size, out, |_, pixel| from_words(associate(pixel).map(float), order));
            }
            (Samples::Float, true) => pack::<16>(pixels, size, out, |_, pixel| {
                let [red, green, blue] = associate(pixel).map(float);
                from_words([red, green, blue, pixel[3].to_bits()], order)
            }),
        }
        Frame::from_exact(size, layout, bytes)
    }
}

impl ByteOrder {
    pub(crate) fn u16_from(self, bytes: [u8; 2]) -> u16 {
        match self {
            ByteOrder::Little => u16::from_le_bytes(bytes),
            ByteOrder::Big => u16::from_be_bytes(bytes),
        }
    }

    pub(crate) fn u32_from(self, bytes: [u8; 4]) -> u32 {
        match self {
            ByteOrder::Little => u32::from_le_bytes(bytes),
            ByteOrder::Big => u32::from_be_bytes(bytes),
        }
    }

    pub(crate) fn bytes_of_u16(self, value: u16) -> [u8; 2] {
        match self {
            ByteOrder::Little => value.to_le_bytes(),
            ByteOrder::Big => value.to_be_bytes(),
        }
    }

    pub(crate) fn bytes_of_u32(self, value: u32) -> [u8; 4] {
        match self {
            ByteOrder::Little => value.to_le_bytes(),
            ByteOrder::Big => value.to_be_bytes(),
        }
    }
}

/// Runs `one` over every pixel's bytes, rows in parallel.
fn unpack<const N: usize, P: Send>(frame: &Frame, pixels: &mut [P], one: impl Fn(&[u8; N]) -> P + Sync) {
    // At least one, so that an empty crop is no special case.
    let width = (frame.size().width as usize).max(1);
    pixels.par_chunks_mut(width).zip(frame.bytes().par_chunks(width * N)).for_each(|(pixels, bytes)| {
        for (pixel, bytes) in pixels.iter_mut().zip(bytes.as_chunks::<N>().0) {
            *pixel = one(bytes);
        }
    });
}

/// Runs `one` over every pixel with its column and row, rows in parallel, and stores its bytes.
fn pack<const N: usize>(
    pixels: &[[f32; 4]],
    size: Size,
    bytes: &mut [u8],
    one: impl Fn([u32; 2], [f32; 4]) -> [u8; N] + Sync,
) {
    let width = (size.width as usize).max(1);
    let rows = bytes.par_chunks_mut(width * N).zip(pixels.par_chunks(width)).enumerate();
    rows.for_each(|(y, (bytes, pixels))| {
        for ((x, bytes), pixel) in (0_u32..).zip(bytes.as_chunks_mut::<N>().0).zip(pixels) {
            *bytes = one([x, y as u32], *pixel);
        }
    });
}

/// Red, green and blue codes of a packed word.
fn ten_codes(word: u32) -> [u32; 3] {
    [word >> 22, word >> 12 & 0x3ff, word >> 2 & 0x3ff]
}

/// `N` bytes as `N / 2` numbers.
fn shorts<const N: usize, const M: usize>(bytes: &[u8; N], order: ByteOrder) -> [u16; M] {
    std::array::from_fn(|i| order.u16_from([bytes[2 * i], bytes[2 * i + 1]]))
}

/// `N` bytes as `N / 4` numbers.
fn words<const N: usize, const M: usize>(bytes: &[u8; N], order: ByteOrder) -> [u32; M] {
    std::array::from_fn(|i| {
        let at = 4 * i;
        order.u32_from([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]])
    })
}

fn from_shorts<const M: usize, const N: usize>(values: [u16; M], order: ByteOrder) -> [u8; N] {
    let bytes = values.map(|value| order.bytes_of_u16(value));
    std::array::from_fn(|i| bytes[i / 2][i % 2])
}

fn from_words<const M: usize, const N: usize>(values: [u32; M], order: ByteOrder) -> [u8; N] {
    let bytes = values.map(|value| order.bytes_of_u32(value));
    std::array::from_fn(|i| bytes[i / 4][i % 4])
}

fn half_value(bits: u16) -> f32 {
    f16::from_bits(bits).to_f32()
}

fn half_bits(value: f32) -> u16 {
    let limit = f16::MAX.to_f32();
    // Infinity stays what it is: only a finite value that would become infinite is held back.
    let value = if value.is_finite() { value.clamp(-limit, limit) } else { value };
    f16::from_f32(value).to_bits()
}

/// `value x scale + offset`, and exactly `value` under full range, bits of NaN and all.
fn ranged(value: f32, scale: f64, offset: f64) -> f32 {
    if scale == 1.0 && offset == 0.0 {
        return value;
    }
    (f64::from(value) * scale + offset) as f32
}

fn opaque([red, green, blue]: [f32; 3]) -> [f32; 4] {
    [red, green, blue, 1.0]
}

/// Whether alpha can be divided out and multiplied back.
fn divides(alpha: f32) -> bool {
    alpha != 0.0 && alpha.is_finite()
}

fn dissociate(rgb: [f32; 3], alpha: f32) -> [f32; 4] {
    let [red, green, blue] = if divides(alpha) && alpha != 1.0 { rgb.map(|value| value / alpha) } else { rgb };
    [red, green, blue, alpha]
}

fn associate([red, green, blue, alpha]: [f32; 4]) -> [f32; 3] {
    let rgb = [red, green, blue];
    if divides(alpha) && alpha != 1.0 { rgb.map(|value| value * alpha) } else { rgb }
}

/// Integers hold alpha from 0 to 1 only, so colour must be multiplied by no other.
fn clamp_alpha([red, green, blue, alpha]: [f32; 4]) -> [f32; 4] {
    [red, green, blue, alpha.clamp(0.0, 1.0)]
}
