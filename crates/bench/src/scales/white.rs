//! A white: the map of whites unrolled, mired across and Duv up, and both on rules of their own.
//!
//! On the map the Planckian locus is the level line at Duv 0, so that equal ways across are equal changes to the eye. The light that
//! the shot's grey cards show stands on it as a ring; how sure that is, is for solving to say.

use std::sync::OnceLock;

use colour::locus::{daylight, kelvin_from_mired, mired_from_kelvin, planckian};
use colour::white::White;
use egui::{Align2, EventFilter, FontId, Key, Pos2, Rect, Sense, Shape, Stroke, Ui, WidgetInfo, accesskit, pos2, vec2};
use ops::{Field, Op, Setting as _, Trim, Unit};

use super::rule::{self, FINER, Moved, Rule};
use super::{Whose, done};
use crate::entry;
use crate::look::{BLACK, FILL, LABEL, LABEL_SIZE, LIGHT, LINE, TEXT};
use crate::state::{Action, Touched};

/// What the map and the rules cover; 20 000 K to 1 800 K.
const MIRED: [f64; 2] = [50.0, 550.0];
const DUV: [f64; 2] = [-0.03, 0.03];
/// What a white may be moved to.
const MOST_MIRED: (f64, f64) = (25.0, 900.0);
const MOST_DUV: (f64, f64) = (-0.05, 0.05);
/// The height of the map: two rules.
const HEIGHT: f32 = 2.0 * rule::HEIGHT + 2.0;

/// What of a white a rule moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    Mired,
    Duv,
}

/// A field's white as mired and Duv; none where it has no colour temperature.
pub fn of(op: &Op, field: &Field) -> Option<[f64; 2]> {
    let (kelvin, duv) = White::parse(&op.get(field.key)?).ok()?.cct_duv().ok()?;
    Some([mired_from_kelvin(kelvin), duv])
}

/// Where nothing changes: the white that this one is brought to, else D65.
fn neutral(op: &Op) -> [f64; 2] {
    let to = op.get("to").and_then(|text| White::parse(&text).ok()).or_else(|| White::named("D65").ok());
    let found = to.and_then(|white| white.cct_duv().ok());
    found.map_or([mired_from_kelvin(6500.0), 0.0], |(kelvin, duv)| [mired_from_kelvin(kelvin), duv])
}

fn printed([mired, duv]: [f64; 2]) -> Option<String> {
    let (mired, duv) = (mired.clamp(MOST_MIRED.0, MOST_MIRED.1), duv.clamp(MOST_DUV.0, MOST_DUV.1));
    White::from_kelvin(kelvin_from_mired(mired), duv).ok().map(|white| white.print())
}

/// One number of a white on its rule.
pub fn rule(
    ui: &mut Ui,
    op: &Op,
    field: &Field,
    axis: Axis,
    touched: &Touched,
    whose: Whose<'_>,
    actions: &mut Vec<Action>,
) {
    let Some(white) = of(op, field) else { return };
    let trim = match whose.trim(op, touched) {
        Some(Trim::Light { mired, duv }) => [mired, duv],
        _ => [0.0; 2],
    };
    let (at, unit, range, hard, ends) = match axis {
        // The ends are those of rising kelvin, which mired falls with.
        Axis::Mired => (0, Unit::Mired, MIRED, MOST_MIRED, field.ends.map(|(low, high)| (high, low))),
        Axis::Duv => (1, Unit::Duv, DUV, MOST_DUV, Some(("greener", "more magenta"))),
    };
    let value = white[at];
    let title = match axis {
        Axis::Mired => format!("{} {:.0} K", field.key, kelvin_from_mired(white[0])),
        Axis::Duv => field.key.to_string(),
    };
    let rule = Rule {
        name: &title,
        unit,
        range,
        hard: Some(hard),
        value,
        base: Some(value - trim[at]),
        neutral: neutral(op)[at],
        ends,
        help: field.help,
    };
    let drawn = rule::show(ui, &rule);
    if drawn.focused {
        whose.touch(touched, actions);
    }
    done(ui, drawn.moved, touched, whose, actions, |to| {
        let mut moved = white;
        moved[at] = to;
        printed(moved)
    });
}

/// The map.
pub fn map(ui: &mut Ui, op: &Op, field: &Field, touched: &Touched, whose: Whose<'_>, actions: &mut Vec<Action>) {
    let Some(white) = of(op, field) else { return };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::click_and_drag());
    let id = response.id;
    // What is measured is the light of the scene, which is what comes first.
    let measured = whose.measured.filter(|_| field.key == "from");
    let said = |[mired, duv]: [f64; 2]| format!("{:.0} K, Duv {duv:+.4}", kelvin_from_mired(mired));
    let cards = measured.map_or_else(String::new, |light| format!("; grey cards show {}", said(light)));
    let name = format!("{} {}, on the map of whites{cards}", field.key, said(white));
    response.widget_info(|| WidgetInfo::labeled(accesskit::Role::Slider, true, &name));
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    let focused = response.has_focus();
    if focused {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
        entry::remember(ui, id);
        whose.touch(touched, actions);
    }
    paint(ui, rect, white, neutral(op), measured, focused || response.hovered());
    let finer = if ui.input(|input| input.modifiers.shift) { FINER } else { 1.0 };
    if response.drag_started() {
        ui.data_mut(|data| data.insert_temp(id, white));
    }
    let moved = if response.drag_stopped() {
        Some((Moved::LetGo, white))
    } else if response.dragged() && response.drag_delta() != egui::Vec2::ZERO {
        let stood: [f64; 2] = ui.data(|data| data.get_temp(id)).unwrap_or(white);
        let by = response.drag_delta();
        let share = [f64::from(by.x / rect.width()), -f64::from(by.y / rect.height())];
        let to = [stood[0] + share[0] * (MIRED[1] - MIRED[0]) / finer, stood[1] + share[1] * (DUV[1] - DUV[0]) / finer];
        ui.data_mut(|data| data.insert_temp(id, to));
        Some((Moved::Dragged(0.0), [(to[0] * 10.0).round() / 10.0, (to[1] * 1e4).round() / 1e4]))
    } else if focused {
        by_key(ui, white, neutral(op), finer)
    } else {
        None
    };
    if let Some((moved, to)) = moved {
        done(ui, Some(moved), touched, whose, actions, |_| printed(to));
    }
    response.on_hover_text(format!("{} Across: mired. Up: greener light{cards}.", field.help));
}

fn by_key(ui: &Ui, [mired, duv]: [f64; 2], neutral: [f64; 2], finer: f64) -> Option<(Moved, [f64; 2])> {
    if ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, Key::Enter)) || entry::is_typed(ui) {
        return Some((Moved::Typing, [mired, duv]));
    }
    let count = |key| ui.input(|input| input.num_presses(key)) as f64 / finer;
    let across = count(Key::ArrowRight) - count(Key::ArrowLeft);
    let up = count(Key::ArrowUp) - count(Key::ArrowDown);
    if ui.input(|input| input.key_pressed(Key::Home)) {
        return Some((Moved::Stepped(0.0), neutral));
    }
    (across != 0.0 || up != 0.0).then_some((Moved::Stepped(0.0), [mired + 5.0 * across, duv + 0.001 * up]))
}

/// Daylight on the map.
///
/// # Source
/// CIE 15:2018, the D series of illuminants.
fn daylight_curve() -> &'static [[f64; 2]] {
    static CURVE: OnceLock<Vec<[f64; 2]>> = OnceLock::new();
    CURVE.get_or_init(|| {
        let point = |kelvin: f64| {
            let (kelvin, duv) = White::from_xy(daylight(kelvin).ok()?).ok()?.cct_duv().ok()?;
            Some([mired_from_kelvin(kelvin), duv])
        };
        (0..=28).filter_map(|step| point(kelvin_from_mired(52.0 + 7.0 * f64::from(step)))).collect()
    })
}

/// The Planckian locus in u', v', as the small inset shows it.
fn locus_curve() -> &'static [[f64; 2]] {
    static CURVE: OnceLock<Vec<[f64; 2]>> = OnceLock::new();
    CURVE.get_or_init(|| {
        let point = |step: i32| Some(chart(planckian(kelvin_from_mired(40.0 + 20.0 * f64::from(step))).ok()?));
        (0..=30).filter_map(point).collect()
    })
}

/// CIE 1976 u', v'.
fn chart(xy: colour::Xy) -> [f64; 2] {
    let [u, v] = xy.to_uv1960();
    [u, 1.5 * v]
}

fn paint(ui: &Ui, rect: Rect, white: [f64; 2], neutral: [f64; 2], measured: Option<[f64; 2]>, lit: bool) {
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect_filled(rect, 0.0, BLACK);
    painter.rect_stroke(rect, 0.0, Stroke::new(1.0, if lit { LABEL } else { LINE }), egui::StrokeKind::Inside);
    let share = |value: f64, [low, high]: [f64; 2]| ((value - low) / (high - low)) as f32;
    let place = |[mired, duv]: [f64; 2]| {
        pos2(rect.left() + share(mired, MIRED) * rect.width(), rect.bottom() - share(duv, DUV) * rect.height())
    };
    let font = || FontId::proportional(LABEL_SIZE);
    let text = |at: Pos2, align, words: &str, ink| painter.text(at, align, words, font(), ink);
    // Colour temperatures that people know, in mired's own spacing.
    let mut free = rect.left();
    for kelvin in [15_000.0, 10_000.0, 8000.0, 6500.0, 5000.0, 4000.0, 3200.0, 2700.0, 2300.0, 2000.0] {
        let x = place([mired_from_kelvin(kelvin), 0.0]).x;
        painter.line_segment([pos2(x, rect.top()), pos2(x, rect.bottom())], Stroke::new(1.0, FILL));
        // Where lines stand closer than their figures are wide, the first one says it.
        if x >= free {
            let figure = text(pos2(x + 2.0, rect.bottom() - 1.0), Align2::LEFT_BOTTOM, &format!("{kelvin:.0}"), LABEL);
            free = figure.right() + 2.0;
        }
    }
    let level = place([MIRED[0], 0.0]).y;
    painter.line_segment([pos2(rect.left(), level), pos2(rect.right(), level)], Stroke::new(1.0, LABEL));
    let curve: Vec<Pos2> = daylight_curve().iter().map(|own| place(*own)).collect();
    if let Some(end) = curve.last() {
        text(*end + vec2(4.0, -1.0), Align2::LEFT_BOTTOM, "daylight", LABEL);
    }
    painter.extend(Shape::dashed_line(&curve, Stroke::new(1.0, LABEL), 4.0, 3.0));
    text(pos2(rect.left() + 4.0, rect.top() + 1.0), Align2::LEFT_TOP, "greener light", LABEL);
    text(pos2(rect.left() + 4.0, rect.bottom() - 14.0), Align2::LEFT_BOTTOM, "more magenta light", LABEL);
    // Where it is brought to, and where it stands.
    let target = place(neutral);
    painter.rect_stroke(
        Rect::from_center_size(target, vec2(7.0, 7.0)),
        0.0,
        Stroke::new(1.0, TEXT),
        egui::StrokeKind::Middle,
    );
    if let Some(light) = measured {
        let at = place(light).clamp(rect.min + vec2(6.0, 6.0), rect.max - vec2(6.0, 6.0));
        painter.circle_stroke(at, 5.0, Stroke::new(1.5, TEXT));
        text(at + vec2(8.0, 7.0), Align2::LEFT_TOP, "cards", TEXT);
    }
    let stands = place(white).clamp(rect.min + vec2(3.0, 3.0), rect.max - vec2(3.0, 3.0));
    painter.line_segment([target, stands], Stroke::new(1.0, LINE));
    let cross = Stroke::new(2.0, LIGHT);
    painter.line_segment([stands - vec2(6.0, 0.0), stands + vec2(6.0, 0.0)], cross);
    painter.line_segment([stands - vec2(0.0, 6.0), stands + vec2(0.0, 6.0)], cross);
    inset(&painter, rect, white);
}

/// The same on the chart that everybody knows: u', v'.
fn inset(painter: &egui::Painter, rect: Rect, [mired, duv]: [f64; 2]) {
    let side = (rect.height() * 0.55).min(56.0);
    let own = Rect::from_min_size(pos2(rect.right() - side - 3.0, rect.top() + 3.0), vec2(side, side));
    painter.rect_filled(own, 0.0, BLACK);
    painter.rect_stroke(own, 0.0, Stroke::new(1.0, LINE), egui::StrokeKind::Inside);
    let place = |[u, v]: [f64; 2]| {
        let share = [(u - 0.15) / 0.22, (v - 0.42) / 0.14].map(|share| share.clamp(0.0, 1.0) as f32);
        pos2(own.left() + share[0] * own.width(), own.bottom() - share[1] * own.height())
    };
    let curve: Vec<Pos2> = locus_curve().iter().map(|own| place(*own)).collect();
    painter.add(Shape::line(curve, Stroke::new(1.0, LABEL)));
    let xy = White::from_kelvin(kelvin_from_mired(mired), duv).and_then(|white| white.xy());
    if let Ok(xy) = xy {
        painter.rect_filled(Rect::from_center_size(place(chart(xy)), vec2(4.0, 4.0)), 0.0, LIGHT);
    }
    let corner = own.right_bottom() - vec2(2.0, 0.0);
    painter.text(corner, Align2::RIGHT_BOTTOM, "u'v'", FontId::proportional(LABEL_SIZE), LABEL);
}
