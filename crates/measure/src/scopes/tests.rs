//! What holds for every scope, on any picture.

use colour::{CodeRange, range};
use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use ops::{Display, Signal};
use proptest::prelude::*;

use super::*;
use crate::Tap;

/// Anything a float can be, and much of what a picture holds.
fn value() -> impl Strategy<Value = f32> {
    prop_oneof![
        6 => -0.2f32..1.3,
        1 => Just(0.0f32),
        1 => Just(1.0f32),
        1 => proptest::num::f32::ANY,
    ]
}

/// A picture of any values with its size.
fn picture() -> impl Strategy<Value = (Size, Vec<[f32; 4]>)> {
    (1u32..20, 1u32..12).prop_flat_map(|(width, height)| {
        let pixel = prop::array::uniform3(value()).prop_map(|[red, green, blue]| [red, green, blue, 1.0]);
        (Just(Size::new(width, height)), prop::collection::vec(pixel, (width * height) as usize))
    })
}

/// A 10-bit picture with its codes.
fn codes() -> impl Strategy<Value = (Size, Vec<[u32; 3]>)> {
    (1u32..20, 1u32..12).prop_flat_map(|(width, height)| {
        let pixels = prop::collection::vec(prop::array::uniform3(0u32..1024), (width * height) as usize);
        (Just(Size::new(width, height)), pixels)
    })
}

fn packed(size: Size, codes: &[[u32; 3]]) -> Frame {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let bytes = codes.iter().flat_map(|[r, g, b]| (r << 22 | g << 12 | b << 2).to_be_bytes()).collect();
    Frame::new(size, layout, bytes, 0).unwrap()
}

/// Every kind of scope, of signal and of light.
fn scopes(region: Region) -> Vec<Box<dyn Scope>> {
    let ten = |bins| Axis::codes(10, CodeRange::Legal, bins);
    let tap = Tap::new(Signal::scene());
    vec![
        Box::new(Waveform::new(WaveformOf::Luma(BT709.weights), ten(256), 7, region)),
        Box::new(Waveform::new(WaveformOf::Channels, Axis::signal(-0.1, 1.1, 61), 640, region)),
        Box::new(Waveform::new(WaveformOf::Channels, Axis::stops(-8.0, 6.0, 141), 3, region)),
        Box::new(Vectorscope::of_signal(BT2020, 101)),
        Box::new(Vectorscope::of_codes(BT709, 10, CodeRange::Legal, 255)),
        Box::new(Histogram { axis: ten(1024) }),
        Box::new(Histogram { axis: Axis::stops(-8.0, 6.0, 57) }),
        Box::new(Chromaticity::new(Diagram::Uv1976, &tap, DARKEST, 128)),
        Box::new(Chromaticity::new(Diagram::Xy1931, &tap, 0.0, 128)),
    ]
}

fn whole(size: Size) -> Region {
    Region::whole(size).unwrap()
}

proptest! {
    #[test]
    fn every_pixel_counts_once_in_every_plane((size, pixels) in picture(), x in 0u32..20, y in 0u32..12) {
        let Some(region) = Region::new(x, y, 9, 5, size) else { return Ok(()) };
        for scope in scopes(region) {
            let counts = count(&*scope, &pixels, size, region, whole(size)).unwrap();
            for plane in 0..scope.shape().planes {
                prop_assert_eq!(counts.total(plane), region.pixels());
            }
            let most = counts.cells().iter().max().copied().unwrap();
            prop_assert!(u64::from(most) <= scope.most(region));
        }
    }

    #[test]
    fn parts_add_up_to_the_whole((size, pixels) in picture(), cut_x in 0u32..20, cut_y in 0u32..12) {
        let region = whole(size);
        for scope in scopes(region) {
            let mut sum = Counts::new(scope.shape());
            for (x, y, width, height) in [
                (0, 0, cut_x, cut_y), (cut_x, 0, 99, cut_y), (0, cut_y, cut_x, 99), (cut_x, cut_y, 99, 99),
            ] {
                if let Some(part) = Region::new(x, y, width, height, size) {
                    prop_assert!(sum.add(&count(&*scope, &pixels, size, region, part).unwrap()));
                }
            }
            prop_assert_eq!(sum, count(&*scope, &pixels, size, region, region).unwrap());
        }
    }

    #[test]
    fn not_a_number_is_told_apart_from_what_lies_outside((size, pixels) in picture()) {
        let region = whole(size);
        let axis = Axis::signal(-0.1, 1.1, 61);
        let scope = Waveform::new(WaveformOf::Channels, axis.clone(), 640, region);
        let counts = count(&scope, &pixels, size, region, region).unwrap();
        for plane in 0..3u32 {
            let is = |test: &dyn Fn(f32) -> bool| pixels.iter().filter(|pixel| test(pixel[plane as usize])).count();
            let row = |row| (0..size.width).map(|column| counts.at(plane, column, row) as usize).sum::<usize>();
            prop_assert_eq!(counts.not_a_number(plane) as usize, is(&f32::is_nan));
            // Ends of the axis, half a bin of 0.02 beyond the middles; single float has a rounding there.
            prop_assert!(row(0) >= is(&|v| v < -0.1101) && row(0) <= is(&|v| v < -0.1099));
            prop_assert!(row(62) >= is(&|v| v > 1.1101) && row(62) <= is(&|v| v > 1.1099));
        }
    }

    #[test]
    fn codes_and_their_signal_count_alike((size, codes) in codes(), legal: bool) {
        let range = if legal { CodeRange::Legal } else { CodeRange::Full };
        let stored = if legal { frame::Range::Legal } else { frame::Range::Full };
        let frame = packed(size, &codes);
        let pixels = frame.to_pixels(stored);
        let region = whole(size);
        let axis = Axis::codes(10, range, 512);
        let exact: [Box<dyn Scope>; 2] = [
            Box::new(Waveform::new(WaveformOf::Channels, axis.clone(), 5, region)),
            Box::new(Histogram { axis: axis.clone() }),
        ];
        for scope in exact {
            prop_assert_eq!(
                count_codes(&*scope, &frame, region, region).unwrap(),
                count(&*scope, &pixels, size, region, region).unwrap()
            );
        }
        // Luma and colour difference are rounded to a code first: at most a bin apart.
        let weighted: [Box<dyn Scope>; 2] = [
            Box::new(Waveform::new(WaveformOf::Luma(BT2020.weights), axis, 5, region)),
            Box::new(Vectorscope::of_codes(BT709, 10, range, 255)),
        ];
        for scope in weighted {
            for (pixel, code) in pixels.iter().zip(&codes) {
                let by_signal = scope.places(0, [pixel[0], pixel[1], pixel[2]])[0];
                let by_code = scope.code_places(0, code.map(|code| code as u16)).unwrap()[0];
                let (Place::Cell(a), Place::Cell(b)) = (by_signal, by_code) else { panic!("no cell: {code:?}") };
                prop_assert!(a.column.abs_diff(b.column) <= 1 && a.row.abs_diff(b.row) <= 1, "{code:?}: {a:?} {b:?}");
            }
        }
    }
}

/// Bars of Rec. ITU-R BT.471-1 in legal 10-bit codes land in their targets, on the cell of the target's own code.
#[test]
fn bars_land_in_their_targets() {
    for (matrix, level) in [(BT709, 0.75), (BT709, 1.0), (BT2020, 0.75), (BT2020, 1.0)] {
        let scope = Vectorscope::of_codes(matrix, 10, CodeRange::Legal, 1075);
        for target in targets(&matrix, level) {
            let on = |primary: &str| match target.name {
                "yellow" => primary != "blue",
                "cyan" => primary != "red",
                "magenta" => primary != "green",
                name => name == primary,
            };
            let signal = ["red", "green", "blue"].map(|primary| if on(primary) { level } else { 0.0 });
            let codes = signal.map(|v| range::code_from_signal(10, CodeRange::Legal, v));
            let size = Size::new(1, 1);
            let counts = count_codes(&scope, &packed(size, &[codes]), whole(size), whole(size)).unwrap();
            let [cb, cr] = target.difference.map(|v| range::chroma_code_from_signal(10, CodeRange::Legal, v) as i32);
            let (column, row) = (scope.across().slot_of_code(cb).unwrap(), scope.up().slot_of_code(cr).unwrap());
            assert_eq!(counts.at(0, column, row), 1, "{} {level} {}", matrix.name, target.name);
            assert!(target.holds(matrix.difference(signal)));
        }
    }
}

#[test]
fn a_flat_frame_is_one_cell_a_column_and_keeps_its_number() {
    let size = Size::new(12, 9);
    let region = whole(size);
    let pixels = vec![[0.5, 0.5, 0.5, 1.0]; size.pixels()];
    let scope = Waveform::new(WaveformOf::Luma(BT709.weights), Axis::codes(8, CodeRange::Full, 256), 5, region);
    let counts = count(&scope, &pixels, size, region, region).unwrap();
    let row = scope.axis().slot(0.5).unwrap();
    // Twelve columns over five: 3, 2, 3, 2, 2 by x * 5 / 12.
    let held: Vec<u32> = (0..5).map(|column| counts.at(0, column, row)).collect();
    assert_eq!(held, [27, 18, 27, 18, 18]);
    assert_eq!(scope.most(region), 27);
}

#[test]
fn dark_and_light_that_cannot_be_have_no_chromaticity() {
    let size = Size::new(4, 1);
    let region = whole(size);
    let tap = Tap::new(Display::Srgb.signal(100.0, 0.0));
    let scope = Chromaticity::new(Diagram::Uv1976, &tap, DARKEST, 141);
    let dark = DARKEST as f32;
    let pixels = [[1.0; 4], [dark * 0.99; 4], [-1.0, -1.0, -1.0, 1.0], [f32::NAN, 1.0, 1.0, 1.0]];
    let counts = count(&scope, &pixels, size, region, region).unwrap();
    assert_eq!((counts.dark(0), counts.not_a_number(0), counts.total(0)), (2, 1, 4));
    // White: D65 in CIE 1976 (u', v'), 0.1978, 0.4683 (CIE 15:2018, from memory).
    let cell = (scope.across().slot(0.1978).unwrap(), scope.up().slot(0.4683).unwrap());
    assert_eq!(counts.at(0, cell.0, cell.1), 1);
}

#[test]
fn what_does_not_fit_is_said() {
    let size = Size::new(2, 2);
    let region = whole(size);
    let scope = Histogram { axis: Axis::codes(8, CodeRange::Full, 256) };
    let short = count(&scope, &[[0.0; 4]; 3], size, region, region).unwrap_err();
    assert!(short.to_string().contains("2x2 has 4 pixels, 3 are given"), "{short}");
    let frame = packed(size, &[[0; 3]; 4]);
    assert_eq!(count_codes(&scope, &frame, region, region), Err(ScopeError::NotOfCodes(10)));
    let light = Histogram { axis: Axis::stops(-8.0, 6.0, 57) };
    assert_eq!(count_codes(&light, &frame, region, region), Err(ScopeError::NotOfCodes(10)));
    let float = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);
    let floats = Frame::from_pixels(&[[0.0; 4]; 4], size, float, frame::Range::Full);
    assert!(matches!(count_codes(&scope, &floats, region, region), Err(ScopeError::NoCodes(_))));
    let mut counts = Counts::new(scope.shape());
    assert!(!counts.add(&Counts::new(light.shape())));
    let again = Counts::from_cells(scope.shape(), counts.cells().to_vec(), [0; 3], [0; 3]);
    assert_eq!(again, Some(counts));
    assert_eq!(Counts::from_cells(scope.shape(), vec![0; 5], [0; 3], [0; 3]), None);
}
