//! Writing a colour decision list.

use super::{About, CdlFile, Correction, Form, NAMESPACE, WriteError};
use crate::xml::{escaped, row};

/// Writes a file. Reading it gives the same numbers to the last bit.
///
/// # Errors
/// A number that the list does not allow, a correction without a name, a file of one with another number of them.
pub fn write(file: &CdlFile) -> Result<String, WriteError> {
    for (number, correction) in (1..).zip(&file.corrections) {
        if correction.id.trim().is_empty() {
            return Err(WriteError::NoId { number });
        }
        if let Some((element, wanted)) = correction.fault() {
            return Err(WriteError::Number { id: correction.id.clone(), element, wanted });
        }
    }
    let mut out = Lines { text: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_string(), depth: 0 };
    let root = file.form.element();
    let namespace = format!(" xmlns=\"{NAMESPACE}\"");
    match (file.form, &file.corrections[..]) {
        (Form::Correction, [only]) => write_correction(&mut out, only, &namespace),
        (Form::Correction, all) => return Err(WriteError::NotOne { count: all.len() }),
        (form, all) => {
            out.open(root, &namespace);
            about(&mut out, &file.about);
            for correction in all {
                if form == Form::List {
                    out.open("ColorDecision", "");
                    if let Some(media) = &correction.media {
                        out.line(&format!("<MediaRef ref=\"{}\"/>", escaped(media)));
                    }
                }
                write_correction(&mut out, correction, "");
                if form == Form::List {
                    out.close("ColorDecision");
                }
            }
            out.close(root);
        }
    }
    Ok(out.text)
}

fn write_correction(out: &mut Lines, correction: &Correction, namespace: &str) {
    out.open("ColorCorrection", &format!("{namespace} id=\"{}\"", escaped(&correction.id)));
    about(out, &correction.about);
    out.open("SOPNode", "");
    for words in &correction.sop_descriptions {
        out.leaf("Description", words);
    }
    for (element, numbers) in [("Slope", correction.slope), ("Offset", correction.offset), ("Power", correction.power)]
    {
        out.leaf(element, &row(&numbers));
    }
    out.close("SOPNode");
    out.open("SatNode", "");
    for words in &correction.saturation_descriptions {
        out.leaf("Description", words);
    }
    out.leaf("Saturation", &row(&[correction.saturation]));
    out.close("SatNode");
    out.close("ColorCorrection");
}

fn about(out: &mut Lines, about: &About) {
    for words in &about.descriptions {
        out.leaf("Description", words);
    }
    for (element, words) in [("InputDescription", &about.input), ("ViewingDescription", &about.viewing)] {
        if let Some(words) = words {
            out.leaf(element, words);
        }
    }
}

/// Text that grows by indented lines.
struct Lines {
    text: String,
    depth: usize,
}

impl Lines {
    fn line(&mut self, line: &str) {
        self.text += &"    ".repeat(self.depth);
        self.text += line;
        self.text.push('\n');
    }

    fn open(&mut self, element: &str, attributes: &str) {
        self.line(&format!("<{element}{attributes}>"));
        self.depth += 1;
    }

    fn close(&mut self, element: &str) {
        self.depth = self.depth.saturating_sub(1);
        self.line(&format!("</{element}>"));
    }

    fn leaf(&mut self, element: &str, words: &str) {
        self.line(&format!("<{element}>{}</{element}>", escaped(words)));
    }
}
