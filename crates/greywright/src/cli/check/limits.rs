//! The limits by name: what each holds a shot to unless told, and where that is from.

use std::collections::BTreeMap;

use colour::names;
use serde::Serialize;

use crate::cli::failure::Failure;

/// A limit's place in [`ALL`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Name {
    RgbLow,
    RgbHigh,
    LumaLow,
    LumaHigh,
    R103Area,
    ClippedTop,
    ClippedBottom,
    OutsideGamut,
    BelowZero,
    AboveOne,
    NotFinite,
    BlackLevel,
    BlackTint,
    FlatFrames,
    RepeatedFrames,
    MissingFrames,
    UnreadableFrames,
    TimecodeBreaks,
    TimecodeFaults,
    Rate,
    HeaderChanges,
    HeaderDepth,
    HeaderRange,
    HeaderEncoding,
    UnevenCodes,
}

/// What is said of a limit.
#[derive(Debug, Serialize)]
pub struct Limit {
    #[serde(skip)]
    pub id: Name,
    pub name: &'static str,
    pub unit: &'static str,
    /// Off unless told where there is none.
    pub default: Option<f64>,
    pub meaning: &'static str,
    pub source: &'static str,
    #[serde(skip)]
    pub remedy: &'static str,
}

const PRACTICE: &str = "common practice, no source";
const R103: &str = "EBU R 103 v3.0 (2020)";

const fn limit(
    id: Name,
    name: &'static str,
    unit: &'static str,
    default: Option<f64>,
    [meaning, source, remedy]: [&'static str; 3],
) -> Limit {
    Limit { id, name, unit, default, meaning, source, remedy }
}

/// Every limit, in the order in which a shot is held to them.
pub const ALL: [Limit; 25] = [
    limit(
        Name::RgbLow,
        "r103-rgb-low",
        "% of the way from black to white",
        Some(-5.0),
        ["the least that red, green and blue of legal range may be", R103, ""],
    ),
    limit(
        Name::RgbHigh,
        "r103-rgb-high",
        "% of the way from black to white",
        Some(105.0),
        ["the most that red, green and blue of legal range may be", R103, ""],
    ),
    limit(
        Name::LumaLow,
        "r103-luma-low",
        "% of the way from black to white",
        Some(-5.0),
        ["the least that luma may be; the edition of 2000 said -1", R103, ""],
    ),
    limit(
        Name::LumaHigh,
        "r103-luma-high",
        "% of the way from black to white",
        Some(105.0),
        ["the most that luma may be; the edition of 2000 said 103", R103, ""],
    ),
    limit(
        Name::R103Area,
        "r103-area",
        "% of the picture",
        Some(1.0),
        [
            "pixels outside those four, in any frame",
            R103,
            "bring the signal within legal range before it is written: less exposure or contrast, a shoulder, or an \
             output transform whose rendering keeps to the display",
        ],
    ),
    limit(
        Name::ClippedTop,
        "clipped-top",
        "% of the picture",
        Some(1.0),
        [
            "pixels of one channel at the highest code, or at legal white and above",
            PRACTICE,
            "if the original still has the detail, bring the highlights down with exposure, a shoulder or a rendering",
        ],
    ),
    limit(
        Name::ClippedBottom,
        "clipped-bottom",
        "% of the picture",
        Some(5.0),
        [
            "pixels of one channel at code 0, or at legal black and below; black bars left aside",
            PRACTICE,
            "if the original still has the detail, lift the shadows, or take less flare away",
        ],
    ),
    limit(
        Name::OutsideGamut,
        "outside-gamut",
        "% of the picture",
        Some(0.1),
        [
            "pixels whose colour the narrower gamut does not hold, by more than 1.5 codes explain",
            "P3-D65 within BT.2020: common practice, no source",
            "compress the gamut, or render within that gamut; if the wider one is meant, say it with --gamut",
        ],
    ),
    limit(
        Name::BelowZero,
        "below-zero",
        "% of the picture",
        Some(0.0),
        [
            "pixels with a float below 0: a colour outside the file's primaries",
            PRACTICE,
            "compress the gamut before the frames are written, or encode them on wider primaries",
        ],
    ),
    limit(
        Name::AboveOne,
        "above-one",
        "% of the picture",
        Some(0.0),
        [
            "pixels with a float above 1 where floats are a display's code",
            PRACTICE,
            "bring the highlights within the display: a rendering, a shoulder or less exposure",
        ],
    ),
    limit(
        Name::NotFinite,
        "not-finite",
        "pixels",
        Some(0.0),
        [
            "pixels with a NaN or an infinity, in all frames",
            PRACTICE,
            "find the step that divides by zero where the frames were made, and write them again",
        ],
    ),
    limit(
        Name::BlackLevel,
        "black-level",
        "10-bit codes above black",
        Some(80.0),
        [
            "the darkest thousandth of a frame's blocks of 16 by 16 pixels, or the part that --black marks",
            PRACTICE,
            "take flare away or lower the offset; a scene without a black needs a higher limit",
        ],
    ),
    limit(
        Name::BlackTint,
        "black-tint",
        "10-bit codes",
        Some(4.0),
        [
            "how far red, green and blue part in that black; told where it is within black-level, or marked",
            PRACTICE,
            "balance the blacks: flare a channel, or offsets in the camera's code",
        ],
    ),
    limit(
        Name::FlatFrames,
        "flat-frames",
        "frames",
        None,
        [
            "frames in which all pixels are the same; while off they are told and nothing fails",
            PRACTICE,
            "render them again unless they belong to a fade or a gap",
        ],
    ),
    limit(
        Name::RepeatedFrames,
        "repeated-frames",
        "frames",
        Some(0.0),
        [
            "frames equal to the one before, byte for byte, in a shot whose other frames move; flat ones left aside",
            PRACTICE,
            "render or copy them again; a freeze that is meant needs a higher limit",
        ],
    ),
    limit(
        Name::MissingFrames,
        "missing-frames",
        "frames",
        Some(0.0),
        ["numbers that are missing between the first and the last", PRACTICE, "render or copy them again"],
    ),
    limit(
        Name::UnreadableFrames,
        "unreadable-frames",
        "frames",
        Some(0.0),
        ["files that are cut short, damaged or no picture", PRACTICE, "render or copy them again"],
    ),
    limit(
        Name::TimecodeBreaks,
        "timecode-breaks",
        "breaks",
        Some(0.0),
        [
            "places where time code does not go on as the frame numbers and the rate do",
            "SMPTE ST 12-1",
            "write time code that counts as the frame numbers do, or bring the frames that belong between",
        ],
    ),
    limit(
        Name::TimecodeFaults,
        "timecode-faults",
        "frames",
        Some(0.0),
        [
            "time codes that cannot be: digits, dropped numbers, a drop flag where the rate has none, or none at all \
             among others",
            "SMPTE ST 12-1",
            "write the time code anew at the right rate and kind of counting",
        ],
    ),
    limit(
        Name::Rate,
        "rate",
        "frames a second",
        None,
        ["the rate that every file must say", "the delivery's own", "say the rate in the files that are delivered"],
    ),
    limit(
        Name::HeaderChanges,
        "header-changes",
        "changes",
        Some(0.0),
        [
            "changes of size, storage, encoding, range, rate, pixel aspect, roll or rendering within the sequence",
            PRACTICE,
            "render the frames that differ with the settings of the others",
        ],
    ),
    limit(
        Name::HeaderDepth,
        "header-depth",
        "findings",
        Some(0.0),
        [
            "codes that use fewer bits than the file has, as 8-bit values in 10-bit words do",
            PRACTICE,
            "find the step that worked in fewer bits, and render from the original at full depth",
        ],
    ),
    limit(
        Name::HeaderRange,
        "header-range",
        "contradictions",
        Some(0.0),
        [
            "whether the range that is said fits the codes, and the files what is said with --range",
            "BT.709-6, items 4.6 and 4.8",
            "say the right range, or render with the range that is wanted",
        ],
    ),
    limit(
        Name::HeaderEncoding,
        "header-encoding",
        "frames",
        Some(0.0),
        [
            "frames whose file says another encoding than --display or --input",
            "the file format's own",
            "write the header anew, or say the display that the frames are for",
        ],
    ),
    limit(
        Name::UnevenCodes,
        "uneven-codes",
        "findings",
        None,
        [
            "gaps or doubled codes: stretched or compressed after it was quantised; while off they are told",
            PRACTICE,
            "do the work before the frames are quantised, in one chain",
        ],
    ),
];

impl Name {
    /// What is said of it.
    pub fn limit(self) -> &'static Limit {
        // The order of the names is that of the limits: a test holds it.
        &ALL[self as usize]
    }
}

/// What a run holds shots to.
#[derive(Debug, Clone)]
pub struct Limits(BTreeMap<Name, Option<f64>>);

impl Limits {
    /// The limits that `name=value` texts leave.
    pub fn read(texts: &[String]) -> Result<Limits, Failure> {
        let mut limits: BTreeMap<_, _> = ALL.iter().map(|limit| (limit.id, limit.default)).collect();
        for text in texts {
            let (limit, value) = parse(text).map_err(|why| Failure::usage(format!("--limit {text}: {why}")))?;
            limits.insert(limit.id, value);
        }
        let limits = Limits(limits);
        for (low, high) in [(Name::RgbLow, Name::RgbHigh), (Name::LumaLow, Name::LumaHigh)] {
            if let (Some(least), Some(most)) = (limits.of(low), limits.of(high))
                && least >= most
            {
                let names = [low, high].map(|name| name.limit().name);
                return Err(Failure::usage(format!("--limit: {}={least} is not below {}={most}", names[0], names[1])));
            }
        }
        Ok(limits)
    }

    /// A limit; none where it is off.
    pub fn of(&self, name: Name) -> Option<f64> {
        self.0.get(&name).copied().flatten()
    }
}

fn parse(text: &str) -> Result<(&'static Limit, Option<f64>), String> {
    let (name, value) = text.split_once('=').ok_or("name=value is wanted, for instance clipped-top=0.5 or rate=off")?;
    let limit = ALL.iter().find(|limit| limit.name == name.trim()).ok_or_else(|| {
        let near = names::near(name, ALL.iter().map(|limit| limit.name));
        format!("there is no such limit; near are {near}; --limits lists them all")
    })?;
    let value = match value.trim() {
        "off" => None,
        number => {
            let number: f64 = number.parse().map_err(|_| format!("a number of {} or off is wanted", limit.unit))?;
            let may_be_negative = matches!(limit.id, Name::RgbLow | Name::LumaLow);
            if !number.is_finite() || (number < 0.0 && !may_be_negative) {
                return Err(format!("a number of {} that is not negative, or off, is wanted", limit.unit));
            }
            Some(number)
        }
    };
    Ok((limit, value))
}

/// The limits for people, as this run holds shots to them.
pub fn table(limits: &Limits) -> String {
    let width = ALL.iter().map(|limit| limit.name.len()).max().unwrap_or(0);
    let rows = ALL.iter().map(|limit| {
        let value = |value: Option<f64>| value.map_or_else(|| "off".to_string(), |value| value.to_string());
        let (now, default) = (value(limits.of(limit.id)), value(limit.default));
        let told = if now == default { String::new() } else { format!(" ({default} unless told)") };
        let unit = if now == "off" { String::new() } else { format!(" {}", limit.unit) };
        format!(
            "{:width$}  {now}{unit}{told}\n{:width$}    {}\n{:width$}    from: {}\n",
            limit.name, "", limit.meaning, "", limit.source
        )
    });
    rows.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_find_their_limits() {
        for limit in &ALL {
            assert_eq!(limit.id.limit().name, limit.name);
        }
    }

    #[test]
    fn limits_are_read_and_refused() {
        let texts = ["clipped-top=0.5".to_string(), "rate = 24".to_string(), "black-tint=off".to_string()];
        let limits = Limits::read(&texts).unwrap();
        assert_eq!((limits.of(Name::ClippedTop), limits.of(Name::Rate)), (Some(0.5), Some(24.0)));
        assert_eq!((limits.of(Name::BlackTint), limits.of(Name::BlackLevel)), (None, Some(80.0)));
        for (text, words) in [
            ("cliped-top=1", "near are clipped-top"),
            ("clipped-top", "name=value"),
            ("clipped-top=much", "% of the picture or off"),
            ("clipped-top=-1", "not negative"),
            ("clipped-top=nan", "not negative"),
            ("r103-rgb-low=110", "is not below r103-rgb-high=105"),
        ] {
            let failure = Limits::read(&[text.to_string()]).unwrap_err();
            assert!(failure.code == 2 && failure.message.contains(words), "{text}: {}", failure.message);
        }
    }
}
