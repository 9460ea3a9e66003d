//! A plan read straight off in f64, its shape without numbers, and how far two orders of f64 work may part.

use std::collections::BTreeMap;

use colour::Affine;
use graph::{Elaborated, Work};
use ops::{Pointwise as _, Step};
use plan::{Factor, Item, Plan};

/// What a plan makes of a pixel in f64, instruction by instruction. None of it is shared with the proof executor.
///
/// # Panics
/// A pass reads what no pass wrote, or a merged matrix has a factor that is none.
pub fn evaluate(plan: &Plan, rgb: [f64; 3]) -> [f64; 3] {
    let mut values = BTreeMap::from([(0, rgb)]);
    let mut last = rgb;
    for pass in &plan.passes {
        for instruction in &pass.instructions {
            let from = values[&instruction.from.0];
            let side = instruction.side.map_or(from, |side| values[&side.0]);
            last = item(&instruction.item, from, side);
            assert!(values.insert(instruction.to.0, last).is_none(), "a value is assigned twice");
        }
        last = values[&pass.writes.0];
    }
    last
}

fn item(item: &Item, rgb: [f64; 3], side: [f64; 3]) -> [f64; 3] {
    let all = |items: &[Item], rgb| items.iter().fold(rgb, |rgb, one| self::item(one, rgb, rgb));
    match item {
        Item::Nothing => rgb,
        Item::Point(step) => step.point.eval(&step.takes)(rgb),
        Item::Affine(factors) => combined(factors).apply(rgb),
        Item::Scope { active: false, .. } => rgb,
        Item::Scope { inside, .. } => all(inside, rgb),
        Item::Mix { mix, .. } if mix.share == 0.0 => rgb,
        Item::Mix { mix, main, side: beside, leave, .. } => {
            let (main, side) = (all(main, rgb), all(beside, side));
            let mixed = std::array::from_fn(|at| main[at] + mix.share * (side[at] - main[at]));
            all(leave, mixed)
        }
    }
}

/// The factors as one; the first is applied first, and what is not active not at all.
fn combined(factors: &[Factor]) -> Affine {
    factors.iter().filter(|factor| factor.active).fold(Affine::IDENTITY, |before, factor| {
        let Step { point, takes, .. } = &factor.step;
        let affine = point.affine(takes).unwrap_or_else(|| panic!("{} is no matrix and offset", point.describe()));
        affine.after(&before)
    })
}

/// A plan without its numbers: what decides which pipelines it needs.
pub fn shape(plan: &Plan) -> String {
    let mut text = String::new();
    for pass in &plan.passes {
        text += &format!("pass v{} -> v{}\n", pass.reads.0, pass.writes.0);
        for instruction in &pass.instructions {
            let item = item_shape(&instruction.item);
            let side = instruction.side.map_or_else(String::new, |side| format!(" v{}", side.0));
            text += &format!("  v{} = v{}{side} {item}\n", instruction.to.0, instruction.from.0);
        }
    }
    text
}

fn item_shape(item: &Item) -> String {
    match item {
        Item::Nothing => "nothing".to_string(),
        Item::Point(step) => step.point.shader().function.to_string(),
        Item::Affine(factors) if plan::is_by_channel(factors) => format!("channels of {}", factors.len()),
        Item::Affine(factors) => format!("matrix of {}", factors.len()),
        Item::Scope { domain, inside, entering, leaving, .. } => {
            let inside: Vec<_> = inside.iter().map(item_shape).collect();
            format!("in {domain} ({entering}, {leaving}): {}", inside.join(", "))
        }
        Item::Mix { domain, main, side, leave, .. } => {
            let [main, side, leave] = [main, side, leave].map(|items| {
                let shapes: Vec<_> = items.iter().map(item_shape).collect();
                shapes.join(", ")
            });
            format!("mix in {domain}: {main}; {side}; {leave}")
        }
    }
}

/// Unit roundoff of f64.
const U: f64 = f64::EPSILON / 2.0;

/// Roundings of a channel between two steps: white-balance alone makes five products of three terms each, and
/// merged matrices are multiplied in another order.
const ROUNDINGS: f64 = 64.0;

/// What a chain gives, how far f64 work in another order may honestly part from it, and the largest number met.
#[derive(Clone, Copy)]
pub struct Reach {
    /// The result.
    pub value: [f64; 3],
    /// The honest deviation of each channel.
    pub deviation: [f64; 3],
    /// The largest number on the way.
    pub largest: f64,
}

/// Carries the roundings of f64 through every step by the step's own sensitivity: near black a display curve
/// turns 1e-16 of light into 1e-7 of code, so no fixed number would be both fair and sharp.
pub fn reach(elaborated: &Elaborated, rgb: [f64; 3]) -> Reach {
    let start = Reach { value: rgb, deviation: [0.0; 3], largest: 0.0 };
    let mut pictures = vec![start];
    for node in &elaborated.nodes {
        let input = pictures[node.input.0];
        let side = node.side.map_or(input, |side| pictures[side.0]);
        pictures.push(through(&node.work, input, side));
    }
    let result = pictures[elaborated.result.0];
    let largest = pictures.iter().fold(0.0f64, |largest, picture| largest.max(picture.largest));
    Reach { largest, ..result }
}

fn through(work: &Work, main: Reach, side: Reach) -> Reach {
    let all = |steps: &[Step], at: Reach| steps.iter().fold(at, step_further);
    match work {
        Work::Bypassed | Work::Scope { neutral: true, .. } => main,
        Work::Steps(steps) => all(steps, main),
        Work::Scope { enter, steps, leave, .. } => all(leave, all(steps, all(enter, main))),
        Work::Mix { mix, .. } if mix.share == 0.0 => main,
        Work::Mix { mix, enter, enter_side, leave, .. } => {
            let (main, side) = (all(enter, main), all(enter_side, side));
            let largest = main.largest.max(side.largest);
            let value: [f64; 3] =
                std::array::from_fn(|at| main.value[at] + mix.share * (side.value[at] - main.value[at]));
            let size = main.value.iter().chain(&side.value).fold(0.0f64, |size, channel| size.max(channel.abs()));
            let deviation = std::array::from_fn(|at| main.deviation[at] + side.deviation[at] + 8.0 * U * size);
            all(leave, Reach { value, deviation, largest: largest.max(size) })
        }
    }
}

fn step_further(at: Reach, step: &Step) -> Reach {
    let eval = step.point.eval(&step.takes);
    let value = eval(at.value);
    let size = value.iter().fold(0.0f64, |size, channel| size.max(channel.abs()));
    let mut deviation = [4.0 * U * size; 3];
    for channel in 0..3 {
        let by = at.deviation[channel] + ROUNDINGS * U * at.value[channel].abs();
        let mut widest = [0.0f64; 3];
        for sign in [1.0, -1.0] {
            let mut moved = at.value;
            moved[channel] += sign * by;
            let moved = eval(moved);
            for out in 0..3 {
                widest[out] = widest[out].max((moved[out] - value[out]).abs());
            }
        }
        (0..3).for_each(|out| deviation[out] += widest[out]);
    }
    Reach { value, deviation, largest: at.largest.max(size) }
}
