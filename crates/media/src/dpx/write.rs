//! Writing: a header of 2048 bytes, then the picture's bytes, lines without padding.

use std::io;

use frame::{ByteOrder, Frame, Layout, Range, Samples};

use super::about::aspect_ratio;
use super::characteristics;
use super::header::{Blank, GENERIC_LEN, HEADER_LEN, at};
use super::rendering::fitting;
use super::slate::with_roll;
use crate::{About, Note};

/// The header of a frame in the byte order it has. The picture's bytes follow it, so many of them: 10-bit words and
/// 16-bit codes as the frame holds them, of 8-bit codes one byte each.
pub(crate) fn header(frame: &Frame, about: &About, picture_len: usize) -> io::Result<Vec<u8>> {
    let mut header = Blank { bytes: [0; HEADER_LEN], order: frame.layout().order };
    generic(&mut header, frame, about, picture_len)?;
    element(&mut header, frame.layout(), about);
    industry(&mut header, about);
    Ok(header.bytes.to_vec())
}

fn generic(header: &mut Blank, frame: &Frame, about: &About, picture_len: usize) -> io::Result<()> {
    let magic = match header.order {
        ByteOrder::Big => b"SDPX",
        ByteOrder::Little => b"XPDS",
    };
    header.bytes[..4].copy_from_slice(magic);
    header.u32(at::IMAGE_OFFSET, HEADER_LEN as u32);
    header.bytes[at::VERSION..at::VERSION + 4].copy_from_slice(b"V2.0");
    let file_len = HEADER_LEN + picture_len;
    header.u32(at::FILE_SIZE, u32::try_from(file_len).map_err(io::Error::other)?);
    // 1: not a copy of the header of the frame before.
    header.u32(at::DITTO, 1);
    header.u32(at::GENERIC_SIZE, GENERIC_LEN as u32);
    header.u32(at::INDUSTRY_SIZE, (HEADER_LEN - GENERIC_LEN) as u32);
    header.u32(at::USER_SIZE, 0);
    header.undefined((at::ENCRYPTION, 4));
    header.u16(at::ORIENTATION, 0);
    header.u16(at::ELEMENTS, 1);
    header.u32(at::WIDTH, frame.size().width);
    header.u32(at::HEIGHT, frame.size().height);
    let note = |note: Note| about.notes.get(&note).map_or("", String::as_str);
    header.text(at::CREATED, note(Note::Created));
    header.text(at::PROJECT, note(Note::Project));
    header.text(at::COPYRIGHT, note(Note::Copyright));
    let creator = about.notes.get(&Note::Creator).map_or("Greywright", String::as_str);
    header.text(at::CREATOR, creator);
    Ok(())
}

fn element(header: &mut Blank, layout: Layout, about: &About) {
    let bits = layout.bits();
    let range = about.range.unwrap_or(Range::Full);
    let (low, high) = match range {
        Range::Legal => (16 << (bits - 8), 235 << (bits - 8)),
        Range::Full => (0, (1 << bits) - 1),
    };
    let (transfer, colorimetric) = characteristics::of_encoding(about.encoding_id().unwrap_or(""));
    header.u32(at::SIGN, 0);
    header.u32(at::LOW_CODE, low);
    header.undefined((at::LOW_QUANTITY, 4));
    header.u32(at::HIGH_CODE, high);
    header.undefined((at::HIGH_QUANTITY, 4));
    if let Some((low, high)) = characteristics::quantities(transfer, range) {
        header.f32(at::LOW_QUANTITY, low);
        header.f32(at::HIGH_QUANTITY, high);
    }
    // 50: RGB, 51: RGBA.
    header.bytes[at::DESCRIPTOR] = if layout.has_alpha() { 51 } else { 50 };
    header.bytes[at::TRANSFER] = transfer;
    header.bytes[at::COLORIMETRIC] = colorimetric;
    header.bytes[at::BITS] = bits as u8;
    // 10 bits are filled by method A; samples of whole bytes are packed, which for them is the same as filled.
    header.u16(at::PACKING, u16::from(layout.samples == Samples::Ten));
    header.u16(at::ENCODING, 0);
    header.u32(at::DATA_OFFSET, HEADER_LEN as u32);
    header.u32(at::LINE_PADDING, 0);
    header.u32(at::IMAGE_PADDING, 0);
    header.text(at::DESCRIPTION, about.rendering.as_deref().map_or("", fitting));
    for other in 0..7 {
        let start = at::SECOND_ELEMENT + other * at::ELEMENT_LEN;
        header.undefined((start, at::ELEMENT_NUMBERS));
    }
}

fn industry(header: &mut Blank, about: &About) {
    let note = |note: Note| about.notes.get(&note).map_or("", String::as_str);
    header.undefined(at::SOURCE_NUMBERS);
    header.undefined(at::BORDER);
    let (horizontal, vertical) = aspect_ratio(about.pixel_aspect);
    header.u32(at::PIXEL_ASPECT, horizontal);
    header.u32(at::PIXEL_ASPECT + 4, vertical);
    header.undefined(at::SCANNED_SIZE);
    header.undefined(at::FILM_NUMBERS);
    header.text(at::SOURCE_FILE, note(Note::Source));
    header.text(at::DEVICE, note(Note::Device));
    header.text(at::SLATE, &with_roll(note(Note::Slate), about.camera_roll.as_deref()));
    header.undefined((at::TIME_CODE, 8));
    header.bytes[at::INTERLACE] = 0;
    header.undefined(at::FIELD_AND_SIGNAL);
    header.undefined(at::TELEVISION_REALS);
    if let Some(rate) = about.rate {
        header.f32(at::FILM_RATE, rate as f32);
        header.f32(at::TELEVISION_RATE, rate as f32);
    }
    if let Some(timecode) = about.timecode {
        header.u32(at::TIME_CODE, timecode.time);
        header.u32(at::USER_BITS, timecode.user);
    }
}
