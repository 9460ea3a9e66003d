//! Where frames are written.

use std::fs;
use std::path::{Path, PathBuf};

use crate::names::{Numbered, folder_of};
use crate::{Format, MediaError};

/// The name of frames in an output folder, unless told.
const DEFAULT_NAME: &str = "frame.%04d.dpx";

/// The names of the files to write: `name.%04d.dpx`, `name.####.exr`, one file, or a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutputPattern {
    folder: PathBuf,
    name: Name,
    format: Format,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Name {
    Numbered(Numbered),
    Lone(String),
}

impl OutputPattern {
    /// Reads an output argument. A folder (one that is there, or a path that ends in a slash) takes
    /// frames as `frame.%04d.dpx`.
    ///
    /// # Errors
    /// An ending that names no format or one that is only read, or a name with two places for the number.
    pub fn parse(path: &Path) -> Result<OutputPattern, MediaError> {
        OutputPattern::parse_with_default(path, DEFAULT_NAME)
    }

    /// As [`OutputPattern::parse`], with the name that frames get in a folder.
    ///
    /// # Errors
    /// As [`OutputPattern::parse`].
    pub fn parse_with_default(path: &Path, name: &str) -> Result<OutputPattern, MediaError> {
        let slash = path.to_string_lossy().ends_with(std::path::is_separator);
        if slash || path.is_dir() {
            return OutputPattern::new(path.to_owned(), name, &path.join(name));
        }
        let unknown = || MediaError::UnknownFormat { path: path.to_owned() };
        let name = path.file_name().and_then(|name| name.to_str()).ok_or_else(unknown)?;
        OutputPattern::new(folder_of(path), name, path)
    }

    fn new(folder: PathBuf, name: &str, path: &Path) -> Result<OutputPattern, MediaError> {
        let format =
            Format::of_path(Path::new(name)).map_err(|_| MediaError::UnknownFormat { path: path.to_owned() })?;
        if format.depths().is_empty() {
            return Err(MediaError::OnlyRead { path: path.to_owned(), format });
        }
        let name = match Numbered::parse(name, path)? {
            Some(numbered) => Name::Numbered(numbered),
            None => Name::Lone(name.to_owned()),
        };
        Ok(OutputPattern { folder, name, format })
    }

    /// The file of frame `number`.
    pub fn path_for(&self, number: i64) -> PathBuf {
        match &self.name {
            Name::Numbered(numbered) => self.folder.join(numbered.name_for(number)),
            Name::Lone(name) => self.folder.join(name),
        }
    }

    /// The format that the name's ending stands for.
    pub fn format(&self) -> Format {
        self.format
    }

    /// The folder the files go to.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether there is one file alone, whatever the number.
    pub fn is_lone(&self) -> bool {
        matches!(self.name, Name::Lone(_))
    }

    /// An error where `frames` frames would go to one file.
    ///
    /// # Errors
    /// [`MediaError::OneFileForMany`].
    pub fn check_count(&self, frames: usize) -> Result<(), MediaError> {
        match &self.name {
            Name::Lone(name) if frames > 1 => Err(MediaError::OneFileForMany { path: self.folder.join(name), frames }),
            _ => Ok(()),
        }
    }

    /// Makes the output folder if it is not there, and sees to it that it takes files.
    ///
    /// # Errors
    /// [`MediaError::Unwritable`] or [`MediaError::DiskFull`].
    pub fn prepare(&self) -> Result<(), MediaError> {
        let unwritable = |source| MediaError::Unwritable { folder: self.folder.clone(), source };
        fs::create_dir_all(&self.folder).map_err(unwritable)?;
        crate::parts::part_in(&self.folder, "probe").map(drop).map_err(|source| match source.kind() {
            std::io::ErrorKind::StorageFull => MediaError::DiskFull { path: self.folder.clone(), source },
            _ => unwritable(source),
        })
    }
}
