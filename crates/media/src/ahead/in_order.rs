//! Every frame once, in order: what a render reads.

use std::path::PathBuf;
use std::sync::Arc;

use frame::NonFinite;

use super::decoded::{Failure, Reader, Spent};
use super::engine::{Engine, Shared};
use super::walk::Walk;
use super::{AheadError, Direction, Limits, Position};
use crate::{MediaError, Picture, Sequence, read_timed};

/// What came of reading a frame.
#[derive(Debug)]
pub struct Reading {
    /// Its number.
    pub number: i64,
    /// The picture, with how many samples were not finite and were replaced; or why there is none.
    pub outcome: Result<(Picture, NonFinite), Arc<MediaError>>,
    /// What it took, on one of several threads.
    pub spent: Spent,
}

/// The frames of a sequence in the order of their numbers, each once and read once. Frames ahead are read on all threads
/// as far as the budget has room; the budget no longer counts what was handed out.
///
/// A frame that cannot be read is handed out as its error, and the next one follows. Dropping it begins no new read,
/// waits for those under way and ends the threads.
pub struct InOrder {
    engine: Engine,
    next: usize,
}

impl InOrder {
    /// Reads the files of a sequence and begins at once.
    ///
    /// # Errors
    /// [`MediaError::NoThread`] where the system starts no thread.
    pub fn new(sequence: &Sequence, limits: Limits) -> Result<InOrder, MediaError> {
        InOrder::with_reader(sequence.frames().to_vec(), limits, Box::new(read_timed))
    }

    /// Reads a list of numbers and paths, in any order, in a way of your own.
    ///
    /// # Errors
    /// [`MediaError::Twice`] where two files have one number, [`MediaError::NoThread`] where the system starts no thread.
    pub fn with_reader(
        frames: Vec<(i64, PathBuf)>,
        limits: Limits,
        reader: Box<Reader>,
    ) -> Result<InOrder, MediaError> {
        let engine = Engine::start(frames, limits, reader)?;
        let walk = from(engine.shared(), 0);
        engine.shared().change(|shelf| shelf.stand(walk));
        Ok(InOrder { engine, next: 0 })
    }

    /// Something to end it with from another thread.
    pub fn canceller(&self) -> Canceller {
        Canceller { shared: Arc::clone(self.engine.shared()) }
    }

    /// The most bytes of memory that pictures took which were read and not yet handed out, with what was set aside for
    /// those being read.
    pub fn peak_bytes(&self) -> u64 {
        self.engine.shared().look(|desk| desk.shelf.peak())
    }
}

impl Iterator for InOrder {
    type Item = Reading;

    /// The next frame as soon as it is read; none after the last one or after [`Canceller::cancel`].
    fn next(&mut self) -> Option<Reading> {
        let shared = self.engine.shared();
        let place = self.next;
        let number = *shared.numbers().get(place)?;
        let walk = from(shared, place + 1);
        let taken: Result<_, AheadError> = shared.wait(place, false, |shelf| {
            // The head first: what lies behind it is not read again.
            shelf.stand(walk);
            shelf.take(place)
        });
        self.next += 1;
        Some(match taken.ok()? {
            Ok(decoded) => {
                let (spent, replaced) = (decoded.spent, decoded.replaced);
                Reading { number, outcome: Ok((decoded.into_picture(), replaced)), spent }
            }
            Err(Failure { error, spent }) => Reading { number, outcome: Err(error), spent },
        })
    }
}

/// The walk from a place to the end, with nothing behind it.
fn from(shared: &Shared, place: usize) -> Walk {
    let numbers = shared.numbers();
    match (numbers.get(place), numbers.first(), numbers.last()) {
        (Some(at), Some(first), Some(last)) => {
            let position = Position { at: *at, range: *first..=*last, direction: Direction::Forward, looped: false };
            Walk::new(numbers, &position, 0)
        }
        _ => Walk::none(numbers.len()),
    }
}

/// Ends an [`InOrder`] from another thread.
#[derive(Clone)]
pub struct Canceller {
    shared: Arc<Shared>,
}

impl Canceller {
    /// No new read begins, and the iterator ends at once, also where it is waiting for a frame.
    pub fn cancel(&self) {
        self.shared.cancel();
    }
}
