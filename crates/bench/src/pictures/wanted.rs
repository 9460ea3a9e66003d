//! What pictures the state of the window calls for.

use std::path::PathBuf;
use std::sync::Arc;

use graph::{Document, Monitor, Shot};

use crate::state::{Bench, Look, Outside, Square, Tap, Tile, Wide, Zoom};

/// The document that pictures are made of, as it is shown.
#[derive(Debug, PartialEq)]
pub struct Source {
    /// Kit, candidates, numbers and shots.
    pub document: Document,
    /// What its paths start from.
    pub folder: PathBuf,
    /// Its encoding files.
    pub encoding_files: Vec<PathBuf>,
}

/// What a picture is of, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// The shot.
    pub shot: String,
    /// The candidate.
    pub candidate: String,
    /// The candidate's places in their order.
    pub order: String,
    /// Where the rail is tapped.
    pub tap: Tap,
}

/// One picture that is called for.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// What it is made of.
    pub source: Arc<Source>,
    /// The frames of its shot.
    pub media: PathBuf,
    /// What it is.
    pub named: Named,
    /// The frame, as files are numbered.
    pub frame: i64,
    /// What is drawn.
    pub look: Look,
    /// The traces under it; none where the picture is alone.
    pub traces: Option<(Wide, Square)>,
    /// The monitor that it is seen on; none where codes are shown as they are.
    pub monitor: Option<Arc<Monitor>>,
}

/// What one tile calls for.
#[derive(Debug, Clone)]
pub struct Wish {
    /// The tile's own number.
    pub tile: u64,
    /// The state that calls for it.
    pub revision: u64,
    /// Its picture; none where it has no shot, no candidate, or keeps what it shows.
    pub picture: Option<Wanted>,
    /// Whether it keeps what it shows.
    pub kept: bool,
    /// Whether its frames are played, so that no still is made for it.
    pub played: bool,
    /// Whether the codes of what it shows are called for, to be written.
    pub codes: bool,
}

/// What a picture from outside is called where a candidate would be named.
pub const OUTSIDE: &str = "outside picture";

/// From so many screen pixels for one of the picture on, its codes are written in it.
pub const CODES_FROM: f32 = 32.0;

/// What the tiles call for.
pub fn wanted(bench: &Bench) -> Vec<Wish> {
    let (Some(project), Some(document)) = (bench.project(), bench.document()) else { return Vec::new() };
    let source = Arc::new(Source {
        document: document.clone(),
        folder: project.folder(),
        encoding_files: project.encoding_files(),
    });
    let picture = |at: usize, tile: &Tile| {
        let traces = (!bench.wall.alone).then_some((bench.wall.wide, bench.wall.square));
        if let Some(outside) = &tile.outside {
            return (!tile.kept).then(|| of_outside(outside, &source.encoding_files, tile.look, traces))?;
        }
        let named = named(bench, tile)?;
        let (media, frame, look) = (bench.media_of(&named.shot)?, bench.frame_of(at), tile.look);
        (!tile.kept).then(|| Wanted { source: Arc::clone(&source), media, named, frame, look, traces, monitor: None })
    };
    let plays = bench.playing.plays || bench.playing.scrubs;
    let of = |(at, tile): (usize, &Tile)| Wish {
        tile: tile.number,
        revision: bench.revision(),
        played: plays && !tile.kept && tile.outside.is_none() && tile.shot.as_deref() == bench.shot(),
        picture: picture(at, tile),
        kept: tile.kept,
        codes: matches!(bench.wall.aim(at).zoom, Zoom::Times(times) if times >= CODES_FROM),
    };
    bench.wall.tiles.iter().enumerate().map(of).collect()
}

/// A picture from outside: a project of its own, of one shot and the chain that leads to a display.
fn of_outside(
    outside: &Outside,
    encoding_files: &[PathBuf],
    look: Look,
    traces: Option<(Wide, Square)>,
) -> Option<Wanted> {
    let mut document = graph::chain::parse(outside.chain()).ok()?;
    let encoding = outside.encoding.as_ref().map(|stated| stated.name.clone());
    document.shots.insert(outside.name(), Shot { encoding, ..Shot::default() });
    let wiring = document.candidates.remove(graph::chain::CANDIDATE)?;
    document.candidates.insert(OUTSIDE.to_string(), wiring);
    let source = Source { document, folder: PathBuf::new(), encoding_files: encoding_files.to_vec() };
    let candidate = OUTSIDE.to_string();
    let named = Named { shot: outside.name(), candidate, order: outside.taken(), tap: Tap::Result };
    Some(Wanted { source: Arc::new(source), media: outside.path.clone(), named, frame: 0, look, traces, monitor: None })
}

/// What a tile shows, in words; none where it has no shot or no candidate.
pub fn named(bench: &Bench, tile: &Tile) -> Option<Named> {
    if let Some(outside) = &tile.outside {
        let candidate = OUTSIDE.to_string();
        return Some(Named { shot: outside.name(), candidate, order: outside.taken(), tap: Tap::Result });
    }
    let shot = tile.shot.clone()?;
    let candidate = bench.candidate_of(tile)?.to_string();
    let wiring = bench.document()?.candidates.get(&candidate);
    let order = wiring.map_or_else(String::new, |wiring| wiring.lines().join("  >  "));
    let tap = if bench.wall.before { Tap::Original } else { tile.tap };
    Some(Named { shot, candidate, order, tap })
}
