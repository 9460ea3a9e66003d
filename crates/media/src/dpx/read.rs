//! Reading: one look at the header, then the picture in one piece.

use std::io::{Read, Seek, SeekFrom};

use frame::{ByteOrder, Frame, Range};
use rayon::prelude::*;

use super::element::{Element, Packing, descriptor_name};
use super::header::{Fields, GENERIC_LEN, HEADER_LEN, at};
use super::lines::{Lines, Told};
use super::unpack;
use crate::limits::MAX_FRAME_BYTES;
use crate::read::Source;
use crate::turn;
use crate::{About, MediaError, Note, Picture, Timecode};

pub(crate) fn read(mut source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let mut header = Vec::new();
    (&mut source.file)
        .take(HEADER_LEN as u64)
        .read_to_end(&mut header)
        .map_err(|error| MediaError::reading(path, error))?;
    if header.len() < GENERIC_LEN {
        let (expected, found) = (GENERIC_LEN as u64, header.len() as u64);
        return Err(MediaError::Truncated { path: path.to_owned(), expected, found });
    }
    let order = if header.starts_with(b"SDPX") { ByteOrder::Big } else { ByteOrder::Little };
    let fields = Fields { bytes: &header, order };
    let element = Element::of(&fields, &source)?;
    let mut about = about(&fields, element.bits);
    about.warnings.extend(further_elements(&fields));
    let (lines, decided) = Lines::find(&element, Told::of(&fields), source.len);
    about.warnings.extend(decided);
    let bytes = stored(source, &element, &lines)?;

    let layout = element.layout();
    let mut bytes =
        if element.is_plain() { plain(bytes, &element, &lines) } else { unpack::codes(&element, &lines, &bytes) };
    let mut size = element.stored;
    if element.orientation != 0 {
        (bytes, size) = turn::upright(&bytes, size, layout.bytes_per_pixel(), element.orientation);
    }
    let frame = Frame::new(size, layout, bytes, 0).map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// The picture's bytes as they are in the file, padding and all.
fn stored(mut source: Source<'_>, element: &Element, lines: &Lines) -> Result<Vec<u8>, MediaError> {
    let path = source.path;
    let failed = |error| MediaError::reading(path, error);
    let short = |found| MediaError::Truncated { path: path.to_owned(), expected: element.start + lines.len, found };
    if source.len < element.start + lines.len {
        return Err(short(source.len));
    }
    if lines.len > MAX_FRAME_BYTES {
        let what = format!("with the padding after each line the picture has {} bytes", lines.len);
        return Err(MediaError::damaged(path, what));
    }
    source.file.seek(SeekFrom::Start(element.start)).map_err(failed)?;
    let mut bytes = Vec::new();
    bytes.reserve_exact(lines.len as usize);
    source.file.take(lines.len).read_to_end(&mut bytes).map_err(failed)?;
    // The file may have shrunk since its length was asked for.
    if (bytes.len() as u64) < lines.len {
        return Err(short(element.start + bytes.len() as u64));
    }
    Ok(bytes)
}

/// What lies behind the first image element, in words.
fn further_elements(fields: &Fields<'_>) -> Option<String> {
    let count = usize::from(fields.u16(at::ELEMENTS).unwrap_or(1)).min(8);
    if count < 2 {
        return None;
    }
    let names: Vec<String> =
        (1..count).map(|i| descriptor_name(fields.u8(at::DESCRIPTOR + i * at::ELEMENT_LEN))).collect();
    Some(format!("the file holds {count} image elements: the first is used, not {}", names.join(", ")))
}

/// Transfer and colorimetric bytes are often wrong in the wild, so no encoding is taken from them.
fn about(fields: &Fields<'_>, bits: u8) -> About {
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
    about
}

/// The rate that a single float stands for: 23.976 and its like are thousands over 1001.
fn exact_rate(rate: f32) -> f64 {
    let rate = f64::from(rate);
    let drop = (rate * 1.001).round() / 1.001;
    // A header may hold 23.98 for 24/1.001; whole rates are told apart by far more than 0.005.
    if (rate - rate.round()).abs() > 1e-4 && (rate - drop).abs() < 5e-3 { drop } else { rate }
}

/// Bytes that need no unpacking: lines moved together, method B made method A.
fn plain(mut bytes: Vec<u8>, element: &Element, lines: &Lines) -> Vec<u8> {
    let line = lines.line as usize;
    if let Some(stride) = lines.stride.map(|stride| stride as usize).filter(|&stride| stride > line) {
        for row in 1..element.stored.height as usize {
            bytes.copy_within(row * stride..row * stride + line, row * line);
        }
        // What is left behind is no line of the picture, and must not be turned as one.
        bytes.truncate(line * element.stored.height as usize);
    }
    if element.packing == Packing::MethodB {
        method_a_from_b(&mut bytes, element.order);
    }
    bytes
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
