//! Elaboration: domains, encodings and settings resolved into typed work.

use std::collections::BTreeMap;

use colour::transfer::{Transfer, gamma};
use colour::{CodeRange, Encoding};
use ops::{Book, Context, Domain, InputTransform, Mix, Op, OpError, Operation, Reference, Signal, Step, conversion};
use petgraph::stable_graph::NodeIndex;

use crate::{Elaborated, Input, Kit, Made, Node, Place, Value, Warning, Wiring, WiringError, Work};

/// What is known of the frames or rows that enter.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "one value a shot, never in bulk")]
pub enum Original {
    /// Code values of a known encoding.
    Encoded(Encoding),
    /// Rows of numbers: linear scene light, unless an `input-transform` reads them as code.
    SceneRows,
    /// Frames that do not say what they are.
    Unknown,
}

/// Why a wiring has no meaning for a shot.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ElaborateError {
    /// The wiring itself.
    #[error(transparent)]
    Wiring(#[from] WiringError),
    /// A place names a member that the kit lacks.
    #[error("'{member}' is not in the kit")]
    NoMember {
        /// The missing member.
        member: String,
    },
    /// An operation's own objection.
    #[error(transparent)]
    Op(#[from] OpError),
    /// An operation needs to know what the frames hold.
    #[error(
        "{member}: the encoding of the original is not known; say it with `--input NAME`, or begin with `input-transform encoding=NAME`"
    )]
    Unknown {
        /// The first member that needs it.
        member: String,
    },
    /// A display domain before any output-transform.
    #[error("{member}: there is no display signal yet; put it after an output-transform, or choose another domain")]
    NoDisplay {
        /// The member.
        member: String,
    },
    /// A second picture led into an operation that has one input.
    #[error("{member}: only a mix has a second input; lead the siding into a mix")]
    SecondInput {
        /// The member.
        member: String,
    },
    /// Two pictures that are not of one kind.
    #[error("{member}: its main picture is {main}, its side picture {side}; bring both to one kind before it")]
    Unlike {
        /// The mix.
        member: String,
        /// What reaches its main input.
        main: String,
        /// What reaches its side input.
        side: String,
    },
    /// An operation that works in scene terms on a signal that left them.
    #[error("{member}: it works in {domain}, but what reaches it is {found}; {remedy}")]
    Unreachable {
        /// The member.
        member: String,
        /// Where it works.
        domain: &'static str,
        /// What reaches it.
        found: String,
        /// What to do.
        remedy: &'static str,
    },
    /// An operation that is told twice what it works on.
    #[error("{member}: from= says what it reads, and so does domain=; leave one of them out")]
    TwoInputs {
        /// The member.
        member: String,
    },
    /// An operation that reads one signal alone, where another one reaches it.
    #[error("{member}: it reads {wanted}, but what reaches it is {found}; {remedy}")]
    WrongInput {
        /// The member.
        member: String,
        /// What it reads.
        wanted: String,
        /// What reaches it.
        found: String,
        /// What to do.
        remedy: &'static str,
    },
}

/// Resolves a wiring over a kit for an original.
///
/// # Errors
/// Wirings without an order, members that are not there, settings that do not fit, operations that cannot
/// work where they stand; each by the member's name.
pub fn elaborate(
    wiring: &Wiring,
    kit: &Kit,
    original: &Original,
    range: Option<CodeRange>,
    book: &Book,
) -> Result<Elaborated, ElaborateError> {
    let order = wiring.in_order()?;
    let mut places = Vec::with_capacity(order.len());
    for &at in &order {
        let place = &wiring.graph()[at];
        let op = kit.get(&place.member).ok_or_else(|| ElaborateError::NoMember { member: place.member.clone() })?;
        places.push((at, place, op));
    }
    let reader = reader(&places, original);
    let camera = camera(reader, original, book)?;
    let start = match (&camera, original) {
        (Some(camera), _) => Signal::code(camera),
        (None, Original::SceneRows) => Signal::scene(),
        (None, _) => Signal::unknown(),
    };
    // Rows without an input-transform have no camera; there `camera` means ACEScct.
    let camera_signal = camera.as_ref().map_or_else(Signal::log, Signal::code);
    let walk = Walk {
        known: camera.is_some() || *original == Original::SceneRows,
        camera: camera.as_ref(),
        camera_signal,
        book,
    };

    let begin = Wire { value: Value(0), signal: start.clone(), display: None, made: Made::AsOriginal };
    let mut wires: BTreeMap<NodeIndex, Wire> = BTreeMap::new();
    let mut result = begin.clone();
    let mut nodes = Vec::with_capacity(places.len());
    let mut warnings: Vec<Warning> = read_otherwise(&places, reader, camera.as_ref(), original).into_iter().collect();
    for (index, &(at, place, op)) in places.iter().enumerate() {
        let wire = |input| wiring.feeds(at, input).and_then(|from| wires.get(&from)).unwrap_or(&begin);
        let main = wire(Input::Main);
        let value = Value(index + 1);
        let mut side = None;
        let (work, gives) = match op {
            Op::Mix(mix) if !place.bypass => {
                side = Some(wire(Input::Side).value);
                walk.mix(place, mix, main, wire(Input::Side))?
            }
            Op::Mix(_) => (Work::Bypassed, main.carry(value)),
            _ if wiring.feeds(at, Input::Side).is_some() => {
                return Err(ElaborateError::SecondInput { member: place.member.clone() });
            }
            _ => walk.place(place, op, main, value, &mut warnings)?,
        };
        let gives = Wire { value, ..gives };
        let node = Node {
            member: place.member.clone(),
            operation: op.id(),
            input: main.value,
            side,
            takes: main.signal.clone(),
            gives: gives.signal.clone(),
            made: gives.made.clone(),
            work,
        };
        nodes.push(node);
        wires.insert(at, gives.clone());
        result = gives;
    }

    let original_range = reader.and_then(Operation::range).or(range).unwrap_or(CodeRange::Full);
    let changer = places.iter().rev().find(|(_, place, op)| !place.bypass && changes_signal(op));
    let result_range = match changer {
        // Still the original's code, in the original's range.
        None => original_range,
        // The range of an input-transform is that of what it reads.
        Some((_, _, Op::InputTransform(_))) => CodeRange::Full,
        // A made signal is full unless told.
        Some((_, _, op)) => op.range().unwrap_or(CodeRange::Full),
    };
    Ok(Elaborated {
        original: start,
        original_range,
        nodes,
        result: result.value,
        result_signal: result.signal,
        result_range,
        made: result.made,
        warnings,
    })
}

/// Whether an operation changes what a signal is. All others give what they take.
pub(crate) fn changes_signal(op: &Op) -> bool {
    match op {
        Op::InputTransform(_) | Op::Encode(_) | Op::OutputTransform(_) => true,
        Op::Lut(lut) => lut.to.is_some(),
        _ => false,
    }
}

/// The input-transform that reads the original itself: the first one, if nothing before it makes another signal.
/// Rows are scene light unless the chain begins with it.
fn reader<'a>(places: &[(NodeIndex, &Place, &'a Op)], original: &Original) -> Option<&'a InputTransform> {
    let mut active = places.iter().filter(|(_, place, _)| !place.bypass).map(|&(_, _, op)| op);
    let first = match original {
        Original::SceneRows => active.next(),
        Original::Encoded(_) | Original::Unknown => active.find(|op| changes_signal(op)),
    };
    match first {
        Some(Op::InputTransform(input)) => Some(input),
        _ => None,
    }
}

/// The shot's encoding: as its input-transform says, and as known where that says nothing.
fn camera(
    reader: Option<&InputTransform>,
    original: &Original,
    book: &Book,
) -> Result<Option<Encoding>, ElaborateError> {
    let known = match original {
        Original::Encoded(encoding) => Some(encoding),
        Original::SceneRows | Original::Unknown => None,
    };
    match reader {
        Some(input) => Ok(Some(input.encoding(&Context { camera: known, display: None, book })?)),
        None => Ok(known.cloned()),
    }
}

/// A picture on its way: where it is, what its numbers are, the display signal last made of it, and what made it.
#[derive(Clone)]
struct Wire {
    value: Value,
    signal: Signal,
    display: Option<Signal>,
    made: Made,
}

impl Wire {
    /// The same kind of picture, elsewhere.
    fn carry(&self, value: Value) -> Self {
        Self { value, ..self.clone() }
    }
}

/// The word on an input-transform that reads the original as something else than it is said to be.
fn read_otherwise(
    places: &[(NodeIndex, &Place, &Op)],
    reader: Option<&InputTransform>,
    camera: Option<&Encoding>,
    original: &Original,
) -> Option<Warning> {
    let (Some(reader), Some(camera), Original::Encoded(said)) = (reader, camera, original) else { return None };
    let is_it = |op: &Op| matches!(op, Op::InputTransform(input) if std::ptr::eq(input, reader));
    let (_, place, _) = places.iter().find(|(_, _, op)| is_it(op))?;
    // Another exposure index or other primaries are told on purpose.
    (camera.name != said.name).then(|| Warning {
        member: place.member.clone(),
        reason: format!("it reads the original as {}, which is said to be {}", camera.name, said.name),
    })
}

/// What is the same for all places of a shot.
struct Walk<'a> {
    known: bool,
    camera: Option<&'a Encoding>,
    camera_signal: Signal,
    book: &'a Book,
}

impl Walk<'_> {
    fn place(
        &self,
        place: &Place,
        op: &Op,
        main: &Wire,
        value: Value,
        warnings: &mut Vec<Warning>,
    ) -> Result<(Work, Wire), ElaborateError> {
        if place.bypass {
            return Ok((Work::Bypassed, main.carry(value)));
        }
        let takes = &main.signal;
        let domain = place.domain.unwrap_or_else(|| op.home());
        let context = Context { camera: self.camera, display: main.display.as_ref(), book: self.book };
        let target = match op.reads(&context)? {
            Some(wanted) => self.own_target(place, wanted, takes)?,
            None => self.target(domain, main, &place.member).map_err(|error| without_domain(error, op))?,
        };
        if !self.known && op.uses_primaries() {
            return Err(ElaborateError::Unknown { member: place.member.clone() });
        }
        let signals = op.signals(&context, &target)?;
        if !same_code(&signals.needs, &target) {
            return Err(wrong_input(place, &signals.needs, &target));
        }
        if let Some(reason) = op.concern(&target).filter(|_| !op.is_neutral()) {
            warnings.push(Warning { member: place.member.clone(), reason });
        }
        let enter = by_scene(takes, &target);
        let steps = op.steps(&context, &signals);
        if changes_signal(op) {
            let display = match signals.gives.reference {
                Reference::Display { .. } => Some(signals.gives.clone()),
                Reference::Scene => main.display.clone(),
            };
            let steps = enter.into_iter().chain(steps).collect();
            let made = op.rendered(&signals.gives).map_or(Made::Scene, Made::Rendered);
            return Ok((Work::Steps(steps), Wire { value, signal: signals.gives, display, made }));
        }
        if enter.is_empty() {
            return Ok((Work::Steps(steps), main.carry(value)));
        }
        let leave = by_scene(&target, takes);
        let neutral = op.is_neutral() && !op.clamps();
        Ok((Work::Scope { domain, enter, steps, leave, neutral }, main.carry(value)))
    }

    /// Two pictures into one. The side picture is brought to what the main one is, or both to the domain told.
    fn mix(&self, place: &Place, mix: &Mix, main: &Wire, side: &Wire) -> Result<(Work, Wire), ElaborateError> {
        let domain = place.domain.unwrap_or(Mix::HOME);
        let target = self.target(domain, main, &place.member)?;
        let same = same_code(&side.signal, &target);
        if !same && (!self.known || !self.convertible(&target) || !self.convertible(&side.signal)) {
            let (main, side) = (target.to_string(), side.signal.to_string());
            return Err(ElaborateError::Unlike { member: place.member.clone(), main, side });
        }
        let enter_side = if same { Vec::new() } else { conversion(&side.signal, &target) };
        let enter = if domain == Domain::AsGiven { Vec::new() } else { conversion(&main.signal, &target) };
        let leave = if enter.is_empty() { Vec::new() } else { conversion(&target, &main.signal) };
        let work = Work::Mix { mix: mix.clone(), domain, enter, enter_side, leave };
        Ok((work, main.clone()))
    }

    /// Whether a signal turns into the shot's other scene signals without an operation that says so.
    fn convertible(&self, signal: &Signal) -> bool {
        let scene = [self.camera_signal.clone(), self.camera_signal.linear(), Signal::scene(), Signal::log()];
        scene.iter().any(|one| same_code(one, signal))
    }

    /// The signal of a domain at this place.
    fn target(&self, domain: Domain, main: &Wire, member: &str) -> Result<Signal, ElaborateError> {
        let takes = &main.signal;
        let target = match domain {
            Domain::AsGiven => return Ok(takes.clone()),
            Domain::Display => {
                let display =
                    main.display.clone().ok_or_else(|| ElaborateError::NoDisplay { member: member.to_string() })?;
                return if same_code(&display, takes) { Ok(display) } else { Err(unreachable(domain, takes, member)) };
            }
            _ if !self.known => return Err(ElaborateError::Unknown { member: member.to_string() }),
            Domain::Camera => self.camera_signal.clone(),
            Domain::CameraLinear => self.camera_signal.linear(),
            Domain::Scene => Signal::scene(),
            Domain::Log => Signal::log(),
        };
        if self.convertible(takes) { Ok(target) } else { Err(unreachable(domain, takes, member)) }
    }

    /// The signal of an operation that names the one it reads. Light of the scene becomes any scene encoding's code;
    /// how it would become a display's is the business of an output-transform.
    fn own_target(&self, place: &Place, wanted: Signal, takes: &Signal) -> Result<Signal, ElaborateError> {
        if place.domain.is_some() {
            return Err(ElaborateError::TwoInputs { member: place.member.clone() });
        }
        if same_code(&wanted, takes) {
            return Ok(takes.clone());
        }
        if takes.is_unknown() {
            return Err(ElaborateError::Unknown { member: place.member.clone() });
        }
        let remedy = match (wanted.reference, takes.reference) {
            (Reference::Scene, _) if self.convertible(takes) => return Ok(wanted),
            (Reference::Scene, _) => "put it earlier, or leave its from= out",
            (Reference::Display { .. }, Reference::Scene) => "put an output-transform to that display before it",
            (Reference::Display { .. }, Reference::Display { .. }) => {
                "name the display before it, or leave its from= out"
            }
        };
        let (wanted, found) = (wanted.to_string(), takes.to_string());
        Err(ElaborateError::WrongInput { member: place.member.clone(), wanted, found, remedy })
    }
}

/// The steps from one signal to another of the same light. Where neither has the primaries of scene light it is their
/// way, so that the white of each is adapted as its maker does.
fn by_scene(from: &Signal, to: &Signal) -> Vec<Step> {
    let scene = Signal::scene();
    if from.primaries == to.primaries || [from, to].iter().any(|signal| signal.primaries == scene.primaries) {
        return conversion(from, to);
    }
    conversion(from, &scene).into_iter().chain(conversion(&scene, to)).collect()
}

fn wrong_input(place: &Place, needs: &Signal, given: &Signal) -> ElaborateError {
    let remedy = match place.domain {
        Some(_) => "leave its domain= out",
        None => "put it first or take it out",
    };
    ElaborateError::WrongInput {
        member: place.member.clone(),
        wanted: needs.to_string(),
        found: given.to_string(),
        remedy,
    }
}

fn unreachable(domain: Domain, takes: &Signal, member: &str) -> ElaborateError {
    let remedy = match takes.reference {
        Reference::Display { .. } => "put it earlier, or say domain=display",
        Reference::Scene => "put it earlier, or say domain=as-given",
    };
    ElaborateError::Unreachable { member: member.to_string(), domain: domain.name(), found: takes.to_string(), remedy }
}

/// What changes a signal works at home alone: another domain is no remedy for it.
fn without_domain(error: ElaborateError, op: &Op) -> ElaborateError {
    match error {
        ElaborateError::Unreachable { member, domain, found, .. } if changes_signal(op) => {
            ElaborateError::Unreachable { member, domain, found, remedy: "put it earlier or take it out" }
        }
        other => other,
    }
}

/// Whether two signals have the same numbers for the same light.
fn same_code(a: &Signal, b: &Signal) -> bool {
    a.primaries == b.primaries && (a.curve == b.curve || power(a).is_some_and(|exponent| power(b) == Some(exponent)))
}

/// The exponent of a curve that is a pure power, as BT.1886 is where its black has no light.
fn power(signal: &Signal) -> Option<f64> {
    match signal.curve.transfer {
        Transfer::Gamma { exponent } => Some(exponent),
        Transfer::Bt1886 { black_nits: 0.0, .. } => Some(gamma::BT1886_EXPONENT),
        _ => None,
    }
}
