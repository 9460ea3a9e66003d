//! A plan read straight off in f64, its shape without numbers, and how far two orders of f64 work may part.

use std::collections::BTreeMap;

use colour::Matrix;
use graph::{Elaborated, Work};
use ops::{Pointwise as _, Step};
use plan::{Item, Plan};

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
            last = item(&instruction.item, from);
            assert!(values.insert(instruction.to.0, last).is_none(), "a value is assigned twice");
        }
        if let Some(end) = pass.instructions.last() {
            assert_eq!(end.to, pass.writes, "a pass ends with what it writes");
        }
    }
    last
}

fn item(item: &Item, rgb: [f64; 3]) -> [f64; 3] {
    match item {
        Item::Nothing => rgb,
        Item::Point(step) => step.point.eval(&step.takes)(rgb),
        Item::Matrix(factors) => product(factors).apply(rgb),
        Item::Scope { active: false, .. } => rgb,
        Item::Scope { inside, .. } => inside.iter().fold(rgb, |rgb, one| self::item(one, rgb)),
    }
}

/// The factors as one matrix; the first is applied first.
fn product(factors: &[Step]) -> Matrix {
    factors.iter().fold(Matrix::IDENTITY, |before, step| {
        let matrix = step.point.matrix(&step.takes);
        matrix.unwrap_or_else(|| panic!("{} is no matrix", step.point.describe())) * before
    })
}

/// A plan without its numbers: what decides which pipelines it needs.
pub fn shape(plan: &Plan) -> String {
    let mut text = String::new();
    for pass in &plan.passes {
        text += &format!("pass v{} -> v{}\n", pass.reads.0, pass.writes.0);
        for instruction in &pass.instructions {
            let item = item_shape(&instruction.item);
            text += &format!("  v{} = v{} {item}\n", instruction.to.0, instruction.from.0);
        }
    }
    text
}

fn item_shape(item: &Item) -> String {
    match item {
        Item::Nothing => "nothing".to_string(),
        Item::Point(step) => step.point.shader().function.to_string(),
        Item::Matrix(factors) => format!("matrix of {}", factors.len()),
        Item::Scope { domain, inside, entering, leaving, .. } => {
            let inside: Vec<_> = inside.iter().map(item_shape).collect();
            format!("in {domain} ({entering}, {leaving}): {}", inside.join(", "))
        }
    }
}

/// Unit roundoff of f64.
const U: f64 = f64::EPSILON / 2.0;

/// Roundings of a channel between two steps: white-balance alone makes five products of three terms each, and
/// merged matrices are multiplied in another order.
const ROUNDINGS: f64 = 64.0;

/// What a chain gives, how far f64 work in another order may honestly part from it, and the largest number met.
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
    elaborated.nodes.iter().flat_map(|node| steps(&node.work)).fold(start, |at, step| {
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
    })
}

fn steps(work: &Work) -> Vec<&Step> {
    match work {
        Work::Bypassed | Work::Scope { neutral: true, .. } => Vec::new(),
        Work::Steps(steps) => steps.iter().collect(),
        Work::Scope { enter, steps, leave, .. } => enter.iter().chain(steps).chain(leave).collect(),
    }
}
