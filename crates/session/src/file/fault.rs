//! What is wrong with a project file, and where.

use std::ops::Range;
use std::path::{Path, PathBuf};

use graph::SCHEMA_VERSION;

/// Why a text is no project.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// Written by a newer program. Nothing else of it was read.
    #[error(
        "{}: this project has schema version {found}, and this program reads up to {SCHEMA_VERSION}; open it with a \
         newer Greywright",
        path.display()
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version.
        found: String,
    },
    /// Something in it that cannot be meant.
    #[error("{}: line {line}, column {column}: {problem}", path.display())]
    At {
        /// The file.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// The character in the line, from 1.
        column: usize,
        /// The field, what is wrong with it, and what would be right.
        problem: String,
    },
    /// A document of schema version 1, which was JSON, that cannot be read.
    #[error("{}: {problem}", path.display())]
    Json {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        problem: String,
    },
}

/// The text of a project file, and its name for messages.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Source<'t> {
    pub path: &'t Path,
    pub text: &'t str,
}

impl Source<'_> {
    /// A fault where `at` begins.
    pub fn fault(&self, at: &Range<usize>, problem: impl Into<String>) -> FileError {
        let before = self.text.get(..at.start).unwrap_or(self.text);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
        FileError::At { path: self.path.to_owned(), line, column, problem: problem.into() }
    }

    /// The raw text of a span.
    pub fn slice(&self, at: &Range<usize>) -> &str {
        self.text.get(at.clone()).unwrap_or_default()
    }
}
