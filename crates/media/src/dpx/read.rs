//! Reading: one look at the header, then the picture in one piece.

use std::io::{Seek, SeekFrom};

use frame::{ByteOrder, Frame};
use rayon::prelude::*;

use super::about::about;
use super::element::{Element, Packing, descriptor_name};
use super::header::{Fields, GENERIC_LEN, HEADER_LEN, at};
use super::lines::{Lines, Told};
use super::{runs, unpack};
use crate::limits::MAX_FRAME_BYTES;
use crate::read::Source;
use crate::turn;
use crate::{MediaError, Picture};

pub(crate) fn read(mut source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let mut header = Vec::new();
    source.file.read_most(HEADER_LEN as u64, &mut header).map_err(|error| MediaError::reading(path, error))?;
    if header.len() < GENERIC_LEN {
        let (expected, found) = (GENERIC_LEN as u64, header.len() as u64);
        return Err(MediaError::Truncated { path: path.to_owned(), expected, found });
    }
    let order = if header.starts_with(b"SDPX") { ByteOrder::Big } else { ByteOrder::Little };
    let fields = Fields { bytes: &header, order };
    let element = Element::of(&fields, &source)?;
    let mut about = about(&fields, element.bits);
    about.warnings.extend(further_elements(&fields));
    let told = Told::of(&fields);
    let (mut bytes, decided) =
        if element.has_runs { from_runs(source, &element, told)? } else { from_lines(source, &element, told)? };
    about.warnings.extend(decided);

    let layout = element.layout();
    let mut size = element.stored;
    if element.orientation != 0 {
        (bytes, size) = turn::upright(&bytes, size, layout.bytes_per_pixel(), element.orientation);
    }
    let frame = Frame::new(size, layout, bytes, 0).map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// The frame's bytes, and what had to be decided.
type Decoded = (Vec<u8>, Option<String>);

/// From a picture whose lines have their place.
fn from_lines(source: Source<'_>, element: &Element, told: Told) -> Result<Decoded, MediaError> {
    let path = source.path;
    let (lines, decided) = Lines::find(element, told, source.len);
    if lines.len > MAX_FRAME_BYTES && element.start + lines.len <= source.len {
        let what = format!("with the padding after each line the picture has {} bytes", lines.len);
        return Err(MediaError::damaged(path, what));
    }
    let bytes = stored(source, element.start, lines.len, lines.len)?;
    let bytes = if element.is_plain() { plain(bytes, element, &lines) } else { unpack::codes(element, &lines, &bytes) };
    Ok((bytes, decided))
}

/// From a picture made of runs, whose length only they tell.
fn from_runs(source: Source<'_>, element: &Element, told: Told) -> Result<Decoded, MediaError> {
    let path = source.path;
    let most = runs::most_len(element, told.line_padding).min(2 * MAX_FRAME_BYTES);
    let bytes = stored(source, element.start, runs::least_len(element), most)?;
    runs::codes(element, told.line_padding as usize, &bytes).map_err(|what| MediaError::damaged(path, what))
}

/// The picture's bytes as they are in the file, padding and all: `least` of them must be there, more than
/// `most` are no part of it.
fn stored(mut source: Source<'_>, start: u64, least: u64, most: u64) -> Result<Vec<u8>, MediaError> {
    let path = source.path;
    let failed = |error| MediaError::reading(path, error);
    let short = |found| MediaError::Truncated { path: path.to_owned(), expected: start + least, found };
    if source.len < start + least {
        return Err(short(source.len));
    }
    source.file.seek(SeekFrom::Start(start)).map_err(failed)?;
    let len = most.min(source.len - start);
    let mut bytes = Vec::new();
    bytes.reserve_exact(len as usize);
    source.file.read_most(len, &mut bytes).map_err(failed)?;
    // The file may have shrunk since its length was asked for.
    if (bytes.len() as u64) < least {
        return Err(short(start + bytes.len() as u64));
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
