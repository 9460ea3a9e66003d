//! Trust: a spread of pixels of every picture that has settled is proved, aside, and the window speaks up where the device is off.
//!
//! Where the trust sheet lies over the window, every step of the active picture is held against the proof by itself. On demand the
//! active picture is shown as the proof makes it.

pub(crate) mod keys;
mod work;

use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Weak};

use gpu::device::{Drawn, Gpu};

use crate::pictures::{Pictures, Shown};
use crate::state::{Action, Bench, OnTrust, Sheet, Tile};
use crate::worker::Worker;
use work::{Answer, Check, Prove};

/// What a check was asked for: the pictures by their tiles' numbers, and the tile whose steps are wanted.
type Asked = (Vec<(u64, Weak<Drawn>)>, Option<u64>);

/// What proves pictures.
pub struct Trust {
    checker: Worker<Check>,
    prover: Worker<Prove>,
    answers: Receiver<Answer>,
    asked: Option<Asked>,
    /// The picture that is proved, or was: the device's own, and the proof's once it is there.
    proved: Option<(u64, Weak<Drawn>, Option<Box<Shown>>)>,
}

impl Trust {
    /// Proves on threads of its own, and wakes the window when something is known.
    pub fn new(gpu: Arc<Gpu>, context: egui::Context) -> Self {
        let (sender, answers) = channel();
        let checker = work::checker(Arc::clone(&gpu), sender.clone(), context.clone());
        let prover = work::prover(gpu, sender, context);
        Self { checker, prover, answers, asked: None, proved: None }
    }

    /// Looks at the pictures as the device made them, and lays the proof's over one where that is asked for.
    pub fn follow(&mut self, bench: &Bench, pictures: &mut Pictures) -> Vec<Action> {
        let mut actions = Vec::new();
        self.check(bench, pictures);
        for answer in self.answers.try_iter() {
            match answer {
                Answer::Say(action) => actions.push(Action::Trust(action)),
                Answer::Proved(tile, of, shown) => {
                    if let Some(proved) = self.proved.as_mut().filter(|own| own.0 == tile && own.1.ptr_eq(&of)) {
                        proved.2 = Some(shown);
                        actions.push(Action::Trust(OnTrust::Proving(tile, None)));
                    }
                }
            }
        }
        actions.extend(self.prove(bench, pictures).map(Action::Trust));
        actions
    }

    fn check(&mut self, bench: &Bench, pictures: &Pictures) {
        let steps = (bench.sheet == Some(Sheet::Trust)).then(|| bench.tile().map(|tile| tile.number)).flatten();
        let now = tiles(bench, pictures).map(|(tile, shown)| (tile, Arc::downgrade(&shown.drawn)));
        let now: Asked = (now.collect(), steps);
        if self.asked.as_ref().is_some_and(|asked| is_same(asked, &now)) {
            return;
        }
        self.asked = Some(now);
        let shown = tiles(bench, pictures).map(|(tile, shown)| (tile, shown.clone())).collect();
        self.checker.give(Check { shown, steps });
    }

    fn prove(&mut self, bench: &Bench, pictures: &mut Pictures) -> Option<OnTrust> {
        let Some(wanted) = bench.trust.by_proof.as_ref().map(|by| by.tile) else {
            if self.proved.take().is_some() {
                self.prover.stop();
            }
            return None;
        };
        let place = bench.wall.tiles.iter().position(|tile| tile.number == wanted);
        let shown = place.and_then(|at| pictures.of(at)?.shown.clone());
        let Some((shown, made)) = shown.and_then(|shown| Some((shown.clone(), shown.basis.clone()?))) else {
            self.proved = None;
            return Some(OnTrust::NotProved("there is no picture that can be proved: bands and zebra are none".into()));
        };
        let now = Arc::downgrade(&shown.drawn);
        match &self.proved {
            Some((tile, of, proved)) if *tile == wanted && of.ptr_eq(&now) => {
                if let Some(proved) = proved {
                    pictures.lay(wanted, proved);
                }
                None
            }
            // It was of the picture as it stood.
            Some((tile, ..)) if *tile == wanted => {
                self.proved = None;
                self.prover.stop();
                Some(OnTrust::ByProof(None))
            }
            _ => {
                self.proved = Some((wanted, now, None));
                self.prover.give(Prove { tile: wanted, shown, basis: made });
                None
            }
        }
    }
}

fn is_same((a, steps_a): &Asked, (b, steps_b): &Asked) -> bool {
    let pairs = || a.iter().zip(b);
    a.len() == b.len() && steps_a == steps_b && pairs().all(|(a, b)| a.0 == b.0 && a.1.ptr_eq(&b.1))
}

/// The pictures that can be proved, by their tiles' numbers; the active one first.
fn tiles<'a>(bench: &'a Bench, pictures: &'a Pictures) -> impl Iterator<Item = (u64, &'a Shown)> {
    let of = move |(at, tile): (usize, &Tile)| {
        let shown = pictures.of(at)?.shown.as_ref()?;
        shown.basis.as_ref()?;
        Some((tile.number, shown))
    };
    let all = move |active: bool| {
        bench.wall.tiles.iter().enumerate().filter(move |(at, _)| (*at == bench.wall.active) == active)
    };
    all(true).chain(all(false)).filter_map(of)
}
