//! Frames for a play head.

use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::time::Duration;

use super::decoded::{Decoded, Reader};
use super::engine::{Engine, answer};
use super::walk::Walk;
use super::{AheadError, Limits, Position};
use crate::{MediaError, Sequence, read_timed};

/// Frames behind the play head that are read once all are that it will reach, so that a step back is there too.
const BEHIND: usize = 8;

/// Reads the frames of a sequence before they are asked for and keeps them while there is room. The module says how.
///
/// All of it may be called from any thread; only [`ReadAhead::wait`] and [`ReadAhead::look_out`] wait. Dropping it begins no new read, waits for
/// those under way and ends the threads; pictures that were handed out stay.
pub struct ReadAhead {
    engine: Engine,
}

impl ReadAhead {
    /// Reads the files of a sequence. Nothing is read before somebody asks or [`ReadAhead::want`] is called.
    ///
    /// # Errors
    /// [`MediaError::NoThread`] where the system starts no thread.
    pub fn new(sequence: &Sequence, limits: Limits) -> Result<ReadAhead, MediaError> {
        ReadAhead::with_reader(sequence.frames().to_vec(), limits, Box::new(read_timed))
    }

    /// Reads a list of numbers and paths, in any order, in a way of your own.
    ///
    /// # Errors
    /// [`MediaError::Twice`] where two files have one number, [`MediaError::NoThread`] where the system starts no thread.
    pub fn with_reader(
        frames: Vec<(i64, PathBuf)>,
        limits: Limits,
        reader: Box<Reader>,
    ) -> Result<ReadAhead, MediaError> {
        Ok(ReadAhead { engine: Engine::start(frames, limits, reader)? })
    }

    /// Moves the play head. What is to be read next follows from it at once; the frame under the head is asked for, and
    /// what was asked for before is forgotten unless somebody waits for it. Reads under way finish, and what they
    /// bring is kept if there is room for it. After [`ReadAhead::cancel`], reading goes on.
    pub fn want(&self, position: &Position) {
        let shared = self.engine.shared();
        let walk = Walk::new(shared.numbers(), position, BEHIND);
        let here = shared.place(position.at).ok();
        shared.change(|shelf| {
            shelf.want(walk);
            if let Some(place) = here {
                shelf.ask(place);
            }
        });
    }

    /// Asks for a frame ahead of all that is only read ahead; of several, what was asked for last comes first. It is
    /// kept until it is fetched or the play head moves. A frame that could not be read is tried again.
    ///
    /// # Errors
    /// [`AheadError::NotThere`], or [`AheadError::Cancelled`] between [`ReadAhead::cancel`] and the next
    /// [`ReadAhead::want`].
    pub fn demand(&self, number: i64) -> Result<(), AheadError> {
        let shared = self.engine.shared();
        let place = shared.place(number)?;
        shared.change(|shelf| {
            if shelf.is_cancelled() {
                return Err(AheadError::Cancelled);
            }
            shelf.ask(place);
            Ok(())
        })
    }

    /// Waits for a frame, which then is read before everything else. One that could not be read is tried again.
    ///
    /// # Errors
    /// [`AheadError::NotThere`], [`AheadError::Failed`], or [`AheadError::Cancelled`] where [`ReadAhead::cancel`] is
    /// called meanwhile or was, with no [`ReadAhead::want`] since.
    pub fn wait(&self, number: i64) -> Result<Decoded, AheadError> {
        let shared = self.engine.shared();
        let place = shared.place(number)?;
        answer(shared.wait(place, true, |shelf| shelf.fetch(place))?)
    }

    /// The frame if it is in memory; asks for nothing.
    ///
    /// # Errors
    /// [`AheadError::NotThere`], or [`AheadError::Failed`] where it could not be read and nobody asked for it since.
    pub fn try_get(&self, number: i64) -> Result<Option<Decoded>, AheadError> {
        let shared = self.engine.shared();
        let place = shared.place(number)?;
        shared.change(|shelf| shelf.fetch(place)).map(answer).transpose()
    }

    /// Waits so long for a frame without asking for it: none where it does not come by then. For play by a clock, where a
    /// frame that would come too late must not be read before those that can come in time.
    ///
    /// # Errors
    /// As [`ReadAhead::wait`].
    pub fn look_out(&self, number: i64, patience: Duration) -> Result<Option<Decoded>, AheadError> {
        let shared = self.engine.shared();
        let place = shared.place(number)?;
        shared.look_out(patience, |shelf| shelf.fetch(place))?.map(answer).transpose()
    }

    /// The frame in memory whose number is nearest, the earlier one of two, with its number: what to show at once while
    /// the right one is read.
    pub fn nearest(&self, number: i64) -> Option<(i64, Decoded)> {
        let shared = self.engine.shared();
        let numbers = shared.numbers();
        let place = numbers.partition_point(|one| *one < number);
        shared.change(|shelf| {
            let before = shelf.held().range(..place).next_back().copied();
            let after = shelf.held().range(place..).next().copied();
            let distance = |place: &usize| numbers.get(*place).map_or(u64::MAX, |one| one.abs_diff(number));
            let place = before.into_iter().chain(after).min_by_key(distance)?;
            let decoded = shelf.fetch(place)?.ok()?;
            Some((*numbers.get(place)?, decoded))
        })
    }

    /// The numbers of the frames in memory, ascending, neighbours joined: what a bar under the picture shows.
    pub fn cached_ranges(&self) -> Vec<RangeInclusive<i64>> {
        let shared = self.engine.shared();
        let held: Vec<usize> = shared.look(|desk| desk.shelf.held().iter().copied().collect());
        let mut ranges: Vec<RangeInclusive<i64>> = Vec::new();
        for number in held.into_iter().filter_map(|place| shared.numbers().get(place).copied()) {
            match ranges.last_mut() {
                Some(last) if last.end().checked_add(1) == Some(number) => *last = *last.start()..=number,
                _ => ranges.push(number..=number),
            }
        }
        ranges
    }

    /// Bytes of memory that pictures take: those that are kept, in use or not, and what is set aside for those being
    /// read.
    pub fn held_bytes(&self) -> u64 {
        self.engine.shared().look(|desk| desk.shelf.bytes())
    }

    /// The most that [`ReadAhead::held_bytes`] ever was.
    pub fn peak_bytes(&self) -> u64 {
        self.engine.shared().look(|desk| desk.shelf.peak())
    }

    /// No new read begins, whoever waits returns at once, and what was asked for is forgotten, until
    /// [`ReadAhead::want`] is called again. Pictures in memory stay.
    pub fn cancel(&self) {
        self.engine.shared().cancel();
    }
}
