//! Remaining tones through whole chains, by the proof: what a correction does to an original of few bits.

use std::fs;

use colour::{CodeRange, Encoding};
use measure::Tap;
use measure::tones::{Ladder, LargestStep, codes_a_stop};
use ops::Signal;
use reference::Proof;
use tests::cases::Subject;
use tests::program::greywright;

fn encoding(name: &str) -> Encoding {
    Encoding::named(name, None).expect("a built-in encoding")
}

/// The largest step on a BT.1886 display of an original of so many bits in LogC3, exposed by so many stops.
fn shown(bits: u32, stops: f64) -> LargestStep {
    let chain = format!(
        "input-transform encoding=LogC3 | exposure stops={stops} | output-transform display=BT.1886 rendering=plain"
    );
    let subject = Subject::chain(&chain, &graph::Original::Encoded(encoding("LogC3")));
    let proof = Proof::new(&subject.elaborated);
    // From four stops under mid grey: below lies a straight line to black, whose code the display's power magnifies.
    let tap = Tap::new(Signal::code(&encoding("LogC3")));
    let dark = 0.18 / 16.0;
    let whole = Ladder::whole(bits, CodeRange::Full);
    let first = whole
        .codes()
        .find(|code| tap.light([colour::range::signal_from_code(bits, CodeRange::Full, *code); 3])[0] >= dark)
        .expect("light above the dark");
    let ladder = Ladder { first, ..whole };
    let rows: Vec<[f64; 3]> = ladder.rows().into_iter().map(|row| proof.pixel(row)).collect();
    ladder.largest_step(&rows).expect("steps")
}

/// The slope of the whole chain says how large a step must be: `d code / d stop = ln 2 / 2.4 * code` on gamma 2.4, largest where
/// the display ends, at code 1; and at light x a code of n bits is `(1 + 0.0094 / x) / (0.0744 (2^n - 1))` of a stop.
///
/// # Source
/// ARRI, ALEXA Log C Curve, 2012: `c log10(a x + b) + d` with c = 0.2472 and b / a = 0.0523 / 5.556.
#[test]
fn a_lifted_original_of_eight_bits_is_short_of_tones_and_one_of_twelve_is_not() {
    for (bits, short) in [(8, true), (12, false)] {
        for stops in [0.0, 2.0] {
            let step = shown(bits, stops);
            let largest = f64::from((1u32 << bits) - 1);
            // White is 1 of scene light after the exposure.
            let of_a_stop = (1.0 + 0.0094 * f64::exp2(stops)) / (0.0744 * largest);
            let expected = 1023.0 * std::f64::consts::LN_2 / 2.4 * of_a_stop;
            // The middle of the last whole step is up to a step and a half under white.
            let share = step.ten_bit_codes / expected;
            let least = 0.999 - 1.5 * expected / 1023.0;
            assert!(share < 1.001 && share > least, "{bits} bits, {stops} stops: {step:?}, expected {expected}");
            assert_eq!(step.is_short_of_tones(), short, "{bits} bits, {stops} stops: {step:?}");
        }
    }
}

#[test]
fn eight_bits_of_log_hold_nineteen_codes_a_stop() {
    // ARRI, ALEXA Log C Curve, 2012: 0.0744 of signal a stop at EI 800; 0.0744 x 255 = 19.
    let stops = codes_a_stop(&Tap::new(Signal::code(&encoding("LogC3"))), 8, CodeRange::Full);
    for stop in stops.iter().filter(|stop| (2..=6).contains(&stop.stop)) {
        assert!((18..=20).contains(&stop.codes), "{stop:?}");
    }
    // It ends 8.26 stops above mid grey: 55.08 of light (facts of the encoding, LogC3 at EI 800).
    assert_eq!(stops.last().map(|stop| stop.stop), Some(8));
}

/// What `scopes` says of a grey ramp of all codes in LogC3, lifted by so many stops.
fn said(depth: &str, ending: &str, stops: f64) -> serde_json::Value {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join(format!("ramp.{ending}"));
    greywright("pattern ramp --size 4096x4 --depth").with(depth).with("--out").with(&path).done();
    let chain = format!(
        "input-transform encoding=LogC3 | exposure stops={stops} | output-transform display=BT.1886 rendering=plain"
    );
    let run = greywright("scopes --json --executor proof --scopes histogram").with(&path).chain(&chain);
    let answer = run.done().json();
    answer["tones"].clone()
}

/// Light of LogC3 code. Source: ARRI, ALEXA Log C Curve, 2012, EI 800.
fn light(code: f64) -> f64 {
    let (cut, a, b, c, d, e, f) = (0.010591, 5.555556, 0.052272, 0.247190, 0.385537, 5.367655, 0.092809);
    if code > e * cut + f { (10f64.powf((code - d) / c) - b) / a } else { (code - f) / e }
}

#[test]
fn the_program_says_whether_an_original_is_short_of_tones() {
    for (depth, ending, stops, words) in [
        ("8", "png", 3.0, "an 8-bit original, lifted 3 stops, is short of tones: largest display step "),
        ("8", "png", 0.0, "an 8-bit original is short of tones: largest display step "),
        ("10", "dpx", 0.0, "a 10-bit original has tones enough: largest display step "),
        ("10", "dpx", -1.0, "a 10-bit original, lowered 1 stop, has tones enough: largest display step "),
    ] {
        let tones = said(depth, ending, stops);
        assert!(tones["words"].as_str().is_some_and(|said| said.starts_with(words)), "{tones}");
        // All steps from the first code whose light comes out at five stops under mid grey of white or above.
        let largest = 2f64.powi(depth.parse().expect("bits")) - 1.0;
        let shown = |code: f64| stops.exp2() * light(code / largest);
        let codes = (0..).map(f64::from).take_while(|code| *code < largest).filter(|code| shown(*code) >= 0.18 / 32.0);
        let signal = |code: f64| 1023.0 * shown(code).min(1.0).powf(1.0 / 2.4);
        let steps = codes.map(|code| (signal(code + 1.0) - signal(code), code));
        let (step, first) = steps.reduce(|most, one| if one.0 > most.0 { one } else { most }).expect("steps");
        let got = tones["largest_step"].as_f64().expect("a figure");
        // The printed constants have six digits.
        assert!((got / step - 1.0).abs() < 2e-3, "{depth} bits, {stops} stops: {got}, expected {step}; {tones}");
        assert_eq!(tones["between"][0].as_f64(), Some(first), "{tones}");
    }
    // Nothing is done to it, so nothing is said.
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("ramp.dpx");
    greywright("pattern ramp --size 64x4 --out").with(&path).done();
    let answer = greywright("scopes --json --scopes histogram").with(&path).done().json();
    assert!(answer["tones"].is_null(), "{answer}");
}

#[test]
fn inspect_says_how_many_codes_a_stop_has() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(
        dir.path().join("sheet.csv"),
        "shot,media,encoding,exposure index\neight,eight.png,LogC3,800\nten,ten.dpx,LogC3,800\n",
    )
    .expect("a sheet");
    for (depth, name) in [("8", "eight.png"), ("10", "ten.dpx")] {
        greywright("pattern ramp --size 2048x4 --depth").with(depth).with("--out").with(dir.path().join(name)).done();
    }
    let told = greywright("inspect --json --shot-sheet").with(dir.path().join("sheet.csv")).done().json();
    for (sequence, bits, largest) in [(0, 8, 255), (1, 10, 1023)] {
        let above = |stops: f64| {
            let least = 0.18 * stops.exp2();
            (0..=largest).filter(|code| light(f64::from(*code) / f64::from(largest)) >= least).count()
        };
        let words = format!("{bits} bits of LogC3: {} codes from mid grey", above(0.0) - above(1.0));
        let tones = told[sequence]["tones"].as_str().expect("words");
        assert!(tones.starts_with(&words), "{tones}, expected {words}");
    }
}
