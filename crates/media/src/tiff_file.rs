//! TIFF with 8 or 16 bits a sample, half or single float.
//!
//! # Source
//! TIFF Revision 6.0 (1992).

use std::fs::File;
use std::io::{self, BufReader, BufWriter};
use std::path::Path;

use frame::{Channels, Frame, Layout, Samples, Size};
use tiff::decoder::{Decoder, DecodingSampleType, Limits};
use tiff::encoder::{TiffEncoder, TiffKindStandard, colortype};
use tiff::tags::{ExtraSamples, Tag};
use tiff::{ColorType, TiffError};

use crate::format::NATIVE;
use crate::limits::{MAX_FRAME_BYTES, check_ratio, checked_len};
use crate::read::Source;
use crate::shorts::{associate, associate_floats, in_order, rgb_from_grey, widened};
use crate::{About, MediaError, Note, Picture};

/// The most that LZW can gain, above deflate: a string of 4096 bytes in 12 bits.
const LZW_RATIO: u64 = 2731;
const SIZE_FIELD: &str = "ImageWidth and ImageLength";
const REMEDY: &str = "grey, RGB or RGBA TIFF of 8 or 16 bits, half or single float is: convert the file to that";
/// ExtraSamples: alpha that is not associated.
const UNASSOCIATED: u16 = 2;

const TAGS: [(Tag, Note); 4] = [
    (Tag::ImageDescription, Note::Comment),
    (Tag::Copyright, Note::Copyright),
    (Tag::Software, Note::Creator),
    (Tag::DateTime, Note::Created),
];

type Reader = Decoder<BufReader<File>>;

pub(crate) fn read(source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let failed = |error| decoding(path, error);
    let mut limits = Limits::default();
    limits.decoding_buffer_size = MAX_FRAME_BYTES as usize;
    limits.intermediate_buffer_size = MAX_FRAME_BYTES as usize;
    let reader = BufReader::with_capacity(1 << 18, source.file);
    let mut decoder = Decoder::new(reader).map_err(failed)?.with_limits(limits);
    let (width, height) = decoder.dimensions().map_err(failed)?;
    let size = Size::new(width, height);
    let colour = decoder.colortype().map_err(failed)?;
    let kind = kind_of(path, colour)?;
    let samples = samples_of(path, &mut decoder, colour)?;
    let layout = Layout::new(kind.channels, samples, NATIVE);
    checked_len(path, SIZE_FIELD, size, layout)?;
    let stored = size.pixels() as u64 * u64::from(kind.stored) * u64::from(colour.bit_depth()) / 8;
    check_ratio(path, stored, source.len, LZW_RATIO)?;
    let extra: Vec<u16> = decoder.find_tag_unsigned_vec(Tag::ExtraSamples).map_err(failed)?.unwrap_or_default();
    if extra.len() > 1 {
        let what = format!("TIFF with {} extra samples a pixel", extra.len());
        return Err(MediaError::unsupported(path, what, REMEDY));
    }
    let mut about = about(&mut decoder);
    if decoder.more_images() {
        about.warnings.push("the file holds several pictures: the first is used".to_owned());
    }
    let mut bytes = picture(path, &mut decoder, size, &kind, samples)?;
    if kind.channels == Channels::Rgba && extra.first() == Some(&UNASSOCIATED) {
        match samples {
            Samples::Half | Samples::Float => associate_floats(&mut bytes, samples),
            _ => associate(&mut bytes, NATIVE, samples.highest_code() as u16),
        }
    }
    let frame = Frame::new(size, layout, bytes, 0).map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// What a pixel of the file is made of and what becomes of it.
struct Kind {
    /// Samples a pixel in the file.
    stored: u16,
    channels: Channels,
    /// Alpha after one grey sample.
    grey_alpha: bool,
}

fn kind_of(path: &Path, colour: ColorType) -> Result<Kind, MediaError> {
    let kind = |stored, channels| Ok(Kind { stored, channels, grey_alpha: stored == 2 });
    let refuse = |what: &str| Err(MediaError::unsupported(path, format!("{what} TIFF"), REMEDY));
    match colour {
        ColorType::Gray(_) => kind(1, Channels::Rgb),
        ColorType::GrayA(_) => kind(2, Channels::Rgba),
        ColorType::RGB(_) => kind(3, Channels::Rgb),
        ColorType::RGBA(_) => kind(4, Channels::Rgba),
        ColorType::Palette(_) => refuse("palette"),
        ColorType::CMYK(_) | ColorType::CMYKA(_) => refuse("printing-ink (CMYK)"),
        ColorType::YCbCr(_) => refuse("Y'CbCr"),
        ColorType::Lab(_) => refuse("CIELAB"),
        _ => refuse("many-channel"),
    }
}

/// How the file's samples become a frame's.
fn samples_of(path: &Path, decoder: &mut Reader, colour: ColorType) -> Result<Samples, MediaError> {
    let bits = colour.bit_depth();
    let layout = match decoder.image_buffer_layout() {
        Ok(layout) => layout.sample_type,
        Err(TiffError::UnsupportedError(_)) => None,
        Err(error) => return Err(decoding(path, error)),
    };
    match (bits, layout) {
        (8, Some(DecodingSampleType::U8)) => Ok(Samples::Codes(8)),
        (16, Some(DecodingSampleType::U16)) => Ok(Samples::U16),
        (16, Some(DecodingSampleType::F16)) => Ok(Samples::Half),
        (32, Some(DecodingSampleType::F32)) => Ok(Samples::Float),
        (_, Some(DecodingSampleType::F64)) => Err(MediaError::unsupported(path, "double-float TIFF", REMEDY)),
        (8 | 16 | 32, Some(_)) => {
            Err(MediaError::unsupported(path, format!("{bits}-bit TIFF with whole or signed numbers"), REMEDY))
        }
        _ => Err(MediaError::unsupported(path, format!("{bits}-bit TIFF"), REMEDY)),
    }
}

/// The samples, interleaved, native, grey expanded.
fn picture(
    path: &Path,
    decoder: &mut Reader,
    size: Size,
    kind: &Kind,
    samples: Samples,
) -> Result<Vec<u8>, MediaError> {
    let failed = |error| decoding(path, error);
    let layout = decoder.image_buffer_layout().map_err(failed)?;
    let count = usize::from(kind.stored);
    let width = match samples {
        Samples::Codes(8) => 1,
        Samples::Float => 4,
        _ => 2,
    };
    let expected = size.pixels() * count * width;
    if layout.complete_len != expected {
        return Err(MediaError::damaged(path, "its planes do not make up its pixels"));
    }
    let mut bytes = vec![0; expected];
    decoder.read_image_bytes(&mut bytes).map_err(failed)?;
    if layout.planes > 1 {
        bytes = interleaved(&bytes, count, width);
    }
    if width == 1 {
        bytes = widened(&bytes);
    }
    Ok(match (count, width) {
        (1, 4) => rgb_from_grey::<4>(&bytes),
        (1, _) => rgb_from_grey::<2>(&bytes),
        _ if kind.grey_alpha => grey_alpha_spread(&bytes, width.max(2)),
        _ => bytes,
    })
}

/// Grey and alpha to red, green, blue and alpha, `width` bytes a sample.
fn grey_alpha_spread(bytes: &[u8], width: usize) -> Vec<u8> {
    let mut spread = Vec::with_capacity(bytes.len() * 2);
    for pixel in bytes.chunks_exact(2 * width) {
        let (grey, alpha) = pixel.split_at(width);
        for sample in [grey, grey, grey, alpha] {
            spread.extend_from_slice(sample);
        }
    }
    spread
}

/// Planes of samples of `width` bytes, one after the other, to pixels.
fn interleaved(planes: &[u8], samples: usize, width: usize) -> Vec<u8> {
    let plane = planes.len() / samples;
    let mut bytes = vec![0; planes.len()];
    for (pixel, out) in bytes.chunks_exact_mut(width * samples).enumerate() {
        for (channel, out) in out.chunks_exact_mut(width).enumerate() {
            let from = channel * plane + width * pixel;
            out.copy_from_slice(&planes[from..from + width]);
        }
    }
    bytes
}

fn about(decoder: &mut Reader) -> About {
    let mut about = About::default();
    for (tag, note) in TAGS {
        if let Ok(text) = decoder.get_tag_ascii_string(tag) {
            about.note(note, &text);
        }
    }
    about
}

fn decoding(path: &Path, error: TiffError) -> MediaError {
    match error {
        TiffError::IoError(error) if error.kind() == io::ErrorKind::UnexpectedEof => {
            MediaError::damaged(path, "it ends before its picture does")
        }
        // The decompressors' word for what they cannot follow.
        TiffError::IoError(error)
            if matches!(error.kind(), io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput) =>
        {
            MediaError::damaged(path, error.to_string())
        }
        TiffError::IoError(error) => MediaError::reading(path, error),
        TiffError::UnsupportedError(kind) => MediaError::unsupported(path, format!("this TIFF ({kind})"), REMEDY),
        TiffError::LimitsExceeded => MediaError::damaged(path, "it asks for more memory than a frame may have"),
        other => MediaError::damaged(path, other.to_string()),
    }
}

pub(crate) fn write(file: &mut File, frame: &Frame, about: &About) -> io::Result<()> {
    let bytes = in_order::<2>(frame, NATIVE);
    let samples: Vec<u16> = bytes.as_chunks::<2>().0.iter().map(|&sample| u16::from_ne_bytes(sample)).collect();
    let mut encoder = TiffEncoder::new(BufWriter::new(file)).map_err(encoding)?;
    let Size { width, height } = frame.size();
    if frame.layout().has_alpha() {
        let mut image = encoder.new_image::<colortype::RGBA16>(width, height).map_err(encoding)?;
        write_notes(image.encoder(), about)?;
        // The colour type counts alpha among its own samples; the tag only says what it means.
        let associated = [ExtraSamples::AssociatedAlpha.to_u16()];
        image.encoder().write_tag(Tag::ExtraSamples, &associated[..]).map_err(encoding)?;
        image.write_data(&samples).map_err(encoding)
    } else {
        let mut image = encoder.new_image::<colortype::RGB16>(width, height).map_err(encoding)?;
        write_notes(image.encoder(), about)?;
        image.write_data(&samples).map_err(encoding)
    }
}

fn write_notes(
    directory: &mut tiff::encoder::DirectoryEncoder<'_, BufWriter<&mut File>, TiffKindStandard>,
    about: &About,
) -> io::Result<()> {
    for (tag, note) in TAGS {
        if let Some(text) = about.notes.get(&note) {
            let ascii: String = text.chars().map(|c| if c.is_ascii() && c != '\0' { c } else { '?' }).collect();
            directory.write_tag(tag, ascii.as_str()).map_err(encoding)?;
        }
    }
    Ok(())
}

fn encoding(error: TiffError) -> io::Error {
    match error {
        TiffError::IoError(error) => error,
        other => io::Error::other(other),
    }
}
