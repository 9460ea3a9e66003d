//! Reading a CLF file of the kind that is written here.

use std::sync::Arc;

use colour::lut::{Interpolation, Lut, LutKind};
use colour::{Affine, Matrix};
use ops::Cdl;
use roxmltree::Node as Element;

use super::half_table::{HalfTable, PATTERNS};
use super::{Exponent, LARGEST_GRID, Law, Log, Node, ProcessList, RELEASE, Range, Way};
use crate::XmlError;
use crate::xml::{Reading, elements, name, text, words};

/// Nodes that are read, for messages.
const NODES: &str = "Matrix, Range, Log, Exponent, LUT1D, LUT3D and ASC_CDL";

/// Reads a file's bytes; `file` is its name for messages. Of the standard's nodes it takes the styles that are written here, in
/// 32-bit float.
///
/// # Errors
/// The first thing that does not fit or is not taken, with its line, its element and what to do.
pub fn read(bytes: &[u8], file: &str) -> Result<ProcessList, XmlError> {
    let reading = Reading::new(text(bytes, file)?, file, "a CLF file")?;
    let root = reading.root();
    if name(root) != "ProcessList" {
        return Err(reading.fault(root, format!("{} is no CLF; such a file begins with ProcessList", name(root))));
    }
    let release = reading.attribute(root, "compCLFversion")?;
    if release != RELEASE && release != "3" {
        return Err(reading.fault(root, format!("compCLFversion is {release}; only {RELEASE} is read")));
    }
    let mut list = ProcessList {
        id: reading.attribute(root, "id")?.to_string(),
        descriptions: Vec::new(),
        input: None,
        output: None,
        nodes: Vec::new(),
    };
    for element in elements(root) {
        match name(element) {
            "Description" => list.descriptions.push(words(element)),
            "InputDescriptor" => list.input = Some(words(element)),
            "OutputDescriptor" => list.output = Some(words(element)),
            // Words on where the file comes from change no number.
            "Info" => {}
            _ => list.nodes.push(node(&reading, element)?),
        }
    }
    if list.nodes.is_empty() {
        return Err(reading.fault(root, format!("the ProcessList has no node; put one of {NODES} into it")));
    }
    Ok(list)
}

fn node(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    let read = match name(at) {
        "Matrix" => matrix,
        "Range" => range,
        "Log" => log,
        "Exponent" => exponent,
        "LUT1D" => channels,
        "LUT3D" => grid,
        "ASC_CDL" => cdl,
        other => return Err(reading.fault(at, format!("{other} is no node that is read; these are {NODES}"))),
    };
    for key in ["inBitDepth", "outBitDepth"] {
        let depth = reading.attribute(at, key)?;
        if !matches!(depth, "32f" | "16f") {
            let problem = format!("{key} of {} is {depth}; only 32f and 16f are read, so scale its numbers", name(at));
            return Err(reading.fault(at, problem));
        }
    }
    read(reading, at)
}

/// The one element of a name.
fn only<'n, 'a>(reading: &Reading<'a>, at: Element<'n, 'a>, wanted: &str) -> Result<Element<'n, 'a>, XmlError> {
    let mut found = elements(at).filter(|element| name(*element) == wanted);
    match (found.next(), found.next()) {
        (Some(element), None) => Ok(element),
        (None, _) => Err(reading.fault(at, format!("{} lacks {wanted}; give it", name(at)))),
        (Some(_), Some(second)) => Err(reading.fault(second, format!("{wanted} is there twice; take one of them out"))),
    }
}

fn style<T>(reading: &Reading, at: Element, usual: &str, known: &[(&str, T)]) -> Result<T, XmlError>
where
    T: Copy,
{
    let said = at.attribute("style").unwrap_or(usual);
    let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
    let found = known.iter().find(|(name, _)| *name == said).map(|(_, value)| *value);
    found.ok_or_else(|| {
        reading.fault(at, format!("the style {said} of {} is not read; these are {}", name(at), names.join(", ")))
    })
}

fn matrix(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    let array = only(reading, at, "Array")?;
    let (matrix, offset) = match array.attribute("dim").map(str::trim) {
        Some("3 3") => {
            let [a, b, c, d, e, f, g, h, i] = reading.numbers(array)?;
            ([[a, b, c], [d, e, f], [g, h, i]], [0.0; 3])
        }
        Some("3 4") => {
            let [a, b, c, x, d, e, f, y, g, h, i, z] = reading.numbers(array)?;
            ([[a, b, c], [d, e, f], [g, h, i]], [x, y, z])
        }
        _ => return Err(reading.fault(array, "the Array of a Matrix has dim=\"3 3\" or dim=\"3 4\"; say which")),
    };
    Ok(Node::Matrix(Affine { matrix: Matrix(matrix), offset }))
}

fn range(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    let clamps = style(reading, at, "clamp", &[("clamp", true), ("Clamp", true), ("noClamp", false)])?;
    let mut ends = [0.0; 4];
    for (end, key) in ends.iter_mut().zip(["minInValue", "maxInValue", "minOutValue", "maxOutValue"]) {
        let [value] = reading.numbers(only(reading, at, key)?)?;
        *end = value;
    }
    let [low, high, to_low, to_high] = ends;
    if low >= high || to_low > to_high {
        return Err(reading.fault(at, "each maximum of a Range lies above its minimum; correct its values"));
    }
    Ok(Node::Range(Range { from: [low, high], to: [to_low, to_high], clamps }))
}

fn log(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    let way = style(reading, at, "", &[("cameraLinToLog", Way::Forward), ("cameraLogToLin", Way::Back)])?;
    let params = only(reading, at, "LogParams")?;
    if params.has_attribute("channel") {
        return Err(reading.fault(params, "LogParams for one channel are not read; give one for all three"));
    }
    let or = |key: &str, usual: f64| Ok::<f64, XmlError>(reading.number_of(params, key)?.unwrap_or(usual));
    let must = |key: &str| {
        let none = || reading.fault(params, format!("LogParams lack {key}=\"...\", which is needed here; give it"));
        reading.number_of(params, key)?.ok_or_else(none)
    };
    let mut log = Log {
        base: or("base", 2.0)?,
        log_slope: or("logSideSlope", 1.0)?,
        log_offset: or("logSideOffset", 0.0)?,
        lin_slope: or("linSideSlope", 1.0)?,
        lin_offset: or("linSideOffset", 0.0)?,
        lin_break: must("linSideBreak")?,
        linear_slope: 0.0,
    };
    log.linear_slope = reading.number_of(params, "linearSlope")?.unwrap_or_else(|| log.slope_at_break());
    let sound =
        log.base > 0.0 && log.base != 1.0 && log.log_slope != 0.0 && log.lin_slope != 0.0 && log.linear_slope != 0.0;
    if !sound {
        return Err(reading.fault(params, "LogParams need a base above 0 that is not 1, and slopes that are not 0"));
    }
    Ok(Node::Log(log, way))
}

fn exponent(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    let styles = [
        ("basicMirrorFwd", (Law::Basic, Way::Forward)),
        ("basicMirrorRev", (Law::Basic, Way::Back)),
        ("monCurveMirrorFwd", (Law::MonCurve, Way::Forward)),
        ("monCurveMirrorRev", (Law::MonCurve, Way::Back)),
    ];
    let (law, way) = style(reading, at, "", &styles)?;
    let params = only(reading, at, "ExponentParams")?;
    let exponent = reading.number(params, reading.attribute(params, "exponent")?)?;
    let offset = reading.number_of(params, "offset")?.unwrap_or(0.0);
    let sound = match law {
        Law::Basic => exponent > 0.0 && offset == 0.0,
        Law::MonCurve => exponent > 1.0 && offset > 0.0,
    };
    if !sound {
        let problem = "ExponentParams need an exponent above 0, and with an offset above 0 an exponent above 1";
        return Err(reading.fault(params, problem));
    }
    Ok(Node::Exponent(Exponent { law, exponent, offset }, way))
}

/// The dim of an array of a table, as whole numbers.
fn dim(reading: &Reading, array: Element) -> Result<Vec<usize>, XmlError> {
    let words = reading.attribute(array, "dim")?.split_ascii_whitespace();
    let read: Result<Vec<usize>, _> = words.map(str::parse).collect();
    read.map_err(|_| reading.fault(array, "dim holds whole numbers; correct it"))
}

/// The numbers of a table in threes.
fn entries(reading: &Reading, array: Element, count: usize, columns: usize) -> Result<Vec<[f64; 3]>, XmlError> {
    // Single floats, as the depth says: their shortest text means another double.
    let single = |v: f64| f64::from(v as f32);
    let numbers: Vec<f64> = reading.all_numbers(array)?.into_iter().map(single).collect();
    if count.checked_mul(columns) != Some(numbers.len()) {
        let problem = format!("the Array holds {} numbers where its dim says {count} by {columns}", numbers.len());
        return Err(reading.fault(array, problem));
    }
    Ok(match columns {
        1 => numbers.into_iter().map(|v| [v; 3]).collect(),
        _ => numbers.as_chunks::<3>().0.to_vec(),
    })
}

fn channels(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    if at.has_attribute("rawHalfs") {
        return Err(reading.fault(at, "a LUT1D of rawHalfs is not read; write its entries as numbers"));
    }
    let array = only(reading, at, "Array")?;
    let (size, columns) = match dim(reading, array)?[..] {
        [size, columns @ (1 | 3)] => (size, columns),
        _ => return Err(reading.fault(array, "the dim of a LUT1D is its size, then 1 or 3; correct it")),
    };
    let entries = entries(reading, array, size, columns)?;
    if at.attribute("halfDomain").is_some() {
        let table = HalfTable::new(entries);
        let table = table.ok_or_else(|| {
            reading.fault(array, format!("a LUT1D with a halfDomain has {PATTERNS} entries, not {size}"))
        })?;
        return Ok(Node::HalfTable(Arc::new(table)));
    }
    table(reading, array, LutKind::OneD, size, entries, Interpolation::Tetrahedral)
}

fn grid(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    let interpolation = match at.attribute("interpolation") {
        None | Some("trilinear") => Interpolation::Trilinear,
        Some("tetrahedral") => Interpolation::Tetrahedral,
        Some(other) => {
            return Err(
                reading.fault(at, format!("the interpolation {other} is not known; trilinear and tetrahedral are"))
            );
        }
    };
    let array = only(reading, at, "Array")?;
    let size = match dim(reading, array)?[..] {
        [a, b, c, 3] if a == b && b == c && (2..=LARGEST_GRID).contains(&a) => a,
        _ => {
            let problem =
                format!("the dim of a LUT3D is its size three times, 2 to {LARGEST_GRID}, then 3; correct it");
            return Err(reading.fault(array, problem));
        }
    };
    let blue_first = entries(reading, array, size * size * size, 3)?;
    // Turning the order around is its own inverse.
    let place = |at: usize| at / (size * size) + size * (at / size % size) + size * size * (at % size);
    let red_first = (0..blue_first.len()).map(|at| blue_first.get(place(at)).copied().unwrap_or_default()).collect();
    table(reading, array, LutKind::ThreeD, size, red_first, interpolation)
}

fn table(
    reading: &Reading,
    at: Element,
    kind: LutKind,
    size: usize,
    entries: Vec<[f64; 3]>,
    interpolation: Interpolation,
) -> Result<Node, XmlError> {
    let lut = Lut::new(kind, size, [0.0; 3], [1.0; 3], entries);
    Ok(Node::Table(Arc::new(lut.map_err(|error| reading.fault(at, error.to_string()))?), interpolation))
}

fn cdl(reading: &Reading, at: Element) -> Result<Node, XmlError> {
    let clamp = style(reading, at, "Fwd", &[("Fwd", true), ("FwdNoClamp", false)])?;
    let mut cdl = Cdl { clamp, ..Cdl::default() };
    for element in elements(at) {
        match name(element) {
            "SOPNode" => {
                cdl.slope = reading.numbers(only(reading, element, "Slope")?)?;
                cdl.offset = reading.numbers(only(reading, element, "Offset")?)?;
                cdl.power = reading.numbers(only(reading, element, "Power")?)?;
            }
            "SatNode" => [cdl.saturation] = reading.numbers(only(reading, element, "Saturation")?)?,
            "Description" => {}
            other => return Err(reading.fault(element, format!("{other} is no part of ASC_CDL; take it out"))),
        }
    }
    let sound = cdl.slope.iter().all(|&v| v >= 0.0) && cdl.power.iter().all(|&v| v > 0.0) && cdl.saturation >= 0.0;
    if !sound {
        return Err(reading.fault(at, "slope and saturation of an ASC_CDL are 0 or more, its power is above 0"));
    }
    Ok(Node::Cdl(cdl))
}
