//! From instructions to passes. A pass reads one picture and writes one; inside it, pictures live in registers.

use std::collections::BTreeSet;

use crate::lower::Draft;
use crate::plan::{Instruction, ORIGINAL, Pass, Value};

/// All work in one pass: every item works on one pixel alone, so nothing need be written between them.
pub(crate) fn fused(draft: &Draft) -> Vec<Pass> {
    vec![one(&draft.instructions, ORIGINAL, draft.result)]
}

/// A pass for every instruction, as far as passes with one input allow: a cut is where all that follows reads only
/// the picture just made. A fork and what runs beside each other up to its joining are one pass.
pub(crate) fn one_by_one(draft: &Draft) -> Vec<Pass> {
    let mut passes = Vec::new();
    let (mut first, mut reads) = (0, ORIGINAL);
    for at in 0..draft.instructions.len() {
        let made = draft.instructions[at].to;
        let (done, rest) = (&draft.instructions[first..=at], &draft.instructions[at + 1..]);
        if made == draft.result || !may_cut(rest, made, draft.result) {
            continue;
        }
        passes.push(one(done, reads, made));
        (first, reads) = (at + 1, made);
    }
    let rest = &draft.instructions[first..];
    // A plan without work still moves the picture from one layout to the other.
    if !rest.is_empty() || passes.is_empty() {
        passes.push(one(rest, reads, draft.result));
    }
    passes
}

/// Whether all that follows, and the result, need no picture but `made`.
fn may_cut(rest: &[Instruction], made: Value, result: Value) -> bool {
    let mut there = BTreeSet::from([made]);
    let known = |there: &BTreeSet<Value>, value: &Value| there.contains(value);
    rest.iter().all(|next| {
        let all = std::iter::once(&next.from).chain(&next.side).all(|value| known(&there, value));
        there.insert(next.to);
        all
    }) && known(&there, &result)
}

fn one(instructions: &[Instruction], reads: Value, writes: Value) -> Pass {
    Pass { reads, writes, instructions: instructions.to_vec() }
}

#[cfg(test)]
mod tests {
    use ops::{Exposure, Mix, Signal, Step};

    use super::*;
    use crate::Item;

    fn exposure(from: usize, to: usize) -> Instruction {
        let point = Exposure { stops: 1.0 }.into();
        let item = Item::Point(Step { point, takes: Signal::scene(), gives: Signal::scene() });
        Instruction { from: Value(from), side: None, to: Value(to), item }
    }

    fn mix(from: usize, side: usize, to: usize) -> Instruction {
        let (main, beside, leave) = (Vec::new(), Vec::new(), Vec::new());
        let item = Item::Mix { mix: Mix::default(), domain: ops::Domain::AsGiven, main, side: beside, leave };
        Instruction { from: Value(from), side: Some(Value(side)), to: Value(to), item }
    }

    fn ends(passes: &[Pass]) -> Vec<(usize, usize, usize)> {
        passes.iter().map(|pass| (pass.reads.0, pass.writes.0, pass.instructions.len())).collect()
    }

    #[test]
    fn a_fork_and_its_joining_are_one_pass() {
        let instructions = vec![exposure(0, 1), exposure(1, 2), exposure(1, 3), mix(2, 3, 4), exposure(4, 5)];
        let draft = Draft { instructions, result: Value(5) };
        assert_eq!(ends(&one_by_one(&draft)), [(0, 1, 1), (1, 4, 3), (4, 5, 1)]);
        assert_eq!(ends(&fused(&draft)), [(0, 5, 5)]);
    }

    #[test]
    fn what_is_mixed_with_the_original_is_one_pass() {
        let draft = Draft { instructions: vec![exposure(0, 1), exposure(1, 2), mix(2, 0, 3)], result: Value(3) };
        assert_eq!(ends(&one_by_one(&draft)), [(0, 3, 3)]);
    }

    #[test]
    fn no_work_is_one_pass() {
        let draft = Draft { instructions: Vec::new(), result: Value(0) };
        assert_eq!(ends(&one_by_one(&draft)), [(0, 0, 0)]);
        assert_eq!(ends(&fused(&draft)), [(0, 0, 0)]);
    }
}
