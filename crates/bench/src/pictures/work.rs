//! The thread that makes pictures: first all pictures, then codes and traces, so that these never hold a picture up.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError};
use std::time::{Duration, Instant};

use super::maker::Maker;
use super::playing::{Driver, Play};
use super::traces::Countable;
use super::{Outcome, Shared, Wanted, Wish, wake};
use crate::state::{Square, Wide};

/// While pictures overtake each other, traces of one tile are counted so often, and no more.
const TRACES_MEANWHILE: Duration = Duration::from_millis(250);

/// While frames are played, traces are counted so often at most, since the window takes its time to draw them too.
const TRACES_PLAYED: Duration = Duration::from_secs(1);
/// Of that time, counting takes one part of so many at most.
const TRACES_SHARE: u32 = 20;

/// What is to be done next.
enum Next {
    /// Pictures, and what is played.
    Wishes(Vec<Wish>, Option<Play>),
    /// The traces of what is played.
    Played(BTreeMap<u64, (Countable, (Wide, Square))>),
}

/// What is still to be counted.
struct Due {
    tile: u64,
    from: Countable,
    kinds: (Wide, Square),
}

/// Makes what is wished for until the window closes.
pub fn work(shared: &Arc<Shared>, maker: &mut Maker, context: &egui::Context) {
    let mut driver = Driver::default();
    let mut due: BTreeMap<u64, Due> = BTreeMap::new();
    // What pictures were made of: only what is another is made again.
    let mut made: BTreeMap<u64, Wanted> = BTreeMap::new();
    let mut counted_at = Instant::now();
    // Traces of what is played are not counted before.
    let mut free_at = Instant::now();
    while let Some(next) = next(shared, free_at) {
        let (wishes, play) = match next {
            Next::Wishes(wishes, play) => (wishes, play),
            Next::Played(played) => {
                let begun = Instant::now();
                for (tile, (from, kinds)) in played.into_iter().filter(|_| !shared.is_overtaken()) {
                    traces(shared, maker, &Due { tile, from, kinds });
                }
                free_at = Instant::now() + TRACES_PLAYED.max(begun.elapsed() * TRACES_SHARE);
                wake(context);
                continue;
            }
        };
        let tiles: Vec<u64> = wishes.iter().map(|wish| wish.tile).collect();
        maker.keep_only(&tiles);
        due.retain(|tile, _| tiles.contains(tile));
        made.retain(|tile, _| tiles.contains(tile));
        driver.keep_only(shared, |media| {
            wishes.iter().any(|wish| wish.picture.as_ref().is_some_and(|own| own.media == media))
        });
        if driver.follow(shared, maker, context, play) {
            // Not while play gets going.
            free_at = Instant::now() + TRACES_PLAYED;
        }
        for wish in &wishes {
            if wish.kept || wish.played {
                due.remove(&wish.tile);
            }
            if wish.played {
                // Whatever comes in sight: a still is made anew once the play head rests.
                made.remove(&wish.tile);
            } else if let Some(wanted) = &wish.picture
                && made.get(&wish.tile) != Some(wanted)
            {
                made.remove(&wish.tile);
                if let Some(from) = picture(shared, maker, wish.tile, wanted) {
                    made.insert(wish.tile, wanted.clone());
                    due.extend(wanted.traces.map(|kinds| (wish.tile, Due { tile: wish.tile, from, kinds })));
                }
                wake(context);
            }
            if shared.is_overtaken() {
                break;
            }
        }
        for wish in wishes.iter().filter(|wish| wish.codes && !wish.played) {
            if !shared.is_overtaken() && codes(shared, wish.tile) {
                wake(context);
            }
        }
        while let Some((_, next)) = due.pop_first() {
            if shared.is_overtaken() && counted_at.elapsed() < TRACES_MEANWHILE {
                due.insert(next.tile, next);
                break;
            }
            traces(shared, maker, &next);
            counted_at = Instant::now();
            wake(context);
        }
        let mut desk = shared.desk();
        if desk.wishes.is_none() {
            desk.outcomes.retain(|tile, _| tiles.contains(tile));
        }
    }
    driver.close(shared);
}

/// Waits for the next wishes, or for traces of what is played to be counted from some time on; none when the window closes.
fn next(shared: &Shared, free_at: Instant) -> Option<Next> {
    let mut desk = shared.desk();
    loop {
        if desk.closing {
            return None;
        }
        if let Some((wishes, play)) = desk.wishes.take() {
            return Some(Next::Wishes(wishes, play));
        }
        let wait = free_at.saturating_duration_since(Instant::now());
        if desk.countable.is_empty() {
            desk = shared.bell.wait(desk).unwrap_or_else(PoisonError::into_inner);
        } else if wait.is_zero() {
            return Some(Next::Played(std::mem::take(&mut desk.countable)));
        } else {
            desk = shared.bell.wait_timeout(desk, wait).unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

/// Makes a tile's picture and gives what its traces are counted from.
fn picture(shared: &Shared, maker: &mut Maker, tile: u64, wanted: &Wanted) -> Option<Countable> {
    let work = shared.work();
    let made = maker.make(tile, wanted);
    drop(work);
    let mut desk = shared.desk();
    let outcome = desk.outcomes.entry(tile).or_default();
    match made {
        Ok((shown, from)) => {
            let traces = outcome.traces.take();
            *outcome = Outcome { shown: Some(shown), traces, fault: None };
            Some(from)
        }
        Err(fault) => {
            outcome.fault = Some(fault.to_string());
            None
        }
    }
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
