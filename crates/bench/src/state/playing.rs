//! How the frames of the shots are played.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Bench, Message};

/// In and out of a shot, both played; where one is not set, its first or last frame is meant.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ends {
    /// The first frame that is played.
    pub first: Option<i64>,
    /// The last one.
    pub last: Option<i64>,
}

impl Ends {
    /// First and last frame that are played of a shot that has these.
    pub fn of(self, [first, last]: [i64; 2]) -> [i64; 2] {
        let from = self.first.map_or(first, |own| own.clamp(first, last.max(first)));
        [from, self.last.map_or(last, |own| own.clamp(from, last.max(from)))]
    }
}

/// Whether and how frames are played.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Playing {
    /// Whether the play head runs.
    #[serde(skip)]
    pub plays: bool,
    /// Whether it is held and drawn along the bar.
    #[serde(skip)]
    pub scrubs: bool,
    /// How often it was let run.
    #[serde(skip)]
    pub run: u64,
    /// The frame in sight while it runs.
    #[serde(skip)]
    seen: Option<i64>,
    /// Whether it runs from the last frame to the first.
    pub backward: bool,
    /// Whether it goes on at the other end.
    pub looped: bool,
    /// The first and last frame of a shot whose files were seen.
    #[serde(skip)]
    span: Option<(String, [i64; 2])>,
    /// In and out by shot.
    ends: BTreeMap<String, Ends>,
}

/// What can be asked of the play head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OnPlaying {
    /// Let it run, or stand on the frame in sight.
    Play(bool),
    /// Let it run from the last frame to the first, or the other way round.
    Backward(bool),
    /// Let it go on at the other end, or stop there.
    Loop(bool),
    /// Stop, and go so many frames on, or back.
    Step(i64),
    /// Stop, and go to a frame.
    Go(i64),
    /// Draw it to a frame, and hold it there.
    Scrub(i64),
    /// Let go of it.
    LetGo,
    /// Play from this frame on, or from the first.
    In(Option<i64>),
    /// Play up to this frame, or to the last.
    Out(Option<i64>),
    /// A shot has these first and last frames.
    Span(String, [i64; 2]),
    /// A frame came in sight while it ran.
    Seen(i64),
    /// It came to the end, and stands there.
    Over(i64),
    /// A frame could not be played.
    Failed(String),
}

impl Bench {
    /// The frame in sight: the one that is looked at, or while frames are played the one that was shown last.
    pub fn now(&self) -> i64 {
        self.playing.seen.filter(|_| self.playing.plays).unwrap_or(self.frame)
    }

    /// The first and last frame of the active tile's shot; none before its files were seen.
    pub fn span(&self) -> Option<[i64; 2]> {
        let (shot, span) = self.playing.span.as_ref()?;
        (Some(shot.as_str()) == self.shot()).then_some(*span)
    }

    /// In and out of the active tile's shot.
    pub fn ends(&self) -> Ends {
        self.shot().and_then(|shot| self.playing.ends.get(shot)).copied().unwrap_or_default()
    }

    /// What tells of the play head and is nothing that anybody did. False where it is something else.
    pub(super) fn hear(&mut self, told: &OnPlaying) -> bool {
        match told {
            OnPlaying::Span(shot, span) => self.playing.span = Some((shot.clone(), *span)),
            OnPlaying::Seen(frame) => self.playing.seen = Some(*frame),
            OnPlaying::Failed(words) => self.message = Some(Message { words: words.clone(), wrong: true }),
            _ => return false,
        }
        true
    }

    pub(super) fn perform_on_playing(&mut self, action: OnPlaying) {
        match action {
            OnPlaying::Play(true) => {
                self.playing.seen = None;
                (self.playing.plays, self.playing.scrubs) = (self.shot().is_some(), false);
                self.playing.run += 1;
            }
            OnPlaying::Play(false) => self.stand_on(self.now()),
            OnPlaying::Backward(backward) => self.playing.backward = backward,
            OnPlaying::Loop(looped) => self.playing.looped = looped,
            OnPlaying::Step(by) => self.stand_on(self.now().saturating_add(by)),
            OnPlaying::Go(frame) | OnPlaying::Over(frame) => self.stand_on(frame),
            OnPlaying::Scrub(frame) => {
                self.stand_on(frame);
                self.playing.scrubs = true;
            }
            OnPlaying::LetGo => self.playing.scrubs = false,
            OnPlaying::In(first) => self.set_ends(|ends| {
                // An end that would lie before its beginning is none.
                let last = ends.last.filter(|last| first.is_none_or(|first| first <= *last));
                Ends { first, last }
            }),
            OnPlaying::Out(last) => self.set_ends(|ends| {
                let first = ends.first.filter(|first| last.is_none_or(|last| *first <= last));
                Ends { first, last }
            }),
            OnPlaying::Span(..) | OnPlaying::Seen(_) | OnPlaying::Failed(_) => {}
        }
    }

    /// Stands on a frame, of those that there are.
    fn stand_on(&mut self, frame: i64) {
        self.frame = self.span().map_or(frame, |[first, last]| frame.clamp(first, last.max(first)));
        (self.playing.plays, self.playing.scrubs, self.playing.seen) = (false, false, None);
    }

    fn set_ends(&mut self, set: impl FnOnce(Ends) -> Ends) {
        let Some(shot) = self.shot().map(str::to_string) else { return };
        let ends = set(self.ends());
        if ends == Ends::default() {
            self.playing.ends.remove(&shot);
        } else {
            self.playing.ends.insert(shot, ends);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::state::{Action, Tile};

    fn bench() -> Bench {
        let mut bench = Bench::default();
        bench.wall.tiles = vec![Tile { shot: Some("galley".to_string()), ..Tile::default() }];
        bench.frame = 12;
        bench
    }

    fn ask(bench: &mut Bench, actions: impl IntoIterator<Item = OnPlaying>) {
        actions.into_iter().for_each(|action| bench.apply(Action::Playing(action)));
    }

    #[test]
    fn the_frame_where_play_stops_is_the_frame_of_the_bench() {
        let mut bench = bench();
        ask(&mut bench, [OnPlaying::Play(true)]);
        assert_eq!((bench.playing.plays, bench.now(), bench.frame), (true, 12, 12));
        let revision = bench.revision();
        ask(&mut bench, [OnPlaying::Seen(13), OnPlaying::Seen(14)]);
        assert_eq!((bench.now(), bench.frame, bench.revision()), (14, 12, revision), "a frame in sight is no deed");
        ask(&mut bench, [OnPlaying::Play(false)]);
        assert_eq!((bench.playing.plays, bench.now(), bench.frame), (false, 14, 14));
        // What comes late changes nothing.
        ask(&mut bench, [OnPlaying::Seen(15)]);
        assert_eq!(bench.now(), 14);
        ask(&mut bench, [OnPlaying::Play(true), OnPlaying::Seen(20), OnPlaying::Step(-1)]);
        assert_eq!((bench.playing.plays, bench.frame), (false, 19));
        ask(&mut bench, [OnPlaying::Play(true), OnPlaying::Over(24)]);
        assert_eq!((bench.playing.plays, bench.frame), (false, 24));
    }

    #[test]
    fn a_head_that_is_drawn_stands_where_it_is_let_go() {
        let mut bench = bench();
        ask(&mut bench, [OnPlaying::Play(true), OnPlaying::Seen(13), OnPlaying::Scrub(3), OnPlaying::Scrub(4)]);
        assert_eq!((bench.playing.plays, bench.playing.scrubs, bench.now()), (false, true, 4));
        ask(&mut bench, [OnPlaying::LetGo]);
        assert_eq!((bench.playing.scrubs, bench.frame), (false, 4));
    }

    #[test]
    fn in_and_out_are_each_shots_own_and_never_crossed() {
        let mut bench = bench();
        ask(&mut bench, [OnPlaying::In(Some(5)), OnPlaying::Out(Some(9))]);
        assert_eq!(bench.ends(), Ends { first: Some(5), last: Some(9) });
        assert_eq!(bench.ends().of([1, 24]), [5, 9]);
        assert_eq!(bench.ends().of([7, 8]), [7, 8]);
        assert_eq!(bench.ends().of([10, 24]), [10, 10]);
        ask(&mut bench, [OnPlaying::Out(Some(3))]);
        assert_eq!(bench.ends(), Ends { first: None, last: Some(3) });
        ask(&mut bench, [OnPlaying::In(Some(4))]);
        assert_eq!(bench.ends(), Ends { first: Some(4), last: None });
        bench.wall.tiles[0].shot = Some("deck".to_string());
        assert_eq!(bench.ends(), Ends::default());
        bench.wall.tiles[0].shot = Some("galley".to_string());
        ask(&mut bench, [OnPlaying::In(None)]);
        assert_eq!((bench.ends(), bench.playing.ends.len()), (Ends::default(), 0));
    }
}
