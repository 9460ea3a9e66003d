//! Exposure views on the device against their reference in `measure`: every pixel the same, but for those that lie on the edge
//! between two classes, which are counted.

use std::sync::Arc;

use colour::primaries::BT709;
use colour::{CodeRange, Encoding};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, assemble_view};
use gpu::device::{AdapterChoice, Held, Renderer};
use graph::Original;
use measure::Tap;
use measure::view::{Clip, Kind, Level, Pixel, View};
use plan::{Level as Optimised, Plan};
use reference::Proof;
use tests::cases::Subject;
use tests::gpu::{FLOAT, FLOAT_EDGE, adapter};
use tests::pixels::Random;

const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
const SIZE: Size = Size::new(131, 77);
/// How far apart inks are that are the same: single floats on one side, eight bits of sRGB see a 500th.
const SAME: f64 = 1e-3;
/// A signal on the edge between two classes is on either side of it within this much of itself: what single floats, and the
/// logarithms of devices, are off.
const EDGE: f64 = 2e-4;

/// Greys and colours over all codes, and the ends.
fn original(random: &mut Random) -> Frame {
    let pixels: Vec<[f32; 4]> = (0..SIZE.pixels())
        .map(|at| {
            let grey = random.between(0.0, 1.0);
            let spread = if at % 3 == 0 { 0.0 } else { 0.15 };
            let mut code = || (grey + random.between(-spread, spread)).clamp(0.0, 1.0) as f32;
            [code(), code(), code(), 1.0]
        })
        .collect();
    Frame::from_pixels(&pixels, SIZE, TEN, Range::Full)
}

/// The proof's inks; those of the same pixel with all of its signal a little less and a little more.
fn inks(view: &View, original: [f32; 4], signal: [f32; 4], at: [u32; 2]) -> [[f64; 3]; 3] {
    let rgb = |[red, green, blue, _]: [f32; 4]| [red, green, blue].map(f64::from);
    [0.0, -EDGE, EDGE].map(|off| {
        let signal = rgb(signal).map(|v| v + off * v.abs().max(0.05));
        view.class(Pixel { original: rgb(original), signal }).ink(at[0], at[1], signal)
    })
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

#[test]
fn views_are_those_of_the_reference() {
    let Some(gpu) = adapter() else { return };
    let log = Original::Encoded(Encoding::named("LogC3", Some(800)).expect("it is built in"));
    let scene = "input-transform | exposure stops=0.3 | white-balance from=4000K";
    let bt1886 = format!("{scene} | output-transform display=BT.1886 rendering=plain");
    let aces = format!("{scene} | output-transform display=BT.1886");
    let hlg = format!("{scene} | output-transform display=HLG rendering=plain");
    let up = |from: f64| (from, f64::INFINITY);
    let ((luma, no_end), (stops, _)) = (up(0.7), up(1.0));
    let cases: Vec<(&str, Kind)> = vec![
        ("", Kind::FalseColour),
        (scene, Kind::FalseColour),
        (scene, Kind::Zebra(Level::Stops(stops, no_end))),
        (scene, Kind::Zebra(Level::Stops(-1.25, 0.25))),
        (scene, Kind::Warnings),
        (&bt1886, Kind::Zebra(Level::Luma(luma, no_end))),
        (&bt1886, Kind::Warnings),
        (&bt1886, Kind::BlackWhite { near: 0.2 }),
        (&aces, Kind::Zebra(Level::Luma(0.3, 0.5))),
        (&aces, Kind::BlackWhite { near: 0.25 }),
        (&hlg, Kind::Warnings),
    ];
    let mut random = Random::new(11);
    let mut most_passes = 0;
    for (chain, kind) in cases {
        let elaborated = Subject::chain(chain, &log).elaborated;
        let view = View::new(
            kind,
            Tap::new(elaborated.result_signal.clone()),
            Clip::of_codes(10, CodeRange::Full).from(0.97),
            &BT709,
        );
        let frame = original(&mut random);
        let signals = Proof::new(&elaborated).signals(&frame, Range::Full);
        let frame = Arc::new(frame);
        // Whole, and in tiles: patterns go on over their edges. Of plans of several passes too.
        for (level, tile) in [(Optimised::Full, None), (Optimised::Full, Some(40)), (Optimised::None, None)] {
            let plan = Plan::new(&elaborated, level);
            most_passes = most_passes.max(plan.passes.len());
            let program = assemble_view(&plan, Edge::Stored(TEN, Range::Full), &view, FLOAT_EDGE);
            let program = program.unwrap_or_else(|error| panic!("{chain}: {error}"));
            let choice = AdapterChoice::from_environment();
            let mut renderer = Renderer::new(Arc::clone(&gpu), choice, program, tile);
            let drawn = renderer.frame(Arc::clone(&frame)).unwrap_or_else(|error| panic!("{chain}: {error}"));
            // A held frame's view that stays on the device is the same.
            let held = Held::new(&gpu, Arc::clone(&frame), tile).expect("it is held");
            let stays = renderer.draw(&held, 0).expect("it is drawn");
            assert_eq!(stays.read().expect("it is there"), drawn, "{chain} in tiles of {tile:?}");
            assert_eq!((drawn.size(), drawn.layout()), (SIZE, FLOAT));
            let (mut on_edge, mut classes) = (0, std::collections::BTreeSet::new());
            for (at, (drawn, (original, signal))) in
                (0..).zip(drawn.to_pixels(Range::Full).iter().zip(frame.to_pixels(Range::Full).iter().zip(&signals)))
            {
                let place = [at % SIZE.width, at / SIZE.width];
                let [want, less, more] = inks(&view, *original, *signal, place);
                let got = [drawn[0], drawn[1], drawn[2]].map(f64::from);
                classes.insert(want.map(|v| (v * 50.0).round() as i64));
                if apart(got, want) > SAME {
                    // One of its neighbours is what it is drawn as.
                    assert!(
                        apart(got, less) < 2.0 * SAME || apart(got, more) < 2.0 * SAME,
                        "{chain} {:?} at {place:?}: {got:?} and not {want:?}, {less:?} or {more:?}, of {signal:?}",
                        view.kind()
                    );
                    on_edge += 1;
                }
            }
            println!(
                "{chain} {:?}: {on_edge} of {} pixels on an edge, {} inks",
                view.kind(),
                SIZE.pixels(),
                classes.len()
            );
            // Few are, and the view shows more than one thing.
            assert!(on_edge * 500 < SIZE.pixels() && classes.len() > 2, "{chain} {:?}: {on_edge}", view.kind());
        }
    }
    assert!(most_passes > 2);
}

#[test]
fn a_level_compiles_nothing() {
    let log = Original::Encoded(Encoding::named("LogC3", Some(800)).expect("it is built in"));
    let elaborated = Subject::chain("", &log).elaborated;
    let view = |from: f64| {
        let kind = Kind::Zebra(Level::Stops(from, from + 1.0));
        View::new(kind, Tap::new(elaborated.result_signal.clone()), Clip::none(), &BT709)
    };
    let plan = Plan::new(&elaborated, Optimised::Full);
    let of = |from| assemble_view(&plan, FLOAT_EDGE, &view(from), FLOAT_EDGE);
    let [one, other] = [0.0, 2.0].map(|from| of(from).unwrap_or_else(|error| panic!("{error}")));
    assert_eq!(one.passes[0].wgsl, other.passes[0].wgsl);
    assert_ne!(one.passes[0].settings, other.passes[0].settings);
}
