//! TIFF with 16 bits a sample.
//!
//! # Source
//! TIFF Revision 6.0 (1992).

use std::fs::File;
use std::io::{self, BufReader, BufWriter};
use std::path::Path;

use frame::{Channels, Frame, Layout, Samples, Size};
use tiff::decoder::{Decoder, Limits};
use tiff::encoder::{TiffEncoder, TiffKindStandard, colortype};
use tiff::tags::{ExtraSamples, Tag};
use tiff::{ColorType, TiffError};

use crate::format::NATIVE;
use crate::limits::{MAX_FRAME_BYTES, check_ratio, checked_len};
use crate::read::Source;
use crate::shorts::{associate, in_order, rgb_from_grey};
use crate::{About, MediaError, Note, Picture};

/// The most that LZW can gain, above deflate: a string of 4096 bytes in 12 bits.
const LZW_RATIO: u64 = 2731;
const SIZE_FIELD: &str = "ImageWidth and ImageLength";
const REMEDY: &str = "16-bit grey, RGB or RGBA TIFF is: convert the file to that";
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
    let channels = channels_of(path, colour)?;
    let layout = Layout::new(channels, Samples::U16, NATIVE);
    let len = checked_len(path, SIZE_FIELD, size, layout)?;
    check_ratio(path, len as u64 / 3, source.len, LZW_RATIO)?;
    let extra: Vec<u16> = decoder.find_tag_unsigned_vec(Tag::ExtraSamples).map_err(failed)?.unwrap_or_default();
    if extra.len() > 1 {
        let what = format!("TIFF with {} extra samples a pixel", extra.len());
        return Err(MediaError::unsupported(path, what, REMEDY));
    }
    let mut about = about(&mut decoder);
    if decoder.more_images() {
        about.warnings.push("the file holds several pictures: the first is used".to_owned());
    }
    let mut bytes = picture(path, &mut decoder, size, colour)?;
    if extra.first() == Some(&UNASSOCIATED) {
        associate(&mut bytes, NATIVE);
    }
    let frame = Frame::new(size, layout, bytes, 0).map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

fn channels_of(path: &Path, colour: ColorType) -> Result<Channels, MediaError> {
    match colour {
        ColorType::Gray(16) | ColorType::RGB(16) => Ok(Channels::Rgb),
        ColorType::RGBA(16) => Ok(Channels::Rgba),
        ColorType::Gray(bits) | ColorType::RGB(bits) | ColorType::RGBA(bits) => {
            Err(MediaError::unsupported(path, format!("{bits}-bit TIFF"), REMEDY))
        }
        other => Err(MediaError::unsupported(path, format!("TIFF of kind {other:?}"), REMEDY)),
    }
}

/// The samples, interleaved, native, grey expanded.
fn picture(path: &Path, decoder: &mut Reader, size: Size, colour: ColorType) -> Result<Vec<u8>, MediaError> {
    let failed = |error| decoding(path, error);
    let layout = decoder.image_buffer_layout().map_err(failed)?;
    if layout.sample_type != Some(tiff::decoder::DecodingSampleType::U16) {
        return Err(MediaError::unsupported(path, "TIFF with 16-bit samples that are not unsigned", REMEDY));
    }
    let samples = usize::from(colour.num_samples());
    let expected = size.pixels() * samples * 2;
    if layout.complete_len != expected {
        return Err(MediaError::damaged(path, "its planes do not make up its pixels"));
    }
    let mut bytes = vec![0; expected];
    decoder.read_image_bytes(&mut bytes).map_err(failed)?;
    Ok(match (layout.planes, samples) {
        (_, 1) => rgb_from_grey::<2>(&bytes),
        (1, _) => bytes,
        _ => interleaved(&bytes, samples),
    })
}

/// Planes of 16-bit samples, one after the other, to pixels.
fn interleaved(planes: &[u8], samples: usize) -> Vec<u8> {
    let plane = planes.len() / samples;
    let mut bytes = vec![0; planes.len()];
    for (pixel, out) in bytes.chunks_exact_mut(2 * samples).enumerate() {
        for (channel, out) in out.chunks_exact_mut(2).enumerate() {
            let from = channel * plane + 2 * pixel;
            out.copy_from_slice(&planes[from..from + 2]);
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
