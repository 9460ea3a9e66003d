use colour::{Form, Transfer, primaries};
use frame::{ByteOrder, Channels, Layout, Samples, Size};
use proptest::prelude::*;

use super::*;

const WEIGHTS: [f64; 3] = [0.2126, 0.7152, 0.0722];

fn terms(range: Range) -> Terms {
    let signal = Some(SignalLimits { rgb: [-5.0, 105.0], luma: [-5.0, 105.0], weights: WEIGHTS });
    Terms { range, signal, gamut: None, black: None, display_code: true }
}

/// A 10-bit frame, 100 wide.
fn ten(codes: &[[u32; 3]]) -> Frame {
    let bytes = codes.iter().flat_map(|[red, green, blue]| (red << 22 | green << 12 | blue << 2).to_be_bytes());
    let size = Size::new(100, codes.len() as u32 / 100);
    Frame::new(size, Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big), bytes.collect(), 0).unwrap()
}

/// Ten rows of a grey, with some pixels that are other.
fn grey(others: &[(usize, [u32; 3])]) -> Frame {
    let mut codes = vec![[500, 501, 502]; 1000];
    for (at, other) in others {
        codes[*at] = *other;
    }
    ten(&codes)
}

/// Smooth noise of this width, from 0 to `width`, a hump in the middle.
fn noise(width: u32) -> impl FnMut() -> u32 {
    let mut state = 7_u64;
    move || {
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as u32 % (width / 2 + 1)
        };
        next() + next()
    }
}

/// Source: EBU R 103 v3.0 (2020), as `colour::range::r103_codes` has it from the fact sheet's table.
#[test]
fn percents_become_the_codes_of_r_103() {
    for bits in [8, 10, 12, 16] {
        assert_eq!((legal_code(bits, -5.0), legal_code(bits, 105.0)), range::r103_codes(bits), "{bits} bits");
    }
    assert_eq!((legal_code(10, 0.0), legal_code(10, 100.0)), (64, 940));
}

/// Source: EBU R 103 v3.0: 20 to 984 in 10 bits are within.
#[test]
fn the_signal_is_held_to_its_limits() {
    let outside = |pixel, terms: &Terms| measured(&grey(&[(342, pixel)]), terms).outside_signal;
    for inside in [[20, 984, 500], [984; 3], [20; 3]] {
        assert_eq!(outside(inside, &terms(Range::Legal)).pixels, 0, "{inside:?}");
    }
    for (pixel, excess) in [([19, 500, 500], 1.0), ([500, 987, 500], 3.0), ([500, 500, 0], 20.0)] {
        let found = outside(pixel, &terms(Range::Legal));
        let (worst, spot) = found.worst.unwrap();
        assert_eq!((found.pixels, worst, spot.x, spot.y), (1, excess, 42, 3), "{pixel:?}");
        assert_eq!(spot.rgb, pixel.map(|code| code as f32));
        assert_eq!(outside(pixel, &terms(Range::Full)).pixels, 0, "full range cannot leave it");
    }
    // The first edition of 2000 kept luma within -1 to 103 % (from memory): 55 to 966 in 10 bits.
    let narrow = SignalLimits { rgb: [-5.0, 105.0], luma: [-1.0, 103.0], weights: WEIGHTS };
    let narrow = Terms { signal: Some(narrow), ..terms(Range::Legal) };
    assert_eq!(outside([967; 3], &narrow).pixels, 1);
    assert_eq!(outside([966; 3], &narrow).pixels, 0);
    assert_eq!(outside([54; 3], &narrow).pixels, 1);
    assert_eq!(outside([55; 3], &narrow).pixels, 0);
    // A blue alone carries little luma.
    assert_eq!(outside([500, 500, 984], &narrow).pixels, 0);
}

/// Source: Rec. ITU-R BT.709-6, item 4.6: 64 and 940 are legal black and white in 10 bits.
#[test]
fn clipped_pixels_are_counted_a_channel_at_a_time() {
    let frame = grey(&[(1, [1023, 940, 939]), (2, [1022, 64, 65]), (3, [0, 63, 500])]);
    let counts = |of: [Found; 3]| of.map(|found| found.pixels);
    let full = measured(&frame, &terms(Range::Full));
    assert_eq!((counts(full.top), counts(full.bottom)), ([1, 0, 0], [1, 0, 0]));
    let legal = measured(&frame, &terms(Range::Legal));
    assert_eq!((counts(legal.top), counts(legal.bottom)), ([2, 1, 0], [1, 2, 0]));
    assert_eq!(legal.bottom[1].worst.unwrap().1.x, 3, "the worst is farthest out");
}

#[test]
fn bars_are_left_aside() {
    let mut codes = vec![[64, 65, 66]; 1000];
    for (at, code) in codes.iter_mut().enumerate() {
        if (2..7).contains(&(at / 100)) && (10..95).contains(&(at % 100)) {
            *code = [500, 300, 200];
        }
    }
    let found = measured(&ten(&codes), &terms(Range::Legal));
    assert_eq!(found.area, Area { x: 10, y: 2, width: 85, height: 5 });
    assert_eq!((found.pixels, found.bottom[0].pixels), (425, 0));
    // A picture that is black everywhere has no bars.
    let black = measured(&ten(&vec![[64; 3]; 1000]), &terms(Range::Legal));
    assert_eq!((black.pixels, black.flat), (1000, Some([64.0; 3])));
    assert_eq!(measured(&grey(&[(5, [500, 501, 503])]), &terms(Range::Full)).flat, None);
}

/// Noise of a neutral black must not look like a tint, whatever the weights of luma are and though blue is noisier, as
/// under tungsten light; an offset must.
#[test]
fn black_has_a_level_and_a_tint() {
    let picture = |lift: u32, blue: u32| {
        let (mut next, mut noisy) = (noise(16), noise(48));
        let codes: Vec<_> = (0..200_000).map(|_| [lift + next(), lift + next(), lift + blue + noisy() - 16]).collect();
        measured(&ten(&codes), &terms(Range::Legal)).black.unwrap()
    };
    let (clean, tinted) = (picture(90, 0), picture(90, 8));
    // The noise adds 8 codes on average; the darkest of 750 blocks lies little below.
    assert!(clean.tint() < 3.0 && (31.0..34.0).contains(&clean.level()), "{clean:?}");
    assert!((tinted.rgb[2] - clean.rgb[2] - 8.0).abs() < 1.0 && tinted.tint() > 4.0, "{tinted:?}");
    assert!((picture(120, 0).level() - clean.level() - 30.0).abs() < 1e-9);
}

/// Of the 6 x 400 blocks the darkest thousandth are two; what lies between them does not count.
#[test]
fn the_darkest_blocks_are_found() {
    let mut codes = vec![[500; 3]; 100 * 6400];
    for (block, code) in [(7, [70, 74, 75]), (1000, [72, 72, 72]), (2379, [74, 73, 78]), (2000, [90, 90, 90])] {
        let (x, y) = (block % 6 * 16, block / 6 * 16);
        for row in y..y + 16 {
            codes[row * 100 + x..][..16].fill(code);
        }
    }
    let black = measured(&ten(&codes), &terms(Range::Legal)).black.unwrap();
    assert_eq!(black.rgb, [7.0, 9.0, 9.5]);
    assert_eq!((black.darkest.x, black.darkest.y, black.darkest.rgb), (64, 2656, [72.0; 3]));
}

#[test]
fn a_marked_black_is_its_mean() {
    let frame = grey(&[(105, [70, 72, 80]), (106, [74, 72, 80])]);
    let marked = Area { x: 5, y: 1, width: 2, height: 1 };
    let black = |range| measured(&frame, &Terms { black: Some(marked), ..terms(range) }).black.unwrap();
    assert_eq!((black(Range::Legal).rgb, black(Range::Full).rgb), ([8.0, 8.0, 16.0], [72.0, 72.0, 80.0]));
    assert_eq!(black(Range::Legal).darkest.x, 5);
    let outside = Area { x: 200, y: 1, width: 2, height: 1 };
    assert_eq!(measured(&frame, &Terms { black: Some(outside), ..terms(Range::Full) }).black, None);
}

/// Sixteen-bit codes are counted as they are, and a picture smaller than a block is one.
#[test]
fn black_of_sixteen_bits_is_exact() {
    let codes = |at: u16| if at % 500 < 200 { [7_u16, 11, 4096] } else { [30_000; 3] };
    let bytes = (0..1000).flat_map(codes).flat_map(u16::to_le_bytes).collect();
    let layout = Layout::new(Channels::Rgb, Samples::U16, ByteOrder::Little);
    let frame = Frame::new(Size::new(500, 2), layout, bytes, 0).unwrap();
    let black = measured(&frame, &terms(Range::Full)).black.unwrap();
    let wanted = [7.0, 11.0, 4096.0].map(|code: f64| code * 1023.0 / 65535.0);
    assert!(black.rgb.iter().zip(wanted).all(|(found, wanted)| (found - wanted).abs() < 1e-9), "{black:?}");
    assert_eq!((black.darkest.x, black.darkest.y), (0, 0));
}

fn pq(range: Range) -> Terms {
    let codes = if range == Range::Legal { CodeRange::Legal } else { CodeRange::Full };
    let gamut = Gamut::new(&primaries::BT2020, &Transfer::Pq, &primaries::P3_D65, 10, codes);
    Terms { gamut: Some(gamut), ..terms(range) }
}

/// 10-bit codes of P3 light, in shares of 10000 nits, in the container.
fn in_container(light: [f64; 3], codes: CodeRange) -> [u32; 3] {
    let matrix = primaries::BT2020.xyz_from_rgb().inverse().unwrap() * primaries::P3_D65.xyz_from_rgb();
    matrix.apply(light).map(|light| {
        let signal = Transfer::Pq.encode(Form::Exact, light.max(0.0));
        range::code_from_signal(10, codes, signal)
    })
}

proptest! {
    /// Whatever a P3 display shows is inside, also at the gamut's edge, after rounding and a code of dither.
    #[test]
    fn what_p3_holds_is_inside(
        light in prop::array::uniform3(0.0..1.0_f64), scale in 1e-5..0.4_f64, edge in 0..4_usize,
        dither in prop::array::uniform3(-1..=1_i32), legal: bool,
    ) {
        let mut light = light.map(|light| light * scale);
        if edge < 3 {
            light[edge] = 0.0;
        }
        let (range, codes) = if legal { (Range::Legal, CodeRange::Legal) } else { (Range::Full, CodeRange::Full) };
        let pixel = in_container(light, codes);
        let pixel = [0, 1, 2].map(|at: usize| pixel[at].saturating_add_signed(dither[at]).min(1023));
        let found = measured(&grey(&[(342, pixel)]), &pq(range)).outside_gamut;
        prop_assert_eq!(found.pixels, 0, "{:?} {:?}", pixel, found);
    }
}

/// Source: BT.2020-2 and RP 431-2: the primaries of BT.2020 lie outside those of P3.
#[test]
fn what_p3_does_not_hold_is_outside() {
    for pixel in [[520, 0, 0], [0, 520, 0], [0, 0, 520], [300, 520, 300]] {
        let found = measured(&grey(&[(342, pixel)]), &pq(Range::Full)).outside_gamut;
        assert_eq!(found.pixels, 1, "{pixel:?}");
        assert_eq!(found.worst.unwrap().1.x, 42);
    }
}

#[test]
fn floats_are_told_by_their_meaning() {
    let mut pixels = vec![[0.4, 0.5, 0.6, 1.0]; 1000];
    pixels[101] = [-0.01, 0.5, 0.5, 1.0];
    pixels[102] = [0.5, 1.5, 0.5, 1.0];
    pixels[103] = [0.5, f32::NAN, 0.5, 1.0];
    pixels[104] = [f32::INFINITY, 0.5, 0.5, 1.0];
    for y in 0..10 {
        pixels[100 * y + 30..100 * y + 40].fill([0.03, 0.02, 0.02, 1.0]);
    }
    for samples in [Samples::Half, Samples::Float] {
        let layout = Layout::new(Channels::Rgba, samples, ByteOrder::Little);
        let frame = Frame::from_pixels(&pixels, Size::new(100, 10), layout, Range::Full);
        let found = measured(&frame, &terms(Range::Full));
        let counts = [found.below_zero, found.above_one, found.not_finite, found.outside_signal];
        assert_eq!(counts.map(|found| found.pixels), [1, 1, 2, 1], "{samples:?}");
        assert_eq!(counts.map(|found| found.worst.unwrap().1.x), [1, 2, 3, 2]);
        let black = found.black.unwrap();
        // A half float near 0.03 is good to a part in 2048.
        assert!((black.rgb[0] - 30.69).abs() < 0.05 && (black.tint() - 10.23).abs() < 0.05, "{black:?}");
        let scene = measured(&frame, &Terms { display_code: false, ..terms(Range::Full) });
        assert_eq!((scene.outside_signal.pixels, scene.black), (0, None));
    }
}
