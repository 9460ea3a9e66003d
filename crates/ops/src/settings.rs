//! Settings as data: keys, units, ranges, tooltips, and text in and out.
//!
//! [`settings!`](macro@crate::settings) writes a settings struct and its table of [`Field`]s from one
//! description. Controls of the window, keys of the command line and the documentation come from it.

use colour::white::White;
use colour::{Adaptation, CodeRange};

use crate::trim::{self, Trim};

/// What a number counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Doublings of light.
    Stops,
    /// Printer points: equal steps of log exposure.
    Points,
    /// Reciprocal megakelvin.
    Mired,
    /// Distance from the Planckian locus in CIE 1960 u, v; plus is greener.
    Duv,
    /// Hundredths of mid grey.
    Percent,
    /// A factor; 1 changes nothing.
    Factor,
    /// Signal, where 1 is the largest code of a full-range file.
    Code,
    /// Display light, cd/m2.
    Nits,
    /// A share, 0 to 1.
    Share,
    /// No number.
    None,
}

impl Unit {
    /// As printed behind a number.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Stops => "stops",
            Self::Points => "points",
            Self::Mired => "mired",
            Self::Duv => "Duv",
            Self::Percent => "%",
            Self::Factor => "x",
            Self::Code => "of signal",
            Self::Nits => "nits",
            Self::Share | Self::None => "",
        }
    }
}

/// The kind of control a field wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Control {
    /// A scale in its unit.
    Scale,
    /// A place on the map of whites.
    White,
    /// One of a few names.
    Choice,
    /// Typed text, such as the name of an encoding.
    Name,
}

/// One setting, described.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// The key, as typed in a chain.
    pub key: &'static str,
    /// What it does: the tooltip.
    pub help: &'static str,
    /// What the number counts.
    pub unit: Unit,
    /// The control's range: what a slider covers.
    pub soft: Option<(f64, f64)>,
    /// What loading and editing accept.
    pub hard: Option<(f64, f64)>,
    /// Both ends of the scale, as what the picture does.
    pub ends: Option<(&'static str, &'static str)>,
    /// The kind of control.
    pub control: Control,
}

/// Why a setting was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SettingError {
    /// No such key.
    #[error("there is no setting '{key}'; there are {known}")]
    Unknown {
        /// What was typed.
        key: String,
        /// The keys there are.
        known: String,
    },
    /// Text that is no value of this kind.
    #[error("{key}={text}: {reason}")]
    Unreadable {
        /// The setting.
        key: &'static str,
        /// What was typed.
        text: String,
        /// What would be accepted.
        reason: String,
    },
    /// Text that is no trim of this setting, or a trim that leads nowhere.
    #[error("trim {text} of {key}: {reason}")]
    Trim {
        /// The setting.
        key: &'static str,
        /// The trim.
        text: String,
        /// What would be accepted.
        reason: String,
    },
    /// A number outside the hard range.
    #[error("{key}={value} is outside {low} to {high}")]
    OutOfRange {
        /// The setting.
        key: &'static str,
        /// The number.
        value: f64,
        /// Least accepted.
        low: f64,
        /// Most accepted.
        high: f64,
    },
}

/// A value that a setting can hold.
pub trait Setting: Sized + Clone {
    /// Reads it from text.
    ///
    /// # Errors
    /// What would be accepted, in words.
    fn parse(text: &str) -> Result<Self, String>;

    /// Writes it so that [`Setting::parse`] reads the same value.
    fn print(&self) -> String;

    /// The numbers that the hard range applies to.
    fn numbers(&self) -> Vec<f64> {
        Vec::new()
    }

    /// Reads what is added on top of it; see [`mod@crate::trim`]. Names and choices take none.
    ///
    /// # Errors
    /// What would be accepted, in words.
    fn read_trim(unit: Unit, text: &str) -> Result<Trim, String> {
        let _ = (unit, text);
        Err(trim::NO_TRIM.to_string())
    }

    /// The sum of it and a trim.
    ///
    /// # Errors
    /// A sum without meaning, such as a colour temperature that there is not.
    fn trimmed(&self, unit: Unit, trim: &Trim) -> Result<Self, String> {
        let _ = (unit, trim);
        Err(trim::NO_TRIM.to_string())
    }

    /// The value `share` of the way to the next one. Names and choices stay until the next one is reached.
    ///
    /// # Errors
    /// Nothing with a meaning lies between the two.
    fn between(&self, next: &Self, share: f64, unit: Unit) -> Result<Self, String> {
        let _ = (next, share, unit);
        Ok(self.clone())
    }
}

impl Setting for f64 {
    fn parse(text: &str) -> Result<Self, String> {
        let number: f64 = text.trim().parse().map_err(|_| "a number is wanted, for instance 0.5 or -1".to_string())?;
        if number.is_finite() { Ok(number) } else { Err("a finite number is wanted".to_string()) }
    }
    fn print(&self) -> String {
        format!("{self}")
    }
    fn numbers(&self) -> Vec<f64> {
        vec![*self]
    }
    fn read_trim(_unit: Unit, text: &str) -> Result<Trim, String> {
        Ok(Trim::Numbers(vec![Self::parse(text)?]))
    }
    fn trimmed(&self, unit: Unit, trim: &Trim) -> Result<Self, String> {
        match trim {
            Trim::Numbers(amounts) => Ok(amounts.iter().fold(*self, |sum, &by| trim::trimmed_number(sum, by, unit))),
            Trim::Light { .. } => Err(trim::NO_TRIM.to_string()),
        }
    }
    fn between(&self, next: &Self, share: f64, unit: Unit) -> Result<Self, String> {
        Ok(trim::number_between(*self, *next, share, unit))
    }
}

/// Red, green and blue, joined by commas; one number stands for all three.
impl Setting for [f64; 3] {
    fn parse(text: &str) -> Result<Self, String> {
        let wanted = || "three numbers are wanted, for instance 1,0.9,1.1".to_string();
        let numbers: Vec<f64> =
            text.split(',').map(<f64 as Setting>::parse).collect::<Result<_, _>>().map_err(|_| wanted())?;
        match numbers[..] {
            [all] => Ok([all; 3]),
            [red, green, blue] => Ok([red, green, blue]),
            _ => Err(wanted()),
        }
    }
    fn print(&self) -> String {
        self.map(|number| number.print()).join(",")
    }
    fn numbers(&self) -> Vec<f64> {
        self.to_vec()
    }
    fn read_trim(_unit: Unit, text: &str) -> Result<Trim, String> {
        Ok(Trim::Numbers(Self::parse(text)?.to_vec()))
    }
    fn trimmed(&self, unit: Unit, trim: &Trim) -> Result<Self, String> {
        let mut sum = *self;
        if let Trim::Numbers(amounts) = trim {
            sum.iter_mut().zip(amounts).for_each(|(number, &by)| *number = trim::trimmed_number(*number, by, unit));
        }
        Ok(sum)
    }
    fn between(&self, next: &Self, share: f64, unit: Unit) -> Result<Self, String> {
        Ok(std::array::from_fn(|i| trim::number_between(self[i], next[i], share, unit)))
    }
}

impl Setting for bool {
    fn parse(text: &str) -> Result<Self, String> {
        text.parse().map_err(|_| "true or false is wanted".to_string())
    }
    fn print(&self) -> String {
        self.to_string()
    }
}

/// A setting that may be left to its default is the empty text.
impl<T: Setting> Setting for Option<T> {
    fn parse(text: &str) -> Result<Self, String> {
        if text.is_empty() { Ok(None) } else { T::parse(text).map(Some) }
    }
    fn print(&self) -> String {
        self.as_ref().map(T::print).unwrap_or_default()
    }
    fn numbers(&self) -> Vec<f64> {
        self.as_ref().map(T::numbers).unwrap_or_default()
    }
    fn read_trim(unit: Unit, text: &str) -> Result<Trim, String> {
        T::read_trim(unit, text)
    }
    fn trimmed(&self, unit: Unit, trim: &Trim) -> Result<Self, String> {
        let left = || "it is left to its default, which depends on the rest; set it before it is trimmed".to_string();
        self.as_ref().ok_or_else(left)?.trimmed(unit, trim).map(Some)
    }
    fn between(&self, next: &Self, share: f64, unit: Unit) -> Result<Self, String> {
        match (self, next) {
            (Some(before), Some(after)) => before.between(after, share, unit).map(Some),
            _ => Ok(self.clone()),
        }
    }
}

impl Setting for u32 {
    fn parse(text: &str) -> Result<Self, String> {
        text.trim().parse().map_err(|_| "a whole number is wanted, for instance 800".to_string())
    }
    fn print(&self) -> String {
        self.to_string()
    }
    fn numbers(&self) -> Vec<f64> {
        vec![f64::from(*self)]
    }
}

impl Setting for String {
    fn parse(text: &str) -> Result<Self, String> {
        Ok(text.to_string())
    }
    fn print(&self) -> String {
        self.clone()
    }
}

impl Setting for White {
    fn parse(text: &str) -> Result<Self, String> {
        text.parse::<White>().map_err(|error| error.to_string())
    }
    fn print(&self) -> String {
        self.to_string()
    }
    fn read_trim(_unit: Unit, text: &str) -> Result<Trim, String> {
        trim::read_light(text)
    }
    fn trimmed(&self, _unit: Unit, trim: &Trim) -> Result<Self, String> {
        match trim {
            Trim::Light { mired, duv } => trim::trimmed_white(self, *mired, *duv),
            Trim::Numbers(_) => Err(trim::NO_TRIM.to_string()),
        }
    }
    fn between(&self, next: &Self, share: f64, _unit: Unit) -> Result<Self, String> {
        trim::white_between(self, next, share)
    }
}

impl Setting for Adaptation {
    fn parse(text: &str) -> Result<Self, String> {
        Adaptation::parse(text).ok_or_else(|| {
            // As they can be typed in a chain, where a space would end the value.
            format!("one of {} is wanted", Adaptation::ALL.map(Adaptation::id).join(", "))
        })
    }
    fn print(&self) -> String {
        self.id().to_string()
    }
}

impl Setting for CodeRange {
    fn parse(text: &str) -> Result<Self, String> {
        match text {
            "full" => Ok(Self::Full),
            "legal" => Ok(Self::Legal),
            _ => Err("full or legal is wanted".to_string()),
        }
    }
    fn print(&self) -> String {
        match self {
            Self::Full => "full".to_string(),
            Self::Legal => "legal".to_string(),
        }
    }
}

/// A settings struct whose fields are described as data.
pub trait Settings: Clone + PartialEq + Default {
    /// The fields, in order.
    const FIELDS: &'static [Field];

    /// A setting as text, or nothing for an unknown key.
    fn get(&self, key: &str) -> Option<String>;

    /// Sets a setting from text, within its hard range.
    ///
    /// # Errors
    /// An unknown key, unreadable text, a value outside the hard range.
    fn set(&mut self, key: &str, text: &str) -> Result<(), SettingError>;

    /// Adds trims to a setting, each in the setting's unit, and holds the sum against the hard range.
    ///
    /// # Errors
    /// An unknown key, text that is no trim, a sum outside the hard range.
    fn add_trims(&mut self, key: &str, trims: &[&str]) -> Result<(), SettingError>;

    /// Several trims of a setting as one; none where they change nothing.
    ///
    /// # Errors
    /// An unknown key, text that is no trim.
    fn sum_of_trims(&self, key: &str, trims: &[&str]) -> Result<Option<Trim>, SettingError>;

    /// Sets a setting to what lies between two marks, `share` of the way from the first to the second.
    ///
    /// # Errors
    /// An unknown key, unreadable text, a value outside the hard range.
    fn set_between(&mut self, key: &str, marks: [&str; 2], share: f64) -> Result<(), SettingError>;

    /// Checks every setting against its hard range.
    ///
    /// # Errors
    /// The first one outside it.
    fn check(&self) -> Result<(), SettingError>;
}

/// The error for a key that is not among `fields`.
pub fn unknown_key(key: &str, fields: &[Field]) -> SettingError {
    let known: Vec<_> = fields.iter().map(|field| field.key).collect();
    SettingError::Unknown { key: key.to_string(), known: known.join(", ") }
}

/// Reads one setting from text and holds it against its field's hard range.
///
/// # Errors
/// Unreadable text, or a value outside the hard range.
pub fn read<T: Setting>(field: &Field, text: &str) -> Result<T, SettingError> {
    let value =
        T::parse(text).map_err(|reason| SettingError::Unreadable { key: field.key, text: text.to_string(), reason })?;
    within(field, &value)?;
    Ok(value)
}

/// Holds a value against its field's hard range.
///
/// # Errors
/// The number outside it.
pub fn within<T: Setting>(field: &Field, value: &T) -> Result<(), SettingError> {
    let Some((low, high)) = field.hard else { return Ok(()) };
    match value.numbers().into_iter().find(|number| !(low..=high).contains(number)) {
        None => Ok(()),
        Some(value) => Err(SettingError::OutOfRange { key: field.key, value, low, high }),
    }
}

/// Writes a settings struct, its neutral values and its table of fields.
#[macro_export]
macro_rules! settings {
    (
        $(#[$outer:meta])*
        pub struct $name:ident {
            $(
                $(#[doc = $help:literal])+
                $key:ident: $kind:ty = $neutral:expr,
                $control:ident, $unit:ident
                $(, soft $soft:expr)? $(, hard $hard:expr)? $(, ends $ends:expr)?;
            )*
        }
    ) => {
        $(#[$outer])*
        #[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct $name {
            $($(#[doc = $help])+ pub $key: $kind,)*
        }

        impl Default for $name {
            fn default() -> Self {
                Self { $($key: $neutral,)* }
            }
        }

        impl $crate::Settings for $name {
            const FIELDS: &'static [$crate::Field] = &[$(
                $crate::Field {
                    key: stringify!($key),
                    help: concat!($($help),+),
                    unit: $crate::Unit::$unit,
                    soft: $crate::settings!(@range $($soft)?),
                    hard: $crate::settings!(@range $($hard)?),
                    ends: $crate::settings!(@range $($ends)?),
                    control: $crate::Control::$control,
                },
            )*];

            fn get(&self, key: &str) -> Option<String> {
                match key {
                    $(stringify!($key) => Some($crate::Setting::print(&self.$key)),)*
                    _ => None,
                }
            }

            fn set(&mut self, key: &str, text: &str) -> Result<(), $crate::SettingError> {
                let mut fields = Self::FIELDS.iter();
                $(if let Some(field) = fields.next() && key == stringify!($key) {
                    self.$key = $crate::settings::read(field, text)?;
                    return Ok(());
                })*
                let _ = fields;
                Err($crate::settings::unknown_key(key, Self::FIELDS))
            }

            fn add_trims(&mut self, key: &str, trims: &[&str]) -> Result<(), $crate::SettingError> {
                let mut fields = Self::FIELDS.iter();
                $(if let Some(field) = fields.next() && key == stringify!($key) {
                    self.$key = $crate::trim::with_trims(field, &self.$key, trims)?;
                    return Ok(());
                })*
                let _ = fields;
                Err($crate::settings::unknown_key(key, Self::FIELDS))
            }

            fn sum_of_trims(&self, key: &str, trims: &[&str]) -> Result<Option<$crate::trim::Trim>, $crate::SettingError> {
                let mut fields = Self::FIELDS.iter();
                $(if let Some(field) = fields.next() && key == stringify!($key) {
                    return $crate::trim::joined_trims::<$kind>(field, trims);
                })*
                let _ = fields;
                Err($crate::settings::unknown_key(key, Self::FIELDS))
            }

            fn set_between(&mut self, key: &str, marks: [&str; 2], share: f64) -> Result<(), $crate::SettingError> {
                let mut fields = Self::FIELDS.iter();
                $(if let Some(field) = fields.next() && key == stringify!($key) {
                    self.$key = $crate::trim::read_between(field, marks, share)?;
                    return Ok(());
                })*
                let _ = fields;
                Err($crate::settings::unknown_key(key, Self::FIELDS))
            }

            fn check(&self) -> Result<(), $crate::SettingError> {
                let mut fields = Self::FIELDS.iter();
                $(if let Some(field) = fields.next() {
                    $crate::settings::within(field, &self.$key)?;
                })*
                let _ = fields;
                Ok(())
            }
        }
    };
    (@range) => { None };
    (@range $range:expr) => { Some($range) };
}
