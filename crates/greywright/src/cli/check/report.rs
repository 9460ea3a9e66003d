//! What came of a check, for people and for programs.

use std::path::Path;
use std::time::Duration;

use serde::Serialize;

use super::gather::Shot;
use super::judge::{Judged, Verdict, in_words};
use crate::cli::say;

/// What came of all shots.
#[derive(Serialize)]
pub struct Report {
    pub passed: bool,
    shots: Vec<ShotReport>,
    frames: usize,
    seconds: f64,
    seconds_a_frame: f64,
}

/// What came of one.
#[derive(Serialize)]
pub struct ShotReport {
    shot: String,
    path: String,
    passed: bool,
    /// Why nothing could be judged.
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
    frames: usize,
    first: Option<i64>,
    last: Option<i64>,
    width: Option<u32>,
    height: Option<u32>,
    stored: Option<String>,
    range: Option<&'static str>,
    display: Option<String>,
    rendering: Option<String>,
    gamut: Option<String>,
    after_chain: bool,
    judged: Vec<Judged>,
    notes: Vec<String>,
}

impl Report {
    /// Puts the shots together.
    pub fn new(shots: Vec<ShotReport>, took: Duration) -> Report {
        let frames = shots.iter().map(|shot| shot.frames).sum();
        let seconds = took.as_secs_f64();
        let passed = shots.iter().all(|shot| shot.passed);
        Report { passed, shots, frames, seconds, seconds_a_frame: seconds / frames.max(1) as f64 }
    }

    /// A line a shot, then each limit that it does not keep to.
    pub fn text(&self) -> String {
        let width = self.shots.iter().map(|shot| shot.shot.len()).max().unwrap_or(0);
        let mut text: String = self.shots.iter().map(|shot| shot.text(width)).collect();
        let failed = self.shots.iter().filter(|shot| !shot.passed).count();
        text += &format!(
            "{}, {}; {}, {} s a frame\n",
            say::count(self.shots.len(), "shot"),
            if failed == 0 { "all pass".to_string() } else { format!("{failed} failed") },
            say::count(self.frames, "frame"),
            say::significant(self.seconds_a_frame, 2)
        );
        text
    }
}

impl ShotReport {
    /// A shot that was judged.
    pub fn new(name: &str, path: &Path, shot: &Shot, verdict: Verdict) -> ShotReport {
        let first = shot.survey.as_ref().and_then(|survey| survey.frames.first());
        let meaning = &shot.meaning;
        let mut notes = verdict.notes;
        if !meaning.range_is_known && first.is_some_and(|first| !first.layout.is_float()) {
            notes.push("nobody says the range of the codes: taken as full; --range says it".to_string());
        }
        ShotReport {
            shot: name.to_string(),
            path: say::path(path),
            passed: verdict.judged.iter().all(|judged| judged.passed),
            error: None,
            frames: shot.sequence.frames().len(),
            first: Some(*shot.sequence.span().start()),
            last: Some(*shot.sequence.span().end()),
            width: first.map(|first| first.size.width),
            height: first.map(|first| first.size.height),
            stored: first.map(|first| first.layout.name()),
            range: first.filter(|first| !first.layout.is_float()).map(|_| meaning.range.name()),
            display: meaning.display.clone(),
            rendering: meaning.rendering.clone(),
            gamut: meaning.gamut.clone(),
            after_chain: meaning.from_chain,
            judged: verdict.judged,
            notes,
        }
    }

    /// A shot that could not be opened.
    pub fn failed(name: &str, path: &Path, error: String) -> ShotReport {
        ShotReport {
            shot: name.to_string(),
            path: say::path(path),
            passed: false,
            error: Some(error),
            frames: 0,
            first: None,
            last: None,
            width: None,
            height: None,
            stored: None,
            range: None,
            display: None,
            rendering: None,
            gamut: None,
            after_chain: false,
            judged: Vec::new(),
            notes: Vec::new(),
        }
    }

    fn text(&self, width: usize) -> String {
        let verdict = if self.passed { "pass" } else { "FAIL" };
        let mut text = format!("{:width$}  {verdict}  {}\n", self.shot, self.facts());
        text.extend(self.error.iter().map(|error| format!("  {error}\n")));
        text.extend(self.judged.iter().filter(|judged| !judged.passed).map(Judged::text));
        text.extend(self.notes.iter().map(|note| format!("  note: {note}\n")));
        text
    }

    fn facts(&self) -> String {
        let frames = match (self.first, self.last) {
            (Some(first), Some(last)) if first != last => {
                format!("{}, {first}-{last}", say::count(self.frames, "frame"))
            }
            (Some(first), _) => format!("frame {first}"),
            _ => return "not judged".to_string(),
        };
        let size = self.width.zip(self.height).map(|(width, height)| format!("{width}x{height}"));
        let range = self.range.map(|range| format!("{range} range"));
        // What says the rendering says the display too.
        let made_for = self.rendering.clone().or_else(|| self.display.clone());
        let held = self.gamut.as_ref().map(|gamut| format!("held to {gamut}"));
        let after = self.after_chain.then(|| "after the chain".to_string());
        let facts = [size, self.stored.clone(), range, made_for, held, after];
        std::iter::once(frames).chain(facts.into_iter().flatten()).collect::<Vec<_>>().join(", ")
    }
}

impl Judged {
    /// The figure, the limit, the frames, the place, more words, the remedy.
    fn text(&self) -> String {
        let allowed = self.allowed.map_or_else(String::new, |allowed| format!(", {allowed} allowed"));
        let figure = say::significant(self.figure, 3);
        let mut text = format!("  {:<17} {figure} {}{allowed}", self.limit, self.unit);
        if !self.frames.is_empty() {
            let s = if self.frames.len() > 1 { "s" } else { "" };
            text += &format!("; frame{s} {}", in_words(&self.frames));
        }
        if let Some(worst) = &self.worst {
            let [red, green, blue] = worst.rgb.map(|value| say::significant(f64::from(value), 6));
            text += &format!("; worst in {} at {},{} ({red}, {green}, {blue})", worst.frame, worst.x, worst.y);
        }
        text.push('\n');
        text.extend(self.words.iter().map(|words| format!("    {words}\n")));
        text += &format!("    remedy: {}\n", self.remedy);
        text
    }
}
