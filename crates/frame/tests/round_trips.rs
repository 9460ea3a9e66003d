//! Code -> f32 -> code for every code there is, rounding, range and alpha.

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use proptest::prelude::*;

const ORDERS: [ByteOrder; 2] = [ByteOrder::Little, ByteOrder::Big];
const RANGES: [Range; 2] = [Range::Full, Range::Legal];

fn shorts(values: impl Iterator<Item = u16>, order: ByteOrder) -> Vec<u8> {
    values
        .flat_map(|value| match order {
            ByteOrder::Little => value.to_le_bytes(),
            ByteOrder::Big => value.to_be_bytes(),
        })
        .collect()
}

fn words(values: impl Iterator<Item = u32>, order: ByteOrder) -> Vec<u8> {
    values
        .flat_map(|value| match order {
            ByteOrder::Little => value.to_le_bytes(),
            ByteOrder::Big => value.to_be_bytes(),
        })
        .collect()
}

fn there_and_back(frame: &Frame, range: Range) -> Frame {
    Frame::from_pixels(&frame.to_pixels(range), frame.size(), frame.layout(), range)
}

#[test]
fn every_10_bit_code() {
    for order in ORDERS {
        let bytes = words((0..1024_u32).map(|c| c << 22 | (1023 - c) << 12 | (c ^ 0x2a5) << 2), order);
        let layout = Layout::new(Channels::Rgb, Samples::Ten, order);
        let frame = Frame::new(Size::new(64, 16), layout, bytes, 0).unwrap();
        for range in RANGES {
            assert_eq!(there_and_back(&frame, range), frame, "{layout}, {}", range.name());
        }
        let pixels = frame.to_pixels(Range::Full);
        assert_eq!(pixels[1], [1.0 / 1023.0, 1022.0 / 1023.0, 676.0 / 1023.0, 1.0]);
    }
}

#[test]
fn every_16_bit_code() {
    for order in ORDERS {
        let codes = (0..=u16::MAX).flat_map(|c| [c, u16::MAX - c, c ^ 0x5a5a]);
        let layout = Layout::new(Channels::Rgb, Samples::U16, order);
        let frame = Frame::new(Size::new(256, 256), layout, shorts(codes, order), 0).unwrap();
        for range in RANGES {
            assert_eq!(there_and_back(&frame, range), frame, "{layout}, {}", range.name());
        }
    }
}

#[test]
fn every_finite_half() {
    for order in ORDERS {
        let finite = |bits: &u16| bits & 0x7c00 != 0x7c00;
        let patterns: Vec<u16> = (0..=u16::MAX).filter(finite).collect();
        assert_eq!(patterns.len(), 63488);
        let layout = Layout::new(Channels::Rgb, Samples::Half, order);
        let bytes = shorts(patterns.iter().flat_map(|&b| [b, b, b]), order);
        let frame = Frame::new(Size::new(248, 256), layout, bytes, 0).unwrap();
        assert_eq!(there_and_back(&frame, Range::Full), frame);
    }
}

/// Source: the packed words that SMPTE ST 268-1 method A gives for these codes, as an outside writer
/// (OpenImageIO 3.2) stored them.
#[test]
fn codes_come_out_as_stored() {
    for order in ORDERS {
        let codes: Vec<[u16; 3]> = (0..1024).map(|c| [c, 1023 - c, c ^ 0x2a5]).collect();
        let size = Size::new(32, 32);
        let ten = Layout::new(Channels::Rgb, Samples::Ten, order);
        // The padding of a word is no part of a code.
        let packed = codes.iter().map(|c| c.map(u32::from)).map(|[r, g, b]| r << 22 | g << 12 | b << 2 | 3);
        assert_eq!(Frame::new(size, ten, words(packed, order), 0).unwrap().to_codes().as_ref(), Some(&codes));
        let short = Layout::new(Channels::Rgb, Samples::Codes(12), order);
        let bytes = shorts(codes.iter().flatten().copied(), order);
        assert_eq!(Frame::new(size, short, bytes, 0).unwrap().to_codes(), Some(codes));
        for (channels, samples) in [(Channels::Rgba, Samples::U16), (Channels::Rgb, Samples::Half)] {
            let layout = Layout::new(channels, samples, order);
            assert_eq!(Frame::from_pixels(&[[0.5; 4]], Size::new(1, 1), layout, Range::Full).to_codes(), None);
        }
    }
}

#[test]
fn packing_of_method_a() {
    let codes = [[0, 1023, 512], [64, 940, 502], [1, 2, 3], [1023, 0, 1]];
    let big = [0x00, 0x3f, 0xf8, 0x00, 0x10, 0x3a, 0xc7, 0xd8, 0x00, 0x40, 0x20, 0x0c, 0xff, 0xc0, 0x00, 0x04];
    let little = [0x00, 0xf8, 0x3f, 0x00, 0xd8, 0xc7, 0x3a, 0x10, 0x0c, 0x20, 0x40, 0x00, 0x04, 0x00, 0xc0, 0xff];
    for (order, bytes) in [(ByteOrder::Big, big), (ByteOrder::Little, little)] {
        let layout = Layout::new(Channels::Rgb, Samples::Ten, order);
        let frame = Frame::new(Size::new(4, 1), layout, bytes.to_vec(), 0).unwrap();
        let pixels = frame.to_pixels(Range::Full);
        for (pixel, codes) in pixels.iter().zip(codes) {
            let found = [pixel[0], pixel[1], pixel[2]].map(|v| (v * 1023.0).round() as u32);
            assert_eq!(found, codes);
        }
        let back = Frame::from_pixels(&pixels, frame.size(), layout, Range::Full);
        assert_eq!(back.bytes(), bytes);
    }
}

/// Source: 10-bit legal black 64 and white 940, ITU-R BT.709-6, item 5.1.
#[test]
fn legal_range_reaches_the_codes() {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let pixels = [[0.0, 0.5, 1.0, 1.0], [-1.0, 2.0, f32::NAN, 1.0]];
    let frame = Frame::from_pixels(&pixels, Size::new(2, 1), layout, Range::Legal);
    let words = [64_u32 << 22 | 502 << 12 | 940 << 2, 1023 << 12];
    assert_eq!(frame.bytes(), words.map(u32::to_be_bytes).concat());
}

#[test]
fn integers_round_half_up_and_clamp() {
    let layout = Layout::new(Channels::Rgb, Samples::U16, ByteOrder::Big);
    // 0.5 is exactly half way between 32767 and 32768.
    let pixels = [[0.5, -0.1, 1.1, 1.0], [f32::INFINITY, f32::NEG_INFINITY, f32::NAN, 1.0]];
    let frame = Frame::from_pixels(&pixels, Size::new(2, 1), layout, Range::Full);
    assert_eq!(frame.bytes(), [0x80, 0, 0, 0, 0xff, 0xff, 0xff, 0xff, 0, 0, 0, 0]);
}

#[test]
fn halves_round_to_even_and_stay_finite() {
    let layout = Layout::new(Channels::Rgb, Samples::Half, ByteOrder::Big);
    // Halves near 1 are 2^-10 apart: half way up from an even one stays, from an odd one goes up.
    let step = 1.0 / 1024.0;
    let pixels = [[1.0 + 0.5 * step, 1.0 + 1.5 * step, 1e9, 1.0], [-1e9, 65519.0, 65530.0, 1.0]];
    let frame = Frame::from_pixels(&pixels, Size::new(2, 1), layout, Range::Full);
    let back = frame.to_pixels(Range::Full);
    assert_eq!(back[0], [1.0, 1.0 + 2.0 * step, 65504.0, 1.0]);
    assert_eq!(back[1], [-65504.0, 65504.0, 65504.0, 1.0]);
}

#[test]
fn alpha_is_divided_out_and_multiplied_back() {
    let layout = Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little);
    let stored = [[0.25_f32, 0.5, 1.0, 0.5], [0.25, 3.0, -1.0, 0.0]];
    let bytes = words(stored.iter().flatten().map(|v| v.to_bits()), ByteOrder::Little);
    let frame = Frame::new(Size::new(2, 1), layout, bytes, 0).unwrap();
    let pixels = frame.to_pixels(Range::Full);
    assert_eq!(pixels, [[0.5, 1.0, 2.0, 0.5], [0.25, 3.0, -1.0, 0.0]]);
    assert_eq!(there_and_back(&frame, Range::Full), frame);
    // Dropping alpha leaves the picture over black.
    let rgb = Layout { channels: Channels::Rgb, ..layout };
    let flat = Frame::from_pixels(&pixels, frame.size(), rgb, Range::Full);
    assert_eq!(flat.to_pixels(Range::Full)[0], [0.25, 0.5, 1.0, 1.0]);
}

fn layouts() -> impl Strategy<Value = Layout> {
    let samples = prop_oneof![
        Just(Samples::Ten),
        Just(Samples::U16),
        Just(Samples::Codes(8)),
        Just(Samples::Codes(12)),
        Just(Samples::Half),
        Just(Samples::Float)
    ];
    (samples, any::<bool>(), any::<bool>()).prop_map(|(samples, alpha, big)| {
        let alpha = alpha && samples != Samples::Ten;
        let channels = if alpha { Channels::Rgba } else { Channels::Rgb };
        Layout::new(channels, samples, if big { ByteOrder::Big } else { ByteOrder::Little })
    })
}

proptest! {
    #[test]
    fn floats_are_bit_exact(values in prop::collection::vec(any::<u32>(), 12), big in any::<bool>()) {
        let order = if big { ByteOrder::Big } else { ByteOrder::Little };
        let layout = Layout::new(Channels::Rgb, Samples::Float, order);
        let bytes = words(values.into_iter(), order);
        let frame = Frame::new(Size::new(2, 2), layout, bytes, 0).unwrap();
        // NaN payloads too: full range touches no bit.
        prop_assert_eq!(there_and_back(&frame, Range::Full), frame);
    }

    #[test]
    fn codes_with_alpha_come_back(
        codes in prop::collection::vec(any::<u16>(), 16), big in any::<bool>(),
    ) {
        let order = if big { ByteOrder::Big } else { ByteOrder::Little };
        let layout = Layout::new(Channels::Rgba, Samples::U16, order);
        let frame = Frame::new(Size::new(4, 1), layout, shorts(codes.into_iter(), order), 0).unwrap();
        prop_assert_eq!(there_and_back(&frame, Range::Full), frame);
    }

    #[test]
    fn storing_is_within_half_a_step(
        layout in layouts(),
        legal in any::<bool>(),
        pixels in prop::collection::vec(prop::array::uniform4(0.0_f32..=1.0), 6),
    ) {
        let range = if legal { Range::Legal } else { Range::Full };
        let opaque: Vec<[f32; 4]> = pixels.iter().map(|&[r, g, b, _]| [r, g, b, 1.0]).collect();
        let frame = Frame::from_pixels(&opaque, Size::new(3, 2), layout, range);
        let back = frame.to_pixels(range);
        // Half a code (876 codes to the signal when legal), half the largest step of a half below 1 plus
        // range, and a few roundings of single float.
        let tolerance = match layout.samples {
            Samples::Ten => 0.5 / 876.0,
            Samples::Codes(bits) => 0.5 / (219.0 * 2f32.powi(i32::from(bits) - 8)),
            Samples::Half => 0.3e-3,
            Samples::Float => 0.0,
        } + 2e-7;
        for (a, b) in opaque.iter().flatten().zip(back.iter().flatten()) {
            prop_assert!((a - b).abs() <= tolerance, "{} became {} in {}", a, b, layout);
        }
    }

    #[test]
    fn a_crop_shows_the_same_pixels(
        layout in layouts(), x in 0_u32..5, y in 0_u32..4, width in 1_u32..5, height in 1_u32..4,
    ) {
        let size = Size::new(5, 4);
        let pixels: Vec<[f32; 4]> = (0..20).map(|i| [i as f32 / 64.0, 0.5, 0.25, 1.0]).collect();
        let frame = Frame::from_pixels(&pixels, size, layout, Range::Full);
        let whole = frame.to_pixels(Range::Full);
        let crop = frame.crop(x, y, width, height);
        let part = crop.to_pixels(Range::Full);
        let mut at = part.iter();
        for row in y..(y + height).min(4) {
            for column in x..(x + width).min(5) {
                prop_assert_eq!(at.next(), Some(&whole[(row * 5 + column) as usize]));
            }
        }
        prop_assert_eq!(at.next(), None);
    }
}
