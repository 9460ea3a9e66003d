//! Dither through the whole program: the GPU's noise is that of crate `frame`, bit for bit, in every layout, in tiles, in
//! any part of a sequence and after a lost device; floats refuse it; nothing is added unless it is asked for.
//!
//! What the noise itself must be stands in `crates/frame/tests/dither.rs`.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use frame::{ByteOrder, Channels, Dither, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, Program, assemble};
use gpu::device::{AdapterChoice, Gpu, Renderer};
use graph::Original;
use media::About;
use plan::{Level, Plan};
use tests::cases::Subject;
use tests::gpu::adapter;
use tests::pixels::Random;
use tests::program::{Run, greywright};

const BOTH: [Dither; 2] = [Dither::Triangular, Dither::BlueNoise];
const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
const FLOAT: Layout = Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little);

/// Layouts whose codes single float tells apart with room to spare for the noise, and 16 bits, where it barely does.
fn integers() -> Vec<Layout> {
    let mut layouts = vec![TEN, Layout { order: ByteOrder::Little, ..TEN }];
    for samples in [8, 10, 12, 16].map(Samples::Codes) {
        for channels in [Channels::Rgb, Channels::Rgba] {
            layouts.extend([ByteOrder::Little, ByteOrder::Big].map(|order| Layout::new(channels, samples, order)));
        }
    }
    layouts
}

/// A chain from one layout to another, dithered.
fn program(chain: &str, source: (Layout, Range), result: (Layout, Range), dither: Dither) -> Program {
    let elaborated = Subject::chain(chain, &Original::SceneRows).elaborated;
    let result = Edge::written(result.0, result.1, Some(dither));
    assemble(&Plan::new(&elaborated, Level::Full), Edge::Stored(source.0, source.1), result).expect("it assembles")
}

fn renderer(gpu: &Arc<Gpu>, program: Program, tile: Option<u32>) -> Renderer {
    Renderer::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, tile)
}

fn rendered(renderer: &mut Renderer, frame: &Arc<Frame>, number: i64) -> Frame {
    renderer.send(Arc::clone(frame), number).expect("it is sent");
    renderer.receive().expect("it comes back").expect("one was sent")
}

/// Signals of any size, black, white and what lies beside them among them, under alpha of all kinds.
fn signals(size: Size, seed: u64) -> Vec<[f32; 4]> {
    let mut random = Random::new(seed);
    let alphas = [0.0, 0.3, 1.0, 1.0, 1.0];
    (0..size.pixels())
        .map(|_| {
            let mut channel = || match random.bits() % 8 {
                0 => 0.0,
                1 => 1.0,
                2 => random.between(-0.002, 0.002) as f32,
                _ => random.between(-0.1, 1.1) as f32,
            };
            let rgb = [channel(), channel(), channel()];
            [rgb[0], rgb[1], rgb[2], *random.of(&alphas)]
        })
        .collect()
}

/// Bytes in which two frames differ.
fn differences(a: &Frame, b: &Frame) -> usize {
    assert_eq!((a.size(), a.layout()), (b.size(), b.layout()));
    a.bytes().iter().zip(b.bytes()).filter(|(a, b)| a != b).count()
}

/// Whole codes leave the noise's half codes between them, so that single float and double must agree on every one.
#[test]
fn whole_codes_get_the_very_noise_of_the_cpu() {
    let Some(gpu) = adapter() else { return };
    let size = Size::new(131, 67);
    for (dither, layout) in BOTH.into_iter().flat_map(|dither| {
        integers().into_iter().filter(|layout| layout.bits() <= 10).map(move |layout| (dither, layout))
    }) {
        let opaque: Vec<_> = signals(size, 3).into_iter().map(|[r, g, b, _]| [r, g, b, 1.0]).collect();
        let codes = Arc::new(Frame::from_pixels(&opaque, size, layout, Range::Full));
        let (source, result) = ((layout, Range::Full), (layout, Range::Full));
        let mut renderer = renderer(&gpu, program("", source, result, dither), None);
        for number in [0, 1001, -7, i64::from(u32::MAX) + 5] {
            let wanted =
                Frame::from_pixels_dithered(&codes.to_pixels(Range::Full), size, layout, Range::Full, dither, number);
            assert_ne!(wanted, *codes);
            assert_eq!(rendered(&mut renderer, &codes, number), wanted, "{dither:?}, {layout}, frame {number}");
        }
    }
}

/// Any value, both ranges, alpha: where single float and double part over a value that noise takes between two codes.
#[test]
fn any_value_in_every_layout() {
    let Some(gpu) = adapter() else { return };
    let size = Size::new(131, 67);
    let floats = Arc::new(Frame::from_pixels(&signals(size, 11), size, FLOAT, Range::Full));
    for (dither, layout) in
        BOTH.into_iter().flat_map(|dither| integers().into_iter().map(move |layout| (dither, layout)))
    {
        for range in [Range::Full, Range::Legal] {
            let program = program("", (FLOAT, Range::Full), (layout, range), dither);
            let found = rendered(&mut renderer(&gpu, program, None), &floats, 1001);
            let wanted = Frame::from_pixels_dithered(&floats.to_pixels(Range::Full), size, layout, range, dither, 1001);
            // Rounding of single float is half a 256th of a code in 16 bits, and less in all others.
            let most = if layout.bits() == 16 { 1.5e-3 } else { 2e-4 };
            let share = differences(&found, &wanted) as f64 / (size.pixels() * 3) as f64;
            assert!(share <= most, "{dither:?}, {layout}, {} range: {share}", range.name());
        }
    }
}

/// Without dither a pass is what it was: no line, no byte and no table more.
#[test]
fn a_pass_that_is_not_dithered_carries_nothing_of_it() {
    let elaborated = Subject::chain("exposure stops=1", &Original::SceneRows).elaborated;
    let plan = Plan::new(&elaborated, Level::Full);
    let made = |result| assemble(&plan, Edge::Stored(TEN, Range::Full), result).expect("it assembles").passes.remove(0);
    let plain = made(Edge::written(TEN, Range::Full, None));
    assert!(!plain.wgsl.contains("noise") && !plain.wgsl.contains("dither"), "{}", plain.wgsl);
    for dither in BOTH {
        // Floats have no codes: the pass is the same one too.
        assert_eq!(made(Edge::Dithered(FLOAT, Range::Full, dither)).wgsl, made(Edge::Stored(FLOAT, Range::Full)).wgsl);
        let dithered = made(Edge::Dithered(TEN, Range::Full, dither));
        assert_eq!(dithered.settings.len(), plain.settings.len() + 16);
        assert_eq!(dithered.tables.len(), dither.table().len().max(1));
    }
}

#[test]
fn tiles_and_frames_on_their_way_keep_their_noise() {
    let Some(gpu) = adapter() else { return };
    let size = Size::new(70, 43);
    let frame = Arc::new(Frame::from_pixels(&signals(size, 5), size, TEN, Range::Full));
    let eight = Layout::new(Channels::Rgb, Samples::Codes(8), ByteOrder::Big);
    let chain = "exposure stops=-0.3 | white-balance from=4000K";
    for dither in BOTH {
        let program = || program(chain, (TEN, Range::Full), (eight, Range::Full), dither);
        let mut whole = renderer(&gpu, program(), None);
        let wanted = [1, 2, 3].map(|number| rendered(&mut whole, &frame, number));
        assert!(differences(&wanted[0], &wanted[1]) > 1000, "each frame has noise of its own");
        for tile in [7, 16, 64] {
            assert_eq!(rendered(&mut renderer(&gpu, program(), Some(tile)), &frame, 2), wanted[1], "tiles of {tile}");
        }
        for number in [1, 2, 3] {
            whole.send(Arc::clone(&frame), number).expect("it is sent");
        }
        for wanted in &wanted {
            assert_eq!(whole.receive().expect("it comes back").as_ref(), Some(wanted));
        }
    }
}

#[test]
fn a_lost_device_gives_each_frame_its_noise_again() {
    if adapter().is_none() {
        return;
    }
    let choice = AdapterChoice::from_environment();
    // A device of its own, so that no other test loses it.
    let gpu = Gpu::open(&choice).expect("it opened before").expect("it was there before");
    let size = Size::new(64, 32);
    let frame = Arc::new(Frame::from_pixels(&signals(size, 5), size, TEN, Range::Full));
    let program = program("", (TEN, Range::Full), (TEN, Range::Full), Dither::Triangular);
    let mut renderer = renderer(&gpu, program, None);
    let wanted = [8, 9].map(|number| rendered(&mut renderer, &frame, number));
    for number in [8, 9] {
        renderer.send(Arc::clone(&frame), number).expect("it is sent");
    }
    renderer.gpu().lose();
    for wanted in &wanted {
        assert_eq!(renderer.receive().expect("it comes back").as_ref(), Some(wanted));
    }
    assert_eq!(renderer.reopened(), 1);
}

/// Three frames of a smooth ramp, 10-bit.
fn ramps(folder: &Path) {
    let size = Size::new(256, 24);
    let pixels: Vec<[f32; 4]> = (0..size.pixels())
        .map(|at| {
            let signal = 0.4 + (at % 256) as f32 / 255.0 * 0.02;
            [signal, signal, signal, 1.0]
        })
        .collect();
    let frame = Frame::from_pixels(&pixels, size, TEN, Range::Full);
    for number in 1001..=1003 {
        media::write(&folder.join(format!("sky.{number}.dpx")), &frame, &About::default()).expect("it is written");
    }
}

fn render(folder: &Path, out: &str, options: &str) -> Run {
    let run = greywright("render").with(folder.join("sky.####.dpx")).with(folder.join(out));
    let run = options.split_whitespace().fold(run, |run, option| run.with(option));
    run.chain("input-transform encoding=BT.1886 | exposure stops=0.37 | output-transform rendering=plain")
}

fn file(folder: &Path, name: &str, number: i64) -> Vec<u8> {
    let path = folder.join(name).join(format!("sky.{number}.png"));
    fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The codes of a written picture, 8 bits each.
fn written(folder: &Path, name: &str) -> Vec<u16> {
    let path = folder.join(name).join("sky.1001.png");
    let picture = media::read(&path).unwrap_or_else(|error| panic!("{error}"));
    picture.frame.bytes().as_chunks::<2>().0.iter().map(|bytes| u16::from_le_bytes(*bytes)).collect()
}

#[test]
fn render_dithers_alike_whoever_computes() {
    let dir = tempfile::tempdir().expect("a folder for the test");
    let folder = dir.path();
    ramps(folder);
    let on_gpu = adapter().is_some();
    for kind in ["triangular", "blue-noise"] {
        let options = format!("--depth 8 --dither {kind}");
        let whole = format!("{kind}/sky.####.png");
        let report = render(folder, &whole, &format!("{options} --json")).done();
        assert!(report.stdout.contains(&format!("\"dither\": \"{kind}\"")), "{report}");
        assert_ne!(file(folder, kind, 1001), file(folder, kind, 1002), "frames differ in their noise alone");
        // The same again; in tiles; as one machine of a farm would.
        render(folder, "again/sky.####.png", &options).env("GREYWRIGHT_TILE", "50").done();
        render(folder, "part/sky.####.png", &format!("{options} --frames 1002-1003")).done();
        for number in [1001, 1002, 1003] {
            assert_eq!(file(folder, "again", number), file(folder, kind, number), "{kind}, frame {number}");
            if number > 1001 {
                assert_eq!(file(folder, "part", number), file(folder, kind, number), "{kind}, frame {number}");
            }
        }
        // What remains between proof and GPU is a value whose rounding in single float crosses the noise: 1e-4 of 8 bits.
        let by_proof = render(folder, "proof/sky.####.png", &format!("{options} --executor proof")).done();
        assert!(by_proof.stdout.contains(&format!("{kind} dither")), "{by_proof}");
        let (found, wanted) = (written(folder, kind), written(folder, "proof"));
        let off = found.iter().zip(&wanted).filter(|(a, b)| a != b).count();
        assert!(off * 2000 <= found.len(), "{kind}: {off} of {}", found.len());
        assert!(on_gpu || off == 0);
    }
    let run = render(folder, "off/sky.####.png", "--depth 8 --dither off").done();
    assert!(!run.stdout.contains("dither"), "{run}");
    render(folder, "plain/sky.####.png", "--depth 8").done();
    assert_eq!(file(folder, "off", 1001), file(folder, "plain", 1001), "off unless told");
    assert_ne!(file(folder, "off", 1001), file(folder, "triangular", 1001));
    assert_eq!(file(folder, "off", 1001), file(folder, "off", 1002), "and then nothing moves");
}

/// A ramp whose steps are tenths of an 8-bit code: seen from afar, dither keeps it, rounding makes stairs.
#[test]
fn a_smooth_ramp_keeps_its_slope_in_eight_bits() {
    let dir = tempfile::tempdir().expect("a folder for the test");
    let folder = dir.path();
    let size = Size::new(256, 512);
    let value = |column: usize| 100.0 + column as f32 / 256.0 * 3.0;
    let pixels: Vec<[f32; 4]> = (0..size.pixels()).map(|at| [value(at % 256) / 255.0; 4]).collect();
    let pixels: Vec<[f32; 4]> = pixels.into_iter().map(|[r, g, b, _]| [r, g, b, 1.0]).collect();
    let floats = Layout { channels: Channels::Rgb, ..FLOAT };
    let frame = Frame::from_pixels(&pixels, size, floats, Range::Full);
    media::write(&folder.join("sky.1001.exr"), &frame, &About::default()).expect("it is written");
    let worst = |kind: &str| {
        let out = folder.join(kind).join("sky.1001.png");
        let run = greywright("render").with(folder.join("sky.1001.exr")).with(out);
        run.with("--depth").with("8").with("--dither").with(kind).chain("").done();
        let codes = written(folder, kind);
        // What the eye does from afar: pieces of 16 by 16 averaged.
        let error = |at: usize| f32::from(codes[at * 3]) - value(at % 256);
        let piece = |left: usize, top: usize| {
            let places = (0..256).map(|at| (top * 16 + at / 16) * 256 + left * 16 + at % 16);
            places.map(error).sum::<f32>() / 256.0
        };
        (0..16 * 32).map(|at| piece(at % 16, at / 16).abs()).fold(0.0, f32::max)
    };
    let (off, triangular, blue) = (worst("off"), worst("triangular"), worst("blue-noise"));
    assert!(off > 0.35, "{off}");
    // Five times what chance leaves of 256 samples of variance 1/4; evenly laid noise leaves less.
    assert!(triangular < 5.0 * 0.5 / 16.0, "{triangular}");
    assert!(blue < triangular / 3.0, "{blue} of {triangular}");
}

#[test]
fn floats_refuse_dither_in_words() {
    let dir = tempfile::tempdir().expect("a folder for the test");
    ramps(dir.path());
    for depth in ["half", "float"] {
        let options = format!("--dither triangular --depth {depth}");
        let run = render(dir.path(), "out/sky.####.exr", &options);
        run.fails(2, &["--dither triangular", "OpenEXR", "floats", ".png"]);
    }
    render(dir.path(), "out/sky.####.exr", "--dither blue-noise").fails(2, &["--dither blue-noise"]);
    assert!(!dir.path().join("out").exists(), "nothing was made");
    render(dir.path(), "out/sky.####.png", "--dither purple").fails(2, &["triangular", "blue-noise"]);
}
