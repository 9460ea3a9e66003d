//! Writing one file, whole or not at all.

use std::io::{self, Cursor, Write};
use std::path::Path;

use frame::{Frame, Samples};

use crate::names::folder_of;
use crate::parts::part_in;
use crate::shorts::narrowed;
use crate::{About, Format, MediaError, dpx, openexr, png_file, tiff};

/// The bytes of a file that is not yet on the disk.
#[derive(Debug)]
pub struct Encoded<'a> {
    head: Vec<u8>,
    /// Pixels that the file holds as the frame does, which need no copy.
    picture: &'a [u8],
}

impl Encoded<'_> {
    /// A file of these bytes: of a table, or of a report.
    pub fn of(bytes: Vec<u8>) -> Encoded<'static> {
        Encoded { head: bytes, picture: &[] }
    }

    /// The whole file, in pieces that follow each other.
    pub fn pieces(&self) -> [&[u8]; 2] {
        [&self.head, self.picture]
    }

    /// The whole file.
    pub fn to_bytes(&self) -> Vec<u8> {
        self.pieces().concat()
    }
}

/// Writes `frame` to `path` in the format of the path's ending, with what the format can hold of
/// `about`.
///
/// # Errors
/// As [`encode()`] and [`store`].
pub fn write(path: &Path, frame: &Frame, about: &About) -> Result<(), MediaError> {
    store(path, &encode(path, frame, about)?)
}

/// The bytes of a file in the format of the path's ending, with what the format can hold of `about`. Nothing is
/// written.
///
/// # Errors
/// An ending that names no format, a layout that the format does not take.
pub fn encode<'a>(path: &Path, frame: &'a Frame, about: &About) -> Result<Encoded<'a>, MediaError> {
    let format = Format::of_path(path)?;
    if !takes(format, frame.layout().samples) {
        return Err(MediaError::NotWritten {
            path: path.to_owned(),
            format,
            layout: frame.layout().name(),
            holds: format.holds(),
        });
    }
    encoded(format, frame, about).map_err(|error| MediaError::writing(path, error))
}

/// Puts a file's bytes under `path`.
///
/// The bytes go to a hidden file `.greywright-*.part` in the same folder, which is put on disk and then
/// renamed: under the final name there is the old file or the whole new one. On any error the hidden file is
/// removed; what a process left that was killed, [`crate::sweep`] takes away.
///
/// # Errors
/// A folder that cannot be written to, a full disk.
pub fn store(path: &Path, encoded: &Encoded<'_>) -> Result<(), MediaError> {
    let failed = |error| MediaError::writing(path, error);
    let mut temporary = part_in(&folder_of(path), "frame").map_err(failed)?;
    let file = temporary.as_file_mut();
    file.write_all(&encoded.head).and_then(|()| file.write_all(encoded.picture)).map_err(failed)?;
    file.sync_data().map_err(failed)?;
    temporary.persist(path).map(drop).map_err(|failure| failed(failure.error))
}

fn takes(format: Format, samples: Samples) -> bool {
    match format {
        Format::Dpx => matches!(samples, Samples::Ten | Samples::Codes(8 | 16)),
        Format::Exr => matches!(samples, Samples::Half | Samples::Float),
        Format::Tiff => samples == Samples::U16,
        Format::Png => matches!(samples, Samples::Codes(8 | 16)),
        Format::Jpeg => false,
    }
}

fn encoded<'a>(format: Format, frame: &'a Frame, about: &About) -> io::Result<Encoded<'a>> {
    if format == Format::Dpx && frame.layout().samples == Samples::Codes(8) {
        let bytes = narrowed(frame.bytes(), frame.layout().order);
        let mut head = dpx::header(frame, about, bytes.len())?;
        head.extend(bytes);
        return Ok(Encoded { head, picture: &[] });
    }
    if format == Format::Dpx {
        return Ok(Encoded { head: dpx::header(frame, about, frame.bytes().len())?, picture: frame.bytes() });
    }
    // A guess that saves most of the growing: compressed pictures are smaller.
    let mut bytes = Cursor::new(Vec::with_capacity(frame.bytes().len() / 2));
    match format {
        Format::Exr => openexr::write(&mut bytes, frame, about)?,
        Format::Tiff => tiff::write(&mut bytes, frame, about)?,
        Format::Png => png_file::write(&mut bytes, frame, about)?,
        // JPEG is kept out by `takes`.
        Format::Dpx | Format::Jpeg => return Err(io::ErrorKind::Unsupported.into()),
    }
    Ok(Encoded { head: bytes.into_inner(), picture: &[] })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Disk full and a folder without leave cannot be had in a unit test without privileges; how the
    /// system's word for them is passed on can.
    #[test]
    fn the_systems_refusals_become_clear_messages() {
        let path = Path::new("out/a.dpx");
        let full = MediaError::writing(path, io::ErrorKind::StorageFull.into());
        assert!(matches!(full, MediaError::DiskFull { .. }));
        assert!(full.to_string().contains("free some space"), "{full}");
        let refused = MediaError::writing(path, io::ErrorKind::PermissionDenied.into());
        assert!(refused.to_string().starts_with("out: cannot write into this folder"), "{refused}");
        let other = MediaError::writing(path, io::ErrorKind::BrokenPipe.into());
        assert!(matches!(other, MediaError::NotStored { .. }));
    }
}
