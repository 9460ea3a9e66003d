//! What is measured aside, by files whose figures are known from outside.

use std::time::{Duration, Instant};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use graph::{Edit, LayerAt, Shot};
use session::Project;
use session::beside::Kind;
use session::verdict::Extent;

use super::Aside;
use crate::state::{Action, Bench, OnProbes, OnTable, OnVerdict, Sheet};

/// A mid grey card at the left, a lamp at the right: codes 400 and 900 of ten bits.
///
/// # Source
/// ARRI LogC curve, usage in VFX (LogC3, EI 800): 18 % grey is signal 0.391, which is code 400.
fn bench() -> (tempfile::TempDir, Bench) {
    let folder = tempfile::tempdir().unwrap();
    let half = |code: f32| vec![[code / 1023.0, code / 1023.0, code / 1023.0, 1.0]; 4];
    let pixels: Vec<[f32; 4]> = (0..4).flat_map(|_| [half(400.0), half(900.0)].concat()).collect();
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let frame = Frame::from_pixels(&pixels, Size::new(8, 4), layout, Range::Full);
    media::write(&folder.path().join("a.0001.dpx"), &frame, &media::About::default()).unwrap();
    let chain = "input-transform | exposure | output-transform rendering=plain";
    let mut document = graph::chain::parse(chain).unwrap();
    let shot = Shot {
        media: "a.%04d.dpx".into(),
        encoding: Some("LogC3".into()),
        exposure_index: Some(800),
        ..Shot::default()
    };
    document.shots.insert("a".into(), shot.clone());
    document.shots.insert("gone".into(), Shot { media: "gone.%04d.dpx".into(), ..shot });
    let written = session::file::Written { document, ..Default::default() };
    let project = Project::new(&folder.path().join("p.greywright"), written).unwrap();
    (folder, Bench::of(project))
}

/// Follows until it holds.
fn until(aside: &mut Aside, bench: &mut Bench, holds: impl Fn(&Bench) -> bool) {
    let end = Instant::now() + Duration::from_secs(20);
    while !holds(bench) {
        assert!(Instant::now() < end, "{:?} {:?}", bench.table.clipped, bench.probes.read);
        aside.follow(bench).into_iter().for_each(|action| bench.apply(action));
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn the_table_and_the_probes_get_their_figures() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Probes(OnProbes::Place([1.0, 1.0, 2.0, 2.0])));
    // By the proof: figures do not hang on an adapter.
    let mut aside = Aside::new(None, egui::Context::default());
    until(&mut aside, &mut bench, |bench| bench.table.clipped.len() == 2 && !bench.probes.read.is_empty());
    assert_eq!(bench.table.clipped["a"], Ok(0.5));
    let why = bench.table.clipped["gone"].clone().unwrap_err();
    assert!(why.contains("gone"), "{why}");
    let both = bench.probes.read[&0].probes[0];
    let (before, after) = (both.before.unwrap(), both.after.unwrap());
    assert_eq!((before.levels, before.bits), ([400.0; 3], Some(10)));
    for stops in [before.stops, after.stops] {
        // Within half a code, which is 0.007 stops there.
        assert!(stops.unwrap().abs() < 0.007, "{stops:?}");
    }
    assert!(before.delta_e.unwrap() < 0.01 && after.delta_e.unwrap() < 0.01);
    assert!(after.white.unwrap()[0].abs() < 0.05, "{:?}", after.white);

    // A stop more is read behind the correction, and the original stays.
    let stops = Edit::SetBase {
        layer: LayerAt::Shot("a".into()),
        member: "exposure".into(),
        field: "stops".into(),
        value: Some("1".into()),
    };
    bench.apply(Action::Try(stops));
    let raised = move |bench: &Bench| {
        let now = bench.probes.read[&0].probes[0];
        now.before == Some(before) && (now.after.unwrap().stops.unwrap() - after.stops.unwrap() - 1.0).abs() < 1e-6
    };
    until(&mut aside, &mut bench, raised);
}

/// The figures under the first tile.
fn figures(bench: &Bench) -> Vec<(String, String)> {
    let (known, _) = bench.verdict_on(0).unwrap();
    let figures = known.figures.as_ref().unwrap();
    figures.iter().map(|figure| (figure.title.clone(), figure.text.clone())).collect()
}

fn text(bench: &Bench, title: &str) -> String {
    figures(bench).into_iter().find(|(own, _)| own == title).unwrap().1
}

#[test]
fn a_verdict_is_measured_when_it_is_asked_for_and_says_when_it_is_of_before() {
    let (_folder, mut bench) = bench();
    let mut aside = Aside::new(None, egui::Context::default());
    let is_done = |bench: &Bench| bench.verdicts.running.is_none();
    until(&mut aside, &mut bench, |bench| bench.table.clipped.len() == 2);
    assert!(bench.verdict_on(0).is_none(), "nobody asked");
    bench.apply(Action::Verdict(OnVerdict::Ask(Extent::Tile)));
    until(&mut aside, &mut bench, is_done);
    assert_eq!(text(&bench, "grey drift"), "no grey known");
    assert_eq!(text(&bench, "clipped"), "50.0 %");
    assert_eq!(text(&bench, "from the anchor"), "no anchor");
    assert!(bench.verdict_on(0).unwrap().1);

    // A card makes grey known; the figures are those of before until they are asked for.
    bench.apply(Action::Probes(OnProbes::Place([0.0, 0.0, 4.0, 4.0])));
    bench.apply(Action::Probes(OnProbes::Kind(0, Kind::Grey)));
    assert!(!bench.verdict_on(0).unwrap().1);
    bench.apply(Action::Verdict(OnVerdict::Ask(Extent::Tile)));
    until(&mut aside, &mut bench, is_done);
    let drift = text(&bench, "grey drift");
    assert!(drift.starts_with("0.00 \u{2206}E at"), "{drift}");
    let same = |bench: &Bench| bench.verdict_on(0).unwrap().0.figures.as_ref().unwrap()[0].same;
    assert!(same(&bench));
}

#[test]
fn all_figures_come_with_the_baseline_and_what_an_anchor_lacks_is_said() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Probes(OnProbes::Place([0.0, 0.0, 4.0, 4.0])));
    bench.apply(Action::Probes(OnProbes::Kind(0, Kind::Grey)));
    bench.apply(Action::Table(OnTable::Anchor(Some("gone".into()))));
    let mut aside = Aside::new(None, egui::Context::default());
    bench.apply(Action::Verdict(OnVerdict::Ask(Extent::All)));
    assert_eq!(bench.sheet, Some(Sheet::Verdict));
    until(&mut aside, &mut bench, |bench| bench.verdicts.running.is_none());
    let figures = bench.verdicts.figures.clone().unwrap().unwrap();
    assert!(bench.figures_are_of_now(&figures));
    let columns: Vec<&str> = figures.columns.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(columns, ["baseline", graph::chain::CANDIDATE]);
    assert_eq!(figures.rows[0].title, "grey drift");
    assert!(figures.rows.iter().any(|row| row.title == "as a CLF" && row.cells[1].text.contains('.')));
    assert!(figures.head.iter().any(|words| words.starts_with("no distance from the anchor: gone")), "{figures:?}");

    // Escape ends what is measured, and what comes too late is dropped.
    bench.apply(Action::Verdict(OnVerdict::Ask(Extent::All)));
    let number = bench.verdicts.running.as_ref().unwrap().number;
    bench.apply(Action::Return);
    bench.apply(Action::Verdict(OnVerdict::Figures(number, Err("late".into()))));
    assert_eq!(bench.verdicts.figures, Some(Ok(figures)));
}
