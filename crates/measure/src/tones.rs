//! Remaining tones: how finely an original tells levels apart, and how far apart a correction pulls them.
//!
//! An original of few bits has so many codes a stop and no more. Whatever brightens it or steepens its contrast spreads them:
//! the steps between neighbouring codes become steps on the display, and from a certain size on they are seen as bands.

use colour::{CodeRange, range};
use ops::MID_GREY;

use crate::Tap;
use crate::scopes::DARKEST;

/// Stops below this are not counted: what lies there is noise in every camera.
const LOWEST_STOP: i32 = -12;

/// A step larger than this many 10-bit codes on the display leaves a picture short of tones: more than an 8-bit code, which
/// is 4.01 of them and what an 8-bit display has anyway.
///
/// # Source
/// Common practice, no source: 8 bits on a display are about where steps begin to be seen.
pub const SHORT_OF_TONES: f64 = 5.0;

/// The codes of an original in one stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StopCodes {
    /// From so many stops above mid grey to one more.
    pub stop: i32,
    /// Neutral codes whose light lies there, the lower end included.
    pub codes: u32,
}

/// How many neutral codes an original has in each stop, from the darkest stop that has any to the brightest. Empty where the
/// tap is a display's: there no stops are counted.
pub fn codes_a_stop(tap: &Tap, bits: u32, codes: CodeRange) -> Vec<StopCodes> {
    let mut found: Vec<StopCodes> = Vec::new();
    if !tap.is_scene() {
        return found;
    }
    for code in 0..=range::largest_code(bits) {
        let [light, ..] = tap.light([range::signal_from_code(bits, codes, code); 3]);
        // Whole stops come back a rounding below or above; a thousandth part of a stop puts them in their place.
        let stop = ((light / MID_GREY).log2() + 1e-3).floor();
        if light <= 0.0 || stop < f64::from(LOWEST_STOP) {
            continue;
        }
        let stop = stop as i32;
        match found.last_mut() {
            Some(last) if last.stop == stop => last.codes += 1,
            _ => found.push(StopCodes { stop, codes: 1 }),
        }
    }
    found
}

/// Neutral codes of an original, evenly apart: what is sent through a candidate to see how far apart its tones come out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ladder {
    /// Depth of the codes.
    pub bits: u32,
    /// Their range.
    pub range: CodeRange,
    /// The lowest code that the picture holds.
    pub first: u32,
    /// The highest one.
    pub last: u32,
    /// Codes from one rung to the next: 1, or more where an original of fewer bits was put into more.
    pub rung: u32,
}

/// The step of a ladder that came out largest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LargestStep {
    /// The code below it.
    pub from: u32,
    /// The code above it.
    pub to: u32,
    /// 0 is red, 1 green, 2 blue.
    pub channel: usize,
    /// Its size on the display in 10-bit codes of full range.
    pub ten_bit_codes: f64,
}

impl Ladder {
    /// All codes of a depth and range.
    pub fn whole(bits: u32, codes: CodeRange) -> Ladder {
        Ladder { bits, range: codes, first: 0, last: range::largest_code(bits), rung: 1 }
    }

    /// The codes, from the lowest on.
    pub fn codes(&self) -> impl Iterator<Item = u32> + Clone {
        (self.first..=self.last.min(range::largest_code(self.bits))).step_by(self.rung.max(1) as usize)
    }

    /// The signal of each code, equal in the three channels: what goes into the candidate.
    pub fn rows(&self) -> Vec<[f64; 3]> {
        self.codes().map(|code| [range::signal_from_code(self.bits, self.range, code); 3]).collect()
    }

    /// The largest step of the display signal that the candidate made of [`Ladder::rows`], in the same order. What lies outside
    /// 0 to 1 is clipped first, as a display does. None for fewer than two rows or where `shown` has other rows.
    pub fn largest_step(&self, shown: &[[f64; 3]]) -> Option<LargestStep> {
        let codes: Vec<u32> = self.codes().collect();
        if codes.len() != shown.len() {
            return None;
        }
        let steps = codes.windows(2).zip(shown.windows(2)).flat_map(|(codes, shown)| {
            let step = |channel: usize| {
                let level = |at: usize| shown[at][channel].clamp(0.0, 1.0);
                let ten_bit_codes = 1023.0 * (level(1) - level(0)).abs();
                LargestStep { from: codes[0], to: codes[1], channel, ten_bit_codes }
            };
            [step(0), step(1), step(2)]
        });
        // The first of equal ones.
        steps.reduce(|best, step| if step.ten_bit_codes > best.ten_bit_codes { step } else { best })
    }
}

impl LargestStep {
    /// Whether the picture is short of tones there.
    pub fn is_short_of_tones(&self) -> bool {
        self.ten_bit_codes > SHORT_OF_TONES
    }
}

/// What is left of an original's tones on a display.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remaining {
    /// Depth of the original's codes.
    pub bits: u32,
    /// How much brighter mid grey comes out than it went in, before it is brought to the display; none where that is not known.
    pub lifted_stops: Option<f64>,
    /// The largest step among the tones that are not too dark.
    pub step: LargestStep,
}

impl Remaining {
    /// Sends an original's codes through a candidate that ends on a display. Tones that come out darker than five stops under
    /// mid grey of white are left aside ([`DARKEST`]): next to black every display curve is steep, and steps drown in noise.
    /// None where fewer than two tones are brighter.
    pub fn of(
        ladder: Ladder,
        result: &Tap,
        lifted_stops: Option<f64>,
        candidate: impl Fn([f64; 3]) -> [f64; 3],
    ) -> Option<Remaining> {
        let shown: Vec<_> = ladder.rows().into_iter().map(candidate).collect();
        let luminance = |rgb: &[f64; 3]| result.xyz(result.light(*rgb))[1];
        let dark = shown.iter().take_while(|rgb| luminance(rgb) < DARKEST).count();
        let first = ladder.codes().nth(dark)?;
        let step = Ladder { first, ..ladder }.largest_step(shown.get(dark..)?)?;
        Some(Remaining { bits: ladder.bits, lifted_stops, step })
    }

    /// The finding in words.
    pub fn in_words(&self) -> String {
        let article = if matches!(self.bits, 8 | 11) { "an" } else { "a" };
        // A third of a stop is the smallest step that people expose by; a tenth of it is none.
        let lifted = match self.lifted_stops {
            Some(stops) if stops.abs() >= 0.03 => {
                let stops_in_words = say_stops(stops.abs());
                format!(", {} {stops_in_words},", if stops > 0.0 { "lifted" } else { "lowered" })
            }
            _ => String::new(),
        };
        let verdict = if self.step.is_short_of_tones() { "is short of tones" } else { "has tones enough" };
        format!(
            "{article} {}-bit original{lifted} {verdict}: largest display step {} codes of 10 bits",
            self.bits,
            one_decimal(self.step.ten_bit_codes)
        )
    }
}

fn say_stops(stops: f64) -> String {
    let figure = one_decimal(stops);
    let unit = if figure == "1" { "stop" } else { "stops" };
    format!("{figure} {unit}")
}

/// With one decimal unless it is a whole number.
fn one_decimal(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_string)
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::Encoding;
    use ops::{Display, Signal};

    fn camera(name: &str) -> Tap {
        Tap::new(Signal::code(&Encoding::named(name, None).unwrap()))
    }

    #[test]
    fn a_log_encoding_spends_as_many_codes_on_every_stop_as_it_says() {
        for (name, a_stop) in [("LogC3", 0.0744), ("S-Log3", 0.0769), ("ACEScct", 0.0571)] {
            for bits in [8, 10, 12] {
                // Source of the code a stop: the makers' log parts, as design and facts give them to four places.
                let want = a_stop * f64::from(range::largest_code(bits));
                let stops = codes_a_stop(&camera(name), bits, CodeRange::Full);
                for stop in stops.iter().filter(|stop| (3..=5).contains(&stop.stop)) {
                    assert!((f64::from(stop.codes) - want).abs() < 1.0 + 0.01 * want, "{name} {bits}: {stop:?} {want}");
                }
            }
        }
    }

    #[test]
    fn linear_light_doubles_from_stop_to_stop() {
        let stops = codes_a_stop(&camera("Linear-BT.709"), 16, CodeRange::Full);
        let at = |stop: i32| f64::from(stops.iter().find(|s| s.stop == stop).unwrap().codes);
        for stop in -6..1 {
            assert!((at(stop + 1) / at(stop) - 2.0).abs() < 0.01, "{stop}");
        }
        assert!(stops.windows(2).all(|pair| pair[1].stop == pair[0].stop + 1));
        assert!(codes_a_stop(&Tap::new(Display::Srgb.signal(100.0, 0.0)), 8, CodeRange::Full).is_empty());
    }

    #[test]
    fn a_lift_leaves_eight_bits_short_of_tones_and_not_ten() {
        // Shown as it is, 1023 / 255 codes a step; four times as bright on gamma 2.4, 4^(1/2.4) as far apart.
        let factor = 4f64.powf(1.0 / 2.4);
        for (bits, before, after) in [(8, 1023.0 / 255.0, true), (10, 1.0, false), (12, 1023.0 / 4095.0, false)] {
            let ladder = Ladder { last: range::largest_code(bits) / 4, ..Ladder::whole(bits, CodeRange::Full) };
            let rows = ladder.rows();
            let as_shot = ladder.largest_step(&rows).unwrap();
            assert!((as_shot.ten_bit_codes - before).abs() < 1e-9 && !as_shot.is_short_of_tones());
            let lifted: Vec<_> = rows.iter().map(|row| row.map(|v| v * factor)).collect();
            let step = ladder.largest_step(&lifted).unwrap();
            assert!((step.ten_bit_codes - before * factor).abs() < 1e-9);
            assert_eq!(step.is_short_of_tones(), after, "{bits}");
        }
        // An 8-bit original in 10 bits stays one.
        let in_ten = Ladder { rung: 4, ..Ladder::whole(10, CodeRange::Full) };
        assert!(in_ten.largest_step(&in_ten.rows()).unwrap().ten_bit_codes > 3.99);
    }

    #[test]
    fn a_step_is_named_by_its_codes_and_clipped_tones_have_none() {
        let ladder = Ladder { first: 10, last: 13, ..Ladder::whole(8, CodeRange::Full) };
        let shown = [[0.0; 3], [0.1, 0.2, 0.1], [0.3, 0.2, 0.2], [1.0, 9.0, 0.2]];
        let step = ladder.largest_step(&shown).unwrap();
        assert_eq!((step.from, step.to, step.channel), (12, 13, 1));
        assert!((step.ten_bit_codes - 1023.0 * 0.8).abs() < 1e-9);
        assert_eq!(ladder.largest_step(&[[1.5; 3], [2.0; 3], [3.0; 3], [9.0; 3]]).unwrap().ten_bit_codes, 0.0);
        assert_eq!(ladder.largest_step(&shown[..2]), None);
    }
    /// Steps of known size: linear light to gamma 2.4 and nothing else, so a code step comes out as wide as it is.
    #[test]
    fn words_say_what_came_out_of_known_codes() {
        let display = Tap::new(Display::Bt1886.signal(100.0, 0.0));
        let lift = |stops: f64| move |rgb: [f64; 3]| rgb.map(|code| code * (stops / 2.4).exp2());
        let words = |bits: u32, stops: f64, told: Option<f64>| {
            let ladder = Ladder::whole(bits, CodeRange::Full);
            Remaining::of(ladder, &display, told, lift(stops)).unwrap().in_words()
        };
        // 1023 / 255 codes a step, 2^(3 / 2.4) times as far apart after three stops: 9.54.
        assert_eq!(
            words(8, 3.0, Some(3.0)),
            "an 8-bit original, lifted 3 stops, is short of tones: largest display step 9.5 codes of 10 bits"
        );
        assert_eq!(
            words(10, 3.0, Some(3.0)),
            "a 10-bit original, lifted 3 stops, has tones enough: largest display step 2.4 codes of 10 bits"
        );
        assert_eq!(words(8, 0.0, None), "an 8-bit original has tones enough: largest display step 4 codes of 10 bits");
        assert!(words(12, -1.0, Some(-1.0)).starts_with("a 12-bit original, lowered 1 stop, has"));
        assert_eq!(Remaining::of(Ladder::whole(8, CodeRange::Full), &display, None, |_| [0.0; 3]), None);
    }

    #[test]
    fn what_is_nearly_black_on_the_display_is_left_aside() {
        // A toe as steep as can be: the first tone above black is far from it, all others are two codes apart.
        let display = Tap::new(Display::Bt1886.signal(100.0, 0.0));
        let steep = |rgb: [f64; 3]| rgb.map(|code| if code == 0.0 { 0.0 } else { 0.1 + 0.5 * code });
        let found = Remaining::of(Ladder::whole(8, CodeRange::Full), &display, None, steep).unwrap();
        assert!((found.step.ten_bit_codes - 0.5 * 1023.0 / 255.0).abs() < 1e-9, "{found:?}");
        // 0.18 / 32 of white is 0.1155 of signal on gamma 2.4: code 8 is the first above.
        assert!(found.step.from >= 8);
    }
}
