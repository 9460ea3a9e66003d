//! Where a slide rule has its ticks.

use ops::Unit;

/// One tick.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// Where, in the scale's unit.
    pub at: f64,
    /// Its figure, where it has one.
    pub figure: Option<String>,
}

/// The distance of two ticks next to each other: what a key moves a needle by.
pub fn step(unit: Unit, low: f64, high: f64) -> f64 {
    match unit {
        Unit::Stops => 1.0 / 3.0,
        Unit::Points => 1.0,
        _ => {
            // About forty to a scale, of a round size.
            let rough = (high - low).abs().max(f64::MIN_POSITIVE) / 40.0;
            let power = 10f64.powf(rough.log10().floor());
            let size = [1.0, 2.0, 5.0, 10.0].into_iter().find(|size| size * power >= rough * 0.999);
            size.unwrap_or(10.0) * power
        }
    }
}

/// The ticks of a scale, each fifth with a figure, or for stops each third.
pub fn ticks(unit: Unit, low: f64, high: f64) -> Vec<Tick> {
    let step = step(unit, low, high);
    let group = if unit == Unit::Stops { 3 } else { 5 };
    let (first, last) = ((low / step).ceil() as i64, (high / step).floor() as i64);
    let most = 400;
    (first..=last.min(first + most))
        .map(|at| {
            let value = at as f64 * step;
            let figure = (at % group == 0).then(|| written(value, step * group as f64, low < 0.0));
            Tick { at: value, figure }
        })
        .collect()
}

/// A number to as many places as a step has, with its sign on a scale that has both.
fn written(value: f64, step: f64, signed: bool) -> String {
    let places = (-step.log10()).ceil().clamp(0.0, 6.0) as usize;
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if value > 0.0 && signed {
        format!("+{text}")
    } else if text == "-0" {
        "0".to_string()
    } else {
        text.to_string()
    }
}

/// The nearest multiple of a step.
pub fn snapped(value: f64, step: f64) -> f64 {
    if step > 0.0 { (value / step).round() * step } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stops_have_third_ticks_and_figures_at_whole_ones() {
        let ticks = ticks(Unit::Stops, -4.0, 4.0);
        assert_eq!(ticks.len(), 25);
        let figures: Vec<_> = ticks.iter().filter_map(|tick| tick.figure.as_deref()).collect();
        assert_eq!(figures, ["-4", "-3", "-2", "-1", "0", "+1", "+2", "+3", "+4"]);
    }

    #[test]
    fn other_units_have_round_steps() {
        assert!((step(Unit::Mired, -100.0, 100.0) - 5.0).abs() < 1e-12);
        assert!((step(Unit::Duv, -0.02, 0.02) - 0.001).abs() < 1e-12);
        assert_eq!(step(Unit::Points, -24.0, 24.0), 1.0);
        let figures: Vec<_> = ticks(Unit::Duv, -0.02, 0.02).into_iter().filter_map(|tick| tick.figure).collect();
        assert_eq!(figures.first().map(String::as_str), Some("-0.02"));
        assert!(figures.contains(&"0".to_string()));
    }
}
