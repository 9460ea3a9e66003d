//! Where in the file a fault stands that shows only once all of it is read.

use std::ops::Range;

use graph::{Document, DocumentError, LayerAt, ResolveError};
use ops::SettingError;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The span of what is to blame, as near as the error tells.
pub(super) fn blame(error: &DocumentError, document: &Document, file: &DeTable<'_>) -> Range<usize> {
    let path = match error {
        DocumentError::Setting { member, source } => vec!["kit", member, key(source)],
        DocumentError::NoMember { candidate, .. } | DocumentError::Wiring { candidate, .. } => {
            vec!["candidates", candidate]
        }
        DocumentError::NoCandidate { shot, .. } => vec!["shots", shot, "candidate"],
        DocumentError::Layer(error) => layer(error, document),
        DocumentError::Name(name) => {
            let tables = ["kit", "candidates", "set_ups", "shots"];
            let paths = tables.map(|table| vec![table, name.as_str()]);
            let named = |path: &Vec<&str>| {
                let table = file.get(path[0]).and_then(|value| value.get_ref().as_table());
                table.is_some_and(|table| table.contains_key(name.as_str()))
            };
            paths.into_iter().find(named).unwrap_or_default()
        }
        DocumentError::Json(_) | DocumentError::Newer { .. } => Vec::new(),
    };
    find(file, &path)
}

fn layer<'e>(error: &'e ResolveError, document: &'e Document) -> Vec<&'e str> {
    let (at, member, field) = match error {
        ResolveError::NoShot(shot) => return vec!["shots", shot],
        ResolveError::NoSetUp { shot, .. } => return vec!["shots", shot, "set_up"],
        ResolveError::NoMember { layer, member } => (layer, member.as_str(), ""),
        ResolveError::Setting { layer, member, source } => (layer, member.as_str(), key(source)),
        ResolveError::Marks { layer, member, field } | ResolveError::OfTheShot { layer, member, field } => {
            (layer, member.as_str(), field.as_str())
        }
        ResolveError::Sum { member, source, .. } => {
            let end = ["numbers", member, key(source), "trim"];
            return match culprit(error, document) {
                Some(shot) => [&["shots", shot][..], &end].concat(),
                None => [&["scene"][..], &end].concat(),
            };
        }
    };
    let end = ["numbers", member, field];
    match at {
        LayerAt::Scene => [&["scene"][..], &end].concat(),
        LayerAt::SetUp(name) => [&["set_ups", name][..], &end].concat(),
        LayerAt::Shot(name) => [&["shots", name][..], &end].concat(),
    }
}

/// The shot whose numbers add up to this error.
fn culprit<'e>(error: &ResolveError, document: &'e Document) -> Option<&'e String> {
    document.shots.iter().find_map(|(name, shot)| {
        let numbers = shot.layer.members().values().flat_map(|numbers| numbers.values());
        let frames = numbers.flat_map(|number| number.marks.keys().copied().map(Some)).chain([None]);
        let mut errors = frames.filter_map(|frame| document.resolve(Some(name), frame).err());
        errors.any(|found| found == *error).then_some(name)
    })
}

fn key(error: &SettingError) -> &str {
    match error {
        SettingError::Unknown { key, .. } => key,
        SettingError::Unreadable { key, .. }
        | SettingError::Trim { key, .. }
        | SettingError::OutOfRange { key, .. } => key,
    }
}

/// The value at a path, or the name of the last part of it that is in the file.
fn find(file: &DeTable<'_>, path: &[&str]) -> Range<usize> {
    let mut at = 0..0;
    let mut table = file;
    for part in path {
        let Some((key, value)) = table.get_key_value(*part) else { break };
        match value.get_ref() {
            DeValue::Table(inner) => {
                at = key.span();
                table = inner;
            }
            _ => return Spanned::span(value),
        }
    }
    at
}
