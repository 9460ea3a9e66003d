//! Which frames a render reads, and where it writes.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use frame::{Channels, Dither};
use media::{Depth, OutputPattern, Sequence, layout_for};
use serde::{Deserialize, Serialize};

use crate::Fault;

/// What becomes of numbers that are missing in a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Gaps {
    /// Stop before anything is written.
    Refuse,
    /// Render what is there.
    Skip,
}

/// Opens a sequence, a part of it if asked.
///
/// # Errors
/// Nothing there, numbers missing that must not be.
pub fn open(path: &Path, part: Option<(i64, i64)>, gaps: Gaps, tell: impl Fn(&str)) -> Result<Sequence, Fault> {
    wanted(&Sequence::open(path)?, part, gaps, tell)
}

/// The frames that are wanted of a sequence.
///
/// # Errors
/// None of them is there, or numbers are missing that must not be.
pub(super) fn wanted(
    whole: &Sequence,
    part: Option<(i64, i64)>,
    gaps: Gaps,
    tell: impl Fn(&str),
) -> Result<Sequence, Fault> {
    let sequence = match part {
        Some((first, last)) => whole.restrict(first, last)?,
        None => whole.clone(),
    };
    match gaps {
        Gaps::Refuse => {
            sequence.require_whole().map_err(|error| Fault::failed(format!("{error}; or say --gaps skip")))?
        }
        Gaps::Skip if !sequence.missing().is_empty() => {
            tell(&format!("{}: {} not there, left out", sequence.name(), sequence.missing_in_words()));
        }
        Gaps::Skip => {}
    }
    Ok(sequence)
}

/// Where the frames go. In a folder (one that is there, a path that ends in a slash, a name without an ending) they
/// keep their names.
///
/// # Errors
/// A name that no frames can go to, noise for floats, a folder that takes no files.
pub fn output(
    path: &Path,
    depth: Option<Depth>,
    dither: Option<Dither>,
    sequence: &Sequence,
) -> Result<OutputPattern, Fault> {
    let is_bare = path.extension().is_none() && !path.to_string_lossy().contains(['%', '#']);
    let path = if is_bare { path.join("") } else { path.to_owned() };
    let out = OutputPattern::parse_with_default(&path, sequence.name()).map_err(Fault::asked)?;
    out.check_count(sequence.frames().len()).map_err(Fault::asked)?;
    let format = out.format();
    let layout = layout_for(format, depth.unwrap_or(format.default_depth()), Channels::Rgb).map_err(Fault::asked)?;
    if let (Some(dither), true) = (dither, layout.is_float()) {
        return Err(Fault::asked(format!(
            "--dither {}: {format} is written in floats here, which have no codes to be dithered to; leave --dither \
             out, or write integers to a name that ends in .dpx, .tif or .png",
            dither.name()
        )));
    }
    out.prepare()?;
    Ok(out)
}

/// Originals are never written over.
///
/// # Errors
/// A target that is an original.
pub fn refuse_same(sequence: &Sequence, out: &OutputPattern) -> Result<(), Fault> {
    let originals: BTreeSet<PathBuf> =
        sequence.frames().iter().filter_map(|(_, path)| path.canonicalize().ok()).collect();
    for (number, _) in sequence.frames() {
        let target = out.path_for(*number);
        if target.canonicalize().is_ok_and(|target| originals.contains(&target)) {
            return Err(Fault::failed(format!("{}: this is an original; write elsewhere", target.display())));
        }
    }
    Ok(())
}
