//! Writing one file, whole or not at all.

use std::fs::File;
use std::io;
use std::path::Path;

use frame::{Frame, Samples};
use tempfile::{Builder, NamedTempFile};

use crate::names::folder_of;
use crate::{About, Format, MediaError, dpx, openexr, png_file, tiff};

/// Writes `frame` to `path` in the format of the path's ending, with what the format can hold of
/// `about`.
///
/// The bytes go to a hidden file `.greywright-*.part` in the same folder, which is put on disk and then
/// renamed: under the final name there is the old file or the whole new one. On any error the hidden file is
/// removed.
///
/// # Errors
/// An ending that names no format, a layout that the format does not take, a folder that cannot be
/// written to, a full disk.
pub fn write(path: &Path, frame: &Frame, about: &About) -> Result<(), MediaError> {
    let format = Format::of_path(path)?;
    if !takes(format, frame.layout().samples) {
        return Err(MediaError::NotWritten {
            path: path.to_owned(),
            format,
            layout: frame.layout().name(),
            holds: format.holds(),
        });
    }
    let failed = |error| MediaError::writing(path, error);
    let mut temporary = temporary_in(&folder_of(path), "frame").map_err(failed)?;
    encode(format, temporary.as_file_mut(), frame, about).map_err(failed)?;
    temporary.as_file().sync_data().map_err(failed)?;
    temporary.persist(path).map(drop).map_err(|failure| failed(failure.error))
}

/// A hidden file in `folder` that vanishes unless it is given a name.
pub(crate) fn temporary_in(folder: &Path, purpose: &str) -> io::Result<NamedTempFile> {
    let prefix = format!(".greywright-{purpose}-");
    let mut builder = Builder::new();
    builder.prefix(&prefix).suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // What any new file gets; the process mask takes its share. The crate's own choice would keep
        // the frame from everybody else.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

fn takes(format: Format, samples: Samples) -> bool {
    match format {
        Format::Dpx => matches!(samples, Samples::Ten | Samples::U16),
        Format::Exr => matches!(samples, Samples::Half | Samples::Float),
        Format::Tiff => samples == Samples::U16,
        Format::Png => matches!(samples, Samples::Codes(8 | 16)),
        Format::Jpeg => false,
    }
}

fn encode(format: Format, file: &mut File, frame: &Frame, about: &About) -> io::Result<()> {
    match format {
        Format::Dpx => dpx::write(file, frame, about),
        Format::Exr => openexr::write(file, frame, about),
        Format::Tiff => tiff::write(file, frame, about),
        Format::Png => png_file::write(file, frame, about),
        // Kept out by `takes`.
        Format::Jpeg => Err(io::ErrorKind::Unsupported.into()),
    }
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
