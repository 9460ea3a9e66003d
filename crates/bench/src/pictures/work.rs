//! The thread that makes pictures: first all pictures, then codes and traces, so that these never hold a picture up.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError};
use std::time::{Duration, Instant};

use super::maker::Maker;
use super::playing::{Driver, Play};
use super::traces::Countable;
use super::{CLEAN, Outcome, Shared, Shown, Wanted, Wish, wake};
use crate::state::{Square, Wide};

/// While one picture follows another, traces are counted so often, and no more; and so many times as long as the last ones took
/// lies between two, so that one picture of twenty waits for them at the most.
const TRACES_MEANWHILE: Duration = Duration::from_millis(100);
const TRACES_SHARE: u32 = 24;
/// Once no picture has been called for so long, they are counted at once.
const REST: Duration = Duration::from_millis(120);
/// A window that is not seen is not drawn: its traces are counted all the same, after so long.
const PATIENCE: Duration = Duration::from_millis(150);
/// Where a picture cannot be made, it is tried again so often: a volume that was away may be there again.
const TRY_AGAIN: Duration = Duration::from_secs(1);

/// While frames are played, traces are counted so often at most, since the window takes its time to draw them too.
const TRACES_PLAYED: Duration = Duration::from_secs(1);
/// Of that time, counting takes one part of so many at most.
const TRACES_PLAYED_SHARE: u32 = 20;

/// What is to be done next.
enum Next {
    /// Pictures, and what is played.
    Wishes(Vec<Wish>, Option<Play>),
    /// The traces of what is played.
    Played(BTreeMap<u64, (Countable, (Wide, Square))>),
    /// What could not be made is tried again.
    Again,
}

/// What is still to be counted.
struct Due {
    tile: u64,
    from: Countable,
    kinds: (Wide, Square),
}

/// Makes what is wished for until the window closes.
pub fn work(shared: &Arc<Shared>, maker: &mut Maker, context: &egui::Context) {
    let mut bench = Workbench {
        shared,
        maker,
        context,
        driver: Driver::default(),
        made: BTreeMap::new(),
        due: BTreeMap::new(),
        counted: BTreeMap::new(),
        counted_at: Instant::now(),
        pause: TRACES_MEANWHILE,
        free_at: Instant::now(),
    };
    let (mut wishes, mut play) = (Vec::new(), None);
    loop {
        let again = wishes.iter().any(|wish| bench.is_missing(wish)).then_some(TRY_AGAIN);
        match next(shared, bench.free_at, again) {
            None => break,
            Some(Next::Again) => {}
            Some(Next::Wishes(newer, to_play)) => (wishes, play) = (newer, to_play),
            Some(Next::Played(played)) => {
                bench.count_played(played);
                continue;
            }
        }
        bench.clear(&wishes);
        if bench.has_device(&wishes) {
            bench.play(&wishes, play.clone());
            bench.pictures(&wishes);
            bench.codes(&wishes);
            bench.traces();
        }
        let mut desk = shared.desk();
        if desk.wishes.is_none() {
            desk.outcomes.retain(|tile, _| wishes.iter().any(|wish| wish.tile == *tile));
        }
    }
    bench.driver.close(shared);
}

/// What lies on the thread's bench between two wishes.
struct Workbench<'a> {
    shared: &'a Arc<Shared>,
    maker: &'a mut Maker,
    context: &'a egui::Context,
    driver: Driver,
    /// What pictures were made of: only what is another is made again.
    made: BTreeMap<u64, Wanted>,
    /// What traces are still to be counted of.
    due: BTreeMap<u64, Due>,
    /// When each tile's traces were counted last, when any were, and how long the next ones wait.
    counted: BTreeMap<u64, Instant>,
    counted_at: Instant,
    pause: Duration,
    /// Traces of what is played are not counted before.
    free_at: Instant,
}

impl Workbench<'_> {
    /// Whether a picture could not be made when it was wished for.
    fn is_missing(&self, wish: &Wish) -> bool {
        wish.picture.is_some() && !wish.played && !self.made.contains_key(&wish.tile)
    }

    /// Forgets what belongs to tiles that are no more; one that calls for nothing shows nothing.
    fn clear(&mut self, wishes: &[Wish]) {
        let tiles: Vec<u64> = wishes.iter().map(|wish| wish.tile).collect();
        self.maker.keep_only(&tiles);
        self.due.retain(|tile, _| tiles.contains(tile));
        self.made.retain(|tile, _| tiles.contains(tile));
        self.counted.retain(|tile, _| tiles.contains(tile));
        for wish in wishes.iter().filter(|wish| wish.picture.is_none() && !wish.kept && !wish.played) {
            self.made.remove(&wish.tile);
            self.due.remove(&wish.tile);
            self.shared.desk().outcomes.remove(&wish.tile);
        }
    }

    /// Whether there is a device: its own, or the one that stands in for it where it was lost.
    fn has_device(&mut self, wishes: &[Wish]) -> bool {
        match self.maker.renew() {
            Ok(false) => true,
            Ok(true) => {
                (self.made, self.due) = (BTreeMap::new(), BTreeMap::new());
                wishes.iter().filter(|wish| wish.kept).for_each(|wish| give_up(self.shared, wish.tile));
                true
            }
            Err(fault) => {
                for wish in wishes {
                    self.shared.fail(wish.tile, fault.to_string());
                }
                wake(self.context);
                false
            }
        }
    }

    fn play(&mut self, wishes: &[Wish], play: Option<Play>) {
        self.driver.keep_only(self.shared, |media| {
            wishes.iter().any(|wish| wish.picture.as_ref().is_some_and(|own| own.media == media))
        });
        if self.driver.follow(self.shared, self.maker, self.context, play) {
            // Not while play gets going.
            self.free_at = Instant::now() + TRACES_PLAYED;
        }
    }

    fn count_played(&mut self, played: BTreeMap<u64, (Countable, (Wide, Square))>) {
        let begun = Instant::now();
        for (tile, (from, kinds)) in played {
            if !self.shared.is_overtaken() {
                traces(self.shared, self.maker, &Due { tile, from, kinds });
            }
        }
        self.free_at = Instant::now() + TRACES_PLAYED.max(begun.elapsed() * TRACES_PLAYED_SHARE);
        wake(self.context);
    }

    /// Makes the pictures that are not those of before.
    fn pictures(&mut self, wishes: &[Wish]) {
        for wish in wishes {
            if wish.tile == CLEAN {
                // The tiles do not wait for the second window.
                answer(self.shared, wishes);
            }
            if wish.kept || wish.played {
                self.due.remove(&wish.tile);
            }
            if wish.played {
                // Whatever comes in sight: a still is made anew once the play head rests.
                self.made.remove(&wish.tile);
            } else if let Some(wanted) = &wish.picture
                && self.made.get(&wish.tile) != Some(wanted)
            {
                self.made.remove(&wish.tile);
                let (from, is_new) = picture(self.shared, self.maker, wish, wanted);
                if let Some(from) = from {
                    self.made.insert(wish.tile, wanted.clone());
                    self.due.extend(wanted.traces.map(|kinds| (wish.tile, Due { tile: wish.tile, from, kinds })));
                }
                if is_new {
                    wake(self.context);
                }
            }
            if self.shared.is_overtaken() {
                break;
            }
        }
        answer(self.shared, wishes);
    }

    /// Fetches codes that are to be written.
    fn codes(&self, wishes: &[Wish]) {
        for wish in wishes.iter().filter(|wish| wish.codes && !wish.played) {
            if !self.shared.is_overtaken() && codes(self.shared, wish.tile) {
                wake(self.context);
            }
        }
    }

    /// Counts traces, once the pictures are on screen and where nothing newer is wished for.
    fn traces(&mut self) {
        if self.due.is_empty() {
            return;
        }
        wait_for_window(self.shared);
        if is_overtaken_before(self.shared, (self.counted_at + self.pause).min(Instant::now() + REST)) {
            return;
        }
        let begun = Instant::now();
        while let Some(next) = next_of(&mut self.due, &self.counted) {
            traces(self.shared, self.maker, &next);
            self.counted.insert(next.tile, Instant::now());
            wake(self.context);
            if self.shared.is_overtaken() {
                break;
            }
        }
        self.counted_at = Instant::now();
        self.pause = TRACES_MEANWHILE.max(TRACES_SHARE * begun.elapsed());
    }
}

/// Tells who waits for it that the pictures of a state have been made.
fn answer(shared: &Shared, wishes: &[Wish]) {
    if let Some(wish) = wishes.first() {
        shared.desk().answered = wish.revision;
        shared.answer.notify_all();
    }
}

/// Takes the tile out whose traces were counted longest ago, or never: so that all have their turn while they overtake each other.
fn next_of(due: &mut BTreeMap<u64, Due>, counted: &BTreeMap<u64, Instant>) -> Option<Due> {
    let tile = *due.keys().min_by_key(|tile| counted.get(*tile))?;
    due.remove(&tile)
}

/// Waits until the newest pictures are on screen, since the device would draw the window only after the traces; or until there
/// is a newer wish.
fn wait_for_window(shared: &Shared) {
    let until = Instant::now() + PATIENCE;
    let mut desk = shared.desk();
    while desk.drawn < desk.made && desk.wishes.is_none() && !desk.closing {
        let left = until.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return;
        }
        desk = shared.bell.wait_timeout(desk, left).unwrap_or_else(PoisonError::into_inner).0;
    }
}

/// Waits until some time, and says whether there was a newer wish before. Traces are drawn along with what is dragged, but a picture
/// hardly ever waits for them: the next one mostly comes while they are not counted.
fn is_overtaken_before(shared: &Shared, then: Instant) -> bool {
    let mut desk = shared.desk();
    loop {
        let left = then.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return false;
        }
        if desk.wishes.is_some() || desk.closing {
            return true;
        }
        desk = shared.bell.wait_timeout(desk, left).unwrap_or_else(PoisonError::into_inner).0;
    }
}

/// Waits for the next wishes, for traces of what is played to be counted from some time on, or until it is time to try again what
/// could not be made; none when the window closes.
fn next(shared: &Shared, free_at: Instant, again: Option<Duration>) -> Option<Next> {
    let again_at = again.map(|again| Instant::now() + again);
    let mut desk = shared.desk();
    loop {
        if desk.closing {
            return None;
        }
        if let Some((wishes, play)) = desk.wishes.take() {
            return Some(Next::Wishes(wishes, play));
        }
        let now = Instant::now();
        if !desk.countable.is_empty() && free_at <= now {
            return Some(Next::Played(std::mem::take(&mut desk.countable)));
        }
        if again_at.is_some_and(|then| then <= now) {
            return Some(Next::Again);
        }
        let counts_at = (!desk.countable.is_empty()).then_some(free_at);
        desk = match counts_at.into_iter().chain(again_at).min() {
            None => shared.bell.wait(desk).unwrap_or_else(PoisonError::into_inner),
            Some(then) => shared.bell.wait_timeout(desk, then - now).unwrap_or_else(PoisonError::into_inner).0,
        };
    }
}

/// Makes a tile's picture and gives what its traces are counted from, and whether there is anything new to be seen.
fn picture(shared: &Shared, maker: &mut Maker, wish: &Wish, wanted: &Wanted) -> (Option<Countable>, bool) {
    let work = shared.work();
    let made = maker.make(wish.tile, wanted);
    drop(work);
    match made {
        Ok((shown, from)) => {
            let shown = Shown { revision: wish.revision, ..shown };
            let mut desk = shared.desk();
            desk.made += 1;
            let outcome = desk.outcomes.entry(wish.tile).or_default();
            let traces = outcome.traces.take();
            *outcome = Outcome { shown: Some(shown), traces, fault: None };
            (Some(from), true)
        }
        Err(fault) => (None, shared.fail(wish.tile, fault.to_string())),
    }
}

/// A picture that was kept lay on the device that is lost, and what it was made of is no longer known.
fn give_up(shared: &Shared, tile: u64) {
    let words = "this picture was kept on a graphics device that was lost; let the tile go on, or keep it anew";
    shared.fail(tile, words.to_string());
}

/// Fetches the codes of what a tile shows, where they are not there yet.
fn codes(shared: &Shared, tile: u64) -> bool {
    let shown = shared.desk().outcomes.get(&tile).and_then(|outcome| outcome.shown.clone());
    let Some(shown) = shown.filter(|shown| shown.codes.is_none()) else { return false };
    let work = shared.work();
    let read = shown.drawn.read().map_err(|error| error.to_string());
    let found = read.and_then(|frame| frame.to_codes().ok_or_else(|| "it holds no codes".to_string()));
    drop(work);
    let mut desk = shared.desk();
    let Some(outcome) = desk.outcomes.get_mut(&tile) else { return false };
    match (found, &mut outcome.shown) {
        (Ok(codes), Some(now)) if Arc::ptr_eq(&now.drawn, &shown.drawn) => now.codes = Some(Arc::new(codes)),
        (Err(words), _) => outcome.fault = Some(words),
        _ => {}
    }
    true
}

fn traces(shared: &Shared, maker: &mut Maker, due: &Due) {
    let work = shared.work();
    let made = maker.count(&due.from, due.kinds);
    drop(work);
    let mut desk = shared.desk();
    if let Some(outcome) = desk.outcomes.get_mut(&due.tile) {
        match made {
            Ok(traces) => outcome.traces = Some(traces),
            Err(fault) => outcome.fault = Some(fault.to_string()),
        }
    }
}
