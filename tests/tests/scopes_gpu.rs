//! Scopes on the device against their reference in `measure`: integer codes to the pixel, floats to within a bin; every size,
//! region and tile; flat pictures, noise, and what is not a number.

use std::sync::Arc;

use colour::{CodeRange, Encoding};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, ScopesProgram, Trace, assemble, assemble_scopes};
use gpu::device::{AdapterChoice, DeviceError, Gpu, Held, Renderer, Scopes};
use graph::Original;
use measure::Tap;
use measure::scopes::{
    Axis, BT709, BT2020, Chromaticity, Counts, DARKEST, Diagram, Histogram, Region, Vectorscope, Waveform, WaveformOf,
    count, count_codes,
};
use ops::Signal;
use plan::{Level, Plan};
use reference::Proof;
use tests::cases::Subject;
use tests::gpu::adapter;
use tests::pixels::Random;
use tests::program::greywright;

const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
/// As a pass writes it for the next one.
const BETWEEN: Layout = Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little);

const SIZES: [Size; 5] =
    [Size::new(1, 1), Size::new(7, 3), Size::new(4097, 5), Size::new(131, 300), Size::new(33, 1025)];

/// So much work that its picture is written before it is counted.
const LONG: &str = "printer-points all=2 red=1 | flare all=0.3 | exposure stops=0.4 | white-balance from=3400K \
    | light-shift mired=8 duv=0.001 | contrast slope=1.1 | saturation factor=1.1 | shoulder strength=0.5 | gamut-compress";

fn whole(size: Size) -> Region {
    Region::whole(size).expect("a picture")
}

fn plan(chain: &str, original: &Original) -> Plan {
    Plan::new(&Subject::chain(chain, original).elaborated, Level::Full)
}

fn untouched() -> Plan {
    plan("", &Original::SceneRows)
}

fn log_c3() -> Signal {
    Signal::code(&Encoding::named("LogC3", None).expect("it is built in"))
}

fn scopes(gpu: &Arc<Gpu>, program: ScopesProgram, tile: Option<u32>) -> Scopes {
    Scopes::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, tile)
}

/// All scopes that count codes of a depth: few bins and one for each code, few columns and as many as the region has.
fn of_codes(bits: u32, range: CodeRange, region: Region) -> Vec<Trace> {
    let axis = |bins| Axis::codes(bits, range, bins);
    let luma = WaveformOf::Luma(BT709.weights);
    vec![
        Trace::Waveform(Waveform::new(luma, axis(256), 640, region)),
        Trace::Waveform(Waveform::new(WaveformOf::Channels, axis(1024), 640, region)),
        Trace::Vectorscope(Vectorscope::of_codes(BT2020, bits, range, 255)),
        Trace::Histogram(Histogram { axis: axis(1024) }),
        // One column, and more levels than a workgroup holds.
        Trace::Waveform(Waveform::new(WaveformOf::Channels, axis(1 << bits.min(14)), 1, region)),
        Trace::Histogram(Histogram { axis: axis(1 << bits.min(14)) }),
    ]
}

/// All scopes that count floats.
fn of_floats(tap: &Tap, region: Region) -> Vec<Trace> {
    let signal = || Axis::signal(-0.1, 1.1, 401);
    let stops = || Axis::stops(-8.0, 6.0, 141);
    vec![
        Trace::Waveform(Waveform::new(WaveformOf::Luma(BT709.weights), signal(), 99, region)),
        Trace::Waveform(Waveform::new(WaveformOf::Channels, signal(), 99, region)),
        Trace::Waveform(Waveform::new(WaveformOf::Channels, stops(), 5000, region)),
        Trace::Vectorscope(Vectorscope::of_signal(BT709, 255)),
        Trace::Histogram(Histogram { axis: signal() }),
        Trace::Histogram(Histogram { axis: stops() }),
        Trace::Chromaticity(Chromaticity::new(Diagram::Uv1976, tap, DARKEST, 256)),
        Trace::Chromaticity(Chromaticity::new(Diagram::Xy1931, tap, 0.0, 300)),
    ]
}

#[derive(Clone, Copy, Debug)]
enum Content {
    Noise,
    /// One code, but for its last pixel.
    Flat,
    /// Noise of some codes around three colours: few cells, in no order.
    Hot,
}

const CONTENTS: [Content; 3] = [Content::Noise, Content::Flat, Content::Hot];

/// A picture of integer codes.
fn codes(size: Size, layout: Layout, content: Content) -> Arc<Frame> {
    let highest = layout.samples.highest_code();
    let mut random = Random::new(7);
    let last = size.pixels() - 1;
    let pixels = (0..size.pixels()).map(|at| {
        let any = |random: &mut Random| random.bits() as u32 & highest;
        let mut channel = |channel: u32| match content {
            Content::Noise => any(&mut random),
            Content::Flat if at == last => highest,
            Content::Flat => highest / 3 + channel,
            Content::Hot => highest / (2 + at as u32 % 3 + channel) + (random.bits() as u32 & 3),
        };
        [channel(0), channel(1), channel(2)]
    });
    let big = layout.order == ByteOrder::Big;
    let bytes = pixels.flat_map(|rgb| match layout.samples {
        Samples::Ten => {
            let word = rgb[0] << 22 | rgb[1] << 12 | rgb[2] << 2;
            if big { word.to_be_bytes().to_vec() } else { word.to_le_bytes().to_vec() }
        }
        _ => rgb.map(|code| code as u16).map(|code| if big { code.to_be_bytes() } else { code.to_le_bytes() }).concat(),
    });
    Arc::new(Frame::new(size, layout, bytes.collect(), 0).expect("the size is right"))
}

fn assert_exact(frame: &Frame, region: Region, traces: &[Trace], found: &[Counts], what: &str) {
    assert_eq!(traces.len(), found.len());
    for (trace, found) in traces.iter().zip(found) {
        let wanted = count_codes(trace.scope(), frame, region, whole(frame.size())).expect("codes");
        for plane in 0..wanted.shape().planes {
            assert_eq!(found.total(plane), region.pixels(), "{what}: pixels are lost");
        }
        assert!(*found == wanted, "{what}, {}x{}: {trace:?}", frame.size().width, frame.size().height);
    }
}

#[test]
fn integer_codes_are_counted_to_the_pixel() {
    let Some(gpu) = adapter() else { return };
    let mut layouts = vec![TEN, Layout { order: ByteOrder::Little, ..TEN }];
    layouts.extend([8, 12, 16].map(|bits| Layout::new(Channels::Rgb, Samples::Codes(bits), ByteOrder::Little)));
    layouts.push(Layout::new(Channels::Rgb, Samples::U16, ByteOrder::Big));
    for (at, layout) in layouts.into_iter().enumerate() {
        let (range, stored) =
            if at % 2 == 0 { (CodeRange::Legal, Range::Legal) } else { (CodeRange::Full, Range::Full) };
        for (size, content) in SIZES.into_iter().flat_map(|size| CONTENTS.map(|content| (size, content))) {
            let (frame, region) = (codes(size, layout, content), whole(size));
            let traces = of_codes(layout.bits(), range, region);
            let source = Edge::Stored(layout, stored);
            let program =
                assemble_scopes(&untouched(), source, &Tap::new(log_c3()), &traces, region).expect("it assembles");
            let found = scopes(&gpu, program, None).count(&frame).expect("it counts");
            assert_exact(&frame, region, &traces, &found, &format!("{layout}, {content:?}"));
        }
    }
}

#[test]
fn regions_and_tiles_count_alike() {
    let Some(gpu) = adapter() else { return };
    let size = Size::new(150, 90);
    let frame = codes(size, TEN, Content::Hot);
    for (x, y, width, height) in [(0, 0, 150, 90), (149, 89, 1, 1), (3, 5, 77, 41), (64, 0, 86, 90), (0, 60, 150, 30)] {
        let region = Region::new(x, y, width, height, size).expect("it lies in the picture");
        let traces = of_codes(10, CodeRange::Full, region);
        for tile in [None, Some(1000), Some(64), Some(31)] {
            let source = Edge::Stored(TEN, Range::Full);
            let program =
                assemble_scopes(&untouched(), source, &Tap::new(log_c3()), &traces, region).expect("it assembles");
            let found = scopes(&gpu, program, tile).count(&frame).expect("it counts");
            assert_exact(&frame, region, &traces, &found, &format!("{region:?} in tiles of {tile:?}"));
        }
    }
}

/// Sums of counts over an axis: how many pixels lie in each slot of the rows, or of the columns.
fn sums(counts: &Counts, plane: u32, by_row: bool) -> Vec<i64> {
    let shape = counts.shape();
    let (slots, others) = if by_row { (shape.rows, shape.columns) } else { (shape.columns, shape.rows) };
    let at = |slot: u32, other: u32| if by_row { counts.at(plane, other, slot) } else { counts.at(plane, slot, other) };
    (0..slots).map(|slot| (0..others).map(|other| i64::from(at(slot, other))).sum()).collect()
}

/// That no pixel moved further than to the next slot: then as many lie below a slot as lie below one of its neighbours,
/// or between the two.
fn assert_within_a_slot(found: &[i64], wanted: &[i64], what: &str) {
    let below = |counts: &[i64], slot: usize| counts[..slot.min(counts.len())].iter().sum::<i64>();
    for slot in 0..=wanted.len() {
        let here = below(found, slot);
        assert!(
            below(wanted, slot.saturating_sub(1)) <= here && here <= below(wanted, slot + 1),
            "{what}: slot {slot} of {}: {here} below it, {} wanted",
            wanted.len(),
            below(wanted, slot)
        );
    }
}

/// Compares counts of floats; gives the share of pixels that moved to another cell.
fn moved(found: &Counts, wanted: &Counts, what: &str) -> f64 {
    let mut share: f64 = 0.0;
    for plane in 0..wanted.shape().planes {
        assert_eq!(found.total(plane), wanted.total(plane), "{what}: pixels are lost");
        assert_eq!(found.not_a_number(plane), wanted.not_a_number(plane), "{what}");
        let dark = i64::from(found.dark(plane)) - i64::from(wanted.dark(plane));
        if dark == 0 {
            assert_within_a_slot(&sums(found, plane, true), &sums(wanted, plane, true), what);
            assert_within_a_slot(&sums(found, plane, false), &sums(wanted, plane, false), what);
        }
        let a_plane = wanted.shape().cells() / wanted.shape().planes as usize;
        let cells = |counts: &Counts| counts.cells()[plane as usize * a_plane..][..a_plane].to_vec();
        let apart: u64 = cells(found).iter().zip(cells(wanted)).map(|(a, b)| u64::from(a.abs_diff(b))).sum();
        share = share.max((apart + dark.unsigned_abs()) as f64 / 2.0 / wanted.total(plane).max(1) as f64);
    }
    share
}

/// A picture between two passes: what a picture holds, and what no picture holds where it is hostile.
fn floats(size: Size, hostile: bool) -> Arc<Frame> {
    let mut random = Random::new(19);
    let odd = [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 0.0, -0.0, 1e30, -1e30, 1e-40];
    let pixels: Vec<[f32; 4]> = (0..size.pixels())
        .map(|_| {
            let mut channel = || match random.bits() % 8 {
                0 if hostile => *random.of(&odd),
                0 => 0.5,
                1 => (0.18 * random.between(-12.0, 8.0).exp2()) as f32,
                _ => random.between(-0.2, 1.2) as f32,
            };
            [channel(), channel(), channel(), 1.0]
        })
        .collect();
    let bytes = pixels.iter().flatten().flat_map(|v| v.to_le_bytes()).collect();
    Arc::new(Frame::new(size, BETWEEN, bytes, 0).expect("a picture"))
}

fn pixels_of(frame: &Frame) -> Vec<[f32; 4]> {
    let floats: Vec<f32> = frame.bytes().as_chunks::<4>().0.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
    floats.as_chunks::<4>().0.to_vec()
}

/// What the reference counts of a picture at a tap.
fn wanted(trace: &Trace, tap: &Tap, pixels: &[[f32; 4]], size: Size, region: Region) -> Counts {
    let scope = trace.scope();
    let lights = tap.lights(pixels);
    let pixels = if scope.of_light() { &lights } else { pixels };
    count(scope, pixels, size, region, whole(size)).expect("a picture")
}

#[test]
fn floats_are_counted_to_within_a_bin() {
    let Some(gpu) = adapter() else { return };
    let mut most: f64 = 0.0;
    for (size, hostile) in SIZES.into_iter().flat_map(|size| [(size, false), (size, true)]) {
        let (frame, region) = (floats(size, hostile), whole(size));
        // Linear light: what is counted is what is there.
        let tap = Tap::new(Signal::scene());
        let traces = of_floats(&tap, region);
        let program = assemble_scopes(&untouched(), Edge::Between, &tap, &traces, region).expect("it assembles");
        let found = scopes(&gpu, program, None).count(&frame).expect("it counts");
        for (trace, found) in traces.iter().zip(&found) {
            let wanted = wanted(trace, &tap, &pixels_of(&frame), size, region);
            most = most.max(moved(found, &wanted, &format!("{size}, hostile: {hostile}, {trace:?}")));
        }
    }
    println!("floats: {most:.1e} of the pixels moved to the next cell at most");
    // An edge of a bin is met by one value in some thousands of single float's.
    assert!(most < 2e-3, "{most}");
}

/// The end of a chain, in code and in light, against the proof's pixels in double.
#[test]
fn a_chain_is_counted_at_its_end() {
    let Some(gpu) = adapter() else { return };
    let (size, region) = (Size::new(200, 120), Region::new(11, 7, 150, 100, Size::new(200, 120)).expect("a region"));
    let frame = codes(size, TEN, Content::Noise);
    let original = Original::Encoded(Encoding::named("LogC3", None).expect("it is built in"));
    let plain = "rendering=plain";
    let chains = [
        String::new(),
        "exposure stops=0.5".to_string(),
        format!("input-transform | white-balance from=3200K | output-transform display=BT.1886 {plain}"),
        format!("input-transform | output-transform display=P3-D65 {plain} black=0.1"),
        format!("input-transform | output-transform display=PQ {plain}"),
        format!("input-transform | output-transform display=HLG {plain}"),
        format!("input-transform | {LONG} | output-transform display=BT.1886 {plain}"),
    ];
    for chain in &chains {
        let elaborated = Subject::chain(chain, &original).elaborated;
        let tap = Tap::new(elaborated.result_signal.clone());
        let pixels = Proof::new(&elaborated).signals(&frame, Range::Full);
        let traces = of_floats(&tap, region);
        let mut counted = Vec::new();
        for level in [Level::Full, Level::None] {
            let plan = Plan::new(&elaborated, level);
            let program =
                assemble_scopes(&plan, Edge::Stored(TEN, Range::Full), &tap, &traces, region).expect("it assembles");
            // Of a long pass the picture is written once, and every kernel counts that.
            let is_written = usize::from(level == Level::Full && chain.contains(LONG));
            assert_eq!(program.before.len(), plan.passes.len() - 1 + is_written);
            counted.push(scopes(&gpu, program, Some(64)).count(&frame).expect("it counts"));
        }
        for (at, trace) in traces.iter().enumerate() {
            let wanted = wanted(trace, &tap, &pixels, size, region);
            for found in &counted {
                let share = moved(&found[at], &wanted, &format!("{chain}: {trace:?}"));
                assert!(share < 2e-3, "{chain}: {share} of the pixels moved in {trace:?}");
            }
        }
    }
}

#[test]
fn another_axis_region_or_setting_compiles_nothing() {
    if adapter().is_none() {
        return;
    }
    let gpu = Gpu::open(&AdapterChoice::from_environment()).expect("it opened before").expect("it was there before");
    let size = Size::new(64, 48);
    let frame = codes(size, TEN, Content::Hot);
    let original = Original::Encoded(Encoding::named("LogC3", None).expect("it is built in"));
    let mut counter: Option<Scopes> = None;
    let mut compiled = Vec::new();
    for (stops, columns, bins, region) in [
        (1.0, 32, 100, whole(size)),
        (0.5, 32, 100, whole(size)),
        (0.0, 20, 333, Region::new(5, 6, 40, 30, size).expect("a region")),
    ] {
        let elaborated = Subject::chain(&format!("exposure stops={stops}"), &original).elaborated;
        let tap = Tap::new(elaborated.result_signal.clone());
        let axis = Axis::signal(-0.1, 1.1, bins);
        let traces = [
            Trace::Waveform(Waveform::new(WaveformOf::Channels, axis.clone(), columns, region)),
            Trace::Histogram(Histogram { axis }),
            Trace::Chromaticity(Chromaticity::new(Diagram::Uv1976, &tap, DARKEST, bins)),
        ];
        let plan = Plan::new(&elaborated, Level::Full);
        let program =
            assemble_scopes(&plan, Edge::Stored(TEN, Range::Full), &tap, &traces, region).expect("it assembles");
        match &mut counter {
            Some(counter) => counter.set(program.clone()),
            None => counter = Some(scopes(&gpu, program.clone(), None)),
        }
        let again = counter.as_mut().expect("it is there").count(&frame).expect("it counts");
        assert_eq!(
            again,
            scopes(&gpu, program, None).count(&frame).expect("it counts"),
            "what was set is what is made"
        );
        compiled.push(gpu.pipelines().compiled());
    }
    assert!(compiled[0] > 0 && compiled.iter().all(|count| *count == compiled[0]), "{compiled:?}");
}

#[test]
fn a_lost_device_is_opened_again_and_a_wrong_frame_is_refused() {
    if adapter().is_none() {
        return;
    }
    let gpu = Gpu::open(&AdapterChoice::from_environment()).expect("it opened before").expect("it was there before");
    let size = Size::new(40, 30);
    let (frame, region) = (codes(size, TEN, Content::Noise), whole(size));
    let traces = of_codes(10, CodeRange::Full, region);
    let program = assemble_scopes(&untouched(), Edge::Stored(TEN, Range::Full), &Tap::new(log_c3()), &traces, region)
        .expect("it assembles");
    let mut scopes = scopes(&gpu, program, None);
    assert!(matches!(scopes.read(), Err(DeviceError::Refused(_))), "nothing was counted");
    let before = scopes.count(&frame).expect("it counts");
    gpu.lose();
    assert_eq!(scopes.count(&frame).expect("it counts again"), before);
    scopes.send(&frame).expect("it is sent");
    assert_eq!(scopes.read().expect("the grids stay"), before);
    // Lost between sending and reading.
    scopes.send(&frame).expect("it is sent");
    scopes.gpu().lose();
    assert_eq!(scopes.read().expect("it is counted again"), before);
    for wrong in [floats(size, false), codes(size, Layout { order: ByteOrder::Little, ..TEN }, Content::Flat)] {
        let refused = scopes.count(&wrong).expect_err("it is stored otherwise").to_string();
        assert!(refused.contains("10-bit RGB, big-endian") && refused.contains(&wrong.layout().name()), "{refused}");
    }
}

/// Several candidates of a held frame, each with its scopes, and pictures drawn of it: one upload.
#[test]
fn scopes_of_candidates_share_a_held_frame() {
    if adapter().is_none() {
        return;
    }
    let choice = AdapterChoice::from_environment();
    let size = Size::new(150, 90);
    let region = Region::new(3, 5, 120, 80, size).expect("a region");
    let original = Original::Encoded(Encoding::named("LogC3", None).expect("it is built in"));
    let stored = Edge::Stored(TEN, Range::Full);
    let long = format!("input-transform | {LONG}");
    let chains = ["", "exposure stops=0.5", "input-transform | white-balance from=3200K", &long];
    for tile in [None, Some(31)] {
        let gpu = Gpu::open(&choice).expect("it opened before").expect("it was there before");
        let frame = codes(size, TEN, Content::Hot);
        let held = Held::new(&gpu, Arc::clone(&frame), tile).expect("it is held");
        let uploads = gpu.uploads();
        let mut all = Vec::new();
        for chain in chains {
            let elaborated = Subject::chain(chain, &original).elaborated;
            let tap = Tap::new(elaborated.result_signal.clone());
            for level in [Level::Full, Level::None] {
                let plan = Plan::new(&elaborated, level);
                let traces =
                    if chain.is_empty() { of_codes(10, CodeRange::Full, region) } else { of_floats(&tap, region) };
                let program = assemble_scopes(&plan, stored, &tap, &traces, region).expect("it assembles");
                let picture = assemble(&plan, stored, Edge::Between).expect("it assembles");
                let renderer = Renderer::new(Arc::clone(&gpu), choice.clone(), picture, tile);
                all.push((scopes(&gpu, program.clone(), tile), renderer, program));
            }
        }
        // All is sent before anything is read.
        for (counter, renderer, _) in &mut all {
            counter.send_held(&held).expect("it is sent");
            renderer.draw(&held, 0).expect("it is drawn");
        }
        assert!(all.iter().all(|(counter, ..)| counter.grids().is_some()));
        let found: Vec<_> = all.iter_mut().map(|(counter, ..)| counter.read().expect("it counts")).collect();
        assert_eq!(gpu.uploads(), uploads, "nothing was sent again");
        // Each as through the path that uploads, which other tests hold to the reference.
        for ((_, _, program), found) in all.iter().zip(&found) {
            let wanted = scopes(&gpu, program.clone(), None).count(&frame).expect("it counts");
            assert_eq!(*found, wanted, "in tiles of {tile:?}");
        }
        // Lost before anything is read: counted again, from one upload.
        for (counter, ..) in &mut all {
            counter.send_held(&held).expect("it is sent");
        }
        gpu.lose();
        for ((counter, ..), found) in all.iter_mut().zip(&found) {
            assert_eq!(counter.read().expect("it is counted again"), *found);
        }
        let heir = gpu.again(&choice).expect("it is open");
        assert_eq!(heir.uploads(), uploads);
        // Other settings forget what was counted.
        let (counter, _, program) = &mut all[0];
        counter.set(program.clone());
        assert!(matches!(counter.read(), Err(DeviceError::Refused(_))));
    }
}

#[test]
fn pace_times_every_scope_on_every_picture() {
    if adapter().is_none() {
        return;
    }
    let answer = greywright("pace --scopes --size 160x90 --repeats 1 --sets 1 --json").done().json();
    let rows = answer["rows"].as_array().expect("rows");
    let of = |content: &str| rows.iter().filter(|row| row["content"] == content).count();
    // All five and each alone on packed codes, all five on floats.
    assert_eq!(["picture", "noise", "flat"].map(of), [7; 3], "{answer}");
    assert!(rows.iter().all(|row| row["microseconds"].as_f64().is_some_and(|time| time > 0.0)), "{answer}");
    assert!(answer["flat_of_picture"].as_f64().is_some_and(|ratio| ratio > 0.0), "{answer}");
    greywright("pace --scopes --size 1x1").fails(2, &["160x90"]);
    greywright("pace --scopes").chain("exposure").fails(2, &["--scopes"]);
}
