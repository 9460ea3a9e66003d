//! What an original may be encoded in, where nobody says so: a guess with its reason, never acted upon.

use colour::{CodeRange, Encoding, Reference, range, transfer::Form};
use frame::Range;
use media::{CodeUse, FloatUse, Survey, quantile};

use crate::written::significant;

/// Share of all samples that the black of a picture holds at least. Ours; common practice, no source.
const DARKEST: f64 = 0.001;
/// How far, in 10-bit codes, the darkest samples may lie from the code of no light: noise and flare. Ours.
const NEAR: f64 = 4.0;
/// Signal above which a code of no light says something: many pictures have codes below for other reasons. Ours.
const LEAST: f64 = 0.01;

/// What originals may be encoded in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guess {
    /// The guess with its reason, for people.
    pub words: String,
    /// The encodings that fit, by id, the first one as likely as the others; none where nothing tells them apart.
    pub encodings: Vec<&'static str>,
    /// The range that they fit in.
    pub range: Option<CodeRange>,
}

impl Guess {
    fn of_none(words: String) -> Self {
        Self { words, encodings: Vec::new(), range: None }
    }
}

/// The guess from what frames hold, where their files tell the range or not; `None` where they give no reason for one.
pub fn guess(survey: &Survey, told: Option<Range>) -> Option<Guess> {
    let told = told.map(|range| match range {
        Range::Full => CodeRange::Full,
        Range::Legal => CodeRange::Legal,
    });
    let codes = survey.codes.as_ref().and_then(|codes| from_codes(codes, told));
    codes.or_else(|| survey.floats.as_ref().and_then(from_floats))
}

/// The guess from integer codes.
fn from_codes(codes: &CodeUse, told: Option<CodeRange>) -> Option<Guess> {
    let counts = codes.together();
    let (low, high) = (quantile(&counts, DARKEST)?, quantile(&counts, 1.0 - DARKEST)?);
    let top = range::largest_code(codes.bits());
    // The ends, or the 10-bit code beside them.
    let end = (top + 1) / 1024;
    if low <= end && high >= top - end {
        return Some(Guess::of_none(format!(
            "likely display-referred: the codes reach from {low} to {high} of {top}, which camera log does not; they \
             cannot say whether sRGB, BT.709 or another gamma"
        )));
    }
    let ranges = told.map_or(vec![CodeRange::Full, CodeRange::Legal], |range| vec![range]);
    let (mut parts, mut encodings, mut fits) = (Vec::new(), Vec::new(), None);
    for range in ranges {
        let near: Vec<(&str, String)> = logs()
            .filter_map(|(name, black)| {
                let (scale, offset) = range::scale_and_offset(codes.bits(), range);
                let black = black * scale + offset;
                let apart = (f64::from(low) - black).abs() * 1024.0 / f64::from(top + 1);
                (apart <= NEAR).then(|| (name, format!("{name} {black:.1}")))
            })
            .collect();
        if !near.is_empty() {
            let word = if range == CodeRange::Full { "full" } else { "legal" };
            let (names, words): (Vec<&str>, Vec<String>) = near.into_iter().unzip();
            parts.push(format!("in {word} range {}", words.join(", ")));
            if encodings.is_empty() {
                (encodings, fits) = (names, Some(range));
            }
        }
    }
    (!parts.is_empty()).then(|| Guess {
        words: format!(
            "likely camera log: the darkest {} % of the codes end at {low} of {top}, and the code of no light is {}; a \
             header or a shot sheet must say which",
            DARKEST * 100.0,
            parts.join("; ")
        ),
        encodings,
        range: fits,
    })
}

/// Logarithmic scene encodings with the signal of no light, where they have one that codes can hold.
fn logs() -> impl Iterator<Item = (&'static str, f64)> {
    Encoding::ids().iter().filter_map(|id| {
        let encoding = Encoding::named(id, None).ok()?;
        let log = encoding.reference == Reference::Scene && encoding.transfer.code_per_stop().is_some();
        let black = encoding.transfer.encode(Form::Exact, 0.0);
        (log && black > LEAST && black < 1.0).then_some((*id, black))
    })
}

/// The guess from float values.
fn from_floats(floats: &FloatUse) -> Option<Guess> {
    let share = |count: u64| significant(100.0 * count as f64 / floats.samples.max(1) as f64, 2);
    (floats.greatest > 1.0).then(|| {
        Guess::of_none(format!(
            "likely scene-linear: float values reach {}, {} % lie above 1 and {} % below 0; the values cannot say on \
             which primaries",
            significant(f64::from(floats.greatest), 3),
            share(floats.above_one),
            share(floats.negative)
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};

    fn ramp(low: u32, high: u32) -> CodeUse {
        let words = (low..=high).flat_map(|code| (code << 22 | code << 12 | code << 2).to_be_bytes()).collect();
        let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
        let mut codes = CodeUse::new(10);
        codes.add(&Frame::new(Size::new(high - low + 1, 1), layout, words, 0).unwrap());
        codes
    }

    /// Source: the makers' papers put no light at 95 of 1023 for LogC3 (EI 800) and S-Log3, at 128 for V-Log.
    #[test]
    fn guesses_name_their_reason() {
        let Guess { words: guess, encodings, range } = from_codes(&ramp(95, 800), Some(CodeRange::Full)).unwrap();
        assert!(encodings.contains(&"LogC3") && encodings.contains(&"S-Log3"), "{encodings:?}");
        assert_eq!(range, Some(CodeRange::Full));
        for word in ["likely", "LogC3 94.9", "S-Log3 95.0", "end at 95 of 1023"] {
            assert!(guess.contains(word), "{guess}");
        }
        assert!(!guess.contains("V-Log") && !guess.contains("legal"), "{guess}");
        assert!(from_codes(&ramp(128, 800), None).unwrap().words.contains("V-Log 127.9"));
        assert!(from_codes(&ramp(0, 1023), None).unwrap().words.contains("display-referred"));
        assert_eq!(from_codes(&ramp(300, 500), None), None, "no black, no guess");
    }
}
