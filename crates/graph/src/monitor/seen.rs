//! A picture seen through a monitor.

use std::fmt;
use std::sync::Arc;

use colour::lut::{Interpolation, LutKind};
use colour::{Adaptation, Form, Lut, Primaries, Transfer, Xy, hlg_ootf};
use ops::{
    ChangePrimaries, ChannelGain, ChannelOffset, CodeToLight, HlgLight, LightToCode, LookUp, Pointwise as _, Reference,
    Signal, Step,
};

use super::{Monitor, MonitorWhite};
use crate::{Elaborated, Made};

/// Linear light outside a monitor's primaries by less than this is rounding.
const OUTSIDE: f64 = 1e-6;

/// Chromaticities nearer than this are one white: they are printed with four digits.
const SAME_WHITE: f64 = 5e-5;

/// Why a picture cannot be seen through a monitor.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MonitoredError {
    /// What leaves the chain is not made for a display.
    #[error(
        "what leaves the chain is {found}, and a monitor shows a display's picture; end it with an output-transform"
    )]
    NoDisplay {
        /// What it is.
        found: String,
    },
    /// The monitor's numbers are no monitor.
    #[error("{name}: {problem}")]
    Monitor {
        /// The monitor.
        name: String,
        /// What is wrong.
        problem: String,
    },
}

/// A picture seen through a monitor: what the chain gives, and the steps from there to the monitor's code.
///
/// It holds the picture and is none: see [the module](super).
#[derive(Debug, Clone, PartialEq)]
pub struct Monitored {
    picture: Elaborated,
    monitor: Monitor,
    steps: Vec<Step>,
    notes: Vec<String>,
}

impl Monitored {
    /// Lays a monitor over a picture.
    ///
    /// # Errors
    /// A picture that is not made for a display; a monitor that cannot be one.
    pub fn new(picture: Elaborated, monitor: Monitor) -> Result<Self, MonitoredError> {
        let given = &picture.result_signal;
        let Reference::Display { peak_nits, black_nits } = given.reference else {
            return Err(MonitoredError::NoDisplay { found: given.to_string() });
        };
        let shown = Shown::of(given, &monitor)?;
        let steps = steps(given, peak_nits, black_nits, &monitor, &shown)?;
        let notes = notes(&picture, peak_nits, black_nits, &monitor, &shown);
        Ok(Self { picture, monitor, steps, notes })
    }

    /// The picture as it is delivered.
    pub fn picture(&self) -> &Elaborated {
        &self.picture
    }

    /// The monitor.
    pub fn monitor(&self) -> &Monitor {
        &self.monitor
    }

    /// From the delivered signal to the monitor's code.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// What the monitor cannot show of the picture, and what it shows otherwise, in words.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }
}

/// What comes after the picture.
impl fmt::Display for Monitored {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "seen on {}: {}", self.monitor.name, self.monitor.signal())?;
        for step in &self.steps {
            writeln!(f, "  {} -> {}", step.point.describe(), step.gives)?;
        }
        self.notes.iter().try_for_each(|note| writeln!(f, "note: {note}"))
    }
}

/// How the colours of a picture come to lie on a monitor.
struct Shown {
    /// From the picture's primaries to the monitor's, which have the white that equal numbers then mean.
    change: ChangePrimaries,
    /// The monitor's channels at the picture's white of 1.
    white: [f64; 3],
}

impl Shown {
    fn of(given: &Signal, monitor: &Monitor) -> Result<Self, MonitoredError> {
        let (from, own) = (given.primaries.clone(), &monitor.primaries);
        let change = |to, adaptation| ChangePrimaries { from: from.clone(), to, adaptation };
        match monitor.white {
            MonitorWhite::Own => Ok(Self { change: change(own.clone(), Adaptation::Bradford), white: [1.0; 3] }),
            MonitorWhite::Kept => {
                let same = Primaries::new(own.name.clone(), own.red, own.green, own.blue, from.white);
                let to = same.map_err(|error| MonitoredError::Monitor {
                    name: monitor.name.clone(),
                    problem: format!("it cannot show the white of {given}: {error}"),
                })?;
                // The same primaries on two whites differ by a gain of each channel.
                let white = own.rgb_from_xyz().apply(from.white.to_xyz());
                Ok(Self { change: change(to, Adaptation::Bradford), white })
            }
        }
    }

    /// A colour of the picture's linear light in the monitor's.
    fn of_light(&self, rgb: [f64; 3]) -> [f64; 3] {
        let matrix = Primaries::rgb_from_rgb(&self.change.to, &self.change.from, self.change.adaptation);
        let moved = matrix.apply(rgb);
        std::array::from_fn(|channel| moved[channel] * self.white[channel])
    }
}

fn steps(
    given: &Signal,
    peak_nits: f64,
    black_nits: f64,
    monitor: &Monitor,
    shown: &Shown,
) -> Result<Vec<Step>, MonitoredError> {
    let (light, code) = (given.linear(), monitor.signal());
    let mut steps = Vec::new();
    let mut push = |point: ops::Point, takes: &Signal, gives: &Signal| {
        steps.push(Step { point, takes: takes.clone(), gives: gives.clone() });
    };
    if given.curve.transfer == Transfer::Hlg && black_nits > 0.0 {
        // Such a display lifts the signal before it makes light of it.
        let lift = hlg_ootf::black_lift(peak_nits, black_nits);
        let gain = 1.0 - lift;
        push(ChannelGain { red: gain, green: gain, blue: gain }.into(), given, given);
        push(ChannelOffset { red: lift, green: lift, blue: lift }.into(), given, given);
    }
    if !given.curve.is_linear() {
        push(CodeToLight::exact(given.curve.clone()).into(), given, &light);
    }
    if given.curve.transfer == Transfer::Hlg {
        push(HlgLight::shown(peak_nits).into(), &light, &light);
    }
    // Nits of the picture's linear 0, and from there to its linear 1.
    let (from_nits, span_nits) = match given.curve.transfer {
        Transfer::Bt1886 { .. } => (black_nits, peak_nits - black_nits),
        _ => (0.0, given.unit_nits()),
    };
    let (to_nits, to_span_nits) = monitor.light_of_linear();
    let moved = Signal { primaries: monitor.primaries.clone(), ..light.clone() };
    if shown.change.from != shown.change.to {
        push(shown.change.clone().into(), &light, &moved);
    }
    let linear = code.linear();
    let gain = shown.white.map(|white| white * span_nits / to_span_nits);
    let offset = shown.white.map(|white| (white * from_nits - to_nits) / to_span_nits);
    if gain != [1.0; 3] {
        let [red, green, blue] = gain;
        push(ChannelGain { red, green, blue }.into(), &moved, &linear);
    }
    if offset != [0.0; 3] {
        let [red, green, blue] = offset;
        push(ChannelOffset { red, green, blue }.into(), &moved, &linear);
    }
    push(LightToCode::exact(code.curve.clone()).into(), &linear, &code);
    // A table of two entries that are its own ends cuts off what is beyond them.
    let range = Lut::of(LutKind::OneD, 2, [lowest(monitor); 3], [highest(monitor); 3], |rgb| rgb)
        .map_err(|error| MonitoredError::Monitor { name: monitor.name.clone(), problem: error.to_string() })?;
    let clip = |name: &str, lut| LookUp { name: name.to_string(), lut, interpolation: Interpolation::Tetrahedral };
    push(clip("what it can show", Arc::new(range)).into(), &code, &code);
    if let Some((name, lut)) = &monitor.lut {
        if lut.low() != [0.0; 3] || lut.high() != [1.0; 3] {
            let problem = format!("its LUT {name} has a domain of its own; a monitor's code goes from 0 to 1");
            return Err(MonitoredError::Monitor { name: monitor.name.clone(), problem });
        }
        push(clip(name, Arc::clone(lut)).into(), &code, &code);
    }
    Ok(steps)
}

/// The monitor's code of its black.
fn lowest(monitor: &Monitor) -> f64 {
    let (zero_nits, span_nits) = monitor.light_of_linear();
    monitor.signal().curve.transfer.encode(Form::Exact, (monitor.black_nits - zero_nits) / span_nits)
}

/// The monitor's code of its peak.
fn highest(monitor: &Monitor) -> f64 {
    let (zero_nits, span_nits) = monitor.light_of_linear();
    monitor.signal().curve.transfer.encode(Form::Exact, (monitor.peak_nits - zero_nits) / span_nits)
}

fn notes(picture: &Elaborated, peak_nits: f64, black_nits: f64, monitor: &Monitor, shown: &Shown) -> Vec<String> {
    let mut notes = Vec::new();
    let given = &picture.result_signal;
    // The channel that ends first ends white.
    let reach_nits = monitor.peak_nits / shown.white.iter().copied().fold(0.0, f64::max);
    if peak_nits > reach_nits * (1.0 + OUTSIDE) {
        notes.push(format!("it shows {} of {peak_nits} nits; brighter light is clipped", short(reach_nits)));
    }
    if monitor.black_nits > black_nits {
        notes.push(format!(
            "its black is {} nits, that of the picture {black_nits}; what is darker is shown as its black",
            monitor.black_nits
        ));
    }
    // A picture that was kept within narrower primaries than its signal has holds no more than these.
    let within = match &picture.made {
        Made::Rendered(made) => made.within.as_deref().and_then(Primaries::named),
        Made::AsOriginal | Made::Scene => None,
    };
    let held = within.unwrap_or_else(|| given.primaries.clone());
    let to_given = Primaries::rgb_from_rgb(&given.primaries, &held, Adaptation::Bradford);
    let cut = |channel: usize| {
        let mut light = [0.0; 3];
        light[channel] = 1.0;
        shown.of_light(to_given.apply(light)).iter().any(|&value| value < -OUTSIDE)
    };
    let names = ["red", "green", "blue"];
    let beyond: Vec<_> = (0..3).filter(|&channel| cut(channel)).map(|channel| names[channel]).collect();
    if !beyond.is_empty() {
        notes.push(format!(
            "{} reaches further than its primaries in {}; such colours are clipped",
            held.name,
            beyond.join(" and ")
        ));
    }
    let (own, white) = (monitor.primaries.white, given.primaries.white);
    if (own.x - white.x).abs().max((own.y - white.y).abs()) > SAME_WHITE {
        let xy = |white: Xy| format!("{}, {}", white.x, white.y);
        notes.push(match monitor.white {
            MonitorWhite::Kept => format!("the picture's white, {}, is kept; its own is {}", xy(white), xy(own)),
            MonitorWhite::Own => {
                format!("colours are adapted from the picture's white, {}, to its own, {}", xy(white), xy(own))
            }
        });
    }
    notes
}

/// Four digits, as people read nits.
fn short(nits: f64) -> String {
    let places = (3 - nits.abs().max(1e-9).log10().floor() as i32).clamp(0, 9);
    let text = format!("{nits:.*}", usize::try_from(places).unwrap_or(0));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}
