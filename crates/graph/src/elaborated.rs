//! What a chain means: typed work with every conversion in sight.

use std::fmt;

use colour::CodeRange;
use ops::{Domain, Pointwise as _, Signal, Step};

/// A picture inside an elaborated graph: 0 is the original, `n + 1` what node `n` gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Value(pub usize);

/// What happens at one place.
#[derive(Debug, Clone, PartialEq)]
pub enum Work {
    /// Nothing: the place is bypassed.
    Bypassed,
    /// Steps one after the other.
    Steps(Vec<Step>),
    /// Work in another domain: enter, operate, leave. Where its operation is neutral and does not
    /// clamp, the scope returns its input with the conversions unevaluated.
    Scope {
        /// The domain entered.
        domain: Domain,
        /// Conversions into it.
        enter: Vec<Step>,
        /// The operation.
        steps: Vec<Step>,
        /// Conversions back.
        leave: Vec<Step>,
        /// Whether the operation leaves the picture as it is.
        neutral: bool,
    },
}

/// One place of a candidate, resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// The kit member's name.
    pub member: String,
    /// The operation's stable name.
    pub operation: &'static str,
    /// The picture that enters.
    pub input: Value,
    /// What enters.
    pub takes: Signal,
    /// What leaves.
    pub gives: Signal,
    /// What is done.
    pub work: Work,
}

/// The only definition of what a chain means.
#[derive(Debug, Clone, PartialEq)]
pub struct Elaborated {
    /// The signal of the original.
    pub original: Signal,
    /// How the original's integer codes relate to its signal.
    pub original_range: CodeRange,
    /// Places in the order of work.
    pub nodes: Vec<Node>,
    /// The picture that leaves.
    pub result: Value,
    /// Its signal.
    pub result_signal: Signal,
    /// How integer codes written from it relate to its signal.
    pub result_range: CodeRange,
}

impl fmt::Display for Elaborated {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "original: {}{}", self.original, range_note(self.original_range))?;
        for node in &self.nodes {
            match &node.work {
                Work::Bypassed => writeln!(f, "{}: bypassed", node.member)?,
                Work::Steps(steps) => {
                    writeln!(f, "{}:", node.member)?;
                    write_steps(f, "  ", steps)?;
                }
                Work::Scope { domain, enter, steps, leave, neutral } => {
                    writeln!(f, "{}: in {domain}{}", node.member, if *neutral { ", neutral" } else { "" })?;
                    write_steps(f, "  enter: ", enter)?;
                    write_steps(f, "    ", steps)?;
                    write_steps(f, "  leave: ", leave)?;
                }
            }
        }
        writeln!(f, "result: {}{}", self.result_signal, range_note(self.result_range))
    }
}

fn range_note(range: CodeRange) -> &'static str {
    match range {
        CodeRange::Full => "",
        CodeRange::Legal => ", legal range",
    }
}

fn write_steps(f: &mut fmt::Formatter<'_>, indent: &str, steps: &[Step]) -> fmt::Result {
    steps.iter().try_for_each(|step| writeln!(f, "{indent}{} -> {}", step.point.describe(), step.gives))
}
