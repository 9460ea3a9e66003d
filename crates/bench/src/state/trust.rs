//! How far the pictures are from the proof, as far as that is known.

use std::collections::BTreeMap;

use session::trust::{Checked, Step};

use super::{Bench, TileId};

/// A picture that was held against the proof.
#[derive(Debug, Clone, PartialEq)]
pub struct OfPicture {
    /// The shot.
    pub shot: String,
    /// The candidate.
    pub candidate: String,
    /// The frame.
    pub frame: i64,
    /// How far it is off, or why that is not known.
    pub checked: Result<Checked, String>,
    /// Seconds that the device worked on it by its own clock; none where it has none.
    pub seconds: Option<f64>,
}

/// A tile whose picture is shown as the proof makes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ByProof {
    /// Its own number.
    pub tile: u64,
    /// Rows that are proved, and all; none once it is shown.
    pub rows: Option<[usize; 2]>,
}

/// What is known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trusts {
    /// By the tiles' own numbers.
    pub pictures: BTreeMap<u64, OfPicture>,
    /// The steps of a tile's candidate, or why they are not known.
    pub steps: Option<(u64, Result<Vec<Step>, String>)>,
    /// What is shown by the proof, or is to be.
    pub by_proof: Option<ByProof>,
}

/// What is asked for, or has come to be known.
#[derive(Debug, Clone, PartialEq)]
pub enum OnTrust {
    /// A tile's picture was checked.
    Checked(u64, OfPicture),
    /// So far the steps of a tile's candidate are off.
    Steps(u64, Result<Vec<Step>, String>),
    /// Show a tile's picture by the proof, or none.
    ByProof(Option<u64>),
    /// So many of its rows are proved; none once all of it is shown.
    Proving(u64, Option<[usize; 2]>),
    /// It cannot be proved.
    NotProved(String),
}

impl Bench {
    pub(super) fn perform_on_trust(&mut self, action: OnTrust) -> Result<(), String> {
        let trust = &mut self.trust;
        match action {
            OnTrust::Checked(tile, of) => {
                let tiles = &self.wall.tiles;
                trust.pictures.retain(|own, _| tiles.iter().any(|tile| tile.number == *own));
                // What was known of the steps was known of another picture.
                if trust.steps.as_ref().is_some_and(|(own, _)| *own == tile) {
                    trust.steps = None;
                }
                trust.pictures.insert(tile, of);
            }
            OnTrust::Steps(tile, steps) => trust.steps = Some((tile, steps)),
            OnTrust::ByProof(tile) => trust.by_proof = tile.map(|tile| ByProof { tile, rows: Some([0, 1]) }),
            OnTrust::Proving(tile, rows) => {
                if let Some(by) = trust.by_proof.as_mut().filter(|by| by.tile == tile) {
                    by.rows = rows;
                }
            }
            OnTrust::NotProved(words) => {
                trust.by_proof = None;
                return Err(words);
            }
        }
        Ok(())
    }

    /// The picture of a tile as it was checked last.
    pub fn checked(&self, at: TileId) -> Option<&OfPicture> {
        self.trust.pictures.get(&self.wall.tiles.get(at)?.number)
    }

    /// The tile whose picture is farther from the proof than it may be.
    pub fn departs(&self) -> Option<(&OfPicture, &Checked)> {
        let of = |of| Some((of, OfPicture::departs(of)?));
        self.trust.pictures.values().find_map(of)
    }

    /// What a tile says where its picture is the proof's, or becomes it.
    pub fn by_proof(&self, at: TileId) -> Option<String> {
        let tile = self.wall.tiles.get(at)?;
        let by = self.trust.by_proof.as_ref().filter(|by| by.tile == tile.number)?;
        Some(match by.rows {
            None => "by the proof".to_string(),
            Some([done, of]) => format!("proving, {} %; Escape ends it", 100 * done / of.max(1)),
        })
    }
}

impl OfPicture {
    /// What is known of it, where it is farther off than it may be.
    pub fn departs(&self) -> Option<&Checked> {
        self.checked.as_ref().ok().filter(|checked| checked.departs > 0)
    }
}
