//! The written form of a wiring: one line a place, in the order of work.
//!
//! `MEMBER [domain=D] [bypass=true] [at=N] [from=N|original] [side=N|original]`. `at` is the place's index, its position
//! unless said. `from` is the place that feeds it: the line above unless said, the original for the first one. `side`
//! feeds the second input of a `mix`: the original unless said.

use std::fmt::Write as _;

use ops::Domain;
use petgraph::stable_graph::NodeIndex;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::{Input, Place, Wiring};
use crate::chain::words;

/// Word for the picture that enters, in place of an index.
const ORIGINAL: &str = "original";

/// No wiring has an index above this: a slip of the pen must not fill the memory.
const LARGEST_INDEX: usize = 9999;

/// Why the written form of a place cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("place '{line}': {reason}")]
pub struct PlaceError {
    /// As written.
    pub line: String,
    /// What is wrong and what is wanted.
    pub reason: String,
}

/// One line, read.
struct Line {
    place: Place,
    at: Option<usize>,
    from: Option<Source>,
    side: Option<Source>,
}

/// What feeds an input.
#[derive(Clone, Copy)]
enum Source {
    Original,
    Place(usize),
}

impl Wiring {
    /// One line a place, in the order of work.
    pub fn lines(&self) -> Vec<String> {
        // A circle cannot be written; no wiring that was checked has one.
        let order = self.in_order().unwrap_or_else(|_| self.graph.node_indices().collect());
        let mut above = None;
        let mut lines = Vec::with_capacity(order.len());
        for (position, &at) in order.iter().enumerate() {
            let mut line = self.graph[at].line();
            if at.index() != position {
                let _ = write!(line, " at={}", at.index());
            }
            let before = self.before(at);
            if before != above {
                let _ = write!(line, " from={}", before.map_or(ORIGINAL.to_string(), |from| from.index().to_string()));
            }
            if let Some(side) = self.feeds(at, Input::Side) {
                let _ = write!(line, " side={}", side.index());
            }
            lines.push(line);
            above = Some(at);
        }
        lines
    }

    /// Reads lines written by [`Wiring::lines`] or by hand.
    ///
    /// # Errors
    /// A line that cannot be read, an index given twice, a source that is no place. Order and circles are for
    /// [`Wiring::in_order`].
    pub fn from_lines(lines: &[impl AsRef<str>]) -> Result<Self, PlaceError> {
        let mut wiring = Self::default();
        let mut read = Vec::with_capacity(lines.len());
        for (position, text) in lines.iter().enumerate() {
            let text = text.as_ref();
            let line = read_line(text)?;
            read.push((line.at.unwrap_or(position), text, line));
        }
        let count = read.iter().map(|(at, ..)| at + 1).max().unwrap_or(0);
        let mut places: Vec<Option<Place>> = vec![None; count];
        for (at, text, line) in &read {
            if places[*at].replace(line.place.clone()).is_some() {
                return Err(refuse(text, format!("place {at} is there already; give each its own at=")));
            }
        }
        let known = |at: usize| places.get(at).is_some_and(Option::is_some);
        // Indices without a place are made and taken away again: an edit that names a place must go on meaning it.
        for place in &places {
            wiring.graph.add_node(place.clone().unwrap_or_else(|| Place::of("")));
        }
        let mut above = Source::Original;
        for (at, text, line) in &read {
            let inputs =
                [(line.from.unwrap_or(above), Input::Main), (line.side.unwrap_or(Source::Original), Input::Side)];
            for (source, input) in inputs {
                if let Source::Place(from) = source {
                    if !known(from) {
                        return Err(refuse(text, format!("there is no place {from}")));
                    }
                    wiring.graph.add_edge(NodeIndex::new(from), NodeIndex::new(*at), input);
                }
            }
            above = Source::Place(*at);
        }
        for (at, place) in places.iter().enumerate() {
            if place.is_none() {
                wiring.graph.remove_node(NodeIndex::new(at));
            }
        }
        Ok(wiring)
    }
}

impl Place {
    fn line(&self) -> String {
        let plain = !self.member.is_empty() && !self.member.contains(|c: char| c.is_whitespace() || c == '"');
        let mut line = if plain { self.member.clone() } else { format!("\"{}\"", self.member) };
        if let Some(domain) = self.domain {
            let _ = write!(line, " domain={domain}");
        }
        if self.bypass {
            line += " bypass=true";
        }
        line
    }
}

fn refuse(line: &str, reason: impl Into<String>) -> PlaceError {
    PlaceError { line: line.to_string(), reason: reason.into() }
}

fn read_line(text: &str) -> Result<Line, PlaceError> {
    let mut words = words(text).ok_or_else(|| refuse(text, "a quotation mark is not closed"))?.into_iter();
    let member = words.next().ok_or_else(|| refuse(text, "the name of a kit member is wanted"))?;
    let mut line = Line { place: Place::of(member), at: None, from: None, side: None };
    let mut seen: Vec<String> = Vec::new();
    for word in words {
        let Some((key, value)) = word.split_once('=') else {
            return Err(refuse(text, format!("'{word}' is not key=value")));
        };
        if seen.iter().any(|earlier| earlier == key) {
            return Err(refuse(text, format!("{key} is given twice")));
        }
        seen.push(key.to_string());
        match key {
            "domain" => line.place.domain = Some(Domain::parse(value).map_err(|reason| refuse(text, reason))?),
            "bypass" => {
                line.place.bypass =
                    value.parse().map_err(|_| refuse(text, format!("bypass={value}: true or false is wanted")))?;
            }
            "at" => line.at = Some(index(text, value)?),
            "from" => line.from = Some(source(text, value)?),
            "side" => line.side = Some(source(text, value)?),
            _ => {
                return Err(refuse(text, format!("'{key}' is not known; there are domain, bypass, at, from and side")));
            }
        }
    }
    Ok(line)
}

fn index(line: &str, text: &str) -> Result<usize, PlaceError> {
    let number = text.parse().ok().filter(|&number| number <= LARGEST_INDEX);
    number.ok_or_else(|| refuse(line, format!("{text} is no place; a number from 0 to {LARGEST_INDEX} is wanted")))
}

fn source(line: &str, text: &str) -> Result<Source, PlaceError> {
    if text == ORIGINAL { Ok(Source::Original) } else { index(line, text).map(Source::Place) }
}

impl Serialize for Wiring {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.lines())
    }
}

impl<'de> Deserialize<'de> for Wiring {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let lines: Vec<String> = Vec::deserialize(deserializer)?;
        Self::from_lines(&lines).map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::super::Spot;
    use super::*;

    #[test]
    fn a_plain_order_is_a_list_of_names() {
        let wiring = Wiring::linear(["input-transform", "exposure"].map(Place::of));
        assert_eq!(wiring.lines(), ["input-transform", "exposure"]);
        assert_eq!(Wiring::from_lines(&wiring.lines()), Ok(wiring));
    }

    #[test]
    fn forks_holes_and_names_with_spaces_come_back() {
        let mut wiring = Wiring::linear(["a", "b", "key light"].map(Place::of));
        wiring.branch(Place::of("c"), None, Place::of("mix"), Spot::After(NodeIndex::new(2)));
        wiring.remove(NodeIndex::new(0));
        wiring.graph_mut()[NodeIndex::new(1)].domain = Some(Domain::Log);
        wiring.graph_mut()[NodeIndex::new(2)].bypass = true;
        let lines = wiring.lines();
        assert!(lines.iter().any(|line| line.starts_with("\"key light\" bypass=true")), "{lines:?}");
        assert_eq!(Wiring::from_lines(&lines), Ok(wiring));
    }

    #[test]
    fn what_cannot_be_read_says_why() {
        for (lines, wanted) in [
            (&["a", "b at=0"][..], "place 0 is there already"),
            (&["a from=4"], "there is no place 4"),
            (&["a at=99999999"], "from 0 to 9999"),
            (&["a side=b"], "b is no place"),
            (&["a domain=sea"], "is no domain"),
            (&["a where=3"], "'where' is not known"),
            (&["a bypass"], "not key=value"),
            (&["a \"b"], "not closed"),
            (&[""], "the name of a kit member"),
        ] {
            let error = Wiring::from_lines(lines).unwrap_err().to_string();
            assert!(error.contains(wanted), "{lines:?}: {error}");
        }
    }
}
