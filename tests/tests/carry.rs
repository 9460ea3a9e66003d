//! Carrying numbers from shot to shot: light as it is, camera code by the stops it makes, or a refusal.
//!
//! # Source
//! Code per stop of the logarithmic parts, worked out by hand from the makers' formulas: LogC3 EI 800 c log10(2) with
//! c = 0.247190 (ARRI, ALEXA Log C Curve, 2012); S-Log3 261.5 / 1023 log10(2) (Sony, Technical Summary for S-Gamut3.Cine/
//! S-Log3 and S-Gamut3/S-Log3, 2014); ACEScct 1 / 17.52 (Academy S-2016-001).

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use std::f64::consts::LOG10_2;

use graph::{Document, Edit, LayerAt, Place, Shot, Wiring, chain};
use ops::{Book, Domain};

const LOGC3: f64 = 0.247_190 * LOG10_2;
const SLOG3: f64 = 261.5 / 1023.0 * LOG10_2;
const ACESCCT: f64 = 1.0 / 17.52;

/// A shot of each encoding; `a` has numbers of every kind.
fn document() -> Document {
    let mut document = chain::parse("channel-offset | printer-points | input-transform | exposure").unwrap();
    for (name, encoding) in [
        ("a", Some("LogC3")),
        ("b", Some("S-Log3")),
        ("c", Some("ACEScct")),
        ("same", Some("LogC3")),
        ("linear", Some("ACEScg")),
        ("unknown", None),
    ] {
        let shot = Shot { encoding: encoding.map(String::from), ..Shot::default() };
        document.shots.insert(name.to_string(), shot);
    }
    for (member, field, base, trim) in [
        ("channel-offset", "red", Some("0.1"), Some("-0.02")),
        ("channel-offset", "blue", None, Some("0.03")),
        ("printer-points", "all", Some("6"), Some("+1.5")),
        ("exposure", "stops", Some("0.5"), Some("+0.25")),
    ] {
        for (value, is_base) in [(base, true), (trim, false)] {
            let (layer, value) = (LayerAt::Shot("a".into()), value.map(String::from));
            let (member, field) = (member.to_string(), field.to_string());
            let edit = if is_base {
                Edit::SetBase { layer, member, field, value }
            } else {
                Edit::SetTrim { layer, member, field, value }
            };
            document.apply(&edit).unwrap();
        }
    }
    document
}

fn carry(document: &mut Document, to: &[&str], members: Option<&[&str]>) -> Result<Edit, String> {
    let to: Vec<String> = to.iter().map(ToString::to_string).collect();
    let members: Option<Vec<String>> = members.map(|members| members.iter().map(ToString::to_string).collect());
    let edit = document.carry("a", &to, members.as_deref(), &Book::default()).map_err(|error| error.to_string())?;
    document.apply(&edit).map_err(|error| error.to_string())
}

/// Base and trim as numbers.
fn numbers(document: &Document, shot: &str, member: &str, field: &str) -> [Option<f64>; 2] {
    let number = document.shots[shot].layer.number(member, field).cloned().unwrap_or_default();
    [number.base, number.trim].map(|text| text.map(|text| text.parse().unwrap()))
}

fn near(found: [Option<f64>; 2], wanted: [Option<f64>; 2]) -> bool {
    found.iter().zip(wanted).all(|(found, wanted)| match (found, wanted) {
        (Some(found), Some(wanted)) => (found - wanted).abs() < 1e-9,
        (found, wanted) => found.is_none() && wanted.is_none(),
    })
}

#[test]
fn offsets_are_scaled_by_the_code_of_a_stop_and_points_and_light_stay() {
    // design: a stop is .0744 of signal in LogC3, .0769 in S-Log3, .0571 in ACEScct.
    for (code_per_stop, printed) in [(LOGC3, 0.0744), (SLOG3, 0.0769), (ACESCCT, 0.0571)] {
        assert!((code_per_stop - printed).abs() < 6e-5, "{code_per_stop}");
    }
    let mut document = document();
    let before = document.clone();
    let undo = carry(&mut document, &["b", "c", "same"], None).unwrap();
    for (shot, code_per_stop) in [("b", SLOG3), ("c", ACESCCT), ("same", LOGC3)] {
        let share = code_per_stop / LOGC3;
        let red = numbers(&document, shot, "channel-offset", "red");
        assert!(near(red, [Some(0.1 * share), Some(-0.02 * share)]), "{shot}: {red:?}");
        let blue = numbers(&document, shot, "channel-offset", "blue");
        assert!(near(blue, [None, Some(0.03 * share)]), "{shot}: {blue:?}");
        assert_eq!(numbers(&document, shot, "printer-points", "all"), [Some(6.0), Some(1.5)]);
        assert_eq!(numbers(&document, shot, "exposure", "stops"), [Some(0.5), Some(0.25)]);
    }
    // The same encoding: letter for letter.
    assert_eq!(document.shots["same"].layer, document.shots["a"].layer);
    document.apply(&undo).unwrap();
    assert_eq!(document, before);
}

#[test]
fn the_carried_offset_makes_the_same_stops_of_bright_light() {
    // On the logarithmic part of both curves, where nothing else is left.
    use colour::Encoding;
    use colour::transfer::Form;
    let mut document = document();
    carry(&mut document, &["b"], None).unwrap();
    let stops = |shot: &str, name: &str| {
        let curve = Encoding::named(name, None).unwrap().transfer;
        let [base, trim] = numbers(&document, shot, "channel-offset", "red").map(Option::unwrap);
        let bright = 1000.0;
        (curve.decode(Form::Exact, curve.encode(Form::Exact, bright) + base + trim) / bright).log2()
    };
    let (a, b) = (stops("a", "LogC3"), stops("b", "S-Log3"));
    assert!((a - b).abs() < 1e-3 && (a - 0.08 / LOGC3).abs() < 1e-3, "{a} {b}");
}

#[test]
fn points_are_counted_as_the_other_shot_counts_them() {
    let mut document = document();
    let (layer, value) = (LayerAt::Shot("b".into()), Some("8".to_string()));
    let edit = Edit::SetBase { layer, member: "printer-points".into(), field: "points_a_stop".into(), value };
    document.apply(&edit).unwrap();
    carry(&mut document, &["b"], Some(&["printer-points"])).unwrap();
    // 6 of 12 to a stop are half a stop, and so are 4 of 8.
    assert_eq!(numbers(&document, "b", "printer-points", "all"), [Some(4.0), Some(1.0)]);
    assert_eq!(numbers(&document, "b", "printer-points", "points_a_stop"), [Some(8.0), None]);
}

#[test]
fn some_members_alone_and_what_was_there_is_replaced() {
    let mut document = document();
    let (layer, value) = (LayerAt::Shot("b".into()), Some("0.4".to_string()));
    let edit = Edit::SetBase { layer, member: "channel-offset".into(), field: "green".into(), value };
    document.apply(&edit).unwrap();
    carry(&mut document, &["b", "linear", "unknown"], Some(&["exposure"])).unwrap();
    for shot in ["b", "linear", "unknown"] {
        assert_eq!(numbers(&document, shot, "exposure", "stops"), [Some(0.5), Some(0.25)]);
    }
    assert_eq!(numbers(&document, "b", "channel-offset", "green"), [Some(0.4), None]);
    carry(&mut document, &["b"], None).unwrap();
    assert_eq!(numbers(&document, "b", "channel-offset", "green"), [None, None]);
}

#[test]
fn an_offset_in_the_common_log_is_the_same_in_every_shot() {
    let mut document = document();
    let wiring = document.candidates.get_mut(chain::CANDIDATE).unwrap();
    wiring.graph_mut()[petgraph::stable_graph::NodeIndex::new(0)].domain = Some(Domain::Log);
    carry(&mut document, &["b", "unknown"], Some(&["channel-offset"])).unwrap();
    for shot in ["b", "unknown"] {
        assert_eq!(numbers(&document, shot, "channel-offset", "red"), [Some(0.1), Some(-0.02)]);
    }
    // On camera code in one candidate and in the common log in the other, no number is right for both.
    document.candidates.insert("code".into(), Wiring::linear([Place::of("channel-offset")]));
    let error = carry(&mut document, &["b"], Some(&["channel-offset"])).unwrap_err();
    assert!(error.contains("detach it in one of them"), "{error}");
}

#[test]
fn what_cannot_be_carried_says_why_and_nothing_changes() {
    let mut document = document();
    document.apply(&Edit::SetLock { shot: "same".into(), locked: true }).unwrap();
    let before = document.clone();
    for (to, wanted) in [
        (
            &["b", "linear"][..],
            "channel-offset red: cannot be carried from shot 'a' to shot 'linear': ACEScg has no logarithmic part",
        ),
        (&["unknown"], "to shot 'unknown': the encoding of one of them is not known; say it of the shot"),
        (&["b", "same"], "shot 'same' is locked"),
        (&["nobody"], "there is no shot 'nobody'"),
    ] {
        let error = carry(&mut document, to, None).expect_err(wanted);
        assert!(error.contains(wanted), "{error}");
        assert_eq!(document, before);
    }
    let error = carry(&mut document, &["b"], Some(&["nothing"])).unwrap_err();
    assert_eq!(error, "'nothing' is not in the kit");
    document.shots.get_mut("b").unwrap().encoding = Some("S-Log9".to_string());
    assert!(carry(&mut document, &["b"], None).unwrap_err().contains("S-Log9"));
    // An exposure told to work on camera code: its stops mean nothing there that could be converted.
    let mut document = before.clone();
    document
        .candidates
        .insert("odd".into(), Wiring::linear([Place { domain: Some(Domain::Camera), ..Place::of("exposure") }]));
    let error = carry(&mut document, &["b"], Some(&["exposure"])).unwrap_err();
    assert!(error.contains("set it there by hand"), "{error}");
    let mut document = before;
    let value = Some("1".to_string());
    let mark = Edit::SetMark { shot: "a".into(), member: "exposure".into(), field: "stops".into(), frame: 1001, value };
    document.apply(&mark).unwrap();
    let error = carry(&mut document, &["b"], Some(&["exposure"])).unwrap_err();
    assert!(error.contains("exposure stops: shot 'a' has marks"), "{error}");
}
