//! Frames to write, shared by the suites.

use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};

/// The native byte order.
#[allow(dead_code, reason = "not every suite asks")]
pub const NATIVE: ByteOrder = if cfg!(target_endian = "big") { ByteOrder::Big } else { ByteOrder::Little };

/// A frame of any bytes, which must be codes that the format keeps: low padding bits of packed words are
/// cleared, and floats are kept finite.
pub fn frame(size: Size, layout: Layout, mut random: impl FnMut() -> u8) -> Frame {
    let len = layout.byte_len(size).unwrap();
    let mut bytes: Vec<u8> = (0..len).map(|_| random()).collect();
    let step = match layout.samples {
        Samples::Ten | Samples::Float => 4,
        Samples::Codes(_) | Samples::Half => 2,
    };
    for sample in bytes.chunks_exact_mut(step) {
        let (top, low) = match layout.order {
            ByteOrder::Big => (0, step - 1),
            ByteOrder::Little => (step - 1, 0),
        };
        match layout.samples {
            Samples::Ten => sample[low] &= !3,
            // A clear bit in the exponent keeps NaN and infinity out.
            Samples::Half | Samples::Float => sample[top] &= 0xbf,
            // Codes stay within their bits; the top byte holds those above eight.
            Samples::Codes(bits) => sample[top] &= (((1u32 << bits) - 1) >> 8) as u8,
        }
    }
    Frame::new(size, layout, bytes, 0).unwrap()
}

/// A frame with a fixed scatter of codes.
#[allow(dead_code, reason = "not every suite draws one")]
pub fn scatter(size: Size, layout: Layout) -> Frame {
    let mut state = 0x2545_f491_u32;
    frame(size, layout, move || {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state as u8
    })
}

/// Every layout that some format writes, with the endings of those formats.
#[allow(dead_code, reason = "not every suite needs them")]
pub fn written() -> Vec<(&'static str, Layout)> {
    let mut all = Vec::new();
    for order in [ByteOrder::Big, ByteOrder::Little] {
        all.push(("dpx", Layout::new(Channels::Rgb, Samples::Ten, order)));
        for channels in [Channels::Rgb, Channels::Rgba] {
            all.push(("exr", Layout::new(channels, Samples::Half, order)));
            all.push(("exr", Layout::new(channels, Samples::Float, order)));
            all.push(("tif", Layout::new(channels, Samples::U16, order)));
            all.push(("png", Layout::new(channels, Samples::U16, order)));
            all.push(("png", Layout::new(channels, Samples::Codes(8), order)));
        }
    }
    all
}
