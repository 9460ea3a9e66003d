//! Verdict and proof as they are read in the window: what is known comes in as actions, what is read comes out as words.
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod ferry;

use bench::state::{Action, Bench, Figure, Figures, OfPicture, OnTile, OnTrust, OnVerdict, Row, Sheet};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use ferry::{Ferry, exposure, window};
use session::trust::Checked;
use session::verdict::Extent;

type Window = Harness<'static, (Bench, Vec<Action>)>;

fn apply(window: &mut Window, action: Action) {
    window.state_mut().0.apply(action);
    window.run_steps(2);
}

/// All words that stand in the window, a line each.
fn words(window: &Window) -> String {
    let label = |node: &egui_kittest::Node<'_>| {
        let node = node.accesskit_node();
        node.label().or_else(|| node.value())
    };
    window.root().children_recursive().filter_map(|node| label(&node)).collect::<Vec<_>>().join("\n")
}

fn figure(title: &str, text: &str, same: bool) -> Figure {
    Figure { title: title.to_string(), text: text.to_string(), same }
}

fn five() -> Vec<Figure> {
    vec![
        figure("grey drift", "1.23 \u{2206}E at -2.3 stops", false),
        figure("black drift", "+3 -1 0 codes", false),
        figure("hues kept", "98.2 %", false),
        figure("clipped", "0.3 %", true),
        figure("from the anchor", "2.1: +0.02 stops, -3.4 mired", false),
    ]
}

/// Asks for the lines under the tiles and answers for the first of them.
fn judged(window: &mut Window) {
    window.key_press(Key::Q);
    window.run_steps(2);
    let bench = &window.state().0;
    let number = bench.verdicts.running.as_ref().unwrap().number;
    let tile = bench.wall.tiles[0].clone();
    let of = OnTile { stand: Box::new(bench.stand(&tile).unwrap()), figures: Ok(five()) };
    apply(window, Action::Verdict(OnVerdict::Tile(number, tile.number, of)));
    apply(window, Action::Verdict(OnVerdict::Done(number)));
}

#[test]
fn five_figures_are_read_under_a_tile_until_something_they_hang_on_changes() {
    let ferry = Ferry::new();
    let mut window = window(ferry.bench(), [1600.0, 1000.0], 1.0);
    window.key_press(Key::Q);
    window.run_steps(2);
    let number = window.state().0.verdicts.running.as_ref().unwrap().number;
    let at = OnVerdict::At(number, "light-first: picture".to_string(), [1, 4]);
    apply(&mut window, Action::Verdict(at));
    assert!(words(&window).contains("verdict: light-first: picture, 1 of 4; Escape ends it"));
    window.key_press(Key::Escape);
    window.run_steps(2);
    assert!(window.state().0.verdicts.running.is_none() && !words(&window).contains("Escape ends it"));

    judged(&mut window);
    let line = "grey drift 1.23 \u{2206}E at -2.3 stopsblack drift +3 -1 0 codeshues kept 98.2 %clipped samefrom the \
                anchor 2.1: +0.02 stops, -3.4 mired";
    assert!(words(&window).lines().any(|words| words == line), "{}", words(&window));

    // Another shot's number is none of theirs; the shot's own is.
    let before = |window: &Window| words(window).contains("as of before");
    assert!(!before(&window));
    apply(&mut window, Action::Edit(exposure("0.25")));
    assert!(before(&window));
    apply(&mut window, Action::StepBack);
    assert!(!before(&window), "what is taken back is as it was");
    apply(&mut window, Action::Frame(2));
    assert!(before(&window));
}

#[test]
fn a_narrow_tile_has_all_five_in_short() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    for _ in 0..2 {
        bench.apply(Action::AddTile);
    }
    bench.apply(Action::Activate(0));
    let mut window = window(bench, [1280.0, 800.0], 1.0);
    judged(&mut window);
    let found = words(&window);
    let line = found.lines().find(|words| words.starts_with("grey 1.23")).unwrap();
    for short in ["black +3", "hues 98.2 %", "clipped same", "anchor 2.1"] {
        assert!(line.contains(short), "{line}");
    }
}

#[test]
fn all_figures_lie_in_a_sheet_with_the_baseline_named() {
    let ferry = Ferry::new();
    let mut window = window(ferry.bench(), [1280.0, 800.0], 1.0);
    window.key_press_modifiers(Modifiers::SHIFT, Key::Q);
    window.run_steps(2);
    let bench = &window.state().0;
    let running = bench.verdicts.running.clone().unwrap();
    assert_eq!((running.extent, bench.sheet.clone()), (Extent::All, Some(Sheet::Verdict)));
    let row = |title: &str, unit: &str, cells: [(&str, bool); 2]| Row {
        title: title.to_string(),
        unit: unit.to_string(),
        cells: cells.into_iter().map(|(text, same)| figure("", text, same)).collect(),
    };
    let figures = Figures {
        stands: vec![bench.stand(&bench.wall.tiles[0]).unwrap()],
        head: vec!["galley.0001.dpx".to_string(), "baseline: exposure -1.00 stops".to_string()],
        columns: ["baseline", "light-first"].map(|name| (name.to_string(), String::new())).into(),
        rows: vec![
            row("grey drift", "Delta E at stop", [("0.31 at -1.0", true), ("1.90 at +2.0", false)]),
            row("as a CLF", "Delta E, 95th", [("0.01", true), ("0.75", false)]),
        ],
    };
    apply(&mut window, Action::Verdict(OnVerdict::Figures(running.number, Ok(figures))));
    apply(&mut window, Action::Verdict(OnVerdict::Done(running.number)));
    let found = words(&window);
    for word in ["baseline", "light-first", "grey drift, Delta E at stop", "same", "1.90 at +2.0", "0.75"] {
        assert!(found.lines().any(|line| line == word), "{word}: {found}");
    }
    assert!(found.contains("baseline: exposure -1.00 stops") && !found.contains("0.31 at"));
    window.get_by_label("measure again").click();
    window.run_steps(2);
    window.get_by_label("stop").click();
    window.run_steps(2);
    assert!(window.state().0.verdicts.running.is_none());
    apply(&mut window, Action::Edit(exposure("2")));
    assert!(words(&window).contains("as of before"));
}

fn checked(candidate: &str, departs: usize) -> OfPicture {
    let checked = Checked { pixels: 1024, codes: 3.2, at: [120, 80], departs };
    let (shot, candidate) = ("deck_010".to_string(), candidate.to_string());
    OfPicture { shot, candidate, frame: 1, checked: Ok(checked), seconds: Some(0.0021) }
}

#[test]
fn one_word_says_that_the_device_keeps_to_the_proof_and_speaks_up_where_it_does_not() {
    let ferry = Ferry::new();
    let mut window = window(ferry.bench(), [1600.0, 1000.0], 1.0);
    let numbers: Vec<u64> = window.state().0.wall.tiles.iter().map(|tile| tile.number).collect();
    apply(&mut window, Action::Trust(OnTrust::Checked(numbers[0], checked("light-first", 0))));
    assert!(!words(&window).contains("proof"), "one of two is not all");
    apply(&mut window, Action::Trust(OnTrust::Checked(numbers[1], checked("white-first", 0))));
    let found = words(&window);
    assert!(found.lines().any(|line| line == "proof ok") && found.lines().any(|line| line == "2.1 ms"), "{found}");

    apply(&mut window, Action::Trust(OnTrust::Checked(numbers[1], checked("white-first", 7))));
    assert!(!words(&window).contains("proof ok"));
    window.get_by_label("proof: 3 codes off at 120,80 in white-first").click();
    window.run_steps(2);
    assert_eq!(window.state().0.sheet, Some(Sheet::Trust));
}

#[test]
fn the_active_picture_is_asked_for_by_the_proof_and_says_so() {
    let ferry = Ferry::new();
    let mut window = window(ferry.bench(), [1600.0, 1000.0], 1.0);
    let number = window.state().0.wall.tiles[0].number;
    apply(&mut window, Action::Trust(OnTrust::ByProof(Some(number))));
    apply(&mut window, Action::Trust(OnTrust::Proving(number, Some([270, 540]))));
    assert!(words(&window).contains("proving, 50 %; Escape ends it"));
    apply(&mut window, Action::Trust(OnTrust::Proving(number, None)));
    assert!(words(&window).lines().any(|line| line == "by the proof"));
    window.key_press(Key::Escape);
    window.run_steps(2);
    assert!(!words(&window).contains("by the proof"));
    apply(&mut window, Action::Trust(OnTrust::NotProved("bands are none".to_string())));
    assert!(words(&window).contains("bands are none"));
}
