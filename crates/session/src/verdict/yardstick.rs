//! What candidates are held against: the truth where it is known, and a full Bradford adaptation from the same grey.

use std::sync::Arc;

use frame::{Frame, Range};
use gpu::device::Gpu;
use graph::{Elaborated, Node, Value};
use measure::verdict::{Grey, Hues, Surface};

use super::evidence::{Evidence, inside};
use super::measured::Measured;
use super::shown::{FLOATS, Small, light_of_scene, onto, output_alone, render};
use super::{Gathered, Subject};
use crate::Fault;
use crate::chain::ChainSource;
use crate::written::signed;

/// The truth as the output transform of the first candidate shows it.
pub struct Truth {
    /// Its figures.
    pub row: Measured,
    /// That output transform.
    pub output: Elaborated,
}

/// The truth's picture through an output transform, at measuring size and with surfaces.
///
/// # Errors
/// What computes fails.
pub fn shown(
    output: &Elaborated,
    pixels: &[[f32; 4]],
    gathered: &Gathered,
    evidence: &Evidence,
    gpu: Option<&Arc<Gpu>>,
) -> Result<(Small, Vec<Surface>), Fault> {
    let frame = Frame::from_pixels(pixels, gathered.frame.size(), FLOATS, Range::Full);
    let shown = render(output, &frame, gpu)?;
    let surface =
        |(name, place): &(String, _)| Surface::of(name, &shown.tap, inside(&shown.pixels, shown.size, *place));
    Ok((shown.small(gathered.region), evidence.surfaces.iter().filter_map(surface).collect()))
}

/// The truth, if there is a picture of it.
///
/// # Errors
/// What computes fails.
pub fn truth(gathered: &Gathered, evidence: &Evidence, gpu: Option<&Arc<Gpu>>) -> Result<Option<Truth>, Fault> {
    let (Some(truth), Some(first)) = (&evidence.truth, gathered.subjects.first()) else { return Ok(None) };
    let Some(pixels) = &truth.picture else { return Ok(None) };
    let output = output_alone(&first.elaborated);
    let (small, surfaces) = shown(&output, pixels, gathered, evidence, gpu)?;
    let hues = Hues::of(small.measured());
    let row = Measured {
        name: "truth".to_string(),
        order: format!("{}, shown by the output transform of {}", truth.file, first.name),
        rendering: output.rendering_in_words(),
        surfaces,
        hues,
        ..Measured::nothing(small)
    };
    Ok(Some(Truth { row, output }))
}

/// Exposure and full Bradford from the grey, then the output transform of the first candidate.
///
/// # Errors
/// There is no candidate.
pub fn baseline(gathered: &Gathered, grey: &Grey) -> Result<Subject, Fault> {
    let none = || Fault::failed("there is no candidate");
    let first = &gathered.subjects.first().ok_or_else(none)?.elaborated;
    let (stops, white) = (-grey.stops_over(), grey.white());
    let text = format!("exposure stops={stops} | white-balance from={},{} to=D65 method=Bradford", white.x, white.y);
    let corrected = ChainSource { chain: Some(text), ..ChainSource::default() }.read(|_| {})?.for_rows()?;
    let start = Elaborated {
        original: first.original.clone(),
        original_range: first.original_range,
        result_signal: first.original.clone(),
        ..light_of_scene()
    };
    let start = onto(start, &corrected.original);
    let elaborated = joined(joined(start, &corrected), &output_alone(first));
    let order =
        format!("exposure {} stops, white-balance from x {:.4} y {:.4}, output", signed(stops, 2), white.x, white.y);
    Ok(Subject { name: "baseline".to_string(), order, elaborated })
}

/// One graph after another; the second is linear and begins with what the first gives.
fn joined(mut first: Elaborated, second: &Elaborated) -> Elaborated {
    let shift = first.result.0;
    let moved = second.nodes.iter().map(|node| Node { input: Value(node.input.0 + shift), ..node.clone() });
    first.nodes.extend(moved);
    Elaborated {
        result: Value(second.result.0 + shift),
        result_signal: second.result_signal.clone(),
        result_range: second.result_range,
        made: second.made.clone(),
        ..first
    }
}
