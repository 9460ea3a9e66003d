//! The electrical-electrical transfer function that fits PQ light to a display of a lower peak or a higher black.
//!
//! On the PQ scale, with E the signal of a light, 0 at the black and 1 at the peak of the display it was made on, and
//! `max`, `min` the target's peak and black on that scale: up to the knee `1.5 max - 0.5` the signal stays; from there
//! a cubic leads to `max` at 1; then `min (1 - E)^4` lifts it to the target's black. The spline that the report prints
//! is `knee + (max - knee)(1 - (1 - T)^3)` written out: its slope at the knee is three times the slope of its chord.
//!
//! The report leaves three things open. A peak so low that the knee would lie below black (under about 10 nits from
//! 4000) has its knee at black, where the same cubic still rises everywhere. A black above a quarter of the scale would
//! make the lift fall; its exponent is then `1 / min` instead of 4. Light above the first display's peak is held there.
//!
//! As printed, the lift is not quite gone at the peak, which therefore comes out too high: by 0.01 % from 4000 nits to
//! 1000 with a black of 0.005, by 2.3 % to 100 with a black of 0.1. These are the published numbers; who makes a signal
//! of them holds them at the target's peak, as its display does.
//!
//! # Source
//! Report ITU-R BT.2390, 5.4.1 (steps 1 to 5). The knee held at black and the exponent of the lift: ours; the latter is
//! common practice, no source.

use crate::transfer::pq::{code_from_nits, nits_from_code};

/// The exponent with which the lift fades towards white.
const LIFT_EXPONENT: f64 = 4.0;

/// The transfer function between two displays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eetf {
    /// PQ signal of the first display's black.
    from_black: f64,
    /// PQ signal from its black to its peak.
    from_span: f64,
    /// The target's peak on that scale.
    max: f64,
    /// The target's black on that scale.
    min: f64,
}

impl Eetf {
    /// From a display of one peak and black to one of another, all in nits, each peak above its black.
    pub fn new(from_peak_nits: f64, from_black_nits: f64, peak_nits: f64, black_nits: f64) -> Self {
        let from_black = code_from_nits(from_black_nits);
        let from_span = code_from_nits(from_peak_nits) - from_black;
        let on_scale = |nits: f64| (code_from_nits(nits) - from_black) / from_span;
        Self { from_black, from_span, max: on_scale(peak_nits), min: on_scale(black_nits) }
    }

    /// Where the scale, 0 to 1, begins to be bent; 1 where nothing is above the target's peak.
    fn knee(&self) -> f64 {
        (1.5 * self.max - 0.5).clamp(0.0, 1.0)
    }

    /// Light up to which nothing is bent, in nits: with no black to lift, all below keeps its value.
    pub fn knee_nits(&self) -> f64 {
        nits_from_code(self.from_black + self.from_span * self.knee())
    }

    /// Light on the target of light on the first display, in nits.
    pub fn fitted_nits(&self, nits: f64) -> f64 {
        let signal = ((code_from_nits(nits) - self.from_black) / self.from_span).clamp(0.0, 1.0);
        nits_from_code(self.from_black + self.from_span * self.lifted(self.bent(signal)))
    }

    fn bent(&self, signal: f64) -> f64 {
        let knee = self.knee();
        if signal <= knee {
            return signal;
        }
        let t = (signal - knee) / (1.0 - knee);
        knee + (self.max - knee) * (1.0 - (1.0 - t).powi(3))
    }

    fn lifted(&self, signal: f64) -> f64 {
        signal + self.min * (1.0 - signal).powf(self.lift_exponent())
    }

    fn lift_exponent(&self) -> f64 {
        if self.min * LIFT_EXPONENT > 1.0 { self.min.recip() } else { LIFT_EXPONENT }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// BT.2390's P[B], as printed.
    fn printed(knee: f64, max: f64, b: f64) -> f64 {
        let t = (b - knee) / (1.0 - knee);
        let (t2, t3) = (t * t, t * t * t);
        (2.0 * t3 - 3.0 * t2 + 1.0) * knee + (t3 - 2.0 * t2 + t) * (1.0 - knee) + (3.0 * t2 - 2.0 * t3) * max
    }

    proptest! {
        #[test]
        fn the_cubic_is_the_printed_spline(peak in 12.0f64..4000.0, at in 0.0f64..1.0) {
            let eetf = Eetf::new(4000.0, 0.0, peak, 0.0);
            let signal = eetf.knee() + at * (1.0 - eetf.knee());
            let want = printed(eetf.knee(), eetf.max, signal);
            prop_assert!((eetf.bent(signal) - want).abs() < 1e-12, "{} {want}", eetf.bent(signal));
        }

        #[test]
        fn more_light_stays_more_light(
            from in 50.0f64..10_000.0, peak in 1.0f64..10_000.0, black in 0.0f64..10.0,
            a in 0.0f64..10_000.0, b in 0.0f64..10_000.0
        ) {
            prop_assume!(black < 0.5 * peak);
            let eetf = Eetf::new(from, 0.0, peak, black);
            let (less, more) = (eetf.fitted_nits(a.min(b)), eetf.fitted_nits(a.max(b)));
            // Roundings of PQ, whose slope is up to 40 times its size.
            prop_assert!(less <= more * (1.0 + 1e-12), "{less} {more}");
        }

        #[test]
        fn without_black_what_is_below_the_knee_stays(peak in 12.0f64..10_000.0, at in 0.0f64..1.0) {
            let eetf = Eetf::new(4000.0, 0.0, peak, 0.0);
            let nits = at * eetf.knee_nits();
            prop_assert!((eetf.fitted_nits(nits) - nits).abs() < 1e-11 * nits.max(1e-3), "{nits}");
            prop_assert!(eetf.fitted_nits(4000.0) <= peak * (1.0 + 1e-12));
        }
    }

    #[test]
    fn the_ends_go_to_the_ends() {
        for (from, peak, black) in
            [(4000.0, 1000.0, 0.005), (10_000.0, 100.0, 0.1), (1000.0, 48.0, 8.0), (4000.0, 3.0, 0.0)]
        {
            let eetf = Eetf::new(from, 0.0, peak, black);
            assert!((eetf.fitted_nits(0.0) - black).abs() < 1e-12, "{black}");
            let (white, above) = (eetf.fitted_nits(from), eetf.fitted_nits(2.0 * from));
            assert_eq!(white, above);
            assert!(white >= peak * (1.0 - 1e-12), "{peak}: {white}");
        }
    }
}
