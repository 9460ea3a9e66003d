//! All that the window shows, and the one way to change it.

mod action;
mod apply;
mod around;
mod opening;
mod originals;
mod outside;
mod playing;
mod probes;
mod renders;
mod second;
mod small;
mod standing;
mod table;
mod tried;
mod trust;
mod verdict;
mod wall;

use std::collections::BTreeSet;
use std::path::PathBuf;

use graph::Document;
use session::Project;
use session::aside::Aside;

pub use action::{Action, Sheet};
pub use originals::{NewProject, OnOriginals};
pub use outside::{Outside, Stated, is_picture};
pub use playing::{Ends, OnPlaying, Playing};
pub use probes::{BeforeAfter, Cross, OfTile, OnProbes, Probes, Read};
pub use renders::{OnRenders, Renders, Seen, Working};
pub use second::{OnSecond, Second};
pub use small::Small;
pub use table::{Copying, OnTable, Order, RUN_SECONDS, Run, Table};
pub use tried::{Opened, Touched};
pub use trust::{ByProof, OfPicture, OnTrust, Trusts};
pub use verdict::{Figure, Figures, OnTile, OnVerdict, Row, Running, Stand, Verdicts};

pub use wall::{Aim, Look, Square, Tap, Tile, TileId, Wall, Wide, Zoom};

use tried::Tried;

/// The state of the window.
pub struct Bench {
    /// The project that is open; none before one is.
    project: Option<Project>,
    /// An edit that is tried and not yet kept.
    tried: Option<Tried>,
    /// What is kept for the user beside the projects; none where nothing is.
    aside: Option<Aside>,
    /// The revision that was kept beside the project last.
    kept: u64,
    /// Rises with everything that is done.
    revision: u64,
    /// The tiles and how they are looked at.
    pub wall: Wall,
    /// The shots that are chosen in the table, by name.
    pub chosen: BTreeSet<String>,
    /// How the table of shots is looked at.
    pub table: Table,
    /// Probes on the pictures, and what they read.
    pub probes: Probes,
    /// Verdict figures, and what is measured of them.
    pub verdicts: Verdicts,
    /// How far the pictures are from the proof.
    pub trust: Trusts,
    /// What is rendered aside.
    pub renders: Renders,
    /// A project that is to be made of a folder of originals.
    pub originals: Option<NewProject>,
    /// The frame that is looked at, as files are numbered.
    pub frame: i64,
    /// Whether and how its neighbours are played.
    pub playing: Playing,
    /// The scale that typed entries go to.
    pub touched: Option<Touched>,
    /// The carriage whose scales are open.
    pub opened: Option<Opened>,
    /// What stands in the entry line.
    pub entry: String,
    /// What was said last.
    pub message: Option<Message>,
    /// What lies over the window.
    pub sheet: Option<Sheet>,
    /// Whether the window is to close.
    pub closing: bool,
    /// The second window.
    pub second: Second,
    /// Bits of a channel that the window's surface takes; none where there is no surface yet.
    pub surface_bits: Option<u32>,
}

/// Something said to the user.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message {
    /// What and what to do.
    pub words: String,
    /// Whether something went wrong.
    pub wrong: bool,
}

impl Default for Bench {
    fn default() -> Self {
        Self {
            project: None,
            tried: None,
            aside: None,
            kept: 0,
            revision: 0,
            wall: Wall::default(),
            chosen: BTreeSet::new(),
            table: Table::default(),
            probes: Probes::default(),
            verdicts: Verdicts::default(),
            trust: Trusts::default(),
            renders: Renders::default(),
            originals: None,
            frame: 1,
            playing: Playing::default(),
            touched: None,
            opened: None,
            entry: String::new(),
            message: None,
            sheet: None,
            closing: false,
            second: Second::default(),
            surface_bits: None,
        }
    }
}

impl Bench {
    /// A window on a project.
    pub fn of(project: Project) -> Self {
        let mut bench = Self::default();
        bench.take(project);
        bench
    }

    /// Takes a project in place of the one that is open; the wall shows its first shot.
    pub(crate) fn take(&mut self, project: Project) {
        // A desk has its monitor whatever lies on it.
        *self = Self {
            revision: self.revision,
            aside: self.aside.take(),
            second: std::mem::take(&mut self.second),
            surface_bits: self.surface_bits,
            ..Self::default()
        };
        let document = project.document();
        let shot = document.shots.keys().next().cloned();
        let chosen = shot.as_ref().and_then(|name| document.shots.get(name)?.candidate.clone());
        let first = chosen.or_else(|| document.candidates.keys().next().cloned());
        let second = document.candidates.keys().find(|name| Some(*name) != first.as_ref()).cloned();
        let tile = |candidate: Option<String>| Tile { shot: shot.clone(), candidate, ..Tile::default() };
        self.wall.tiles = [Some(first), second.map(Some)].into_iter().flatten().map(tile).collect();
        self.wall.number_tiles();
        self.chosen = shot.into_iter().collect();
        self.table.settle(project.document());
        self.project = Some(project);
        self.take_beside();
        self.stand_as_before();
    }

    /// A number that rises with everything that is done: what has the same number is the same.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// The project.
    pub fn project(&self) -> Option<&Project> {
        self.project.as_ref()
    }

    /// The document as it is shown: with what is tried.
    pub fn document(&self) -> Option<&Document> {
        match &self.tried {
            Some(tried) => Some(tried.document()),
            None => self.project.as_ref().map(Project::document),
        }
    }

    /// The tile that keys and entries go to.
    pub fn tile(&self) -> Option<&Tile> {
        self.wall.tiles.get(self.wall.active)
    }

    /// The name of the shot that the active tile shows.
    pub fn shot(&self) -> Option<&str> {
        self.tile()?.shot.as_deref()
    }

    /// The candidate that a tile shows: its own, else the one that its shot has chosen, else the first.
    pub fn candidate_of<'a>(&'a self, tile: &'a Tile) -> Option<&'a str> {
        let document = self.document()?;
        let chosen = || document.shots.get(tile.shot.as_ref()?)?.candidate.as_deref();
        let named = tile.candidate.as_deref().filter(|name| document.candidates.contains_key(*name));
        named.or_else(chosen).or_else(|| document.candidates.keys().next().map(String::as_str))
    }

    /// The shots in cut order: as the project names them.
    pub fn cut(&self) -> Vec<&str> {
        self.document().map(|document| document.shots.keys().map(String::as_str).collect()).unwrap_or_default()
    }

    /// The frames of a shot.
    pub fn media_of(&self, shot: &str) -> Option<PathBuf> {
        let project = self.project.as_ref()?;
        let media = &project.document().shots.get(shot)?.media;
        Some(session::paths::meant(media, &project.folder()))
    }
}
