//! What scene, set-up and shot make of a setting, by hand: bases, trims, marks, and refusals by name.
//!
//! The rules of layers are the house's own, so no outside source has figures for them; the sums are worked out here.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use colour::white::White;
use graph::{Document, Edit, LayerAt, Number, SetUp, Shot};
use ops::{Control, Op, Unit};

/// A kit of one exposure and one white balance, and a shot `s` of set-up `u`.
fn document() -> Document {
    let mut document = Document::default();
    for name in ["exposure", "white-balance", "output-transform", "mix"] {
        document.kit.insert(name.to_string(), Op::named(name).unwrap());
    }
    document.set_ups.insert("u".to_string(), SetUp::default());
    document.shots.insert("s".to_string(), Shot { set_up: Some("u".to_string()), ..Shot::default() });
    document
}

fn layers() -> [LayerAt; 3] {
    [LayerAt::Scene, LayerAt::SetUp("u".to_string()), LayerAt::Shot("s".to_string())]
}

fn put(document: &mut Document, layer: &LayerAt, member: &str, field: &str, number: Number) {
    let edit =
        Edit::PutNumbers { layer: layer.clone(), member: member.into(), numbers: [(field.to_string(), number)].into() };
    document.apply(&edit).unwrap();
}

fn number(base: Option<&str>, trim: Option<&str>) -> Number {
    Number { base: base.map(String::from), trim: trim.map(String::from), ..Number::default() }
}

fn resolved(document: &Document, shot: Option<&str>, member: &str, field: &str, frame: Option<i64>) -> String {
    document.resolve(shot, frame).unwrap()[member].get(field).unwrap()
}

#[test]
fn the_most_specific_base_counts_and_all_trims_are_added() {
    let (none, some) = (None::<&str>, Some::<&str>);
    // kit; bases of scene, set-up, shot; their trims; stops of the shot; stops without a shot.
    let table = [
        ("0.5", [none, none, none], [none, none, none], "0.5", "0.5"),
        ("0.5", [some("1"), none, none], [none, none, none], "1", "1"),
        ("0.5", [some("1"), some("-2"), none], [none, none, none], "-2", "1"),
        ("0.5", [some("1"), some("-2"), some("4")], [none, none, none], "4", "1"),
        ("0.5", [some("1"), none, some("0")], [none, none, none], "0", "1"),
        ("0.5", [none, none, none], [some("+0.25"), some("-0.5"), some("+1")], "1.25", "0.75"),
        ("0.5", [none, some("2"), none], [some("+0.25"), none, some("-0.125")], "2.125", "0.75"),
        // The range holds for the sum, and not for what is summed on the way.
        ("20", [none, none, none], [some("+20"), none, some("-20")], "20", "refused"),
    ];
    for (kit, bases, trims, of_shot, of_scene) in table {
        let mut document = document();
        document.kit.get_mut("exposure").unwrap().set("stops", kit).unwrap();
        let numbers = layers().into_iter().zip(bases).zip(trims);
        for ((layer, base), trim) in numbers.filter(|_| of_scene != "refused") {
            put(&mut document, &layer, "exposure", "stops", number(base, trim));
        }
        if of_scene == "refused" {
            document.scene.put("exposure", "stops", number(bases[0], trims[0]));
            document.shots.get_mut("s").unwrap().layer.put("exposure", "stops", number(bases[2], trims[2]));
            let error = document.resolve(None, None).unwrap_err().to_string();
            assert_eq!(error, "the scene, exposure, with its layers added up: stops=40 is outside -24 to 24");
        } else {
            assert_eq!(resolved(&document, None, "exposure", "stops", None), of_scene);
        }
        assert_eq!(resolved(&document, Some("s"), "exposure", "stops", None), of_shot, "{kit} {bases:?} {trims:?}");
    }
}

#[test]
fn what_no_layer_speaks_of_is_the_kit_bit_for_bit() {
    let document = tests::edits::document();
    let kit = document.resolve(Some("deck_010"), Some(1001)).unwrap();
    for member in ["input-transform", "output-transform", "mix"] {
        assert_eq!(kit[member], document.kit[member]);
    }
    assert_eq!(document.resolve(Some("nobody"), None).unwrap_err().to_string(), "there is no shot 'nobody'");
}

#[test]
fn solving_a_base_again_keeps_the_trims() {
    let mut document = document();
    let [scene, set_up, shot] = layers();
    put(&mut document, &scene, "white-balance", "from", number(Some("4000K"), None));
    put(&mut document, &set_up, "white-balance", "from", number(None, Some("+10m")));
    put(&mut document, &shot, "white-balance", "from", number(None, Some("-.002d")));
    let kelvin_and_duv = |document: &Document| {
        let white: White = resolved(document, Some("s"), "white-balance", "from", None).parse().unwrap();
        white.cct_duv().unwrap()
    };
    // 4000 K are 250 mired.
    let (kelvin, duv) = kelvin_and_duv(&document);
    assert!((kelvin - 1e6 / 260.0).abs() < 1e-9 && (duv + 0.002).abs() < 1e-15, "{kelvin} {duv}");
    for (layer, solved, mired, from_locus) in
        [(&scene, "2500K+.001duv", 410.0, -0.001), (&shot, "5000K", 210.0, -0.002)]
    {
        let value = Some(solved.to_string());
        let edit = Edit::SetBase { layer: layer.clone(), member: "white-balance".into(), field: "from".into(), value };
        document.apply(&edit).unwrap();
        let (kelvin, duv) = kelvin_and_duv(&document);
        assert!((kelvin - 1e6 / mired).abs() < 1e-9 && (duv - from_locus).abs() < 1e-15, "{solved}: {kelvin} {duv}");
    }
    assert_eq!(document.set_ups["u"].layer.number("white-balance", "from").unwrap().trim.as_deref(), Some("+10m"));
}

fn mark(document: &mut Document, member: &str, field: &str, marks: &[(i64, &str)]) {
    for (frame, value) in marks {
        let (shot, member, field, value) = ("s".into(), member.into(), field.into(), Some((*value).to_string()));
        document.apply(&Edit::SetMark { shot, member, field, frame: *frame, value }).unwrap();
    }
}

#[test]
fn marks_stand_in_place_of_the_base_and_trims_are_added_on_top() {
    let mut document = document();
    let [scene, _, shot] = layers();
    put(&mut document, &scene, "exposure", "stops", number(Some("3"), Some("+0.5")));
    put(&mut document, &shot, "exposure", "stops", number(Some("7"), None));
    mark(&mut document, "exposure", "stops", &[(1010, "1"), (1001, "-1"), (1020, "0")]);
    for (frame, stops) in [
        (i64::MIN, "-0.5"),
        (1000, "-0.5"),
        (1001, "-0.5"),
        (1004, "0.16666666666666663"),
        (1010, "1.5"),
        (1015, "1"),
        (1020, "0.5"),
        (i64::MAX, "0.5"),
    ] {
        assert_eq!(resolved(&document, Some("s"), "exposure", "stops", Some(frame)), stops, "frame {frame}");
    }
    // Without a frame it is as at the first mark; without the shot its marks do not count.
    assert_eq!(resolved(&document, Some("s"), "exposure", "stops", None), "-0.5");
    assert_eq!(resolved(&document, None, "exposure", "stops", Some(1010)), "3.5");
}

#[test]
fn marks_at_the_ends_of_the_frame_numbers_do_no_harm() {
    let mut document = document();
    mark(&mut document, "exposure", "stops", &[(i64::MIN, "-2"), (i64::MAX, "2")]);
    let stops: f64 = resolved(&document, Some("s"), "exposure", "stops", Some(0)).parse().unwrap();
    assert!(stops.abs() < 1e-9, "{stops}");
}

#[test]
fn whites_go_in_mired_and_names_switch_at_the_mark() {
    let mut document = document();
    mark(&mut document, "white-balance", "from", &[(0, "2000K"), (10, "5000K+.002duv")]);
    mark(&mut document, "white-balance", "method", &[(0, "CAT02"), (10, "Bradford")]);
    mark(&mut document, "mix", "share", &[(0, "0.25"), (10, "0.75")]);
    let white: White = resolved(&document, Some("s"), "white-balance", "from", Some(5)).parse().unwrap();
    let (kelvin, duv) = white.cct_duv().unwrap();
    // 500 and 200 mired.
    assert!((kelvin - 1e6 / 350.0).abs() < 1e-9 && (duv - 0.001).abs() < 1e-15, "{white}");
    let method = |frame| resolved(&document, Some("s"), "white-balance", "method", Some(frame));
    assert_eq!([-1, 0, 9, 10, 11].map(method), ["CAT02", "CAT02", "CAT02", "Bradford", "Bradford"]);
    assert_eq!(resolved(&document, Some("s"), "mix", "share", Some(5)), "0.5");
}

#[test]
fn a_sum_out_of_range_at_a_mark_names_its_frame() {
    let mut document = document();
    let [_, _, shot] = layers();
    mark(&mut document, "exposure", "stops", &[(1001, "0"), (1020, "23")]);
    let numbers = [(
        "stops".to_string(),
        Number { trim: Some("+2".into()), ..document.shots["s"].layer.number("exposure", "stops").unwrap().clone() },
    )];
    let error = document
        .apply(&Edit::PutNumbers { layer: shot, member: "exposure".into(), numbers: numbers.into() })
        .unwrap_err();
    let wanted = "shot 's', frame 1020, exposure, with its layers added up: stops=25 is outside -24 to 24";
    assert_eq!(error.to_string(), wanted);
}

#[test]
fn what_is_left_to_its_default_takes_a_trim_once_it_is_set() {
    let mut document = document();
    let [scene, ..] = layers();
    let trim = |value: &str| Edit::SetTrim {
        layer: scene.clone(),
        member: "output-transform".into(),
        field: "peak".into(),
        value: Some(value.into()),
    };
    let error = document.apply(&trim("+50")).unwrap_err().to_string();
    assert!(error.contains("left to its default"), "{error}");
    let value = Some("100".to_string());
    let base = Edit::SetBase { layer: scene.clone(), member: "output-transform".into(), field: "peak".into(), value };
    document.apply(&base).unwrap();
    document.apply(&trim("+50")).unwrap();
    assert_eq!(resolved(&document, None, "output-transform", "peak", None), "150");
}

#[test]
fn loading_refuses_numbers_without_a_meaning() {
    let json = tests::edits::document().to_json().unwrap();
    for (before, after, wanted) in [
        ("\"stops\": {", "\"gain\": {", "the scene, exposure: there is no setting 'gain'; there are stops"),
        ("\"base\": \"0.25\"", "\"base\": \"25\"", "the scene, exposure: stops=25 is outside -24 to 24"),
        (
            "\"trim\": \"+0.5\"",
            "\"trim\": \"half\"",
            "shot 'deck_010', exposure: trim half of stops: a number is wanted",
        ),
        ("\"trim\": \"+0.5\"", "\"trim\": \"+24\"", "shot 'deck_010', exposure, with its layers added up: stops=24.2"),
        (
            "\"base\": \"2100K\"",
            "\"marks\": { \"1\": \"2100K\" }",
            "set-up 'deck', white-balance from: frames can be marked for a shot alone",
        ),
        (
            "\"set_up\": \"deck\"",
            "\"set_up\": \"dock\"",
            "shot 'deck_010' belongs to set-up 'dock', which there is not",
        ),
        (
            "\"candidate\": \"other\"",
            "\"candidate\": \"ether\"",
            "shot 'deck_020' has chosen candidate 'ether', which there is not",
        ),
        ("\"1001\":", "\"first\":", "mark 'first': a frame number is wanted"),
        ("\"locked\": true", "\"locked\": true, \"sealed\": true", "unknown field `sealed`"),
        ("\"state\": \"balanced\"", "\"state\": \"graded\"", "unknown variant `graded`"),
        (
            "\"scene\": {",
            "\"scene\": { \"flare-9\": { \"red\": { \"base\": \"1\" } },",
            "the scene has numbers for 'flare-9', which is not in the kit",
        ),
        ("\"galley_010\": {", "\"galley\\n010\": {", "is no name"),
    ] {
        assert!(json.contains(before), "{before} in {json}");
        let error = Document::from_json(&json.replacen(before, after, 1)).expect_err(after).to_string();
        assert!(error.contains(wanted), "{after}: {error}");
    }
}

#[test]
fn every_scale_of_every_operation_takes_a_trim_and_every_name_says_that_it_takes_none() {
    for op in Op::all() {
        for field in op.fields() {
            let what = format!("{} {}", op.id(), field.key);
            let trim = match (field.control, field.unit) {
                (Control::White, _) => "+0m",
                (Control::Scale, Unit::Factor) => "1",
                (Control::Scale, _) => "0",
                (Control::Choice | Control::Name, _) => {
                    let error = op.sum_of_trims(field.key, &["1"]).expect_err(&what).to_string();
                    assert!(error.contains("takes no trim"), "{what}: {error}");
                    continue;
                }
            };
            let mut trimmed = op.clone();
            trimmed.add_trims(field.key, &[trim, trim]).expect(&what);
            assert_eq!(trimmed, op, "{what}");
            // Half-way between a setting and itself is the setting.
            let text = op.get(field.key).unwrap();
            trimmed.set_between(field.key, [&text, &text], 0.5).expect(&what);
            assert_eq!(trimmed, op, "{what}");
            // Half-way between both ends of the hard range it is inside.
            if let Some((low, high)) = field.hard {
                let ends = [low.to_string(), high.to_string()];
                trimmed.set_between(field.key, [&ends[0], &ends[1]], 0.5).expect(&what);
                assert!(trimmed.check().is_ok(), "{what}");
            }
        }
    }
}
