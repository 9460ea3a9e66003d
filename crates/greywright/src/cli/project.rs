//! `project`: what a project holds, and what is wrong with it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use graph::{Document, Original, Shot};
use media::Sequence;
use ops::Book;
use serde::Serialize;
use session::{Project, paths};

use super::chain::{add_encoding, add_lut, lut_files};
use super::failure::Failure;
use super::say;

/// Say what a project holds: kit, candidates with their places, shots with their state, and what is missing.
#[derive(clap::Args)]
#[command(after_help = "  greywright project night_ferry.greywright
  greywright project night_ferry.greywright --recover")]
pub struct Args {
    /// The project file.
    #[arg(value_name = "PROJECT")]
    project: PathBuf,
    /// Take up the unsaved work that a process left beside the project when it ended, and save it.
    #[arg(long, conflicts_with = "discard")]
    recover: bool,
    /// Leave that unsaved work, for good.
    #[arg(long)]
    discard: bool,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Answer {
    project: String,
    schema_version: u32,
    kit: Vec<Member>,
    candidates: Vec<Candidate>,
    set_ups: Vec<SetUp>,
    shots: Vec<ShotRow>,
    missing: Vec<String>,
    warnings: Vec<String>,
    notes: Vec<String>,
    /// Why it could not be changed now; none where it could.
    read_only: Option<String>,
    /// When unsaved work was kept beside it; none where there is none.
    unsaved_work: Option<String>,
}

#[derive(Serialize)]
struct Member {
    name: String,
    operation: String,
    version: u32,
    /// The settings that are not neutral.
    settings: Vec<String>,
}

#[derive(Serialize)]
struct Candidate {
    name: String,
    places: Vec<PlaceRow>,
    /// How its picture is brought to a display, each way once: shots may have settings of their own.
    renderings: Vec<String>,
}

#[derive(Serialize)]
struct PlaceRow {
    at: usize,
    line: String,
}

#[derive(Serialize)]
struct SetUp {
    name: String,
    note: String,
    shots: usize,
}

#[derive(Serialize)]
struct ShotRow {
    name: String,
    set_up: Option<String>,
    candidate: Option<String>,
    state: &'static str,
    locked: bool,
    encoding: Option<String>,
    media: String,
    /// How many frames are there.
    frames: usize,
    note: String,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let mut project = Project::open(&args.project).map_err(Failure::work)?;
    if args.recover || args.discard {
        decide(&mut project, args.recover)?;
    }
    let answer = answer(&project, &args.project)?;
    if args.json { say::json(&answer) } else { say::result(&table(&answer)) }
}

fn decide(project: &mut Project, recover: bool) -> Result<(), Failure> {
    let path = project.path().display().to_string();
    if let Some(why) = project.read_only() {
        return Err(Failure::work(format!("{path}: it cannot be changed, {why}")));
    }
    let Some(recovered) = project.recovered() else {
        return Err(Failure::work(format!("{path}: no unsaved work lies beside it")));
    };
    let kept = recovered.kept.clone();
    if recover {
        project.take_up();
        project.save().map_err(Failure::work)?;
        say::note(&format!("the unsaved work of {kept} is in the project now"));
    } else {
        project.leave().map_err(Failure::work)?;
        say::note(&format!("the unsaved work of {kept} is gone"));
    }
    Ok(())
}

fn answer(project: &Project, path: &Path) -> Result<Answer, Failure> {
    let document = project.document();
    let (book, missing) = files(project);
    let mut answer = Answer {
        project: path.display().to_string(),
        schema_version: document.schema_version,
        kit: document.kit.iter().map(|(name, op)| member(name, op)).collect(),
        candidates: Vec::new(),
        set_ups: Vec::new(),
        shots: Vec::new(),
        missing,
        warnings: Vec::new(),
        notes: project.notes().to_vec(),
        read_only: project.read_only().map(str::to_string),
        unsaved_work: project.recovered().map(|recovered| recovered.kept.clone()),
    };
    let mut meanings = Meanings::default();
    meanings.collect(document, &book);
    answer.warnings = meanings.warnings;
    for (name, wiring) in &document.candidates {
        let renderings = meanings.renderings.remove(name).unwrap_or_default();
        answer.candidates.push(candidate(name, wiring, renderings));
    }
    for (name, set_up) in &document.set_ups {
        let shots = document.shots.values().filter(|shot| shot.set_up.as_ref() == Some(name)).count();
        answer.set_ups.push(SetUp { name: name.clone(), note: set_up.note.clone(), shots });
    }
    for (name, shot) in &document.shots {
        let frames = match Sequence::open(&paths::meant(&shot.media, &project.folder())) {
            Ok(sequence) => {
                if !sequence.missing().is_empty() {
                    answer.missing.push(format!("{name}: {} not there", sequence.missing_in_words()));
                }
                sequence.frames().len()
            }
            Err(error) => {
                answer.missing.push(format!("{name}: {error}"));
                0
            }
        };
        answer.shots.push(row(name, shot, frames));
    }
    Ok(answer)
}

/// What the project's encoding files and LUT files mean, and what is wrong with them.
fn files(project: &Project) -> (Book, Vec<String>) {
    let mut book = Book::default();
    let mut missing = Vec::new();
    let mut note = |added: Result<(), session::Fault>| missing.extend(added.err().map(|fault| fault.to_string()));
    for file in project.encoding_files() {
        note(add_encoding(&mut book, &file));
    }
    let document = project.document();
    let mut luts = BTreeSet::new();
    for candidate in document.candidates.keys() {
        for shot in document.shots.keys().map(|name| Some(name.as_str())).chain([None]) {
            luts.extend(lut_files(document, candidate, shot));
        }
    }
    for file in luts {
        note(add_lut(&mut book, &file, &project.folder()));
    }
    (book, missing)
}

fn member(name: &str, op: &ops::Op) -> Member {
    let neutral = ops::Op::named(op.id());
    let set = op.fields().iter().filter_map(|field| {
        let text = op.get(field.key)?;
        let same = neutral.as_ref().and_then(|op| op.get(field.key)).as_ref() == Some(&text);
        (!same).then(|| format!("{}={text}", field.key))
    });
    Member { name: name.to_string(), operation: op.id().to_string(), version: op.version(), settings: set.collect() }
}

fn candidate(name: &str, wiring: &graph::Wiring, renderings: BTreeSet<String>) -> Candidate {
    let order = wiring.in_order().unwrap_or_default();
    let places = order.iter().zip(wiring.lines()).map(|(at, line)| PlaceRow { at: at.index(), line });
    Candidate { name: name.to_string(), places: places.collect(), renderings: renderings.into_iter().collect() }
}

fn row(name: &str, shot: &Shot, frames: usize) -> ShotRow {
    ShotRow {
        name: name.to_string(),
        set_up: shot.set_up.clone(),
        candidate: shot.candidate.clone(),
        state: shot.state.name(),
        locked: shot.locked,
        encoding: shot.encoding.as_ref().map(|encoding| match shot.exposure_index {
            Some(index) => format!("{encoding} EI {index}"),
            None => encoding.clone(),
        }),
        media: shot.media.clone(),
        frames,
        note: shot.note.clone(),
    }
}

/// What elaboration says of each candidate for each shot. All candidates are to be compared, not those alone that shots
/// have chosen.
#[derive(Default)]
struct Meanings {
    warnings: Vec<String>,
    /// Candidate and warning: each is said once, whatever shots it holds for.
    said: BTreeSet<(String, String)>,
    /// By candidate.
    renderings: BTreeMap<String, BTreeSet<String>>,
}

impl Meanings {
    fn collect(&mut self, document: &Document, book: &Book) {
        if document.shots.is_empty() {
            self.of_shot(document, None, &Original::SceneRows, book);
        }
        for (name, shot) in &document.shots {
            match shot.encoding(book) {
                Ok(Some(encoding)) => self.of_shot(document, Some(name), &Original::Encoded(encoding), book),
                Ok(None) => self.of_shot(document, Some(name), &Original::Unknown, book),
                Err(error) => self.warnings.push(format!("{name}: {error}")),
            }
        }
    }

    fn of_shot(&mut self, document: &Document, name: Option<&str>, original: &Original, book: &Book) {
        let shot = name.and_then(|name| document.shots.get(name));
        let Ok(kit) = document.resolve(name, None) else { return };
        for (candidate, wiring) in &document.candidates {
            let of_one = match graph::elaborate(wiring, &kit, original, shot.and_then(|shot| shot.range), book) {
                Ok(elaborated) => {
                    let renderings = self.renderings.entry(candidate.clone()).or_default();
                    renderings.extend(elaborated.rendering());
                    elaborated.warnings.iter().map(ToString::to_string).collect()
                }
                // A shot whose files may still say what they hold is no fault of the project.
                Err(_) if shot.is_none_or(|shot| shot.encoding.is_none()) => Vec::new(),
                Err(error) => vec![error.to_string()],
            };
            for warning in of_one.into_iter().filter(|_| shot.is_some()) {
                if self.said.insert((candidate.clone(), warning.clone())) {
                    self.warnings.push(format!("{candidate}, {}: {warning}", name.unwrap_or_default()));
                }
            }
        }
    }
}

fn table(answer: &Answer) -> String {
    let mut text = format!("{}\n", answer.project);
    let mut part = |title: &str, body: String| {
        if !body.is_empty() {
            text += &format!("{title}\n{body}");
        }
    };
    let kit = answer.kit.iter().map(|it| vec![it.name.clone(), it.operation.clone(), it.settings.join(" ")]);
    part("kit", say::columns(&kit.collect::<Vec<_>>()));
    let places = |it: &Candidate| {
        let places: Vec<_> = it.places.iter().map(|place| format!("{} {}", place.at, place.line)).collect();
        vec![it.name.clone(), places.join(" | ")]
    };
    let rendered = answer.candidates.iter().filter(|it| !it.renderings.is_empty());
    let rendered = rendered.map(|it| vec![it.name.clone(), it.renderings.join("; ")]).collect::<Vec<_>>();
    part(
        "candidates, each place with its number",
        say::columns(&answer.candidates.iter().map(places).collect::<Vec<_>>()),
    );
    part("renderings", say::columns(&rendered));
    let set_ups = answer.set_ups.iter().map(|it| vec![it.name.clone(), say::count(it.shots, "shot"), it.note.clone()]);
    part("set-ups", say::columns(&set_ups.collect::<Vec<_>>()));
    let shots = answer.shots.iter().map(|it| {
        let or_none = |text: &Option<String>| text.clone().unwrap_or_else(|| "-".to_string());
        let lock = if it.locked { "locked" } else { "" };
        let frames = if it.frames == 0 { "missing".to_string() } else { say::count(it.frames, "frame") };
        vec![
            it.name.clone(),
            or_none(&it.set_up),
            or_none(&it.candidate),
            format!("{} {lock}", it.state).trim_end().to_string(),
            or_none(&it.encoding),
            frames,
            it.media.clone(),
            it.note.clone(),
        ]
    });
    part("shots", say::columns(&shots.collect::<Vec<_>>()));
    let lines = |lines: &[String]| lines.iter().map(|line| format!("  {line}\n")).collect::<String>();
    part("missing", lines(&answer.missing));
    part("warnings", lines(&answer.warnings));
    part("notes", lines(&answer.notes));
    if let Some(why) = &answer.read_only {
        part("open for reading alone", format!("  {why}\n"));
    }
    if let Some(kept) = &answer.unsaved_work {
        part("unsaved work", format!("  kept {kept}; take it up with --recover, or leave it with --discard\n"));
    }
    text
}
