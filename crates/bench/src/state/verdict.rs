//! Verdict figures of what the tiles show: asked for, measured aside, and then known as of then.

use std::collections::BTreeMap;

use graph::{Kit, Shot, Wiring};
use session::beside::Placed;
use session::verdict::Extent;

use super::{Bench, Tile, TileId};

/// A figure as it is read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Figure {
    /// What it is.
    pub title: String,
    /// The figure with its unit; empty where there is none.
    pub text: String,
    /// Whether it cannot be told from what it is held against.
    pub same: bool,
}

impl Figure {
    /// As it is read.
    pub fn read(&self) -> &str {
        if self.same { "same" } else { &self.text }
    }
}

/// Everything that figures of a tile hang on.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    frame: i64,
    shot: (String, Shot),
    candidate: (String, Wiring),
    kit: Kit,
    probes: Vec<Placed>,
    anchor: Option<(String, Shot, Vec<Placed>)>,
}

/// The figures of one tile.
#[derive(Debug, Clone, PartialEq)]
pub struct OnTile {
    /// What they hang on.
    pub stand: Box<Stand>,
    /// The figures, or why there are none.
    pub figures: Result<Vec<Figure>, String>,
}

/// One figure of every column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it is.
    pub title: String,
    /// In what it is told.
    pub unit: String,
    /// One for each column.
    pub cells: Vec<Figure>,
}

/// All figures of a shot's candidates.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// What they hang on, one for each candidate.
    pub stands: Vec<Stand>,
    /// What was looked at, and how it is known: a sentence each.
    pub head: Vec<String>,
    /// The columns: what each is called, and what it is.
    pub columns: Vec<(String, String)>,
    /// The figures.
    pub rows: Vec<Row>,
}

/// What is measured now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Running {
    /// Which of all that was asked for.
    pub number: u64,
    /// How much of it.
    pub extent: Extent,
    /// What is looked at just now.
    pub words: String,
    /// Parts that are done, and all parts.
    pub parts: [usize; 2],
}

/// What is known, and what is measured.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Verdicts {
    /// What is measured now.
    pub running: Option<Running>,
    /// By the tiles' own numbers.
    pub tiles: BTreeMap<u64, OnTile>,
    /// All figures, or why there are none.
    pub figures: Option<Result<Figures, String>>,
    asked: u64,
}

/// What is asked for of verdicts. Answers carry the number of what was asked; those that come too late are dropped.
#[derive(Debug, Clone, PartialEq)]
pub enum OnVerdict {
    /// Measure: the lines under all tiles, or all figures of the active tile's shot.
    Ask(Extent),
    /// End what is measured.
    Stop,
    /// So many parts are done, and this one begins.
    At(u64, String, [usize; 2]),
    /// The figures of a tile, by its own number.
    Tile(u64, u64, OnTile),
    /// All figures of a shot.
    Figures(u64, Result<Figures, String>),
    /// All that was asked for is there.
    Done(u64),
}

impl Bench {
    pub(super) fn perform_on_verdicts(&mut self, action: OnVerdict) -> Result<(), String> {
        let verdicts = &mut self.verdicts;
        let is_current = |number: u64| verdicts.running.as_ref().is_some_and(|running| running.number == number);
        match action {
            OnVerdict::Ask(_) if self.project.is_none() => return Err(super::apply::NO_PROJECT.to_string()),
            OnVerdict::Ask(extent) => {
                verdicts.asked += 1;
                let number = verdicts.asked;
                verdicts.running = Some(Running { number, extent, words: "begins".to_string(), parts: [0, 1] });
                if extent == Extent::All {
                    self.sheet = Some(super::Sheet::Verdict);
                }
            }
            OnVerdict::Stop => verdicts.running = None,
            OnVerdict::At(number, words, parts) if is_current(number) => {
                if let Some(running) = &mut verdicts.running {
                    (running.words, running.parts) = (words, parts);
                }
            }
            OnVerdict::Tile(number, tile, of) if is_current(number) => {
                verdicts.tiles.insert(tile, of);
            }
            OnVerdict::Figures(number, figures) if is_current(number) => verdicts.figures = Some(figures),
            OnVerdict::Done(number) if is_current(number) => verdicts.running = None,
            _ => {}
        }
        Ok(())
    }

    /// What figures of a tile hang on, as it stands now. None where it shows no shot through a candidate.
    pub fn stand(&self, tile: &Tile) -> Option<Stand> {
        let (document, name) = (self.document()?, tile.shot.clone()?);
        let candidate = self.candidate_of(tile)?.to_string();
        let wiring = document.candidates.get(&candidate)?.clone();
        let shot = document.shots.get(&name)?.clone();
        let kit = document.resolve(Some(&name), Some(self.frame)).ok()?;
        let anchor = self.table.anchor.as_ref().filter(|anchor| **anchor != name);
        let anchor = anchor.and_then(|anchor| {
            Some((anchor.clone(), document.shots.get(anchor)?.clone(), self.probes_of(anchor).to_vec()))
        });
        Some(Stand {
            frame: self.frame,
            probes: self.probes_of(&name).to_vec(),
            shot: (name, shot),
            candidate: (candidate, wiring),
            kit,
            anchor,
        })
    }

    /// The figures of a tile, and whether all that they hang on is still so.
    pub fn verdict_on(&self, at: TileId) -> Option<(&OnTile, bool)> {
        let tile = self.wall.tiles.get(at)?;
        let known = self.verdicts.tiles.get(&tile.number)?;
        let now = self.stand(tile)?;
        // Figures of another shot or candidate are not those of this tile at all.
        let is_own = now.shot.0 == known.stand.shot.0 && now.candidate.0 == known.stand.candidate.0;
        is_own.then(|| (known, now == *known.stand))
    }

    /// Whether all that the table of figures hangs on is still so.
    pub fn figures_are_of_now(&self, figures: &Figures) -> bool {
        let tiles = self.wall.tiles.iter().filter(|tile| !tile.kept);
        let now: Vec<Stand> = tiles.filter_map(|tile| self.stand(tile)).collect();
        figures.stands.iter().all(|stand| now.contains(stand))
    }
}

impl Stand {
    /// The shot.
    pub fn shot(&self) -> &str {
        &self.shot.0
    }

    /// The candidate.
    pub fn candidate(&self) -> &str {
        &self.candidate.0
    }

    /// The shot's probes.
    pub fn probes(&self) -> &[Placed] {
        &self.probes
    }

    /// The anchor shot with its probes; none where there is none, or the shot is it.
    pub fn anchor(&self) -> Option<(&str, &[Placed])> {
        self.anchor.as_ref().map(|(name, _, probes)| (name.as_str(), probes.as_slice()))
    }

    /// The frame.
    pub fn frame(&self) -> i64 {
        self.frame
    }
}
