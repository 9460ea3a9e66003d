//! What the XML files have in common: where a fault is, numbers within text, signs that stand for themselves.

use std::fmt::Write as _;

use roxmltree::{Document, Node};

/// A file that is not what it should be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{file}{}: {problem}", line.map(|line| format!(", line {line}")).unwrap_or_default())]
pub struct XmlError {
    /// The file, as it was named.
    pub file: String,
    /// The line, counted from one; none where the file as a whole is at fault.
    pub line: Option<usize>,
    /// What is wrong with it, in which element, and what to do.
    pub problem: String,
}

/// A file's bytes as text: UTF-8, whose mark at the beginning is left out.
pub(crate) fn text<'a>(bytes: &'a [u8], file: &str) -> Result<&'a str, XmlError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
        let line = 1 + before.iter().filter(|&&byte| byte == b'\n').count();
        let problem = "it is not UTF-8 text; save it as UTF-8".to_string();
        XmlError { file: file.to_string(), line: Some(line), problem }
    })
}

/// A file that is being read.
pub(crate) struct Reading<'a> {
    file: &'a str,
    document: Document<'a>,
}

impl<'a> Reading<'a> {
    /// Reads the tree; `what` is the kind of file, for messages.
    pub fn new(text: &'a str, file: &'a str, what: &str) -> Result<Self, XmlError> {
        let document = Document::parse(text).map_err(|error| XmlError {
            file: file.to_string(),
            line: Some(error.pos().row as usize),
            problem: format!("it is no XML that can be read ({error}); is this {what}, and whole?"),
        })?;
        Ok(Self { file, document })
    }

    /// The outermost element.
    pub fn root(&self) -> Node<'_, 'a> {
        self.document.root_element()
    }

    /// A fault at an element.
    pub fn fault(&self, at: Node, problem: impl Into<String>) -> XmlError {
        let line = self.line(at);
        XmlError { file: self.file.to_string(), line: Some(line), problem: problem.into() }
    }

    /// The line where an element begins.
    pub fn line(&self, at: Node) -> usize {
        self.document.text_pos_at(at.range().start).row as usize
    }

    /// An attribute that must be there.
    pub fn attribute<'n>(&self, at: Node<'n, 'a>, key: &str) -> Result<&'n str, XmlError> {
        at.attribute(key).ok_or_else(|| self.fault(at, format!("{} lacks {key}=\"...\"; give it", name(at))))
    }

    /// The numbers of an element's text, which must be so many.
    pub fn numbers<const N: usize>(&self, at: Node) -> Result<[f64; N], XmlError> {
        let all = self.all_numbers(at)?;
        let wrong = |_| {
            let wanted = if N == 1 { "one number".to_string() } else { format!("{N} numbers") };
            self.fault(at, format!("{} holds {wanted}, not '{}'", name(at), short(at.text().unwrap_or_default())))
        };
        all.try_into().map_err(wrong)
    }

    /// All numbers of an element's text.
    pub fn all_numbers(&self, at: Node) -> Result<Vec<f64>, XmlError> {
        let words = at.text().unwrap_or_default().split_ascii_whitespace();
        words.map(|word| self.number(at, word)).collect()
    }

    /// One number within an element.
    pub fn number(&self, at: Node, word: &str) -> Result<f64, XmlError> {
        let read = word.parse().ok().filter(|number: &f64| number.is_finite());
        read.ok_or_else(|| self.fault(at, format!("'{}' in {} is no number", short(word), name(at))))
    }

    /// An attribute's number; none where the attribute is not there.
    pub fn number_of(&self, at: Node, key: &str) -> Result<Option<f64>, XmlError> {
        at.attribute(key).map(|word| self.number(at, word.trim())).transpose()
    }
}

/// An element's name.
pub(crate) fn name<'n>(of: Node<'n, '_>) -> &'n str {
    of.tag_name().name()
}

/// The elements within an element.
pub(crate) fn elements<'n, 'a>(of: Node<'n, 'a>) -> impl Iterator<Item = Node<'n, 'a>> {
    of.children().filter(Node::is_element)
}

/// An element's text without the blanks around it.
pub(crate) fn words(of: Node) -> String {
    of.text().unwrap_or_default().trim().to_string()
}

/// The beginning of a text, for messages.
fn short(text: &str) -> String {
    let text = text.trim();
    if text.chars().count() <= 40 {
        text.to_string()
    } else {
        format!("{}...", text.chars().take(40).collect::<String>())
    }
}

/// Text as it stands within an element or an attribute; what no XML can hold is left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' => out.push(sign),
            sign if sign < ' ' || matches!(sign, '\u{fffe}' | '\u{ffff}') => {}
            sign => out.push(sign),
        }
    }
    out
}

/// A number by the shortest text that means it.
pub(crate) fn number(out: &mut String, number: f64) {
    let plain = number == 0.0 || (1e-5..1e15).contains(&number.abs());
    // Writing to a string cannot fail.
    let _ = if plain { write!(out, "{number}") } else { write!(out, "{number:e}") };
}

/// Numbers with blanks between them.
pub(crate) fn row(numbers: &[f64]) -> String {
    let mut out = String::new();
    for &next in numbers {
        if !out.is_empty() {
            out.push(' ');
        }
        number(&mut out, next);
    }
    out
}
