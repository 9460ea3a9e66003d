//! One table of the file: its fields are taken by name, and what nobody took is refused.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::fault::{FileError, Source};

/// A table of the file, with its name as people would type it.
pub(crate) struct Section<'t> {
    source: Source<'t>,
    name: String,
    /// Where the table is, for what is missing from it.
    at: Range<usize>,
    table: Option<&'t DeTable<'t>>,
    taken: BTreeSet<&'static str>,
}

/// A value with the field it stands in.
pub(crate) struct Found<'t> {
    source: Source<'t>,
    /// The field's full name.
    pub name: String,
    /// The last part of the name.
    pub key: &'t str,
    /// Where the name stands.
    pub key_at: Range<usize>,
    value: &'t Spanned<DeValue<'t>>,
}

impl<'t> Section<'t> {
    /// The whole file.
    pub fn whole(source: Source<'t>, table: &'t DeTable<'t>) -> Self {
        Self { source, name: String::new(), at: 0..0, table: Some(table), taken: BTreeSet::new() }
    }

    fn full(&self, key: &str) -> String {
        if self.name.is_empty() { key.to_string() } else { format!("{}.{key}", self.name) }
    }

    /// Every field, in the order of their names.
    pub fn all(&self) -> Vec<Found<'t>> {
        let entries = self.table.into_iter().flat_map(DeTable::iter);
        entries
            .map(|(key, value)| Found {
                source: self.source,
                name: self.full(key.get_ref()),
                key: key.get_ref(),
                key_at: key.span(),
                value,
            })
            .collect()
    }

    /// A field, if it is there.
    pub fn take(&mut self, key: &'static str) -> Option<Found<'t>> {
        self.taken.insert(key);
        let (key, value) = self.table?.get_key_value(key)?;
        let key_at = key.span();
        let key: &'t str = key.get_ref();
        Some(Found { source: self.source, name: self.full(key), key, key_at, value })
    }

    /// A field that must be there; `write` says what to write.
    pub fn need(&mut self, key: &'static str, write: &str) -> Result<Found<'t>, FileError> {
        self.take(key).ok_or_else(|| {
            let place = if self.name.is_empty() { "the file".to_string() } else { self.name.clone() };
            self.source.fault(&self.at, format!("{place}: {key} is missing; write {write}"))
        })
    }

    /// A table that may be left out; it is then empty.
    pub fn section(&mut self, key: &'static str) -> Result<Section<'t>, FileError> {
        match self.take(key) {
            Some(found) => found.section(),
            None => Ok(Self {
                source: self.source,
                name: self.full(key),
                at: self.at.clone(),
                table: None,
                taken: BTreeSet::new(),
            }),
        }
    }

    /// Text that may be left out.
    pub fn text(&mut self, key: &'static str) -> Result<Option<String>, FileError> {
        self.take(key).map(|found| found.text().map(str::to_string)).transpose()
    }

    /// Every field has been taken.
    pub fn end(&self) -> Result<(), FileError> {
        match self.all().into_iter().find(|found| !self.taken.contains(found.key)) {
            None => Ok(()),
            Some(found) => {
                let known: Vec<_> = self.taken.iter().copied().collect();
                let problem = format!("there is no field '{}'; there are {}", found.name, known.join(", "));
                Err(self.source.fault(&found.key_at, problem))
            }
        }
    }
}

impl<'t> Found<'t> {
    /// A fault of the value.
    pub fn wrong(&self, problem: impl std::fmt::Display) -> FileError {
        self.source.fault(&self.value.span(), format!("{}: {problem}", self.name))
    }

    /// A fault of the name.
    pub fn wrong_key(&self, problem: impl std::fmt::Display) -> FileError {
        self.source.fault(&self.key_at, format!("{}: {problem}", self.name))
    }

    /// What stands there, in words.
    fn kind(&self) -> &'static str {
        match self.value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }

    fn wanted(&self, what: &str) -> FileError {
        self.wrong(format!("this is {}; {what} is wanted", self.kind()))
    }

    /// A table.
    pub fn section(&self) -> Result<Section<'t>, FileError> {
        self.section_or("a table of fields")
    }

    /// A table, where `what` says what is wanted.
    pub fn section_or(&self, what: &str) -> Result<Section<'t>, FileError> {
        match self.value.get_ref() {
            DeValue::Table(table) => Ok(Section {
                source: self.source,
                name: self.name.clone(),
                at: self.key_at.clone(),
                table: Some(table),
                taken: BTreeSet::new(),
            }),
            _ => Err(self.wanted(what)),
        }
    }

    /// Text.
    pub fn text(&self) -> Result<&'t str, FileError> {
        match self.value.get_ref() {
            DeValue::String(text) => Ok(text),
            _ => Err(self.wanted("text in quotation marks")),
        }
    }

    /// True or false.
    pub fn flag(&self) -> Result<bool, FileError> {
        match self.value.get_ref() {
            DeValue::Boolean(flag) => Ok(*flag),
            _ => Err(self.wanted("true or false")),
        }
    }

    /// A whole number from 0 up.
    pub fn whole(&self) -> Result<u32, FileError> {
        let number = match self.value.get_ref() {
            DeValue::Integer(_) => self.raw().parse().ok(),
            _ => None,
        };
        number.ok_or_else(|| self.wrong(format!("'{}' is not a whole number from 0 up", self.slice())))
    }

    /// A number.
    pub fn number(&self) -> Result<f64, FileError> {
        self.setting(true)?.parse().map_err(|_| self.wanted("a number"))
    }

    /// A list of numbers.
    pub fn numbers(&self) -> Result<Vec<f64>, FileError> {
        let DeValue::Array(_) = self.value.get_ref() else { return Err(self.wanted("a list of numbers")) };
        self.setting(true)?
            .split(',')
            .map(|number| number.parse().map_err(|_| self.wanted("a list of numbers")))
            .collect()
    }

    /// A list of texts, each as a field of its own.
    pub fn list(&self) -> Result<Vec<Found<'t>>, FileError> {
        let DeValue::Array(array) = self.value.get_ref() else { return Err(self.wanted("a list of texts")) };
        let found = |value| Found {
            source: self.source,
            name: self.name.clone(),
            key: self.key,
            key_at: self.key_at.clone(),
            value,
        };
        let list: Vec<_> = array.iter().map(found).collect();
        list.iter().try_for_each(|found| found.text().map(drop))?;
        Ok(list)
    }

    /// A setting's value as settings are typed: numbers, names, true or false, numbers in a list. `number` says that a
    /// number is wanted: one in quotation marks is then refused.
    pub fn setting(&self, number: bool) -> Result<String, FileError> {
        match self.value.get_ref() {
            DeValue::String(text) if number && super::plain::is_number(text) => {
                Err(self.wrong(format!("this is text; write the number {text} without quotation marks")))
            }
            DeValue::String(text) => Ok(text.to_string()),
            DeValue::Integer(_) | DeValue::Float(_) => Ok(self.raw()),
            DeValue::Boolean(flag) => Ok(flag.to_string()),
            DeValue::Array(array) => {
                let number = |value: &Spanned<DeValue<'_>>| match value.get_ref() {
                    DeValue::Integer(_) | DeValue::Float(_) => Ok(raw(self.source.slice(&value.span()))),
                    _ => Err(self.wanted("a value, or a list of numbers,")),
                };
                Ok(array.iter().map(number).collect::<Result<Vec<_>, _>>()?.join(","))
            }
            DeValue::Datetime(_) | DeValue::Table(_) => Err(self.wanted("a value")),
        }
    }

    fn slice(&self) -> &str {
        self.source.slice(&self.value.span())
    }

    /// A number as it stands in the file, signs and digits as they were typed.
    fn raw(&self) -> String {
        raw(self.slice())
    }
}

/// TOML lets underscores part digits.
fn raw(number: &str) -> String {
    number.replace('_', "")
}
