//! Every frame of a sequence looked at once: what is there, what changes, what repeats, which codes are used.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::ops::RangeInclusive;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use frame::{Layout, Size};

use crate::codes::{CodeUse, FloatUse};
use crate::said::Said;
use crate::timecode_breaks::{TimecodeBreak, timecode_breaks};
use crate::timecode_faults::{TimecodeFault, timecode_faults};
use crate::{About, MediaError, Picture, Sequence, read};

/// Most frames in memory at once: more would not read faster from a disk, and a frame may be large.
const MOST_AT_ONCE: usize = 8;

/// One frame of a survey.
#[derive(Debug, Clone)]
pub struct Seen {
    /// Its number.
    pub number: i64,
    /// Width and height.
    pub size: Size,
    /// How its samples are stored.
    pub layout: Layout,
    /// What its file says.
    pub about: About,
    /// A number that equal pictures share.
    pub(crate) digest: u64,
}

/// What a sequence holds.
#[derive(Debug)]
pub struct Survey {
    /// The frames that could be read, by number; at least one.
    pub frames: Vec<Seen>,
    /// Those that could not, with why.
    pub failed: Vec<(i64, MediaError)>,
    /// Codes of the frames that have the depth of the first; `None` for floats.
    pub codes: Option<CodeUse>,
    /// Values of the frames that store floats; `None` for codes.
    pub floats: Option<FloatUse>,
}

/// A frame that is other than the frame before it, or whose file says something else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The frame's number.
    pub number: i64,
    /// What it was before, as in `1280x720, 10-bit RGB, big-endian` or `legal range`.
    pub before: String,
    /// What it is.
    pub now: String,
}

/// A survey that is being made, frame by frame in any order; several can be put together.
#[derive(Debug, Default)]
pub struct Surveying {
    frames: Vec<Seen>,
    failed: Vec<(i64, MediaError)>,
    codes: BTreeMap<u32, CodeUse>,
    floats: Option<FloatUse>,
}

impl Survey {
    /// Reads every frame of a sequence, on all cores. `each` is shown every frame, in any order and on any thread.
    ///
    /// # Errors
    /// The first frame's error where none can be read.
    pub fn of(
        sequence: &Sequence,
        each: impl Fn(i64, Result<&Picture, &MediaError>) + Sync,
    ) -> Result<Survey, MediaError> {
        let next = AtomicUsize::new(0);
        let threads = thread::available_parallelism().map_or(1, usize::from).min(MOST_AT_ONCE);
        let look = || {
            let mut part = Surveying::default();
            while let Some((number, path)) = sequence.frames().get(next.fetch_add(1, Ordering::Relaxed)) {
                let picture = read(path);
                each(*number, picture.as_ref());
                match picture {
                    Ok(picture) => part.add(*number, &picture),
                    Err(error) => part.failed.push((*number, error)),
                }
            }
            part
        };
        let whole = thread::scope(|scope| {
            let others: Vec<_> = (1..threads).map(|_| scope.spawn(look)).collect();
            let mut whole = look();
            for other in others {
                match other.join() {
                    Ok(part) => whole.merge(part),
                    // Readers hold their own panics; one that came through is a fault of the program.
                    Err(panic) => std::panic::resume_unwind(panic),
                }
            }
            whole
        });
        whole.finish(sequence.name())
    }

    /// Groups of frames that hold the same picture, each in order of number.
    pub fn repeats(&self) -> Vec<Vec<i64>> {
        let mut groups: BTreeMap<u64, Vec<i64>> = BTreeMap::new();
        for seen in &self.frames {
            groups.entry(seen.digest).or_default().push(seen.number);
        }
        let mut repeats: Vec<_> = groups.into_values().filter(|group| group.len() > 1).collect();
        repeats.sort();
        repeats
    }

    /// Runs of frames, each of which holds the same picture as the one before it; no other frame lies between them,
    /// though numbers may be missing.
    pub fn held(&self) -> Vec<RangeInclusive<i64>> {
        let same = self.frames.chunk_by(|before, now| before.digest == now.digest);
        let ends = same.filter(|run| run.len() > 1).filter_map(|run| Some((run.first()?.number, run.last()?.number)));
        ends.map(|(first, last)| first..=last).collect()
    }

    /// Frames at which size or storage changes, or what the files say of encoding, range, rate, pixel aspect and roll.
    pub fn changes(&self) -> Vec<Change> {
        let mut changes = Vec::new();
        for pair in self.frames.windows(2) {
            let [before, now] = pair else { continue };
            let number = now.number;
            let picture = |seen: &Seen| format!("{}, {}", seen.size, seen.layout);
            let said = Said::ALL.map(|said| (said.by(&before.about), said.by(&now.about)));
            for (before, now) in std::iter::once((picture(before), picture(now))).chain(said) {
                if before != now {
                    changes.push(Change { number, before, now });
                }
            }
        }
        changes
    }

    /// Frames at which time code jumps, missing frames allowed for. Empty where the files say no rate or no time code.
    pub fn timecode_breaks(&self) -> Vec<TimecodeBreak> {
        timecode_breaks(&self.frames)
    }

    /// Frames whose time code cannot be meant, or that have none where others have one.
    pub fn timecode_faults(&self) -> Vec<TimecodeFault> {
        timecode_faults(&self.frames)
    }
}

impl Surveying {
    /// Adds a frame.
    pub fn add(&mut self, number: i64, picture: &Picture) {
        let Picture { frame, about } = picture;
        let (size, layout) = (frame.size(), frame.layout());
        if layout.is_float() {
            self.floats.get_or_insert_with(FloatUse::none).add(frame);
        } else {
            let bits = layout.bits();
            self.codes.entry(bits).or_insert_with(|| CodeUse::new(bits)).add(frame);
        }
        // Keys are fixed, so that the same pictures give the same numbers in every run.
        let mut hasher = DefaultHasher::new();
        (size, layout).hash(&mut hasher);
        hasher.write(frame.bytes());
        let about = about.clone();
        self.frames.push(Seen { number, size, layout, about, digest: hasher.finish() });
    }

    /// Adds what was seen elsewhere.
    pub fn merge(&mut self, other: Surveying) {
        self.frames.extend(other.frames);
        self.failed.extend(other.failed);
        for (bits, codes) in other.codes {
            self.codes.entry(bits).or_insert_with(|| CodeUse::new(bits)).merge(&codes);
        }
        if let Some(floats) = other.floats {
            self.floats.get_or_insert_with(FloatUse::none).merge(&floats);
        }
    }

    /// The survey of what was added; `name` is for the message.
    ///
    /// # Errors
    /// The first frame's error where none could be read, or that there is none.
    pub fn finish(mut self, name: &str) -> Result<Survey, MediaError> {
        self.frames.sort_by_key(|seen| seen.number);
        self.failed.sort_by_key(|(number, _)| *number);
        let Some(first) = self.frames.first() else {
            let nothing = || MediaError::NoFrames { path: name.into() };
            return Err(self.failed.into_iter().next().map_or_else(nothing, |(_, error)| error));
        };
        let float = first.layout.is_float();
        let codes = if float { None } else { self.codes.remove(&first.layout.bits()) };
        let floats = if float { self.floats } else { None };
        Ok(Survey { frames: self.frames, failed: self.failed, codes, floats })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Depth, Format, Timecode, layout_for};
    use frame::{Channels, Frame, Range};

    #[test]
    fn repeats_changes_and_jumps_are_found() {
        let folder = tempfile::tempdir().unwrap();
        let layout = layout_for(Format::Dpx, Depth::Ten, Channels::Rgb).unwrap();
        for (number, grey, width, timecode) in
            [(1, 0.1, 8, 0x0100_0000), (2, 0.2, 8, 0x0100_0001), (4, 0.2, 8, 0x0100_0003), (5, 0.3, 4, 0x0100_0009)]
        {
            let size = Size::new(width, 4);
            let frame = Frame::from_pixels(&vec![[grey; 4]; size.pixels()], size, layout, Range::Full);
            let timecode = Some(Timecode { time: timecode, user: 0 });
            let about = About { timecode, rate: Some(24.0), ..About::default() };
            crate::write(&folder.path().join(format!("a.{number:04}.dpx")), &frame, &about).unwrap();
        }
        std::fs::write(folder.path().join("a.0006.dpx"), "SDPX and no more").unwrap();
        let sequence = Sequence::open(&folder.path().join("a.%04d.dpx")).unwrap();
        let survey = Survey::of(&sequence, |_, _| ()).unwrap();
        assert_eq!((survey.repeats(), survey.held()), (vec![vec![2, 4]], vec![2..=4]));
        assert_eq!(survey.failed.iter().map(|(number, _)| *number).collect::<Vec<_>>(), [6]);
        let changes = survey.changes();
        assert_eq!((changes.len(), changes[0].number), (1, 5));
        assert!(changes[0].before.starts_with("8x4") && changes[0].now.starts_with("4x4"));
        let breaks = survey.timecode_breaks();
        assert_eq!((breaks.len(), breaks[0].number), (1, 5), "the gap at 3 is allowed for");
        assert_eq!(breaks[0].expected.to_string(), "01:00:00:04");
        assert_eq!(survey.codes.unwrap().pixels(), 3 * 32 + 16);
        assert!(survey.floats.is_none());
    }
}
