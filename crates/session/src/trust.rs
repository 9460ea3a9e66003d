//! How far what the device drew is from the proof: over a spread of places of a picture, and step by step.
//!
//! What is drawn may be off by what f32 can answer for ([`reference::Bound`]) and by one step of its codes.

use std::sync::Arc;

use colour::{CodeRange, Form};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, assemble};
use gpu::device::{AdapterChoice, Drawn, Gpu, Held, Renderer, SCREEN_EDGE};
use graph::{Elaborated, Made, Node, Value, Work};
use ops::Signal;
use plan::{Level, Plan};
use reference::Proof;

use crate::Fault;
use crate::chain::file_range;
use crate::engine::Engine;

/// The largest 10-bit code.
const CODES: f64 = 1023.0;
/// What rounding to codes may be off, whatever computes.
const STEP: f64 = 1.0;
/// Places that are looked at between two questions whether to go on.
const SHARE: usize = 64;
/// Rows that are proved between two of them.
const ROWS: usize = 16;
const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);

/// How far a drawn picture is off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Checked {
    /// Pixels that were proved.
    pub pixels: usize,
    /// The largest deviation, in 10-bit codes; of those that are too large where there are some.
    pub codes: f64,
    /// Its column and row.
    pub at: [u32; 2],
    /// Pixels that are farther off than they may be.
    pub departs: usize,
}

/// How far one step is off by itself, on what the proof gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The kit member that stands there, or what the conversion is called.
    pub member: String,
    /// The largest deviation in 10-bit codes; linear light is counted in ACEScct code.
    pub codes: f64,
    /// The largest deviation as a share of what f32 may be off.
    pub of_bound: f64,
    /// The column and row of the pixel where that is.
    pub at: [u32; 2],
}

impl Step {
    /// Whether it is farther off than it may be.
    pub fn departs(&self) -> bool {
        self.of_bound > 1.0
    }
}

/// About so many places, spread evenly and off any raster, the same for every picture of a size.
///
/// # Source
/// The additive recurrence by the plastic number: M. Roberts, "The Unreasonable Effectiveness of Quasirandom Sequences", 2018.
pub fn places(size: Size, count: usize) -> Vec<[u32; 2]> {
    const PLASTIC: f64 = 1.324_717_957_244_746;
    let steps = [1.0 / PLASTIC, 1.0 / (PLASTIC * PLASTIC)];
    let sides = [size.width, size.height];
    let place = |number: usize| {
        std::array::from_fn(|axis| {
            let share = (0.5 + steps[axis] * number as f64).fract();
            ((share * f64::from(sides[axis])) as u32).min(sides[axis].saturating_sub(1))
        })
    };
    (0..count.min(size.pixels())).map(place).collect()
}

/// The signal of one pixel of an original.
fn signal(original: &Frame, range: Range, [x, y]: [u32; 2]) -> [f64; 3] {
    let pixel = original.crop(x, y, 1, 1).to_pixels(range);
    let [red, green, blue, _] = pixel.first().copied().unwrap_or_default();
    [red, green, blue].map(f64::from)
}

/// Holds a drawn picture, in 10-bit codes of the full range, against the proof at some places. None where `go` says no.
pub fn check(
    elaborated: &Elaborated,
    original: &Frame,
    codes: &[[u16; 3]],
    places: &[[u32; 2]],
    go: &dyn Fn() -> bool,
) -> Option<Checked> {
    let (proof, range) = (Proof::new(elaborated), file_range(elaborated.original_range));
    let width = original.size().width as usize;
    let mut checked = Checked { pixels: 0, codes: 0.0, at: [0; 2], departs: 0 };
    for (number, &[x, y]) in places.iter().enumerate() {
        if number % SHARE == 0 && !go() {
            return None;
        }
        let Some(drawn) = codes.get(y as usize * width + x as usize) else { continue };
        let bound = proof.bound(signal(original, range, [x, y]));
        let (mut worst, mut departs) = (0.0f64, false);
        for (channel, code) in drawn.iter().enumerate() {
            let wanted = bound.value.get(channel).copied().unwrap_or_default().clamp(0.0, 1.0) * CODES;
            let apart = (f64::from(*code) - wanted).abs();
            let allowed = STEP + bound.deviation.get(channel).copied().unwrap_or_default() * CODES;
            worst = worst.max(apart);
            departs |= apart > allowed;
        }
        checked.pixels += 1;
        // What may be so is not the worst where something may not.
        let is_worse = worst > checked.codes || departs && checked.departs == 0;
        if is_worse && (departs || checked.departs == 0) {
            (checked.codes, checked.at) = (worst, [x, y]);
        }
        checked.departs += usize::from(departs);
    }
    Some(checked)
}

/// One place as a chain of its own. A mix gets its main picture twice: the two have no common original here.
pub fn alone(node: &Node) -> Elaborated {
    let mut node = Node { input: Value(0), side: node.side.map(|_| Value(0)), ..node.clone() };
    if let Work::Mix { enter, enter_side, .. } = &mut node.work {
        enter_side.clone_from(enter);
    }
    Elaborated {
        original: node.takes.clone(),
        result: Value(1),
        result_signal: node.gives.clone(),
        original_range: CodeRange::Full,
        result_range: CodeRange::Full,
        made: Made::AsOriginal,
        warnings: Vec::new(),
        nodes: vec![node],
    }
}

/// Holds every step against the proof by itself, on what the proof gives it at some places. None where `go` says no.
///
/// # Errors
/// What the device does not do.
pub fn steps(
    gpu: &Arc<Gpu>,
    elaborated: &Elaborated,
    original: &Frame,
    places: &[[u32; 2]],
    go: &dyn Fn() -> bool,
) -> Result<Option<Vec<Step>>, Fault> {
    let range = file_range(elaborated.original_range);
    let signals: Vec<[f64; 3]> = places.iter().map(|place| signal(original, range, *place)).collect();
    let mut found = Vec::with_capacity(elaborated.nodes.len());
    for node in &elaborated.nodes {
        if !go() {
            return Ok(None);
        }
        let none = || Fault::failed("a step has no input");
        let before = Proof::new(&elaborated.at(node.input).ok_or_else(none)?);
        let given: Vec<[f32; 4]> = signals
            .iter()
            .map(|rgb| {
                let [red, green, blue] = before.pixel(*rgb).map(|value| value as f32);
                [red, green, blue, 1.0]
            })
            .collect();
        found.push(step(gpu, node, &given, places)?);
    }
    Ok(Some(found))
}

fn step(gpu: &Arc<Gpu>, node: &Node, given: &[[f32; 4]], places: &[[u32; 2]]) -> Result<Step, Fault> {
    let chain = alone(node);
    let height = u32::try_from(given.len()).map_err(Fault::failed)?;
    let frame = Frame::from_pixels(given, Size::new(1, height), FLOATS, Range::Full);
    let answers = Engine::new(Some(gpu), &chain, FLOATS, FLOATS)?.frame(Arc::new(frame))?.to_pixels(Range::Full);
    let proof = Proof::new(&chain);
    let log = chain.result_signal.curve.is_linear().then(Signal::log);
    let code = |value: f64| match &log {
        Some(log) => log.curve.transfer.encode(Form::Exact, value) * CODES,
        None => value * CODES,
    };
    let mut step = Step { member: node.member.clone(), codes: 0.0, of_bound: 0.0, at: [0; 2] };
    for ((given, answer), place) in given.iter().zip(&answers).zip(places) {
        let [red, green, blue, _] = given.map(f64::from);
        let bound = proof.bound([red, green, blue]);
        for ((value, deviation), answer) in bound.value.into_iter().zip(bound.deviation).zip(answer) {
            let answer = f64::from(*answer);
            // The maximum of floats would pass over what is no number.
            let number = |apart: f64| if apart.is_nan() { f64::INFINITY } else { apart };
            step.codes = step.codes.max(number((code(answer) - code(value)).abs()));
            let share = number((answer - value).abs() / deviation);
            if share > step.of_bound {
                (step.of_bound, step.at) = (share, *place);
            }
        }
    }
    Ok(step)
}

/// The whole picture by the proof, in 10-bit codes of the full range; `go` hears of rows that are done and of all rows. None where
/// it says no.
pub fn proved(elaborated: &Elaborated, original: &Frame, go: &dyn Fn(usize, usize) -> bool) -> Option<Frame> {
    let (proof, range) = (Proof::new(elaborated), file_range(elaborated.original_range));
    let (size, (layout, result_range)) = (original.size(), SCREEN_EDGE.stored()?);
    let rows = size.height as usize;
    let mut pixels: Vec<[f32; 4]> = Vec::with_capacity(size.pixels());
    for first in (0..rows).step_by(ROWS) {
        if !go(first, rows) {
            return None;
        }
        let height = u32::try_from(ROWS.min(rows - first)).ok()?;
        let band = original.crop(0, u32::try_from(first).ok()?, size.width, height).to_pixels(range);
        pixels.extend(proof.pixels(&band).into_iter().map(|pixel| pixel.map(|value| value as f32)));
    }
    Some(Frame::from_pixels(&pixels, size, layout, result_range))
}

/// Lays a picture of 10-bit codes on the device as it is, where a window can draw it.
///
/// # Errors
/// What the device does not do.
pub fn laid(gpu: &Arc<Gpu>, codes: Frame) -> Result<Drawn, Fault> {
    let as_it_is = Elaborated {
        original: Signal::scene(),
        original_range: CodeRange::Full,
        nodes: Vec::new(),
        result: Value(0),
        result_signal: Signal::scene(),
        result_range: CodeRange::Full,
        made: Made::AsOriginal,
        warnings: Vec::new(),
    };
    let (layout, range) = SCREEN_EDGE.stored().ok_or_else(|| Fault::failed("a screen takes no codes"))?;
    let source = Edge::Stored(layout, range);
    let program = assemble(&Plan::new(&as_it_is, Level::Full), source, SCREEN_EDGE)?;
    let mut renderer = Renderer::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, None);
    let held: Held = renderer.hold(&Arc::new(codes))?;
    Ok(renderer.draw(&held, 0)?)
}

#[cfg(test)]
mod tests;
