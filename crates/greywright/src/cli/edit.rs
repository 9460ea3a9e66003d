//! `edit`: changes of a project in words.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use serde::Serialize;
use session::{Project, words};

use super::chain::encodings;
use super::failure::Failure;
use super::say;

/// Change a project by edits in words, all of them or none.
///
/// An edit is a verb, names, and key=value pairs, like the operations of a chain. What changed in the file is printed.
#[derive(clap::Args)]
#[command(after_long_help = verbs())]
pub struct Args {
    /// The project file.
    #[arg(value_name = "PROJECT")]
    project: PathBuf,
    /// An edit, in quotation marks; the next one sees it done.
    #[arg(value_name = "EDIT")]
    edits: Vec<String>,
    /// Begin a project where no file is.
    #[arg(long)]
    new: bool,
    /// Let the project know an encoding file (TOML). May be repeated.
    #[arg(long, value_name = "FILE")]
    encoding_file: Vec<PathBuf>,
    /// Print what would change, and change nothing.
    #[arg(long)]
    dry_run: bool,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Answer {
    project: String,
    step: String,
    changed: Vec<String>,
    saved: bool,
}

fn verbs() -> String {
    let mut text = "\
A shot a third of a stop lighter, its neighbours a tenth:
  greywright edit ferry.greywright 'nudge exposure stops=+0.33 shots=deck_010' 'nudge exposure stops=+0.1 shots=deck_020,deck_030'
The white before the exposure, where it stands third:
  greywright edit ferry.greywright 'move candidate=warm at=2 after=0'

Edits:
"
    .to_string();
    for (usage, what) in words::VERBS {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {usage}\n      {what}");
    }
    text + "SPOT is first=true, after=N or into=N (with input=side for the second picture of a mix); N is the number of a \
        place, as `greywright project` shows it; without it a place goes before the output-transform, or to the end. shots=* means all shots. An empty value takes a number back."
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let mut project = open(&args.project, args.new)?;
    let before = if args.new { String::new() } else { project.text() };
    for file in &args.encoding_file {
        project.add_encoding_file(file).map_err(Failure::work)?;
    }
    let book = encodings(&project.encoding_files())?;
    let edit = words::edits(&args.edits, project.document(), &book, &project.folder())
        .map_err(|error| Failure::usage(format!("{}: {error}", args.project.display())))?;
    project.apply(&edit).map_err(Failure::work)?;
    let changed = session::diff(&before, &project.text());
    if !args.dry_run {
        save(&mut project)?;
    }
    if args.json {
        let (project, step) = (args.project.display().to_string(), session::name_of(&edit));
        return say::json(&Answer { project, step, changed, saved: !args.dry_run });
    }
    let mut text = changed.join("\n");
    if !text.is_empty() {
        text.push('\n');
    }
    say::result(&text)
}

/// Opens a project to change it: it can be written, and no unsaved work waits for a decision.
pub fn open(path: &Path, new: bool) -> Result<Project, Failure> {
    let project = if new { Project::new(path, session::file::Written::default()) } else { Project::open(path) };
    let project = project.map_err(Failure::work)?;
    project.notes().iter().for_each(|note| say::note(&format!("{}: {note}", path.display())));
    if let Some(why) = project.read_only() {
        return Err(Failure::work(format!("{}: it cannot be changed, {why}", path.display())));
    }
    if let Some(recovered) = project.recovered() {
        return Err(Failure::work(format!(
            "{}: unsaved work of {} lies beside it (saved last {}); take it up with `greywright project --recover`, or \
             leave it with `--discard`",
            path.display(),
            recovered.kept,
            recovered.saved
        )));
    }
    Ok(project)
}

/// Saves a project. Where that fails, nothing is lost: what was typed can be typed again.
pub fn save(project: &mut Project) -> Result<(), Failure> {
    project.save().map_err(Failure::work)
}
