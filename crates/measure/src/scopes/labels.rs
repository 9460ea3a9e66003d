//! What stands along an axis: figures at ticks, and the limits of ranges.

use colour::{CodeRange, range};
use ops::MID_GREY;

use crate::Tap;

/// A figure at a place of an axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// Where: signal, linear light on an axis in stops, or the coordinate itself.
    pub value: f64,
    /// The figure.
    pub label: String,
}

/// A limit of a range, drawn across a scope.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Where, in signal.
    pub value: f64,
    /// Its name, for instance `legal white 940`.
    pub name: String,
}

/// Light in nits that is worth a tick on a display's axis; what lies above its peak is left out.
const NITS: [f64; 12] = [0.0, 0.1, 1.0, 5.0, 10.0, 50.0, 100.0, 203.0, 500.0, 1000.0, 4000.0, 10_000.0];

fn tick(value: f64, label: impl ToString) -> Tick {
    Tick { value, label: label.to_string() }
}

/// Eight parts of all codes, and the last code.
pub fn codes(bits: u32, codes: CodeRange) -> Vec<Tick> {
    let last = range::largest_code(bits);
    let part = (last + 1) / 8;
    let at = |code: u32| tick(range::signal_from_code(bits, codes, code), code);
    (0..8).map(|i| at(i * part)).chain([at(last)]).collect()
}

/// No colour, and full excursion on either side.
pub(super) fn difference_codes(bits: u32, codes: CodeRange) -> Vec<Tick> {
    [-0.5, 0.0, 0.5].map(|signal| tick(signal, range::chroma_code_from_signal(bits, codes, signal))).to_vec()
}

/// Every tenth of signal, in percent.
pub fn percent() -> Vec<Tick> {
    (-10..=20).map(|tenth| tick(f64::from(tenth) / 10.0, tenth * 10)).collect()
}

/// Every stop between two, from mid grey, at the light that it is.
pub fn stops(first: f64, last: f64) -> Vec<Tick> {
    let whole = |v: f64| v.clamp(-100.0, 100.0) as i32;
    (whole(first.ceil())..=whole(last.floor()))
        .map(|stop| {
            let label = if stop == 0 { "0".to_string() } else { format!("{stop:+}") };
            tick(MID_GREY * f64::from(stop).exp2(), label)
        })
        .collect()
}

/// Greys of round light in nits at the signal that shows them; none where the tap is a scene's.
pub fn nits(tap: &Tap) -> Vec<Tick> {
    let ops::Reference::Display { peak_nits, .. } = tap.signal().reference else { return Vec::new() };
    NITS.iter()
        .filter(|nits| **nits <= peak_nits)
        .filter_map(|nits| tap.signal_of_grey(*nits).map(|signal| tick(signal, nits)))
        .filter(|tick| tick.value.is_finite())
        .collect()
}

/// Multiples of a step from `first` to `last`.
pub(super) fn even(first: f64, last: f64, step: f64) -> Vec<Tick> {
    let whole = |v: f64| v.clamp(-1000.0, 1000.0) as i32;
    // 0.3 is not quite three times 0.1.
    let slack = 1e-9;
    (whole((first / step - slack).ceil())..=whole((last / step + slack).floor()))
        .map(|i| {
            let value = f64::from(i) * step;
            tick(value, (value * 1000.0).round() / 1000.0)
        })
        .collect()
}

/// Black and white of a range; under legal range the tolerance of R 103 and the ends of video data too.
///
/// # Source
/// Rec. ITU-R BT.709-6, items 4.6 and 4.8; EBU R 103 v3.0 (2020), depths other than 8 and 10 from memory.
pub fn limits(bits: u32, codes: CodeRange) -> Vec<Limit> {
    let limit = |name: &str, code: u32| Limit {
        value: range::signal_from_code(bits, codes, code),
        name: format!("{name} {code}"),
    };
    let ends = |name: &str| {
        [(0.0, "black"), (1.0, "white")]
            .map(|(signal, end)| limit(&format!("{name} {end}"), range::code_from_signal(bits, codes, signal)))
    };
    match codes {
        CodeRange::Full => ends("full").to_vec(),
        CodeRange::Legal => {
            let (low, high) = range::r103_codes(bits);
            let (first, last) = range::video_data_codes(bits);
            let mut limits = ends("legal").to_vec();
            limits.extend([limit("R 103", low), limit("R 103", high)]);
            limits.extend([limit("video data", first), limit("video data", last)]);
            limits
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scopes::Axis;
    use ops::{Display, Signal};

    fn written(ticks: &[Tick]) -> Vec<&str> {
        ticks.iter().map(|tick| tick.label.as_str()).collect()
    }

    #[test]
    fn figures_stand_where_their_value_is() {
        let codes = Axis::codes(10, CodeRange::Legal, 1024);
        assert_eq!(written(&codes.ticks), ["0", "128", "256", "384", "512", "640", "768", "896", "1023"]);
        // A bin a code: the middle of code 128 is 128.5 from the lower edge.
        assert!((codes.position(codes.ticks[1].value) - 128.5).abs() < 1e-9);
        let stops = Axis::stops(-2.0, 1.0, 31);
        assert_eq!(written(&stops.ticks), ["-2", "-1", "0", "+1"]);
        assert!((stops.position(stops.ticks[2].value) - 20.5).abs() < 1e-9);
        let signal = Axis::signal(-0.1, 1.1, 481);
        assert_eq!((written(&signal.ticks)[0], signal.ticks.len()), ("-10", 13));
        assert_eq!(written(&Axis::coordinate("x", 0.0, 0.3, 64).ticks), ["0", "0.1", "0.2", "0.3"]);
        assert_eq!(written(&Axis::difference_codes("Cb", 10, CodeRange::Legal, 257).ticks), ["64", "512", "960"]);
    }

    #[test]
    fn nits_reach_to_the_peak_and_no_further() {
        let tap = Tap::new(Display::Hlg.signal(1000.0, 0.0));
        let axis = Axis::signal(-0.1, 1.1, 481).labelled("nits", nits(&tap));
        assert_eq!(axis.ticks.last().map(|tick| tick.label.as_str()), Some("1000"));
        assert!((axis.ticks.last().unwrap().value - 1.0).abs() < 1e-6); // the constants of HLG have eight digits
        assert!(nits(&Tap::new(Signal::scene())).is_empty());
    }

    /// Source: Rec. ITU-R BT.709-6, items 4.6 and 4.8; EBU R 103 v3.0 (2020).
    #[test]
    fn limits_are_the_published_codes() {
        let names: Vec<String> = limits(10, CodeRange::Legal).into_iter().map(|limit| limit.name).collect();
        assert_eq!(
            names,
            ["legal black 64", "legal white 940", "R 103 20", "R 103 984", "video data 4", "video data 1019"]
        );
        let r103 = &limits(10, CodeRange::Legal)[2..4];
        // -5 % and 105 %, to the nearest code of 876 steps.
        assert!((r103[0].value + 0.05).abs() < 0.0006 && (r103[1].value - 1.05).abs() < 0.0006);
        assert_eq!(limits(8, CodeRange::Full)[1].name, "full white 255");
    }
}
