//! Named passes over a draft. Each returns how many changes it made.
//!
//! None of them looks at the value of a setting.

use ops::{Point, Pointwise as _};

use crate::lower::Draft;
use crate::plan::{Factor, Instruction, Item, Value};

/// What one optimiser pass did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The pass's name.
    pub name: &'static str,
    /// How many changes it made.
    pub count: usize,
    /// Each change in words, where the pass says them.
    pub what: Vec<String>,
}

/// A named pass: changes the draft and says how often; it may put each change into words.
type Optimiser = (&'static str, fn(&mut Draft, &mut Vec<String>) -> usize);

const PASSES: &[Optimiser] = &[
    ("drop the bypassed", drop_bypassed),
    ("remove the dead", remove_dead),
    ("merge neighbouring scopes", merge_scopes),
    ("cancel exact inverse pairs", cancel_inverse_pairs),
    ("merge matrices and gains", merge_matrices),
];

pub(crate) fn run(draft: &mut Draft) -> Vec<Change> {
    let run = |(name, pass): &Optimiser| {
        let mut what = Vec::new();
        Change { name, count: pass(draft, &mut what), what }
    };
    PASSES.iter().map(run).collect()
}

/// Lets every reader of `gone` read `instead`.
fn redirect(draft: &mut Draft, gone: Value, instead: Value) {
    for instruction in &mut draft.instructions {
        if instruction.from == gone {
            instruction.from = instead;
        }
        if instruction.side == Some(gone) {
            instruction.side = Some(instead);
        }
    }
    if draft.result == gone {
        draft.result = instead;
    }
}

fn drop_bypassed(draft: &mut Draft, _: &mut Vec<String>) -> usize {
    let mut count = 0;
    while let Some(at) = draft.instructions.iter().position(|i| i.item == Item::Nothing) {
        let gone = draft.instructions.remove(at);
        redirect(draft, gone.to, gone.from);
        count += 1;
    }
    count
}

fn remove_dead(draft: &mut Draft, _: &mut Vec<String>) -> usize {
    let mut count = 0;
    loop {
        let read = |value: Value| draft.result == value || draft.instructions.iter().any(|i| reads(i, value));
        let Some(at) = draft.instructions.iter().position(|i| !read(i.to)) else { return count };
        draft.instructions.remove(at);
        count += 1;
    }
}

fn reads(instruction: &Instruction, value: Value) -> bool {
    instruction.from == value || instruction.side == Some(value)
}

/// The index of the only instruction that reads what instruction `at` makes.
fn only_reader(draft: &Draft, at: usize) -> Option<usize> {
    let made = draft.instructions[at].to;
    let mut readers = draft.instructions.iter().enumerate().filter(|(_, i)| reads(i, made));
    let reader = readers.next()?.0;
    (draft.result != made && readers.next().is_none()).then_some(reader)
}

/// Two items made one, and what fell away in between.
struct Merged {
    item: Item,
    words: Vec<String>,
}

/// Joins every instruction with its only reader wherever `one` makes one item of both; says how often.
fn merge_neighbours(draft: &mut Draft, one: fn(&Item, &Item) -> Option<Merged>, what: &mut Vec<String>) -> usize {
    let mut count = 0;
    let mut at = 0;
    while at < draft.instructions.len() {
        let merged = only_reader(draft, at)
            .and_then(|reader| Some((reader, one(&draft.instructions[at].item, &draft.instructions[reader].item)?)));
        match merged {
            Some((reader, Merged { item, words })) => {
                what.extend(words);
                let to = draft.instructions.remove(reader).to;
                // Readers come after what they read, so `at` still points at the first of the two.
                draft.instructions[at].item = item;
                draft.instructions[at].to = to;
                count += 1;
            }
            None => at += 1,
        }
    }
    count
}

/// Neighbouring scopes of one domain become one, where leaving and entering again is exact.
/// Their flags are ORed: while either is active, both run.
fn merge_scopes(draft: &mut Draft, what: &mut Vec<String>) -> usize {
    merge_neighbours(draft, one_scope, what)
}

fn one_scope(first: &Item, second: &Item) -> Option<Merged> {
    let Item::Scope { domain, inside: before, entering, leaving, active } = first else { return None };
    let Item::Scope { domain: other, inside: after, entering: again, leaving: end, active: also } = second else {
        return None;
    };
    if domain != other || leaving != again {
        return None;
    }
    let (kept, left) = before.split_at(before.len() - leaving);
    let (entered, rest) = after.split_at(*again);
    let undone = left.iter().rev().zip(entered).all(|(leave, enter)| undoes(leave, enter));
    undone.then(|| Merged {
        item: Item::Scope {
            domain: *domain,
            inside: kept.iter().chain(rest).cloned().collect(),
            entering: *entering,
            leaving: *end,
            active: *active || *also,
        },
        words: left.iter().rev().zip(entered).map(|(leave, enter)| pair(leave, enter)).collect(),
    })
}

/// An exact inverse pair in words.
fn pair(first: &Item, second: &Item) -> String {
    let words = |item: &Item| match item {
        Item::Point(step) => step.point.describe(),
        other => format!("{other:?}"),
    };
    format!("{} and {}", words(first), words(second))
}

fn undoes(first: &Item, second: &Item) -> bool {
    matches!((first, second), (Item::Point(first), Item::Point(second)) if first.point.is_undone_by(&second.point))
}

/// Outside scopes curves stay: the only exact pair that meets there is the decoder of a display original and the
/// encoder of an output-transform, and whether these are one curve depends on the display's black, a setting.
fn cancels(first: &Item, second: &Item) -> bool {
    let curve = |item: &Item| matches!(item, Item::Point(step) if matches!(step.point, Point::CodeToLight(_) | Point::LightToCode(_)));
    undoes(first, second) && !curve(first)
}

fn cancel_inverse_pairs(draft: &mut Draft, what: &mut Vec<String>) -> usize {
    let mut count = 0;
    let mut at = 0;
    while at < draft.instructions.len() {
        match only_reader(draft, at) {
            Some(reader) if cancels(&draft.instructions[at].item, &draft.instructions[reader].item) => {
                what.push(pair(&draft.instructions[at].item, &draft.instructions[reader].item));
                let from = draft.instructions[at].from;
                let to = draft.instructions[reader].to;
                draft.instructions.remove(reader);
                draft.instructions.remove(at);
                redirect(draft, to, from);
                count += 1;
                // What now meets may cancel too.
                at = at.saturating_sub(1);
            }
            _ => at += 1,
        }
    }
    count
}

fn merge_matrices(draft: &mut Draft, what: &mut Vec<String>) -> usize {
    let mut count = 0;
    let mut merge = |items: &mut Vec<Item>| {
        let before = items.len();
        *items = merge_list(std::mem::take(items));
        count += before - items.len();
    };
    for instruction in &mut draft.instructions {
        match &mut instruction.item {
            Item::Scope { inside, entering, leaving, .. } => {
                merge(inside);
                // The borders are no longer told apart once matrices have merged across them.
                (*entering, *leaving) = (0, 0);
            }
            Item::Mix { main, side, leave, .. } => [main, side, leave].into_iter().for_each(&mut merge),
            Item::Nothing | Item::Point(_) | Item::Affine(_) => {}
        }
    }
    count + merge_neighbours(draft, |a, b| one_affine(a, b).map(|item| Merged { item, words: Vec::new() }), what)
}

fn merge_list(items: Vec<Item>) -> Vec<Item> {
    let mut merged: Vec<Item> = Vec::with_capacity(items.len());
    for item in items {
        match merged.last().and_then(|last| one_affine(last, &item)) {
            Some(one) => {
                merged.pop();
                merged.push(one);
            }
            None => merged.push(item),
        }
    }
    merged
}

/// Both as one, where both are a matrix and an offset whatever their settings are. A scope that is nothing else counts
/// too, but not beside another one: while neither is active, the picture must be skipped and not multiplied by one.
fn one_affine(first: &Item, second: &Item) -> Option<Item> {
    let scope = |item: &Item| matches!(item, Item::Scope { .. });
    if scope(first) && scope(second) {
        return None;
    }
    Some(Item::Affine(factors(first)?.into_iter().chain(factors(second)?).collect()))
}

fn factors(item: &Item) -> Option<Vec<Factor>> {
    match item {
        Item::Point(step) => step.point.affine(&step.takes).map(|_| vec![Factor { step: step.clone(), active: true }]),
        Item::Affine(factors) => Some(factors.clone()),
        Item::Scope { inside, active, .. } => {
            let inside: Vec<Vec<Factor>> = inside.iter().map(factors).collect::<Option<_>>()?;
            Some(
                inside
                    .concat()
                    .into_iter()
                    .map(|factor| Factor { active: *active && factor.active, ..factor })
                    .collect(),
            )
        }
        Item::Nothing | Item::Mix { .. } => None,
    }
}

#[cfg(test)]
mod tests {
    use ops::{Exposure, Signal, Step};

    use super::*;

    fn exposure(stops: f64) -> Item {
        Item::Point(Step { point: Exposure { stops }.into(), takes: Signal::scene(), gives: Signal::scene() })
    }

    /// Instructions that each read the value with the number given beside them.
    fn draft(items: impl IntoIterator<Item = (usize, Item)>, result: usize) -> Draft {
        let numbered = items.into_iter().enumerate();
        let instructions =
            numbered.map(|(n, (from, item))| Instruction { from: Value(from), side: None, to: Value(n + 1), item });
        Draft { instructions: instructions.collect(), result: Value(result) }
    }

    #[test]
    fn what_nobody_reads_goes_with_all_that_only_it_read() {
        let mut branched = draft([(0, exposure(1.0)), (1, exposure(2.0)), (2, exposure(3.0))], 1);
        let words = &mut Vec::new();
        assert_eq!(remove_dead(&mut branched, words), 2);
        assert_eq!(branched, draft([(0, exposure(1.0))], 1));
        assert_eq!(remove_dead(&mut branched, words), 0);
    }

    #[test]
    fn a_value_that_two_read_is_not_merged_away() {
        let mut fork = draft([(0, exposure(1.0)), (1, exposure(2.0)), (1, exposure(3.0))], 3);
        let before = fork.clone();
        let words = &mut Vec::new();
        let changes = [merge_matrices, merge_scopes, cancel_inverse_pairs].map(|pass| pass(&mut fork, words));
        assert_eq!(changes, [0; 3]);
        assert_eq!(fork, before);
        // Nor is the result, though something else reads it too.
        let mut tapped = draft([(0, exposure(1.0)), (1, exposure(2.0))], 1);
        assert_eq!(merge_matrices(&mut tapped, words), 0);
    }
}
