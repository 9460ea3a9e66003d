//! What keys and commands ask of the play head.

use crate::state::{Action, Bench, OnPlaying};

fn of(bench: &Bench, action: OnPlaying) -> Option<Action> {
    bench.shot().map(|_| Action::Playing(action))
}

/// Play, or stop on the frame in sight. While a probe is placed its key belongs to that.
pub fn play(bench: &Bench) -> Option<Action> {
    of(bench, OnPlaying::Play(!bench.playing.plays)).filter(|_| bench.probes.cross.is_none())
}

/// The other direction.
pub fn turn(bench: &Bench) -> Option<Action> {
    of(bench, OnPlaying::Backward(!bench.playing.backward))
}

/// On at the other end, or not.
pub fn looped(bench: &Bench) -> Option<Action> {
    of(bench, OnPlaying::Loop(!bench.playing.looped))
}

/// One frame on.
pub fn on(bench: &Bench) -> Option<Action> {
    of(bench, OnPlaying::Step(1))
}

/// One frame back.
pub fn back(bench: &Bench) -> Option<Action> {
    of(bench, OnPlaying::Step(-1))
}

/// In on the frame in sight.
pub fn set_in(bench: &Bench) -> Option<Action> {
    of(bench, OnPlaying::In(Some(bench.now())))
}

/// Out on the frame in sight.
pub fn set_out(bench: &Bench) -> Option<Action> {
    of(bench, OnPlaying::Out(Some(bench.now())))
}

/// No in; nothing where there is none.
pub fn clear_in(bench: &Bench) -> Option<Action> {
    bench.ends().first.and_then(|_| of(bench, OnPlaying::In(None)))
}

/// No out; nothing where there is none.
pub fn clear_out(bench: &Bench) -> Option<Action> {
    bench.ends().last.and_then(|_| of(bench, OnPlaying::Out(None)))
}

/// To the first frame of the shot.
pub fn first(bench: &Bench) -> Option<Action> {
    bench.span().and_then(|[first, _]| of(bench, OnPlaying::Go(first)))
}

/// To its last frame.
pub fn last(bench: &Bench) -> Option<Action> {
    bench.span().and_then(|[_, last]| of(bench, OnPlaying::Go(last)))
}

/// To the first frame that is played.
pub fn go_in(bench: &Bench) -> Option<Action> {
    bench.span().and_then(|span| of(bench, OnPlaying::Go(bench.ends().of(span)[0])))
}

/// To the last frame that is played.
pub fn go_out(bench: &Bench) -> Option<Action> {
    bench.span().and_then(|span| of(bench, OnPlaying::Go(bench.ends().of(span)[1])))
}
