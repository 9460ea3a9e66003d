//! What can go wrong with a file: each message names the file, the field and the remedy.

use std::io;
use std::path::{Path, PathBuf};

use frame::Size;
use thiserror::Error;

use crate::Format;

/// Why an image or a sequence could not be read or written.
#[derive(Debug, Error)]
pub enum MediaError {
    /// Nothing lies at the path.
    #[error("{}: no such file or folder; check the spelling and the folder", path.display())]
    Missing {
        /// The path asked for.
        path: PathBuf,
    },
    /// The operating system refused a read.
    #[error("{}: cannot be read: {source}", path.display())]
    Unreadable {
        /// File or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file ends before its picture does.
    #[error(
        "{}: the file is cut short: its header asks for {expected} bytes, {found} are there; \
         copy it again from its source", path.display()
    )]
    Truncated {
        /// The file.
        path: PathBuf,
        /// Bytes that the header asks for.
        expected: u64,
        /// Bytes in the file.
        found: u64,
    },
    /// The first bytes belong to no format that is read.
    #[error(
        "{}: not a picture that can be read: it begins with {found}; DPX, OpenEXR, TIFF, PNG and JPEG are read",
        path.display()
    )]
    WrongMagic {
        /// The file.
        path: PathBuf,
        /// Its first bytes, in words.
        found: String,
    },
    /// Width or height is zero.
    #[error(
        "{}: {field} in the header make a picture of {size}, which is empty; the file is damaged: \
         render or copy it again", path.display()
    )]
    ZeroSize {
        /// The file.
        path: PathBuf,
        /// The header fields that say so.
        field: &'static str,
        /// What they say.
        size: Size,
    },
    /// More pixels than a frame may have.
    #[error(
        "{}: {field} in the header make a picture of {size}, {bytes} bytes; at most 65535 pixels a side and \
         2 GiB a frame are read: check the file for damage, or split the picture", path.display()
    )]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// The header fields that say so.
        field: &'static str,
        /// What they say.
        size: Size,
        /// Bytes such a picture would take.
        bytes: u128,
    },
    /// A field contradicts the file or itself.
    #[error("{}: the file is damaged: {what}; copy or render it again", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// Field and value.
        what: String,
    },
    /// A sound file of a kind that is not read.
    #[error("{}: {what} is not read; {remedy}", path.display())]
    Unsupported {
        /// The file.
        path: PathBuf,
        /// What it holds.
        what: String,
        /// What the user can do.
        remedy: String,
    },
    /// A frame of a kind that the format does not hold.
    #[error("{}: {format} holds no {layout} here; {format} is written as {holds}", path.display())]
    NotWritten {
        /// The file.
        path: PathBuf,
        /// Its format.
        format: Format,
        /// The frame's layout.
        layout: String,
        /// What can be written.
        holds: &'static str,
    },
    /// A format that is read but not written.
    #[error(
        "{}: {format} is only read, not written; end the name in .dpx, .exr, .tif, .tiff or .png", path.display()
    )]
    OnlyRead {
        /// The path asked for.
        path: PathBuf,
        /// Its format.
        format: Format,
    },
    /// A depth that the format does not hold.
    #[error("{format} is not written with depth {depth}; it takes {holds}")]
    Depth {
        /// The format.
        format: Format,
        /// The depth asked for.
        depth: crate::Depth,
        /// The depths there are.
        holds: String,
    },
    /// A word that is no depth.
    #[error("'{given}' is no depth; write 8, 10, 16, half or float")]
    UnknownDepth {
        /// What was given.
        given: String,
    },
    /// A file name whose ending names no format.
    #[error(
        "{}: the ending names no format; end the name in .dpx, .exr, .tif, .tiff or .png", path.display()
    )]
    UnknownFormat {
        /// The path asked for.
        path: PathBuf,
    },
    /// A pattern that cannot be followed.
    #[error("{}: {problem}", path.display())]
    Pattern {
        /// The pattern.
        path: PathBuf,
        /// What is wrong and what would be right.
        problem: &'static str,
    },
    /// No file answers to the pattern.
    #[error("{}: no frame of this name in the folder; check the name around the number", path.display())]
    NoFrames {
        /// The pattern.
        path: PathBuf,
    },
    /// A folder without images.
    #[error(
        "{}: the folder holds no image sequence (.dpx, .exr, .tif, .tiff, .png, .jpg or .jpeg)", path.display()
    )]
    EmptyFolder {
        /// The folder.
        path: PathBuf,
    },
    /// A folder with more than one sequence.
    #[error(
        "{}: the folder holds {} sequences; name one of them:\n  {}",
        path.display(), names.len(), names.join("\n  ")
    )]
    SeveralSequences {
        /// The folder.
        path: PathBuf,
        /// Each sequence with its frame numbers.
        names: Vec<String>,
    },
    /// Two files for one frame number.
    #[error(
        "frame {number} is there twice, as {} and {}; move one of them away", first.display(), second.display()
    )]
    Twice {
        /// The frame number.
        number: i64,
        /// One file.
        first: PathBuf,
        /// The other file.
        second: PathBuf,
    },
    /// Frames are missing.
    #[error("{name}: {missing} not there; bring the missing frames or choose a range without them")]
    Gap {
        /// The sequence.
        name: String,
        /// The numbers, in words.
        missing: String,
    },
    /// No frame in the range asked for.
    #[error("{name}: no frame from {first} to {last}; the sequence runs {span}")]
    OutOfRange {
        /// The sequence.
        name: String,
        /// First number asked for.
        first: i64,
        /// Last number asked for.
        last: i64,
        /// What there is.
        span: String,
    },
    /// Several frames for one file.
    #[error(
        "{}: one file cannot take {frames} frames; put the frame number into the name, as in name.%04d.dpx",
        path.display()
    )]
    OneFileForMany {
        /// The file.
        path: PathBuf,
        /// Frames to write.
        frames: usize,
    },
    /// The output folder takes no files.
    #[error("{}: cannot write into this folder: {source}; choose another or change its permissions", folder.display())]
    Unwritable {
        /// The folder.
        folder: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The disk is full.
    #[error("{}: not written, the disk is full: {source}; free some space and render this frame again", path.display())]
    DiskFull {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The system starts no thread.
    #[error("no thread to read frames with could be started: {source}; close other programs and try again")]
    NoThread {
        /// What the system said.
        source: io::Error,
    },
    /// Any other failure to write.
    #[error("{}: not written: {source}", path.display())]
    NotStored {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl MediaError {
    /// The error of a read that failed.
    pub(crate) fn reading(path: &Path, source: io::Error) -> MediaError {
        if source.kind() == io::ErrorKind::NotFound {
            MediaError::Missing { path: path.to_owned() }
        } else {
            MediaError::Unreadable { path: path.to_owned(), source }
        }
    }

    /// The error of a write that failed.
    pub(crate) fn writing(path: &Path, source: io::Error) -> MediaError {
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                MediaError::DiskFull { path: path.to_owned(), source }
            }
            io::ErrorKind::PermissionDenied
            | io::ErrorKind::ReadOnlyFilesystem
            | io::ErrorKind::NotFound
            | io::ErrorKind::NotADirectory => MediaError::Unwritable { folder: crate::names::folder_of(path), source },
            _ => MediaError::NotStored { path: path.to_owned(), source },
        }
    }

    pub(crate) fn damaged(path: &Path, what: impl Into<String>) -> MediaError {
        MediaError::Damaged { path: path.to_owned(), what: what.into() }
    }

    pub(crate) fn unsupported(path: &Path, what: impl Into<String>, remedy: impl Into<String>) -> MediaError {
        MediaError::Unsupported { path: path.to_owned(), what: what.into(), remedy: remedy.into() }
    }
}
