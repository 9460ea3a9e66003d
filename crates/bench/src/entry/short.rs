//! The short forms of the entry line.
//!
//! | typed | said |
//! |---|---|
//! | `+1/3` `-.5` | by so much, in the scale's own unit |
//! | `-12m` `+.002d` | a white by mired, by Duv; both may stand together |
//! | `r+2 g-1 all+4` | the numbers of single channels |
//! | `=3200K` `=0.5` `=1,0.9,1` | to this value |
//! | `*` before any of them | for all chosen shots |

use graph::Document;
use ops::{Control, Field, Op, Unit};

use crate::numbers::{Change, numbers};
use crate::state::Touched;

/// What a line says: settings and what becomes of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Whether all chosen shots are meant.
    pub all_shots: bool,
    /// Each setting with its change.
    pub changes: Vec<(Touched, Change)>,
}

/// Reads a line that goes to a scale. None where nothing is typed yet.
///
/// # Errors
/// In words, what would be taken.
pub fn read(text: &str, touched: &Touched, document: &Document) -> Result<Option<Said>, String> {
    let text = text.trim();
    let (all_shots, text) = text.strip_prefix('*').map_or((false, text), |rest| (true, rest.trim_start()));
    if text.is_empty() {
        return Ok(None);
    }
    let op = document.kit.get(&touched.member).ok_or("touch a scale first: a press on it, or Tab to it")?;
    let field =
        op.fields().iter().find(|field| field.key == touched.field).ok_or("this scale is gone; touch another")?;
    let changes = match text.strip_prefix('=') {
        Some(value) => vec![(touched.clone(), Change::To(valued(value.trim(), field)?))],
        None if field.control == Control::White => vec![(touched.clone(), Change::By(text.to_string()))],
        None if matches!(field.control, Control::Choice | Control::Name) => {
            return Err(format!("{} takes a name: =NAME", field.key));
        }
        None => by_channels(text, touched, op, field)?,
    };
    Ok(Some(Said { all_shots, changes }))
}

/// A value with its fractions worked out.
fn valued(text: &str, field: &Field) -> Result<String, String> {
    if field.control != Control::Scale {
        return Ok(text.to_string());
    }
    let numbers: Result<Vec<f64>, String> = text.split(',').map(|part| number(part.trim())).collect();
    Ok(numbers?.iter().map(f64::to_string).collect::<Vec<_>>().join(","))
}

/// `+1/3`, or `r+2 g-1 all+4`.
fn by_channels(text: &str, touched: &Touched, op: &Op, field: &Field) -> Result<Vec<(Touched, Change)>, String> {
    let mut changes: Vec<(Touched, Change)> = Vec::new();
    for word in text.split_whitespace() {
        let letters = word.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(word.len());
        let (name, amount) = word.split_at(letters);
        if !name.is_empty() && !amount.starts_with(['+', '-']) {
            return Err(format!("'{word}': an amount with its sign is wanted behind {name}, as in {name}+2"));
        }
        let amount = number(amount)?;
        let (to, by) = if name.is_empty() {
            (touched.clone(), of_all(field, op, touched, amount))
        } else if let Some(own) = op.fields().iter().find(|own| own.key.starts_with(name) && own.unit == field.unit) {
            // A setting of its own, as the points of red have.
            (Touched { field: own.key.to_string(), ..touched.clone() }, amount.to_string())
        } else {
            (touched.clone(), of_channel(name, field, op, amount)?)
        };
        match changes.iter_mut().find(|(own, _)| *own == to) {
            Some((_, Change::By(old))) => *old = joined(old, &by, field.unit),
            _ => changes.push((to, Change::By(by))),
        }
    }
    Ok(changes)
}

/// How many numbers a setting has.
fn count(op: &Op, key: &str) -> usize {
    op.get(key).and_then(|text| numbers(&text)).map_or(1, |numbers| numbers.len())
}

fn of_all(field: &Field, op: &Op, touched: &Touched, amount: f64) -> String {
    match (touched.channel, count(op, field.key)) {
        (Some(channel), 3) => only(channel, amount, field.unit),
        _ => amount.to_string(),
    }
}

fn of_channel(name: &str, field: &Field, op: &Op, amount: f64) -> Result<String, String> {
    let channel = match name {
        "r" | "red" => 0,
        "g" | "green" => 1,
        "b" | "blue" => 2,
        "all" => return Ok(amount.to_string()),
        _ if field.unit == Unit::Points => return Err(format!("'{name}': points take r, g, b or all")),
        _ => return Err(format!("'{name}': r, g, b or all is wanted")),
    };
    if count(op, field.key) != 3 {
        return Err(format!("{} has one number, not one for each channel", field.key));
    }
    Ok(only(channel, amount, field.unit))
}

/// An amount for one channel, and for the others what changes nothing.
fn only(channel: usize, amount: f64, unit: Unit) -> String {
    let rest = neutral(unit);
    let of = |own: usize| if own == channel { amount } else { rest };
    [of(0), of(1), of(2)].map(|number| number.to_string()).join(",")
}

fn neutral(unit: Unit) -> f64 {
    if unit == Unit::Factor { 1.0 } else { 0.0 }
}

/// Two amounts of one setting, typed one after the other.
fn joined(old: &str, by: &str, unit: Unit) -> String {
    let wide = |text: &str| match numbers(text).unwrap_or_default()[..] {
        [one] => vec![one; 3],
        ref more => more.to_vec(),
    };
    let add = |(a, b): (&f64, &f64)| if unit == Unit::Factor { a * b } else { a + b };
    wide(old).iter().zip(&wide(by)).map(add).map(|number| number.to_string()).collect::<Vec<_>>().join(",")
}

/// A number, or a fraction such as `1/3` or `-2/3`.
fn number(text: &str) -> Result<f64, String> {
    let wanted = || format!("'{text}': a number or a fraction is wanted, as in +1/3 or -0.25");
    let value = match text.split_once('/') {
        Some((above, below)) => {
            let (above, below): (f64, f64) =
                (above.parse().map_err(|_| wanted())?, below.parse().map_err(|_| wanted())?);
            above / below
        }
        None => text.parse().map_err(|_| wanted())?,
    };
    if value.is_finite() { Ok(value) } else { Err(wanted()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str, member: &str, field: &str) -> Result<Option<Said>, String> {
        let document = graph::chain::parse(
            "input-transform encoding=LogC3 | exposure | white-balance from=3200K | printer-points | cdl | output-transform",
        )
        .unwrap();
        let touched = Touched { member: member.to_string(), field: field.to_string(), channel: None };
        read(text, &touched, &document)
    }

    fn by(text: &str, member: &str, field: &str) -> Vec<(String, String)> {
        let changes = said(text, member, field).unwrap().unwrap().changes;
        changes
            .into_iter()
            .map(|(touched, change)| match change {
                Change::By(by) | Change::To(by) | Change::Needle(by) => (touched.field, by),
            })
            .collect()
    }

    fn pairs(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(a, b)| (a.to_string(), b.to_string())).collect()
    }

    #[test]
    fn amounts_go_to_the_touched_scale() {
        assert_eq!(by("+1/4", "exposure", "stops"), pairs(&[("stops", "0.25")]));
        assert_eq!(by("-.5", "exposure", "stops"), pairs(&[("stops", "-0.5")]));
        assert_eq!(by("-12m", "white-balance", "from"), pairs(&[("from", "-12m")]));
        assert_eq!(by("+.002d", "white-balance", "from"), pairs(&[("from", "+.002d")]));
        assert_eq!(by("=3200K", "white-balance", "from"), pairs(&[("from", "3200K")]));
        assert_eq!(by("=1/2", "exposure", "stops"), pairs(&[("stops", "0.5")]));
    }

    #[test]
    fn channels_are_named_by_their_letter() {
        let points = by("r+2 g-1 all+4", "printer-points", "red");
        assert_eq!(points, pairs(&[("red", "2"), ("green", "-1"), ("all", "4")]));
        assert_eq!(by("r+.1 b-.1", "cdl", "offset"), pairs(&[("offset", "0.1,0,-0.1")]));
        assert_eq!(by("+.1", "cdl", "offset"), pairs(&[("offset", "0.1")]));
    }

    #[test]
    fn a_star_means_all_chosen_shots() {
        assert!(said("*+1/3", "exposure", "stops").unwrap().unwrap().all_shots);
        assert!(!said("+1/3", "exposure", "stops").unwrap().unwrap().all_shots);
        assert_eq!(said(" * ", "exposure", "stops"), Ok(None));
    }

    #[test]
    fn what_cannot_be_meant_says_what_is_wanted() {
        for (text, member, field, want) in [
            ("+x", "exposure", "stops", "a number or a fraction"),
            ("+1/0", "exposure", "stops", "a number or a fraction"),
            ("q+2", "cdl", "offset", "r, g, b or all"),
            ("r2", "printer-points", "red", "with its sign"),
            ("sRGB", "output-transform", "display", "=NAME"),
        ] {
            let error = said(text, member, field).unwrap_err();
            assert!(error.contains(want), "{text}: {error}");
        }
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_read_or_refused_in_words(text in "[-+*=/ .,0-9a-zA-Z]{0,14}") {
            for (member, field) in
                [("exposure", "stops"), ("white-balance", "from"), ("printer-points", "red"), ("cdl", "offset")]
            {
                if let Err(words) = said(&text, member, field) {
                    proptest::prop_assert!(words.len() > 12, "{text}: {words}");
                }
            }
        }

        #[test]
        fn an_amount_is_read_as_it_is_written(tenths in -200i32..200, channel in 0usize..3) {
            let amount = f64::from(tenths) / 10.0;
            let found = by(&format!("{}{amount:+}", ["r", "g", "b"][channel]), "printer-points", "all");
            let key = ["red", "green", "blue"][channel];
            proptest::prop_assert_eq!(found, pairs(&[(key, amount.to_string().as_str())]));
        }

        #[test]
        fn a_fraction_is_what_it_comes_to(above in -9i32..10, below in 1i32..10) {
            let found = by(&format!("{above:+}/{below}"), "exposure", "stops");
            let value: f64 = found[0].1.parse().unwrap();
            proptest::prop_assert!((value - f64::from(above) / f64::from(below)).abs() < 1e-12);
        }
    }
}
