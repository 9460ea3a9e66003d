//! PNG with 8 or 16 bits a sample; palettes and fewer bits are expanded to 8.
//!
//! # Source
//! Portable Network Graphics (PNG) Specification, third edition (W3C); code points of the `cICP` chunk:
//! ITU-T H.273.

use std::borrow::Cow;
use std::io::{self, BufReader, Cursor};
use std::path::Path;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use png::{BitDepth, ColorType, DecodingError, Info, PixelDimensions, ScaledFloat, Transformations, Unit};

use crate::format::NATIVE;
use crate::limits::{MAX_FRAME_BYTES, check_ratio, checked_len};
use crate::read::Source;
use crate::shorts::{associate, dissociate, in_order, narrowed, rgb_from_grey, rgba_from_grey_alpha, widened};
use crate::{About, MediaError, Note, Picture, exif, icc};

/// The most that deflate can gain (RFC 1951: 258 bytes in two bits, less headers).
const DEFLATE_RATIO: u64 = 1032;
/// Steps in which the shape of a pixel is written.
const ASPECT_STEPS: f64 = 1e6;
const SIZE_FIELD: &str = "width and height (IHDR)";

/// Text chunks by keyword, as the specification names them.
const KEYWORDS: [(&str, Note); 5] = [
    ("Comment", Note::Comment),
    ("Copyright", Note::Copyright),
    ("Software", Note::Creator),
    ("Creation Time", Note::Created),
    ("Source", Note::Device),
];

/// Our own text chunk for how the picture was rendered; the specification leaves keywords open.
const RENDERING: &str = "Rendering";

/// Encodings with their colour primaries and transfer characteristics.
const CODE_POINTS: [(&str, u8, u8); 8] = [
    ("sRGB", 1, 13),
    ("BT.1886", 1, 1),
    ("BT.2020", 9, 14),
    ("PQ", 9, 16),
    ("HLG", 9, 18),
    ("Linear-BT.709", 1, 8),
    ("Linear-BT.2020", 9, 8),
    ("Linear-P3-D65", 12, 8),
];

/// Names of colour primaries, ITU-T H.273, table 2.
const PRIMARIES: [(u8, &str); 9] = [
    (1, "BT.709"),
    (4, "BT.470 system M"),
    (5, "BT.601, 625 lines"),
    (6, "BT.601, 525 lines"),
    (8, "generic film"),
    (9, "BT.2020"),
    (10, "CIE XYZ"),
    (11, "P3 on the theatre white"),
    (12, "P3-D65"),
];

/// Names of transfer characteristics, ITU-T H.273, table 3.
const TRANSFERS: [(u8, &str); 11] = [
    (1, "BT.709"),
    (4, "gamma 2.2"),
    (5, "gamma 2.8"),
    (6, "BT.601"),
    (8, "linear"),
    (13, "sRGB"),
    (14, "BT.2020, 10 bits"),
    (15, "BT.2020, 12 bits"),
    (16, "PQ"),
    (17, "ST 428-1"),
    (18, "HLG"),
];

pub(crate) fn read(source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let failed = |error| decoding(path, error);
    let mut decoder = png::Decoder::new(BufReader::with_capacity(1 << 18, source.file));
    decoder.set_limits(png::Limits { bytes: MAX_FRAME_BYTES as usize });
    // Palettes, transparent colours and fewer than 8 bits become plain samples.
    decoder.set_transformations(Transformations::EXPAND);
    let header = decoder.read_header_info().map_err(failed)?;
    let size = Size::new(header.width, header.height);
    // The smallest a row can be; a palette is one sample a pixel.
    let stored = header.raw_row_length() as u64 * u64::from(header.height);
    let widest = Layout::new(Channels::Rgba, Samples::U16, ByteOrder::Big);
    checked_len(path, SIZE_FIELD, size, widest)?;
    check_ratio(path, stored, source.len, DEFLATE_RATIO)?;
    let mut reader = decoder.read_info().map_err(failed)?;
    let len = reader.output_buffer_size().ok_or_else(|| MediaError::damaged(path, "its rows have no length"))?;
    let mut bytes = vec![0; len];
    let info = reader.next_frame(&mut bytes).map_err(failed)?;
    let mut about = about(reader.info());
    if reader.info().animation_control.is_some() {
        about.warnings.push("the file is animated: its first picture is used".to_owned());
    }
    let (bytes, layout) = samples(bytes, info.color_type, info.bit_depth);
    let frame = Frame::new(size, layout, bytes, 0);
    let frame = match &reader.info().exif_metadata {
        Some(block) => frame.and_then(|frame| exif::follow(block, frame, &mut about)),
        None => frame,
    };
    let frame = frame.map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// What the decoder hands out as the samples of a frame: grey expanded, alpha associated. Alpha of 8 bits is
/// multiplied in at 8 bits, so that codes under full alpha stay the file's.
fn samples(bytes: Vec<u8>, colour: ColorType, depth: BitDepth) -> (Vec<u8>, Layout) {
    let (bytes, order, samples) = match depth {
        BitDepth::Sixteen => (bytes, ByteOrder::Big, Samples::U16),
        _ => (widened(&bytes), NATIVE, Samples::Codes(8)),
    };
    let (mut bytes, channels) = match colour {
        ColorType::Grayscale => (rgb_from_grey::<2>(&bytes), Channels::Rgb),
        ColorType::GrayscaleAlpha => (rgba_from_grey_alpha(&bytes), Channels::Rgba),
        ColorType::Rgba => (bytes, Channels::Rgba),
        // The transformation leaves no palette behind.
        ColorType::Rgb | ColorType::Indexed => (bytes, Channels::Rgb),
    };
    if channels == Channels::Rgba {
        associate(&mut bytes, order, samples.highest_code() as u16);
    }
    (bytes, Layout::new(channels, samples, order))
}

fn about(info: &Info<'_>) -> About {
    let mut about = About::default();
    for chunk in &info.uncompressed_latin1_text {
        if let Some((_, note)) = KEYWORDS.iter().find(|(keyword, _)| *keyword == chunk.keyword) {
            about.note(*note, &chunk.text);
        } else if chunk.keyword == RENDERING {
            about.rendering = Some(chunk.text.clone());
        }
    }
    about.pixel_aspect = info
        .pixel_dims
        .filter(|dims| dims.xppu > 0 && dims.yppu > 0 && dims.xppu != dims.yppu)
        .map(|dims| f64::from(dims.yppu) / f64::from(dims.xppu));
    if let Some(points) = &info.coding_independent_code_points {
        about.range = Some(if points.is_video_full_range_image { Range::Full } else { Range::Legal });
        let known = CODE_POINTS.iter().find(|(_, primaries, transfer)| {
            (*primaries, *transfer) == (points.color_primaries, points.transfer_function)
        });
        if let (Some((id, primaries, transfer)), 0) = (known, points.matrix_coefficients) {
            let reason = format!("cICP chunk: primaries {primaries}, transfer {transfer}");
            about.encoding = Some(((*id).to_owned(), reason));
        } else {
            about.warnings.push(format!(
                "its cICP chunk says primaries {}, transfer {}, matrix {}: no encoding here has just these; say it with --input",
                called(points.color_primaries, &PRIMARIES),
                called(points.transfer_function, &TRANSFERS),
                points.matrix_coefficients
            ));
        }
    } else if let Some(profile) = &info.icc_profile {
        about.warnings.push(icc::in_words(profile));
    } else if info.srgb.is_some() {
        about.encoding = Some(("sRGB".to_owned(), "sRGB chunk".to_owned()));
    } else {
        // Programs write both without knowing the picture.
        about.header_says = info.gama_chunk.map(|gamma| format!("code is light to the power {}", decimal(gamma)));
        about.chromaticities = info
            .chrm_chunk
            .map(|told| [told.red, told.green, told.blue, told.white].map(|(x, y)| [decimal(x), decimal(y)]));
    }
    about
}

/// A code point with its name.
fn called(code: u8, names: &[(u8, &str)]) -> String {
    names.iter().find(|(known, _)| *known == code).map_or(code.to_string(), |(_, name)| format!("{code} ({name})"))
}

/// A number that is stored in 100000ths.
fn decimal(number: ScaledFloat) -> f64 {
    f64::from(number.into_scaled()) / 1e5
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

pub(crate) fn write(file: &mut Cursor<Vec<u8>>, frame: &Frame, about: &About) -> io::Result<()> {
    let size = frame.size();
    let mut encoder = png::Encoder::new(file, size.width, size.height);
    let alpha = frame.layout().has_alpha();
    encoder.set_color(if alpha { ColorType::Rgba } else { ColorType::Rgb });
    let eight = frame.layout().samples == Samples::Codes(8);
    encoder.set_depth(if eight { BitDepth::Eight } else { BitDepth::Sixteen });
    encoder.set_compression(png::Compression::Fast);
    // pHYs counts pixels a unit: the wider a pixel, the fewer across.
    let aspect = about.pixel_aspect.map(|aspect| (aspect * ASPECT_STEPS).round()).filter(|y| (1.0..2e9).contains(y));
    encoder.set_pixel_dims(aspect.map(|y| PixelDimensions {
        xppu: ASPECT_STEPS as u32,
        yppu: y as u32,
        unit: Unit::Unspecified,
    }));
    let notes = KEYWORDS.iter().map(|(keyword, note)| (*keyword, about.notes.get(note)));
    for (keyword, text) in notes.chain([(RENDERING, about.rendering.as_ref())]) {
        if let Some(text) = text {
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
        dissociate(&mut own, ByteOrder::Big, frame.layout().samples.highest_code() as u16);
        bytes = Cow::Owned(own);
    }
    if eight {
        bytes = Cow::Owned(narrowed(&bytes, ByteOrder::Big));
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
