//! What is measured aside while the window goes on: what probes read, how much of each shot is clipped, verdicts.
//!
//! The window says what it wants of its state; a thread measures and wakes the window, which takes the figures as actions. Only
//! the newest wish counts, probes come before the table, and what is the same as before is not measured again.

mod clipped;
mod frames;
mod probes;
#[cfg(test)]
mod tests;
mod verdict;
mod words;

use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

use gpu::device::Gpu;
use graph::Document;

use crate::pictures::Wanted;
use crate::state::{Action, Bench, TileId};
use clipped::Clipped;
use frames::Frames;
use probes::Probes;
use verdict::Judge;

/// The probes of a tile.
#[derive(Debug, Clone)]
struct Probed {
    tile: TileId,
    picture: Wanted,
    /// Left, top, width and height in pixels, one for each probe.
    areas: Vec<[f64; 4]>,
}

/// What is to be measured.
#[derive(Debug, Default)]
struct Wish {
    probes: Vec<Probed>,
    /// The shots of the table; none where the document is what it was.
    shots: Option<VecDeque<Wanted>>,
}

#[derive(Default)]
struct Desk {
    wish: Option<Wish>,
    closing: bool,
}

#[derive(Default)]
struct Shared {
    desk: Mutex<Desk>,
    bell: Condvar,
}

impl Shared {
    fn desk(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether something newer is wished for.
    fn is_overtaken(&self) -> bool {
        let desk = self.desk();
        desk.closing || desk.wish.is_some()
    }
}

/// What measures aside.
pub struct Aside {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
    answers: Receiver<Action>,
    revision: Option<u64>,
    /// The document that the table was measured for last.
    document: Option<Document>,
    judge: Judge,
}

impl Aside {
    /// Measures on a device, or by the proof where there is none, and wakes the window when a figure is there.
    pub fn new(gpu: Option<Arc<Gpu>>, context: egui::Context) -> Self {
        let shared = Arc::new(Shared::default());
        let (sender, answers) = channel();
        let judge = Judge::new(gpu.clone(), sender.clone(), context.clone());
        let own = Arc::clone(&shared);
        let thread = std::thread::spawn(move || work(&own, gpu, &sender, &context));
        Self { shared, thread: Some(thread), answers, revision: None, document: None, judge }
    }

    /// Wishes for what the state calls for, where that has changed, and gives what has been measured meanwhile.
    pub fn follow(&mut self, bench: &Bench) -> Vec<Action> {
        if self.revision != Some(bench.revision()) {
            self.revision = Some(bench.revision());
            let document = bench.project().map(|project| project.document());
            let is_new = self.document.as_ref() != document;
            if is_new {
                self.document = document.cloned();
            }
            let probes = probes::wanted(bench);
            let mut desk = self.shared.desk();
            let waiting = desk.wish.take().and_then(|wish| wish.shots);
            desk.wish = Some(Wish { probes, shots: if is_new { Some(clipped::wanted(bench)) } else { waiting } });
            drop(desk);
            self.shared.bell.notify_one();
        }
        self.judge.follow(bench);
        self.answers.try_iter().collect()
    }
}

impl Drop for Aside {
    fn drop(&mut self) {
        self.shared.desk().closing = true;
        self.shared.bell.notify_one();
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has nothing left to say.
            let _ = thread.join();
        }
    }
}

/// Measures what is wished for until the window closes.
fn work(shared: &Shared, gpu: Option<Arc<Gpu>>, answers: &Sender<Action>, context: &egui::Context) {
    let mut frames = Frames::default();
    let mut shots = VecDeque::new();
    let (mut probes, mut clipped) = (Probes::new(gpu.clone()), Clipped::new(gpu));
    loop {
        let wish = {
            let mut desk = shared.desk();
            loop {
                if desk.closing {
                    return;
                }
                match desk.wish.take() {
                    Some(wish) => break wish,
                    None => desk = shared.bell.wait(desk).unwrap_or_else(PoisonError::into_inner),
                }
            }
        };
        let say = |action: Option<Action>| {
            if let Some(action) = action {
                // Nobody listens any more once the window is closed.
                let _ = answers.send(action);
                context.request_repaint();
            }
        };
        for probed in &wish.probes {
            say(probes.read(&mut frames, probed));
        }
        if let Some(new) = wish.shots {
            shots = new;
        }
        while !shared.is_overtaken()
            && let Some(shot) = shots.pop_front()
        {
            clipped.measure(&mut frames, &shot).into_iter().for_each(|action| say(Some(action)));
        }
    }
}
