//! A slide rule: one number on its scale, dragged, typed or moved by keys, never by scrolling past.

use egui::{Align2, EventFilter, FontId, Id, Key, Rect, Sense, Stroke, Ui, WidgetInfo, accesskit, pos2, vec2};
use ops::Unit;

use super::ticks::{snapped, step, ticks};
use crate::entry;
use crate::look::{BLACK, FILL, LABEL, LABEL_SIZE, LIGHT, LINE, TEXT, TEXT_SIZE};

/// The height of a rule.
pub const HEIGHT: f32 = WORDS + 20.0;
/// The height of the line of words above it.
const WORDS: f32 = 17.0;
/// A shift key makes a needle move so much finer.
pub const FINER: f64 = 10.0;

/// A number on a scale.
#[derive(Debug, Clone)]
pub struct Rule<'a> {
    /// What it is called, for those who see it and those who hear it.
    pub name: &'a str,
    /// What it counts.
    pub unit: Unit,
    /// The ends of the scale.
    pub range: [f64; 2],
    /// The least and the most that is taken.
    pub hard: Option<(f64, f64)>,
    /// Where the needle stands.
    pub value: f64,
    /// Where it stood without this shot's trim; a second mark where that is elsewhere.
    pub base: Option<f64>,
    /// Where it changes nothing.
    pub neutral: f64,
    /// Both ends, as what the picture does.
    pub ends: Option<(&'a str, &'a str)>,
    /// What it does.
    pub help: &'a str,
}

/// What was done to a rule.
#[derive(Debug, Clone, PartialEq)]
pub enum Moved {
    /// The needle is dragged and stands here.
    Dragged(f64),
    /// The pointer let go of it.
    LetGo,
    /// It was moved here by a key, once.
    Stepped(f64),
    /// Somebody wants to type.
    Typing,
}

/// What came of drawing a rule.
pub struct Drawn {
    /// What was done to it.
    pub moved: Option<Moved>,
    /// Whether it is the one that keys go to.
    pub focused: bool,
}

/// Draws a rule over the width that there is.
pub fn show(ui: &mut Ui, rule: &Rule<'_>) -> Drawn {
    let width = ui.available_width().max(120.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, HEIGHT), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::slider(true, rule.value, rule.name));
    let id = response.id;
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    let focused = response.has_focus();
    if focused {
        // Arrows move the needle and not the focus.
        let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
        entry::remember(ui, id);
    }
    let scale = scale_rect(rect);
    let moved = by_pointer(ui, rule, &response, scale, id)
        .or_else(|| by_reader(ui, rule, id))
        .or_else(|| if focused { by_key(ui, rule) } else { None });
    paint(ui, rule, rect, scale, focused || response.hovered());
    response.on_hover_text(rule.help);
    Drawn { moved, focused }
}

/// The part of a rule that the needle moves on.
fn scale_rect(rect: Rect) -> Rect {
    Rect::from_min_max(pos2(rect.left(), rect.top() + WORDS), rect.max)
}

/// The pointer moves the needle from where it stood by as far as it goes: a press alone moves nothing.
fn by_pointer(ui: &Ui, rule: &Rule<'_>, response: &egui::Response, scale: Rect, id: Id) -> Option<Moved> {
    if response.drag_started() {
        ui.data_mut(|data| data.insert_temp(id, rule.value));
    }
    if response.drag_stopped() {
        return Some(Moved::LetGo);
    }
    if !response.dragged() || response.drag_delta().x == 0.0 {
        return None;
    }
    let [low, high] = rule.range;
    let finer = if ui.input(|input| input.modifiers.shift) { FINER } else { 1.0 };
    let by = f64::from(response.drag_delta().x) * (high - low) / f64::from(scale.width().max(1.0)) / finer;
    let stood: f64 = ui.data(|data| data.get_temp(id)).unwrap_or(rule.value);
    let stands = within(rule, stood + by);
    // What is kept between two moves is not rounded, so that slow drags add up.
    ui.data_mut(|data| data.insert_temp(id, stands));
    Some(Moved::Dragged(within(rule, snapped(stands, grain(rule)))))
}

/// Whoever reads the window aloud may move the needle by a tick.
fn by_reader(ui: &Ui, rule: &Rule<'_>, id: Id) -> Option<Moved> {
    let count = |action| ui.input(|input| input.num_accesskit_action_requests(id, action)) as f64;
    let by = count(accesskit::Action::Increment) - count(accesskit::Action::Decrement);
    let to = rule.value + by * step(rule.unit, rule.range[0], rule.range[1]);
    (by != 0.0).then(|| Moved::Stepped(within(rule, snapped(to, grain(rule)))))
}

fn by_key(ui: &Ui, rule: &Rule<'_>) -> Option<Moved> {
    if ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, Key::Enter)) || entry::is_typed(ui) {
        return Some(Moved::Typing);
    }
    ui.input(|input| {
        let step = step(rule.unit, rule.range[0], rule.range[1]);
        let step = if input.modifiers.shift { step / FINER } else { step };
        let count = input.num_presses(Key::ArrowRight) as f64 - input.num_presses(Key::ArrowLeft) as f64;
        if count != 0.0 && !input.modifiers.alt {
            let to = snapped(rule.value + count * step, grain(rule));
            return Some(Moved::Stepped(within(rule, to)));
        }
        input.key_pressed(Key::Home).then_some(Moved::Stepped(rule.neutral))
    })
}

/// The finest step that a hand makes: a hundredth of a tick, so that numbers stay short.
fn grain(rule: &Rule<'_>) -> f64 {
    match rule.unit {
        // A third has no short number of its own.
        Unit::Stops => 1.0 / 300.0,
        unit => step(unit, rule.range[0], rule.range[1]) / 100.0,
    }
}

fn within(rule: &Rule<'_>, value: f64) -> f64 {
    let (low, high) = rule.hard.unwrap_or((f64::MIN, f64::MAX));
    let rounded = (value * 1e6).round() / 1e6 + 0.0;
    rounded.clamp(low, high)
}

/// The value with its unit, as it is read.
pub fn written(value: f64, unit: Unit) -> String {
    let places = match unit {
        Unit::Stops | Unit::Points | Unit::Percent | Unit::Nits => 2,
        Unit::Mired => 1,
        Unit::Duv | Unit::Code => 4,
        Unit::Factor | Unit::Share | Unit::None => 3,
    };
    let signed = matches!(unit, Unit::Stops | Unit::Points | Unit::Mired | Unit::Duv);
    let rounded = (value * 10f64.powi(places)).round() / 10f64.powi(places) + 0.0;
    let places = places as usize;
    let number = if signed { format!("{rounded:+.places$}") } else { format!("{rounded:.places$}") };
    format!("{number} {}", unit.symbol()).trim_end().to_string()
}

fn paint(ui: &Ui, rule: &Rule<'_>, rect: Rect, scale: Rect, lit: bool) {
    let painter = ui.painter();
    painter.rect_filled(scale, 0.0, if lit { FILL } else { BLACK });
    let font = FontId::proportional(LABEL_SIZE);
    let [low, high] = rule.range;
    let x = |value: f64| {
        let share = if high > low { ((value - low) / (high - low)) as f32 } else { 0.5 };
        scale.left() + share.clamp(0.0, 1.0) * scale.width()
    };
    for tick in ticks(rule.unit, low, high) {
        let height = if tick.figure.is_some() { 6.0 } else { 3.0 };
        let top = pos2(x(tick.at), scale.top());
        painter.line_segment(
            [top, top + vec2(0.0, height)],
            Stroke::new(1.0, if tick.figure.is_some() { LABEL } else { LINE }),
        );
        // The needle is not drawn through a figure.
        if let Some(figure) = tick.figure.filter(|_| (x(tick.at) - x(rule.value)).abs() > 14.0) {
            let at = x(tick.at);
            let align = match at {
                at if at < scale.left() + 12.0 => Align2::LEFT_BOTTOM,
                at if at > scale.right() - 12.0 => Align2::RIGHT_BOTTOM,
                _ => Align2::CENTER_BOTTOM,
            };
            painter.text(pos2(at, scale.bottom() - 1.0), align, figure, font.clone(), LABEL);
        }
    }
    if let Some(base) = rule.base.filter(|base| (base - rule.value).abs() > 1e-9) {
        let at = pos2(x(base), scale.top());
        painter.line_segment([at, at + vec2(0.0, scale.height())], Stroke::new(1.0, LABEL));
    }
    let needle = pos2(x(rule.value), scale.top() - 2.0);
    painter.line_segment([needle, needle + vec2(0.0, scale.height() + 2.0)], Stroke::new(2.0, LIGHT));
    // Beyond the ends of the scale the needle stays at the end and the figure tells.
    let line = rect.top() + WORDS * 0.5;
    let text = |at: f32, align, words: &str, size, ink| {
        painter.text(pos2(at, line), align, words, FontId::proportional(size), ink)
    };
    let value = written(rule.value, rule.unit);
    // A sign tells the way from nothing; on a scale without nothing in it there is no such way.
    let value = if low < 0.0 { &value } else { value.trim_start_matches('+') };
    let name = text(scale.center().x - 4.0, Align2::RIGHT_CENTER, rule.name, LABEL_SIZE, LABEL);
    let value = text(scale.center().x + 4.0, Align2::LEFT_CENTER, value, TEXT_SIZE, TEXT);
    if let Some((minus, plus)) = rule.ends {
        // The ends stand at the ends; where there is no room for them the help tells.
        let wide = |words: &str| painter.layout_no_wrap(words.to_string(), font.clone(), LABEL).size().x;
        if scale.left() + wide(minus) < name.left() - 4.0 && scale.right() - wide(plus) > value.right() + 4.0 {
            text(scale.left(), Align2::LEFT_CENTER, minus, LABEL_SIZE, LABEL);
            text(scale.right(), Align2::RIGHT_CENTER, plus, LABEL_SIZE, LABEL);
        }
    }
}
