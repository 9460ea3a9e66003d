//! Elaborations written by hand: a chain and what is known of the original, and the typed tree that they mean.
//!
//! A file has a head of `key: value` lines, `---`, and the expectation: the tree, or `error: message`.
//! Keys: `why`, `chain`, `original` (`unknown`, `scene rows`, or `NAME [ei N]`; then `, legal range`),
//! `edge: 2 -> 1` (an edge more, places counted from one), `take from kit: MEMBER`, `encoding file: PATH`. The LUTs of
//! the cases are there by name.

use std::fs;

use colour::{CodeRange, Encoding};
use graph::{Document, Input, Original, chain, elaborate};
use ops::Book;

use crate::{cases, table};

/// One file.
pub struct Written {
    /// The file's name.
    pub name: String,
    head: Vec<(String, String)>,
    /// The tree or error that is right.
    pub wanted: String,
}

/// Every file of `tests/data/elaborations`, in order.
///
/// # Panics
/// A file that cannot be read or has no `---`.
pub fn all() -> Vec<Written> {
    let folder = table::path("elaborations");
    let mut names: Vec<String> = fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".txt"))
        .collect();
    names.sort();
    names.into_iter().map(read).collect()
}

fn read(name: String) -> Written {
    let text = table::text(&format!("elaborations/{name}"));
    let (head, wanted) = text.split_once("---\n").unwrap_or_else(|| panic!("{name}: no line '---'"));
    let pair = |line: &str| {
        let (key, value) = line.split_once(':').unwrap_or_else(|| panic!("{name}: '{line}' is not key: value"));
        (key.trim().to_string(), value.trim().to_string())
    };
    Written { head: head.lines().map(pair).collect(), wanted: wanted.to_string(), name }
}

impl Written {
    fn all_of(&self, key: &str) -> impl Iterator<Item = &str> {
        self.head.iter().filter(move |(k, _)| k == key).map(|(_, value)| value.as_str())
    }

    /// The value of a key that is there once.
    ///
    /// # Panics
    /// It is not there.
    pub fn one(&self, key: &str) -> &str {
        let value = self.head.iter().find(|(k, _)| k == key).map(|(_, value)| value.as_str());
        value.unwrap_or_else(|| panic!("{}: no '{key}:'", self.name))
    }

    /// Keys that the format does not have.
    pub fn strange_keys(&self) -> Vec<&str> {
        let known = ["why", "chain", "original", "edge", "side edge", "take from kit", "encoding file"];
        self.head.iter().map(|(key, _)| key.as_str()).filter(|key| !known.contains(key)).collect()
    }

    /// What the program makes of it: the tree, or `error: message`.
    ///
    /// # Panics
    /// A head that cannot be read.
    pub fn found(&self) -> String {
        let mut document = chain::parse(self.one("chain")).unwrap_or_else(|error| panic!("{}: {error}", self.name));
        self.alter(&mut document);
        let mut book = Book::default();
        for file in self.all_of("encoding file") {
            let encoding = Encoding::from_toml(&table::text(file), file);
            book.add(encoding.unwrap_or_else(|error| panic!("{}: {error}", self.name)));
        }
        for (name, lut) in cases::luts() {
            book.add_lut(name, lut);
        }
        let (original, range) = self.original();
        match elaborate(&document.candidates[chain::CANDIDATE], &document.kit, &original, range, &book) {
            Ok(elaborated) => elaborated.to_string(),
            Err(error) => format!("error: {error}\n"),
        }
    }

    fn alter(&self, document: &mut Document) {
        for member in self.all_of("take from kit") {
            assert!(document.kit.remove(member).is_some(), "{}: no '{member}' in the kit", self.name);
        }
        let Some(wiring) = document.candidates.get_mut(chain::CANDIDATE) else { return };
        let places: Vec<_> = wiring.graph().node_indices().collect();
        for (key, input) in [("edge", Input::Main), ("side edge", Input::Side)] {
            for edge in self.all_of(key) {
                let ends: Vec<usize> = edge.split("->").filter_map(|end| end.trim().parse().ok()).collect();
                let [from, to] = ends[..] else { panic!("{}: '{edge}' is no edge", self.name) };
                wiring.graph_mut().add_edge(places[from - 1], places[to - 1], input);
            }
        }
    }

    fn original(&self) -> (Original, Option<CodeRange>) {
        let text = self.one("original");
        let (text, range) = match text.strip_suffix(", legal range") {
            Some(text) => (text, Some(CodeRange::Legal)),
            None => (text, None),
        };
        let original = match text {
            "unknown" => Original::Unknown,
            "scene rows" => Original::SceneRows,
            _ => {
                let (name, ei) = text.split_once(" ei ").map_or((text, None), |(name, ei)| (name, ei.parse().ok()));
                let encoding = Encoding::named(name, ei);
                Original::Encoded(encoding.unwrap_or_else(|error| panic!("{}: {error}", self.name)))
            }
        };
        (original, range)
    }
}
