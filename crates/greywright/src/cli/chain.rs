//! Which chain, which original: what eval, render, verify and pace have in common.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use clap::Args;
use colour::{CodeRange, Encoding};
use graph::{Document, Elaborated, Original, Work};
use ops::{Book, Op, Operation as _, OutputTransform, Signal};

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
    /// A project file; its kit, one of its candidates and the numbers of a shot are used.
    #[arg(long, value_name = "FILE")]
    pub project: Option<PathBuf>,
    /// Which candidate of the project; else the one that the shot has chosen, or the only one.
    #[arg(long, value_name = "NAME", requires = "project")]
    pub candidate: Option<String>,
    /// A shot of the project: its numbers, encoding, exposure index and range hold, and its frames stand in for IN.
    #[arg(long, value_name = "NAME", requires = "project")]
    pub shot: Option<String>,
    /// The numbers that the shot has at this frame; without it each frame that is worked on has its own.
    #[arg(long, value_name = "NUMBER", value_parser = frame, allow_hyphen_values = true)]
    pub frame: Option<i64>,
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
    shot: Option<String>,
    /// The frame whose numbers hold for all.
    frame: Option<i64>,
    /// The folder that the paths of its file start from; the current one for a chain that is typed.
    folder: PathBuf,
    /// Encodings and LUTs by name.
    pub book: Book,
    input: Option<Encoding>,
    range: Option<CodeRange>,
    /// The camera roll that the project's shot or the shot sheet names.
    camera_roll: Option<String>,
    /// What has been said: a chain is elaborated anew for many a frame.
    said: Mutex<BTreeSet<String>>,
}

fn frame(text: &str) -> Result<i64, String> {
    text.parse().map_err(|_| "the number of a frame is wanted, for instance 1001".to_string())
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

/// The LUT files that a candidate may use for a shot, as they are written: those of the kit and of the layers.
pub fn lut_files(document: &Document, candidate: &str, shot: Option<&str>) -> BTreeSet<String> {
    let shot = shot.and_then(|name| document.shots.get(name));
    let set_up = shot.and_then(|shot| document.set_ups.get(shot.set_up.as_ref()?));
    let layers = [Some(&document.scene), set_up.map(|set_up| &set_up.layer), shot.map(|shot| &shot.layer)];
    let mut files = BTreeSet::new();
    let wiring = document.candidates.get(candidate);
    let used = wiring.into_iter().flat_map(|wiring| wiring.graph().node_weights()).filter(|place| !place.bypass);
    for member in used.map(|place| &place.member) {
        if let Some(Op::Lut(lut)) = document.kit.get(member) {
            let numbers = layers.iter().flatten().filter_map(|layer| layer.number(member, "file"));
            let of_layers = numbers.flat_map(|number| number.base.iter().chain(number.marks.values()));
            files.extend(lut.file.iter().chain(of_layers).filter(|file| !file.is_empty()).cloned());
        }
    }
    files
}

/// Reads a LUT file into the book. Its path is seen from `folder`.
pub fn add_lut(book: &mut Book, file: &str, folder: &Path) -> Result<(), Failure> {
    let path = folder.join(file);
    let bytes = std::fs::read(&path).map_err(|error| unreadable(&path, &error))?;
    let cube = interchange::cube::read(&bytes, &path.display().to_string()).map_err(Failure::work)?;
    book.add_lut(file, cube.lut);
    Ok(())
}

/// The encodings that names may mean, those of encoding files among them.
pub fn encodings(files: &[PathBuf]) -> Result<Book, Failure> {
    let mut book = Book::default();
    files.iter().try_for_each(|path| add_encoding(&mut book, path))?;
    Ok(book)
}

/// Adds the encoding of an encoding file.
pub fn add_encoding(book: &mut Book, path: &Path) -> Result<(), Failure> {
    let text = read_text(path)?;
    book.add(Encoding::from_toml(&text, &path.display().to_string()).map_err(Failure::work)?);
    Ok(())
}

impl ChainArgs {
    /// Whether any chain is given.
    pub fn is_given(&self) -> bool {
        self.chain.is_some() || self.chain_file.is_some() || self.project.is_some()
    }

    /// Reads the chain. With none given, the chain is empty.
    pub fn read(&self) -> Result<Chain, Failure> {
        if self.frame.is_some() && self.shot.is_none() {
            return Err(Failure::usage("--frame says which numbers of a shot hold; say which shot with --shot"));
        }
        self.read_of_frame()
    }

    /// As [`ChainArgs::read`], for commands whose `--frame` also says which frame is looked at.
    pub fn read_of_frame(&self) -> Result<Chain, Failure> {
        let mut chain = match (&self.chain, &self.chain_file, &self.project) {
            (_, _, Some(project)) => self.read_project(project)?,
            (Some(text), _, _) => Chain::of(graph::chain::parse(text).map_err(Failure::usage)?),
            (None, Some(file), None) => {
                let document = graph::chain::parse(&read_text(file)?);
                let document = document.map_err(|error| Failure::usage(format!("{}: {error}", file.display())))?;
                Chain { folder: file.parent().unwrap_or(Path::new("")).to_owned(), ..Chain::of(document) }
            }
            (None, None, None) => Chain::of(graph::chain::parse("").map_err(Failure::usage)?),
        };
        self.encoding_file.iter().try_for_each(|path| add_encoding(&mut chain.book, path))?;
        if let Some(name) = &self.input {
            let found = chain.book.find(name, self.ei);
            chain.input = Some(found.map_err(|error| Failure::usage(format!("--input: {error}")))?);
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

    fn read_project(&self, path: &Path) -> Result<Chain, Failure> {
        let in_file = |problem: &str| Failure::work(format!("{}: {problem}", path.display()));
        let (written, notes) = session::read_with_notes(path).map_err(Failure::work)?;
        let folder = session::folder_of(path);
        notes.iter().for_each(|note| say::note(&format!("{}: {note}", path.display())));
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
        let files: Vec<_> = written.encoding_files.iter().map(|text| session::paths::meant(text, &folder)).collect();
        let book = encodings(&files)?;
        let (shot, frame) = (self.shot.clone(), self.frame);
        Ok(Chain { candidate, shot, frame, folder, book, ..Chain::of(document) })
    }
}

impl Chain {
    /// The linear chain of a document that was read from text.
    fn of(document: Document) -> Self {
        Self {
            document,
            candidate: graph::chain::CANDIDATE.to_string(),
            shot: None,
            frame: None,
            folder: PathBuf::new(),
            book: Book::default(),
            input: None,
            range: None,
            camera_roll: None,
            said: Mutex::default(),
        }
    }

    /// What the chain means for rows of numbers.
    pub fn for_rows(&self) -> Result<Elaborated, Failure> {
        self.elaborate(self.input.clone().map_or(Original::SceneRows, Original::Encoded), None, None)
    }

    /// What the chain means for a frame, whose file may say what it holds; what the user says comes first, then the
    /// project's shot. The frame's number matters where a shot has marks.
    pub fn for_frame(&self, about: &media::About, number: i64) -> Result<Elaborated, Failure> {
        // What says how a picture was rendered begins with the display that it was made for.
        let display = || about.rendering.as_deref()?.split(", ").next();
        let told = about.encoding_id().or_else(display).and_then(|id| self.book.find(id, None).ok());
        let original = self.input.clone().or(told).map_or(Original::Unknown, Original::Encoded);
        self.elaborate(original, about.range.map(wire_range), Some(number))
    }

    /// Puts the camera roll that people wrote down before the one that a file says; results carry it.
    pub fn overrule(&self, about: &mut media::About) {
        if self.camera_roll.is_some() {
            about.camera_roll.clone_from(&self.camera_roll);
        }
    }

    /// The encoding and the range that the user, the project's shot or a shot sheet says the original has.
    pub fn told(&self) -> (Option<&Encoding>, Option<CodeRange>) {
        (self.input.as_ref(), self.range)
    }

    /// A setting, as it is written, of the output transform that makes the result; none where nothing or another
    /// operation does.
    pub fn output_setting(&self, elaborated: &Elaborated, key: &str) -> Option<String> {
        let transforms = |node: &&graph::Node| node.operation == OutputTransform::ID && node.work != Work::Bypassed;
        let member = &elaborated.nodes.iter().rev().find(transforms)?.member;
        self.document.kit.get(member)?.get(key)
    }

    /// Whether its numbers change from frame to frame.
    pub fn moves(&self) -> bool {
        let shot = self.shot.as_ref().and_then(|name| self.document.shots.get(name));
        let mut numbers = shot.into_iter().flat_map(|shot| shot.layer.members().values().flat_map(|of| of.values()));
        self.frame.is_none() && numbers.any(|number| number.marks.len() > 1)
    }

    /// The candidate's places in the order of work: their numbers, and the kit members that stand there.
    pub fn places(&self) -> Vec<(usize, String)> {
        let Some(wiring) = self.document.candidates.get(&self.candidate) else { return Vec::new() };
        let order = wiring.in_order().unwrap_or_default();
        let member = |at| wiring.graph().node_weight(at).map(|place| place.member.clone());
        order.into_iter().filter_map(|at| Some((at.index(), member(at)?))).collect()
    }

    /// The candidate's places as a project writes them, in order.
    pub fn order(&self) -> String {
        self.document.candidates.get(&self.candidate).map_or_else(String::new, |wiring| wiring.lines().join(" | "))
    }

    /// Every order of a candidate's corrections, each as a chain of its own, with its name.
    pub fn orders(&self, candidate: &str) -> Result<Vec<(String, Chain)>, Failure> {
        let orders = self.document.orders(candidate).map_err(Failure::work)?;
        let of = |(name, wiring): (String, graph::Wiring)| {
            let mut document = self.document.clone();
            document.candidates.insert(name.clone(), wiring);
            let chain = Chain {
                document,
                candidate: name.clone(),
                shot: self.shot.clone(),
                frame: self.frame,
                folder: self.folder.clone(),
                book: self.book.clone(),
                input: self.input.clone(),
                range: self.range,
                camera_roll: self.camera_roll.clone(),
                said: Mutex::default(),
            };
            (name, chain)
        };
        Ok(orders.into_iter().map(of).collect())
    }

    /// Which candidate, shot and frame it is, for people.
    pub fn title(&self) -> String {
        let shot = self.shot.as_ref().map_or_else(String::new, |shot| format!(", shot {shot}"));
        let frame = self.frame.map_or_else(String::new, |frame| format!(", frame {frame}"));
        format!("{}{shot}{frame}", self.candidate)
    }

    /// The project's shot, if one is meant.
    pub fn shot(&self) -> Option<&graph::Shot> {
        self.document.shots.get(self.shot.as_ref()?)
    }

    /// The frames of the project's shot.
    pub fn media(&self) -> Option<PathBuf> {
        Some(session::paths::meant(&self.shot()?.media, &self.folder))
    }

    /// Lets the project's shot say what the user has not said.
    fn follow_shot(&mut self, project: &Path) -> Result<(), Failure> {
        let Some(name) = &self.shot else { return Ok(()) };
        let Some(shot) = self.document.shots.get(name) else { return Ok(()) };
        if self.input.is_none()
            && let Some(encoding) = &shot.encoding
        {
            let found = find(&self.book, encoding, shot.exposure_index);
            let in_shot = |error| Failure::work(format!("{}: shot '{name}': {error}", project.display()));
            self.input = Some(found.map_err(in_shot)?);
        }
        self.range = self.range.or(shot.range);
        self.camera_roll.clone_from(&shot.camera_roll);
        Ok(())
    }

    /// Lets a shot sheet say what neither the user nor the project's shot has said of a sequence: encoding, exposure
    /// index, range, camera roll.
    pub fn follow(&mut self, sheet: &Path, sequence: &media::Sequence) -> Result<(), Failure> {
        let sheet = media::ShotSheet::read(sheet).map_err(Failure::work)?;
        let at = sheet.path.display();
        let Some(shot) = sheet.shot_of(sequence) else {
            return Err(Failure::work(format!("{at}: no row's media is {}; add a row for it", sequence.name())));
        };
        if self.input.is_none()
            && let Some(name) = &shot.encoding
        {
            let encoding = find(&self.book, name, shot.exposure_index);
            let in_row = |error| Failure::work(format!("{at}, line {}, column 'encoding': {error}", shot.line));
            self.input = Some(encoding.map_err(in_row)?);
        }
        self.range = self.range.or(shot.range.map(wire_range));
        self.camera_roll = self.camera_roll.take().or_else(|| shot.camera_roll.clone());
        Ok(())
    }

    fn elaborate(
        &self,
        original: Original,
        file_range: Option<CodeRange>,
        number: Option<i64>,
    ) -> Result<Elaborated, Failure> {
        let wiring = self
            .document
            .candidates
            .get(&self.candidate)
            .ok_or_else(|| Failure::usage(format!("there is no candidate '{}'", self.candidate)))?;
        let range = self.range.or(file_range);
        let kit = self.document.resolve(self.shot.as_deref(), self.frame.or(number)).map_err(Failure::work)?;
        let elaborated = graph::elaborate(wiring, &kit, &original, range, &self.book);
        let elaborated = elaborated.map_err(Failure::usage)?;
        elaborated.warnings.iter().for_each(|warning| self.say_once(format!("warning: {warning}")));
        Ok(elaborated)
    }

    /// Says something of the chain and its frames, which are looked at more often than once.
    pub fn say_once(&self, words: String) {
        let mut said = self.said.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if !said.contains(&words) {
            say::note(&words);
            said.insert(words);
        }
    }
}

/// Finds an encoding. The exposure index is a fact of the shoot; only some encodings depend on it.
pub fn find(book: &Book, name: &str, index: Option<u32>) -> Result<Encoding, colour::EncodingError> {
    let depends = book.find(name, None).is_ok_and(|encoding| encoding.exposure_index.is_some());
    book.find(name, index.filter(|_| depends))
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
    chain: &Chain,
    elaborated: &Elaborated,
    source: gpu::assemble::Edge,
    result: gpu::assemble::Edge,
) -> Result<(), Failure> {
    let (title, rendering) = (chain.title(), elaborated.rendering_in_words());
    let mut text = format!("what it means: {title}\n{elaborated}rendering: {rendering}\n");
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
