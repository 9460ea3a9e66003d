//! What holds for every comparison. The figures themselves are held against outside ones by `tests/tests/compare_program.rs`.

use std::cell::RefCell;
use std::path::PathBuf;

use colour::Encoding;
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use graph::Original;
use measure::scopes::Region;
use measure::verdict::distance::Divisors;
use ops::Book;

use super::anchor::{Anchor, Places};
use super::*;

const SIZE: Size = Size { width: 8, height: 4 };

/// A mid grey card at the left, a lamp at the right: codes 400 and 900 of ten bits.
///
/// # Source
/// ARRI LogC curve, usage in VFX (LogC3, EI 800): 18 % grey is signal 0.391, which is code 400.
fn frame() -> Frame {
    let half = |code: f32| vec![[code / 1023.0, code / 1023.0, code / 1023.0, 1.0]; 4];
    let pixels: Vec<[f32; 4]> = (0..4).flat_map(|_| [half(400.0), half(900.0)].concat()).collect();
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    Frame::from_pixels(&pixels, SIZE, layout, Range::Full)
}

fn subject(name: &str, chain: &str) -> Subject {
    let document = graph::chain::parse(chain).unwrap();
    let original = Original::Encoded(Encoding::named("LogC3", None).unwrap());
    let wiring = &document.candidates[graph::chain::CANDIDATE];
    let elaborated = graph::elaborate(wiring, &document.kit, &original, None, &Book::default()).unwrap();
    Subject { name: name.to_string(), order: chain.to_string(), elaborated }
}

fn gathered() -> Gathered {
    let output = "input-transform | exposure stops=STOPS | output-transform rendering=plain";
    let subjects = [("as exposed", "0"), ("lifted", "1")];
    let subjects = subjects.map(|(name, stops)| subject(name, &output.replace("STOPS", stops)));
    let whole = Region::whole(SIZE).unwrap();
    Gathered::new((PathBuf::from("a/a.0007.dpx"), 7, Some("a")), frame(), whole, subjects.into()).unwrap()
}

fn card() -> Told {
    Told { grey: Some(Marked::new("the card", [0, 0, 4, 4])), ..Told::default() }
}

fn compared(gathered: &Gathered, told: &Told, anchor: Option<Anchor>, extent: Extent) -> Comparison {
    let evidence = evidence::gather(told, gathered, &|_| {}).unwrap();
    compare(gathered, evidence, anchor, (extent, None), &()).unwrap()
}

#[test]
fn a_card_makes_grey_known_and_brings_a_baseline() {
    let gathered = gathered();
    assert!(gathered.what.starts_with("a.0007.dpx, shot a: 8x4"), "{}", gathered.what);
    let unknown = compared(&gathered, &Told { remedy: "mark one", ..Told::default() }, None, Extent::Tile);
    assert!(unknown.baseline.is_none() && unknown.candidates.iter().all(|row| row.drift.is_none()));
    assert_eq!(unknown.evidence.grey_in_words, "no grey known; mark one");
    let known = compared(&gathered, &card(), None, Extent::Tile);
    let [exposed, lifted] = &known.candidates[..] else { panic!("two candidates") };
    // The card is neutral to begin with.
    assert!(exposed.drift.as_ref().unwrap().worst.unwrap().delta_e.unwrap() < 0.01);
    // A stop on linear light is a stop, within half a code of the card.
    let change = |row: &Measured| row.change_stops.unwrap();
    assert!((change(lifted) - change(exposed) - 1.0).abs() < 1e-6);
    assert!(known.yardstick().unwrap().name == "baseline");
    assert!(figures::same(exposed, &known).grey_drift);
}

#[test]
fn the_line_under_a_tile_has_the_figures_of_the_whole_table() {
    let gathered = gathered();
    let [all, tile] = [Extent::All, Extent::Tile].map(|extent| compared(&gathered, &card(), None, extent));
    for (all, tile) in all.candidates.iter().zip(&tile.candidates) {
        assert_eq!((&all.drift, all.black, all.shares), (&tile.drift, tile.black, tile.shares));
        assert_eq!(all.hues.as_ref().map(|of| of.count()), tile.hues.as_ref().map(|of| of.count()));
        assert!(all.travel.cube.is_some() && tile.travel.cube.is_none());
    }
}

#[test]
fn an_anchor_is_as_far_as_it_was_moved() {
    let gathered = gathered();
    let whole = gathered.region;
    let mut anchor = Anchor::new("the same shot".to_string(), Divisors::default());
    let card_there = Region::new(0, 0, 4, 4, SIZE);
    let places = Places { region: whole, card: card_there, surfaces: Vec::new() };
    anchor.add(&gathered.subjects[0].elaborated, &gathered.frame, &places, None).unwrap();
    let found = compared(&gathered, &card(), Some(anchor), Extent::Tile);
    let stops = |at: usize| found.candidates[at].distance.unwrap().stops;
    assert!(found.anchor.unwrap().remedy.is_none());
    assert!(stops(0).abs() < 1e-6 && (stops(1) - 1.0).abs() < 1e-3, "{} {}", stops(0), stops(1));
}

#[test]
fn an_anchor_on_another_display_is_no_distance_or_a_fault_with_a_remedy() {
    let gathered = gathered();
    let other = subject("other", "input-transform | output-transform display=sRGB rendering=plain");
    let compared = |remedy: Option<&'static str>| {
        let mut anchor = Anchor::new("another".to_string(), Divisors::default());
        anchor.remedy = remedy;
        let places = Places { region: gathered.region, card: None, surfaces: Vec::new() };
        anchor.add(&other.elaborated, &gathered.frame, &places, None).unwrap();
        let evidence = evidence::gather(&card(), &gathered, &|_| {}).unwrap();
        compare(&gathered, evidence, Some(anchor), (Extent::Tile, None), &())
    };
    assert!(compared(None).unwrap().candidates.iter().all(|row| row.distance.is_none()));
    let words = compared(Some("show both on one")).map(|_| ()).unwrap_err().to_string();
    assert!(words.contains("sRGB") && words.ends_with("show both on one"), "{words}");
}

#[test]
fn it_says_how_far_it_is_and_ends_when_it_shall() {
    struct Count(RefCell<Vec<[usize; 2]>>, usize);
    impl Watch for Count {
        fn begins(&self, _: &str, done: usize, of: usize) {
            self.0.borrow_mut().push([done, of]);
        }
        fn stop(&self) -> bool {
            self.0.borrow().len() == self.1
        }
    }
    let gathered = gathered();
    let run = |most: usize| {
        let watch = Count(RefCell::default(), most);
        let evidence = evidence::gather(&card(), &gathered, &|_| {}).unwrap();
        let done = compare(&gathered, evidence, None, (Extent::All, None), &watch).map(|_| ());
        (done, watch.0.into_inner())
    };
    let (done, parts) = run(usize::MAX);
    assert!(done.is_ok());
    // The baseline and two candidates, three parts each.
    assert_eq!(parts, (0..9).map(|at| [at, 9]).collect::<Vec<_>>());
    let (done, parts) = run(4);
    assert!(done.is_err_and(|fault| fault.to_string() == "stopped"));
    assert_eq!(parts.len(), 4);
}

#[test]
fn what_was_marked_is_named_where_it_cannot_be() {
    let gathered = gathered();
    let fault = |told: Told| evidence::gather(&told, &gathered, &|_| {}).map(|_| ()).unwrap_err().to_string();
    let outside = Told { grey: Some(Marked::new("probe 1", [90, 0, 4, 4])), ..Told::default() };
    assert!(fault(outside).starts_with("probe 1 90,0,4,4: nothing of it lies in the picture"));
    let truth = Told { truth: Some("nowhere/truth.json".into()), ..Told::default() };
    assert!(fault(truth).contains("truth.json"));
}

#[test]
fn figures_have_names_to_be_typed() {
    let names: std::collections::BTreeSet<&str> = Figure::ALL.iter().map(|figure| figure.names().0).collect();
    assert_eq!(names.len(), Figure::ALL.len());
    assert!(names.contains("grey-drift") && names.contains("largest-step"));
}
