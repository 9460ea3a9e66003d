//! Documents keep what they are told, refuse what they cannot mean, and every edit can be taken back.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use graph::{Document, DocumentError, Edit, Input, Place, SCHEMA_VERSION, Spot, Wiring, WiringError, chain};
use ops::{Domain, Op};
use proptest::prelude::*;

const MAIN: &str = "input-transform encoding=LogC3 ei=400 range=legal | exposure stops=0.1 domain=camera-linear | \
    white-balance from=3200K+0.004duv to=0.31,0.32 method=CAT16 degree=0.3 bypass=true | \
    output-transform display=PQ peak=1000.5 black=0.005";

fn main_chain() -> Document {
    chain::parse(MAIN).unwrap()
}

fn refused(json: &str) -> String {
    Document::from_json(json).expect_err(json).to_string()
}

// ---- the written form

#[test]
fn a_document_comes_back_from_json_as_it_was() {
    let mut document = main_chain();
    let other = chain::parse("exposure stops=-1").unwrap().candidates[chain::CANDIDATE].clone();
    document.candidates.insert("another".to_string(), other);
    let json = document.to_json().unwrap();
    assert_eq!(Document::from_json(&json).unwrap(), document);
    assert_eq!(Document::from_json(&json).unwrap().to_json().unwrap(), json, "writing is deterministic");
    assert!(json.contains("\"schema_version\": 1"));
}

#[test]
fn a_hole_in_the_indices_survives() {
    // Undo names places by index, so an index must not move when a project is saved and loaded.
    let mut document = main_chain();
    let places: Vec<_> = document.candidates[chain::CANDIDATE].graph().node_indices().collect();
    document.apply(&Edit::Remove { candidate: chain::CANDIDATE.to_string(), at: places[1] }).unwrap();
    let back = Document::from_json(&document.to_json().unwrap()).unwrap();
    assert_eq!(back, document);
    let kept: Vec<_> = back.candidates[chain::CANDIDATE].graph().node_indices().collect();
    assert_eq!(kept, [places[0], places[2], places[3]]);
}

#[test]
fn a_newer_document_is_refused() {
    let json = main_chain().to_json().unwrap();
    let newer = json.replace("\"schema_version\": 1", &format!("\"schema_version\": {}", SCHEMA_VERSION + 1));
    assert!(matches!(Document::from_json(&newer), Err(DocumentError::Newer { found }) if found == SCHEMA_VERSION + 1));
    assert!(refused(&newer).contains("newer Greywright"));
    // Even where nothing else of it can be read.
    assert!(refused(r#"{ "schema_version": 7, "rooms": [] }"#).contains("version 7"));
    assert!(refused(&json.replace("\"schema_version\": 1,", "")).contains("schema_version"));
}

#[test]
fn unknown_fields_are_refused_on_every_level() {
    let json = main_chain().to_json().unwrap();
    for (before, after) in [
        ("\"schema_version\": 1,", "\"schema_version\": 1, \"colour\": 1,"),
        ("\"stops\": 0.1", "\"stops\": 0.1, \"gain\": 1"),
    ] {
        assert!(json.contains(before), "{before} in {json}");
        let error = refused(&json.replacen(before, after, 1));
        assert!(error.contains("unknown field"), "{after}: {error}");
    }
    let error = refused(&json.replacen("\"exposure domain=camera-linear\"", "\"exposure shade=1\"", 1));
    assert!(error.contains("'shade' is not known"), "{error}");
    assert!(refused(&json.replace("\"operation\": \"exposure\"", "\"operation\": \"expose\"")).contains("expose"));
}

#[test]
fn hard_ranges_hold_on_loading() {
    let json = main_chain().to_json().unwrap();
    for (before, after, wanted) in [
        ("\"stops\": 0.1", "\"stops\": 24.5", "kit member 'exposure': stops=24.5 is outside -24 to 24"),
        ("\"degree\": 0.3", "\"degree\": -0.001", "kit member 'white-balance': degree=-0.001 is outside 0 to 1"),
        ("\"peak\": 1000.5", "\"peak\": 10001.0", "peak=10001 is outside 1 to 10000"),
        ("\"ei\": 400", "\"ei\": 7", "ei=7 is outside 50 to 25600"),
        ("\"stops\": 0.1", "\"stops\": 1e999", "not a Greywright document"),
        ("\"3200K+0.004duv\"", "\"3200K+0.4duv\"", "0.05"),
        ("\"display\": \"PQ\"", "\"display\": \"PX\"", "PX"),
    ] {
        assert!(json.contains(before), "{before} in {json}");
        let error = refused(&json.replace(before, after));
        assert!(error.contains(wanted), "{after}: {error}");
    }
}

#[test]
fn wirings_without_meaning_are_refused_on_loading() {
    let json = main_chain().to_json().unwrap();
    let lost = refused(&json.replace("\"exposure domain", "\"exposure-9 domain"));
    assert_eq!(lost, "candidate 'chain' uses 'exposure-9', which is not in the kit");
    let places = |altered: &str| {
        let json = json.replacen("\"exposure domain=camera-linear\"", altered, 1);
        Document::from_json(&json).expect_err(altered)
    };
    for circle in ["\"exposure from=3\"", "\"exposure from=1\""] {
        assert!(matches!(places(circle), DocumentError::Wiring { source: WiringError::Cycle { .. }, .. }));
    }
    let ends = places("\"exposure\", \"exposure at=9 from=0\"");
    assert!(ends.to_string().contains("2 ends"), "{ends}");
    assert!(places("\"exposure at=0\"").to_string().contains("place 0 is there already"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_damaged_document_panics(at in 0usize..4000, with in "[\\PC]{0,3}", cut in 0usize..8) {
        let json = main_chain().to_json().unwrap();
        let at = (0..=at % json.len()).rev().find(|&at| json.is_char_boundary(at)).unwrap();
        let end = (at + cut).min(json.len());
        let damaged = format!("{}{with}{}", &json[..at], json.get(end..).unwrap_or_default());
        if let Ok(document) = Document::from_json(&damaged) {
            prop_assert!(document.check().is_ok());
        }
    }

    #[test]
    fn no_chain_panics(text in "[a-z0-9=|\" .+,KLogC-]{0,60}") {
        let _ = chain::parse(&text);
    }
}

// ---- edits

fn member() -> impl Strategy<Value = String> {
    proptest::sample::select(vec![
        "exposure",
        "white-balance",
        "input-transform",
        "output-transform",
        "spare",
        "nobody",
    ])
    .prop_map(str::to_string)
}

fn candidate() -> impl Strategy<Value = String> {
    proptest::sample::select(vec!["chain", "chain", "chain", "other", "none"]).prop_map(str::to_string)
}

fn place() -> impl Strategy<Value = Place> {
    (member(), proptest::option::of(proptest::sample::select(&Domain::ALL[..])), any::<bool>())
        .prop_map(|(member, domain, bypass)| Place { member, domain, bypass })
}

/// A setting and a value, some of them refused.
fn setting() -> impl Strategy<Value = (String, String)> {
    let keys = vec!["stops", "from", "to", "method", "degree", "encoding", "ei", "range", "peak", "black", "nothing"];
    let values = vec![
        "",
        "0",
        "-0",
        "0.1",
        "1e-300",
        "-24",
        "25",
        "1",
        "800",
        "legal",
        "full",
        "CAT02",
        "A",
        "3200K-0.01duv",
        "0.3,0.4",
        "S-Log3",
        "nan",
    ];
    (proptest::sample::select(keys), proptest::sample::select(values)).prop_map(|(k, v)| (k.to_string(), v.to_string()))
}

/// Indices are drawn a little beyond what there is.
fn edit() -> impl Strategy<Value = Edit> {
    let at = || (0u32..7).prop_map(Into::into);
    let spot = || {
        let input = proptest::sample::select(vec![Input::Main, Input::Side]);
        prop_oneof![
            Just(Spot::First),
            (0u32..7).prop_map(|at| Spot::After(at.into())),
            (0u32..7, input).prop_map(|(at, input)| Spot::Into(at.into(), input)),
        ]
    };
    let wiring = proptest::option::of(proptest::collection::vec(place(), 0..4).prop_map(Wiring::linear));
    prop_oneof![
        (member(), proptest::sample::select(Op::all())).prop_map(|(member, op)| Edit::AddMember { member, op }),
        member().prop_map(|member| Edit::RemoveMember { member }),
        (member(), setting()).prop_map(|(member, (key, value))| Edit::Set { member, key, value }),
        (candidate(), place(), spot()).prop_map(|(candidate, place, spot)| Edit::Insert { candidate, place, spot }),
        (candidate(), at()).prop_map(|(candidate, at)| Edit::Remove { candidate, at }),
        (candidate(), at(), spot()).prop_map(|(candidate, at, spot)| Edit::Move { candidate, at, spot }),
        (candidate(), at(), any::<bool>()).prop_map(|(candidate, at, bypass)| Edit::Bypass { candidate, at, bypass }),
        (candidate(), at(), proptest::option::of(proptest::sample::select(&Domain::ALL[..])))
            .prop_map(|(candidate, at, domain)| Edit::SetDomain { candidate, at, domain }),
        (candidate(), wiring).prop_map(|(candidate, wiring)| Edit::Rewire { candidate, wiring }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_edit_is_undone_and_redone_and_a_refused_one_changes_nothing(edits in proptest::collection::vec(edit(), 1..24)) {
        let start = main_chain();
        let mut document = start.clone();
        let mut undo = Vec::new();
        let mut states = Vec::new();
        for edit in &edits {
            let before = document.clone();
            match document.apply(edit) {
                Err(error) => {
                    prop_assert_eq!(&document, &before, "{:?} was refused ({}) and yet changed something", edit, error);
                    prop_assert!(!error.to_string().is_empty());
                }
                Ok(back) => {
                    prop_assert!(document.check().is_ok(), "{:?} left a document that does not load", edit);
                    undo.push(back);
                    states.push(before);
                }
            }
        }
        let end = document.clone();
        let mut redo = Vec::new();
        for (back, wanted) in undo.iter().zip(&states).rev() {
            redo.push(document.apply(back).expect("an undo is never refused"));
            prop_assert_eq!(&document, wanted, "after undoing by {:?}", back);
        }
        prop_assert_eq!(&document, &start);
        for forth in redo.iter().rev() {
            document.apply(forth).expect("a redo is never refused");
        }
        prop_assert_eq!(&document, &end);
    }

    #[test]
    fn every_document_that_edits_make_survives_saving(edits in proptest::collection::vec(edit(), 1..24)) {
        let mut document = main_chain();
        for edit in &edits {
            let _ = document.apply(edit);
        }
        prop_assert_eq!(Document::from_json(&document.to_json().unwrap()).unwrap(), document);
    }
}

fn order(document: &Document) -> Vec<String> {
    let wiring = &document.candidates[chain::CANDIDATE];
    wiring.in_order().unwrap().into_iter().map(|at| wiring.graph()[at].member.clone()).collect()
}

#[test]
fn places_are_put_moved_and_taken_where_the_edit_says() {
    let mut document = chain::parse("input-transform encoding=LogC3 | exposure | white-balance").unwrap();
    let at: Vec<_> = document.candidates[chain::CANDIDATE].graph().node_indices().collect();
    let candidate = || chain::CANDIDATE.to_string();
    let mut after = |edit: Edit| {
        document.apply(&edit).unwrap();
        order(&document)
    };
    let moved = after(Edit::Move { candidate: candidate(), at: at[2], spot: Spot::After(at[0]) });
    assert_eq!(moved, ["input-transform", "white-balance", "exposure"]);
    assert_eq!(after(Edit::Move { candidate: candidate(), at: at[1], spot: Spot::First })[0], "exposure");
    let put = after(Edit::Insert { candidate: candidate(), place: Place::of("exposure"), spot: Spot::After(at[2]) });
    assert_eq!(put, ["exposure", "input-transform", "white-balance", "exposure"]);
    let put = after(Edit::Insert { candidate: candidate(), place: Place::of("white-balance"), spot: Spot::First });
    assert_eq!(put, ["white-balance", "exposure", "input-transform", "white-balance", "exposure"]);
    assert_eq!(after(Edit::Remove { candidate: candidate(), at: at[0] }).len(), 4);
}

#[test]
fn refusals_name_what_is_wrong() {
    let mut document = main_chain();
    let candidate = || chain::CANDIDATE.to_string();
    let places: Vec<_> = document.candidates[chain::CANDIDATE].graph().node_indices().collect();
    let set = |key: &str, value: &str| Edit::Set { member: "exposure".into(), key: key.into(), value: value.into() };
    for (edit, wanted) in [
        (Edit::RemoveMember { member: "exposure".into() }, "'exposure' is used by candidate 'chain'"),
        (Edit::RemoveMember { member: "nobody".into() }, "'nobody' is not in the kit"),
        (Edit::AddMember { member: "exposure".into(), op: Op::all()[0].clone() }, "in the kit already"),
        (set("stops", "25"), "exposure: stops=25 is outside -24 to 24"),
        (set("stop", "1"), "there is no setting 'stop'; there are stops"),
        (Edit::Remove { candidate: candidate(), at: 99.into() }, "candidate 'chain' has no place 99"),
        (Edit::Remove { candidate: "b".into(), at: 0.into() }, "there is no candidate 'b'"),
        (Edit::Move { candidate: candidate(), at: places[1], spot: Spot::After(places[1]) }, "behind or into itself"),
        (Edit::Insert { candidate: candidate(), place: Place::of("x"), spot: Spot::First }, "'x' is not in the kit"),
        (
            Edit::Rewire { candidate: candidate(), wiring: Some(Wiring::linear([Place::of("x")])) },
            "'x' is not in the kit",
        ),
        (Edit::Rewire { candidate: "b".into(), wiring: None }, "there is no candidate 'b'"),
    ] {
        let error = document.apply(&edit).expect_err(wanted).to_string();
        assert!(error.contains(wanted), "{edit:?}: {error}");
    }
    assert_eq!(document, main_chain());
}

// ---- chains

#[test]
fn a_chain_that_cannot_be_read_says_where_and_what() {
    for (text, wanted) in [
        ("|", "operation 1 of the chain is empty; take away a '|'"),
        ("exposure stops=1 || white-balance", "operation 2 of the chain is empty; take away a '|'"),
        ("exposure | sharpen", "operation 2 of the chain: there is no 'sharpen'; there are exposure, white-balance"),
        ("Exposure", "there is no 'Exposure'"),
        ("exposure =1", "there is no setting ''"),
        ("exposure stops=", "operation 1 of the chain, exposure: stops=: a number is wanted"),
        ("exposure stops=inf", "a finite number is wanted"),
        ("exposure stops=nan", "a finite number is wanted"),
        ("exposure stops=-24.001", "stops=-24.001 is outside -24 to 24"),
        ("exposure domain=log domain=log", "domain is given twice"),
        ("exposure domain=Log", "'Log' is no domain; there are camera, camera-linear, scene, log, display, as-given"),
        ("exposure bypass=yes", "bypass=yes: true or false is wanted"),
        ("white-balance from=900K", "1000 to 100000"),
        ("white-balance from=D66", "D65"),
        ("white-balance method=Bredford", "one of Bradford, CAT02, CAT16, von-Kries, XYZ-scaling is wanted"),
        ("white-balance degree=1.1", "degree=1.1 is outside 0 to 1"),
        ("input-transform ei=800.5", "a whole number is wanted"),
        ("input-transform range=video", "full or legal is wanted"),
        ("output-transform display=CRT", "one of BT.1886, sRGB, Gamma2.2, P3-D65, BT.2020, PQ, HLG is wanted"),
        ("output-transform rendering=nice", "plain is wanted"),
        ("input-transform encoding=\"LogC3", "a quotation mark is not closed"),
    ] {
        let error = chain::parse(text).expect_err(text).to_string();
        assert!(error.contains(wanted), "{text}: {error}");
    }
}

#[test]
fn quotation_marks_keep_words_together() {
    let document = chain::parse("input-transform \"encoding=S-Log 3\" | white-balance method=\"von Kries\"").unwrap();
    assert_eq!(document.kit["input-transform"].get("encoding").unwrap(), "S-Log 3");
    assert_eq!(document.kit["white-balance"].get("method").unwrap(), "von Kries");
    // A bar inside them is no end of an operation.
    let document = chain::parse("input-transform encoding=\"my|camera\"").unwrap();
    assert_eq!(document.kit["input-transform"].get("encoding").unwrap(), "my|camera");
}
