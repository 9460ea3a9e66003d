//! A document with everything in it, and random edits of it, some of them refused: for every suite that takes edits back.

use std::collections::BTreeMap;

use graph::{Document, Edit, Input, Layer, LayerAt, Number, Place, SetUp, Shot, Spot, State, Wiring};
use ops::{Domain, Op};
use proptest::prelude::*;
use proptest::sample::select;

/// Two candidates with a siding in one of them, numbers in all layers, marks, and a locked shot.
pub fn document() -> Document {
    serde_json::from_str(DOCUMENT).unwrap_or_else(|error| panic!("the document of the tests: {error}"))
}

const DOCUMENT: &str = r#"{
  "schema_version": 1,
  "kit": {
    "input-transform": { "operation": "input-transform" },
    "exposure": { "operation": "exposure", "stops": 0.1 },
    "white-balance": { "operation": "white-balance", "from": "3200K+0.004duv", "method": "cat16" },
    "output-transform": { "operation": "output-transform", "display": "PQ", "peak": 1000.5 },
    "mix": { "operation": "mix", "share": 0.5 }
  },
  "candidates": {
    "chain": ["input-transform", "exposure domain=camera-linear", "white-balance", "output-transform"],
    "other": ["input-transform", "exposure", "white-balance from=0", "mix from=1 side=2"]
  },
  "scene": { "exposure": { "stops": { "base": "0.25", "trim": "-0.05" } } },
  "set_ups": {
    "deck": { "note": "sodium light", "layer": { "white-balance": { "from": { "base": "2100K" } } } },
    "galley": {}
  },
  "shots": {
    "deck_010": {
      "media": "deck_010/", "set_up": "deck", "encoding": "S-Log3", "state": "balanced",
      "layer": {
        "exposure": { "stops": { "trim": "+0.5" } },
        "white-balance": { "from": { "trim": "+12m" }, "degree": { "marks": { "1001": "0.5", "1020": "1" } } }
      }
    },
    "deck_020": {
      "media": "deck_020/", "set_up": "deck", "encoding": "LogC3", "exposure_index": 1600, "locked": true, "candidate": "other",
      "layer": { "exposure": { "stops": { "base": "1", "trim": "-0.1" } } }
    },
    "galley_010": { "media": "galley_010/", "range": "legal", "camera_white": "5600K", "measuring_region": [0, 12, 640, 336] }
  }
}"#;

fn name(names: &'static [&'static str]) -> impl Strategy<Value = String> {
    select(names).prop_map(str::to_string)
}

fn member() -> impl Strategy<Value = String> {
    name(&["exposure", "white-balance", "input-transform", "output-transform", "mix", "spare", "nobody", "a \" b"])
}

fn candidate() -> impl Strategy<Value = String> {
    name(&["chain", "chain", "chain", "other", "third", "none", ""])
}

fn shot() -> impl Strategy<Value = String> {
    name(&["deck_010", "deck_010", "deck_020", "galley_010", "galley_020", "nobody"])
}

fn set_up() -> impl Strategy<Value = String> {
    name(&["deck", "galley", "wheelhouse", "\n"])
}

fn place() -> impl Strategy<Value = Place> {
    (member(), proptest::option::of(select(&Domain::ALL[..])), any::<bool>())
        .prop_map(|(member, domain, bypass)| Place { member, domain, bypass })
}

/// An index a little beyond what there is.
fn at() -> impl Strategy<Value = petgraph::stable_graph::NodeIndex> {
    (0u32..7).prop_map(Into::into)
}

fn spot() -> impl Strategy<Value = Spot> {
    let input = select(vec![Input::Main, Input::Side]);
    prop_oneof![
        Just(Spot::First),
        at().prop_map(Spot::After),
        (at(), input).prop_map(|(at, input)| Spot::Into(at, input))
    ]
}

fn wiring() -> impl Strategy<Value = Wiring> {
    proptest::collection::vec(place(), 0..4).prop_map(Wiring::linear)
}

fn key() -> impl Strategy<Value = String> {
    name(&[
        "stops", "stops", "from", "from", "to", "method", "degree", "degree", "share", "encoding", "ei", "range",
        "peak", "black", "nothing",
    ])
}

/// A member and one of its settings, as a rule.
fn field() -> impl Strategy<Value = (String, String)> {
    let fitting =
        [("exposure", "stops"), ("white-balance", "from"), ("white-balance", "degree"), ("output-transform", "peak")];
    let fitting = select(fitting.map(|(member, key)| (member.to_string(), key.to_string())).to_vec());
    prop_oneof![4 => fitting, 1 => (member(), key())]
}

fn value() -> impl Strategy<Value = String> {
    name(&[
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
    ])
}

fn trim() -> impl Strategy<Value = String> {
    name(&["0", "+0.1", "-.25", "20", "-20", "+12m", "-30m+.002d", "+.001d", "-12m", "9999m", "much", ""])
}

fn layer_at() -> impl Strategy<Value = LayerAt> {
    prop_oneof![1 => Just(LayerAt::Scene), 1 => set_up().prop_map(LayerAt::SetUp), 3 => shot().prop_map(LayerAt::Shot)]
}

fn number() -> impl Strategy<Value = Number> {
    let marks = proptest::collection::btree_map(995i64..1005, value(), 0..3);
    (proptest::option::of(value()), proptest::option::of(trim()), marks).prop_map(|(base, trim, marks)| Number {
        base,
        trim,
        marks,
    })
}

fn layer() -> impl Strategy<Value = Layer> {
    proptest::collection::vec((field(), number()), 0..3).prop_map(|numbers| {
        let mut layer = Layer::default();
        numbers.into_iter().for_each(|((member, field), number)| layer.put(&member, &field, number));
        layer
    })
}

fn whole_shot() -> impl Strategy<Value = Shot> {
    (proptest::option::of(set_up()), proptest::option::of(candidate()), select(&State::ALL[..]), any::<bool>(), layer())
        .prop_map(|(set_up, candidate, state, locked, layer)| Shot {
            media: "a.%04d.dpx".to_string(),
            set_up,
            candidate,
            state,
            locked,
            layer,
            ..Shot::default()
        })
}

fn edit_of_kit() -> BoxedStrategy<Edit> {
    prop_oneof![
        (member(), select(Op::all())).prop_map(|(member, op)| Edit::AddMember { member, op }),
        member().prop_map(|member| Edit::RemoveMember { member }),
        (field(), value()).prop_map(|((member, key), value)| Edit::Set { member, key, value }),
        (member(), key(), value()).prop_map(|(member, key, value)| Edit::Set { member, key, value }),
        (candidate(), at()).prop_map(|(candidate, at)| Edit::Detach { candidate, at }),
    ]
    .boxed()
}

fn edit_of_candidates() -> BoxedStrategy<Edit> {
    let domain = proptest::option::of(select(&Domain::ALL[..]));
    let mix = prop_oneof![3 => Just(Place::of("mix")), 1 => place()];
    prop_oneof![
        (candidate(), place(), spot()).prop_map(|(candidate, place, spot)| Edit::Insert { candidate, place, spot }),
        (candidate(), at()).prop_map(|(candidate, at)| Edit::Remove { candidate, at }),
        (candidate(), at(), spot()).prop_map(|(candidate, at, spot)| Edit::Move { candidate, at, spot }),
        (candidate(), place(), proptest::option::of(at()), mix, spot())
            .prop_map(|(candidate, place, from, mix, join)| Edit::Branch { candidate, place, from, mix, join }),
        (candidate(), at(), any::<bool>()).prop_map(|(candidate, at, bypass)| Edit::Bypass { candidate, at, bypass }),
        (candidate(), at(), domain).prop_map(|(candidate, at, domain)| Edit::SetDomain { candidate, at, domain }),
        (candidate(), wiring()).prop_map(|(candidate, wiring)| Edit::AddCandidate { candidate, wiring }),
        (candidate(), candidate()).prop_map(|(candidate, to)| Edit::CopyCandidate { candidate, to }),
        (candidate(), candidate()).prop_map(|(candidate, to)| Edit::RenameCandidate { candidate, to }),
        (candidate(), proptest::option::of(wiring()))
            .prop_map(|(candidate, wiring)| Edit::Rewire { candidate, wiring }),
    ]
    .boxed()
}

fn edit_of_shots() -> BoxedStrategy<Edit> {
    let whole_set_up = (layer(), name(&["", "fog"])).prop_map(|(layer, note)| SetUp { note, layer });
    let some = proptest::option::of(whole_set_up);
    prop_oneof![
        (set_up(), some).prop_map(|(set_up, value)| Edit::PutSetUp { set_up, value }),
        (shot(), proptest::option::of(whole_shot())).prop_map(|(shot, value)| Edit::PutShot { shot, value }),
        (shot(), select(&State::ALL[..])).prop_map(|(shot, state)| Edit::SetState { shot, state }),
        (shot(), any::<bool>()).prop_map(|(shot, locked)| Edit::SetLock { shot, locked }),
        (shot(), name(&["", "soft focus", "two\nlines"])).prop_map(|(shot, note)| Edit::SetNote { shot, note }),
        (shot(), proptest::option::of(candidate())).prop_map(|(shot, candidate)| Edit::Choose { shot, candidate }),
    ]
    .boxed()
}

fn edit_of_numbers() -> BoxedStrategy<Edit> {
    let shots = proptest::collection::vec(shot(), 0..4);
    prop_oneof![
        (layer_at(), field(), proptest::option::of(value()))
            .prop_map(|(layer, (member, field), value)| Edit::SetBase { layer, member, field, value }),
        (layer_at(), field(), proptest::option::of(trim())).prop_map(|(layer, (member, field), value)| Edit::SetTrim {
            layer,
            member,
            field,
            value
        }),
        (shot(), field(), 998i64..1003, proptest::option::of(value()))
            .prop_map(|(shot, (member, field), frame, value)| Edit::SetMark { shot, member, field, frame, value }),
        (layer_at(), field(), number()).prop_map(|(layer, (member, field), number)| {
            Edit::PutNumbers { layer, member, numbers: BTreeMap::from([(field, number)]) }
        }),
        (shots, field(), trim()).prop_map(|(shots, (member, field), by)| Edit::Nudge { shots, member, field, by }),
    ]
    .boxed()
}

fn single() -> BoxedStrategy<Edit> {
    prop_oneof![1 => edit_of_kit(), 2 => edit_of_candidates(), 1 => edit_of_shots(), 2 => edit_of_numbers()].boxed()
}

/// An edit of [`document`] or of what came of it.
pub fn edit() -> BoxedStrategy<Edit> {
    prop_oneof![8 => single(), 1 => proptest::collection::vec(single(), 0..4).prop_map(Edit::Many)].boxed()
}
