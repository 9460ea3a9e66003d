//! What a candidate means for its shot: whether each carriage can work where it stands, and what reaches it.

use std::sync::Arc;

use egui::{Id, Ui};
use graph::{Document, Edit};
use ops::{Control, Signal};
use session::chain::{Chain, encodings};

use crate::state::Bench;

/// What the proof of a candidate's wiring says, place by place in the order of work.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Meaning {
    /// What reaches each place.
    pub takes: Vec<Signal>,
    /// What members lose where they stand, by their name.
    pub warnings: Vec<(String, String)>,
}

/// The code that stands in where the project does not say what a shot holds and its files are not asked: which camera it is
/// matters to numbers, and not to what may stand where.
const STAND_IN: &str = "LogC3";

/// The meaning of a candidate of a document.
///
/// # Errors
/// Why it has none, in words.
pub fn meaning(bench: &Bench, document: &Document, candidate: &str) -> Result<Meaning, String> {
    let project = bench.project().ok_or("no project is open")?;
    let book = encodings(&project.encoding_files()).map_err(|fault| fault.to_string())?;
    let shot = bench.shot().filter(|name| document.shots.contains_key(*name));
    let chain = Chain::of_document(document.clone(), candidate, shot, &project.folder(), book, |_| {});
    let about = media::About { encoding: Some((STAND_IN.to_string(), String::new())), ..media::About::default() };
    let whole = chain.and_then(|chain| chain.for_frame(&about, bench.frame)).map_err(|fault| fault.to_string())?;
    let takes = whole.nodes.iter().map(|node| node.takes.clone());
    let warnings = whole.warnings.iter().map(|warning| (warning.member.clone(), warning.reason.clone()));
    Ok(Meaning { takes: takes.collect(), warnings: warnings.collect() })
}

/// As [`meaning`], worked out once for each wiring: numbers do not change it, and files are not read while they move.
pub fn remembered(ui: &Ui, bench: &Bench, document: &Document, candidate: &str) -> Arc<Result<Meaning, String>> {
    let key = key(bench, document, candidate);
    let id = Id::unique(("meaning", candidate));
    let found: Option<(String, Arc<Result<Meaning, String>>)> = ui.data(|data| data.get_temp(id));
    match found {
        Some((of, meaning)) if of == key => meaning,
        _ => {
            let meaning = Arc::new(meaning(bench, document, candidate));
            ui.data_mut(|data| data.insert_temp(id, (key, Arc::clone(&meaning))));
            meaning
        }
    }
}

/// All that a meaning comes from but numbers on scales.
fn key(bench: &Bench, document: &Document, candidate: &str) -> String {
    let Some(wiring) = document.candidates.get(candidate) else { return String::new() };
    let mut key = wiring.lines().join("\n");
    let resolved = document.resolve(bench.shot(), Some(bench.frame));
    let kit = resolved.as_ref().unwrap_or(&document.kit);
    for op in wiring.graph().node_weights().filter_map(|place| kit.get(&place.member)) {
        let named = op.fields().iter().filter(|field| matches!(field.control, Control::Choice | Control::Name));
        named.filter_map(|field| op.get(field.key)).for_each(|value| key = format!("{key}\n{value}"));
    }
    let told = bench.shot().and_then(|name| document.shots.get(name)?.encoding.as_deref());
    format!("{key}\n{:?} {told:?}", bench.shot())
}

/// Whether an edit of a candidate leaves it with a meaning. One that had none before is not held to it.
///
/// # Errors
/// What stands in the way, in words.
pub fn allowed(bench: &Bench, candidate: &str, edit: &Edit) -> Result<(), String> {
    let kept = bench.project().ok_or("no project is open")?.document();
    let mut document = kept.clone();
    document.apply(edit).map_err(|error| error.to_string())?;
    match (meaning(bench, &document, candidate), meaning(bench, kept, candidate)) {
        (Err(words), Ok(_)) => Err(words),
        _ => Ok(()),
    }
}
