//! JPEG, 8 bits a sample, read only, turned as its EXIF block says.
//!
//! # Source
//! ITU-T T.81 (baseline and progressive), ITU-T T.871 (JFIF: how colour is stored).

use std::io::Read;
use std::path::Path;

use frame::{Channels, Frame, Layout, Samples, Size};
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use crate::format::NATIVE;
use crate::limits::{MAX_SIDE, check_ratio, checked_len};
use crate::read::Source;
use crate::shorts::{rgb_from_grey, widened};
use crate::{About, MediaError, Picture, exif, icc};

/// The most that the coding can gain: one bit for each of the blocks that 16x16 pixels of three samples
/// make at the least (T.81, annexes F and G), rounded up.
const CODING_RATIO: u64 = 2048;
const SIZE_FIELD: &str = "X and Y (frame header)";
const REMEDY: &str = "8-bit grey or RGB JPEG is: convert the file to that, or better to TIFF or DPX";
/// Markers that begin a scan and end a picture; neither can occur in coded data (T.81, B.1.1.5).
const SCAN: [u8; 2] = [0xff, 0xda];
const END: [u8; 2] = [0xff, 0xd9];

pub(crate) fn read(mut source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let failed = |error| decoding(path, error);
    let mut bytes = Vec::new();
    source.file.read_to_end(&mut bytes).map_err(|error| MediaError::reading(path, error))?;
    let options = DecoderOptions::default()
        .set_max_width(MAX_SIDE as usize)
        .set_max_height(MAX_SIDE as usize)
        .set_strict_mode(true)
        .jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes.as_slice()), options);
    decoder.decode_headers().map_err(failed)?;
    let (width, height) = decoder.dimensions().ok_or_else(|| MediaError::damaged(path, "it has no frame header"))?;
    let side = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
    let size = Size::new(side(width), side(height));
    let layout = Layout::new(Channels::Rgb, Samples::Codes(8), NATIVE);
    checked_len(path, SIZE_FIELD, size, layout)?;
    check_ratio(path, size.pixels() as u64 * 3, source.len, CODING_RATIO)?;
    let grey = match decoder.input_colorspace() {
        Some(ColorSpace::Luma) => true,
        Some(ColorSpace::RGB | ColorSpace::YCbCr) => false,
        Some(ColorSpace::CMYK | ColorSpace::YCCK) => {
            return Err(MediaError::unsupported(path, "JPEG in printing inks (CMYK)", REMEDY));
        }
        other => return Err(MediaError::unsupported(path, format!("JPEG of the kind {other:?}"), REMEDY)),
    };
    if grey {
        decoder.set_options(options.jpeg_set_out_colorspace(ColorSpace::Luma));
    }
    let samples = decoder.decode().map_err(failed)?;
    // The decoder makes up what is missing at the end; a frame must not be made up.
    if !ends(&bytes) {
        return Err(MediaError::damaged(path, "it ends before its picture does"));
    }
    let bytes = if grey { widened(&rgb_from_grey::<1>(&samples)) } else { widened(&samples) };
    let frame = Frame::new(size, layout, bytes, 0).map_err(|error| MediaError::damaged(path, error.to_string()))?;
    let mut about = About::default();
    about.warnings.extend(decoder.icc_profile().map(|profile| icc::in_words(&profile)));
    let frame = match decoder.exif() {
        Some(block) => exif::follow(block, frame, &mut about),
        None => Ok(frame),
    };
    let frame = frame.map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// Whether an end follows the last scan; a small picture in the header has scans and an end of its own.
fn ends(bytes: &[u8]) -> bool {
    bytes.windows(2).rev().find(|pair| *pair == END || *pair == SCAN).is_some_and(|pair| pair == END)
}

fn decoding(path: &Path, error: DecodeErrors) -> MediaError {
    match error {
        DecodeErrors::ExhaustedData | DecodeErrors::IoErrors(_) => {
            MediaError::damaged(path, "it ends before its picture does")
        }
        DecodeErrors::Unsupported(kind) => MediaError::unsupported(path, format!("this JPEG ({kind:?})"), REMEDY),
        // The library quotes some of its texts; ours has no use for the marks.
        other => MediaError::damaged(path, format!("{other:?}").trim_matches('"').to_owned()),
    }
}
