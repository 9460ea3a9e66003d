//! The settings of an operation as scales, each control from the registry's own description.

mod named;
mod rule;
mod ticks;
mod white;

use egui::Ui;
use graph::{Document, Kit};
use ops::{Control, Field, Op, Trim, Unit};

use crate::entry;
use crate::look::GAP;
use crate::numbers::{self, Change};
use crate::state::{Action, Touched};

pub use rule::{Moved, Rule, written};
pub use ticks::{Tick, ticks};

/// The least width of a rule; as many stand side by side as there is room for, three at most.
const NARROWEST: f32 = 300.0;

/// Whose numbers the scales show and set.
#[derive(Debug, Clone, Copy)]
pub struct Whose<'a> {
    /// The document as it is shown.
    pub document: &'a Document,
    /// The document as it is kept: what edits go to.
    pub kept: &'a Document,
    /// The kit as the shot has it in what is shown.
    pub kit: &'a Kit,
    /// The shot; none where the kit's own numbers are meant.
    pub shot: Option<&'a str>,
    /// The scale that typed entries go to.
    pub touched: Option<&'a Touched>,
    /// The shot's light as its grey cards show it: mired and Duv.
    pub measured: Option<[f64; 2]>,
}

impl Whose<'_> {
    fn shots(&self) -> Vec<String> {
        self.shot.map(str::to_string).into_iter().collect()
    }

    /// The shot's own trim of a setting.
    fn trim(&self, op: &Op, touched: &Touched) -> Option<Trim> {
        let shot = self.document.shots.get(self.shot?)?;
        let trim = shot.layer.number(&touched.member, &touched.field)?.trim.as_deref()?;
        op.sum_of_trims(&touched.field, &[trim]).ok()?
    }

    /// Gives typed entries to a scale that has the keys.
    fn touch(&self, touched: &Touched, actions: &mut Vec<Action>) {
        if self.touched != Some(touched) {
            actions.push(Action::Touch(touched.clone()));
        }
    }
}

/// One control of a member, as it takes its place.
enum Part {
    Map,
    Mired,
    Duv,
    Number(Option<usize>),
}

/// Draws the scales of a kit member: rules side by side, below them what has a name and no scale.
pub fn show(ui: &mut Ui, member: &str, whose: Whose<'_>, actions: &mut Vec<Action>) {
    let Some(op) = whose.kit.get(member) else { return };
    let mut parts: Vec<(&Field, Part)> = Vec::new();
    let mut named: Vec<&Field> = Vec::new();
    let first_white = op.fields().iter().position(|field| field.control == Control::White);
    for (at, field) in op.fields().iter().enumerate() {
        let numbers = op.get(field.key).and_then(|value| numbers::numbers(&value));
        match (field.control, numbers.as_deref()) {
            (Control::White, _) if Some(at) == first_white && white::of(op, field).is_some() => {
                parts.extend([(field, Part::Map), (field, Part::Mired), (field, Part::Duv)]);
            }
            (Control::Scale, Some([_])) => parts.push((field, Part::Number(None))),
            (Control::Scale, Some([_, _, _])) => {
                parts.extend((0..3).map(|channel| (field, Part::Number(Some(channel)))));
            }
            _ => named.push(field),
        }
    }
    let width = ui.available_width();
    let columns = ((width / NARROWEST) as usize).clamp(1, 3);
    ui.spacing_mut().item_spacing.x = 4.0 * GAP;
    if !parts.is_empty() {
        ui.columns(columns, |columns| {
            for (field, part) in parts {
                // The next one stands in the shortest column, the leftmost of them.
                let height = |ui: &Ui| ui.cursor().top();
                let Some(shortest) = columns.iter().map(height).min_by(f32::total_cmp) else { return };
                let Some(ui) = columns.iter_mut().find(|ui| height(ui) <= shortest + 0.5) else { return };
                let channel = if let Part::Number(channel) = part { channel } else { None };
                let touched = Touched { member: member.to_string(), field: field.key.to_string(), channel };
                match part {
                    Part::Map => white::map(ui, op, field, &touched, whose, actions),
                    Part::Mired => white::rule(ui, op, field, white::Axis::Mired, &touched, whose, actions),
                    Part::Duv => white::rule(ui, op, field, white::Axis::Duv, &touched, whose, actions),
                    Part::Number(_) => number(ui, op, field, &touched, whose, actions),
                }
            }
        });
    }
    ui.spacing_mut().item_spacing.x = GAP;
    ui.horizontal_wrapped(|ui| {
        for field in named {
            let touched = Touched { member: member.to_string(), field: field.key.to_string(), channel: None };
            named::show(ui, op, field, &touched, whose, actions);
            ui.add_space(2.0 * GAP);
        }
    });
}

/// A number, or one of three, on its rule.
fn number(ui: &mut Ui, op: &Op, field: &Field, touched: &Touched, whose: Whose<'_>, actions: &mut Vec<Action>) {
    let channel = touched.channel.unwrap_or(0);
    let at = |text: &str| {
        let numbers = numbers::numbers(text).unwrap_or_default();
        numbers.get(channel).or(numbers.first()).copied()
    };
    let value = op.get(field.key).unwrap_or_default();
    let neutral = Op::named(op.id()).and_then(|op| at(&op.get(field.key)?)).unwrap_or(0.0);
    let stands = at(&value).unwrap_or(neutral);
    let base = whose.trim(op, touched).and_then(|trim| match trim {
        Trim::Numbers(numbers) => {
            let by = *numbers.get(channel).or(numbers.first())?;
            Some(if field.unit == Unit::Factor { stands / by } else { stands - by })
        }
        Trim::Light { .. } => None,
    });
    let title = match touched.channel {
        Some(channel) => format!("{} {}", field.key, ["red", "green", "blue"].get(channel).copied().unwrap_or("")),
        None => field.key.replace('_', " "),
    };
    let (low, high) = field.soft.or(field.hard).unwrap_or((-1.0, 1.0));
    let rule = Rule {
        name: &title,
        unit: field.unit,
        range: [low, high],
        hard: field.hard,
        value: stands,
        base,
        neutral,
        ends: field.ends,
        help: field.help,
    };
    let drawn = rule::show(ui, &rule);
    if drawn.focused {
        whose.touch(touched, actions);
    }
    let text = |to: f64| match touched.channel {
        Some(channel) => numbers::with_channel(op, field.key, &value, channel, to),
        None => to.to_string(),
    };
    done(ui, drawn.moved, touched, whose, actions, |to| Some(text(to)));
}

/// Makes edits of what was done to a rule, by the text of the setting with the needle at a place.
fn done(
    ui: &Ui,
    moved: Option<Moved>,
    touched: &Touched,
    whose: Whose<'_>,
    actions: &mut Vec<Action>,
    text: impl Fn(f64) -> Option<String>,
) {
    let mut to = |value: f64, tried: bool| {
        if let Some(text) = text(value) {
            change(whose, touched, &Change::Needle(text), tried, actions);
        }
    };
    match moved {
        Some(Moved::Dragged(value)) => to(value, true),
        Some(Moved::Stepped(value)) => to(value, false),
        Some(Moved::LetGo) => actions.push(Action::Keep),
        Some(Moved::Typing) => entry::take_keys(ui),
        None => {}
    }
}

fn change(whose: Whose<'_>, touched: &Touched, change: &Change, tried: bool, actions: &mut Vec<Action>) {
    match numbers::edit(whose.kept, &whose.shots(), touched, change) {
        Ok(edit) if tried => actions.push(Action::Try(edit)),
        Ok(edit) => actions.push(Action::Edit(edit)),
        Err(words) => actions.push(Action::Say(words)),
    }
}

#[cfg(test)]
mod tests;
