//! The executor.

use frame::{Frame, Layout, Range};
use graph::{Elaborated, Monitored, Node, Work};
use ops::{Budget, Eval, Mix, Operation as _, Pointwise as _, Step};
use rayon::prelude::*;

/// Pixels that one thread takes at a time.
const SHARE: usize = 4096;

/// One step, ready to run.
pub(crate) struct Prepared {
    pub(crate) eval: Eval,
    pub(crate) budget: Budget,
    pub(crate) inner_rounding: Option<Eval>,
}

/// One place, ready to run: where its input is, and its steps.
pub(crate) struct Stage {
    pub(crate) input: usize,
    pub(crate) steps: Vec<Prepared>,
    /// What a mix does after the steps of its main picture.
    pub(crate) joining: Option<Joining>,
}

/// A second picture, ready to be mixed in.
pub(crate) struct Joining {
    pub(crate) side: usize,
    pub(crate) steps: Vec<Prepared>,
    pub(crate) mix: Mix,
    pub(crate) leave: Vec<Prepared>,
}

/// An elaborated graph, ready to be evaluated in f64.
pub struct Proof {
    pub(crate) stages: Vec<Stage>,
    pub(crate) result: usize,
}

impl Proof {
    /// Prepares every step. A neutral scope evaluates nothing, conversions included.
    pub fn new(elaborated: &Elaborated) -> Self {
        let stages = elaborated.nodes.iter().map(prepare_stage).collect();
        Self { stages, result: elaborated.result.0 }
    }

    /// Prepares a picture as it is seen on a monitor.
    pub fn for_monitor(monitored: &Monitored) -> Self {
        let mut proof = Self::new(monitored.picture());
        let seen = Stage { input: proof.result, steps: prepare(monitored.steps()), joining: None };
        proof.stages.push(seen);
        proof.result = proof.stages.len();
        proof
    }

    /// What one pixel becomes.
    pub fn pixel(&self, rgb: [f64; 3]) -> [f64; 3] {
        let mut values = Vec::with_capacity(self.stages.len() + 1);
        self.pixel_with(rgb, &mut values)
    }

    fn pixel_with(&self, rgb: [f64; 3], values: &mut Vec<[f64; 3]>) -> [f64; 3] {
        values.clear();
        values.push(rgb);
        for stage in &self.stages {
            let picture = |at: usize| values.get(at).copied().unwrap_or(rgb);
            let mut made = run(&stage.steps, picture(stage.input));
            if let Some(Joining { side, steps, mix, leave }) = &stage.joining {
                made = run(leave, mix.eval(made, run(steps, picture(*side))));
            }
            values.push(made);
        }
        values.get(self.result).copied().unwrap_or(rgb)
    }

    /// What pixels of red, green, blue and alpha become; alpha stays. On all cores.
    pub fn pixels(&self, pixels: &[[f32; 4]]) -> Vec<[f64; 4]> {
        let mut out = vec![[0.0; 4]; pixels.len()];
        out.par_chunks_mut(SHARE).zip(pixels.par_chunks(SHARE)).for_each(|(out, pixels)| {
            let mut values = Vec::with_capacity(self.stages.len() + 1);
            for (out, &[r, g, b, alpha]) in out.iter_mut().zip(pixels) {
                let [r, g, b] = self.pixel_with([r, g, b].map(f64::from), &mut values);
                *out = [r, g, b, f64::from(alpha)];
            }
        });
        out
    }

    /// What a frame becomes, in another layout of the same size.
    pub fn frame(&self, frame: &Frame, range: Range, layout: Layout, result_range: Range) -> Frame {
        Frame::from_pixels(&self.signals(frame, range), frame.size(), layout, result_range)
    }

    /// What a frame's signal values become, rounded to single float, with their alpha; rows from the top.
    pub fn signals(&self, frame: &Frame, range: Range) -> Vec<[f32; 4]> {
        let mut pixels = frame.to_pixels(range);
        // In place: a frame in f64 beside it would be twice its size again.
        pixels.par_chunks_mut(SHARE).for_each(|share| {
            let mut values = Vec::with_capacity(self.stages.len() + 1);
            for pixel in share {
                let [r, g, b, alpha] = *pixel;
                let [r, g, b] = self.pixel_with([r, g, b].map(f64::from), &mut values).map(to_float);
                *pixel = [r, g, b, alpha];
            }
        });
        pixels
    }
}

/// Rounds to f32; what is too large for it becomes the largest float, not an infinity.
fn to_float(value: f64) -> f32 {
    value.clamp(f64::from(f32::MIN), f64::from(f32::MAX)) as f32
}

fn run(steps: &[Prepared], rgb: [f64; 3]) -> [f64; 3] {
    steps.iter().fold(rgb, |rgb, step| (step.eval)(rgb))
}

fn prepare_stage(node: &Node) -> Stage {
    let mut joining = None;
    let steps = match &node.work {
        Work::Bypassed | Work::Scope { neutral: true, .. } => Vec::new(),
        Work::Steps(steps) => prepare(steps),
        Work::Scope { enter, steps, leave, .. } => enter.iter().chain(steps).chain(leave).map(prepare_step).collect(),
        Work::Mix { mix, .. } if mix.is_neutral() => Vec::new(),
        Work::Mix { mix, enter, enter_side, leave, .. } => {
            let side = node.side.map_or(0, |value| value.0);
            joining = Some(Joining { side, steps: prepare(enter_side), mix: mix.clone(), leave: prepare(leave) });
            prepare(enter)
        }
    };
    Stage { input: node.input.0, steps, joining }
}

fn prepare(steps: &[Step]) -> Vec<Prepared> {
    steps.iter().map(prepare_step).collect()
}

fn prepare_step(step: &Step) -> Prepared {
    Prepared {
        eval: step.point.eval(&step.takes),
        budget: step.point.budget(),
        inner_rounding: step.point.inner_rounding(&step.takes),
    }
}
