//! Built-in test signals.

mod published;

use std::str::FromStr;

use frame::{Range, Size};
use published::Chart;

/// A test signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// A grey ramp from 0 to 100 % of display signal, left to right.
    RampPercent,
    /// A grey ramp of scene light from 8 stops under mid grey to 6 over, linear in stops.
    RampStops,
    /// Fifteen greys a stop apart: rising edge to edge above, falling as patches on mid grey below.
    StepWedge,
    /// Colour bars at 75 % of display signal: white, yellow, cyan, green, magenta, red, blue, black.
    Bars75,
    /// The same bars at 100 %.
    Bars100,
    /// All hues left to right at full, half and quarter saturation from top to bottom, greatest channel at 75 %.
    HueSweep,
    /// The bars of SMPTE RP 219-1.
    Rp219,
    /// The bars of Rec. ITU-R BT.2111 for HLG, narrow range.
    Bt2111Hlg,
    /// The bars of Rec. ITU-R BT.2111 for PQ, narrow range.
    Bt2111Pq,
    /// The bars of Rec. ITU-R BT.2111 for PQ, full range.
    Bt2111PqFull,
}

/// What the numbers of a pattern are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PatternSignal {
    /// Display code: R'G'B' where 1 is 100 %.
    DisplayCode,
    /// Scene-linear light where 0.18 is mid grey, equal in red, green and blue: encode it before writing.
    SceneLinear,
}

/// A name that is no pattern.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("pattern `{name}`: there is none of this name; choose one of {}", Pattern::ALL.map(Pattern::name).join(", "))]
pub struct UnknownPattern {
    /// The name given.
    pub name: String,
}

impl Pattern {
    /// All patterns.
    pub const ALL: [Self; 10] = [
        Self::RampPercent,
        Self::RampStops,
        Self::StepWedge,
        Self::Bars75,
        Self::Bars100,
        Self::HueSweep,
        Self::Rp219,
        Self::Bt2111Hlg,
        Self::Bt2111Pq,
        Self::Bt2111PqFull,
    ];

    /// The name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::RampPercent => "ramp",
            Self::RampStops => "ramp-stops",
            Self::StepWedge => "wedge",
            Self::Bars75 => "bars75",
            Self::Bars100 => "bars100",
            Self::HueSweep => "hue-sweep",
            Self::Rp219 => "rp219",
            Self::Bt2111Hlg => "bt2111-hlg",
            Self::Bt2111Pq => "bt2111-pq",
            Self::Bt2111PqFull => "bt2111-pq-full",
        }
    }

    /// One line on what it shows.
    pub fn description(self) -> &'static str {
        match self {
            Self::RampPercent => "smooth grey ramp, 0 to 100 % of display signal",
            Self::RampStops => "smooth grey ramp of scene light, -8 to +6 stops from mid grey",
            Self::StepWedge => "fifteen greys a stop apart, -8 to +6 stops from mid grey, as steps and as patches",
            Self::Bars75 => "colour bars, 75 % R'G'B'",
            Self::Bars100 => "colour bars, 100 % R'G'B'",
            Self::HueSweep => "every hue at three saturations, 75 % R'G'B'",
            Self::Rp219 => "colour bars of SMPTE RP 219-1",
            Self::Bt2111Hlg => "colour bars of BT.2111 for HLG, narrow range",
            Self::Bt2111Pq => "colour bars of BT.2111 for PQ, narrow range",
            Self::Bt2111PqFull => "colour bars of BT.2111 for PQ, full range",
        }
    }

    /// The range that its standard gives its codes in; none where any range will do.
    pub fn published_range(self) -> Option<Range> {
        match self {
            Self::Rp219 | Self::Bt2111Hlg | Self::Bt2111Pq => Some(Range::Legal),
            Self::Bt2111PqFull => Some(Range::Full),
            _ => None,
        }
    }

    /// The encoding that its standard gives it.
    pub fn published_encoding(self) -> Option<&'static str> {
        match self {
            Self::Bt2111Hlg => Some("HLG"),
            Self::Bt2111Pq | Self::Bt2111PqFull => Some("PQ"),
            _ => None,
        }
    }

    /// What its numbers are.
    pub fn signal(self) -> PatternSignal {
        match self {
            Self::RampStops | Self::StepWedge => PatternSignal::SceneLinear,
            _ => PatternSignal::DisplayCode,
        }
    }
}

impl FromStr for Pattern {
    type Err = UnknownPattern;

    fn from_str(name: &str) -> Result<Self, UnknownPattern> {
        Self::ALL
            .into_iter()
            .find(|kind| kind.name().eq_ignore_ascii_case(name))
            .ok_or_else(|| UnknownPattern { name: name.to_owned() })
    }
}

/// Mid grey in scene light.
const MID_GREY: f64 = 0.18;
/// Stops from mid grey at the dark end.
pub const FIRST_STOP: f64 = -8.0;
/// Stops from mid grey at the bright end.
pub const LAST_STOP: f64 = 6.0;
/// Steps of the wedge, a stop each.
pub const WEDGE_STEPS: usize = 15;

/// Which of red, green and blue are on in each bar, in falling order of luminance.
///
/// # Source
/// ITU-R BT.471-1, nomenclature of colour bars: white, yellow, cyan, green, magenta, red, blue, black (from memory).
/// `bars100` is its 100/0/100/0, `bars75` is 75/0/75/0, whose white is the 75 % white of SMPTE RP 219-1.
pub const BARS: [[bool; 3]; 8] = [
    [true, true, true],
    [true, true, false],
    [false, true, true],
    [false, true, false],
    [true, false, true],
    [true, false, false],
    [false, false, true],
    [false, false, false],
];

/// Level of the bars and of the hue sweep that are held below full signal. Source: SMPTE RP 219-1, 75 % bars.
const HELD: f64 = 0.75;

/// Saturations of the hue sweep, from the top.
pub const SATURATIONS: [f64; 3] = [1.0, 0.5, 0.25];

/// The pixels of a pattern, row by row from the top left, alpha 1, and what their numbers are.
pub fn pixels(kind: Pattern, size: Size) -> (Vec<[f32; 4]>, PatternSignal) {
    let paint = paint(kind);
    let mut pixels = Vec::with_capacity(size.width as usize * size.height as usize);
    for y in 0..size.height {
        for x in 0..size.width {
            let place = Place::new(x, y, size);
            let signal = match &paint {
                Paint::Formula(colour) => colour(place),
                Paint::Chart(chart) => chart.signal(place.across, place.down),
            };
            let [red, green, blue] = signal.map(|value| value as f32);
            pixels.push([red, green, blue, 1.0]);
        }
    }
    (pixels, kind.signal())
}

/// Where a pixel is: its middle as a share of the picture, and its column as a share of the way to the last one.
#[derive(Clone, Copy)]
struct Place {
    across: f64,
    down: f64,
    /// 0 in the first column, 1 in the last, so that a ramp reaches both its ends.
    reach: f64,
}

impl Place {
    fn new(x: u32, y: u32, size: Size) -> Self {
        Self {
            across: (f64::from(x) + 0.5) / f64::from(size.width),
            down: (f64::from(y) + 0.5) / f64::from(size.height),
            reach: f64::from(x) / f64::from(size.width.max(2) - 1),
        }
    }

    /// Which of `count` equal columns, and how far into it, 0..1.
    fn column(self, count: usize) -> (usize, f64) {
        let place = self.across * count as f64;
        let index = (place as usize).min(count - 1);
        (index, place - index as f64)
    }
}

/// How a pattern comes about.
enum Paint {
    Formula(fn(Place) -> [f64; 3]),
    Chart(Chart),
}

fn paint(kind: Pattern) -> Paint {
    match kind {
        Pattern::RampPercent => Paint::Formula(|place| [place.reach; 3]),
        Pattern::RampStops => {
            Paint::Formula(|place| [at_stops(FIRST_STOP + place.reach * (LAST_STOP - FIRST_STOP)); 3])
        }
        Pattern::StepWedge => Paint::Formula(|place| [wedge(place); 3]),
        Pattern::Bars75 => Paint::Formula(|place| bar(place, HELD)),
        Pattern::Bars100 => Paint::Formula(|place| bar(place, 1.0)),
        Pattern::HueSweep => Paint::Formula(|place| {
            let saturation = SATURATIONS[((place.down * 3.0) as usize).min(2)];
            hue_at(saturation, place.across)
        }),
        Pattern::Rp219 => Paint::Chart(published::rp219()),
        Pattern::Bt2111Hlg => Paint::Chart(published::bt2111(&published::HLG)),
        Pattern::Bt2111Pq => Paint::Chart(published::bt2111(&published::PQ)),
        Pattern::Bt2111PqFull => Paint::Chart(published::bt2111(&published::PQ_FULL)),
    }
}

/// R'G'B' of the hue sweep at a saturation of 0 to 1 and a share of the turn: red at 0, green at a third, blue at two thirds.
pub fn hue_at(saturation: f64, turn: f64) -> [f64; 3] {
    hue(turn * 6.0).map(|share| HELD * (1.0 - saturation * (1.0 - share)))
}

fn at_stops(stops: f64) -> f64 {
    MID_GREY * stops.exp2()
}

fn wedge(place: Place) -> f64 {
    let (index, inside) = place.column(WEDGE_STEPS);
    if place.down < 0.5 {
        return at_stops(FIRST_STOP + index as f64);
    }
    let patch = (0.15..0.85).contains(&inside) && (0.6..0.9).contains(&place.down);
    if patch { at_stops(LAST_STOP - index as f64) } else { MID_GREY }
}

fn bar(place: Place, level: f64) -> [f64; 3] {
    BARS[place.column(BARS.len()).0].map(|on| if on { level } else { 0.0 })
}

/// Full-saturation R'G'B' of a hue, one turn in 6: red at 0, green at 2, blue at 4.
fn hue(turn: f64) -> [f64; 3] {
    [0.0, 2.0, 4.0].map(|centre| {
        let away = (turn - centre).rem_euclid(6.0);
        (2.0 - away.min(6.0 - away)).clamp(0.0, 1.0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Size = Size { width: 240, height: 90 };

    fn row(kind: Pattern, y: usize) -> Vec<[f32; 4]> {
        pixels(kind, SIZE).0[y * 240..(y + 1) * 240].to_vec()
    }

    /// Narrow-range 10-bit code: (219 E' + 16) 4, half up. Source: ITU-R BT.709-6, 4.6.
    fn code(signal: f64) -> u32 {
        ((219.0 * signal + 16.0) * 4.0 + 0.5).floor() as u32
    }

    #[test]
    fn bars_stand_in_order_at_the_published_levels() {
        // SMPTE RP 219-1: 75 % is 721, black 64, 100 % is 940 in 10 bits.
        for (kind, high) in [(Pattern::Bars75, 721), (Pattern::Bars100, 940)] {
            let line = row(kind, 40);
            let codes: Vec<[u32; 3]> =
                (0..8).map(|bar| [0, 1, 2].map(|c| code(f64::from(line[bar * 30 + 15][c])))).collect();
            let h = high;
            assert_eq!(
                codes,
                [[h, h, h], [h, h, 64], [64, h, h], [64, h, 64], [h, 64, h], [h, 64, 64], [64, 64, h], [64, 64, 64]]
            );
        }
    }

    #[test]
    fn bars_have_the_component_codes_of_75_percent_bars() {
        // 10-bit Y, Cb, Cr of BT.709 75 % bars, white to blue (ITU-R BT.709-6 weights .2126, .7152, .0722).
        let published = [
            (721, 512, 512),
            (674, 176, 543),
            (581, 589, 176),
            (534, 253, 207),
            (251, 771, 817),
            (204, 435, 848),
            (111, 848, 481),
        ];
        let line = row(Pattern::Bars75, 10);
        for (bar, expected) in published.into_iter().enumerate() {
            let [r, g, b] = [0, 1, 2].map(|c| f64::from(line[bar * 30 + 15][c]));
            let luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
            let chroma = |difference: f64| ((224.0 * difference + 128.0) * 4.0 + 0.5).floor() as u32;
            assert_eq!((code(luma), chroma((b - luma) / 1.8556), chroma((r - luma) / 1.5748)), expected, "bar {bar}");
        }
    }

    #[test]
    fn ramps_reach_both_their_ends() {
        let percent = row(Pattern::RampPercent, 0);
        assert_eq!((percent[0][0], percent[239][1]), (0.0, 1.0));
        let stops = row(Pattern::RampStops, 89);
        // Eight stops under and six over 18 % (common practice, no source for the extent).
        assert!((f64::from(stops[0][0]) - 0.18 / 256.0).abs() < 1e-9);
        assert!((f64::from(stops[239][2]) - 0.18 * 64.0).abs() < 1e-5);
        assert!(stops.windows(2).all(|pair| pair[1][0] > pair[0][0]));
    }

    #[test]
    fn wedge_doubles_from_step_to_step() {
        let line = row(Pattern::StepWedge, 20);
        for step in 1..WEDGE_STEPS {
            let ratio = line[step * 16 + 8][1] / line[step * 16 - 8][1];
            assert!((ratio - 2.0).abs() < 1e-6, "step {step}: {ratio}");
        }
        let below = row(Pattern::StepWedge, 67);
        assert_eq!(below[0][0], 0.18);
        // The patches fall from +6 stops: the first is 64 times mid grey, the eighth half of it.
        assert!((below[8][0] - 11.52).abs() < 1e-5);
        assert!((below[7 * 16 + 8][0] - 0.09).abs() < 1e-7);
    }

    #[test]
    fn hue_sweep_passes_the_six_colours_at_three_saturations() {
        for (y, low) in [(10, 0.0), (45, 0.375), (80, 0.5625)] {
            let line = row(Pattern::HueSweep, y);
            for pixel in &line {
                let least = pixel[..3].iter().copied().fold(1.0, f32::min);
                let most = pixel[..3].iter().copied().fold(0.0, f32::max);
                assert!((least - low).abs() < 1e-6 && (most - 0.75).abs() < 1e-6, "row {y}: {pixel:?}");
            }
            // Yellow, a sixth of the way: red and green equal, blue least.
            let yellow = line[40];
            assert!((yellow[0] - yellow[1]).abs() < 0.02 && (yellow[2] - low).abs() < 1e-6);
        }
    }

    #[test]
    fn names_round_trip_and_unknown_ones_list_all() {
        for kind in Pattern::ALL {
            assert_eq!(kind.name().parse(), Ok(kind));
        }
        let error = "rampp".parse::<Pattern>().unwrap_err().to_string();
        assert!(error.contains("rampp") && error.contains("hue-sweep"), "{error}");
    }

    #[test]
    fn the_smallest_pictures_are_drawn_too() {
        for kind in Pattern::ALL {
            let (pixels, _) = pixels(kind, Size { width: 1, height: 1 });
            assert!(pixels.len() == 1 && pixels[0].iter().all(|value| value.is_finite()));
        }
    }
}
