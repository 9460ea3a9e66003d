//! Pictures that are made on a device: through a monitor, from outside, of one pixel, very wide, and of files that are not there.

use std::path::Path;
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use colour::CodeRange;
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::device::{AdapterChoice, Gpu};
use graph::{Monitored, Shot};
use reference::Proof;
use session::Project;

use super::{Outcome, Pictures};
use crate::state::{Action, Bench, OnSecond, Tile};

const DESK: &str = "name = \"desk\"\nprimaries = \"P3-D65\"\nwhite = \"kept\"\neotf = \"gamma 2.4\"\n\
                    peak_nits = 100\nblack_nits = 0.03\n";
const CHAIN: &str = "input-transform | output-transform rendering=plain";
const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);

/// The adapter that the suites run on; none where there is none and none is required.
fn adapter() -> Option<Arc<Gpu>> {
    static GPU: OnceLock<Option<Arc<Gpu>>> = OnceLock::new();
    GPU.get_or_init(|| {
        let gpu = Gpu::open(&AdapterChoice::from_environment()).ok().flatten();
        assert!(gpu.is_some() || std::env::var("REQUIRE_GPU").is_err(), "REQUIRE_GPU, but there is no adapter");
        gpu
    })
    .clone()
}

fn write(path: &Path, size: Size, codes: impl Fn(usize) -> [f32; 3]) {
    let pixels: Vec<[f32; 4]> = (0..size.pixels())
        .map(|at| {
            let [red, green, blue] = codes(at).map(|code| code / 1023.0);
            [red, green, blue, 1.0]
        })
        .collect();
    let frame = Frame::from_pixels(&pixels, size, TEN, Range::Full);
    media::write(path, &frame, &media::About::default()).unwrap();
}

/// Codes that are mixed well.
fn codes(at: usize) -> [f32; 3] {
    [97, 61, 29].map(|step| (150 + at * step % 600) as f32)
}

fn bench(folder: &Path) -> Bench {
    write(&folder.join("a.0001.dpx"), Size::new(16, 8), codes);
    let mut document = graph::chain::parse(CHAIN).unwrap();
    let shot = Shot {
        media: "a.%04d.dpx".into(),
        encoding: Some("LogC3".into()),
        exposure_index: Some(800),
        ..Shot::default()
    };
    document.shots.insert("a".into(), shot);
    let written = session::file::Written { document, ..Default::default() };
    Bench::of(Project::new(&folder.join("p.greywright"), written).unwrap())
}

/// Follows until a picture is there as it should be, and gives it.
fn until(
    pictures: &mut Pictures,
    bench: &Bench,
    of: impl Fn(&Pictures) -> Option<&Outcome>,
    holds: impl Fn(&Outcome) -> bool,
) -> Outcome {
    let end = Instant::now() + Duration::from_secs(120);
    loop {
        pictures.follow(bench);
        if let Some(outcome) = of(pictures).filter(|outcome| holds(outcome)) {
            return outcome.clone();
        }
        assert!(Instant::now() < end, "{:?}", of(pictures));
        std::thread::sleep(Duration::from_millis(10));
    }
}

fn read(outcome: &Outcome) -> Vec<[u16; 3]> {
    outcome.shown.as_ref().unwrap().drawn.read().unwrap().to_codes().unwrap()
}

#[test]
fn the_second_window_shows_what_the_proof_says_of_its_monitor() {
    let Some(gpu) = adapter() else { return };
    let folder = tempfile::tempdir().unwrap();
    let profile = folder.path().join("desk.toml");
    std::fs::write(&profile, DESK).unwrap();
    let mut bench = bench(folder.path());
    let mut pictures = Pictures::new(gpu, egui::Context::default());
    bench.apply(Action::Second(OnSecond::Open(true)));
    let tile = until(&mut pictures, &bench, |pictures| pictures.of(0), |outcome| outcome.shown.is_some());
    // Without a profile it is the tile's own picture, and nothing is made a second time.
    assert!(super::shows_the_tiles_own(&bench) && pictures.clean().is_none());
    bench.apply(Action::Second(OnSecond::Profile(Some(profile.clone()))));
    let clean = until(&mut pictures, &bench, Pictures::clean, |outcome| outcome.shown.is_some());
    assert_eq!((&clean.fault, &clean.shown.as_ref().unwrap().unseen), (&None, &None));

    let document = graph::chain::parse(CHAIN).unwrap();
    let original = graph::Original::Encoded(colour::Encoding::named("LogC3", Some(800)).unwrap());
    let wiring = &document.candidates[graph::chain::CANDIDATE];
    let range = Some(CodeRange::Full);
    let picture = graph::elaborate(wiring, &document.kit, &original, range, &ops::Book::default()).unwrap();
    let own = Proof::new(&picture);
    let monitored = Monitored::new(picture, session::monitor::load(&profile).unwrap()).unwrap();
    let proof = Proof::for_monitor(&monitored);
    let mut moved = 0;
    for (at, (seen, plain)) in read(&clean).into_iter().zip(read(&tile)).enumerate() {
        let pixel = codes(at).map(|code| f64::from(code) / 1023.0);
        for (codes, proof) in [(seen, &proof), (plain, &own)] {
            let want = proof.pixel(pixel).map(|signal| (signal * 1023.0).clamp(0.0, 1023.0));
            let off = codes.iter().zip(want).map(|(code, want)| (f64::from(*code) - want).abs()).fold(0.0, f64::max);
            // Half a code of rounding, and what single floats make of it.
            assert!(off < 0.51, "{at}: {codes:?} and not {want:?}");
        }
        moved += usize::from(seen != plain);
    }
    assert!(moved > 64, "{moved}");

    // An original is made for no display: its codes are shown as they are, and why is told.
    let unseen = |outcome: &Outcome| outcome.shown.as_ref()?.unseen.clone();
    bench.apply(Action::Before(true));
    let before = until(&mut pictures, &bench, Pictures::clean, |outcome| unseen(outcome).is_some());
    assert!(unseen(&before).unwrap().contains("output-transform"));
    assert_eq!(read(&before), (0..128).map(|at| codes(at).map(|code| code as u16)).collect::<Vec<_>>());
}

#[test]
fn a_picture_from_outside_is_shown_as_it_is_stored_and_a_missing_one_is_told() {
    let Some(gpu) = adapter() else { return };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("print.dpx");
    write(&path, Size::new(9, 7), |at| codes(at + 5));
    let mut bench = bench(folder.path());
    let mut pictures = Pictures::new(gpu, egui::Context::default());
    bench.apply(Action::Outside(0, Some((path.clone(), String::new()))));
    let is_outside = |outcome: &Outcome| outcome.shown.as_ref().is_some_and(|shown| shown.named.shot == "print.dpx");
    let outcome = until(&mut pictures, &bench, |pictures| pictures.of(0), is_outside);
    assert_eq!(read(&outcome), (0..63).map(|at| codes(at + 5).map(|code| code as u16)).collect::<Vec<_>>());
    // A scene's numbers are rendered first.
    bench.apply(Action::Outside(0, Some((path.clone(), "LogC3".into()))));
    let rendered =
        |outcome: &Outcome| outcome.shown.as_ref().is_some_and(|shown| matches!(shown.made, graph::Made::Rendered(_)));
    until(&mut pictures, &bench, |pictures| pictures.of(0), rendered);
    // The file goes, and another encoding needs it anew: the picture stays, and the file is named.
    std::fs::remove_file(&path).unwrap();
    let gone = folder.path().join("gone.dpx");
    write(&gone, Size::new(2, 2), codes);
    bench.apply(Action::Outside(0, Some((gone.clone(), String::new()))));
    std::fs::remove_file(&gone).unwrap();
    let mut later = Pictures::new(adapter().unwrap(), egui::Context::default());
    let outcome = until(&mut later, &bench, |pictures| pictures.of(0), |outcome| outcome.fault.is_some());
    assert!(outcome.fault.as_ref().unwrap().contains("gone.dpx"), "{:?}", outcome.fault);
}

#[test]
fn one_pixel_and_a_very_wide_picture_have_traces_too() {
    let Some(gpu) = adapter() else { return };
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let mut pictures = Pictures::new(gpu, egui::Context::default());
    bench.wall.tiles = vec![Tile { number: 1, shot: Some("a".into()), ..Tile::default() }];
    for size in [Size::new(1, 1), Size::new(16384, 1), Size::new(16384, 9), Size::new(1, 4000)] {
        let path = folder.path().join(format!("{}x{}.dpx", size.width, size.height));
        write(&path, size, codes);
        bench.apply(Action::Outside(0, Some((path, String::new()))));
        let is_there = |outcome: &Outcome| {
            let shown = outcome.shown.as_ref().is_some_and(|shown| shown.size() == size);
            shown && outcome.traces.as_ref().is_some_and(|traces| traces.region.pixels() == size.pixels() as u64)
        };
        let outcome = until(&mut pictures, &bench, |pictures| pictures.of(0), is_there);
        assert_eq!(outcome.fault, None, "{size:?}");
        let last = size.pixels() - 1;
        assert_eq!(read(&outcome)[last], codes(last).map(|code| code as u16));
    }
}

#[test]
fn the_set_up_page_is_drawn_to_the_code() {
    let Some(gpu) = adapter() else { return };
    let pictures = Pictures::new(gpu, egui::Context::default());
    let page = crate::second::Page::new([1072, 300], 1.0);
    let drawn = pictures.draw_codes(page.frame()).unwrap().unwrap();
    assert_eq!(drawn.read().unwrap().to_codes().unwrap(), page.frame().to_codes().unwrap());
}
