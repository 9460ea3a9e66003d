//! Where a number goes that a control or a typed entry says: which layer, base or trim.
//!
//! With a shot, what is said goes to that shot's own layer and leaves the other layers alone. A change *by* an amount, and a
//! needle that is dragged, move the shot's trim, so that a base that solving finds anew keeps it; a value that is typed as such
//! becomes the shot's base, digit for digit, unless wider layers trim it. Without a shot the kit itself is set.

use colour::locus::mired_from_kelvin;
use colour::white::White;
use graph::{Document, Edit, LayerAt};
use ops::{Control, Field, Op, Setting as _, Trim, Unit};

use crate::state::Touched;

/// What is said of one setting.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Moved by an amount, as trims are written.
    By(String),
    /// Moved to where a needle stands.
    Needle(String),
    /// Set to a value as typed.
    To(String),
}

/// The edit that does it, for some shots or, without any, for the kit.
///
/// # Errors
/// In words: no such setting, a value that it does not take.
pub fn edit(document: &Document, shots: &[String], touched: &Touched, change: &Change) -> Result<Edit, String> {
    let (member, field) = (&touched.member, &touched.field);
    let op = document.kit.get(member).ok_or_else(|| format!("'{member}' is not in the kit"))?;
    if shots.is_empty() {
        let value = match change {
            Change::To(value) | Change::Needle(value) => in_its_place(document, None, touched, op, value),
            Change::By(by) => {
                let mut op = op.clone();
                op.add_trims(field, &[by]).map_err(|error| error.to_string())?;
                op.get(field).unwrap_or_default()
            }
        };
        return Ok(Edit::Set { member: member.clone(), key: field.clone(), value });
    }
    let of_field = op.fields().iter().find(|own| own.key == field).ok_or_else(|| format!("{member} has no {field}"))?;
    let mut edits = Vec::with_capacity(shots.len());
    for shot in shots {
        edits.push(match change {
            Change::By(by) => nudge(shot, touched, by.clone()),
            Change::Needle(value) => {
                needle(document, shot, touched, of_field, &in_its_place(document, Some(shot), touched, op, value))?
            }
            Change::To(value) => {
                typed(document, shot, touched, of_field, &in_its_place(document, Some(shot), touched, op, value))?
            }
        });
    }
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Many(edits) })
}

/// What a shot makes of a setting, all layers together; the kit's without a shot.
pub fn value(document: &Document, shot: Option<&str>, frame: Option<i64>, touched: &Touched) -> Option<String> {
    document.resolve(shot, frame).ok()?.get(&touched.member)?.get(&touched.field)
}

/// All three numbers, where one is said of a scale that is one of three.
fn in_its_place(document: &Document, shot: Option<&str>, touched: &Touched, op: &Op, said: &str) -> String {
    match (touched.channel, numbers(said).as_deref()) {
        (Some(channel), Some([one])) => {
            let now = value(document, shot, None, touched).unwrap_or_default();
            with_channel(op, &touched.field, &now, channel, *one)
        }
        _ => said.to_string(),
    }
}

fn nudge(shot: &str, touched: &Touched, by: String) -> Edit {
    let (member, field) = (touched.member.clone(), touched.field.clone());
    Edit::Nudge { shots: vec![shot.to_string()], member, field, by }
}

fn needle(document: &Document, shot: &str, touched: &Touched, field: &Field, to: &str) -> Result<Edit, String> {
    let now = value(document, Some(shot), None, touched).unwrap_or_default();
    match between(field, &now, to) {
        Some(by) => Ok(nudge(shot, touched, by.print())),
        None => Ok(base(shot, touched, to)),
    }
}

fn typed(document: &Document, shot: &str, touched: &Touched, field: &Field, to: &str) -> Result<Edit, String> {
    let trimmed = document.shots.get(shot).is_some_and(|own| {
        let set_up = own.set_up.as_ref().and_then(|name| document.set_ups.get(name)).map(|set_up| &set_up.layer);
        let wider = [Some(&document.scene), set_up];
        wider
            .into_iter()
            .flatten()
            .any(|layer| layer.number(&touched.member, &touched.field).is_some_and(|number| number.trim.is_some()))
    });
    if trimmed { needle(document, shot, touched, field, to) } else { Ok(base(shot, touched, to)) }
}

/// The shot's base is this, and its trim is gone.
fn base(shot: &str, touched: &Touched, value: &str) -> Edit {
    let layer = LayerAt::Shot(shot.to_string());
    let (member, field) = (touched.member.clone(), touched.field.clone());
    Edit::Many(vec![
        Edit::SetTrim { layer: layer.clone(), member: member.clone(), field: field.clone(), value: None },
        Edit::SetBase { layer, member, field, value: Some(value.to_string()) },
    ])
}

/// What leads from one value of a setting to another; none where it takes no trims, or none leads there.
pub fn between(field: &Field, from: &str, to: &str) -> Option<Trim> {
    match field.control {
        Control::White => {
            let of = |text: &str| White::parse(text).ok()?.cct_duv().ok();
            let ((from, from_duv), (to, to_duv)) = (of(from)?, of(to)?);
            let mired = tidy(mired_from_kelvin(to) - mired_from_kelvin(from), 1e4);
            Some(Trim::Light { mired, duv: tidy(to_duv - from_duv, 1e7) })
        }
        Control::Scale => {
            let from = numbers(from)?;
            let to = numbers(to)?;
            if from.len() != to.len() {
                return None;
            }
            let step = |(from, to): (&f64, &f64)| match field.unit {
                Unit::Factor if *from == 0.0 => None,
                Unit::Factor => Some(to / from),
                _ => Some(tidy(to - from, 1e9)),
            };
            from.iter().zip(&to).map(step).collect::<Option<Vec<_>>>().map(Trim::Numbers)
        }
        Control::Choice | Control::Name => None,
    }
}

/// The numbers of a value as text; none where it is left to its default.
pub fn numbers(text: &str) -> Option<Vec<f64>> {
    let numbers: Option<Vec<f64>> = text.split(',').map(|part| part.trim().parse().ok()).collect();
    numbers.filter(|numbers| numbers.iter().all(|number: &f64| number.is_finite()))
}

/// The numbers of a field that has three of them, with one changed.
pub fn with_channel(op: &Op, field: &str, now: &str, channel: usize, value: f64) -> String {
    let mut numbers = numbers(now).unwrap_or_default();
    if numbers.len() == 1 && op.get(field).is_some_and(|own| own.contains(',')) {
        numbers = vec![numbers[0]; 3];
    }
    if let Some(place) = numbers.get_mut(channel) {
        *place = value;
    }
    numbers.iter().map(f64::print).collect::<Vec<_>>().join(",")
}

/// Rounded to so many parts of one: a needle leaves no tail of digits behind.
fn tidy(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts + 0.0
}

#[cfg(test)]
mod tests;
