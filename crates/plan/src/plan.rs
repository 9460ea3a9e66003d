//! The data of a plan.

use std::fmt;

use graph::{Elaborated, Monitored};
use ops::{Domain, Mix, Operation as _, Pointwise as _, Step};

use crate::optimise::{self, Change};
use crate::{lower, passes};

/// A picture inside a plan, assigned once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Value(pub usize);

/// The original's value.
pub(crate) const ORIGINAL: Value = Value(0);

/// What one instruction does.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "a plan has a dozen of them")]
pub enum Item {
    /// Hands the picture on.
    Nothing,
    /// One step.
    Point(Step),
    /// Steps that are a matrix and an offset each, to be made one of; the first is applied first.
    Affine(Vec<Factor>),
    /// Work that is skipped as a whole while it is not active.
    Scope {
        /// The domain it works in.
        domain: Domain,
        /// Enter, operations, leave.
        inside: Vec<Item>,
        /// How many items at the front of `inside` enter the domain.
        entering: usize,
        /// How many items at its end leave it.
        leaving: usize,
        /// Whether any of its operations changes the picture. A setting, not a part of the shape.
        active: bool,
    },
    /// Two pictures into one; skipped as a whole while its share is zero.
    Mix {
        /// The operation. Its share is a setting, not a part of the shape.
        mix: Mix,
        /// The domain it works in.
        domain: Domain,
        /// What the main picture goes through before it.
        main: Vec<Item>,
        /// What the side picture goes through before it.
        side: Vec<Item>,
        /// What the mixed picture goes through after it.
        leave: Vec<Item>,
    },
}

/// One step of an affine item.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor {
    /// The step.
    pub step: Step,
    /// Whether it is to be counted; a step of a scope that is not active is the identity. A setting, not a part of
    /// the shape.
    pub active: bool,
}

/// Whether all factors work on each channel alone: the item is then three gains and offsets, not a matrix.
pub fn is_by_channel(factors: &[Factor]) -> bool {
    factors.iter().all(|factor| factor.step.point.is_by_channel())
}

/// `to = item(from)`, or `to = item(from, side)` for a mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Instruction {
    /// The picture read.
    pub from: Value,
    /// The second picture that a mix reads.
    pub side: Option<Value>,
    /// The picture made.
    pub to: Value,
    /// How.
    pub item: Item,
}

/// Instructions that run over the pixels in one go.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// The picture read.
    pub reads: Value,
    /// The picture written.
    pub writes: Value,
    /// In order.
    pub instructions: Vec<Instruction>,
}

/// How far a plan is optimised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// As elaborated: every step a pass of its own, a scope one pass, and a fork with all up to its joining one pass.
    None,
    /// All passes of the optimiser, and fusion.
    Full,
}

/// What runs, pass after pass. Every pass reads what the one before wrote; the first reads the original.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// In order; at least one.
    pub passes: Vec<Pass>,
    /// What the optimiser did.
    pub changes: Vec<Change>,
}

impl Plan {
    /// Plans an elaborated graph.
    pub fn new(elaborated: &Elaborated, level: Level) -> Self {
        Self::of(lower::lower(elaborated), level)
    }

    /// Plans a picture as it is seen on a monitor.
    pub fn for_monitor(monitored: &Monitored, level: Level) -> Self {
        let mut draft = lower::lower(monitored.picture());
        lower::append(&mut draft, monitored.steps());
        Self::of(draft, level)
    }

    fn of(mut draft: lower::Draft, level: Level) -> Self {
        let (changes, passes) = match level {
            Level::None => (Vec::new(), passes::one_by_one(&draft)),
            Level::Full => (optimise::run(&mut draft), passes::fused(&draft)),
        };
        Self { passes, changes }
    }

    /// The steps in order, as the passes run them.
    pub fn steps(&self) -> Vec<&Step> {
        fn collect<'a>(item: &'a Item, steps: &mut Vec<&'a Step>) {
            match item {
                Item::Nothing => {}
                Item::Point(step) => steps.push(step),
                Item::Affine(factors) => steps.extend(factors.iter().map(|factor| &factor.step)),
                Item::Scope { inside, .. } => inside.iter().for_each(|item| collect(item, steps)),
                Item::Mix { main, side, leave, .. } => {
                    main.iter().chain(side).chain(leave).for_each(|item| collect(item, steps));
                }
            }
        }
        let mut steps = Vec::new();
        self.passes.iter().flat_map(|pass| &pass.instructions).for_each(|i| collect(&i.item, &mut steps));
        steps
    }
}

impl fmt::Display for Plan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for change in &self.changes {
            writeln!(f, "{}: {}", change.name, change.count)?;
            change.what.iter().try_for_each(|what| writeln!(f, "  {what}"))?;
        }
        for (number, pass) in self.passes.iter().enumerate() {
            writeln!(f, "pass {number}: v{} -> v{}", pass.reads.0, pass.writes.0)?;
            for instruction in &pass.instructions {
                let side = instruction.side.map_or_else(String::new, |side| format!(" and v{}", side.0));
                writeln!(f, "  v{} = v{}{side}", instruction.to.0, instruction.from.0)?;
                write_item(f, "    ", &instruction.item)?;
            }
        }
        Ok(())
    }
}

fn write_item(f: &mut fmt::Formatter<'_>, indent: &str, item: &Item) -> fmt::Result {
    match item {
        Item::Nothing => writeln!(f, "{indent}as it is"),
        Item::Point(step) => writeln!(f, "{indent}{}", step.point.describe()),
        Item::Affine(factors) => {
            let name = |factor: &Factor| {
                let name = factor.step.point.describe();
                if factor.active { name } else { format!("{name} (not active)") }
            };
            let names: Vec<_> = factors.iter().map(name).collect();
            let what = if is_by_channel(factors) { "one gain and offset a channel" } else { "one matrix" };
            writeln!(f, "{indent}{what}: {}", names.join("; then "))
        }
        Item::Scope { domain, inside, active, .. } => {
            let place = match domain {
                // The operation names the signal that it reads.
                Domain::AsGiven => "a signal of its own",
                _ => domain.name(),
            };
            writeln!(f, "{indent}in {place}{}:", if *active { "" } else { ", not active" })?;
            let deeper = format!("{indent}  ");
            inside.iter().try_for_each(|item| write_item(f, &deeper, item))
        }
        Item::Mix { mix, domain, main, side, leave } => {
            writeln!(f, "{indent}in {domain}{}:", if mix.is_neutral() { ", not active" } else { "" })?;
            let deeper = format!("{indent}  ");
            main.iter().try_for_each(|item| write_item(f, &deeper, item))?;
            side.iter().try_for_each(|item| write_item(f, &format!("{indent}  side: "), item))?;
            writeln!(f, "{deeper}{}", mix.describe())?;
            leave.iter().try_for_each(|item| write_item(f, &deeper, item))
        }
    }
}
