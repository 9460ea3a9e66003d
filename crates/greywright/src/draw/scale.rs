//! A scale: which values a side of a plot spans, and the figures along it.

use measure::scopes::Axis;

/// A linear scale. Values on another law are laid out first: an [`Axis`] of stops gives positions.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// What the figures are, with their unit.
    pub name: String,
    /// The value at the left or lower end.
    pub first: f64,
    /// The value at the right or upper end.
    pub last: f64,
    /// Where figures stand, and which.
    pub ticks: Vec<(f64, String)>,
}

/// About so many figures on a scale that chooses its own.
const FIGURES: f64 = 8.0;

impl Scale {
    /// A scale with figures at round values: 1, 2 or 5 of a power of ten apart.
    pub fn round(name: impl Into<String>, first: f64, last: f64) -> Scale {
        let wanted = ((last - first).abs() / FIGURES).max(1e-12);
        let power = 10f64.powf(wanted.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0].map(|of| of * power).into_iter().find(|step| *step >= wanted);
        Scale::stepped(name, first, last, step.unwrap_or(wanted))
    }

    /// A scale with figures at the multiples of a step.
    pub fn stepped(name: impl Into<String>, first: f64, last: f64, step: f64) -> Scale {
        let decimals = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
        let (low, high) = (first.min(last), first.max(last));
        // A thousandth of a step: 0.3 is not quite three times 0.1.
        let (from, to) = ((low / step - 1e-3).ceil() as i64, (high / step + 1e-3).floor() as i64);
        // A step of no size would ask for figures without end.
        let ticks = (from..=to.min(from.saturating_add(200))).map(|i| {
            let value = i as f64 * step;
            (value, format!("{value:.decimals$}"))
        });
        Scale { name: name.into(), first, last, ticks: ticks.collect() }
    }

    /// The scale of a scope's axis, in bins from the lower edge of its first one ([`Axis::position`]).
    pub fn of_axis(axis: &Axis) -> Scale {
        let ticks = axis.ticks.iter().map(|tick| (axis.position(tick.value), tick.label.clone())).collect();
        Scale { name: axis.name.clone(), first: 0.0, last: f64::from(axis.bins()), ticks }
    }

    /// Where a value lies between the ends, 0 to 1.
    pub fn share(&self, value: f64) -> f64 {
        (value - self.first) / (self.last - self.first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_round_and_lie_on_the_scale() {
        let labels = |scale: &Scale| scale.ticks.iter().map(|tick| tick.1.clone()).collect::<Vec<_>>();
        assert_eq!(labels(&Scale::round("", 0.0, 1.0)), ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0"]);
        assert_eq!(labels(&Scale::round("", -3.0, 12.0)), ["-2", "0", "2", "4", "6", "8", "10", "12"]);
        assert_eq!(labels(&Scale::stepped("", 0.0, 0.3, 0.1)), ["0.0", "0.1", "0.2", "0.3"]);
        let stops = Scale::of_axis(&Axis::stops(-2.0, 2.0, 41));
        assert_eq!(stops.ticks[2], (20.5, "0".to_string()));
        assert!((stops.share(stops.ticks[2].0) - 0.5).abs() < 1e-12);
    }
}
