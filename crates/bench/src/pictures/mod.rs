//! Pictures of the tiles, made aside while the window goes on.
//!
//! The window says what it wants ([`wanted()`]); a thread makes it and wakes the window. Only the newest wish counts: what has
//! been overtaken is not made any more. Pictures stay on the device from the upload of the original to the screen.

mod busy;
mod frames;
mod maker;
mod traces;
mod wanted;
mod work;

use std::collections::BTreeMap;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use frame::Size;
use gpu::device::{Drawn, Gpu};

pub use busy::Busy;
pub use traces::{Counted, Traces};
pub use wanted::{CODES_FROM, Named, Source, Wanted, Wish, named, wanted};

use crate::state::{Bench, TileId};
use maker::Maker;
pub(crate) use maker::value_of;

/// A picture that is there to be seen.
#[derive(Debug, Clone)]
pub struct Shown {
    /// The picture on the device.
    pub drawn: Arc<Drawn>,
    /// What it is of.
    pub named: Named,
    /// How wide a pixel is, by its height.
    pub pixel_aspect: f64,
    /// Its 10-bit codes, row by row; there where they are to be written.
    pub codes: Option<Arc<Vec<[u16; 3]>>>,
    /// The frame that it is.
    pub frame: i64,
    /// First and last frame of its shot.
    pub span: [i64; 2],
    /// What it is, at its tap.
    pub signal: String,
    /// How it was brought to a display, or what it is instead.
    pub rendering: String,
    /// What the chain warns of.
    pub warnings: Vec<String>,
    /// What the device does for it, as text.
    pub plan: Arc<str>,
    /// How long it took from the wish to the work handed over.
    pub took: Duration,
}

impl Shown {
    /// Width and height in its own pixels.
    pub fn size(&self) -> Size {
        self.drawn.size()
    }
}

/// What has become of a tile's wish.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    /// The newest picture.
    pub shown: Option<Shown>,
    /// Its traces, or those of a picture just before it.
    pub traces: Option<Traces>,
    /// Why there is no newer one, in words that say what to do.
    pub fault: Option<String>,
}

/// What passes between the window and the thread.
#[derive(Default)]
struct Desk {
    wishes: Option<Vec<Wish>>,
    outcomes: BTreeMap<u64, Outcome>,
    closing: bool,
}

struct Shared {
    desk: Mutex<Desk>,
    bell: Condvar,
    /// Held while the device is given work.
    working: Mutex<()>,
}

impl Shared {
    fn desk(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn work(&self) -> MutexGuard<'_, ()> {
        self.working.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Says why a tile has no newer picture, and whether that is news. What it showed before stays.
    fn fail(&self, tile: u64, words: String) -> bool {
        let mut desk = self.desk();
        let outcome = desk.outcomes.entry(tile).or_default();
        let is_new = outcome.fault.as_ref() != Some(&words);
        outcome.fault = Some(words);
        is_new
    }

    /// Whether there is a newer wish, or nobody to look any more.
    fn is_overtaken(&self) -> bool {
        let desk = self.desk();
        desk.wishes.is_some() || desk.closing
    }
}

/// The pictures of the tiles.
pub struct Pictures {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
    /// The state that was wished for last.
    revision: Option<u64>,
    /// The pictures as the window draws them now.
    outcomes: BTreeMap<u64, Outcome>,
    /// The tiles' own numbers by their places.
    tiles: Vec<u64>,
    gpu: Option<Arc<Gpu>>,
}

impl Pictures {
    /// Makes pictures on a device and wakes the window when one is there.
    pub fn new(gpu: Arc<Gpu>, context: egui::Context) -> Self {
        let mut pictures = Self::none();
        pictures.gpu = Some(Arc::clone(&gpu));
        let shared = Arc::clone(&pictures.shared);
        pictures.thread = Some(std::thread::spawn(move || work::work(&shared, &mut Maker::new(gpu), &context)));
        pictures
    }

    /// None at all: for windows without a device, as tests have them.
    pub fn none() -> Self {
        let shared = Arc::new(Shared { desk: Mutex::default(), bell: Condvar::new(), working: Mutex::default() });
        Self { shared, thread: None, revision: None, outcomes: BTreeMap::new(), tiles: Vec::new(), gpu: None }
    }

    /// The device; none where there is none.
    pub fn gpu(&self) -> Option<&Arc<Gpu>> {
        self.gpu.as_ref()
    }

    /// Wishes for what the state calls for, where that has changed, and takes what has been made meanwhile.
    pub fn follow(&mut self, bench: &Bench) {
        self.tiles = bench.wall.tiles.iter().map(|tile| tile.number).collect();
        let mut desk = self.shared.desk();
        if self.revision != Some(bench.revision()) {
            self.revision = Some(bench.revision());
            desk.wishes = Some(wanted(bench));
            self.shared.bell.notify_one();
        }
        self.outcomes.clone_from(&desk.outcomes);
    }

    /// Waits until the device is given no more work, and keeps it so while it is held: a surface is only laid out anew then.
    pub fn at_rest(&self) -> MutexGuard<'_, ()> {
        self.shared.work()
    }

    /// Goes on with the device that stands in for one that was lost: all pictures are drawn anew.
    pub fn renew(&mut self, gpu: &Arc<Gpu>) {
        self.gpu = Some(Arc::clone(gpu));
        self.revision = None;
    }

    /// Says whether pictures are being made, for work that lets them go first.
    pub fn busy(&self) -> Busy {
        Busy(Arc::clone(&self.shared))
    }

    /// What a tile shows.
    pub fn of(&self, tile: TileId) -> Option<&Outcome> {
        self.outcomes.get(self.tiles.get(tile)?)
    }
}

impl Drop for Pictures {
    fn drop(&mut self) {
        self.shared.desk().closing = true;
        self.shared.bell.notify_one();
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has nothing left to say.
            let _ = thread.join();
        }
    }
}
