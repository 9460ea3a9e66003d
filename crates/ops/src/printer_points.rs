//! Printer points: density moved by the steps of a film printer's lights.
//!
//! `out = code + (channel + all) * code_per_stop / points_a_stop` on the camera's own log code, where code per stop is
//! what the logarithmic part of the curve tends to. On a pure logarithm equal points are exactly an exposure; a
//! camera's curve has a straighter toe, so that points do less in its shadows and add light to its black
//! ([`PrinterPoints::stops_at_grey`] says what they do at mid grey). Plus is lighter: more light in the *picture*. On
//! the printer itself, more light makes the print darker. Domain and range: the whole real line. Negative code and code
//! above one move like the rest, nothing is clipped; alpha is untouched. Invertible: the four numbers negated. A
//! signal without a logarithmic part is refused, since a point has no size there.
//!
//! # Source
//! A point is 0.025 of log10 exposure of the printer's lamp, on a scale of 1 to 50 with 25 in the middle, so 12 make a
//! doubling: common practice, no source. Through a negative of gamma 0.5 to 0.65 a camera stop is 6 to 8 points.

use colour::Affine;
use colour::transfer::{Form, Transfer};

use crate::{Budget, Constant, Context, Derived, Domain, Eval, MID_GREY, OpError, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// Points for each channel and for all three.
    pub struct PrinterPoints {
        /// Points on red: plus is redder, minus is more cyan.
        red: f64 = 0.0, Scale, Points, soft (-24.0, 24.0), hard (-300.0, 300.0), ends ("more cyan", "redder");
        /// Points on green: plus is greener, minus is more magenta.
        green: f64 = 0.0, Scale, Points, soft (-24.0, 24.0), hard (-300.0, 300.0), ends ("more magenta", "greener");
        /// Points on blue: plus is bluer, minus is more yellow.
        blue: f64 = 0.0, Scale, Points, soft (-24.0, 24.0), hard (-300.0, 300.0), ends ("more yellow", "bluer");
        /// Points on all three: plus is lighter, minus is darker.
        all: f64 = 0.0, Scale, Points, soft (-24.0, 24.0), hard (-300.0, 300.0), ends ("darker", "lighter");
        /// Points that make a stop: 12 for the printer's own light, 6 to 8 where a stop of the camera is meant.
        points_a_stop: f64 = 12.0, Scale, Points, soft (6.0, 13.0), hard (1.0, 100.0), ends ("bigger steps", "smaller steps");
    }
}

impl PrinterPoints {
    /// What is added to the code of each channel in a curve; none where the curve has no logarithmic part.
    pub fn offsets(&self, curve: &Transfer) -> Option<[f64; 3]> {
        let point = curve.code_per_stop()? / self.points_a_stop;
        Some([self.red, self.green, self.blue].map(|points| (points + self.all) * point))
    }

    /// The stops that the settings make of mid grey in each channel: those of an exposure of the same effect there.
    /// None where the curve has no logarithmic part, or where nothing is left of the grey.
    pub fn stops_at_grey(&self, curve: &Transfer) -> Option<[f64; 3]> {
        let grey = curve.encode(Form::Exact, MID_GREY);
        let light = self.offsets(curve)?.map(|offset| curve.decode(Form::Exact, grey + offset));
        light.iter().all(|&light| light > 0.0).then(|| light.map(|light| (light / MID_GREY).log2()))
    }
}

impl Operation for PrinterPoints {
    const ID: &'static str = "printer-points";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "density and balance by the steps of a film printer, on the camera's log code";
    const HOME: Domain = Domain::Camera;

    fn signals(&self, _context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        if !given.is_unknown() && given.curve.transfer.code_per_stop().is_some() {
            return Ok(Signals { needs: given.clone(), gives: given.clone() });
        }
        let remedy = if given.is_unknown() {
            "say what the frames hold with `--input NAME`"
        } else {
            "say domain=log before any output-transform, or use exposure or channel-gain"
        };
        Err(OpError::Setting {
            operation: Self::ID,
            field: "domain",
            reason: format!("a point is a step of a logarithm, and {given} has none; {remedy}"),
        })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        [self.red, self.green, self.blue].iter().all(|points| points + self.all == 0.0)
    }

    fn inverse(&self) -> Option<Self> {
        Some(Self { red: -self.red, green: -self.green, blue: -self.blue, all: -self.all, ..self.clone() })
    }
}

impl Pointwise for PrinterPoints {
    fn describe(&self) -> String {
        let Self { red, green, blue, all, points_a_stop } = self;
        format!("printer-points red {red:+} green {green:+} blue {blue:+} all {all:+}, {points_a_stop} points a stop")
    }

    fn comes_to(&self, takes: &Signal) -> Option<String> {
        // A pure "-0.00" would be read as something.
        let [red, green, blue] = self.stops_at_grey(&takes.curve.transfer)?.map(|stops| (stops * 100.0).round() / 100.0 + 0.0);
        Some(format!("at mid grey: red {red:+.2} green {green:+.2} blue {blue:+.2} stops"))
    }

    fn shader(&self) -> Shader {
        shader!("ops/printer_points.wgsl", "PrinterPoints", "op_printer_points")
    }

    fn eval(&self, takes: &Signal) -> Eval {
        // A signal without a size for a point was refused.
        let Some(code_per_stop) = takes.curve.transfer.code_per_stop() else { return Box::new(|rgb| rgb) };
        let stops = [self.red, self.green, self.blue].map(|points| (points + self.all) / self.points_a_stop);
        Box::new(move |rgb| std::array::from_fn(|i| rgb[i] + stops[i] * code_per_stop))
    }

    fn derive(&self, takes: &Signal) -> Derived {
        let offset = self.offsets(&takes.curve.transfer).unwrap_or_default();
        Derived::new(vec![("offset", Constant::Triple(offset))])
    }

    fn affine(&self, takes: &Signal) -> Option<Affine> {
        Some(Affine::offset(self.offsets(&takes.curve.transfer).unwrap_or_default()))
    }

    fn is_by_channel(&self) -> bool {
        true
    }

    fn budget(&self) -> Budget {
        // One sum, and the offset rounded to f32: half a unit of it where it is larger than the result, doubled. No
        // published curve gives a stop more than an eighth of its signal.
        let points = [self.red, self.green, self.blue].iter().fold(0.0f64, |most, p| most.max((p + self.all).abs()));
        Budget { ulps: 2.0, floor: 0.25 / 16_777_216.0 * points / self.points_a_stop }
    }
}

#[cfg(test)]
mod tests {
    use colour::Encoding;
    use proptest::prelude::*;

    use super::*;

    fn curve(name: &str) -> Transfer {
        Encoding::named(name, None).unwrap().transfer
    }

    #[test]
    fn twelve_points_are_a_stop_of_a_pure_logarithm() {
        let stop = PrinterPoints { all: 12.0, ..PrinterPoints::default() };
        // Academy S-2014-003: a stop is 1 / 17.52 of ACEScc.
        let [red, ..] = stop.offsets(&curve("ACEScc")).unwrap();
        assert!((red - 1.0 / 17.52).abs() < 1e-16);
        for stops in stop.stops_at_grey(&curve("ACEScc")).unwrap() {
            assert!((stops - 1.0).abs() < 1e-12, "{stops}");
        }
    }

    #[test]
    fn a_camera_curve_says_what_it_makes_of_grey() {
        // By hand from ARRI, ALEXA Log C Curve, 2012 (EI 800): a stop of the log part is c log10(2) = 0.0744116 of signal,
        // grey's code is 0.3910068, and light of a code is (10^((code - d) / c) - b) / a.
        let (a, b, c, d) = (5.555556, 0.052272, 0.247190, 0.385537);
        let code: f64 = 0.3910068320 + c * 2f64.log10();
        let light = (10f64.powf((code - d) / c) - b) / a;
        let points = PrinterPoints { all: 12.0, ..PrinterPoints::default() };
        let stops = points.stops_at_grey(&curve("LogC3")).unwrap()[1];
        assert!((stops - (light / 0.18).log2()).abs() < 1e-7, "{stops}");
        // The toe's offset makes it a little more than a stop.
        assert!(stops > 1.0 && stops < 1.05, "{stops}");
    }

    #[test]
    fn what_is_left_of_grey_may_be_nothing() {
        let all_off = PrinterPoints { all: -200.0, ..PrinterPoints::default() };
        assert_eq!(all_off.stops_at_grey(&curve("LogC3")), None);
        assert_eq!(PrinterPoints::default().stops_at_grey(&curve("sRGB")), None);
        assert_eq!(PrinterPoints::default().stops_at_grey(&curve("S-Log3")).map(|s| s.map(|s| s.abs() < 1e-12)), Some([true; 3]));
    }

    #[test]
    fn a_signal_without_a_logarithm_is_refused_with_the_remedy() {
        let book = crate::Book::default();
        let context = Context { camera: None, display: None, book: &book };
        let given = |signal: &Signal| PrinterPoints::default().signals(&context, signal);
        let display = Signal::code(&Encoding::named("sRGB", None).unwrap());
        for (signal, remedy) in [(Signal::scene(), "domain=log"), (display, "domain=log"), (Signal::unknown(), "--input")] {
            let error = given(&signal).unwrap_err().to_string();
            assert!(error.contains(remedy) && error.contains(&signal.to_string()), "{error}");
        }
        for id in ["LogC3", "LogC4", "S-Log3", "V-Log", "C-Log2", "C-Log3", "N-Log", "Apple-Log", "ACEScc", "ACEScct"] {
            assert!(given(&Signal::code(&Encoding::named(id, None).unwrap())).is_ok(), "{id}");
        }
    }

    proptest! {
        #[test]
        fn points_add_whatever_they_are(a in -20.0f64..20.0, b in -20.0f64..20.0, code in -0.2f64..1.2) {
            let signal = Signal::code(&Encoding::named("S-Log3", None).unwrap());
            let of = |all| PrinterPoints { all, ..PrinterPoints::default() }.eval(&signal);
            let (both, once) = (of(b)(of(a)([code; 3])), of(a + b)([code; 3]));
            prop_assert!((both[0] - once[0]).abs() < 1e-15, "{both:?} {once:?}");
        }
    }
}
