//! The window speaks up where the device departs from the proof, and finds the step.
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::time::{Duration, Instant};

use bench::pictures::Pictures;
use bench::state::{Action, Bench, Look, OnTrust, Sheet};
use bench::trust::Trust;
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::device::{AdapterChoice, Gpu};
use graph::Shot;
use session::Project;

const SIZE: Size = Size { width: 96, height: 64 };
/// A shader that is wrong on purpose; the folder that it lies in is told to a process of its own.
const SHADERS: &str = "GREYWRIGHT_SHADERS";

/// A window with pictures on a device, and what proves them.
struct Window {
    bench: Bench,
    pictures: Pictures,
    trust: Trust,
    _folder: tempfile::TempDir,
}

impl Window {
    /// None where there is no adapter and none is asked for.
    fn open() -> Option<Self> {
        let gpu = match Gpu::open(&AdapterChoice::from_environment()) {
            Ok(Some(gpu)) => gpu,
            other => {
                assert!(std::env::var_os("REQUIRE_GPU").is_none(), "{other:?}");
                println!("skipped: there is no adapter");
                return None;
            }
        };
        let folder = tempfile::tempdir().unwrap();
        let pixels: Vec<[f32; 4]> =
            (0..96 * 64).map(|at| [0.2 + at as f32 / 9000.0, 0.42, 0.7 - at as f32 / 14_000.0, 1.0]).collect();
        let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
        let frame = Frame::from_pixels(&pixels, SIZE, layout, Range::Full);
        media::write(&folder.path().join("a.0001.dpx"), &frame, &media::About::default()).unwrap();
        let chain = "input-transform | exposure stops=0.5 | contrast slope=1.2 | output-transform";
        let mut document = graph::chain::parse(chain).unwrap();
        let shot = Shot { media: "a.%04d.dpx".into(), encoding: Some("LogC3".into()), ..Shot::default() };
        document.shots.insert("a".into(), shot);
        let written = session::file::Written { document, ..Default::default() };
        let project = Project::new(&folder.path().join("p.greywright"), written).unwrap();
        let context = egui::Context::default();
        let trust = Trust::new(Arc::clone(&gpu), context.clone());
        Some(Self { bench: Bench::of(project), pictures: Pictures::new(gpu, context), trust, _folder: folder })
    }

    /// Goes on until it holds.
    fn until(&mut self, what: &str, holds: impl Fn(&Bench, &Pictures) -> bool) {
        let end = Instant::now() + Duration::from_secs(120);
        while !holds(&self.bench, &self.pictures) {
            assert!(Instant::now() < end, "{what}: {:?}", self.bench.trust);
            self.pictures.follow(&self.bench);
            for action in self.trust.follow(&self.bench, &mut self.pictures) {
                self.bench.apply(action);
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn number(&self) -> u64 {
        self.bench.wall.tiles[0].number
    }
}

#[test]
fn a_settled_picture_is_proved_and_the_device_says_how_long_it_took() {
    let Some(mut window) = Window::open() else { return };
    window.until("proved", |bench, _| bench.checked(0).is_some());
    let of = window.bench.checked(0).unwrap().clone();
    let checked = of.checked.clone().unwrap();
    assert_eq!((checked.pixels, checked.departs, of.frame), (1024, 0, 1));
    assert!(checked.codes <= 0.51, "rounding to codes alone: {checked:?}");
    assert!(of.seconds.is_none_or(|seconds| (0.0..10.0).contains(&seconds)), "{of:?}");
    assert!(window.bench.departs().is_none());

    // The steps, where the sheet asks for them.
    window.bench.apply(Action::Lay(Some(Sheet::Trust)));
    window.until("steps", |bench, _| bench.trust.steps.is_some());
    let steps = window.bench.trust.steps.clone().unwrap().1.unwrap();
    let names: Vec<&str> = steps.iter().map(|step| step.member.as_str()).collect();
    assert_eq!(names, ["input-transform", "exposure", "contrast", "output-transform"]);
    assert!(steps.iter().all(|step| !step.departs()), "{steps:?}");
}

#[test]
fn the_active_picture_is_shown_by_the_proof_until_it_changes() {
    let Some(mut window) = Window::open() else { return };
    window.until("drawn", |_, pictures| pictures.of(0).is_some_and(|of| of.shown.is_some()));
    let shown = |window: &Window| window.pictures.of(0).unwrap().shown.clone().unwrap().drawn;
    let device = shown(&window).read().unwrap().to_codes().unwrap();
    window.bench.apply(Action::Trust(OnTrust::ByProof(Some(window.number()))));
    window.until("by the proof", |bench, _| bench.by_proof(0).as_deref() == Some("by the proof"));
    // The next pass lays it over the device's own.
    window.pictures.follow(&window.bench);
    window.trust.follow(&window.bench, &mut window.pictures);
    let proof = shown(&window).read().unwrap().to_codes().unwrap();
    assert_eq!(proof.len(), device.len());
    let apart = proof.iter().flatten().zip(device.iter().flatten()).map(|(a, b)| a.abs_diff(*b)).max();
    assert!(apart <= Some(1), "{apart:?}");
    // Another look is another picture, and of bands there is no proof.
    window.bench.apply(Action::Look(Look::Zebra));
    window.until("the device's again", |bench, _| bench.trust.by_proof.is_none());
}

/// The shader of contrast, wrong by a hundredth, in a folder of its own.
fn planted() -> (tempfile::TempDir, PathBuf) {
    let shaders = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shaders/ops/contrast.wgsl");
    let right = std::fs::read_to_string(shaders).unwrap();
    let from = right.find("return ").unwrap() + "return ".len();
    let to = from + right[from..].find(';').unwrap();
    let wrong = format!("{}({}) * 1.01{}", &right[..from], &right[from..to], &right[to..]);
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("ops")).unwrap();
    std::fs::write(folder.path().join("ops/contrast.wgsl"), wrong).unwrap();
    let path = folder.path().to_owned();
    (folder, path)
}

#[test]
fn a_wrong_step_is_noticed_and_named() {
    // What shaders are read from is settled for a process.
    if std::env::var_os(SHADERS).is_none() {
        let (_folder, path) = planted();
        let mut again = Command::new(std::env::current_exe().unwrap());
        again.args(["--exact", "a_wrong_step_is_noticed_and_named", "--nocapture"]).env(SHADERS, path);
        assert!(again.status().unwrap().success());
        return;
    }
    let Some(mut window) = Window::open() else { return };
    window.until("proved", |bench, _| bench.checked(0).is_some());
    let (of, checked) = window.bench.departs().unwrap();
    assert_eq!(of.candidate, graph::chain::CANDIDATE);
    assert!(checked.codes > 1.0 && checked.departs > 100, "{checked:?}");
    window.bench.apply(Action::Lay(Some(Sheet::Trust)));
    window.until("steps", |bench, _| bench.trust.steps.is_some());
    let steps = window.bench.trust.steps.clone().unwrap().1.unwrap();
    let off: Vec<&str> = steps.iter().filter(|step| step.departs()).map(|step| step.member.as_str()).collect();
    assert_eq!(off, ["contrast"], "{steps:?}");
}
