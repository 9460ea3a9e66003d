//! The project beside the shots, and the probes beside the project.

use std::fmt::Write as _;
use std::path::Path;

use super::files;
use super::shot::{Written, area};
use crate::DemoError;
use crate::set_up::MarkKind;
use crate::truth::Spot;

/// The demo's project: corrections that each bring the grey card of every shot to neutral, and part elsewhere.
/// Their numbers were measured on the cards of the first frames, as a person would; none comes from the truth.
pub const PROJECT: &str = include_str!("../../data/night_ferry.greywright");

/// The name of the project's file.
pub const PROJECT_NAME: &str = "night_ferry.greywright";

/// The shot that others are to match.
const ANCHOR: &str = "galley_010";

/// Writes the project with the shots that there are, and probes on their named places; neither over one that is there: it
/// may hold somebody's work.
pub fn project(dir: &Path, shots: &[Written]) -> Result<(), DemoError> {
    let names: Vec<&str> = shots.iter().map(|shot| shot.summary.name.as_str()).collect();
    let project = dir.join(PROJECT_NAME);
    if project.exists() {
        return Ok(());
    }
    files::bytes(&project, with_shots(PROJECT, &names).as_bytes())?;
    let probes = project.with_extension("bench.toml");
    if probes.exists() { Ok(()) } else { files::bytes(&probes, beside(shots).as_bytes()) }
}

/// A project's text without the shots that are not named.
fn with_shots(text: &str, names: &[&str]) -> String {
    let mut kept = String::new();
    for section in text.split_inclusive("\n\n") {
        let shot = section.strip_prefix("[shots.").and_then(|rest| rest.split_once(']'));
        if shot.is_none_or(|(shot, _)| names.contains(&shot)) {
            kept += section;
        }
    }
    kept.trim_end().to_owned() + "\n"
}

/// What a window keeps beside a project: the anchor and the probes.
fn beside(shots: &[Written]) -> String {
    let mut text = String::new();
    if shots.iter().any(|shot| shot.summary.name == ANCHOR) {
        text += &format!("anchor = \"{ANCHOR}\"\n");
    }
    let mut by_name: Vec<&Written> = shots.iter().collect();
    by_name.sort_by(|a, b| a.summary.name.cmp(&b.summary.name));
    for shot in by_name {
        for Spot { mark, rect, .. } in &shot.spots {
            let kind = match mark.kind {
                MarkKind::Card => "kind = \"grey\"\n",
                MarkKind::Skin => "kind = \"skin\"\n",
                MarkKind::Foliage => "kind = \"foliage\"\n",
                MarkKind::Surface => "",
                // There are too many of them to look at.
                MarkKind::Patch(_) | MarkKind::DarkGrey => continue,
            };
            let [x, y, width, height] = area(*rect);
            // Writing to a string cannot fail.
            let _ = write!(
                text,
                "\n[[probes.{}]]\nname = \"{}\"\narea = [{x}.0, {y}.0, {width}.0, {height}.0]\n{kind}",
                shot.summary.name, mark.name
            );
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::SHOTS;

    #[test]
    fn a_project_keeps_the_shots_that_are_named() {
        let all: Vec<&str> = SHOTS.iter().map(|shot| shot.name).collect();
        assert_eq!(with_shots(PROJECT, &all), PROJECT);
        let one = with_shots(PROJECT, &["galley_010"]);
        assert_eq!(one.matches("\n[shots.").count(), 1);
        assert!(one.contains("\n[shots.galley_010]\n") && one.contains("[set_ups.deck]"), "{one}");
        assert_eq!(PROJECT.matches("\n[shots.").count(), SHOTS.len());
    }
}
