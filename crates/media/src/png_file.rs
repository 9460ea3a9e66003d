//! PNG with 16 bits a sample.
//!
//! # Source
//! Portable Network Graphics (PNG) Specification, third edition (W3C); code points of the `cICP` chunk:
//! ITU-T H.273.

use std::borrow::Cow;
use std::fs::File;
use std::io::{self, BufReader, BufWriter};
use std::path::Path;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use png::{BitDepth, ColorType, DecodingError, Info};

use crate::limits::{MAX_FRAME_BYTES, check_ratio, checked_len};
use crate::read::Source;
use crate::shorts::{associate, dissociate, in_order, rgb_from_grey, rgba_from_grey_alpha};
use crate::{About, MediaError, Note, Picture};

/// The most that deflate can gain (RFC 1951: 258 bytes in two bits, less headers).
const DEFLATE_RATIO: u64 = 1032;
const SIZE_FIELD: &str = "width and height (IHDR)";

/// Text chunks by keyword, as the specification names them.
const KEYWORDS: [(&str, Note); 5] = [
    ("Comment", Note::Comment),
    ("Copyright", Note::Copyright),
    ("Software", Note::Creator),
    ("Creation Time", Note::Created),
    ("Source", Note::Device),
];

/// Encodings with their colour primaries and transfer characteristics.
const CODE_POINTS: [(&str, u8, u8); 5] =
    [("sRGB", 1, 13), ("BT.1886", 1, 1), ("BT.2020", 9, 14), ("PQ", 9, 16), ("HLG", 9, 18)];

pub(crate) fn read(source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let failed = |error| decoding(path, error);
    let mut decoder = png::Decoder::new(BufReader::with_capacity(1 << 18, source.file));
    decoder.set_limits(png::Limits { bytes: MAX_FRAME_BYTES as usize });
    let header = decoder.read_header_info().map_err(failed)?;
    let size = Size::new(header.width, header.height);
    let (colour, depth) = (header.color_type, header.bit_depth);
    check_kind(path, colour, depth)?;
    let channels = match colour {
        ColorType::Rgb | ColorType::Grayscale => Channels::Rgb,
        _ => Channels::Rgba,
    };
    let layout = Layout::new(channels, Samples::U16, ByteOrder::Big);
    checked_len(path, SIZE_FIELD, size, layout)?;
    let stored = size.pixels() as u64 * 2 * colour.samples() as u64;
    check_ratio(path, stored, source.len, DEFLATE_RATIO)?;
    let mut reader = decoder.read_info().map_err(failed)?;
    let mut bytes = vec![0; usize::try_from(stored).unwrap_or(usize::MAX)];
    reader.next_frame(&mut bytes).map_err(failed)?;
    let mut about = about(reader.info());
    if reader.info().animation_control.is_some() {
        about.warnings.push("the file is animated: its first picture is used".to_owned());
    }
    let mut bytes = match colour {
        ColorType::Grayscale => rgb_from_grey::<2>(&bytes),
        ColorType::GrayscaleAlpha => rgba_from_grey_alpha(&bytes),
        _ => bytes,
    };
    if channels == Channels::Rgba {
        associate(&mut bytes, ByteOrder::Big);
    }
    let frame = Frame::new(size, layout, bytes, 0).map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

fn check_kind(path: &Path, colour: ColorType, depth: BitDepth) -> Result<(), MediaError> {
    let remedy = "16-bit PNG is: convert the file to that";
    if colour == ColorType::Indexed {
        return Err(MediaError::unsupported(path, "PNG with a palette", remedy));
    }
    if depth != BitDepth::Sixteen {
        return Err(MediaError::unsupported(path, format!("{}-bit PNG", depth as u8), remedy));
    }
    Ok(())
}

fn about(info: &Info<'_>) -> About {
    let mut about = About::default();
    for chunk in &info.uncompressed_latin1_text {
        if let Some((_, note)) = KEYWORDS.iter().find(|(keyword, _)| *keyword == chunk.keyword) {
            about.note(*note, &chunk.text);
        }
    }
    if let Some(points) = &info.coding_independent_code_points {
        about.range = Some(if points.is_video_full_range_image { Range::Full } else { Range::Legal });
        let known = CODE_POINTS.iter().find(|(_, primaries, transfer)| {
            (*primaries, *transfer) == (points.color_primaries, points.transfer_function)
        });
        if let (Some((id, primaries, transfer)), 0) = (known, points.matrix_coefficients) {
            let reason = format!("cICP chunk: primaries {primaries}, transfer {transfer}");
            about.encoding = Some(((*id).to_owned(), reason));
        }
    } else if info.srgb.is_some() {
        about.encoding = Some(("sRGB".to_owned(), "sRGB chunk".to_owned()));
    }
    about
}

/// Tells a file that ends early from one that contradicts itself.
fn decoding(path: &Path, error: DecodingError) -> MediaError {
    match error {
        DecodingError::IoError(error) if error.kind() == io::ErrorKind::UnexpectedEof => {
            MediaError::damaged(path, "it ends before its picture does")
        }
        DecodingError::IoError(error) => MediaError::reading(path, error),
        other => MediaError::damaged(path, other.to_string()),
    }
}

pub(crate) fn write(file: &mut File, frame: &Frame, about: &About) -> io::Result<()> {
    let size = frame.size();
    let mut encoder = png::Encoder::new(BufWriter::new(file), size.width, size.height);
    let alpha = frame.layout().has_alpha();
    encoder.set_color(if alpha { ColorType::Rgba } else { ColorType::Rgb });
    encoder.set_depth(BitDepth::Sixteen);
    encoder.set_compression(png::Compression::Fast);
    for (keyword, note) in KEYWORDS {
        if let Some(text) = about.notes.get(&note) {
            let latin: String = text.chars().map(|c| if u32::from(c) < 256 { c } else { '?' }).collect();
            encoder.add_text_chunk(keyword.to_owned(), latin).map_err(encoding)?;
        }
    }
    let mut writer = encoder.write_header().map_err(encoding)?;
    let id = about.encoding_id();
    if let Some((_, primaries, transfer)) = CODE_POINTS.iter().find(|(known, ..)| Some(*known) == id) {
        let full = u8::from(about.range != Some(Range::Legal));
        let kind = png::chunk::ChunkType(*b"cICP");
        writer.write_chunk(kind, &[*primaries, *transfer, 0, full]).map_err(encoding)?;
    }
    let mut bytes = in_order::<2>(frame, ByteOrder::Big);
    if alpha {
        let mut own = bytes.into_owned();
        dissociate(&mut own, ByteOrder::Big);
        bytes = Cow::Owned(own);
    }
    writer.write_image_data(&bytes).map_err(encoding)?;
    writer.finish().map_err(encoding)
}

fn encoding(error: png::EncodingError) -> io::Error {
    match error {
        png::EncodingError::IoError(error) => error,
        other => io::Error::other(other),
    }
}
