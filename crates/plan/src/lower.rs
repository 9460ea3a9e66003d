//! From an elaborated graph to instructions, nothing optimised yet.

use graph::{Elaborated, Work};
use ops::Step;

use crate::plan::{Instruction, Item, ORIGINAL, Value};

/// Instructions in order, before passes are made of them.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Draft {
    pub(crate) instructions: Vec<Instruction>,
    pub(crate) result: Value,
}

pub(crate) fn lower(elaborated: &Elaborated) -> Draft {
    let mut instructions: Vec<Instruction> = Vec::new();
    // Where each value of the elaborated graph is in the draft.
    let mut place = vec![ORIGINAL];
    for node in &elaborated.nodes {
        let picture = |value: graph::Value| place.get(value.0).copied().unwrap_or(ORIGINAL);
        let mut at = picture(node.input);
        // Only a mix has a side picture, and it is one item.
        let side = node.side.map(picture);
        for item in items(&node.work) {
            let to = Value(instructions.len() + 1);
            instructions.push(Instruction { from: at, side, to, item });
            at = to;
        }
        place.push(at);
    }
    let result = place.get(elaborated.result.0).copied().unwrap_or(ORIGINAL);
    Draft { instructions, result }
}

/// Steps after the picture, one after the other.
pub(crate) fn append(draft: &mut Draft, steps: &[Step]) {
    for item in points(steps) {
        let to = Value(draft.instructions.len() + 1);
        draft.instructions.push(Instruction { from: draft.result, side: None, to, item });
        draft.result = to;
    }
}

fn items(work: &Work) -> Vec<Item> {
    match work {
        Work::Bypassed => vec![Item::Nothing],
        Work::Steps(steps) => steps.iter().cloned().map(Item::Point).collect(),
        Work::Scope { domain, enter, steps, leave, neutral } => {
            let inside = points(enter).chain(points(steps)).chain(points(leave)).collect();
            let (entering, leaving) = (enter.len(), leave.len());
            vec![Item::Scope { domain: *domain, inside, entering, leaving, active: !neutral }]
        }
        Work::Mix { mix, domain, enter, enter_side, leave } => vec![Item::Mix {
            mix: mix.clone(),
            domain: *domain,
            main: points(enter).collect(),
            side: points(enter_side).collect(),
            leave: points(leave).collect(),
        }],
    }
}

fn points(steps: &[Step]) -> impl Iterator<Item = Item> {
    steps.iter().cloned().map(Item::Point)
}
