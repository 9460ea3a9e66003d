//! Strips and tiles: where they are, out of their compression, into the frame.

use std::borrow::Cow;
use std::io::{self, Read, Seek};
use std::path::Path;

use flate2::read::ZlibDecoder;
use frame::{ByteOrder, Samples};
use rayon::prelude::*;
use weezl::{BitOrder, LzwStatus};

use super::directory::{Directory, invalid, tag};
use super::form::{Compression, Form, Predictor};
use crate::MediaError;
use crate::limits::check_ratio;

/// The picture's bytes in the frame's layout, colour not yet multiplied by alpha, rows as stored.
pub(super) fn picture<R: Read + Seek>(
    path: &Path,
    fields: &mut Directory<R>,
    form: &Form,
    file_len: u64,
) -> Result<Vec<u8>, MediaError> {
    let chunks = stored(path, fields, form, file_len)?;
    let order = fields.order;
    let across = form.size.width.div_ceil(form.chunk.width) as usize;
    let per_plane = across * form.size.height.div_ceil(form.chunk.height) as usize;
    let stride = form.size.width as usize * form.layout.bytes_per_pixel();
    let mut bytes = vec![0; stride * form.size.height as usize];
    let bands = bytes.par_chunks_mut(stride * form.chunk.height as usize).enumerate();
    bands
        .try_for_each(|(down, band)| {
            let rows = (band.len() / stride) as u32;
            let mine = chunks.iter().enumerate().filter(|(at, _)| at % per_plane / across == down);
            for (at, chunk) in mine {
                let plane = at / per_plane;
                let slots = if form.planar { form.slots.get(plane..=plane).unwrap_or_default() } else { &form.slots };
                let plain = decompressed(chunk, form, rows)?;
                let plain = plain.par_chunks_exact(form.row_len() as usize);
                band.par_chunks_exact_mut(stride).zip(plain).for_each(|(out, row)| {
                    if form.is_as_in_frame() {
                        copy(row, out, form, order, at % across);
                    } else {
                        place(&numbers(row, form, order), out, form, slots, at % across);
                    }
                });
            }
            Ok(())
        })
        .map_err(|error| super::reading(path, error))?;
    Ok(bytes)
}

/// Every chunk as it is in the file: planes one after the other, rows of chunks from the top.
fn stored<R: Read + Seek>(
    path: &Path,
    fields: &mut Directory<R>,
    form: &Form,
    file_len: u64,
) -> Result<Vec<Vec<u8>>, MediaError> {
    // Some writers list tiles in the fields of strips.
    let either = |fields: &mut Directory<R>, tiles, strips| {
        let first = if form.tiled { tiles } else { strips };
        let found = fields.numbers(first);
        if found.is_empty() { fields.numbers(if form.tiled { strips } else { tiles }) } else { found }
    };
    let offsets = either(fields, tag::TILE_OFFSETS, tag::STRIP_OFFSETS);
    let lens = either(fields, tag::TILE_BYTE_COUNTS, tag::STRIP_BYTE_COUNTS);
    let across = u64::from(form.size.width.div_ceil(form.chunk.width));
    let down = u64::from(form.size.height.div_ceil(form.chunk.height));
    let planes = if form.planar { form.slots.len() as u64 } else { 1 };
    let wanted = across * down * planes;
    let len_of = |at: usize| match lens.get(at) {
        // Old files leave it out where there is nothing to say.
        None if lens.is_empty() && form.compression == Compression::None => {
            Some(form.chunk_len(rows_stored(form, at as u64 / across % down)))
        }
        len => len.copied(),
    };
    if (offsets.len() as u64) < wanted || len_of(wanted as usize - 1).is_none() {
        let what = format!("it needs {wanted} strips or tiles and lists {}", offsets.len().min(lens.len()));
        return Err(MediaError::damaged(path, what));
    }
    check_ratio(path, form.chunk_len(1), file_len, form.compression.most_gain())?;
    let (mut chunks, mut total) = (Vec::new(), 0_u64);
    for (at, offset) in (0..wanted).zip(&offsets) {
        let needed = form.chunk_len(rows_stored(form, at / across % down));
        let len = len_of(at as usize).unwrap_or(0);
        let len = if form.compression == Compression::None { len.min(needed) } else { len };
        check_ratio(path, needed, len, form.compression.most_gain())?;
        total = total.saturating_add(len);
        if total > file_len {
            return Err(MediaError::damaged(path, "its strips or tiles together are longer than the file"));
        }
        chunks.push(fields.at(*offset, len).map_err(|error| super::reading(path, error))?);
    }
    Ok(chunks)
}

/// Rows that the chunks of a band hold: the last strip only what is left, a tile always all.
fn rows_stored(form: &Form, band: u64) -> u32 {
    let above = u32::try_from(band).unwrap_or(u32::MAX).saturating_mul(form.chunk.height);
    if form.tiled { form.chunk.height } else { form.chunk.height.min(form.size.height.saturating_sub(above)) }
}

/// At least the first `rows` rows of a chunk, out of their compression.
fn decompressed<'a>(chunk: &'a [u8], form: &Form, rows: u32) -> io::Result<Cow<'a, [u8]>> {
    let chunk = if form.reversed {
        Cow::Owned(chunk.iter().map(|byte| byte.reverse_bits()).collect())
    } else {
        Cow::Borrowed(chunk)
    };
    let len = form.chunk_len(rows) as usize;
    let mut plain = Vec::with_capacity(len);
    match form.compression {
        Compression::None if chunk.len() >= len => return Ok(chunk),
        Compression::None => {}
        Compression::Deflate => drop(ZlibDecoder::new(&*chunk).take(len as u64).read_to_end(&mut plain)?),
        Compression::PackBits => unpack_runs(&chunk, &mut plain, len),
        Compression::Lzw => {
            plain.resize(len, 0);
            let unpacked = unpack_strings(&chunk, &mut plain)?;
            plain.truncate(unpacked);
        }
    }
    if plain.len() < len {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    Ok(Cow::Owned(plain))
}

/// Undoes LZW; says how much of `plain` is filled.
///
/// # Source
/// TIFF Revision 6.0, section 13.
fn unpack_strings(coded: &[u8], plain: &mut [u8]) -> io::Result<usize> {
    let mut decoder = weezl::decode::Decoder::with_tiff_size_switch(BitOrder::Msb, 8);
    let (mut read, mut filled) = (0, 0);
    while filled < plain.len() {
        let step = decoder.decode_bytes(&coded[read..], &mut plain[filled..]);
        (read, filled) = (read + step.consumed_in, filled + step.consumed_out);
        match step.status.map_err(|_| invalid("a strip or tile does not follow LZW"))? {
            LzwStatus::Ok => {}
            LzwStatus::NoProgress | LzwStatus::Done => break,
        }
    }
    Ok(filled)
}

/// Undoes byte runs.
///
/// # Source
/// TIFF Revision 6.0, section 9 (PackBits).
fn unpack_runs(mut coded: &[u8], plain: &mut Vec<u8>, most: usize) {
    while let (Some((&head, rest)), true) = (coded.split_first(), plain.len() < most) {
        let head = head.cast_signed();
        let used = match head {
            0.. => {
                let literal = &rest[..rest.len().min(head as usize + 1)];
                plain.extend_from_slice(literal);
                literal.len()
            }
            // Says nothing.
            i8::MIN => 0,
            _ => {
                let Some(&byte) = rest.first() else { return };
                plain.resize(plain.len() + 1 + usize::from(head.unsigned_abs()), byte);
                1
            }
        };
        coded = &rest[used..];
    }
}

/// One row's samples: codes, or the bits of floats.
///
/// # Source
/// TIFF Revision 6.0, section 14 (differencing predictor); TIFF Technical Note 3 (floating point predictor).
fn numbers(row: &[u8], form: &Form, order: ByteOrder) -> Vec<u32> {
    let count = form.chunk.width as usize * form.samples_in_chunk();
    let step = form.samples_in_chunk();
    if form.predictor == Predictor::Float {
        let mut bytes = row.to_vec();
        for at in step..bytes.len() {
            bytes[at] = bytes[at].wrapping_add(bytes[at - step]);
        }
        let planes = form.bits as usize / 8;
        let join = |at: usize| (0..planes).fold(0, |sum, plane| (sum << 8) | u32::from(bytes[plane * count + at]));
        return (0..count).map(join).collect();
    }
    let mut numbers: Vec<u32> = match (form.bits, order) {
        (8, _) => row.iter().map(|&byte| u32::from(byte)).collect(),
        (16, ByteOrder::Little) => row.as_chunks().0.iter().map(|&word| u32::from(u16::from_le_bytes(word))).collect(),
        (16, ByteOrder::Big) => row.as_chunks().0.iter().map(|&word| u32::from(u16::from_be_bytes(word))).collect(),
        (32, ByteOrder::Little) => row.as_chunks().0.iter().map(|&word| u32::from_le_bytes(word)).collect(),
        (32, ByteOrder::Big) => row.as_chunks().0.iter().map(|&word| u32::from_be_bytes(word)).collect(),
        // Any other width is one string of bits, the highest first, whatever the byte order.
        (bits, _) => (0..count).map(|at| bit_field(row, at * bits as usize, bits)).collect(),
    };
    if form.predictor == Predictor::Difference {
        let mask = u32::MAX >> (32 - form.bits.min(32));
        for at in step..numbers.len() {
            numbers[at] = numbers[at].wrapping_add(numbers[at - step]) & mask;
        }
    }
    numbers
}

/// `bits` bits, 16 at most, from bit `start`.
fn bit_field(row: &[u8], start: usize, bits: u32) -> u32 {
    let byte = |at: usize| u32::from(row.get(at).copied().unwrap_or(0));
    let first = start / 8;
    let three = (byte(first) << 16) | (byte(first + 1) << 8) | byte(first + 2);
    (three >> (24 - start % 8 - bits as usize)) & ((1 << bits) - 1)
}

/// Copies a row whose pixels are those of the frame but for byte order; `column` counts chunks from the left.
fn copy(row: &[u8], out: &mut [u8], form: &Form, order: ByteOrder, column: usize) {
    let left = column * form.chunk.width as usize * form.layout.bytes_per_pixel();
    let len = row.len().min(out.len() - left);
    let out = &mut out[left..left + len];
    out.copy_from_slice(&row[..len]);
    if order == form.layout.order {
        return;
    }
    if form.bits == 16 {
        out.as_chunks_mut::<2>().0.iter_mut().for_each(|sample| sample.reverse());
    } else {
        out.as_chunks_mut::<4>().0.iter_mut().for_each(|sample| sample.reverse());
    }
}

/// Puts a row of a chunk's samples into its row of the frame; `column` counts chunks from the left.
fn place(row: &[u32], out: &mut [u8], form: &Form, slots: &[&[usize]], column: usize) {
    let pixel_len = form.layout.bytes_per_pixel();
    let sample_len = pixel_len / form.layout.channels.count();
    let left = column * form.chunk.width as usize * pixel_len;
    // Codes of fewer than 8 bits are spread over 8: 255 is a multiple of 1, 3 and 15.
    let highest = if form.bits < 32 { (1 << form.bits) - 1 } else { u32::MAX };
    let spread = if form.bits < 8 { 255 / highest } else { 1 };
    let put = |pixel: &mut [u8], slot: usize, value: u32| {
        let at = slot * sample_len;
        match form.layout.samples {
            Samples::Float => pixel[at..at + 4].copy_from_slice(&value.to_ne_bytes()),
            _ => pixel[at..at + 2].copy_from_slice(&(value as u16).to_ne_bytes()),
        }
    };
    let pixels = out[left..].chunks_exact_mut(pixel_len).zip(row.chunks_exact(slots.len().max(1)));
    for (pixel, samples) in pixels {
        if let Some(palette) = &form.palette {
            let colour = palette.get(samples[0] as usize).copied().unwrap_or_default();
            colour.into_iter().enumerate().for_each(|(slot, value)| put(pixel, slot, value));
            continue;
        }
        for (&value, slots) in samples.iter().zip(slots) {
            let is_alpha = *slots == [3];
            let value = if form.inverted && !is_alpha { highest - value } else { value } * spread;
            slots.iter().for_each(|&slot| put(pixel, slot, value));
        }
    }
}
