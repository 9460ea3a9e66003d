//! Every stored layout in and out of the GPU, against the packing of crate `frame`.
//!
//! `frame`'s own tests hold its packing against the published layouts.

use std::sync::Arc;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, assemble};
use gpu::device::{AdapterChoice, Gpu, Held, Renderer};
use graph::Original;
use plan::{Level, Plan};
use tests::cases::Subject;
use tests::gpu::adapter;
use tests::pixels::Random;

/// Samples that may be one code off, as a share: where the exact value lies between two codes to within f32.
const SHARE_OF_TIES: f64 = 2e-3;

fn layouts() -> Vec<Layout> {
    let mut layouts = Vec::new();
    for order in [ByteOrder::Little, ByteOrder::Big] {
        for samples in
            [Samples::Ten, Samples::Codes(8), Samples::Codes(12), Samples::U16, Samples::Half, Samples::Float]
        {
            let channels = [Channels::Rgb, Channels::Rgba];
            layouts
                .extend(channels.map(|channels| Layout::new(channels, samples, order)).iter().filter(|l| l.is_valid()));
        }
    }
    layouts
}

/// The empty chain between two layouts.
fn renderer(gpu: &Arc<Gpu>, source: (Layout, Range), result: (Layout, Range)) -> Renderer {
    let elaborated = Subject::chain("", &Original::SceneRows).elaborated;
    let plan = Plan::new(&elaborated, Level::Full);
    let program =
        assemble(&plan, Edge::Stored(source.0, source.1), Edge::Stored(result.0, result.1)).expect("assembles");
    Renderer::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, None)
}

/// A frame of a layout whose samples are any that it can hold; alpha from none to full.
fn noise(layout: Layout, size: Size, seed: u64) -> Frame {
    let mut random = Random::new(seed);
    let pixels: Vec<[f32; 4]> = (0..size.pixels())
        .map(|_| {
            let alpha = *random.of(&[0.0, 0.25, 0.5, 1.0, 1.0]);
            let mut channel = || match layout.is_float() && random.bits().is_multiple_of(3) {
                true => (random.between(-1.0, 1.0) * random.between(-10.0, 14.0).exp2()) as f32,
                false => random.between(-0.05, 1.05) as f32,
            };
            [channel(), channel(), channel(), alpha]
        })
        .collect();
    Frame::from_pixels(&pixels, size, layout, Range::Full)
}

/// Samples of a frame as numbers that differ by one where the stored values are neighbours.
fn codes(frame: &Frame) -> Vec<i64> {
    let bytes = frame.bytes();
    let big = frame.layout().order == ByteOrder::Big;
    let word = |bytes: &[u8; 4]| if big { u32::from_be_bytes(*bytes) } else { u32::from_le_bytes(*bytes) };
    let short = |bytes: &[u8; 2]| if big { u16::from_be_bytes(*bytes) } else { u16::from_le_bytes(*bytes) };
    // Floats of one sign are ordered as their bits are; zero of either sign is one number.
    let ordered = |bits: i64, sign: i64| if bits & sign != 0 { sign - bits } else { bits };
    match frame.layout().samples {
        Samples::Ten => {
            let words = bytes.as_chunks::<4>().0.iter().map(word);
            words.flat_map(|word| [word >> 22, word >> 12 & 1023, word >> 2 & 1023, word & 3].map(i64::from)).collect()
        }
        Samples::Codes(_) => bytes.as_chunks::<2>().0.iter().map(|bytes| i64::from(short(bytes))).collect(),
        Samples::Half => {
            bytes.as_chunks::<2>().0.iter().map(|bytes| ordered(i64::from(short(bytes)), 1 << 15)).collect()
        }
        Samples::Float => {
            bytes.as_chunks::<4>().0.iter().map(|bytes| ordered(i64::from(word(bytes)), 1 << 31)).collect()
        }
    }
}

/// Largest distance in codes, and how many are apart.
fn apart(a: &Frame, b: &Frame) -> (i64, usize, usize) {
    let (a, b) = (codes(a), codes(b));
    assert_eq!(a.len(), b.len());
    let distances = a.iter().zip(&b).map(|(a, b)| (a - b).abs());
    (distances.clone().max().unwrap_or(0), distances.filter(|&distance| distance > 0).count(), a.len())
}

/// Every code that a layout can hold, in every channel.
fn every_code(layout: Layout) -> Frame {
    let channels = if layout.has_alpha() { 4 } else { 3 };
    let put16 = |code: u16| if layout.order == ByteOrder::Big { code.to_be_bytes() } else { code.to_le_bytes() };
    let put32 = |code: u32| if layout.order == ByteOrder::Big { code.to_be_bytes() } else { code.to_le_bytes() };
    let mut random = Random::new(3);
    let (size, bytes): (Size, Vec<u8>) = match layout.samples {
        Samples::Ten => {
            let word = |code: u32| code << 22 | (1023 - code) << 12 | (code * 7 % 1024) << 2;
            (Size::new(32, 32), (0..1024).flat_map(|code| put32(word(code))).collect())
        }
        Samples::Codes(_) | Samples::Half => {
            let half = layout.samples == Samples::Half;
            let highest = layout.samples.highest_code() as u16;
            let finite = |code: u16| match half {
                true if code & 0x7c00 == 0x7c00 => 0x3c00,
                true => code,
                false => code & highest,
            };
            let opaque = if half { 0x3c00 } else { highest };
            let pixel = |code: u16| [code, !code, code.rotate_left(5), opaque].map(finite);
            let pixels = (0..=u16::MAX).flat_map(|code| pixel(code).into_iter().take(channels).collect::<Vec<_>>());
            (Size::new(256, 256), pixels.flat_map(put16).collect())
        }
        Samples::Float => {
            // Every exponent of a normal float; WGSL may take numbers nearer to zero than 1.2e-38 for zero.
            let mut number = || loop {
                let bits = random.bits() as u32;
                if f32::from_bits(bits).is_normal() {
                    return bits;
                }
            };
            let pixels = (0..16_384).flat_map(|_| {
                [number(), number(), number(), 1f32.to_bits()].into_iter().take(channels).collect::<Vec<_>>()
            });
            (Size::new(128, 128), pixels.flat_map(put32).collect())
        }
    };
    Frame::new(size, layout, bytes, 0).expect("the size is right")
}

#[test]
fn an_empty_chain_returns_every_code_untouched() {
    let Some(gpu) = adapter() else { return };
    for layout in layouts() {
        let frame = Arc::new(every_code(layout));
        let back =
            renderer(&gpu, (layout, Range::Full), (layout, Range::Full)).frame(Arc::clone(&frame)).expect("it renders");
        assert!(back == *frame, "{layout}: {:?} (largest, differing, of)", apart(&back, &frame));
    }
}

/// Legal range to legal range: a multiplication and back, which integers and halves forget.
#[test]
fn legal_range_and_back_returns_every_code() {
    let Some(gpu) = adapter() else { return };
    for layout in layouts().into_iter().filter(|layout| layout.samples != Samples::Float) {
        let frame = Arc::new(every_code(layout));
        let back = renderer(&gpu, (layout, Range::Legal), (layout, Range::Legal))
            .frame(Arc::clone(&frame))
            .expect("it renders");
        let (largest, differing, of) = apart(&back, &frame);
        println!("{layout}: {differing} of {of} differ, by {largest} at most");
        match layout.samples {
            // Halves near zero are finer than f32 after an offset of 0.07.
            Samples::Half => {
                let (back, frame) = (back.to_pixels(Range::Full), frame.to_pixels(Range::Full));
                let off =
                    back.iter().flatten().zip(frame.iter().flatten()).map(|(a, b)| (a - b).abs() / b.abs().max(1.0));
                // Half a unit of half float is 2^-11 of its number.
                assert!(off.fold(0.0, f32::max) <= 1.0 / 2048.0, "{layout}");
            }
            _ => assert_eq!(differing, 0, "{layout}"),
        }
    }
}

/// Samples one code off over all pairs of some ranges.
fn every_pair(source_range: Range, result_range: Range, pairs: &[(Layout, Layout)]) {
    let Some(gpu) = adapter() else { return };
    let (mut ties, mut samples) = (0, 0);
    for &(source, result) in pairs {
        let mut renderer = renderer(&gpu, (source, source_range), (result, result_range));
        for (seed, (width, height)) in [(1, 1), (3, 1), (5, 7), (64, 33)].into_iter().enumerate() {
            let frame = Arc::new(noise(source, Size::new(width, height), seed as u64));
            let wanted = Frame::from_pixels(&frame.to_pixels(source_range), frame.size(), result, result_range);
            let got = renderer.frame(Arc::clone(&frame)).expect("it renders");
            // A held frame whose result stays on the device is the same, padding or not.
            let held = Held::new(&gpu, frame, None).expect("it is held");
            assert!(renderer.draw(&held, 0).and_then(|drawn| drawn.read()).expect("it is drawn") == got);
            let (largest, differing, of) = apart(&got, &wanted);
            if result.samples == Samples::Float {
                close(&got, &wanted, &format!("{source} to {result}, {width}x{height}"));
            } else {
                assert!(largest <= 1, "{source} to {result}, {width}x{height}: {largest} codes apart");
                ties += differing;
                samples += of;
            }
        }
    }
    println!("{source_range:?} to {result_range:?}: {ties} of {samples} samples are one code off");
    assert!(ties as f64 <= SHARE_OF_TIES * samples as f64, "{ties} of {samples} samples are one code off");
}

/// Single floats: a division (2.5 units in WGSL) and the range's scale and offset, whose sum is off by units of
/// its larger term; dividing out an alpha of a quarter makes four of each.
fn close(got: &Frame, wanted: &Frame, what: &str) {
    let (got, wanted) = (got.to_pixels(Range::Full), wanted.to_pixels(Range::Full));
    for (got, wanted) in got.iter().flatten().zip(wanted.iter().flatten()) {
        let allowed = 8.0 / 16_777_216.0 * wanted.abs().max(0.25);
        assert!((got - wanted).abs() <= allowed, "{what}: {got} instead of {wanted}");
    }
}

fn pairs(keep: impl Fn(Layout, Layout) -> bool) -> Vec<(Layout, Layout)> {
    let all = layouts().into_iter().flat_map(|source| layouts().into_iter().map(move |result| (source, result)));
    all.filter(|&(source, result)| keep(source, result)).collect()
}

#[test]
fn every_pair_of_layouts_with_their_byte_orders() {
    // Of each pair of kinds, both orders are met on both sides: little to big and big to little, and same to same.
    every_pair(Range::Full, Range::Full, &pairs(|source, result| source.order != result.order));
    every_pair(Range::Full, Range::Full, &pairs(|source, result| source == result));
}

#[test]
fn every_pair_of_layouts_from_legal_range() {
    every_pair(
        Range::Legal,
        Range::Full,
        &pairs(|source, result| source.order != result.order && source.order == ByteOrder::Big),
    );
}

#[test]
fn every_pair_of_layouts_to_legal_range() {
    every_pair(
        Range::Full,
        Range::Legal,
        &pairs(|source, result| source.order != result.order && source.order == ByteOrder::Little),
    );
}
