//! Shader files, each taken once, and which line of the result came from where.
//!
//! The files are part of the binary. `GREYWRIGHT_SHADERS=DIR` reads those that are there from a copy of
//! `shaders/` instead, so that a shader can be tried without building.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::path::Path;

/// A file that is used but not known.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("shader {file} is used by {user}, but there is no such file")]
pub struct ImportError {
    /// The missing file.
    pub file: String,
    /// Who uses it.
    pub user: String,
}

/// How a file says which other file it uses.
const USE: &str = "//!use ";

macro_rules! shared {
    ($($file:literal),* $(,)?) => {
        /// Files that operations and passes share, by their path under `shaders/`.
        const SHARED: &[(&str, &str)] =
            &[$(($file, include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../shaders/", $file)))),*];
    };
}

shared!(
    "edges/alpha.wgsl",
    "edges/dither.wgsl",
    "edges/dither_blue_noise.wgsl",
    "edges/dither_triangular.wgsl",
    "edges/result.wgsl",
    "edges/result_between.wgsl",
    "edges/result_ten.wgsl",
    "edges/source.wgsl",
    "edges/source_between.wgsl",
    "edges/source_ten.wgsl",
    "edges/tables.wgsl",
    "edges/words.wgsl",
    "passes/scopes.wgsl",
    "passes/scopes_chromaticity.wgsl",
    "passes/scopes_histogram.wgsl",
    "passes/scopes_plane.wgsl",
    "passes/scopes_vectorscope.wgsl",
    "passes/scopes_waveform.wgsl",
    "passes/view.wgsl",
    "shared/aces2.wgsl",
    "shared/lut.wgsl",
    "shared/affine.wgsl",
    "shared/powers.wgsl",
    "shared/pq.wgsl",
);

/// The file's text in the folder that `GREYWRIGHT_SHADERS` names, if it is set and holds it.
fn as_on_disk(file: &str) -> Option<String> {
    std::fs::read_to_string(Path::new(&std::env::var_os("GREYWRIGHT_SHADERS")?).join(file)).ok()
}

/// Where the lines of an assembled text came from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LineMap {
    /// File and line of each line, in order.
    lines: Vec<(String, usize)>,
}

impl LineMap {
    /// File and line that line `number` (from one) of the assembled text came from.
    pub fn origin(&self, number: usize) -> Option<(&str, usize)> {
        self.lines.get(number.checked_sub(1)?).map(|(file, line)| (file.as_str(), *line))
    }
}

/// Collects files, each once and after what it uses, into one text.
#[derive(Debug, Default)]
pub struct Sources {
    text: String,
    lines: LineMap,
    taken: BTreeSet<String>,
}

impl Sources {
    /// Takes a shared file, with what it uses, unless it is there already.
    ///
    /// # Errors
    /// A file that is not known.
    pub fn take_shared(&mut self, file: &str, user: &str) -> Result<(), ImportError> {
        let missing = || ImportError { file: file.to_string(), user: user.to_string() };
        let (file, text) = SHARED.iter().find(|(name, _)| *name == file).ok_or_else(missing)?;
        self.take(file, text)
    }

    /// Takes a file whose text is at hand, with what it uses, unless it is there already.
    ///
    /// # Errors
    /// It uses a file that is not known.
    pub fn take(&mut self, file: &str, text: &str) -> Result<(), ImportError> {
        if !self.taken.insert(file.to_string()) {
            return Ok(());
        }
        let text = as_on_disk(file).map_or(Cow::Borrowed(text), Cow::Owned);
        for used in text.lines().filter_map(|line| line.strip_prefix(USE)) {
            self.take_shared(used.trim(), file)?;
        }
        self.write("assembled", &format!("// {file}\n"));
        self.write(file, &text);
        Ok(())
    }

    /// Writes lines that come from `file`, from its first line on.
    pub fn write(&mut self, file: &str, text: &str) {
        for (number, line) in text.lines().enumerate() {
            self.text += line;
            self.text += "\n";
            self.lines.lines.push((file.to_string(), number + 1));
        }
    }

    /// The text and the origin of its lines.
    pub fn finish(self) -> (String, LineMap) {
        (self.text, self.lines)
    }
}
