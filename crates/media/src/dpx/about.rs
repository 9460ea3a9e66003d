//! What the header tells beside the picture.

use frame::Range;

use super::characteristics;
use super::header::{Fields, at};
use super::rendering::of_description;
use super::slate::roll_on;
use crate::{About, Note, Timecode};

/// Everything that is told and means something. Transfer and colorimetric bytes are often wrong in the wild, so
/// no encoding is taken from them: they are passed on in words.
pub(super) fn about(fields: &Fields<'_>, bits: u8) -> About {
    let mut about = About::default();
    let texts = [
        (Note::Project, at::PROJECT),
        (Note::Copyright, at::COPYRIGHT),
        (Note::Creator, at::CREATOR),
        (Note::Created, at::CREATED),
        (Note::Source, at::SOURCE_FILE),
        (Note::Device, at::DEVICE),
        (Note::Slate, at::SLATE),
    ];
    for (note, field) in texts {
        about.note(note, &fields.text(field));
    }
    about.camera_roll = about.notes.get(&Note::Slate).and_then(|slate| roll_on(slate));
    about.characteristics = [at::TRANSFER, at::COLORIMETRIC].map(|place| fields.u8(place));
    about.header_says = characteristics::in_words(about.characteristics);
    about.rendering = of_description(&fields.text(at::DESCRIPTION));
    // Only reference codes that mean one thing alone, in the file's own bits, are believed.
    let legal = (16 << (bits - 8), 235 << (bits - 8));
    about.range = match (fields.u32(at::LOW_CODE), fields.u32(at::HIGH_CODE)) {
        (Some(0), Some(high)) if high == (1 << bits) - 1 => Some(Range::Full),
        (Some(low), Some(high)) if (low, high) == legal => Some(Range::Legal),
        _ => None,
    };
    let rate = |place| fields.f32(place).filter(|rate| *rate > 0.0 && *rate <= 1000.0);
    about.rate = rate(at::TELEVISION_RATE).or_else(|| rate(at::FILM_RATE)).map(exact_rate);
    about.timecode =
        fields.u32(at::TIME_CODE).map(|time| Timecode { time, user: fields.u32(at::USER_BITS).unwrap_or(0) });
    about.pixel_aspect = pixel_aspect(fields);
    about
}

/// The rate that a single float stands for: 23.976 and its like are thousands over 1001.
fn exact_rate(rate: f32) -> f64 {
    let rate = f64::from(rate);
    let drop = (rate * 1.001).round() / 1.001;
    // A header may hold 23.98 for 24/1.001; whole rates are told apart by far more than 0.005.
    if (rate - rate.round()).abs() > 1e-4 && (rate - drop).abs() < 5e-3 { drop } else { rate }
}

/// Horizontal over vertical, where both are told and differ.
fn pixel_aspect(fields: &Fields<'_>) -> Option<f64> {
    let horizontal = fields.u32(at::PIXEL_ASPECT).filter(|&part| part > 0)?;
    let vertical = fields.u32(at::PIXEL_ASPECT + 4).filter(|&part| part > 0)?;
    (horizontal != vertical).then(|| f64::from(horizontal) / f64::from(vertical))
}

/// The ratio of the smallest whole numbers that is as good as equal to `aspect`; 1 to 1 for what is no aspect.
pub(super) fn aspect_ratio(aspect: Option<f64>) -> (u32, u32) {
    // What a ratio of two 32-bit numbers can hold with digits to spare.
    let Some(aspect) = aspect.filter(|aspect| (1e-3..=1e3).contains(aspect)) else { return (1, 1) };
    // Continued fraction: each step the best ratio with numbers of its size.
    let (mut before, mut last) = ((0_u64, 1_u64), (1_u64, 0_u64));
    let mut rest = aspect;
    loop {
        let whole = rest.floor();
        let next = (whole as u64 * last.0 + before.0, whole as u64 * last.1 + before.1);
        let (Ok(over), Ok(under)) = (u32::try_from(next.0), u32::try_from(next.1)) else {
            return (last.0 as u32, last.1 as u32);
        };
        // As good as a single float, which is what other formats hold.
        if (f64::from(over) / f64::from(under) / aspect - 1.0).abs() < 1e-7 {
            return (over, under);
        }
        (before, last) = (last, next);
        rest = 1.0 / (rest - whole);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn aspects_are_small_ratios() {
        for (aspect, ratio) in [
            (None, (1, 1)),
            (Some(1.0), (1, 1)),
            (Some(2.0), (2, 1)),
            (Some(16.0 / 15.0), (16, 15)),
            (Some(0.9), (9, 10)),
            // What a single float makes of 4 to 3.
            (Some(f64::from(4.0_f32 / 3.0)), (4, 3)),
            (Some(1.0 / 1000.0), (1, 1000)),
            (Some(f64::NAN), (1, 1)),
            (Some(-2.0), (1, 1)),
            (Some(f64::INFINITY), (1, 1)),
        ] {
            assert_eq!(aspect_ratio(aspect), ratio, "{aspect:?}");
        }
        for aspect in [std::f64::consts::PI, 999.999_9, 0.001_000_01, 1.000_001] {
            let (over, under) = aspect_ratio(Some(aspect));
            assert!((f64::from(over) / f64::from(under) / aspect - 1.0).abs() < 1e-7, "{aspect}: {over}/{under}");
        }
    }
}
