//! Arithmetic of settings in their unit: trims that are added on top, and values between two marked frames.
//!
//! | unit | a trim | between two marks |
//! |---|---|---|
//! | stops, points, mired, Duv, percent, signal, nits, shares | is added | linear |
//! | factors | multiplies; 1 leaves the setting | linear in the logarithm; linear where one is not above zero |
//! | whites | `+12m` mired and `-.002d` Duv are added to its colour temperature and Duv | two in kelvin: mired and Duv linear; others: CIE 1960 u, v linear |
//! | names and choices | none | the earlier mark holds until the next |
//!
//! # Source
//! Equal steps of mired look alike at every colour temperature; factors add in their logarithm: common practice, no
//! source. CIE 1960 u, v: the diagram that colour temperature and Duv are defined in (CIE 15:2018).

use std::fmt::Write as _;

use colour::Xy;
use colour::locus::{kelvin_from_mired, mired_from_kelvin};
use colour::white::White;

use crate::settings::{Control, read, within};
use crate::{Field, Setting, SettingError, Unit};

/// What a name or a choice answers to a trim.
pub(crate) const NO_TRIM: &str = "a name or a choice takes no trim; set it instead";

/// What is added to a setting.
#[derive(Debug, Clone, PartialEq)]
pub enum Trim {
    /// To one number, or to each of red, green and blue.
    Numbers(Vec<f64>),
    /// To a white.
    Light {
        /// Reciprocal megakelvin; plus is a lower colour temperature.
        mired: f64,
        /// Distance from the Planckian locus; plus is greener.
        duv: f64,
    },
}

impl Trim {
    /// Two trims of one setting as one.
    #[must_use]
    pub fn and(&self, other: &Self, unit: Unit) -> Self {
        match (self, other) {
            (Self::Light { mired, duv }, Self::Light { mired: more, duv: further }) => {
                Self::Light { mired: tidy_sum(*mired, *more), duv: tidy_sum(*duv, *further) }
            }
            (Self::Numbers(numbers), Self::Numbers(others)) => {
                Self::Numbers(numbers.iter().zip(others).map(|(&a, &b)| joined(a, b, unit)).collect())
            }
            // Trims of one setting are of one kind.
            _ => self.clone(),
        }
    }

    /// Whether it changes nothing.
    pub fn is_neutral(&self, unit: Unit) -> bool {
        let neutral = if unit == Unit::Factor { 1.0 } else { 0.0 };
        match self {
            Self::Numbers(numbers) => numbers.iter().all(|&number| number == neutral),
            Self::Light { mired, duv } => *mired == 0.0 && *duv == 0.0,
        }
    }

    /// As it is read.
    pub fn print(&self) -> String {
        match self {
            Self::Numbers(numbers) => match numbers.split_first() {
                Some((first, rest)) if rest.iter().all(|number| number == first) => first.print(),
                _ => numbers.iter().map(f64::print).collect::<Vec<_>>().join(","),
            },
            Self::Light { mired, duv } => {
                let mut text = String::new();
                if *mired != 0.0 || *duv == 0.0 {
                    let _ = write!(text, "{mired:+}m");
                }
                if *duv != 0.0 {
                    let _ = write!(text, "{duv:+}d");
                }
                text
            }
        }
    }
}

/// A sum or product of two amounts.
fn joined(a: f64, b: f64, unit: Unit) -> f64 {
    if unit == Unit::Factor { tidy(a * b, (a * b).abs()) } else { tidy_sum(a, b) }
}

/// Thirty nudges by a tenth are three: what binary fractions leave behind the twelfth digit is dropped.
fn tidy_sum(a: f64, b: f64) -> f64 {
    tidy(a + b, a.abs().max(b.abs()))
}

fn tidy(sum: f64, size: f64) -> f64 {
    let digits = 11.0 - size.log10().floor();
    if !(0.0..=300.0).contains(&digits) {
        return sum;
    }
    // Adding zero makes a plain zero of a negative one.
    format!("{sum:.*}", digits as usize).parse().map_or(sum, |sum: f64| sum + 0.0)
}

/// A number with its trim.
pub(crate) fn trimmed_number(number: f64, amount: f64, unit: Unit) -> f64 {
    if unit == Unit::Factor { number * amount } else { number + amount }
}

/// A white with its trim, as colour temperature and Duv.
pub(crate) fn trimmed_white(white: &White, mired: f64, duv: f64) -> Result<White, String> {
    let text = |error: &dyn std::fmt::Display| error.to_string();
    let (kelvin, from_locus) = white.cct_duv().map_err(|error| text(&error))?;
    White::from_kelvin(kelvin_from_mired(mired_from_kelvin(kelvin) + mired), from_locus + duv)
        .map_err(|error| text(&error))
}

/// Reads `+12m`, `-.002d` or both.
pub(crate) fn read_light(text: &str) -> Result<Trim, String> {
    let wanted = || "a trim of a white is mired, Duv or both: +12m, -.002d, +12m-.002d".to_string();
    let (mut mired, mut duv) = (None, None);
    let joined: String = text.split_whitespace().collect();
    let mut rest = joined.as_str();
    while !rest.is_empty() {
        let end = rest.find(|c: char| !matches!(c, '0'..='9' | '+' | '-' | '.' | 'e' | 'E')).ok_or_else(wanted)?;
        let (number, after) = rest.split_at(end);
        let end = after.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(after.len());
        let (letters, after) = after.split_at(end);
        let number = <f64 as Setting>::parse(number).map_err(|_| wanted())?;
        let part = match letters.to_ascii_lowercase().as_str() {
            "m" | "mired" => &mut mired,
            "d" | "duv" => &mut duv,
            _ => return Err(wanted()),
        };
        if part.replace(number).is_some() {
            return Err(wanted());
        }
        rest = after;
    }
    if mired.is_none() && duv.is_none() {
        return Err(wanted());
    }
    Ok(Trim::Light { mired: mired.unwrap_or(0.0), duv: duv.unwrap_or(0.0) })
}

/// A number between two.
pub(crate) fn number_between(before: f64, after: f64, share: f64, unit: Unit) -> f64 {
    if unit == Unit::Factor && before > 0.0 && after > 0.0 {
        before * (after / before).powf(share)
    } else {
        before + (after - before) * share
    }
}

/// A white between two.
pub(crate) fn white_between(before: &White, after: &White, share: f64) -> Result<White, String> {
    let between = |a: f64, b: f64| number_between(a, b, share, Unit::None);
    match (before, after) {
        _ if before == after => Ok(*before),
        (White::Kelvin { kelvin, duv }, White::Kelvin { kelvin: next, duv: further }) => {
            let mired = between(mired_from_kelvin(*kelvin), mired_from_kelvin(*next));
            White::from_kelvin(kelvin_from_mired(mired), between(*duv, *further)).map_err(|error| error.to_string())
        }
        _ => {
            let uv = |white: &White| white.xy().map(Xy::to_uv1960).map_err(|error| error.to_string());
            let (before, after) = (uv(before)?, uv(after)?);
            let uv = [between(before[0], after[0]), between(before[1], after[1])];
            White::from_xy(Xy::from_uv1960(uv)).map_err(|error| error.to_string())
        }
    }
}

/// Several trims of a field as one; nothing where they change nothing.
///
/// # Errors
/// A text that is no trim of this field.
pub fn joined_trims<T: Setting>(field: &Field, trims: &[&str]) -> Result<Option<Trim>, SettingError> {
    let mut all: Option<Trim> = None;
    for text in trims {
        let fault = |reason| SettingError::Trim { key: field.key, text: (*text).to_string(), reason };
        // What a display or a file is said to be is no scale, though it be a number.
        if matches!(field.control, Control::Choice | Control::Name) {
            return Err(fault(NO_TRIM.to_string()));
        }
        let trim = T::read_trim(field.unit, text).map_err(fault)?;
        all = Some(match all {
            Some(before) => before.and(&trim, field.unit),
            None => trim,
        });
    }
    Ok(all.filter(|trim| !trim.is_neutral(field.unit)))
}

/// A setting with its trims, held against the hard range. Trims that change nothing leave it bit for bit.
///
/// # Errors
/// A text that is no trim of this field; a sum outside the hard range or without meaning.
pub fn with_trims<T: Setting>(field: &Field, value: &T, trims: &[&str]) -> Result<T, SettingError> {
    let Some(trim) = joined_trims::<T>(field, trims)? else { return Ok(value.clone()) };
    let sum = value.trimmed(field.unit, &trim).map_err(|reason| SettingError::Trim {
        key: field.key,
        text: trim.print(),
        reason,
    })?;
    within(field, &sum)?;
    Ok(sum)
}

/// A setting between two marks, `share` of the way from the first to the second.
///
/// # Errors
/// A text that is no value of this field; whites with none between them.
pub fn read_between<T: Setting>(field: &Field, marks: [&str; 2], share: f64) -> Result<T, SettingError> {
    let [before, after] = [read::<T>(field, marks[0])?, read::<T>(field, marks[1])?];
    let between = before.between(&after, share, field.unit).map_err(|reason| {
        let text = format!("between {} and {}", marks[0], marks[1]);
        SettingError::Unreadable { key: field.key, text, reason }
    })?;
    within(field, &between)?;
    Ok(between)
}

#[cfg(test)]
mod tests;
