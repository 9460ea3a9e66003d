//! Counts the traces of a picture on the device, from the frame that is held there.

use std::sync::Arc;

use colour::{CodeRange, Transfer};
use gpu::assemble::{Edge, Trace, assemble_scopes};
use gpu::device::{AdapterChoice, Gpu, Held, Scopes};
use graph::Elaborated;
use measure::Tap as Signal;
use measure::scopes::{
    Axis, Chromaticity, Counts, DARKEST, Diagram, Histogram, Region, Vectorscope, Waveform, WaveformOf, nits_ticks,
};
use plan::Plan;
use session::Fault;

use crate::state::{Square, Wide};

/// Bins of levels; a trace is some 130 pixels high.
const BINS: u32 = 256;
/// Bins of codes: four codes a bin at 10 bits.
const COLUMNS: u32 = 660;
/// Bins of both axes of a square trace.
const SQUARE_BINS: u32 = 256;
/// Stops from mid grey that are counted: what cameras hold, and some of what corrections make of it.
const STOPS: [f64; 2] = [-10.0, 8.0];

/// What traces are counted from.
pub struct Countable {
    /// What leads from the original to the picture.
    pub elaborated: Arc<Elaborated>,
    /// The same, planned.
    pub plan: Arc<Plan>,
    /// The original on the device.
    pub held: Held,
    /// How it is stored.
    pub source: Edge,
    /// Its number.
    pub frame: i64,
}

/// One trace with what it counted.
#[derive(Debug, Clone)]
pub struct Counted {
    /// What is counted.
    pub trace: Trace,
    /// The counts.
    pub counts: Counts,
}

/// The traces of a picture.
#[derive(Debug, Clone)]
pub struct Traces {
    /// Which they are.
    pub kinds: (Wide, Square),
    /// The frame that they are of.
    pub frame: i64,
    /// What is counted.
    pub signal: Signal,
    /// The whole picture.
    pub region: Region,
    /// The wide one.
    pub wide: Arc<Counted>,
    /// The square one; none where the picture has no such trace.
    pub square: Option<Arc<Counted>>,
}

/// Counts the traces of a picture. The counters of before are used again where they fit.
pub fn count(
    gpu: &Arc<Gpu>,
    counters: &mut Option<Scopes>,
    from: &Countable,
    kinds: (Wide, Square),
) -> Result<Traces, Fault> {
    let size = from.held.size();
    let region = Region::whole(size).ok_or_else(|| Fault::failed("the picture has no pixels"))?;
    let signal = Signal::new(from.elaborated.result_signal.clone());
    let wide = wide(kinds.0, &signal, from, region);
    let square = square(kinds.1, &signal);
    let asked: Vec<Trace> = [Some(wide), square].into_iter().flatten().collect();
    let program = assemble_scopes(&from.plan, from.source, &signal, &asked, region)?;
    let scopes = match counters {
        Some(scopes) => {
            scopes.set(program);
            scopes
        }
        None => counters.insert(Scopes::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, None)),
    };
    scopes.send_held(&from.held)?;
    let mut counted = asked.into_iter().zip(scopes.read()?).map(|(trace, counts)| Arc::new(Counted { trace, counts }));
    let wide = counted.next().ok_or_else(|| Fault::failed("nothing was counted"))?;
    Ok(Traces { kinds, frame: from.frame, signal, region, wide, square: counted.next() })
}

fn wide(kind: Wide, signal: &Signal, from: &Countable, region: Region) -> Trace {
    let axis = levels(signal, from);
    let of_light = axis.is_of_light() || !signal.is_code() && !signal.signal().is_unknown();
    let luma = if of_light { signal.luminance_weights() } else { signal.y_cb_cr().weights };
    match kind {
        Wide::Waveform => Trace::Waveform(Waveform::new(WaveformOf::Luma(luma), axis, COLUMNS, region)),
        Wide::Together | Wide::Parade => Trace::Waveform(Waveform::new(WaveformOf::Channels, axis, COLUMNS, region)),
        Wide::Histogram => Trace::Histogram(Histogram { axis }),
    }
}

/// Levels as the numbers are: codes of an original, stops of light, nits of HDR, else percent of signal.
fn levels(signal: &Signal, from: &Countable) -> Axis {
    let layout = from.held.layout();
    let is_video = matches!(signal.signal().curve.transfer, Transfer::Pq | Transfer::Hlg);
    let is_original = from.elaborated.nodes.is_empty();
    if is_original && !layout.is_float() {
        Axis::codes(layout.bits(), from.elaborated.original_range, BINS)
    } else if from.elaborated.result_range == CodeRange::Legal {
        Axis::codes(10, CodeRange::Legal, BINS)
    } else if is_video && !signal.is_scene() {
        Axis::signal(-0.1, 1.1, BINS).labelled("nits", nits_ticks(signal))
    } else if signal.is_scene() && !signal.is_code() && !signal.signal().is_unknown() {
        Axis::stops(STOPS[0], STOPS[1], BINS)
    } else {
        Axis::signal(-0.1, 1.1, BINS)
    }
}

/// Colour difference is of code, chromaticity of known light: where a picture has neither, it has no square trace.
fn square(kind: Square, signal: &Signal) -> Option<Trace> {
    let is_unknown = signal.signal().is_unknown();
    match kind {
        Square::Vectorscope if is_unknown || signal.is_code() => {
            Some(Trace::Vectorscope(Vectorscope::of_signal(signal.y_cb_cr(), SQUARE_BINS)))
        }
        Square::Chromaticity if !is_unknown => {
            Some(Trace::Chromaticity(Chromaticity::new(Diagram::Uv1976, signal, DARKEST, SQUARE_BINS)))
        }
        _ => None,
    }
}
