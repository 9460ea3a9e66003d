//! Held frames by their number, within a budget of bytes on the device.

use std::collections::BTreeMap;
use std::sync::Weak;

use super::Held;
use super::held::Inside;

/// A cache of held frames, which never takes more bytes on the device than its budget; but one frame alone is always taken, so
/// that nothing stalls. A frame that was let go counts as long as somebody else still uses it.
///
/// Uploading is left to the caller, on a thread of its own if need be: [`HeldFrames::make_room`], then [`Held::new`], then
/// [`HeldFrames::insert`].
#[derive(Debug)]
pub struct HeldFrames {
    budget: u64,
    frames: BTreeMap<i64, Held>,
    /// Let go, and perhaps still in use.
    gone: Vec<Weak<Inside>>,
}

impl HeldFrames {
    /// An empty cache of so many bytes.
    pub fn new(budget_bytes: u64) -> Self {
        Self { budget: budget_bytes, frames: BTreeMap::new(), gone: Vec::new() }
    }

    /// The most bytes on the device.
    pub fn budget(&self) -> u64 {
        self.budget
    }

    /// Bytes on the device now.
    pub fn bytes(&self) -> u64 {
        let gone = self.gone.iter().filter_map(Held::of);
        self.frames.values().map(Held::byte_len).sum::<u64>() + gone.map(|held| held.byte_len()).sum::<u64>()
    }

    /// The numbers of the frames that are held, in order.
    pub fn numbers(&self) -> impl Iterator<Item = i64> {
        self.frames.keys().copied()
    }

    /// A frame, if it is held.
    pub fn get(&self, number: i64) -> Option<&Held> {
        self.frames.get(&number)
    }

    /// Lets a frame go.
    pub fn evict(&mut self, number: i64) -> Option<Held> {
        let held = self.frames.remove(&number)?;
        self.gone.retain(|gone| gone.strong_count() > 0);
        self.gone.push(held.downgrade());
        Some(held)
    }

    /// Lets frames go until frame `number`, of so many bytes, fits; those first that are farthest by `distance`, for instance
    /// how many frames the play head takes to get there. False if it does not fit: what is left is nearer than it, or in use.
    pub fn make_room(&mut self, number: i64, bytes: u64, distance: impl Fn(i64) -> u64) -> bool {
        if self.frames.contains_key(&number) {
            return true;
        }
        while !self.fits(bytes) {
            let farthest = self.frames.keys().copied().max_by_key(|held| distance(*held));
            match farthest.filter(|held| distance(*held) > distance(number)) {
                Some(farthest) => drop(self.evict(farthest)),
                None => return false,
            }
        }
        true
    }

    /// Takes a frame, in place of one of the same number. False, and not taken, if there is no room for it.
    pub fn insert(&mut self, number: i64, held: Held) -> bool {
        self.evict(number);
        // It may be one that was let go and is taken again.
        let own = held.downgrade();
        let (same, others) = std::mem::take(&mut self.gone).into_iter().partition(|gone| gone.ptr_eq(&own));
        self.gone = others;
        let fits = self.fits(held.byte_len());
        if fits {
            self.frames.insert(number, held);
        } else {
            self.gone.extend::<Vec<_>>(same);
        }
        fits
    }

    fn fits(&self, bytes: u64) -> bool {
        let now = self.bytes();
        now == 0 || now.saturating_add(bytes) <= self.budget
    }
}
