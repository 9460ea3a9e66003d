//! The square trace: colour difference, or chromaticity.

use std::sync::Arc;

use colour::primaries;
use egui::{Align2, Painter, Pos2, Rect, Stroke, Ui, pos2, vec2};
use gpu::assemble::Trace;
use measure::scopes::{
    Axis, Chromaticity, SKIN_LINE_DEGREES, TARGET_REACH, Vectorscope, daylight, grid_shares, planckian, spectrum,
    targets, triangle,
};
use ops::Reference;

use super::{ground, ink, words};
use crate::look::{FILL, LABEL, LINE};
use crate::pictures::{Counted, Traces};
use crate::state::TileId;

/// Draws it on a place, its name over that.
pub fn show(ui: &Ui, at: TileId, place: Rect, traces: &Traces, counted: &Arc<Counted>) {
    let painter = ui.painter_at(place.expand2(vec2(1.0, 24.0)));
    ground(&painter, place);
    let (name, axis) = match &counted.trace {
        Trace::Vectorscope(scope) => {
            bars(&painter, place, scope);
            ("Cb, Cr", scope.across())
        }
        Trace::Chromaticity(scope) => {
            curves(&painter, place, scope, traces);
            ("u', v'", scope.across())
        }
        // Only these two are square.
        _ => return,
    };
    ink::paint(ui, ui.scope_id().with(("square", at)), (place, 1), counted, |size| {
        grid_shares(&counted.counts, axis.bins(), size, traces.region).into_iter().map(ink::light).collect()
    });
    words(&painter, pos2(place.left(), place.top() - 4.0), Align2::LEFT_BOTTOM, name);
}

/// Where a value of both axes lies on a place.
fn point(place: Rect, across: &Axis, up: &Axis, [x, y]: [f64; 2]) -> Pos2 {
    let share = |axis: &Axis, value: f64| (axis.position(value) / f64::from(axis.bins())) as f32;
    pos2(place.left() + share(across, x) * place.width(), place.bottom() - share(up, y) * place.height())
}

/// No colour, the boxes of bars of 75 %, the skin line.
fn bars(painter: &Painter, place: Rect, scope: &Vectorscope) {
    let at = |difference: [f64; 2]| point(place, scope.across(), scope.up(), difference);
    let middle = at([0.0, 0.0]);
    painter.hline(place.x_range(), middle.y, Stroke::new(1.0, FILL));
    painter.vline(middle.x, place.y_range(), Stroke::new(1.0, FILL));
    let (sin, cos) = SKIN_LINE_DEGREES.to_radians().sin_cos();
    painter.line_segment([middle, at([0.5 * cos, 0.5 * sin])], Stroke::new(1.0, LINE));
    for target in targets(&scope.matrix(), 0.75) {
        let [cb, cr] = target.difference;
        let corners = [at([cb - TARGET_REACH, cr + TARGET_REACH]), at([cb + TARGET_REACH, cr - TARGET_REACH])];
        let box_ = Rect::from_two_pos(corners[0], corners[1]);
        painter.rect_stroke(box_, 0.0, Stroke::new(1.0, LABEL), egui::StrokeKind::Middle);
        let length = cb.hypot(cr).max(f64::EPSILON);
        let letter = target.name.get(..1).unwrap_or_default().to_uppercase();
        words(painter, at([cb - cb / length * 0.09, cr - cr / length * 0.09]), Align2::CENTER_CENTER, &letter);
    }
}

/// All colours, those that the display has, black bodies and daylight, its white.
fn curves(painter: &Painter, place: Rect, scope: &Chromaticity, traces: &Traces) {
    let diagram = scope.diagram();
    let at = |xy: [f64; 2]| point(place, scope.across(), scope.up(), xy);
    let curve = |points: Vec<[f64; 2]>, colour| {
        painter.line(points.into_iter().map(at).collect(), Stroke::new(1.0, colour));
    };
    let signal = traces.signal.signal();
    let space = match signal.reference {
        Reference::Display { .. } => signal.primaries.clone(),
        Reference::Scene => primaries::BT709,
    };
    curve(spectrum(diagram), LINE);
    curve(triangle(diagram, &space), LABEL);
    curve(planckian(diagram), LINE);
    curve(daylight(diagram), LINE);
    let white = at(diagram.point(primaries::D65));
    for arm in [vec2(1.0, 0.0), vec2(-1.0, 0.0), vec2(0.0, 1.0), vec2(0.0, -1.0)] {
        painter.line_segment([white + arm * 4.0, white + arm * 8.0], Stroke::new(1.0, LABEL));
    }
}
