//! All that is measured of one candidate.

use demo::pattern::{BARS, FIRST_STOP, LAST_STOP, SATURATIONS, WEDGE_STEPS, hue_at};
use measure::Tap;
use measure::response::{Candidate, Grey, Hue, held, hue, over_signal, over_stops, slopes};
use ops::Reference;
use reference::Proof;

use crate::cli::chain::Chain;
use crate::cli::failure::Failure;

/// Greys a stop on the smooth ramp.
pub const A_STOP: usize = 24;
/// Greys of the ramp of signal less one.
const OF_SIGNAL: usize = 400;
/// Hues of the sweep, a multiple of the six colours.
const HUES: usize = 180;
/// Names of the bars, as the pattern has them.
const BAR_NAMES: [&str; 8] = ["white", "yellow", "cyan", "green", "magenta", "red", "blue", "black"];
/// Levels of the bars, in percent.
pub const BAR_LEVELS: [u32; 2] = [75, 100];

/// What a candidate's result is said in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Percent of signal or of a display's linear light.
    Percent,
    /// Stops from mid grey of linear light in a scene.
    Stops,
}

/// A candidate's response.
pub struct Measured {
    /// What it is called.
    pub name: String,
    /// What enters.
    pub original: Tap,
    /// What leaves.
    pub result: Tap,
    /// How it was brought to a display, or what it is.
    pub rendering: String,
    /// The stops of the ramp, from the dark end to the bright one.
    pub span: [f64; 2],
    /// The smooth ramp over stops.
    pub stops: Vec<Grey>,
    /// Its slopes.
    pub slopes: Vec<[Option<f64>; 3]>,
    /// The wedge: a grey a stop.
    pub wedge: Vec<Grey>,
    /// The smooth ramp over the original's signal.
    pub signal: Vec<Grey>,
    /// The hue sweep at each saturation, once round, the first hue again at the end.
    pub sweep: Vec<(f64, Vec<Hue>)>,
    /// Bars at each level, with their names.
    pub bars: Vec<(u32, Vec<(&'static str, Hue)>)>,
    /// White of the bars at each level: stops, and the original's signal.
    pub bar_whites: Vec<(u32, [f64; 2])>,
    /// Where the original's codes end, in stops; none beyond the ramp.
    pub code_ends: Option<f64>,
}

impl Measured {
    /// Sends all patterns through a candidate.
    ///
    /// # Errors
    /// A chain without a meaning, or numbers of which nothing is known.
    pub fn new(name: Option<String>, chain: &Chain) -> Result<Measured, Failure> {
        let elaborated = chain.for_rows()?;
        let name = name.unwrap_or_else(|| chain.title());
        let (original, result) = (Tap::new(elaborated.original.clone()), Tap::new(elaborated.result_signal.clone()));
        if original.signal().is_unknown() || result.signal().is_unknown() {
            return Err(Failure::usage(format!(
                "{name}: nothing is known of the numbers; name the original's encoding with --input"
            )));
        }
        let proof = Proof::new(&elaborated);
        let candidate = Candidate::new(original.clone(), result.clone(), |rgb| proof.pixel(rgb));
        // The wedge has a step a stop; a display's ends at its peak.
        let last = match original.signal().reference {
            Reference::Scene => LAST_STOP,
            Reference::Display { peak_nits, .. } => (peak_nits / original.white_nits().unwrap_or(peak_nits)).log2(),
        };
        let first = last - (LAST_STOP - FIRST_STOP);
        let stops = over_stops(&candidate, first, last, (WEDGE_STEPS - 1) * A_STOP + 1);
        let once_round = |saturation| {
            (0..=HUES).map(|at| hue(&candidate, hue_at(saturation, at as f64 / HUES as f64))).collect::<Vec<_>>()
        };
        let bars = |percent: u32| {
            let level = f64::from(percent) / 100.0;
            let bar = |on: [bool; 3]| hue(&candidate, on.map(|on| if on { level } else { 0.0 }));
            BAR_NAMES.into_iter().zip(BARS.map(bar)).collect::<Vec<_>>()
        };
        let (unit, _) = measure::response::stops_of(&original);
        let code_ends = original.is_code().then(|| (original.light([1.0; 3])[1] / unit).log2());
        let white = |percent: u32| {
            let numbers = held(&original, [f64::from(percent) / 100.0; 3]);
            [(original.light(numbers)[1] / unit).log2(), numbers[1]]
        };
        Ok(Measured {
            rendering: elaborated.rendering_in_words(),
            span: [first, last],
            slopes: slopes(&stops),
            stops,
            wedge: over_stops(&candidate, first, last, WEDGE_STEPS),
            signal: over_signal(&candidate, OF_SIGNAL + 1),
            sweep: SATURATIONS.map(|saturation| (saturation, once_round(saturation))).to_vec(),
            bars: BAR_LEVELS.map(|level| (level, bars(level))).to_vec(),
            bar_whites: BAR_LEVELS.map(|level| (level, white(level))).to_vec(),
            code_ends: code_ends.filter(|ends| *ends < last - 1e-6),
            name,
            original,
            result,
        })
    }

    /// What its result is said in.
    pub fn unit(&self) -> Unit {
        if self.result.is_scene() && !self.result.is_code() { Unit::Stops } else { Unit::Percent }
    }

    /// A number that left, in its unit; none for no light in stops.
    pub fn value(&self, out: f64) -> Option<f64> {
        match self.unit() {
            Unit::Percent => Some(100.0 * out),
            Unit::Stops => (out > 0.0).then(|| (out / ops::MID_GREY).log2()),
        }
    }

    /// Whether a display's signal holds what became of a grey; a scene's holds all.
    pub fn is_seen(&self, grey: &Grey) -> bool {
        // A rounding of the last channel is nothing that is clipped.
        self.result.is_scene() || grey.out.iter().all(|signal| (-1e-9..=1.0 + 1e-9).contains(signal))
    }

    /// A number that left as its display shows it: held between black and white.
    pub fn shown(&self, out: f64) -> f64 {
        if self.result.is_scene() { out } else { out.clamp(0.0, 1.0) }
    }

    /// The original's signal of each step of the wedge.
    pub fn wedge_signals(&self) -> Vec<f64> {
        let (unit, _) = measure::response::stops_of(&self.original);
        let signal = |grey: &Grey| self.original.signal_of_light([unit * grey.level.exp2(); 3])[1];
        self.wedge.iter().map(signal).collect()
    }

    /// Whether two can stand on one plot.
    pub fn compare_with(&self, other: &Measured) -> Result<(), Failure> {
        let ends = |measured: &Measured| measured.result.signal().to_string();
        if self.original.is_scene() != other.original.is_scene() || self.unit() != other.unit() {
            return Err(Failure::usage(format!(
                "the two candidates cannot stand on one plot: {} to {}, and {} to {}; let them begin and end alike",
                self.original.signal(),
                ends(self),
                other.original.signal(),
                ends(other)
            )));
        }
        Ok(())
    }
}

/// A signal's difference in codes of ten bits and full range.
pub fn ten_bit_codes(difference: f64) -> f64 {
    difference * f64::from(colour::range::largest_code(10))
}
