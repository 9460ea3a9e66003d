//! Exposure views drawn on the device, as `measure::view` says in doubles.
//!
//! The whole plan runs in registers, since the pixel is classed with the original beside it, and is drawn, so that nothing is
//! written between. Over a picture, marks lie on its signal as it is. Level, ends, gamut and colours are settings: another one compiles nothing.

use measure::scopes::DARKEST;
use measure::view::{AT_END, BANDS, Kind, Level, OUTSIDE, View};
use ops::Derived;
use plan::{Pass, Plan};

use super::edge::pixel_of;
use super::layout::{self, HEAD, PLACE, Packed, Place};
use super::scopes::with_light;
use super::text::{body, slot_members, variable, whole};
use super::{AssembleError, Edge, PassProgram, Program, check};

/// Floats have no infinity that every compiler keeps.
const MOST: f64 = 3e38;

/// A view at the end of a plan whose result is what the view's tap says.
///
/// # Errors
/// A shader that is missing or does not hold; a plan without a pass.
pub fn assemble_view(plan: &Plan, source: Edge, view: &View, result: Edge) -> Result<Program, AssembleError> {
    let pass = &joined(plan)?;
    let (mut slots, mut tables) = (Vec::new(), Vec::new());
    let mut derive = |derived: Derived, _: usize| {
        let start = u32::try_from(tables.len()).unwrap_or(u32::MAX);
        tables.extend(derived.table.iter().map(|&entry| entry as f32));
        (derived.constants, start)
    };
    let (lit, light) = with_light(pass, view.tap());
    let body = body(&lit, &mut slots, &mut derive);
    let mut sources = body.sources([source.source_file(), result.result_file(), "passes/view.wgsl"])?;
    let members = format!("{HEAD}{PLACE}    @align(16) view: View,\n{}", slot_members(&slots));
    let (lines, signal, light) = (&body.lines, variable(pass.writes), variable(light));
    let pixel = pixel_of(result.group());
    let work = format!(
        "    let original = rgba.rgb;
{lines}    let at = view_place({pixel}, settings.width, settings.left, settings.top);
    rgba = vec4f(view_ink(settings.view, original, {signal}, {light}, at), 1.0);
"
    );
    sources.write("assembled", &whole(&members, &body.reads, &work, source, result));
    let (wgsl, lines) = sources.finish();
    check(&wgsl, &lines)?;
    let mut packed = layout::head(source, result.stored_from_signal());
    packed.bytes.extend_from_slice(&Place { width: u32::MAX, left: 0, top: 0, number: 0 }.bytes());
    pack(&mut packed, view);
    layout::members_of(&mut packed, &slots);
    if tables.is_empty() {
        tables.push(0.0);
    }
    let settings = packed.bytes;
    Ok(Program { passes: vec![PassProgram { wgsl, lines, settings, tables, source, result, placed: true }] })
}

/// All passes of a plan as one. Pictures are assigned once in a plan, so that each stays what it is.
fn joined(plan: &Plan) -> Result<Pass, AssembleError> {
    let [Some(first), Some(last)] = [plan.passes.first(), plan.passes.last()] else {
        return Err(AssembleError::NoPass);
    };
    let instructions = plan.passes.iter().flat_map(|pass| pass.instructions.iter().cloned()).collect();
    Ok(Pass { reads: first.reads, writes: last.writes, instructions })
}

/// The struct `View` of `passes/view.wgsl`.
fn pack(packed: &mut Packed, view: &View) {
    let (kind, from, to, near) = match *view.kind() {
        Kind::FalseColour => (0, 0.0, 0.0, 1.0),
        Kind::Zebra(Level::Luma(from, to)) => (1, from, to, 1.0),
        Kind::Zebra(Level::Stops(from, to)) => (2, from, to, 1.0),
        Kind::Warnings => (3, 0.0, 0.0, 1.0),
        Kind::BlackWhite { near } => (4, 0.0, 0.0, near),
    };
    packed.align(16);
    packed.whole(kind);
    packed.whole(u32::from(view.is_of_display()));
    let [low, high] = view.clip().ends();
    for value in [low, high, from, to, near, AT_END, OUTSIDE, DARKEST] {
        packed.float(value.clamp(-MOST, MOST));
    }
    for weights in [view.tap().y_cb_cr().weights, view.tap().luminance_weights()] {
        packed.align(16);
        weights.iter().for_each(|weight| packed.float(*weight));
    }
    // WGSL holds columns, each on 16 bytes.
    for column in 0..3 {
        packed.align(16);
        view.gamut().0.iter().for_each(|row| packed.float(row[column]));
    }
    for band in BANDS {
        packed.align(16);
        band.ink.iter().for_each(|code| packed.float(f64::from(*code) / 255.0));
    }
    packed.align(16);
}
