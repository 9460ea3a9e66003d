//! What every operation answers, and what every step on pixels answers.

use std::fmt;

use colour::{Affine, EncodingError, Matrix};
use serde::{Deserialize, Serialize};

use crate::change_primaries::ChangePrimaries;
use crate::code_to_light::CodeToLight;
use crate::light_to_code::LightToCode;
use crate::{Context, Derived, Point, Rendered, Settings, Shader, Signal};

/// A prepared evaluation of one pixel in f64: red, green, blue in and out.
pub type Eval = Box<dyn Fn([f64; 3]) -> [f64; 3] + Send + Sync>;

/// Where an operation works: what the numbers are while it touches them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Domain {
    /// The shot's own code values on its own primaries.
    Camera,
    /// Linear light on the camera's primaries, before the camera matrix.
    CameraLinear,
    /// Linear scene light on AP1.
    Scene,
    /// ACEScct.
    Log,
    /// The signal of the nearest output-transform upstream.
    Display,
    /// Whatever comes.
    AsGiven,
}

impl Domain {
    /// Every domain, in the order of the page.
    pub const ALL: [Domain; 6] =
        [Self::Camera, Self::CameraLinear, Self::Scene, Self::Log, Self::Display, Self::AsGiven];

    /// The name typed after `domain=`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Camera => "camera",
            Self::CameraLinear => "camera-linear",
            Self::Scene => "scene",
            Self::Log => "log",
            Self::Display => "display",
            Self::AsGiven => "as-given",
        }
    }

    /// Reads a name as typed after `domain=`.
    ///
    /// # Errors
    /// An unknown name; the message lists the domains.
    pub fn parse(text: &str) -> Result<Self, String> {
        Self::ALL.into_iter().find(|domain| domain.name() == text).ok_or_else(|| {
            let names: Vec<_> = Self::ALL.iter().map(|domain| domain.name()).collect();
            format!("'{text}' is no domain; there are {}", names.join(", "))
        })
    }
}

impl fmt::Display for Domain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// What an operation needs to be given and what it then gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Signals {
    /// The signal it works on.
    pub needs: Signal,
    /// The signal it leaves.
    pub gives: Signal,
}

/// Why an operation cannot stand where it was put.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OpError {
    /// No encoding is known for the shot.
    #[error(
        "{operation}: the shot's encoding is not known; name it in the encoding of {operation} (`{operation} encoding=NAME` in a chain), or with `--input NAME` on the command line"
    )]
    EncodingUnknown {
        /// The operation that needs it.
        operation: &'static str,
    },
    /// A name or exposure index that is no encoding.
    #[error("{operation}: {source}")]
    Encoding {
        /// The operation whose setting names it.
        operation: &'static str,
        /// What is wrong with the name.
        source: EncodingError,
    },
    /// A setting that makes no sense where it stands.
    #[error("{operation} {field}: {reason}")]
    Setting {
        /// The operation.
        operation: &'static str,
        /// The setting's key.
        field: &'static str,
        /// What is wrong and what to do.
        reason: String,
    },
}

/// What a kit holds: an operation with its settings.
pub trait Operation: Settings {
    /// The stable name, as typed in a chain and written in a project.
    const ID: &'static str;
    /// The maths of a released version never changes; new maths is a new version.
    const VERSION: u32;
    /// What it does to the picture, in one line.
    const SUMMARY: &'static str;
    /// Where it works unless told otherwise. `AsGiven` for those that change what a signal is.
    const HOME: Domain;

    /// What it needs and gives where `given` reaches it, already in the domain it works in. Most corrections take what
    /// comes and leave it what it is.
    ///
    /// # Errors
    /// Settings that do not fit this shot.
    fn signals(&self, context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        let _ = context;
        Ok(Signals { needs: given.clone(), gives: given.clone() })
    }

    /// The signal that it reads whatever reaches it, where its settings name one; elaboration converts to it, and no
    /// domain is entered.
    ///
    /// # Errors
    /// A name that means nothing.
    fn reads(&self, context: &Context<'_>) -> Result<Option<Signal>, OpError> {
        let _ = context;
        Ok(None)
    }

    /// The pointwise steps it consists of, once [`Operation::signals`] has accepted its settings.
    fn steps(&self, context: &Context<'_>, signals: &Signals) -> Vec<Step>;

    /// Whether its settings leave every picture bit for bit as it is. What changes the signal never does.
    fn is_neutral(&self) -> bool {
        false
    }

    /// Whether it may clip values even when its other settings are neutral.
    fn clamps(&self) -> bool {
        false
    }

    /// Where it works with these settings, unless told.
    fn home(&self) -> Domain {
        Self::HOME
    }

    /// What it loses where `given` reaches it, with the reason; it runs all the same. By default, what works
    /// on light by multiplication or subtraction has no meaning on code.
    fn concern(&self, given: &Signal) -> Option<String> {
        let on_light = matches!(Self::HOME, Domain::Scene | Domain::CameraLinear);
        if on_light { code_not_light(given) } else { None }
    }

    /// Whether its constants come from the primaries of what it is given, so that these must be known.
    fn uses_primaries(&self) -> bool {
        false
    }

    /// The operation of the same kind that undoes it, if there is one.
    fn inverse(&self) -> Option<Self>
    where
        Self: Sized,
    {
        None
    }

    /// What settings that were written for an older `version` of the maths start from, so that the picture stays, with
    /// what to tell the project's owner. None where this version makes no such picture.
    fn of_version(version: u32) -> Option<(Self, &'static str)>
    where
        Self: Sized,
    {
        let _ = version;
        None
    }

    /// What picture it made, where what it `gives` is a display's signal.
    fn rendered(&self, gives: &Signal) -> Option<Rendered> {
        let _ = gives;
        None
    }

    /// The range of integer codes that its file edge has, where the operation states one.
    fn range(&self) -> Option<colour::CodeRange> {
        None
    }
}

/// The concern of what works on light where code reaches it; none on light.
pub fn code_not_light(given: &Signal) -> Option<String> {
    (!given.curve.is_linear() && !given.is_unknown())
        .then(|| format!("it works on light, and {given} is code; what it does there has no meaning in its unit"))
}

/// What one step may be off by in f32, beyond rounding of its input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Budget {
    /// Units of 2^-24 of the largest output channel.
    pub ulps: f64,
    /// A floor in the output's own numbers, for results near zero.
    pub floor: f64,
}

/// What runs on pixels: every pixel alone, three channels in, three out.
pub trait Pointwise {
    /// What it does with its settings, as dumps print it.
    fn describe(&self) -> String;

    /// What its settings come to on `takes`, in words, where they do not say so themselves. None for most.
    fn comes_to(&self, takes: &Signal) -> Option<String> {
        let _ = takes;
        None
    }

    /// Where its WGSL is. Depends on the kind of curve, never on a number.
    fn shader(&self) -> Shader;

    /// The textbook formula in f64 from the settings. It may not call [`Pointwise::derive`].
    fn eval(&self, takes: &Signal) -> Eval;

    /// The GPU's constants, worked out on their own path.
    fn derive(&self, takes: &Signal) -> Derived;

    /// The step as one matrix, where it is one whatever its settings are.
    fn matrix(&self, takes: &Signal) -> Option<Matrix> {
        let _ = takes;
        None
    }

    /// The step as a matrix and an offset, where it is one whatever its settings are: it then merges with others.
    fn affine(&self, takes: &Signal) -> Option<Affine> {
        self.matrix(takes).map(Affine::linear)
    }

    /// Whether it works on each channel alone whatever its settings are. Asked only where it is affine.
    fn is_by_channel(&self) -> bool {
        false
    }

    /// What f32 may cost, with its reason beside it.
    fn budget(&self) -> Budget;

    /// How far the roundings inside the step, of its constants among them, can move the result at a pixel, where that
    /// is more than [`Pointwise::budget`] says: next to a pole. None for most.
    fn inner_rounding(&self, takes: &Signal) -> Option<Eval> {
        let _ = takes;
        None
    }

    /// Whether `next`, coming right after, undoes this step exactly.
    fn is_undone_by(&self, next: &Point) -> bool {
        let _ = next;
        false
    }
}

/// One step of an elaborated graph.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The work, with its settings.
    pub point: Point,
    /// What it is given.
    pub takes: Signal,
    /// What it leaves.
    pub gives: Signal,
}

/// The steps of an operation that is one step on pixels.
pub(crate) fn one_step(op: &(impl Clone + Into<Point>), signals: &Signals) -> Vec<Step> {
    vec![Step { point: op.clone().into(), takes: signals.needs.clone(), gives: signals.gives.clone() }]
}

/// The step from one set of primaries to another of the same linear light, or none where they are the same.
/// One of the two is AP1; the other one says how its white is adapted.
pub fn primaries_step(from: &Signal, to: &Signal) -> Option<Step> {
    let adaptation = if from.primaries == Signal::scene().primaries { to.adaptation } else { from.adaptation };
    let change = ChangePrimaries { from: from.primaries.clone(), to: to.primaries.clone(), adaptation };
    (from.primaries != to.primaries).then(|| Step { point: change.into(), takes: from.clone(), gives: to.clone() })
}

/// The steps from one signal to another of the same light: decode, change primaries, encode, as far as needed.
/// Elaboration inserts these; they use each published decoder and its exact inverse.
pub fn conversion(from: &Signal, to: &Signal) -> Vec<Step> {
    let mut steps = Vec::new();
    if from.primaries == to.primaries && from.curve == to.curve {
        return steps;
    }
    if !from.curve.is_linear() {
        steps.push(Step {
            point: CodeToLight::exact(from.curve.clone()).into(),
            takes: from.clone(),
            gives: from.linear(),
        });
    }
    steps.extend(primaries_step(&from.linear(), &to.linear()));
    if !to.curve.is_linear() {
        steps.push(Step { point: LightToCode::exact(to.curve.clone()).into(), takes: to.linear(), gives: to.clone() });
    }
    steps
}
