//! Reading: one look at the header, then the picture in one piece.

use std::io::Read;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use rayon::prelude::*;

use super::header::{Fields, GENERIC_LEN, HEADER_LEN, at};
use crate::limits::checked_len;
use crate::read::Source;
use crate::{About, MediaError, Note, Picture, Timecode};

/// The remedy for a DPX file of another kind.
const REMEDY: &str = "10-bit RGB in filled 32-bit words is: convert the file to that";
const SIZE_FIELD: &str = "pixels per line and lines per element";

/// Where the picture lies in the file and how it is packed.
struct Place {
    size: Size,
    layout: Layout,
    start: usize,
    /// Bytes of the picture without padding.
    len: usize,
    /// Bytes that follow each line.
    padding: usize,
    /// Padding bits on top of the word instead of below.
    method_b: bool,
}

pub(crate) fn read(mut source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let failed = |error| MediaError::reading(path, error);
    let mut bytes = Vec::new();
    (&mut source.file).take(HEADER_LEN as u64).read_to_end(&mut bytes).map_err(failed)?;
    let short = |expected: u64, found: u64| MediaError::Truncated { path: path.to_owned(), expected, found };
    if bytes.len() < GENERIC_LEN {
        return Err(short(GENERIC_LEN as u64, bytes.len() as u64));
    }
    let order = if bytes.starts_with(b"SDPX") { ByteOrder::Big } else { ByteOrder::Little };
    let fields = Fields { bytes: &bytes, order };
    let place = place(&fields, &source)?;
    let about = about(&fields);
    let stored = place.len as u64 + place.padding as u64 * u64::from(place.size.height - 1);
    let end = place.start as u64 + stored;
    if source.len < end {
        return Err(short(end, source.len));
    }
    let rest = end.saturating_sub(bytes.len() as u64);
    bytes.reserve_exact(usize::try_from(rest).unwrap_or(0));
    source.file.take(rest).read_to_end(&mut bytes).map_err(failed)?;
    // The file may have shrunk since its length was asked for.
    if (bytes.len() as u64) < end {
        return Err(short(end, bytes.len() as u64));
    }
    let start = if place.padding > 0 { unpad(&mut bytes, &place) } else { place.start };
    if place.method_b {
        method_a_from_b(&mut bytes[start..start + place.len], order);
    }
    let frame = Frame::new(place.size, place.layout, bytes, start)
        .map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// Checks every field that says how to read the picture.
fn place(fields: &Fields<'_>, source: &Source<'_>) -> Result<Place, MediaError> {
    let path = source.path;
    let damaged = |what: String| Err(MediaError::damaged(path, what));
    let size = Size::new(fields.u32(at::WIDTH).unwrap_or(0), fields.u32(at::HEIGHT).unwrap_or(0));
    let layout = Layout::new(Channels::Rgb, Samples::Ten, fields.order);
    check_kind(fields, source)?;
    let len = checked_len(path, SIZE_FIELD, size, layout)?;
    let image_offset = fields.u32(at::IMAGE_OFFSET).unwrap_or(0);
    // The element's own offset is the one to go by; some writers leave it out.
    let start = match fields.u32(at::DATA_OFFSET) {
        None | Some(0) => image_offset,
        Some(offset) => offset,
    } as usize;
    if start < GENERIC_LEN {
        return damaged(format!("the picture's offset is {start}, inside the header"));
    }
    let padding = fields.u32(at::LINE_PADDING).unwrap_or(0) as usize;
    if padding as u64 >= source.len {
        return damaged(format!("{padding} bytes of padding after each line are more than the file has"));
    }
    let method_b = fields.u16(at::PACKING) == Some(2);
    Ok(Place { size, layout, start, len, padding, method_b })
}

/// Refuses, by name, every kind of DPX file but the one that is read.
fn check_kind(fields: &Fields<'_>, source: &Source<'_>) -> Result<(), MediaError> {
    let refuse = |what: String| Err(MediaError::unsupported(source.path, what, REMEDY));
    let told = |value: Option<u16>| value.map_or("undefined".to_owned(), |v| v.to_string());
    match fields.u16(at::ELEMENTS) {
        Some(1) => {}
        Some(count @ 2..=8) => return refuse(format!("DPX with {count} image elements")),
        other => {
            let what = format!("the number of image elements is {}", told(other));
            return Err(MediaError::damaged(source.path, what));
        }
    }
    match fields.u8(at::DESCRIPTOR) {
        Some(50) => {}
        other => return refuse(format!("DPX with {}", descriptor_name(other))),
    }
    match fields.u8(at::BITS) {
        Some(10) => {}
        Some(bits) => return refuse(format!("{bits}-bit DPX")),
        None => return refuse("DPX without a bit depth".to_owned()),
    }
    match fields.u16(at::PACKING) {
        Some(1 | 2) => {}
        Some(0) => return refuse("10-bit DPX packed across words (packing 0)".to_owned()),
        other => return refuse(format!("DPX packing {}", told(other))),
    }
    if let Some(encoding @ 1..) = fields.u16(at::ENCODING) {
        return refuse(format!("run-length encoded DPX (encoding {encoding})"));
    }
    if let Some(orientation @ 1..) = fields.u16(at::ORIENTATION) {
        return refuse(format!("DPX with image orientation {orientation}, not left to right from the top,"));
    }
    if let Some(1..) = fields.u32(at::SIGN) {
        return refuse("DPX with signed samples".to_owned());
    }
    if let Some(1..) = fields.u32(at::ENCRYPTION) {
        return refuse("encrypted DPX".to_owned());
    }
    Ok(())
}

fn descriptor_name(descriptor: Option<u8>) -> String {
    let name = match descriptor {
        None => return "no element descriptor".to_owned(),
        Some(1) => "red only",
        Some(2) => "green only",
        Some(3) => "blue only",
        Some(4) => "alpha only",
        Some(6) => "luma only",
        Some(7) => "colour difference only",
        Some(8) => "depth",
        Some(9) => "composite video",
        Some(51) => "RGBA",
        Some(52) => "ABGR",
        Some(100..=103) => "luma and colour difference",
        Some(_) => "samples of unknown kind",
    };
    format!("{name} (descriptor {})", descriptor.unwrap_or(0))
}

/// Transfer and colorimetric bytes are often wrong in the wild, so no encoding is taken from them.
fn about(fields: &Fields<'_>) -> About {
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
    // Only reference codes that mean one thing alone are believed.
    about.range = match (fields.u32(at::LOW_CODE), fields.u32(at::HIGH_CODE)) {
        (Some(0), Some(1023)) => Some(Range::Full),
        (Some(64), Some(940)) => Some(Range::Legal),
        _ => None,
    };
    let rate = |place| fields.f32(place).filter(|rate| *rate > 0.0 && *rate <= 1000.0);
    about.rate = rate(at::TELEVISION_RATE).or_else(|| rate(at::FILM_RATE)).map(exact_rate);
    about.timecode =
        fields.u32(at::TIME_CODE).map(|time| Timecode { time, user: fields.u32(at::USER_BITS).unwrap_or(0) });
    about
}

/// The rate that a single float stands for: 23.976 and its like are thousands over 1001.
fn exact_rate(rate: f32) -> f64 {
    let rate = f64::from(rate);
    let drop = (rate * 1.001).round() / 1.001;
    // A header may hold 23.98 for 24/1.001; whole rates are told apart by far more than 0.005.
    if (rate - rate.round()).abs() > 1e-4 && (rate - drop).abs() < 5e-3 { drop } else { rate }
}

/// Moves the lines together and returns where the picture now begins.
fn unpad(bytes: &mut [u8], place: &Place) -> usize {
    let line = place.len / place.size.height as usize;
    for row in 1..place.size.height as usize {
        let from = place.start + row * (line + place.padding);
        bytes.copy_within(from..from + line, place.start + row * line);
    }
    place.start
}

/// Moves the two padding bits from the top of each word to its bottom.
fn method_a_from_b(bytes: &mut [u8], order: ByteOrder) {
    bytes.par_chunks_mut(1 << 16).for_each(|chunk| {
        for word in chunk.as_chunks_mut::<4>().0 {
            *word = match order {
                ByteOrder::Big => (u32::from_be_bytes(*word) << 2).to_be_bytes(),
                ByteOrder::Little => (u32::from_le_bytes(*word) << 2).to_le_bytes(),
            };
        }
    });
}
