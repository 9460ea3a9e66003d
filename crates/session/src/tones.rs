//! Remaining tones: how far apart a chain pulls the codes of an original.

use frame::Frame;
use graph::{Elaborated, Value};
use measure::Tap;
use measure::tones::{Ladder, Remaining, codes_a_stop};
use media::{CodeUse, fewer_bits_of, quantile};
use ops::{MID_GREY, Reference};
use reference::Proof;
use serde::Serialize;

/// Share of samples at either end that are strays and no tones of the picture.
const STRAYS: f64 = 0.001;

/// What is left of an original's tones on the display.
#[derive(Debug, Clone, Serialize)]
pub struct Tones {
    /// Depth of the original, as its codes tell.
    pub bits: u32,
    /// How much brighter mid grey becomes before the output transform.
    pub lifted_stops: Option<f64>,
    /// The original's codes from mid grey to one stop above it.
    pub codes_a_stop: Option<u32>,
    /// The largest step on the display, in ten-bit codes.
    pub largest_step: f64,
    /// The original's codes below and above it, in `bits`.
    pub between: [u32; 2],
    /// Where it is largest.
    pub channel: &'static str,
    /// Whether that is too much.
    pub short: bool,
    /// All of it.
    pub words: String,
}

/// The codes from mid grey to one stop above it; none where nothing is known of the numbers, or they are a display's.
pub fn codes_above_mid_grey(original: &Tap, bits: u32, range: colour::CodeRange) -> Option<u32> {
    if original.signal().is_unknown() {
        return None;
    }
    codes_a_stop(original, bits, range).into_iter().find(|stop| stop.stop == 0).map(|stop| stop.codes)
}

/// Sends the tones that a frame of integer codes holds through a chain; none for floats, for a chain of nothing, and for one
/// that does not end on a display.
pub fn of(frame: &Frame, whole: &Elaborated) -> Option<Tones> {
    let layout = frame.layout();
    let ends_on_display = matches!(whole.result_signal.reference, Reference::Display { .. });
    if layout.is_float() || whole.nodes.is_empty() || whole.original.is_unknown() || !ends_on_display {
        return None;
    }
    let mut codes = CodeUse::new(layout.bits());
    codes.add(frame);
    let bits = fewer_bits_of(&codes).unwrap_or(codes.bits());
    let (counts, by) = (codes.together(), codes.bits() - bits);
    let (first, last) = (quantile(&counts, STRAYS)? >> by, quantile(&counts, 1.0 - STRAYS)? >> by);
    let ladder = Ladder { first, last, ..Ladder::whole(bits, whole.original_range) };
    let (original, result) = (Tap::new(whole.original.clone()), Tap::new(whole.result_signal.clone()));
    let proof = Proof::new(whole);
    let found = Remaining::of(ladder, &result, lifted_stops(whole, &original), |rgb| proof.pixel(rgb))?;
    Some(Tones {
        bits,
        lifted_stops: found.lifted_stops,
        codes_a_stop: codes_above_mid_grey(&original, bits, whole.original_range),
        largest_step: found.step.ten_bit_codes,
        between: [found.step.from, found.step.to],
        channel: ["red", "green", "blue"].get(found.step.channel).copied().unwrap_or("red"),
        short: found.step.is_short_of_tones(),
        words: found.in_words(),
    })
}

/// How much brighter mid grey is where it is given to the first output transform, in stops.
fn lifted_stops(whole: &Elaborated, original: &Tap) -> Option<f64> {
    let is_display = |signal: &ops::Signal| matches!(signal.reference, Reference::Display { .. });
    let given = whole.nodes.iter().find(|node| is_display(&node.gives) && !is_display(&node.takes))?.input;
    let scene = if given == Value(0) { return Some(0.0) } else { whole.at(given)? };
    let tap = Tap::new(scene.result_signal.clone());
    let grey = Proof::new(&scene).pixel(original.signal_of_light([MID_GREY; 3]));
    let luminance = tap.xyz(tap.light(grey))[1];
    let stops = (original.is_scene() && luminance > 0.0).then(|| (luminance / MID_GREY).log2())?;
    // Rounding is no lift.
    Some(if stops.abs() < 1e-9 { 0.0 } else { stops })
}
