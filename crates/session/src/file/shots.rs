//! Numbers, set-ups and shots in the file.

use std::fmt::Write as _;

use graph::{Document, Kit, Layer, Number, SetUp, Shot, State};
use ops::{Op, Setting};

use super::fault::FileError;
use super::kit::is_scale;
use super::plain::{key, quoted, value};
use super::section::{Found, Section};

/// `numbers.MEMBER.SETTING.base`, `.trim` and `.marks.FRAME`.
fn read_layer(section: &mut Section<'_>, kit: &Kit) -> Result<Layer, FileError> {
    let mut layer = Layer::default();
    for member in section.section("numbers")?.all() {
        let op = kit.get(member.key).ok_or_else(|| {
            member.wrong_key(format!("'{}' is not in the kit; add [kit.{0}], or take its numbers away", member.key))
        })?;
        for found in member.section()?.all() {
            let field = op.fields().iter().find(|field| field.key == found.key).ok_or_else(|| {
                let known: Vec<_> = op.fields().iter().map(|field| field.key).collect();
                found.wrong_key(format!("{} has no such setting; there are {}", op.id(), known.join(", ")))
            })?;
            let settable = |found: &Found<'_>| {
                let text = found.setting(is_scale(field))?;
                op.clone().set(field.key, &text).map(|()| text).map_err(|error| found.wrong(error))
            };
            let mut parts = found.section_or("a name that ends in .base, .trim or .marks.FRAME")?;
            let base = parts.take("base").map(|base| settable(&base)).transpose()?;
            let summed = |found: &Found<'_>| {
                let text = found.setting(is_scale(field))?;
                op.sum_of_trims(field.key, &[&text]).map(|_| text.clone()).map_err(|error| found.wrong(error))
            };
            let trim = parts.take("trim").map(|trim| summed(&trim)).transpose()?;
            let mut number = Number { base, trim, ..Number::default() };
            for mark in parts.section("marks")?.all() {
                let frame = mark.key.parse().map_err(|_| {
                    mark.wrong_key(format!("'{}' is no frame number; one is wanted, for instance 1001", mark.key))
                })?;
                if number.marks.insert(frame, settable(&mark)?).is_some() {
                    return Err(mark.wrong_key("this frame is marked twice; keep one of the two"));
                }
            }
            parts.end()?;
            layer.put(member.key, found.key, number);
        }
    }
    Ok(layer)
}

pub(super) fn read_scene(mut section: Section<'_>, kit: &Kit) -> Result<Layer, FileError> {
    let layer = read_layer(&mut section, kit)?;
    section.end()?;
    Ok(layer)
}

pub(super) fn read_set_up(found: &Found<'_>, kit: &Kit) -> Result<SetUp, FileError> {
    let mut section = found.section()?;
    let set_up = SetUp { note: section.text("note")?.unwrap_or_default(), layer: read_layer(&mut section, kit)? };
    section.end()?;
    Ok(set_up)
}

pub(super) fn read_shot(found: &Found<'_>, document: &Document) -> Result<Shot, FileError> {
    let mut section = found.section()?;
    let candidate = known(&mut section, "candidate", document.candidates.keys())?;
    let set_up = known(&mut section, "set_up", document.set_ups.keys())?;
    let shot = Shot {
        media: section.need("media", "media = \"PATH\"")?.text()?.to_string(),
        set_up,
        camera_roll: section.text("camera_roll")?,
        encoding: section.text("encoding")?,
        exposure_index: section.take("exposure_index").map(|found| found.whole()).transpose()?,
        range: parsed(&mut section, "range", Setting::parse)?,
        camera_white: parsed(&mut section, "camera_white", Setting::parse)?,
        measuring_region: parsed(&mut section, "measuring_region", Setting::parse)?,
        candidate,
        state: parsed(&mut section, "state", State::parse)?.unwrap_or_default(),
        locked: section.take("locked").map(|found| found.flag()).transpose()?.unwrap_or_default(),
        note: section.text("note")?.unwrap_or_default(),
        layer: read_layer(&mut section, &document.kit)?,
    };
    section.end()?;
    Ok(shot)
}

/// A name that stands elsewhere in the file.
fn known<'n>(
    section: &mut Section<'_>,
    key: &'static str,
    names: impl Iterator<Item = &'n String>,
) -> Result<Option<String>, FileError> {
    let names: Vec<_> = names.map(String::as_str).collect();
    parsed(section, key, |text| {
        names.contains(&text).then(|| text.to_string()).ok_or_else(|| {
            let there =
                if names.is_empty() { "there is none".to_string() } else { format!("there are {}", names.join(", ")) };
            format!("there is no '{text}'; {there}")
        })
    })
}

/// Text that means something.
fn parsed<T>(
    section: &mut Section<'_>,
    key: &'static str,
    parse: impl Fn(&str) -> Result<T, String>,
) -> Result<Option<T>, FileError> {
    let Some(found) = section.take(key) else { return Ok(None) };
    parse(found.text()?).map(Some).map_err(|reason| found.wrong(reason))
}

// Writing to a string cannot fail: nothing below can.

pub(super) fn write_layer(out: &mut String, layer: &Layer, kit: &Kit) {
    for (member, numbers) in layer.members() {
        // In the order that the operation has its settings in.
        let order = kit.get(member).map_or(&[][..], Op::fields);
        let mut numbers: Vec<_> = numbers.iter().collect();
        numbers.sort_by_key(|(field, _)| order.iter().position(|own| own.key == field.as_str()));
        for (field, number) in numbers {
            let name = format!("numbers.{}.{}", key(member), key(field));
            for (part, text) in [("base", &number.base), ("trim", &number.trim)] {
                if let Some(text) = text {
                    let _ = writeln!(out, "{name}.{part} = {}", value(text));
                }
            }
            for (frame, text) in &number.marks {
                let _ = writeln!(out, "{name}.marks.{frame} = {}", value(text));
            }
        }
    }
}

pub(super) fn write_set_up(out: &mut String, name: &str, set_up: &SetUp, kit: &Kit) {
    let _ = writeln!(out, "\n[set_ups.{}]", key(name));
    write_text(out, "note", Some(&set_up.note).filter(|note| !note.is_empty()));
    write_layer(out, &set_up.layer, kit);
}

pub(super) fn write_shot(out: &mut String, name: &str, shot: &Shot, kit: &Kit) {
    let _ = writeln!(out, "\n[shots.{}]", key(name));
    write_text(out, "media", Some(&shot.media));
    write_text(out, "set_up", shot.set_up.as_ref());
    write_text(out, "camera_roll", shot.camera_roll.as_ref());
    write_text(out, "encoding", shot.encoding.as_ref());
    if let Some(index) = shot.exposure_index {
        let _ = writeln!(out, "exposure_index = {index}");
    }
    write_text(out, "range", shot.range.map(|range| range.print()).as_ref());
    write_text(out, "camera_white", shot.camera_white.as_ref().map(Setting::print).as_ref());
    write_text(out, "measuring_region", shot.measuring_region.as_ref().map(Setting::print).as_ref());
    write_text(out, "candidate", shot.candidate.as_ref());
    if shot.state != State::default() {
        write_text(out, "state", Some(&shot.state.name().to_string()));
    }
    if shot.locked {
        out.push_str("locked = true\n");
    }
    write_text(out, "note", Some(&shot.note).filter(|note| !note.is_empty()));
    write_layer(out, &shot.layer, kit);
}

pub(super) fn write_text(out: &mut String, key: &str, text: Option<&String>) {
    if let Some(text) = text {
        let _ = writeln!(out, "{key} = {}", quoted(text));
    }
}
