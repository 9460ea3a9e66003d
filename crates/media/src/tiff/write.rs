//! Writing: 16 bits a sample, one strip after the other, without compression.

use std::io::{self, Cursor};

use frame::{Frame, Size};
use tiff::TiffError;
use tiff::encoder::{DirectoryEncoder, Rational, TiffEncoder, TiffKindStandard, colortype};
use tiff::tags::{ExtraSamples, Tag};

use super::TEXTS;
use super::rendering::joined;
use crate::format::NATIVE;
use crate::shorts::in_order;
use crate::{About, Note};

/// Steps in which the shape of a pixel is written.
const ASPECT_STEPS: f64 = 1e6;

pub(crate) fn write(file: &mut Cursor<Vec<u8>>, frame: &Frame, about: &About) -> io::Result<()> {
    let bytes = in_order::<2>(frame, NATIVE);
    let samples: Vec<u16> = bytes.as_chunks::<2>().0.iter().map(|&sample| u16::from_ne_bytes(sample)).collect();
    let mut encoder = TiffEncoder::new(file).map_err(encoding)?;
    let Size { width, height } = frame.size();
    if frame.layout().has_alpha() {
        let mut image = encoder.new_image::<colortype::RGBA16>(width, height).map_err(encoding)?;
        write_about(image.encoder(), about)?;
        // The colour type counts alpha among its own samples; the tag only says what it means.
        let associated = [ExtraSamples::AssociatedAlpha.to_u16()];
        image.encoder().write_tag(Tag::ExtraSamples, &associated[..]).map_err(encoding)?;
        image.write_data(&samples).map_err(encoding)
    } else {
        let mut image = encoder.new_image::<colortype::RGB16>(width, height).map_err(encoding)?;
        write_about(image.encoder(), about)?;
        image.write_data(&samples).map_err(encoding)
    }
}

fn write_about(
    directory: &mut DirectoryEncoder<'_, &mut Cursor<Vec<u8>>, TiffKindStandard>,
    about: &About,
) -> io::Result<()> {
    // Resolution counts pixels a unit: the wider a pixel, the fewer across.
    let aspect = about.pixel_aspect.map(|aspect| (aspect * ASPECT_STEPS).round()).filter(|y| (1.0..2e9).contains(y));
    if let Some(down) = aspect {
        for (tag, n) in [(Tag::XResolution, ASPECT_STEPS), (Tag::YResolution, down)] {
            directory.write_tag(tag, Rational { n: n as u32, d: 1 }).map_err(encoding)?;
        }
    }
    for (tag, note) in TEXTS {
        let text = about.notes.get(&note);
        let text = if note == Note::Comment { joined(about.rendering.as_ref(), text) } else { text.cloned() };
        if let Some(text) = text {
            let ascii: String = text.chars().map(|c| if c.is_ascii() && c != '\0' { c } else { '?' }).collect();
            directory.write_tag(Tag::from_u16_exhaustive(tag), ascii.as_str()).map_err(encoding)?;
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
