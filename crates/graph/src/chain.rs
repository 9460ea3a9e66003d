//! The linear shorthand: `operation key=value ... | operation ...`.

use ops::{Domain, Op, SettingError};

use crate::{Document, Place, Wiring};

/// The name of the candidate that a chain becomes.
pub const CANDIDATE: &str = "chain";

/// Why a chain cannot be read. Operations are counted from one.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ChainError {
    /// Nothing between two bars.
    #[error("operation {at} of the chain is empty; take away a '|'")]
    Empty {
        /// Which.
        at: usize,
    },
    /// No operation of that name.
    #[error("operation {at} of the chain: there is no '{name}'; there are {known}")]
    Unknown {
        /// Which.
        at: usize,
        /// As typed.
        name: String,
        /// What there is.
        known: String,
    },
    /// Not `key=value`.
    #[error("operation {at} of the chain, {name}: '{text}' is not key=value")]
    NoPair {
        /// Which.
        at: usize,
        /// The operation.
        name: String,
        /// As typed.
        text: String,
    },
    /// A key given twice.
    #[error("operation {at} of the chain, {name}: {key} is given twice")]
    Twice {
        /// Which.
        at: usize,
        /// The operation.
        name: String,
        /// The key.
        key: String,
    },
    /// A setting that was refused.
    #[error("operation {at} of the chain, {name}: {source}")]
    Setting {
        /// Which.
        at: usize,
        /// The operation.
        name: String,
        /// Why.
        source: SettingError,
    },
    /// No such domain, or a bypass that is neither true nor false.
    #[error("operation {at} of the chain, {name}: {reason}")]
    Place {
        /// Which.
        at: usize,
        /// The operation.
        name: String,
        /// Why.
        reason: String,
    },
    /// A quotation mark without its partner.
    #[error("operation {at} of the chain: a quotation mark is not closed")]
    Quote {
        /// Which.
        at: usize,
    },
}

/// Reads a chain into a document with one candidate, [`CANDIDATE`]. White space alone is the empty chain.
///
/// # Errors
/// The first thing that cannot be read, with the number of its operation.
pub fn parse(text: &str) -> Result<Document, ChainError> {
    let mut document = Document::default();
    let mut places = Vec::new();
    let parts = if text.trim().is_empty() { Vec::new() } else { parts(text) };
    for (index, part) in parts.into_iter().enumerate() {
        let (op, mut place) = operation(part, index + 1)?;
        let mut member = op.id().to_string();
        let mut count = 1;
        while document.kit.contains_key(&member) {
            count += 1;
            member = format!("{}-{count}", op.id());
        }
        place.member.clone_from(&member);
        document.kit.insert(member, op);
        places.push(place);
    }
    document.candidates.insert(CANDIDATE.to_string(), Wiring::linear(places));
    Ok(document)
}

/// Splits at bars, but not at those between quotation marks.
fn parts(text: &str) -> Vec<&str> {
    let mut quoted = false;
    text.split(|c| {
        quoted ^= c == '"';
        c == '|' && !quoted
    })
    .collect()
}

fn operation(part: &str, at: usize) -> Result<(Op, Place), ChainError> {
    let words = words(part).ok_or(ChainError::Quote { at })?;
    let mut words = words.into_iter();
    let name = words.next().ok_or(ChainError::Empty { at })?;
    let mut op = Op::named(&name).ok_or_else(|| {
        let known: Vec<_> = Op::all().iter().map(Op::id).collect();
        ChainError::Unknown { at, name: name.clone(), known: known.join(", ") }
    })?;
    let mut place = Place::of(name.clone());
    let mut seen: Vec<String> = Vec::new();
    for word in words {
        let Some((key, value)) = word.split_once('=') else {
            return Err(ChainError::NoPair { at, name, text: word });
        };
        if seen.iter().any(|earlier| earlier == key) {
            return Err(ChainError::Twice { at, name, key: key.to_string() });
        }
        seen.push(key.to_string());
        let refuse = |reason| ChainError::Place { at, name: name.clone(), reason };
        match key {
            "domain" => place.domain = Some(Domain::parse(value).map_err(refuse)?),
            "bypass" => {
                place.bypass = value.parse().map_err(|_| refuse(format!("bypass={value}: true or false is wanted")))?
            }
            _ => op.set(key, value).map_err(|source| ChainError::Setting { at, name: name.clone(), source })?,
        }
    }
    Ok((op, place))
}

/// Splits at white space; double quotation marks keep it together. None if one is not closed.
pub fn words(text: &str) -> Option<Vec<String>> {
    let mut words = Vec::new();
    let mut word: Option<String> = None;
    let mut quoted = false;
    for c in text.chars() {
        match c {
            '"' => {
                quoted = !quoted;
                word.get_or_insert_default();
            }
            c if c.is_whitespace() && !quoted => words.extend(word.take()),
            c => word.get_or_insert_default().push(c),
        }
    }
    words.extend(word);
    (!quoted).then_some(words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_becomes_members_and_places() {
        let document = parse(
            "input-transform encoding=LogC3 | exposure stops=+0.5 domain=camera-linear | exposure stops=-1 bypass=true",
        )
        .unwrap();
        let names: Vec<_> = document.kit.keys().cloned().collect();
        assert_eq!(names, ["exposure", "exposure-2", "input-transform"]);
        assert_eq!(document.kit["exposure"].get("stops").unwrap(), "0.5");
        let wiring = &document.candidates[CANDIDATE];
        let order = wiring.in_order().unwrap();
        let places: Vec<_> = order.iter().map(|&at| &wiring.graph()[at]).collect();
        assert_eq!(places[1].domain, Some(Domain::CameraLinear));
        assert!(places[2].bypass);
    }

    #[test]
    fn what_cannot_be_read_is_named_with_its_place() {
        for (chain, wanted) in [
            ("exposure stops=1 |", "operation 2 of the chain is empty"),
            ("exposre stops=1", "there is no 'exposre'"),
            ("exposure stops", "'stops' is not key=value"),
            ("exposure stop=1", "there is no setting 'stop'; there are stops"),
            ("exposure stops=a", "a number is wanted"),
            ("exposure stops=99", "outside -24 to 24"),
            ("exposure stops=1 stops=2", "stops is given twice"),
            ("exposure domain=nowhere", "is no domain"),
            ("exposure bypass=perhaps", "true or false"),
            ("exposure \"stops=1", "quotation mark"),
        ] {
            let error = parse(chain).unwrap_err().to_string();
            assert!(error.contains(wanted), "{chain}: {error}");
        }
    }

    #[test]
    fn the_empty_chain_is_empty() {
        assert!(parse("  ").unwrap().kit.is_empty());
    }
}
