//! Pictures of the tiles, made aside while the window goes on.
//!
//! The window says what it wants ([`wanted()`]); a thread makes it and wakes the window. Only the newest wish counts: what has
//! been overtaken is not made any more. Pictures stay on the device from the upload of the original to the screen.

mod busy;
mod clean;
mod codes;
mod frames;
mod maker;
mod meaning;
mod playing;
#[cfg(test)]
mod tests;
mod traces;
mod wanted;
mod work;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use frame::{Frame, Size};
use gpu::device::{Drawn, Gpu};
use graph::{Elaborated, Made};
use session::playback::Share;

pub use busy::Busy;
pub use clean::shows_the_tiles_own;
pub use traces::{Counted, Traces};
pub use wanted::{CODES_FROM, Named, OUTSIDE, Source, Wanted, Wish, named, wanted};

use crate::state::{Action, Bench, OnPlaying, Square, TileId, Wide};
use maker::Maker;
pub(crate) use meaning::value_of;
pub use playing::Played;
use playing::{Deck, Head, Play};
use traces::Countable;

/// What a picture was made of: enough to prove it.
#[derive(Debug)]
pub struct Basis {
    /// What it means.
    pub elaborated: Elaborated,
    /// The original.
    pub original: Arc<Frame>,
}

/// The number that the second window's picture has; no tile has it.
const CLEAN: u64 = 0;

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
    /// The frame that it is shown for: another one where that is missing, or not at hand yet.
    pub asked: i64,
    /// Whether that one is still to come.
    pub meanwhile: bool,
    /// Its size.
    pub whole: Size,
    /// How much of it was computed: of what is played not always every pixel.
    pub share: Share,
    /// The timecode of its file.
    pub timecode: Option<String>,
    /// Frames a second, by its file.
    pub rate: Option<f64>,
    /// First and last frame of its shot.
    pub span: [i64; 2],
    /// What it is, at its tap.
    pub signal: String,
    /// How it was brought to a display, or what it is instead.
    pub rendering: String,
    /// The same for whoever decides by it.
    pub made: Made,
    /// Why it is not seen through the monitor that was wished for.
    pub unseen: Option<String>,
    /// What the chain warns of.
    pub warnings: Vec<String>,
    /// What the device does for it, as text.
    pub plan: Arc<str>,
    /// What it was made of; none where it is no picture that could be proved, such as bands.
    pub basis: Option<Arc<Basis>>,
    /// How long it took from the wish to the work handed over.
    pub took: Duration,
    /// The state that it was called for by: [`Bench::revision`].
    pub revision: u64,
}

impl Shown {
    /// Width and height in its own pixels.
    pub fn size(&self) -> Size {
        self.whole
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

/// What passes between the window and the threads.
#[derive(Default)]
struct Desk {
    wishes: Option<(Vec<Wish>, Option<Play>)>,
    outcomes: BTreeMap<u64, Outcome>,
    /// How many pictures have been made, and how many of them the window has drawn or passed over.
    made: u64,
    drawn: u64,
    /// The state whose pictures have all been made, or refused.
    answered: u64,
    /// What is played; none while the play head rests.
    played: Option<Watched>,
    /// Whether the play head was let run.
    runs: bool,
    /// What traces of pictures that were played can be counted from.
    countable: BTreeMap<u64, (Countable, (Wide, Square))>,
    /// The frame that came in sight last.
    head: Option<i64>,
    /// Why a frame could not be played.
    failed: Option<String>,
    /// Where play ended before it began.
    over: Option<i64>,
    closing: bool,
}

/// What somebody looks at while it is played.
struct Watched {
    media: PathBuf,
    /// The tiles' own numbers.
    tiles: Vec<u64>,
}

impl Desk {
    /// Whether these frames are played.
    fn is_played(&self, media: &Path) -> bool {
        self.played.as_ref().is_some_and(|played| played.media == media)
    }
}

struct Shared {
    desk: Mutex<Desk>,
    bell: Condvar,
    /// Rings when all pictures of a state have been made.
    answer: Condvar,
    /// Held while the device is given work.
    working: Mutex<()>,
    /// What is played, or was.
    deck: Mutex<Option<Arc<Deck>>>,
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

    fn deck(&self) -> MutexGuard<'_, Option<Arc<Deck>>> {
        self.deck.lock().unwrap_or_else(PoisonError::into_inner)
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
    /// How many pictures had been made when they were taken.
    taken: u64,
    /// The tiles' own numbers by their places.
    tiles: Vec<u64>,
    gpu: Option<Arc<Gpu>>,
    /// How playing goes, and when it was looked at.
    played: Option<Played>,
    looked: Option<Instant>,
    /// How often the play head was let run when it was wished for last.
    run: Option<u64>,
}

/// As soon as can be. What is asked for at once is drawn twice by egui, so that things settle; a picture has nothing to settle,
/// and of pictures that are played every second one would be late for it.
pub const SOON: Duration = Duration::from_micros(1);

/// Wakes the window, to draw once.
fn wake(context: &egui::Context) {
    context.request_repaint_after(SOON);
}

/// How often it is looked how playing goes.
const LOOK: Duration = Duration::from_millis(250);

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
        let shared = Arc::new(Shared {
            desk: Mutex::default(),
            bell: Condvar::new(),
            answer: Condvar::new(),
            working: Mutex::default(),
            deck: Mutex::default(),
        });
        Self {
            shared,
            thread: None,
            revision: None,
            outcomes: BTreeMap::new(),
            taken: 0,
            tiles: Vec::new(),
            gpu: None,
            played: None,
            looked: None,
            run: None,
        }
    }

    /// Such pictures and no others: for windows of tests.
    #[cfg(test)]
    pub fn showing(outcomes: BTreeMap<u64, Outcome>) -> Self {
        let pictures = Self::none();
        pictures.shared.desk().outcomes = outcomes;
        pictures
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
            let mut wishes = wanted(bench);
            wishes.extend(clean::clean(bench, &wishes));
            let play = playing::play(bench, &wishes);
            let watched = |play: &Play| Watched {
                media: play.media.clone(),
                tiles: play.tiles.iter().map(|(tile, _)| *tile).collect(),
            };
            desk.played = play.as_ref().map(watched);
            desk.runs &= matches!(&play, Some(Play { head: Head::Runs { run, .. }, .. }) if Some(*run) == self.run);
            self.run = Some(bench.playing.run);
            desk.wishes = Some((wishes, play));
            self.shared.bell.notify_one();
        }
        self.outcomes.clone_from(&desk.outcomes);
        self.taken = desk.made;
    }

    /// Waits, at most so long, until the pictures of a state have been handed to the device: so the drawing that an event comes
    /// with shows already what it did.
    pub fn wait_for(&self, bench: &Bench, patience: Duration) {
        if self.thread.is_none() {
            return;
        }
        let desk = self.shared.desk();
        let waits = |desk: &mut Desk| desk.answered < bench.revision() && !desk.closing;
        // What comes later is shown by another drawing.
        drop(self.shared.answer.wait_timeout_while(desk, patience, waits));
    }

    /// The window has been drawn: what waited for that goes on.
    pub fn drawn(&self) {
        let mut desk = self.shared.desk();
        if desk.drawn != self.taken {
            desk.drawn = self.taken;
            self.shared.bell.notify_one();
        }
    }

    /// What is to be told of the frames that are played: which came in sight, and whether play is over.
    pub fn heard(&mut self, bench: &Bench) -> Vec<Action> {
        let mut desk = self.shared.desk();
        let (head, failed, over) = (desk.head.take(), desk.failed.take(), desk.over.take());
        let (runs, rests) = (desk.runs, desk.played.is_none());
        drop(desk);
        let deck = self.shared.deck();
        let mut told = Vec::new();
        if bench.playing.plays {
            let stands = deck.as_ref().filter(|_| runs).and_then(|deck| deck.stands_on());
            told.extend(head.map(OnPlaying::Seen));
            told.extend(over.or(stands).or(rests.then(|| bench.now())).map(OnPlaying::Over));
        }
        let shown = self.of(bench.wall.active).and_then(|outcome| outcome.shown.as_ref());
        if let Some(shown) = shown.filter(|shown| Some(shown.named.shot.as_str()) == bench.shot())
            && bench.span() != Some(shown.span)
        {
            told.push(OnPlaying::Span(shown.named.shot.clone(), shown.span));
        }
        told.extend(failed.map(OnPlaying::Failed));
        if self.looked.is_none_or(|then| then.elapsed() >= LOOK)
            || told.iter().any(|told| !matches!(told, OnPlaying::Seen(_)))
        {
            self.looked = Some(Instant::now());
            let media = bench.shot().and_then(|shot| bench.media_of(shot));
            let own = deck.as_ref().filter(|deck| media.as_deref() == Some(deck.media()));
            self.played = own.map(|deck| deck.played());
        }
        told.into_iter().map(Action::Playing).collect()
    }

    /// How playing the active tile's shot goes, or how it went; none where it was not played.
    pub fn played(&self) -> Option<&Played> {
        self.played.as_ref()
    }

    /// Waits until the device is given no more work, and keeps it so while it is held: a surface is only laid out anew then.
    pub fn at_rest(&self) -> MutexGuard<'_, ()> {
        self.shared.work()
    }

    /// Lays another picture over what a tile shows, until it follows the state anew.
    pub(crate) fn lay(&mut self, tile: u64, shown: &Shown) {
        if let Some(outcome) = self.outcomes.get_mut(&tile) {
            outcome.shown = Some(shown.clone());
        }
    }

    /// What the second window shows where it is not the active tile's own.
    pub fn clean(&self) -> Option<&Outcome> {
        self.outcomes.get(&CLEAN)
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
