//! Attributes that say what the numbers are.

use exr::math::Vec2;
use exr::meta::attribute::{AttributeValue, Chromaticities, Text, TimeCode};
use exr::meta::header::Header;

use crate::{About, Note, Timecode};

/// The attribute of ST 2065-4.
const ACES_FLAG: &str = "acesImageContainerFlag";

/// The standard attribute for the camera roll.
const ROLL: &str = "reelName";

/// Our own attribute for how the picture was rendered; the format leaves names open.
const RENDERING: &str = "rendering";

/// Frames a second under another name than the standard's `framesPerSecond`, as a rational or a float: seen in files
/// that OpenImageIO wrote. It counts where the standard attribute is absent, and is never written.
const RATE_OF_OTHERS: &str = "FramesPerSecond";

/// Red, green, blue and white, x and y.
type Primaries = [(f32, f32); 4];

/// White of the ACES encodings.
const ACES_WHITE: (f32, f32) = (0.32168, 0.33767);
/// D65 as BT.709 and BT.2020 print it.
const D65: (f32, f32) = (0.3127, 0.3290);

/// Linear encodings with the chromaticities that name them.
///
/// # Source
/// AP0: SMPTE ST 2065-1. AP1: Academy S-2014-004. BT.709: ITU-R BT.709-6. BT.2020: ITU-R BT.2020-2.
/// P3-D65: SMPTE EG 432-1.
const LINEAR: [(&str, Primaries); 5] = [
    ("ACES2065-1", [(0.7347, 0.2653), (0.0, 1.0), (0.0001, -0.077), ACES_WHITE]),
    ("ACEScg", [(0.713, 0.293), (0.165, 0.83), (0.128, 0.044), ACES_WHITE]),
    ("Linear-BT.709", [(0.64, 0.33), (0.3, 0.6), (0.15, 0.06), D65]),
    ("Linear-BT.2020", [(0.708, 0.292), (0.17, 0.797), (0.131, 0.046), D65]),
    ("Linear-P3-D65", [(0.68, 0.32), (0.265, 0.69), (0.15, 0.06), D65]),
];

/// How far a chromaticity may be off: files print four or five decimals.
const TOLERANCE: f32 = 2e-5;

/// Encodings that the chromaticities prove: AP0 and AP1 are written on purpose, the others also by
/// programs that know nothing of the picture.
const PROVEN: [&str; 2] = ["ACES2065-1", "ACEScg"];

/// What a header tells beside its picture.
pub(super) fn about(header: &Header) -> About {
    let mut about = About::default();
    let own = &header.own_attributes;
    let texts = [
        (Note::Copyright, &own.owner),
        (Note::Comment, &own.comments),
        (Note::Created, &own.capture_date),
        (Note::Creator, &own.software_name),
    ];
    for (note, text) in texts {
        if let Some(text) = text {
            about.note(note, &text.to_string());
        }
    }
    about.rate = match (own.frames_per_second, attribute(header, RATE_OF_OTHERS)) {
        (Some(rate), _) => quotient(rate),
        (None, Some(AttributeValue::Rational(rate))) => quotient(*rate),
        (None, Some(AttributeValue::F32(rate))) => {
            Some(f64::from(*rate)).filter(|rate| *rate > 0.0 && rate.is_finite())
        }
        (None, _) => None,
    };
    let aspect = f64::from(header.shared_attributes.pixel_aspect);
    about.pixel_aspect = (aspect > 0.0 && aspect.is_finite() && aspect != 1.0).then_some(aspect);
    about.timecode = header.shared_attributes.time_code.and_then(raw_timecode);
    about.encoding = proven_encoding(header);
    about.chromaticities = header
        .shared_attributes
        .chromaticities
        .map(|found| [found.red, found.green, found.blue, found.white].map(|xy| [decimal(xy.x()), decimal(xy.y())]));
    about.camera_roll = text_of(header, ROLL);
    about.rendering = text_of(header, RENDERING);
    about
}

fn quotient((over, under): (i32, u32)) -> Option<f64> {
    (over > 0 && under > 0).then(|| f64::from(over) / f64::from(under))
}

fn proven_encoding(header: &Header) -> Option<(String, String)> {
    let found = header.shared_attributes.chromaticities?;
    let (id, _) = LINEAR.iter().find(|(_, primaries)| matches(&found, primaries))?;
    if !PROVEN.contains(id) {
        return None;
    }
    let flagged = attribute(header, ACES_FLAG) == Some(&AttributeValue::I32(1));
    let reason = match (*id, flagged) {
        ("ACES2065-1", true) => "ACES image container flag and AP0 chromaticities",
        ("ACES2065-1", false) => "AP0 chromaticities in a float file",
        _ => "AP1 chromaticities in a float file",
    };
    Some(((*id).to_owned(), reason.to_owned()))
}

/// A text that the library has no name for, unless it is empty.
fn text_of(header: &Header, name: &str) -> Option<String> {
    match attribute(header, name) {
        Some(AttributeValue::Text(text)) => Some(text.to_string().trim().to_owned()).filter(|text| !text.is_empty()),
        _ => None,
    }
}

/// An attribute that the library has no name for.
fn attribute<'a>(header: &'a Header, name: &str) -> Option<&'a AttributeValue> {
    let name = Text::from(name);
    [&header.shared_attributes.other, &header.own_attributes.other].into_iter().find_map(|other| other.get(&name))
}

/// The decimal number that was meant: single float holds seven digits, chromaticities have five at most.
fn decimal(number: f32) -> f64 {
    (f64::from(number) * 1e6).round() / 1e6
}

fn matches(found: &Chromaticities, primaries: &Primaries) -> bool {
    [found.red, found.green, found.blue, found.white]
        .iter()
        .zip(primaries)
        .all(|(a, b)| (a.x() - b.0).abs() < TOLERANCE && (a.y() - b.1).abs() < TOLERANCE)
}

/// The nibbles of ST 12; `None` for a code that is no time.
fn raw_timecode(code: TimeCode) -> Option<Timecode> {
    let time = code.pack_time_as_tv60_u32().ok()?;
    Some(Timecode { time, user: code.pack_user_data_as_u32() })
}

/// Puts on the header what the picture is said to be.
pub(super) fn describe(header: &mut Header, about: &About) {
    let id = about.encoding_id();
    let told = about.chromaticities.map(|told| told.map(|[x, y]| (x as f32, y as f32)));
    // An encoding that is known is never contradicted.
    let named = LINEAR.iter().find(|(known, _)| Some(*known) == id).map(|(_, primaries)| *primaries);
    header.shared_attributes.chromaticities = named.or(told).map(|primaries| {
        let [red, green, blue, white] = primaries.map(|(x, y)| Vec2(x, y));
        Chromaticities { red, green, blue, white }
    });
    header.shared_attributes.pixel_aspect = about.pixel_aspect.map_or(1.0, |aspect| aspect as f32);
    header.shared_attributes.time_code = about
        .timecode
        .map(|code| TimeCode::from_tv60_time(code.time, code.user))
        .filter(|code| code.validate(true).is_ok());
    let own = &mut header.own_attributes;
    own.frames_per_second = about.rate.and_then(rational_rate);
    // A text that is not Latin 1 cannot be stored; an empty one must not be.
    let text = |note: Note| about.notes.get(&note).and_then(Text::new_or_none);
    own.owner = text(Note::Copyright);
    own.comments = text(Note::Comment);
    own.capture_date = text(Note::Created);
    own.software_name = text(Note::Creator);
    for (name, text) in [(ROLL, &about.camera_roll), (RENDERING, &about.rendering)] {
        if let Some(text) = text.as_ref().and_then(Text::new_or_none) {
            own.other.insert(Text::from(name), AttributeValue::Text(text));
        }
    }
}

/// Puts on the header what makes an ACES image container of it, beside layout and chromaticities.
///
/// # Source
/// SMPTE ST 2065-4: the flag; `adoptedNeutral`, which for ACES2065-1 is the ACES white.
pub(super) fn describe_container(header: &mut Header) {
    header.own_attributes.other.insert(Text::from(ACES_FLAG), AttributeValue::I32(1));
    header.own_attributes.adopted_neutral = Some(Vec2(ACES_WHITE.0, ACES_WHITE.1));
}

/// Whole rates over 1, the broadcast ones over 1001, anything else in thousandths.
fn rational_rate(rate: f64) -> Option<(i32, u32)> {
    if !(rate > 0.0 && rate <= 1000.0) {
        return None;
    }
    for (over, under) in [(1.0, 1_u32), (1001.0, 1001), (1000.0, 1000)] {
        let top = (rate * over).round();
        // 1e-6 of a frame a second: far finer than two rates in use.
        if (top / f64::from(under) - rate).abs() < 1e-6 && (under != 1001 || top % 1000.0 == 0.0) {
            return Some((top as i32, under));
        }
    }
    Some(((rate * 1000.0).round() as i32, 1000))
}

#[cfg(test)]
mod tests {
    use super::*;
    use exr::meta::attribute::{ChannelDescription, SampleType};

    #[test]
    fn rates_are_fractions() {
        assert_eq!(rational_rate(24.0), Some((24, 1)));
        assert_eq!(rational_rate(24000.0 / 1001.0), Some((24000, 1001)));
        assert_eq!(rational_rate(30000.0 / 1001.0), Some((30000, 1001)));
        assert_eq!(rational_rate(12.5), Some((12500, 1000)));
        assert_eq!(rational_rate(f64::NAN), None);
    }

    #[test]
    fn a_rate_under_another_name_counts_where_the_standard_one_is_absent() {
        let rate = |standard, other: Option<AttributeValue>| {
            let channels = [("R", SampleType::F16)].map(|(name, kind)| ChannelDescription::new(name, kind, false));
            let mut header = Header::new(Text::from(""), Vec2(1, 1), channels.into_iter().collect());
            header.own_attributes.frames_per_second = standard;
            if let Some(other) = other {
                header.own_attributes.other.insert(Text::from(RATE_OF_OTHERS), other);
            }
            about(&header).rate
        };
        let ntsc = || Some(AttributeValue::Rational((24000, 1001)));
        assert_eq!(rate(None, ntsc()), Some(24000.0 / 1001.0));
        assert_eq!(rate(None, Some(AttributeValue::F32(25.0))), Some(25.0));
        assert_eq!(rate(Some((30, 1)), ntsc()), Some(30.0));
        for none in [AttributeValue::F32(f32::NAN), AttributeValue::F32(-1.0), AttributeValue::Rational((0, 0))] {
            assert_eq!(rate(None, Some(none)), None);
        }
    }

    /// Source: OpenEXR's packing for 60-field television, SMPTE ST 12: one decimal digit a nibble.
    #[test]
    fn timecodes_keep_their_nibbles() {
        for time in [0x0102_0304, 0x0102_0344, 0x2359_5923] {
            let code = TimeCode::from_tv60_time(time, 0x1234_5678);
            assert_eq!(raw_timecode(code), Some(Timecode { time, user: 0x1234_5678 }));
        }
    }
}
