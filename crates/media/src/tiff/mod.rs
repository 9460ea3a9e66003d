//! TIFF: grey, palette and RGB, with or without alpha, of 1 to 16 bits a sample, half or single float; 16 bits written.
//!
//! Reading is ours throughout: a directory, its chunks in parallel, and samples of any width straight into the frame.
//!
//! # Source
//! TIFF Revision 6.0 (1992); TIFF Technical Note 3 (floating point predictor); the 64-bit form ("BigTIFF") as its
//! design note describes it.

mod chunks;
mod directory;
mod form;
mod rendering;
mod write;

use std::io::{self, BufReader, Read, Seek};
use std::path::Path;

use frame::{Frame, Samples};

use directory::tag;
use form::Form;

pub(crate) use directory::Directory;
pub(crate) use form::orientation;
pub(crate) use write::write;

use crate::format::NATIVE;
use crate::read::Source;
use crate::shorts::{associate, associate_floats};
use crate::{About, MediaError, Note, Picture, icc, turn};

/// Fields of text with what they say.
const TEXTS: [(u16, Note); 5] =
    [(270, Note::Comment), (272, Note::Device), (305, Note::Creator), (306, Note::Created), (33432, Note::Copyright)];

pub(crate) fn read(source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let reader = BufReader::with_capacity(1 << 16, source.file);
    let mut fields = Directory::first(reader, source.len).map_err(|error| reading(path, error))?;
    let form = Form::of(path, &mut fields)?;
    let mut about = about(&mut fields);
    about.warnings.extend(form.warnings.iter().cloned());
    let mut bytes = chunks::picture(path, &mut fields, &form, source.len)?;
    if form.unassociated {
        match form.layout.samples {
            Samples::Half | Samples::Float => associate_floats(&mut bytes, form.layout.samples),
            samples => associate(&mut bytes, NATIVE, samples.highest_code() as u16),
        }
    }
    let mut size = form.size;
    if form.orientation != 0 {
        (bytes, size) = turn::upright(&bytes, size, form.layout.bytes_per_pixel(), form.orientation);
    }
    let frame =
        Frame::new(size, form.layout, bytes, 0).map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// Takes over the texts of a directory.
pub(crate) fn texts<R: Read + Seek>(fields: &mut Directory<R>, about: &mut About) {
    for (tag, note) in TEXTS {
        if let Some(text) = fields.text(tag) {
            about.note(note, &text);
        }
    }
    if let Some((rendering, comment)) = about.notes.remove(&Note::Comment).map(|text| rendering::parted(&text)) {
        about.rendering = rendering.or(about.rendering.take());
        about.note(Note::Comment, &comment);
    }
}

fn about<R: Read + Seek>(fields: &mut Directory<R>) -> About {
    let mut about = About::default();
    texts(fields, &mut about);
    // Resolution counts pixels a unit: the wider a pixel, the fewer across.
    if let (Some(across), Some(down)) = (fields.fraction(tag::X_RESOLUTION), fields.fraction(tag::Y_RESOLUTION)) {
        let turned = orientation(fields) & turn::COLUMNS != 0;
        let aspect = if turned { across / down } else { down / across };
        about.pixel_aspect = (aspect != 1.0).then_some(aspect);
    }
    about.warnings.extend(fields.bytes(tag::ICC_PROFILE).map(|profile| icc::in_words(&profile)));
    if fields.has_more {
        about.warnings.push("the file holds several pictures: the first is used".to_owned());
    }
    about
}

fn reading(path: &Path, error: io::Error) -> MediaError {
    match error.kind() {
        io::ErrorKind::UnexpectedEof => MediaError::damaged(path, "it ends before its picture does"),
        // The decompressors' word for what they cannot follow.
        io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput => MediaError::damaged(path, error.to_string()),
        _ => MediaError::reading(path, error),
    }
}
