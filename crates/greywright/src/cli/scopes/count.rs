//! Which axes a tap's numbers are counted on, and the counts.

use std::sync::Arc;

use colour::{CodeRange, Transfer};
use gpu::assemble::{Edge, Trace, assemble_scopes};
use gpu::device::{AdapterChoice, Scopes};
use measure::scopes::{
    Axis, Chromaticity, Counts, DARKEST, Diagram, Histogram, Region, Vectorscope, Waveform, WaveformOf, count,
    count_codes, nits_ticks,
};
use plan::Plan;

use super::tapped::Sent;
use super::{Kind, Levels, Tapped};
use crate::cli::chain::file_range;
use crate::cli::engine;
use crate::cli::failure::Failure;

/// Bins of levels of signal and light: a bin a pixel.
pub const BINS: u32 = 512;
/// The most bins of codes: a bin a code up to 10 bits.
const CODE_BINS: u32 = 1024;
/// The most columns of a waveform: a column a pixel.
pub const COLUMNS: u32 = 660;
/// The most bins of a vectorscope's axes, up to 10 bits a bin a code.
const DIFFERENCE_BINS: u32 = 1301;
/// Bins of a chromaticity diagram.
const COORDINATE_BINS: u32 = 560;
/// Depth of codes where nothing says another one.
const USUAL_BITS: u32 = 10;
/// Stops from mid grey that are counted: what cameras hold, and some of what corrections make of it.
const STOPS: [f64; 2] = [-10.0, 8.0];

/// Levels with what belongs to them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Level {
    pub levels: Levels,
    pub bits: u32,
}

/// A scope with its counts.
pub struct Counted {
    pub trace: Trace,
    pub counts: Counts,
}

impl Counted {
    /// The axis across (none of a waveform, whose columns are the picture's, nor of a histogram) and the axis up.
    pub fn axes(&self) -> (Option<&Axis>, &Axis) {
        match &self.trace {
            Trace::Waveform(scope) => (None, scope.axis()),
            Trace::Vectorscope(scope) => (Some(scope.across()), scope.up()),
            Trace::Histogram(scope) => (None, &scope.axis),
            Trace::Chromaticity(scope) => (Some(scope.across()), scope.up()),
        }
    }
}

/// What levels are counted in: as asked, else as the numbers are.
pub fn levels(wanted: Option<Levels>, bits: Option<u32>, tapped: &Tapped) -> Result<Level, Failure> {
    let stored = tapped.codes.as_ref().map(|frame| frame.layout().bits());
    let tap = &tapped.tap;
    let is_video = matches!(tap.signal().curve.transfer, Transfer::Pq | Transfer::Hlg);
    let levels = wanted.unwrap_or_else(|| {
        if stored.is_some() || bits.is_some() || tapped.range == CodeRange::Legal {
            Levels::Code
        } else if tapped.is_unknown() {
            Levels::Percent
        } else if is_video && !tap.is_scene() {
            Levels::Nits
        } else if tap.is_scene() && !tap.is_code() {
            Levels::Stops
        } else {
            Levels::Percent
        }
    });
    let refuse = |why: &str| Err(Failure::usage(format!("--levels {why}")));
    match levels {
        Levels::Stops if tapped.is_unknown() => {
            refuse("stops: the encoding of the original is not known; say it with --input")
        }
        Levels::Stops if !tap.is_scene() => {
            refuse("stops: a display's signal has no stops; measure --at scene, or take percent or nits")
        }
        Levels::Nits if tap.is_scene() => {
            refuse("nits: a scene's light has no nits; measure --at display, or take stops, percent or code")
        }
        _ if bits.is_some() && levels != Levels::Code => {
            Err(Failure::usage("--bits goes with --levels code; leave one of them out"))
        }
        _ => Ok(Level { levels, bits: bits.or(stored).unwrap_or(USUAL_BITS).clamp(8, 16) }),
    }
}

/// Why a scope cannot be had at a tap, if it cannot.
pub fn objection(kind: Kind, tapped: &Tapped) -> Option<&'static str> {
    match kind {
        Kind::Chromaticity | Kind::ChromaticityXy if tapped.is_unknown() => {
            Some("the encoding of the original is not known; say it with --input")
        }
        Kind::Vectorscope if !tapped.is_unknown() && !tapped.tap.is_code() => {
            Some("colour difference is of code, and the numbers here are linear light; measure original or display")
        }
        _ => None,
    }
}

/// Counts each scope over the region; those that are two drawings of one count once.
pub fn all(
    kinds: &[Kind],
    tapped: &Tapped,
    region: Region,
    level: Level,
) -> Result<Vec<(Kind, Arc<Counted>)>, Failure> {
    let traces: Vec<Trace> = kinds.iter().map(|kind| trace(*kind, tapped, region, level)).collect();
    let mut distinct: Vec<Trace> = Vec::new();
    for trace in &traces {
        if !distinct.contains(trace) {
            distinct.push(trace.clone());
        }
    }
    let counts = match &tapped.sent {
        Some(sent) if !distinct.is_empty() => on_device(sent, tapped, &distinct, region)?,
        _ => here(tapped, &distinct, region)?,
    };
    let counted = distinct.into_iter().zip(counts).map(|(trace, counts)| Arc::new(Counted { trace, counts }));
    let counted: Vec<Arc<Counted>> = counted.collect();
    let of = |trace: &Trace| counted.iter().find(|counted| counted.trace == *trace).map(Arc::clone);
    Ok(kinds.iter().zip(&traces).filter_map(|(kind, trace)| Some((*kind, of(trace)?))).collect())
}

/// By kernels behind the chain's own, as a window counts.
fn on_device(sent: &Sent, tapped: &Tapped, traces: &[Trace], region: Region) -> Result<Vec<Counts>, Failure> {
    let Sent { gpu, frame, of_place } = sent;
    let source = Edge::Stored(frame.layout(), file_range(of_place.original_range));
    let program = assemble_scopes(&Plan::new(of_place, plan::Level::Full), source, &tapped.tap, traces, region)?;
    let mut scopes = Scopes::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, engine::tile()?);
    Ok(scopes.count(frame)?)
}

/// By the definitions themselves.
fn here(tapped: &Tapped, traces: &[Trace], region: Region) -> Result<Vec<Counts>, Failure> {
    let mut lights: Option<Vec<[f32; 4]>> = None;
    let mut one = |trace: &Trace| {
        let scope = trace.scope();
        let of_codes = tapped.codes.as_ref().filter(|frame| scope.code_bits() == Some(frame.layout().bits()));
        match of_codes {
            Some(frame) => count_codes(scope, frame, region, region),
            None if scope.of_light() => {
                let lights = lights.get_or_insert_with(|| tapped.tap.lights(&tapped.pixels));
                count(scope, lights, tapped.size, region, region)
            }
            None => count(scope, &tapped.pixels, tapped.size, region, region),
        }
    };
    traces.iter().map(|trace| one(trace).map_err(Failure::work)).collect()
}

fn trace(kind: Kind, tapped: &Tapped, region: Region, level: Level) -> Trace {
    let tap = &tapped.tap;
    let axis = level_axis(tapped, level);
    let of_light = axis.is_of_light() || !tap.is_code() && !tapped.is_unknown();
    let luma = if of_light { tap.luminance_weights() } else { tap.y_cb_cr().weights };
    let waveform = |of| Trace::Waveform(Waveform::new(of, level_axis(tapped, level), COLUMNS, region));
    match kind {
        Kind::Waveform => waveform(WaveformOf::Luma(luma)),
        Kind::WaveformRgb | Kind::Parade => waveform(WaveformOf::Channels),
        Kind::Histogram => Trace::Histogram(Histogram { axis }),
        Kind::Vectorscope => Trace::Vectorscope(match level.levels {
            Levels::Code => Vectorscope::of_codes(tap.y_cb_cr(), level.bits, tapped.range, DIFFERENCE_BINS),
            _ => Vectorscope::of_signal(tap.y_cb_cr(), BINS),
        }),
        Kind::Chromaticity => Trace::Chromaticity(Chromaticity::new(Diagram::Uv1976, tap, DARKEST, COORDINATE_BINS)),
        Kind::ChromaticityXy => Trace::Chromaticity(Chromaticity::new(Diagram::Xy1931, tap, DARKEST, COORDINATE_BINS)),
    }
}

fn level_axis(tapped: &Tapped, level: Level) -> Axis {
    match level.levels {
        Levels::Code => Axis::codes(level.bits, tapped.range, CODE_BINS),
        Levels::Percent => Axis::signal(-0.1, 1.1, BINS),
        Levels::Nits => Axis::signal(-0.1, 1.1, BINS).labelled("nits", nits_ticks(&tapped.tap)),
        Levels::Stops => Axis::stops(STOPS[0], STOPS[1], BINS),
    }
}
