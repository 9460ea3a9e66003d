//! What a chain means: typed work with every conversion in sight.

use std::fmt;

use colour::CodeRange;
use ops::{Domain, Mix, Operation as _, Pointwise as _, Rendered, Signal, Step};

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
        /// The domain entered; as-given where the operation names the signal that it reads.
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
    /// Two pictures into one: both are brought to one signal, mixed, and brought back to what the main one was.
    /// Where the share is zero, the main picture is returned with nothing evaluated.
    Mix {
        /// The operation.
        mix: Mix,
        /// Where it works.
        domain: Domain,
        /// Conversions of the main picture.
        enter: Vec<Step>,
        /// Conversions of the side picture.
        enter_side: Vec<Step>,
        /// Conversions back.
        leave: Vec<Step>,
    },
}

/// What an operation loses where it stands. It runs all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// The kit member.
    pub member: String,
    /// What is lost, and why.
    pub reason: String,
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.member, self.reason)
    }
}

/// How the numbers of a picture came to be what they are.
#[derive(Debug, Clone, PartialEq)]
pub enum Made {
    /// They are still the original's signal, corrected at most.
    AsOriginal,
    /// They were made a display's signal.
    Rendered(Rendered),
    /// They were made light or code of a scene.
    Scene,
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
    /// The picture that enters the second input of a mix.
    pub side: Option<Value>,
    /// What enters.
    pub takes: Signal,
    /// What leaves.
    pub gives: Signal,
    /// How that came to be what it is.
    pub made: Made,
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
    /// How it came to be that.
    pub made: Made,
    /// What operations lose where they stand.
    pub warnings: Vec<Warning>,
}

impl Elaborated {
    /// How the picture that leaves was brought to a display, in the words that files and reports say; none where it
    /// was not: it is a scene's, or the original's own signal.
    pub fn rendering(&self) -> Option<String> {
        match &self.made {
            Made::Rendered(rendered) => Some(rendered.to_string()),
            Made::AsOriginal | Made::Scene => None,
        }
    }

    /// As [`Elaborated::rendering`], for people: where there is none it says what the picture is instead.
    pub fn rendering_in_words(&self) -> String {
        self.rendering().unwrap_or_else(|| format!("none, it is {}", self.result_signal))
    }

    /// The same graph, led out at a picture inside it, as signal and not as codes of a range; none where there is no such
    /// picture. What comes after is left to the plan, which drops it.
    pub fn at(&self, value: Value) -> Option<Elaborated> {
        let (result_signal, made) = match value.0.checked_sub(1) {
            None => (self.original.clone(), Made::AsOriginal),
            Some(before) => self.nodes.get(before).map(|node| (node.gives.clone(), node.made.clone()))?,
        };
        let nodes = self.nodes.iter().take(value.0).cloned().collect();
        Some(Elaborated { nodes, result: value, result_signal, result_range: CodeRange::Full, made, ..self.clone() })
    }

    /// Whether every place works on what the one before it gives.
    fn is_linear(&self) -> bool {
        let follows = |(at, node): (usize, &Node)| node.input == Value(at) && node.side.is_none();
        self.nodes.iter().enumerate().all(follows)
    }
}

impl fmt::Display for Elaborated {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "original: {}{}", self.original, range_note(self.original_range))?;
        let linear = self.is_linear();
        for (at, node) in self.nodes.iter().enumerate() {
            // Where pictures fork, each says what it is made of.
            let made_of = match (linear, node.side) {
                (true, _) => String::new(),
                (false, None) => format!("picture {} = picture {} | ", at + 1, node.input.0),
                (false, Some(side)) => format!("picture {} = pictures {} and {} | ", at + 1, node.input.0, side.0),
            };
            write!(f, "{made_of}{}:", node.member)?;
            match &node.work {
                Work::Bypassed => writeln!(f, " bypassed")?,
                Work::Steps(steps) => {
                    writeln!(f)?;
                    write_steps(f, "  ", steps)?;
                }
                Work::Mix { mix, domain, enter, enter_side, leave } => {
                    writeln!(f, " in {domain}{}", if mix.is_neutral() { ", neutral" } else { "" })?;
                    write_steps(f, "  enter: ", enter)?;
                    write_steps(f, "  side:  ", enter_side)?;
                    writeln!(f, "    {}", mix.describe())?;
                    write_steps(f, "  leave: ", leave)?;
                }
                Work::Scope { domain, enter, steps, leave, neutral } => {
                    let place = match steps.first() {
                        // What names the signal that it reads enters no domain.
                        Some(step) if *domain == Domain::AsGiven => step.takes.to_string(),
                        _ => domain.to_string(),
                    };
                    writeln!(f, " in {place}{}", if *neutral { ", neutral" } else { "" })?;
                    write_steps(f, "  enter: ", enter)?;
                    write_steps(f, "    ", steps)?;
                    write_steps(f, "  leave: ", leave)?;
                }
            }
        }
        writeln!(f, "result: {}{}", self.result_signal, range_note(self.result_range))?;
        self.warnings.iter().try_for_each(|warning| writeln!(f, "warning: {warning}"))
    }
}

fn range_note(range: CodeRange) -> &'static str {
    match range {
        CodeRange::Full => "",
        CodeRange::Legal => ", legal range",
    }
}

fn write_steps(f: &mut fmt::Formatter<'_>, indent: &str, steps: &[Step]) -> fmt::Result {
    for step in steps {
        writeln!(f, "{indent}{} -> {}", step.point.describe(), step.gives)?;
        if let Some(what) = step.point.comes_to(&step.takes) {
            writeln!(f, "{indent}  {what}")?;
        }
    }
    Ok(())
}
