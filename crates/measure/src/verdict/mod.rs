//! Verdict figures: what tells candidates apart, each defined so that it cannot flatter.
//!
//! Grey is grey under the shot's own light, never what a candidate's settings call so: without a card, a chart or the truth
//! there are no grey figures. A candidate is a function from the original's signal to the shown one, unclamped
//! ([`Candidate`](crate::response::Candidate)), and what it makes of grey, of black and of its own LUT needs no picture. Other figures are those of a picture. There is no total.
//!
//! One figure, one module; its formula stands at the top of it. [`same`] says below what difference two figures are one.

mod as_cdl;
mod best_matrix;
mod black;
pub mod chart;
pub mod distance;
mod drift;
mod grey;
mod hues;
mod level;
pub mod same;
mod shadow;
mod shares;
mod surface;
mod travel;
mod truth;

use ops::{Eval, Pointwise as _, Signal, conversion};

use crate::Tap;
use crate::readings::Tristimulus;
use crate::response::Candidate;

pub use as_cdl::{CdlPlace, nearest_cdl};
pub use best_matrix::best_matrix;
pub use black::{Tint, scene_zero, tint};
pub use drift::{CROSSOVER_STOPS, DARK_LIGHTNESS, Drift, Point, drift};
pub use grey::{Grey, Known, STOPS, occupied};
pub use hues::Hues;
pub use level::change_stops;
pub use shadow::{Block, SHADOW_STOPS, flattest, noise};
pub use shares::Shares;
pub use surface::{Gap, Surface};
pub use travel::{bake, cost};
pub use truth::{Differences, difference};

/// 10-bit codes of signal 1, full range: the unit of every figure in codes.
pub const TEN_BIT: f64 = 1023.0;

/// The shown signal that a candidate makes of scene light on AP1, as its original holds that.
fn of_scene(candidate: &Candidate<impl Fn([f64; 3]) -> [f64; 3]>) -> impl Fn([f64; 3]) -> [f64; 3] {
    let code = converted(&Signal::scene(), candidate.original().signal());
    move |light| candidate.pixel(code(light))
}

/// The colour that a display shows of a signal, which it holds between 0 and 1.
fn shown_colour(tap: &Tap, signal: [f64; 3]) -> Tristimulus {
    Tristimulus { xyz: tap.xyz(tap.light(signal.map(|v| v.clamp(0.0, 1.0)))), white_nits: tap.white_nits() }
}

/// Pixels of one signal as another one of the same light: decoded, changed in primaries, encoded.
pub fn converted(from: &Signal, to: &Signal) -> Eval {
    let steps: Vec<Eval> = conversion(from, to).iter().map(|step| step.point.eval(&step.takes)).collect();
    Box::new(move |rgb| steps.iter().fold(rgb, |rgb, step| step(rgb)))
}

#[cfg(test)]
pub(crate) mod testing {
    //! Candidates to measure: LogC3 to a plain BT.1886, with a correction at one place.

    use super::*;
    use colour::{Encoding, Form, Transfer};
    use ops::Display;

    pub fn original() -> Tap {
        Tap::new(Signal::code(&Encoding::named("LogC3", Some(800)).unwrap()))
    }

    pub fn shown() -> Tap {
        Tap::new(Display::Bt1886.signal(100.0, 0.0))
    }

    /// A light far from D65: 3200 K or so, on AP1.
    pub const WARM: [f64; 3] = [1.35, 0.94, 0.42];

    /// Corrects on scene light, then shows it: gamma 2.4 of BT.709 light, mirrored below 0.
    pub fn in_scene(correct: impl Fn([f64; 3]) -> [f64; 3] + Sync) -> impl Fn([f64; 3]) -> [f64; 3] + Sync {
        let scene = converted(original().signal(), &Signal::scene());
        let to_display = shown().xyz_from_light().inverse().unwrap() * Tap::new(Signal::scene()).xyz_from_light();
        move |code| {
            let light = to_display.apply(correct(scene(code)));
            light.map(|v| Transfer::Gamma { exponent: 2.4 }.encode(Form::Exact, v))
        }
    }
}
