//! Where a chain comes from: typed, a file, or a candidate of a project with the numbers of a shot.

use std::path::{Path, PathBuf};

use colour::CodeRange;

use super::Chain;
use super::book::{add_encoding, add_lut, encodings, lut_files, read_text};
use crate::{Fault, Tell};

/// Which chain, and what the user says of the originals. With neither text, file nor project the chain is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ChainSource {
    /// The chain as text.
    pub chain: Option<String>,
    /// A file that holds it.
    pub chain_file: Option<PathBuf>,
    /// A project.
    pub project: Option<PathBuf>,
    /// Which of the project's candidates; else the one that the shot has chosen, or the only one.
    pub candidate: Option<String>,
    /// Which of the project's shots.
    pub shot: Option<String>,
    /// The frame whose numbers hold for all.
    pub frame: Option<i64>,
    /// The original's encoding, by name; goes before what files and project say.
    pub input: Option<String>,
    /// The exposure index that belongs to it.
    pub exposure_index: Option<u32>,
    /// The range of the original's codes; goes before what files and project say.
    pub range: Option<CodeRange>,
    /// Encoding files.
    pub encoding_files: Vec<PathBuf>,
}

impl ChainSource {
    /// Reads the chain with the LUTs and encodings that it names; `tell` hears what the user should know, now and when
    /// the chain is bound to frames.
    ///
    /// # Errors
    /// A file that cannot be read, a name of nothing, a chain that cannot be meant.
    pub fn read(&self, tell: Tell) -> Result<Chain, Fault> {
        let parse = |text: &str| graph::chain::parse(text);
        let mut chain = match (&self.chain, &self.chain_file, &self.project) {
            (_, _, Some(project)) => self.read_project(project, tell)?,
            (Some(text), _, _) => Chain::of(parse(text).map_err(Fault::asked)?, tell),
            (None, Some(file), None) => {
                let document = parse(&read_text(file)?);
                let document = document.map_err(|error| Fault::asked(format!("{}: {error}", file.display())))?;
                Chain { folder: file.parent().unwrap_or(Path::new("")).to_owned(), ..Chain::of(document, tell) }
            }
            (None, None, None) => Chain::of(parse("").map_err(Fault::asked)?, tell),
        };
        self.encoding_files.iter().try_for_each(|path| add_encoding(&mut chain.book, path))?;
        if let Some(name) = &self.input {
            let found = chain.book.find(name, self.exposure_index);
            chain.input = Some(found.map_err(|error| Fault::asked(format!("--input: {error}")))?);
        }
        chain.range = self.range;
        if let Some(project) = &self.project {
            chain.follow_shot(project)?;
        }
        for file in lut_files(&chain.document, &chain.candidate, chain.shot.as_deref()) {
            add_lut(&mut chain.book, &file, &chain.folder)?;
        }
        Ok(chain)
    }

    fn read_project(&self, path: &Path, tell: Tell) -> Result<Chain, Fault> {
        let in_file = |problem: &str| Fault::failed(format!("{}: {problem}", path.display()));
        let (written, notes) = crate::read_with_notes(path).map_err(Fault::failed)?;
        let folder = crate::folder_of(path);
        notes.iter().for_each(|note| tell(&format!("{}: {note}", path.display())));
        let document = written.document;
        let chosen = match &self.shot {
            Some(name) => {
                let shot = document.shots.get(name);
                let names = || document.shots.keys().cloned().collect::<Vec<_>>().join(", ");
                let none = || in_file(&format!("there is no shot '{name}'; there are {}", names()));
                shot.ok_or_else(none)?.candidate.clone()
            }
            None => None,
        };
        let names: Vec<_> = document.candidates.keys().cloned().collect();
        let candidate = match (self.candidate.clone().or(chosen), &names[..]) {
            (Some(name), _) if document.candidates.contains_key(&name) => name,
            (None, [only]) => only.clone(),
            (Some(name), _) => {
                return Err(in_file(&format!("there is no candidate '{name}'; there are {}", names.join(", "))));
            }
            (None, []) => return Err(in_file("it has no candidate")),
            (None, _) => return Err(in_file(&format!("say which with --candidate: {}", names.join(", ")))),
        };
        let files: Vec<_> = written.encoding_files.iter().map(|text| crate::paths::meant(text, &folder)).collect();
        let book = encodings(&files)?;
        let (shot, frame) = (self.shot.clone(), self.frame);
        Ok(Chain { candidate, shot, frame, folder, book, ..Chain::of(document, tell) })
    }
}

impl Chain {
    /// A candidate of a document at hand, for one of its shots: what [`ChainSource::read`] makes of a project that is saved.
    /// `folder` is what paths start from, `book` holds the encodings of its encoding files.
    ///
    /// # Errors
    /// A LUT that cannot be read, an encoding that the shot names and that there is not.
    pub fn of_document(
        document: graph::Document,
        candidate: &str,
        shot: Option<&str>,
        folder: &Path,
        book: ops::Book,
        tell: Tell,
    ) -> Result<Chain, Fault> {
        let (candidate, shot) = (candidate.to_string(), shot.map(str::to_string));
        let mut chain = Chain { candidate, shot, folder: folder.to_owned(), book, ..Chain::of(document, tell) };
        chain.follow_shot(folder)?;
        for file in lut_files(&chain.document, &chain.candidate, chain.shot.as_deref()) {
            add_lut(&mut chain.book, &file, folder)?;
        }
        Ok(chain)
    }
}
