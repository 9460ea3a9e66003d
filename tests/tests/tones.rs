//! Remaining tones through whole chains, by the proof: what a correction does to an original of few bits.

use colour::{CodeRange, Encoding};
use measure::Tap;
use measure::tones::{Ladder, LargestStep, codes_a_stop};
use ops::Signal;
use reference::Proof;
use tests::cases::Subject;

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
