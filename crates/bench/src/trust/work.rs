//! The work aside: a spread of pixels of each picture, the steps of one, one picture whole.

use std::collections::BTreeMap;
use std::sync::mpsc::Sender;
use std::sync::{Arc, Weak};
use std::time::Duration;

use gpu::device::{Drawn, Gpu};
use session::trust::{Checked, check, laid, places, proved, steps};

use crate::pictures::{Basis, Shown};
use crate::state::{OfPicture, OnTrust};
use crate::worker::{Wanted, Worker};

/// A picture has settled when it has stood so long.
const SETTLED: Duration = Duration::from_millis(250);
/// Pixels of a picture that are proved.
const PIXELS: usize = 1024;
/// Pixels that each step is tried on.
const STEP_PIXELS: usize = 1024;

/// Pictures to be held against the proof.
pub struct Check {
    pub shown: Vec<(u64, Shown)>,
    /// The tile whose steps are wanted.
    pub steps: Option<u64>,
}

/// A picture to be made by the proof.
pub struct Prove {
    pub tile: u64,
    pub shown: Shown,
    pub basis: Arc<Basis>,
}

/// What comes back.
pub enum Answer {
    Say(OnTrust),
    /// The picture by the proof, of the device's own.
    Proved(u64, Weak<Drawn>, Box<Shown>),
}

/// Checks pictures once they have settled, each once.
pub fn checker(gpu: Arc<Gpu>, answers: Sender<Answer>, context: egui::Context) -> Worker<Check> {
    let mut done: BTreeMap<u64, Weak<Drawn>> = BTreeMap::new();
    Worker::new(move |job: Check, wanted: &dyn Wanted| {
        let say = |action: OnTrust| {
            // Nobody listens any more once the window is closed.
            let _ = answers.send(Answer::Say(action));
            context.request_repaint();
        };
        done.retain(|tile, _| job.shown.iter().any(|(own, _)| own == tile));
        let is_new = |done: &BTreeMap<u64, Weak<Drawn>>, tile: &u64, shown: &Shown| {
            done.get(tile).is_none_or(|of| !of.ptr_eq(&Arc::downgrade(&shown.drawn)))
        };
        if job.shown.iter().any(|(tile, shown)| is_new(&done, tile, shown)) && wanted.rest(SETTLED) {
            return;
        }
        for (tile, shown) in &job.shown {
            let Some(made) = shown.basis.as_ref().filter(|_| is_new(&done, tile, shown)) else { continue };
            let checked = of_picture(shown, made, wanted);
            if wanted.is_over() {
                return;
            }
            done.insert(*tile, Arc::downgrade(&shown.drawn));
            say(OnTrust::Checked(*tile, checked));
        }
        let of_steps = job.shown.iter().find(|(tile, _)| Some(*tile) == job.steps);
        if let Some((tile, made)) = of_steps.and_then(|(tile, shown)| Some((tile, shown.basis.as_ref()?))) {
            let places = places(made.original.size(), STEP_PIXELS);
            let found = steps(&gpu, &made.elaborated, &made.original, &places, &|| !wanted.is_over());
            match found {
                Ok(None) => {}
                Ok(Some(steps)) => say(OnTrust::Steps(*tile, Ok(steps))),
                Err(fault) => say(OnTrust::Steps(*tile, Err(fault.to_string()))),
            }
        }
    })
}

fn of_picture(shown: &Shown, made: &Basis, wanted: &dyn Wanted) -> OfPicture {
    let seconds = shown.drawn.device_seconds().unwrap_or_default();
    let read = shown.drawn.read().map_err(|error| error.to_string());
    let codes = read.and_then(|frame| frame.to_codes().ok_or_else(|| "it holds no codes".to_string()));
    let checked = codes.map(|codes| {
        let places = places(made.original.size(), PIXELS);
        check(&made.elaborated, &made.original, &codes, &places, &|| !wanted.is_over())
    });
    let none = Checked { pixels: 0, codes: 0.0, at: [0; 2], departs: 0 };
    OfPicture {
        shot: shown.named.shot.clone(),
        candidate: shown.named.candidate.clone(),
        frame: shown.frame,
        checked: checked.map(|checked| checked.unwrap_or(none)),
        seconds,
    }
}

/// Makes whole pictures by the proof.
pub fn prover(gpu: Arc<Gpu>, answers: Sender<Answer>, context: egui::Context) -> Worker<Prove> {
    Worker::new(move |Prove { tile, shown, basis }: Prove, wanted: &dyn Wanted| {
        let say = |answer: Answer| {
            let _ = answers.send(answer);
            context.request_repaint();
        };
        let go = |done: usize, of: usize| {
            say(Answer::Say(OnTrust::Proving(tile, Some([done, of]))));
            !wanted.is_over()
        };
        let Some(codes) = proved(&basis.elaborated, &basis.original, &go) else { return };
        match laid(&gpu, codes) {
            Ok(drawn) => {
                let of = Arc::downgrade(&shown.drawn);
                let by_proof = Shown { drawn: Arc::new(drawn), codes: None, basis: None, ..shown };
                say(Answer::Proved(tile, of, Box::new(by_proof)));
            }
            Err(fault) => say(Answer::Say(OnTrust::NotProved(fault.to_string()))),
        }
    })
}
