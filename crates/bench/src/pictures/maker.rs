//! Makes the picture of one tile: the frame, what the chain means for it, the program, the device's work.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use gpu::device::{AdapterChoice, Gpu, Renderer, Scopes};
use session::Fault;
use session::playback::Share;

use super::frames::Frames;
use super::meaning::{Chains, Meant, Original};
use super::traces::{self, Countable, Traces};
use super::{Shown, Wanted};
use crate::state::{Square, Wide};

/// Shots whose frames stay on the device.
const SHOTS: usize = 4;
/// Bytes of one shot's frames that stay on the device.
const BUDGET_BYTES: u64 = 512 << 20;

/// What the thread that makes pictures keeps between two wishes.
pub struct Maker {
    gpu: Arc<Gpu>,
    /// The shots used last, the newest last.
    shots: Vec<Frames>,
    /// A program for each tile.
    renderers: BTreeMap<u64, Renderer>,
    /// What counts traces.
    counters: Option<Scopes>,
    chains: Chains,
    /// Pictures drawn so far.
    drawn: u32,
}

impl Maker {
    pub fn new(gpu: Arc<Gpu>) -> Self {
        Self { gpu, shots: Vec::new(), renderers: BTreeMap::new(), counters: None, chains: Chains::default(), drawn: 0 }
    }

    /// Takes the device that stands in for its own, where that one is lost; all that was drawn on it is lost too.
    ///
    /// # Errors
    /// There is no adapter any more.
    pub fn renew(&mut self) -> Result<bool, Fault> {
        if !self.gpu.is_lost() {
            return Ok(false);
        }
        self.gpu = self.gpu.again(&AdapterChoice::from_environment())?;
        self.renderers.clear();
        self.counters = None;
        Ok(true)
    }

    /// Makes the picture of a tile.
    ///
    /// # Errors
    /// No frames, a chain that cannot be meant, a lost device that does not come back.
    pub fn make(&mut self, tile: u64, wanted: &Wanted) -> Result<(Shown, Countable), Fault> {
        let started = Instant::now();
        let chain = self.chains.of(wanted)?;
        let gpu = Arc::clone(&self.gpu);
        let frames = self.frames(&wanted.media)?;
        let span = frames.span();
        let found = frames.get(&gpu, wanted.frame)?;
        let (meant, program) = Meant::new(&chain, wanted, &found.about, found.number, found.held.layout())?;
        let renderer = match self.renderers.entry(tile) {
            Entry::Occupied(place) => {
                let renderer = place.into_mut();
                renderer.set(program)?;
                renderer
            }
            Entry::Vacant(place) => {
                place.insert(Renderer::new(Arc::clone(&gpu), AdapterChoice::from_environment(), program, None))
            }
        };
        let drawn = renderer.draw(&found.held, found.number)?;
        self.drawn += 1;
        // A fault on purpose, as in a render (DEVELOPERS.md).
        if session::engine::lose_device_at() == Some(self.drawn) {
            gpu.lose();
        }
        let (about, number, whole) = (&found.about, found.number, found.held.size());
        let original = Original { about, number, whole, share: Share::Whole };
        let shown = Shown {
            basis: meant.basis(wanted, found.held.frame()),
            ..meant.shown(drawn, wanted, &original, wanted.frame, span, started.elapsed())
        };
        Ok((shown, meant.countable(found.held, found.number)))
    }

    /// The device.
    pub fn gpu(&self) -> Arc<Gpu> {
        Arc::clone(&self.gpu)
    }

    /// Frames a second, as the file of a frame says; none where it does not, or cannot be read.
    pub fn rate(&mut self, media: &Path, number: i64) -> Option<f64> {
        let gpu = self.gpu();
        self.frames(media).ok()?.get(&gpu, number).ok()?.about.rate
    }

    /// Counts the traces of a picture.
    ///
    /// # Errors
    /// A lost device that does not come back.
    pub fn count(&mut self, from: &Countable, kinds: (Wide, Square)) -> Result<Traces, Fault> {
        traces::count(&self.gpu, &mut self.counters, from, kinds)
    }

    /// Forgets what belongs to tiles that are no more.
    pub fn keep_only(&mut self, tiles: &[u64]) {
        self.renderers.retain(|tile, _| tiles.contains(tile));
    }

    /// The frames of a shot.
    ///
    /// # Errors
    /// There are none.
    pub fn frames(&mut self, media: &Path) -> Result<&mut Frames, Fault> {
        match self.shots.iter().position(|shot| shot.media() == media) {
            Some(at) => {
                let shot = self.shots.remove(at);
                self.shots.push(shot);
            }
            None => {
                let shot = Frames::open(media, BUDGET_BYTES)?;
                if self.shots.len() == SHOTS {
                    self.shots.remove(0);
                }
                self.shots.push(shot);
            }
        }
        self.shots.last_mut().ok_or_else(|| Fault::failed("there are no frames"))
    }
}
