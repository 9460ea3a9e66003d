//! A shot held to the limits, one after the other.

mod frames;
mod header;
mod picture;

use serde::Serialize;

use super::gather::Shot;
use super::limits::{Limits, Name};

/// What came of one limit.
#[derive(Debug, Serialize)]
pub struct Judged {
    /// The limit's name.
    pub limit: &'static str,
    /// What was found, in the limit's unit; the worst of all frames.
    pub figure: f64,
    /// What is the most, in the same unit; the least or the only one where the limit says so.
    pub allowed: Option<f64>,
    pub unit: &'static str,
    pub passed: bool,
    /// Frames that do not keep to it.
    pub frames: Vec<i64>,
    /// The frame and the place of the worst pixel, and the pixel, where there is one.
    pub worst: Option<Worst>,
    /// More of it, in words.
    pub words: Vec<String>,
    pub remedy: &'static str,
}

/// The worst pixel of all frames.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Worst {
    pub frame: i64,
    pub x: u32,
    pub y: u32,
    pub rgb: [f32; 3],
}

/// What came of all limits, and what is told without failing.
pub struct Verdict {
    pub judged: Vec<Judged>,
    pub notes: Vec<String>,
}

/// Judges a shot.
pub fn judge(shot: &Shot, limits: &Limits) -> Verdict {
    let mut verdict = Verdict { judged: Vec::new(), notes: Vec::new() };
    picture::judge(shot, limits, &mut verdict);
    frames::judge(shot, limits, &mut verdict);
    header::judge(shot, limits, &mut verdict);
    verdict.judged.sort_by_key(|judged| super::limits::ALL.iter().position(|limit| limit.name == judged.limit));
    verdict
}

impl Verdict {
    /// Holds a count of things, each with the frames it concerns and its words, to a limit. Where the limit is off
    /// unless the user turns it on, they are told as notes.
    fn count(&mut self, limits: &Limits, name: Name, things: Vec<(Vec<i64>, String)>, count: usize) {
        let limit = name.limit();
        let Some(allowed) = limits.of(name) else {
            if limit.default.is_none() {
                self.notes.extend(things.into_iter().map(|(_, words)| words));
            }
            return;
        };
        let mut frames: Vec<i64> = things.iter().flat_map(|(frames, _)| frames.iter().copied()).collect();
        frames.sort_unstable();
        frames.dedup();
        let figure = count as f64;
        self.judged.push(Judged {
            limit: limit.name,
            figure,
            allowed: Some(allowed),
            unit: limit.unit,
            passed: figure <= allowed,
            frames,
            worst: None,
            words: things.into_iter().map(|(_, words)| words).collect(),
            remedy: limit.remedy,
        });
    }
}

/// Numbers of frames in words, runs together, as in `1001-1004, 1009`.
pub fn in_words(frames: &[i64]) -> String {
    let runs = frames.chunk_by(|before, now| before + 1 == *now);
    let words: Vec<String> = runs
        .filter_map(|run| match run {
            [] => None,
            [one] => Some(one.to_string()),
            [first, .., last] => Some(format!("{first}-{last}")),
        })
        .collect();
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::in_words;

    #[test]
    fn runs_of_frames_are_told_together() {
        assert_eq!(in_words(&[1, 2, 3, 5, 8, 9]), "1-3, 5, 8-9");
        assert_eq!(in_words(&[-2, -1, 0]), "-2-0");
        assert_eq!(in_words(&[]), "");
    }
}
