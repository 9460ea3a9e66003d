//! Every edit can be taken back exactly; a refused one changes nothing and says why.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use std::collections::BTreeSet;

use graph::{Document, Edit, Input, LayerAt, Place, Shot, Spot, Wiring, chain};
use ops::Op;
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use tests::edits::{document, edit};

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_edit_is_undone_and_redone_and_a_refused_one_changes_nothing(edits in proptest::collection::vec(edit(), 1..24)) {
        let start = document();
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
                    let checked = document.check();
                    prop_assert!(checked.is_ok(), "{:?} left a document that does not load: {:?}", edit, checked);
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
            prop_assert_eq!(document.to_json().unwrap(), wanted.to_json().unwrap());
        }
        prop_assert_eq!(&document, &start);
        for (forth, wanted) in redo.iter().rev().zip(states.iter().skip(1).chain([&end])) {
            document.apply(forth).expect("a redo is never refused");
            prop_assert_eq!(document.to_json().unwrap(), wanted.to_json().unwrap());
        }
        prop_assert_eq!(&document, &end);
    }

    #[test]
    fn every_document_that_edits_make_survives_saving_and_resolves(edits in proptest::collection::vec(edit(), 1..24)) {
        let mut document = document();
        for edit in &edits {
            let _ = document.apply(edit);
        }
        prop_assert_eq!(&Document::from_json(&document.to_json().unwrap()).unwrap(), &document);
        for shot in document.shots.keys().map(|shot| Some(shot.as_str())).chain([None]) {
            prop_assert!(document.resolve(shot, None).is_ok());
        }
    }

    #[test]
    fn a_locked_shot_stays_as_it_is(edits in proptest::collection::vec(edit(), 1..24)) {
        let mut document = document();
        for edit in &edits {
            let mut tried = document.clone();
            if tried.apply(edit).is_err() {
                continue;
            }
            for (name, before) in document.shots.iter().filter(|(_, shot)| shot.locked) {
                let Some(now) = tried.shots.get(name) else {
                    prop_assert!(unlocks(edit, name), "{edit:?} took away the locked shot {name}");
                    continue;
                };
                prop_assert!(
                    now == before || reaches_all(edit) || unlocks(edit, name),
                    "{edit:?} changed the locked shot {name}"
                );
            }
            document = tried;
        }
    }
}

/// Whether an edit is one of the kit or of a candidate that every shot follows: names and copies.
fn reaches_all(edit: &Edit) -> bool {
    match edit {
        Edit::RenameCandidate { .. } | Edit::Detach { .. } | Edit::RemoveMember { .. } => true,
        Edit::Many(edits) => edits.iter().any(reaches_all),
        _ => false,
    }
}

/// Whether an edit unlocks a shot, alone or among others.
fn unlocks(edit: &Edit, name: &str) -> bool {
    match edit {
        Edit::SetLock { shot, locked: false } => shot == name,
        Edit::Many(edits) => edits.iter().any(|edit| unlocks(edit, name)),
        _ => false,
    }
}

#[test]
fn the_random_edits_reach_every_kind_applied_and_refused() {
    let mut runner = TestRunner::deterministic();
    let mut document = document();
    let kind = |edit: &Edit| -> String { format!("{edit:?}").chars().take_while(char::is_ascii_alphabetic).collect() };
    let (mut applied, mut refused) = (BTreeSet::new(), BTreeSet::new());
    for round in 0..8000 {
        if round % 50 == 0 {
            document = tests::edits::document();
        }
        let edit = edit().new_tree(&mut runner).unwrap().current();
        let set = if document.apply(&edit).is_ok() { &mut applied } else { &mut refused };
        set.insert(kind(&edit));
    }
    // All but RestoreMember, which only an undo makes.
    assert_eq!(applied.len(), 26, "{applied:?}");
    assert_eq!(refused, applied);
}

// ---- orders of places

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
    let start =
        chain::parse("input-transform encoding=LogC3 | exposure | white-balance | output-transform rendering=plain")
            .unwrap();
    let mut document = start.clone();
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
    assert_eq!(document, start);
}

// ---- edits of candidates

fn member(document: &Document, candidate: &str, at: usize) -> String {
    document.candidates[candidate].graph()[petgraph::stable_graph::NodeIndex::new(at)].member.clone()
}

#[test]
fn a_branch_is_one_edit() {
    let mut document = document();
    let before = document.candidates["chain"].clone();
    let join = Spot::After(2.into());
    let (place, mix) = (Place::of("exposure"), Place::of("mix"));
    let edit = Edit::Branch { candidate: "chain".into(), place, from: Some(0.into()), mix, join };
    let undo = document.apply(&edit).unwrap();
    let wiring = &document.candidates["chain"];
    let mix = wiring.in_order().unwrap().into_iter().find(|&at| wiring.graph()[at].member == "mix").unwrap();
    let side = wiring.feeds(mix, Input::Side).unwrap();
    assert_eq!((wiring.graph()[side].member.as_str(), wiring.before(side)), ("exposure", Some(0.into())));
    assert_eq!(wiring.before(mix), Some(2.into()));
    document.apply(&undo).unwrap();
    assert_eq!(document.candidates["chain"], before);
}

#[test]
fn a_detached_place_has_settings_and_numbers_of_its_own_and_no_shot_changes() {
    let mut document = document();
    let before = document.clone();
    let undo = document.apply(&Edit::Detach { candidate: "other".into(), at: 1.into() }).unwrap();
    assert_eq!(member(&document, "other", 1), "exposure-2");
    assert_eq!(member(&document, "chain", 1), "exposure");
    for shot in [None, Some("deck_010"), Some("deck_020"), Some("galley_010")] {
        let (now, then) = (document.resolve(shot, None).unwrap(), before.resolve(shot, None).unwrap());
        assert_eq!(now["exposure-2"], then["exposure"], "{shot:?}");
        assert_eq!(now["exposure"], then["exposure"], "{shot:?}");
    }
    // What is set now changes the one candidate alone.
    let set = Edit::Set { member: "exposure-2".into(), key: "stops".into(), value: "2".into() };
    let unset = document.apply(&set).unwrap();
    assert_eq!(document.kit["exposure"], before.kit["exposure"]);
    document.apply(&unset).unwrap();
    // A copy of a copy counts on from the first name.
    document.apply(&Edit::CopyCandidate { candidate: "other".into(), to: "third".into() }).unwrap();
    let again = document.apply(&Edit::Detach { candidate: "third".into(), at: 1.into() }).unwrap();
    assert_eq!(member(&document, "third", 1), "exposure-3");
    document.apply(&again).unwrap();
    document.apply(&Edit::Rewire { candidate: "third".into(), wiring: None }).unwrap();
    document.apply(&undo).unwrap();
    assert_eq!(document, before);
}

#[test]
fn shots_follow_a_candidate_to_its_new_name() {
    let mut document = document();
    document.apply(&Edit::RenameCandidate { candidate: "other".into(), to: "half a mix".into() }).unwrap();
    assert_eq!(document.shots["deck_020"].candidate.as_deref(), Some("half a mix"));
    assert!(document.check().is_ok());
}

// ---- edits of shots and layers

#[test]
fn many_shots_move_by_one_edit_and_come_back_by_one() {
    let mut document = document();
    let nudge = |shots: &[&str], by: &str| {
        let shots = shots.iter().map(ToString::to_string).collect();
        Edit::Nudge { shots, member: "exposure".into(), field: "stops".into(), by: by.into() }
    };
    let trim = |document: &Document, shot: &str| {
        document.shots[shot].layer.number("exposure", "stops").and_then(|number| number.trim.clone())
    };
    let before = document.clone();
    let undo = document.apply(&nudge(&["deck_010", "galley_010", "deck_010"], "-0.2")).unwrap();
    assert_eq!(trim(&document, "deck_010").as_deref(), Some("0.3"));
    assert_eq!(trim(&document, "galley_010").as_deref(), Some("-0.2"));
    document.apply(&undo).unwrap();
    assert_eq!(document, before);
    // A trim that is nudged away is gone.
    document.apply(&nudge(&["deck_010"], "-0.5")).unwrap();
    assert_eq!(trim(&document, "deck_010"), None);
    document.apply(&nudge(&["deck_010"], "+1/3")).expect_err("a number is wanted");
    // One locked shot among them, or one sum out of range, and none moves.
    let before = document.clone();
    for (edit, wanted) in [
        (nudge(&["deck_010", "deck_020"], "1"), "shot 'deck_020' is locked; unlock it first"),
        (
            nudge(&["deck_010", "galley_010"], "23.9"),
            "shot 'deck_010', exposure, with its layers added up: stops=24.1 is outside -24 to 24",
        ),
    ] {
        assert_eq!(document.apply(&edit).expect_err(wanted).to_string(), wanted);
        assert_eq!(document, before);
    }
}

#[test]
fn many_edits_are_one_or_none() {
    let mut document = document();
    let before = document.clone();
    let base = |value: &str| {
        let layer = LayerAt::Shot("deck_010".into());
        Edit::SetBase { layer, member: "exposure".into(), field: "stops".into(), value: Some(value.into()) }
    };
    let note = Edit::SetNote { shot: "deck_010".into(), note: "wet lens".into() };
    let lock = Edit::SetLock { shot: "deck_010".into(), locked: true };
    for refused in
        [vec![note.clone(), lock.clone(), base("1")], vec![lock.clone(), note.clone()], vec![note.clone(), base("24")]]
    {
        document.apply(&Edit::Many(refused)).unwrap_err();
        assert_eq!(document, before);
    }
    // Out of range on the way, within it at the end.
    let trim = Edit::SetTrim {
        layer: LayerAt::Shot("deck_010".into()),
        member: "exposure".into(),
        field: "stops".into(),
        value: Some("+1e1".into()),
    };
    let undo = document.apply(&Edit::Many(vec![base("20"), trim, note, base("-20"), lock])).unwrap();
    assert_eq!(document.resolve(Some("deck_010"), None).unwrap()["exposure"].get("stops").unwrap(), "-10.05");
    document.apply(&undo).unwrap();
    assert_eq!(document, before);
}

#[test]
fn refusals_of_shots_and_layers_name_what_is_wrong() {
    let mut document = document();
    let before = document.clone();
    let base = |layer, member: &str, field: &str, value: &str| Edit::SetBase {
        layer,
        member: member.into(),
        field: field.into(),
        value: Some(value.into()),
    };
    let trim = |layer, member: &str, field: &str, value: &str| Edit::SetTrim {
        layer,
        member: member.into(),
        field: field.into(),
        value: Some(value.into()),
    };
    let (deck, locked) = (|| LayerAt::SetUp("deck".into()), || LayerAt::Shot("deck_020".into()));
    let shot = |shot: Shot| Edit::PutShot { shot: "new".into(), value: Some(shot) };
    for (edit, wanted) in [
        (base(locked(), "exposure", "stops", "1"), "shot 'deck_020' is locked; unlock it first"),
        (Edit::SetNote { shot: "deck_020".into(), note: String::new() }, "shot 'deck_020' is locked"),
        (Edit::PutShot { shot: "deck_020".into(), value: None }, "shot 'deck_020' is locked"),
        (Edit::SetNote { shot: "x".into(), note: String::new() }, "there is no shot 'x'"),
        (base(LayerAt::SetUp("x".into()), "exposure", "stops", "1"), "there is no set-up 'x'"),
        (base(deck(), "nobody", "stops", "1"), "'nobody' is not in the kit"),
        (base(deck(), "exposure", "gain", "1"), "there is no setting 'gain'; there are stops"),
        (base(deck(), "exposure", "stops", "much"), "set-up 'deck', exposure: stops=much: a number is wanted"),
        (base(LayerAt::Scene, "exposure", "stops", "99"), "the scene, exposure: stops=99 is outside -24 to 24"),
        (base(LayerAt::Scene, "input-transform", "ei", "800"), "what a file holds is said of the shot itself"),
        (trim(deck(), "white-balance", "method", "CAT16"), "takes no trim; set it instead"),
        (
            trim(deck(), "white-balance", "from", "12"),
            "set-up 'deck', white-balance: trim 12 of from: a trim of a white",
        ),
        (trim(deck(), "white-balance", "from", "-500m"), "shot 'deck_010', white-balance, with its layers added up"),
        (Edit::PutSetUp { set_up: "deck".into(), value: None }, "shot 'deck_010' belongs to set-up 'deck'"),
        (Edit::Rewire { candidate: "other".into(), wiring: None }, "shot 'deck_020' has chosen candidate 'other'"),
        (Edit::Choose { shot: "deck_010".into(), candidate: Some("x".into()) }, "there is no candidate 'x'"),
        (shot(Shot { set_up: Some("x".into()), ..Shot::default() }), "there is no set-up 'x'"),
        (shot(Shot { candidate: Some("x".into()), ..Shot::default() }), "there is no candidate 'x'"),
        (Edit::PutShot { shot: "\"".into(), value: Some(Shot::default()) }, "is no name"),
        (Edit::CopyCandidate { candidate: "chain".into(), to: "other".into() }, "there is a candidate 'other' already"),
        (
            Edit::Detach { candidate: "chain".into(), at: 3.into() },
            "place 3 of candidate 'chain' has 'output-transform' for",
        ),
        (
            Edit::Branch {
                candidate: "chain".into(),
                place: Place::of("exposure"),
                from: None,
                mix: Place::of("exposure"),
                join: Spot::First,
            },
            "'exposure' is no mix",
        ),
    ] {
        let error = document.apply(&edit).expect_err(wanted).to_string();
        assert!(error.contains(wanted), "{edit:?}: {error}");
        assert_eq!(document, before);
    }
}
