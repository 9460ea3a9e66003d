//! What a window shows of drawn pictures, against the same worked out here: shrunk, grown, at a seam, as a difference, of one piece
//! and of many.

use std::sync::Arc;

use colour::Encoding;
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, assemble};
use gpu::device::{AdapterChoice, Drawn, Gpu, Held, Renderer, SCREEN_EDGE, Sight, heat, seen};
use graph::Original;
use plan::{Level, Plan};
use tests::cases::Subject;
use tests::gpu::adapter;
use tests::pixels::Random;

const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
const SIZE: Size = Size::new(160, 80);
/// Single floats and their sums.
const SAME: f32 = 2e-6;

/// A picture of random codes, with its codes.
struct Picture {
    drawn: Arc<Drawn>,
    codes: Vec<[f32; 3]>,
}

impl Picture {
    fn new(gpu: &Arc<Gpu>, random: &mut Random, tile: Option<u32>) -> Self {
        let mut code = || (random.between(0.0, 1023.0)).round() as f32;
        let codes: Vec<[f32; 3]> = (0..SIZE.pixels()).map(|_| [code(), code(), code()]).collect();
        let pixels: Vec<[f32; 4]> = codes.iter().map(|[r, g, b]| [r / 1023.0, g / 1023.0, b / 1023.0, 1.0]).collect();
        let frame = Arc::new(Frame::from_pixels(&pixels, SIZE, TEN, Range::Full));
        let log = Original::Encoded(Encoding::named("LogC3", Some(800)).expect("it is built in"));
        let plan = Plan::new(&Subject::chain("", &log).elaborated, Level::Full);
        let program = assemble(&plan, Edge::Stored(TEN, Range::Full), SCREEN_EDGE).expect("it is assembled");
        let held = Held::new(gpu, frame, tile).expect("it is held");
        let mut renderer = Renderer::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, tile);
        Self { drawn: Arc::new(renderer.draw(&held, 0).expect("it is drawn")), codes }
    }

    fn at(&self, x: i64, y: i64) -> Option<[f32; 3]> {
        let (width, height) = (i64::from(SIZE.width), i64::from(SIZE.height));
        let inside = (0..width).contains(&x) && (0..height).contains(&y);
        inside.then(|| self.codes[(y * width + x) as usize])
    }
}

/// Compares what is seen with what is to be seen at each place of a surface; none where there is no picture.
fn compare(
    pictures: [&Picture; 2],
    sight: &Sight,
    surface: Size,
    what: &str,
    want: impl Fn(i64, i64) -> Option<[f32; 3]>,
) {
    let got = seen(&pictures[0].drawn, Some(&pictures[1].drawn), sight, surface).expect("it is seen");
    let got = got.expect("it can be shown");
    assert_eq!(got.len(), surface.pixels());
    for (at, got) in (0i64..).zip(got) {
        let (x, y) = (at % i64::from(surface.width), at / i64::from(surface.width));
        let want = want(x, y).map_or([0.0; 4], |[r, g, b]| [r, g, b, 1.0]);
        let off = got.iter().zip(want).map(|(got, want)| (got - want).abs()).fold(0.0, f32::max);
        assert!(off <= SAME, "{what} at {x}, {y}: {got:?} and not {want:?}");
    }
}

fn display([r, g, b]: [f32; 3]) -> [f32; 3] {
    [r, g, b].map(|code| code / 1023.0)
}

#[test]
fn what_is_seen_is_what_the_codes_say() {
    let Some(gpu) = adapter() else { return };
    let mut random = Random::new(8);
    for tile in [None, Some(40)] {
        let first = Picture::new(&gpu, &mut random, tile);
        let second = Picture::new(&gpu, &mut random, tile);
        assert_eq!(first.drawn.pieces().count() > 1, tile.is_some());
        let surface = Size::new(150, 90);
        let plain = Sight { corner: [0.0; 2], step: [1.0; 2], seam: f32::INFINITY, difference: None };

        // Pixel for pixel, shifted; beyond the picture nothing is drawn.
        let shifted = Sight { corner: [-7.0, 5.0], ..plain };
        compare([&first, &second], &shifted, surface, "shifted", |x, y| first.at(x - 7, y + 5).map(display));

        // Grown without blending, not square: 5 pixels across and 4 down for each.
        let grown = Sight { corner: [30.0, 20.0], step: [0.2, 0.25], ..plain };
        compare([&first, &second], &grown, surface, "grown", |x, y| first.at(30 + x / 5, 20 + y / 4).map(display));

        // Shrunk: the mean of all that a pixel covers.
        for [wide, high] in [[4i64, 4], [4, 2], [2, 8]] {
            let shrunk = Sight { step: [wide as f32, high as f32], ..plain };
            compare([&first, &second], &shrunk, Size::new(48, 50), "shrunk", |x, y| {
                let under = (0..wide * high).map(|at| first.at(x * wide + at % wide, y * high + at / wide));
                let under: Vec<[f32; 3]> = under.collect::<Option<_>>()?;
                Some(
                    [0, 1, 2]
                        .map(|channel| under.iter().map(|rgb| rgb[channel]).sum::<f32>() / under.len() as f32 / 1023.0),
                )
            });
        }

        // A seam: what lies right of it is the other picture's.
        let seam = Sight { seam: 61.0, ..plain };
        compare([&first, &second], &seam, surface, "seam", |x, y| {
            if x < 61 { first.at(x, y) } else { second.at(x, y) }.map(display)
        });

        // Differences, up to 200 codes, and of shrunk pictures the largest.
        let apart = |x: i64, y: i64| {
            let (a, b) = (first.at(x, y)?, second.at(x, y)?);
            Some(a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max))
        };
        let difference = Sight { seam: 20.0, difference: Some(200.0), ..plain };
        compare([&first, &second], &difference, surface, "difference", |x, y| {
            if x < 20 { first.at(x, y).map(display) } else { apart(x, y).map(|codes| heat(codes / 200.0)) }
        });
        let shrunk = Sight { seam: f32::NEG_INFINITY, step: [2.0; 2], difference: Some(1023.0), ..plain };
        compare([&first, &second], &shrunk, surface, "shrunk difference", |x, y| {
            let under = [[0, 0], [1, 0], [0, 1], [1, 1]].map(|[right, down]| apart(2 * x + right, 2 * y + down));
            let largest = under.into_iter().collect::<Option<Vec<f32>>>()?.into_iter().fold(0.0, f32::max);
            Some(heat(largest / 1023.0))
        });
    }
}

#[test]
fn heat_gets_lighter_and_its_hue_stays() {
    let steps: Vec<[f32; 3]> = (0..=20).map(|at| heat(at as f32 / 20.0)).collect();
    assert_eq!(steps[0], [0.0; 3]);
    assert!(steps[20].iter().all(|code| *code > 0.8));
    for pair in steps.windows(2) {
        // Luma weights of Rec. ITU-R BT.709-6, item 3.2.
        let [before, after] = [pair[0], pair[1]].map(|[r, g, b]| 0.2126 * r + 0.7152 * g + 0.0722 * b);
        assert!(after > before, "{pair:?}");
        assert!(pair[1][2] >= pair[1][1] && pair[1][1] >= pair[1][0]);
    }
}
