//! `orders`: every order of a candidate's corrections, and which of them make the same picture.

use std::collections::BTreeSet;
use std::path::PathBuf;

use graph::{Edit, Original, Wiring};
use reference::orders::elaborate_and_group;
use serde::Serialize;
use session::Project;

use super::chain::{add_lut, encodings, find, lut_files};
use super::failure::Failure;
use super::{edit, say};

/// List every order of a candidate's corrections, those that make the same picture together.
///
/// Corrections are the operations that do not change what the signal is; five at most. Two orders are the same where
/// the proof gives the same for a lattice of codes and greys, to rounding.
#[derive(clap::Args)]
#[command(after_help = "  greywright orders night_ferry.greywright --candidate log-points --shot galley_010
  greywright orders night_ferry.greywright --candidate log-points --shot galley_010 --write")]
pub struct Args {
    /// The project file.
    #[arg(value_name = "PROJECT")]
    project: PathBuf,
    /// The candidate; its places follow one another.
    #[arg(long, value_name = "NAME")]
    candidate: String,
    /// A shot, whose encoding and numbers hold.
    #[arg(long, value_name = "NAME")]
    shot: Option<String>,
    /// Add one order of each group to the project as a candidate.
    #[arg(long)]
    write: bool,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Answer {
    candidate: String,
    shot: Option<String>,
    /// How the candidate brings its picture to a display; none where it does not.
    rendering: Option<String>,
    /// How many orders there are.
    orders: usize,
    /// Names of orders that make the same picture.
    groups: Vec<Vec<String>>,
    /// Orders without a meaning, with the reason.
    meaningless: Vec<Meaningless>,
    /// Candidates that were added.
    added: Vec<String>,
}

#[derive(Serialize)]
struct Meaningless {
    name: String,
    reason: String,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let project =
        if args.write { edit::open(&args.project, false) } else { Project::open(&args.project).map_err(Failure::work) };
    let mut project = project?;
    let in_file = |problem: String| Failure::work(format!("{}: {problem}", args.project.display()));
    named("candidate", &args.candidate, project.document().candidates.keys()).map_err(in_file)?;
    if let Some(shot) = &args.shot {
        named("shot", shot, project.document().shots.keys()).map_err(in_file)?;
    }
    let orders = project.document().orders(&args.candidate).map_err(|error| in_file(error.to_string()))?;
    let (grouped, rendering) = {
        let document = project.document();
        let mut book = encodings(&project.encoding_files())?;
        for file in lut_files(document, &args.candidate, args.shot.as_deref()) {
            add_lut(&mut book, &file, &project.folder())?;
        }
        let kit = document.resolve(args.shot.as_deref(), None).map_err(|error| in_file(error.to_string()))?;
        let shot = args.shot.as_ref().and_then(|name| document.shots.get(name));
        let encoding = shot.and_then(|shot| Some((shot.encoding.as_ref()?, shot.exposure_index)));
        let original = match encoding {
            Some((name, index)) => {
                Original::Encoded(find(&book, name, index).map_err(|error| in_file(error.to_string()))?)
            }
            None => Original::Unknown,
        };
        let wirings = orders.iter().map(|(_, wiring)| wiring);
        let range = shot.and_then(|shot| shot.range);
        // What is ordered are the corrections: all orders end alike.
        let own = document.candidates.get(&args.candidate);
        let own = own.and_then(|wiring| graph::elaborate(wiring, &kit, &original, range, &book).ok());
        let rendering = own.and_then(|elaborated| elaborated.rendering());
        (elaborate_and_group(wirings, &kit, &original, range, &book), rendering)
    };
    let name = |index: &usize| orders.get(*index).map(|(name, _)| name.clone()).unwrap_or_default();
    let mut answer = Answer {
        candidate: args.candidate.clone(),
        shot: args.shot.clone(),
        rendering,
        orders: orders.len(),
        groups: grouped.groups.iter().map(|group| group.iter().map(name).collect()).collect(),
        meaningless: Vec::new(),
        added: Vec::new(),
    };
    for (index, error) in &grouped.meaningless {
        answer.meaningless.push(Meaningless { name: name(index), reason: error.to_string() });
    }
    if args.write {
        let firsts = grouped.groups.iter().filter_map(|group| orders.get(*group.first()?));
        answer.added = add(&mut project, &args.candidate, firsts)?;
    }
    if args.json { say::json(&answer) } else { say::result(&table(&answer)) }
}

/// A name that is there; else with what there is.
fn named<'n>(what: &str, name: &str, names: impl Iterator<Item = &'n String>) -> Result<(), String> {
    let names: Vec<_> = names.map(String::as_str).collect();
    let there = if names.is_empty() { "there is none".to_string() } else { format!("there are {}", names.join(", ")) };
    if names.contains(&name) { Ok(()) } else { Err(format!("there is no {what} '{name}'; {there}")) }
}

/// Adds orders as candidates, but for those that the project has already, as one step.
fn add<'o>(
    project: &mut Project,
    candidate: &str,
    orders: impl Iterator<Item = &'o (String, Wiring)>,
) -> Result<Vec<String>, Failure> {
    let document = project.document();
    let own = document.candidates.get(candidate).map(Wiring::lines);
    let new: Vec<_> = orders
        .filter(|(name, wiring)| !document.candidates.contains_key(name) && own.as_ref() != Some(&wiring.lines()))
        .cloned()
        .collect();
    let names = new.iter().map(|(name, _)| name.clone()).collect();
    let add = |(candidate, wiring)| Edit::AddCandidate { candidate, wiring };
    project.apply(&Edit::Many(new.into_iter().map(add).collect())).map_err(Failure::work)?;
    edit::save(project)?;
    Ok(names)
}

fn table(answer: &Answer) -> String {
    let shot = answer.shot.as_ref().map_or_else(String::new, |shot| format!(", shot {shot}"));
    let mut text = format!(
        "{}{shot}: {} make {}\n",
        answer.candidate,
        say::count(answer.orders, "order"),
        say::count(answer.groups.len(), "picture")
    );
    text += &answer.rendering.as_ref().map_or_else(String::new, |rendering| format!("rendering: {rendering}\n"));
    for (number, group) in (1..).zip(&answer.groups) {
        text += &format!("{number}\n");
        group.iter().for_each(|name| text += &format!("  {name}\n"));
    }
    if !answer.meaningless.is_empty() {
        text += "without a meaning\n";
    }
    let reasons: BTreeSet<_> = answer.meaningless.iter().map(|order| &order.reason).collect();
    for reason in reasons {
        text += &format!("  {reason}\n");
        let same = answer.meaningless.iter().filter(|order| order.reason == *reason);
        same.for_each(|order| text += &format!("    {}\n", order.name));
    }
    if !answer.added.is_empty() {
        text += &format!("added as candidates: {}\n", answer.added.join(", "));
    }
    text
}
