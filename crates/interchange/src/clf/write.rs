//! Writing a CLF file.

use std::fmt::Write as _;
use std::sync::Arc;

use colour::Lut;
use colour::lut::LutKind;

use super::{Law, Node, ProcessList, RELEASE, Way};
use crate::xml::{escaped, number, row};

/// Why a file cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// No name.
    #[error("the list has no id; give it one")]
    NoId,
    /// No node.
    #[error("the list '{0}' has no step; a CLF file needs one at least")]
    NoNode(String),
}

/// Writes a file. Numbers are written by the shortest text that means them; entries of tables are single floats.
///
/// # Errors
/// A list without a name or without a step.
pub fn write(list: &ProcessList) -> Result<String, WriteError> {
    if list.id.trim().is_empty() {
        return Err(WriteError::NoId);
    }
    if list.nodes.is_empty() {
        return Err(WriteError::NoNode(list.id.clone()));
    }
    let mut text = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_string();
    text += &format!("<ProcessList compCLFversion=\"{RELEASE}\" id=\"{}\">\n", escaped(&list.id));
    for words in &list.descriptions {
        text += &format!("    <Description>{}</Description>\n", escaped(words));
    }
    for (element, words) in [("InputDescriptor", &list.input), ("OutputDescriptor", &list.output)] {
        if let Some(words) = words {
            text += &format!("    <{element}>{}</{element}>\n", escaped(words));
        }
    }
    for node in &list.nodes {
        write_node(&mut text, node);
    }
    text += "</ProcessList>\n";
    Ok(text)
}

/// An element with its end, whatever stands inside, all of it in 32-bit float.
fn element(text: &mut String, name: &str, attributes: &str, inside: impl FnOnce(&mut String)) {
    *text += &format!("    <{name} inBitDepth=\"32f\" outBitDepth=\"32f\"{attributes}>\n");
    inside(text);
    *text += &format!("    </{name}>\n");
}

/// An element of numbers.
fn leaf(text: &mut String, name: &str, numbers: &[f64]) {
    *text += &format!("        <{name}>{}</{name}>\n", row(numbers));
}

fn write_node(text: &mut String, node: &Node) {
    match node {
        Node::Matrix(affine) => element(text, "Matrix", "", |text| {
            let rows = affine.matrix.0.iter().zip(affine.offset);
            let rows: Vec<String> = rows.map(|([r, g, b], offset)| row(&[*r, *g, *b, offset])).collect();
            *text += &format!("        <Array dim=\"3 4\">\n{}\n        </Array>\n", rows.join("\n"));
        }),
        Node::Range(range) => {
            let style = if range.clamps { "" } else { " style=\"noClamp\"" };
            element(text, "Range", style, |text| {
                let ([low, high], [to_low, to_high]) = (range.from, range.to);
                for (name, v) in
                    [("minInValue", low), ("maxInValue", high), ("minOutValue", to_low), ("maxOutValue", to_high)]
                {
                    leaf(text, name, &[v]);
                }
            });
        }
        Node::Log(log, way) => {
            let style = match way {
                Way::Forward => "cameraLinToLog",
                Way::Back => "cameraLogToLin",
            };
            element(text, "Log", &format!(" style=\"{style}\""), |text| {
                *text += "        <LogParams";
                for (key, v) in [
                    ("base", log.base),
                    ("logSideSlope", log.log_slope),
                    ("logSideOffset", log.log_offset),
                    ("linSideSlope", log.lin_slope),
                    ("linSideOffset", log.lin_offset),
                    ("linSideBreak", log.lin_break),
                    ("linearSlope", log.linear_slope),
                ] {
                    *text += &format!(" {key}=\"{}\"", row(&[v]));
                }
                *text += "/>\n";
            });
        }
        Node::Exponent(exponent, way) => {
            let law = match exponent.law {
                Law::Basic => "basicMirror",
                Law::MonCurve => "monCurveMirror",
            };
            let way = match way {
                Way::Forward => "Fwd",
                Way::Back => "Rev",
            };
            element(text, "Exponent", &format!(" style=\"{law}{way}\""), |text| {
                let offset = match exponent.law {
                    Law::Basic => String::new(),
                    Law::MonCurve => format!(" offset=\"{}\"", row(&[exponent.offset])),
                };
                *text += &format!("        <ExponentParams exponent=\"{}\"{offset}/>\n", row(&[exponent.exponent]));
            });
        }
        Node::Table(lut, interpolation) => write_table(text, lut, interpolation.name()),
        Node::HalfTable(table) => {
            element(text, "LUT1D", " halfDomain=\"true\"", |text| channels(text, table.entries()));
        }
        Node::Cdl(cdl) => {
            let style = if cdl.clamp { "Fwd" } else { "FwdNoClamp" };
            element(text, "ASC_CDL", &format!(" style=\"{style}\""), |text| {
                *text += "        <SOPNode>\n";
                leaf(text, "Slope", &cdl.slope);
                leaf(text, "Offset", &cdl.offset);
                leaf(text, "Power", &cdl.power);
                *text += "        </SOPNode>\n        <SatNode>\n";
                leaf(text, "Saturation", &[cdl.saturation]);
                *text += "        </SatNode>\n";
            });
        }
    }
}

fn write_table(text: &mut String, lut: &Arc<Lut>, interpolation: &str) {
    match lut.kind() {
        LutKind::OneD => element(text, "LUT1D", "", |text| channels(text, lut.entries())),
        LutKind::ThreeD => element(text, "LUT3D", &format!(" interpolation=\"{interpolation}\""), |text| {
            let size = lut.size();
            *text += &format!("        <Array dim=\"{size} {size} {size} 3\">\n");
            // Blue changes first, where a table of ours has red first.
            let place = |at: usize| at / (size * size) + size * (at / size % size) + size * size * (at % size);
            for at in 0..lut.entries().len() {
                entry(text, lut.entries().get(place(at)).map_or(&[0.0; 3], |entry| entry));
            }
            *text += "        </Array>\n";
        }),
    }
}

/// Entries of a table of channels: one column where all channels have the same.
fn channels(text: &mut String, entries: &[[f64; 3]]) {
    let alike = entries.iter().all(|[r, g, b]| r == g && g == b);
    let columns = if alike { 1 } else { 3 };
    let _ = writeln!(text, "        <Array dim=\"{} {columns}\">", entries.len());
    for numbers in entries {
        entry(text, numbers.get(..columns).unwrap_or(numbers));
    }
    *text += "        </Array>\n";
}

/// A line of a table.
fn entry(text: &mut String, numbers: &[f64]) {
    for (at, &v) in numbers.iter().enumerate() {
        if at > 0 {
            text.push(' ');
        }
        // The shortest text of a single float, where it is one, is half as long as that of the same number in double.
        let single = v as f32;
        if f64::from(single) == v && (v == 0.0 || (1e-5..1e15).contains(&v.abs())) {
            let _ = write!(text, "{single}");
        } else if f64::from(single) == v {
            let _ = write!(text, "{single:e}");
        } else {
            number(text, v);
        }
    }
    text.push('\n');
}
