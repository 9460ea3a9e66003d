//! Writing a project file, in a fixed order, one thing a line.

use std::fmt::Write as _;

use graph::{SCHEMA_VERSION, Wiring};

use super::{Written, kit, plain, shots};

/// Writes a project. The same project gives the same text, and reading it gives the same project.
pub fn write(project: &Written) -> String {
    let document = &project.document;
    let mut out = format!("schema_version = {SCHEMA_VERSION}\n");
    if !project.encoding_files.is_empty() {
        out += "encoding_files = ";
        list(&mut out, &project.encoding_files);
    }
    kit::write(&mut out, &document.kit);
    if !document.candidates.is_empty() {
        out += "\n[candidates]\n";
    }
    for (name, wiring) in &document.candidates {
        // Writing to a string cannot fail.
        let _ = write!(out, "{} = ", plain::key(name));
        list(&mut out, &Wiring::lines(wiring));
    }
    if !document.scene.is_empty() {
        out += "\n[scene]\n";
        shots::write_layer(&mut out, &document.scene, &document.kit);
    }
    for (name, set_up) in &document.set_ups {
        shots::write_set_up(&mut out, name, set_up, &document.kit);
    }
    for (name, shot) in &document.shots {
        shots::write_shot(&mut out, name, shot, &document.kit);
    }
    out
}

/// A list with a line for each text.
fn list(out: &mut String, texts: &[String]) {
    if texts.is_empty() {
        out.push_str("[]\n");
        return;
    }
    out.push_str("[\n");
    for text in texts {
        let _ = writeln!(out, "    {},", plain::quoted(text));
    }
    out.push_str("]\n");
}
