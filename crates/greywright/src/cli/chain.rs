//! Which chain, which original: what eval, render, verify and pace have in common.

use std::path::{Path, PathBuf};

use clap::Args;
use colour::{CodeRange, Encoding};
use graph::{Document, Elaborated, Original};
use ops::{Book, Op, Signal};

use super::failure::Failure;
use super::say;

/// The chain, and what is known of the original.
#[derive(Args, Clone, Debug, Default)]
pub struct ChainArgs {
    /// Operations joined by |, each a name and key=value settings.
    #[arg(long, value_name = "CHAIN", conflicts_with_all = ["chain_file", "project"])]
    pub chain: Option<String>,
    /// A text file that holds the chain.
    #[arg(long, value_name = "FILE", conflicts_with = "project")]
    pub chain_file: Option<PathBuf>,
    /// A project file; its kit and one of its candidates are used.
    #[arg(long, value_name = "FILE")]
    pub project: Option<PathBuf>,
    /// Which candidate of the project; needed if it has several.
    #[arg(long, value_name = "NAME", requires = "project")]
    pub candidate: Option<String>,
    /// The original's encoding, where no input-transform names it; goes before what the file says.
    #[arg(long, value_name = "ENCODING")]
    pub input: Option<String>,
    /// The exposure index that belongs to --input, for LogC3.
    #[arg(long, value_name = "INDEX", requires = "input")]
    pub ei: Option<u32>,
    /// Whether the original's codes fill the full or the legal range.
    #[arg(long, value_name = "full|legal", value_parser = <CodeRange as ops::Setting>::parse)]
    pub range: Option<CodeRange>,
    /// An encoding file (TOML); its name can then be used like a built-in one. May be repeated.
    #[arg(long, value_name = "FILE")]
    pub encoding_file: Vec<PathBuf>,
    /// Print to standard error what the chain means and how it runs: the elaborated graph, the plan before and after
    /// the optimiser, the WGSL of each pass.
    #[arg(long)]
    pub explain: bool,
}

/// A chain that has been read, with what its names mean.
pub struct Chain {
    document: Document,
    candidate: String,
    /// Encodings and LUTs by name.
    pub book: Book,
    input: Option<Encoding>,
    range: Option<CodeRange>,
}

fn unreadable(path: &Path, error: &std::io::Error) -> Failure {
    let remedy = match error.kind() {
        std::io::ErrorKind::NotFound => "no such file; check the spelling and the folder".to_string(),
        std::io::ErrorKind::InvalidData => "this is not text; name a text file in UTF-8".to_string(),
        _ => format!("it cannot be read: {error}"),
    };
    Failure::work(format!("{}: {remedy}", path.display()))
}

fn read_text(path: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(path).map_err(|error| unreadable(path, &error))
}

/// Reads the LUTs that a candidate uses into the book. Their paths are seen from `folder`.
fn read_luts(document: &Document, candidate: &str, folder: &Path, book: &mut Book) -> Result<(), Failure> {
    let Some(wiring) = document.candidates.get(candidate) else { return Ok(()) };
    let used = wiring.graph().node_weights().filter(|place| !place.bypass);
    for op in used.filter_map(|place| document.kit.get(&place.member)) {
        let Op::Lut(lut) = op else { continue };
        let Some(name) = lut.file.as_deref().filter(|name| book.lut(name).is_none()) else { continue };
        let path = folder.join(name);
        let bytes = std::fs::read(&path).map_err(|error| unreadable(&path, &error))?;
        let cube = interchange::cube::read(&bytes, &path.display().to_string()).map_err(Failure::work)?;
        book.add_lut(name, cube.lut);
    }
    Ok(())
}

/// The encodings that names may mean, those of encoding files among them.
pub fn encodings(files: &[PathBuf]) -> Result<Book, Failure> {
    let mut book = Book::default();
    for path in files {
        let text = read_text(path)?;
        book.add(Encoding::from_toml(&text, &path.display().to_string()).map_err(Failure::work)?);
    }
    Ok(book)
}

impl ChainArgs {
    /// Reads the chain. With none given, the chain is empty.
    pub fn read(&self) -> Result<Chain, Failure> {
        let mut book = encodings(&self.encoding_file)?;
        let (document, candidate) = match (&self.chain, &self.chain_file, &self.project) {
            (_, _, Some(project)) => self.read_project(project)?,
            (Some(chain), _, _) => {
                (graph::chain::parse(chain).map_err(Failure::usage)?, graph::chain::CANDIDATE.into())
            }
            (None, Some(file), None) => {
                let text = read_text(file)?;
                let document = graph::chain::parse(&text)
                    .map_err(|error| Failure::usage(format!("{}: {error}", file.display())))?;
                (document, graph::chain::CANDIDATE.into())
            }
            (None, None, None) => (graph::chain::parse("").map_err(Failure::usage)?, graph::chain::CANDIDATE.into()),
        };
        // The folder of the file that names them; the current one for a chain that is typed.
        let file = self.project.as_deref().or(self.chain_file.as_deref());
        let folder = file.and_then(Path::parent).unwrap_or(Path::new(""));
        read_luts(&document, &candidate, folder, &mut book)?;
        let input = match &self.input {
            Some(name) => Some(book.find(name, self.ei).map_err(|error| Failure::usage(format!("--input: {error}")))?),
            None => None,
        };
        Ok(Chain { document, candidate, book, input, range: self.range })
    }

    fn read_project(&self, path: &Path) -> Result<(Document, String), Failure> {
        let in_file = |error: &dyn std::fmt::Display| Failure::work(format!("{}: {error}", path.display()));
        let document = Document::from_json(&read_text(path)?).map_err(|error| in_file(&error))?;
        let names: Vec<_> = document.candidates.keys().cloned().collect();
        let candidate = match (&self.candidate, &names[..]) {
            (Some(name), _) if document.candidates.contains_key(name) => name.clone(),
            (None, [only]) => only.clone(),
            (Some(name), _) => {
                return Err(in_file(&format!("there is no candidate '{name}'; there are {}", names.join(", "))));
            }
            (None, []) => return Err(in_file(&"it has no candidate")),
            (None, _) => return Err(in_file(&format!("say which with --candidate: {}", names.join(", ")))),
        };
        Ok((document, candidate))
    }
}

impl Chain {
    /// What the chain means for rows of numbers.
    pub fn for_rows(&self) -> Result<Elaborated, Failure> {
        self.elaborate(self.input.clone().map_or(Original::SceneRows, Original::Encoded), None)
    }

    /// What the chain means for frames, whose file may say what they hold; what the user says comes first.
    pub fn for_frames(&self, about: &media::About) -> Result<Elaborated, Failure> {
        let told = about.encoding_id().and_then(|id| self.book.find(id, None).ok());
        let original = self.input.clone().or(told).map_or(Original::Unknown, Original::Encoded);
        self.elaborate(original, about.range.map(wire_range))
    }

    /// Lets a shot sheet say what the user has not said of a sequence: encoding, exposure index, range.
    pub fn follow(&mut self, sheet: &Path, sequence: &media::Sequence) -> Result<(), Failure> {
        let sheet = media::ShotSheet::read(sheet).map_err(Failure::work)?;
        let at = sheet.path.display();
        let Some(shot) = sheet.shot_of(sequence) else {
            return Err(Failure::work(format!("{at}: no row's media is {}; add a row for it", sequence.name())));
        };
        if self.input.is_none()
            && let Some(name) = &shot.encoding
        {
            // The index is a fact of the shoot; only some encodings depend on it.
            let depends = self.book.find(name, None).is_ok_and(|encoding| encoding.exposure_index.is_some());
            let encoding = self.book.find(name, shot.exposure_index.filter(|_| depends));
            let in_row = |error| Failure::work(format!("{at}, line {}, column 'encoding': {error}", shot.line));
            self.input = Some(encoding.map_err(in_row)?);
        }
        self.range = self.range.or(shot.range.map(wire_range));
        Ok(())
    }

    fn elaborate(&self, original: Original, file_range: Option<CodeRange>) -> Result<Elaborated, Failure> {
        let wiring = self
            .document
            .candidates
            .get(&self.candidate)
            .ok_or_else(|| Failure::usage(format!("there is no candidate '{}'", self.candidate)))?;
        let range = self.range.or(file_range);
        let elaborated = graph::elaborate(wiring, &self.document.kit, &original, range, &self.book);
        let elaborated = elaborated.map_err(Failure::usage)?;
        elaborated.warnings.iter().for_each(|warning| say::note(&format!("warning: {warning}")));
        Ok(elaborated)
    }
}

/// A wire's range for the file's.
fn wire_range(range: frame::Range) -> CodeRange {
    match range {
        frame::Range::Full => CodeRange::Full,
        frame::Range::Legal => CodeRange::Legal,
    }
}

/// The file's range for a wire's.
pub fn file_range(range: CodeRange) -> frame::Range {
    match range {
        CodeRange::Full => frame::Range::Full,
        CodeRange::Legal => frame::Range::Legal,
    }
}

/// The encoding id that a result goes by, for the metadata of written files; none where the id would say something
/// else than the signal is, as with primaries of the user's choice.
pub fn encoding_id(signal: &Signal) -> Option<String> {
    if !signal.curve.is_linear() {
        let id = signal.curve.name.split(" EI ").next()?;
        let own = Encoding::named(id, None).is_ok_and(|encoding| encoding.primaries == signal.primaries);
        return own.then(|| id.to_string());
    }
    let ids = ["ACES2065-1", "ACEScg", "Linear-BT.709", "Linear-BT.2020", "Linear-P3-D65"];
    ids.iter()
        .find(|id| Encoding::named(id, None).is_ok_and(|encoding| encoding.primaries == signal.primaries))
        .map(|id| (*id).to_string())
}

/// Prints the elaborated graph, the plan before and after the optimiser, and the WGSL, to standard error.
pub fn explain(
    elaborated: &Elaborated,
    source: gpu::assemble::Edge,
    result: gpu::assemble::Edge,
) -> Result<(), Failure> {
    let mut text = format!("what it means\n{elaborated}");
    for (title, level) in [("\nthe plan as elaborated", plan::Level::None), ("\nthe plan optimised", plan::Level::Full)]
    {
        text += &format!("{title}\n{}", plan::Plan::new(elaborated, level));
    }
    let program = gpu::assemble::assemble(&plan::Plan::new(elaborated, plan::Level::Full), source, result)?;
    for (number, pass) in program.passes.iter().enumerate() {
        text += &format!("\nthe WGSL of pass {number}\n{}", pass.wgsl);
    }
    eprint!("{text}");
    Ok(())
}
