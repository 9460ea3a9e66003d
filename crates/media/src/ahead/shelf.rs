//! Which frames are held, which are being read, which comes next and which goes first. No threads and no files: the
//! shelf is told what happened and says what to do.
//!
//! Every frame has a place, a [`Stage`] and a [`Need`]. The sets and sums below follow from these and are kept by
//! [`Shelf::list`] and [`Shelf::unlist`] alone, so that nothing is ever looked for among all frames.

use std::collections::BTreeSet;

use super::decoded::{Decoded, Failure};
use super::walk::Walk;

/// Where a frame is.
#[derive(Debug, Clone, Default)]
enum Stage {
    /// On disk alone.
    #[default]
    Away,
    /// Being read, with so many bytes kept free for it.
    UnderWay(u64),
    /// In memory.
    Held(Decoded),
    /// It could not be read.
    Failed(Failure),
}

/// How much a frame is needed; what is needed more may push out what is needed less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Need {
    /// Nobody asked for it.
    None,
    /// Somebody asked for it and has not fetched it: the later, the more.
    Asked(u64),
    /// Somebody can do nothing until it comes.
    Awaited,
}

#[derive(Debug, Clone, Default)]
struct Slot {
    stage: Stage,
    /// When it was asked for, as a running number.
    asked: Option<u64>,
    /// How many wait for it.
    waiting: usize,
    /// Bytes it had when it was last read.
    bytes: Option<u64>,
    /// It could not be read once, and was not read since.
    failed: bool,
}

impl Slot {
    fn need(&self) -> Need {
        match (self.waiting, self.asked) {
            (1.., _) => Need::Awaited,
            (0, Some(at)) => Need::Asked(at),
            (0, None) => Need::None,
        }
    }
}

/// The frames of a sequence and the memory they may take.
#[derive(Debug)]
pub(super) struct Shelf {
    slots: Vec<Slot>,
    walk: Walk,
    /// No frame before this rank of the walk is away.
    cursor: usize,
    budget: u64,
    peak: u64,
    /// Bytes of the frame that was read last: what the next one will probably have.
    usual: Option<u64>,
    asked: u64,
    cancelled: bool,
    // What follows from the slots.
    needed: BTreeSet<usize>,
    to_read: BTreeSet<(Need, usize)>,
    held: BTreeSet<usize>,
    /// Held, and nobody asked for it.
    idle: BTreeSet<usize>,
    /// Held for somebody who has not fetched it.
    owed: BTreeSet<(Need, usize)>,
    failures: BTreeSet<usize>,
    held_bytes: u64,
    reserved_bytes: u64,
    under_way: usize,
}

impl Shelf {
    /// A shelf for so many frames, none of them held.
    pub fn new(frames: usize, budget: u64) -> Shelf {
        Shelf {
            slots: vec![Slot::default(); frames],
            walk: Walk::none(frames),
            cursor: 0,
            budget,
            peak: 0,
            usual: None,
            asked: 0,
            cancelled: false,
            needed: BTreeSet::new(),
            to_read: BTreeSet::new(),
            held: BTreeSet::new(),
            idle: BTreeSet::new(),
            owed: BTreeSet::new(),
            failures: BTreeSet::new(),
            held_bytes: 0,
            reserved_bytes: 0,
            under_way: 0,
        }
    }

    /// Moves the play head and nothing else.
    pub fn stand(&mut self, walk: Walk) {
        // Where the head has only moved on, what was seen to be read need not be looked at again.
        let steps = self.walk.steps_to(&walk);
        self.cursor = steps.and_then(|steps| self.cursor.checked_sub(steps)).unwrap_or(0);
        self.walk = walk;
    }

    /// Moves the play head: what was asked for before is forgotten, unless somebody waits for it.
    pub fn want(&mut self, walk: Walk) {
        self.cancelled = false;
        for place in self.needed.clone() {
            self.change(place, |slot| slot.asked = None);
        }
        self.stand(walk);
    }

    /// Forgets everything that was asked for and begins nothing until a play head is given again.
    pub fn cancel(&mut self) {
        self.cancelled = true;
        for place in self.needed.clone() {
            self.change(place, |slot| (slot.asked, slot.waiting) = (None, 0));
        }
    }

    /// Whether nothing begins.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled
    }

    /// Asks for a frame. One that could not be read is tried again.
    pub fn ask(&mut self, place: usize) {
        self.asked += 1;
        let now = self.asked;
        self.retry(place);
        self.change(place, |slot| slot.asked = slot.asked.or(Some(now)));
    }

    /// A frame that could not be read is to be tried again.
    pub fn retry(&mut self, place: usize) {
        if matches!(self.slots.get(place), Some(Slot { stage: Stage::Failed(_), .. })) {
            self.change(place, |slot| slot.stage = Stage::Away);
        }
    }

    /// Somebody begins to wait for a frame.
    pub fn wait(&mut self, place: usize) {
        self.change(place, |slot| slot.waiting += 1);
    }

    /// Somebody waits no longer.
    pub fn leave(&mut self, place: usize) {
        self.change(place, |slot| slot.waiting = slot.waiting.saturating_sub(1));
    }

    /// The frame or why it could not be read; nothing while it is not known. The answer settles what was asked.
    pub fn fetch(&mut self, place: usize) -> Option<Result<Decoded, Failure>> {
        let answer = match &self.slots.get(place)?.stage {
            Stage::Held(decoded) => Ok(decoded.clone()),
            Stage::Failed(failure) => Err(failure.clone()),
            Stage::Away | Stage::UnderWay(_) => return None,
        };
        self.change(place, |slot| slot.asked = None);
        Some(answer)
    }

    /// As [`Shelf::fetch`], and the shelf keeps nothing of it.
    pub fn take(&mut self, place: usize) -> Option<Result<Decoded, Failure>> {
        let answer = self.fetch(place)?;
        self.change(place, |slot| slot.stage = Stage::Away);
        Some(answer)
    }

    /// Whether there is something to fetch.
    pub fn is_answered(&self, place: usize) -> bool {
        self.slots.get(place).is_some_and(|slot| matches!(slot.stage, Stage::Held(_) | Stage::Failed(_)))
    }

    /// The places that are held.
    pub fn held(&self) -> &BTreeSet<usize> {
        &self.held
    }

    /// Bytes of memory taken or kept free for frames that are being read.
    pub fn bytes(&mut self) -> u64 {
        self.trim();
        self.held_bytes + self.reserved_bytes
    }

    /// The most that [`Shelf::bytes`] ever was.
    pub fn peak(&self) -> u64 {
        self.peak
    }

    /// The frame to read next, which counts as being read from now on; nothing where there is none or no room.
    pub fn begin(&mut self) -> Option<usize> {
        if self.cancelled {
            return None;
        }
        self.trim();
        // How large a frame is, the first one tells.
        if self.usual.is_none() && self.under_way > 0 {
            return None;
        }
        let (need, place) = match self.to_read.last() {
            Some(first) => *first,
            None => (Need::None, self.next_ahead()?),
        };
        let bytes = self.slots.get(place)?.bytes.or(self.usual).unwrap_or(0);
        if !self.make_room(need, place, bytes) {
            return None;
        }
        self.change(place, |slot| slot.stage = Stage::UnderWay(bytes));
        self.note_peak();
        Some(place)
    }

    /// A frame was read, or could not be. A picture for which there is no room, since it is larger than the one before
    /// or is needed no longer, is let go and read again when there is room of its size.
    pub fn end(&mut self, place: usize, outcome: Result<Decoded, Failure>) {
        self.unlist(place);
        let Some(slot) = self.slots.get_mut(place) else { return };
        let need = slot.need();
        let decoded = match outcome {
            Ok(decoded) => decoded,
            Err(failure) => {
                (slot.stage, slot.failed) = (Stage::Failed(failure), true);
                return self.list(place);
            }
        };
        let bytes = decoded.bytes();
        (slot.stage, slot.bytes) = (Stage::Away, Some(bytes));
        self.usual = Some(bytes);
        let is_back = std::mem::take(&mut slot.failed);
        // The place is in no set while room is made for it.
        let fits = self.make_room(need, place, bytes);
        if let Some(slot) = self.slots.get_mut(place).filter(|_| fits) {
            slot.stage = Stage::Held(decoded);
        }
        self.list(place);
        self.note_peak();
        if is_back {
            self.forget_failures();
        }
    }

    /// A frame that could not be read before can be read now, so others may too.
    fn forget_failures(&mut self) {
        for place in self.failures.clone() {
            self.change(place, |slot| (slot.stage, slot.failed) = (Stage::Away, false));
        }
    }

    /// The first frame of the walk that is worth reading and is away.
    fn next_ahead(&mut self) -> Option<usize> {
        while self.cursor < self.walk.worth_reading() {
            let place = self.walk.nth(self.cursor)?;
            if matches!(self.slots.get(place)?.stage, Stage::Away) {
                return Some(place);
            }
            self.cursor += 1;
        }
        None
    }

    /// Lets frames go until so many bytes more fit. Where they cannot, nothing goes, with one exception, without which
    /// a budget below one frame would stop everything: a frame that is needed is read where nothing else is being read
    /// and nothing is held but what is in use.
    fn make_room(&mut self, need: Need, place: usize, bytes: u64) -> bool {
        let over = (self.held_bytes + self.reserved_bytes + bytes).saturating_sub(self.budget);
        if over == 0 {
            return true;
        }
        let (victims, freed) = self.victims(need, place, over);
        let alone = || need > Need::None && self.under_way == 0 && self.held_bytes - freed == self.bytes_in_use();
        if freed < over && !alone() {
            return false;
        }
        self.let_go(victims);
        true
    }

    /// Frames that may go for one of this need: first those that nobody asked for, the one that is reached last in
    /// front; then those that were asked for earlier. As many as free the bytes, or all there are; and what they free.
    fn victims(&self, need: Need, place: usize, bytes: u64) -> (Vec<usize>, u64) {
        // Reading ahead pushes out only what is reached later.
        let later_than = if need == Need::None { self.walk.rank(place).checked_add(1) } else { Some(0) };
        let is_later = |other: &usize| later_than.is_some_and(|rank| self.walk.rank(*other) >= rank);
        let idle = self.walk.last_first(&self.idle).take_while(is_later);
        let owed = self.owed.iter().take_while(|(other, _)| *other < need).map(|(_, other)| *other);
        let mut freed = 0;
        let mut victims = Vec::new();
        for other in idle.chain(owed) {
            if freed >= bytes {
                break;
            }
            if let Some(decoded) = self.decoded(other).filter(|decoded| !decoded.is_in_use()) {
                freed += decoded.bytes();
                victims.push(other);
            }
        }
        (victims, freed)
    }

    /// Brings the memory back below the budget where frames that were in use no longer are; the last one may stay.
    fn trim(&mut self) {
        let over = (self.held_bytes + self.reserved_bytes).saturating_sub(self.budget);
        if over == 0 {
            return;
        }
        let (mut victims, freed) = self.victims(Need::Asked(0), 0, over);
        if freed == self.held_bytes + self.reserved_bytes {
            victims.pop();
        }
        self.let_go(victims);
    }

    fn let_go(&mut self, places: Vec<usize>) {
        for place in places {
            self.change(place, |slot| slot.stage = Stage::Away);
        }
    }

    fn decoded(&self, place: usize) -> Option<&Decoded> {
        match &self.slots.get(place)?.stage {
            Stage::Held(decoded) => Some(decoded),
            _ => None,
        }
    }

    fn bytes_in_use(&self) -> u64 {
        self.held
            .iter()
            .filter_map(|place| self.decoded(*place))
            .filter(|one| one.is_in_use())
            .map(Decoded::bytes)
            .sum()
    }

    fn note_peak(&mut self) {
        self.peak = self.peak.max(self.held_bytes + self.reserved_bytes);
    }

    fn change(&mut self, place: usize, change: impl FnOnce(&mut Slot)) {
        self.unlist(place);
        if let Some(slot) = self.slots.get_mut(place) {
            change(slot);
        }
        self.list(place);
    }

    /// Enters a place where its slot says that it belongs.
    fn list(&mut self, place: usize) {
        let Some(slot) = self.slots.get(place) else { return };
        let need = slot.need();
        if need > Need::None {
            self.needed.insert(place);
        }
        match &slot.stage {
            Stage::Away => {
                self.cursor = self.cursor.min(self.walk.rank(place));
                if need > Need::None {
                    self.to_read.insert((need, place));
                }
            }
            Stage::UnderWay(bytes) => {
                self.reserved_bytes += bytes;
                self.under_way += 1;
            }
            Stage::Held(decoded) => {
                self.held_bytes += decoded.bytes();
                self.held.insert(place);
                if need > Need::None {
                    self.owed.insert((need, place));
                } else {
                    self.idle.insert(place);
                }
            }
            Stage::Failed(_) => {
                self.failures.insert(place);
            }
        }
    }

    /// Undoes [`Shelf::list`].
    fn unlist(&mut self, place: usize) {
        let Some(slot) = self.slots.get(place) else { return };
        let need = slot.need();
        self.needed.remove(&place);
        match &slot.stage {
            Stage::Away => {
                self.to_read.remove(&(need, place));
            }
            Stage::UnderWay(bytes) => {
                self.reserved_bytes -= bytes;
                self.under_way -= 1;
            }
            Stage::Held(decoded) => {
                self.held_bytes -= decoded.bytes();
                self.held.remove(&place);
                self.idle.remove(&place);
                self.owed.remove(&(need, place));
            }
            Stage::Failed(_) => {
                self.failures.remove(&place);
            }
        }
    }
}

#[cfg(test)]
mod tests;
