//! One edit as typed: a verb, names, and key=value pairs, each used once.

use ops::Domain;
use petgraph::stable_graph::NodeIndex;

/// The words of an edit that are still to be used.
pub(super) struct Phrase {
    pub verb: String,
    names: std::vec::IntoIter<String>,
    pairs: Vec<(String, String)>,
}

impl Phrase {
    pub fn new(text: &str) -> Result<Self, String> {
        let words = graph::chain::words(text).ok_or("a quotation mark is not closed")?;
        let mut words = words.into_iter();
        let verb = words.next().ok_or("it is empty")?;
        let mut names = Vec::new();
        let mut pairs: Vec<(String, String)> = Vec::new();
        for word in words {
            match word.split_once('=') {
                None => names.push(word),
                Some((key, _)) if pairs.iter().any(|(earlier, _)| earlier == key) => {
                    return Err(format!("{key} is given twice"));
                }
                Some((key, value)) => pairs.push((key.to_string(), value.to_string())),
            }
        }
        Ok(Self { verb, names: names.into_iter(), pairs })
    }

    /// The next name, where `what` says what it names.
    pub fn name(&mut self, what: &str) -> Result<String, String> {
        self.names.next().ok_or_else(|| format!("the name of {what} is missing"))
    }

    /// The value of a key, if it is given.
    pub fn take(&mut self, key: &str) -> Option<String> {
        let at = self.pairs.iter().position(|(own, _)| own == key)?;
        Some(self.pairs.remove(at).1)
    }

    pub fn need(&mut self, key: &str) -> Result<String, String> {
        self.take(key).ok_or_else(|| format!("{key}= is missing"))
    }

    /// True or false; `otherwise` where it is not said.
    pub fn flag(&mut self, key: &str, otherwise: bool) -> Result<bool, String> {
        let Some(value) = self.take(key) else { return Ok(otherwise) };
        value.parse().map_err(|_| format!("{key}={value}: true or false is wanted"))
    }

    /// A place by its number.
    pub fn place(&mut self, key: &str) -> Result<Option<NodeIndex>, String> {
        let Some(value) = self.take(key) else { return Ok(None) };
        let number: u32 = value.parse().map_err(|_| format!("{key}={value}: the number of a place is wanted"))?;
        Ok(Some(NodeIndex::new(number as usize)))
    }

    /// A domain; none where it is `home` or not said.
    pub fn domain(&mut self, key: &str) -> Result<Option<Domain>, String> {
        self.take(key).filter(|value| value != "home").map(|value| Domain::parse(&value)).transpose()
    }

    /// Names with commas between them.
    pub fn list(&mut self, key: &str) -> Result<Option<Vec<String>>, String> {
        let Some(value) = self.take(key) else { return Ok(None) };
        let names: Vec<_> = value.split(',').map(|name| name.trim().to_string()).collect();
        if names.iter().any(String::is_empty) {
            return Err(format!("{key}={value}: names with commas between them are wanted"));
        }
        Ok(Some(names))
    }

    /// The pairs that are left: settings. At least one.
    pub fn settings(&mut self) -> Result<Vec<(String, String)>, String> {
        let pairs = std::mem::take(&mut self.pairs);
        if pairs.is_empty() { Err("no setting is named; write key=value".to_string()) } else { Ok(pairs) }
    }

    /// Nothing is left over.
    pub fn end(&mut self) -> Result<(), String> {
        if let Some(name) = self.names.next() {
            return Err(format!("'{name}' is not expected here"));
        }
        match self.pairs.first() {
            Some((key, _)) => Err(format!("{key}= is not expected here")),
            None => Ok(()),
        }
    }
}
