//! Kit members in the file: the operation, the version of its maths, and the settings that are not neutral.

use std::fmt::Write as _;

use graph::Kit;
use ops::{Control, Field, Op};

use super::fault::FileError;
use super::plain;
use super::section::{Found, Section};

/// Whether a setting is one number.
pub(super) fn is_scale(field: &Field) -> bool {
    field.control == Control::Scale
}

pub(super) fn read(section: &Section<'_>, notes: &mut Vec<String>) -> Result<Kit, FileError> {
    section.all().into_iter().map(|found| Ok((found.key.to_string(), member(&found, notes)?))).collect()
}

fn member(found: &Found<'_>, notes: &mut Vec<String>) -> Result<Op, FileError> {
    let mut section = found.section()?;
    let operation = section.need("operation", "operation = \"NAME\"")?;
    let named = operation.text()?;
    let mut op = Op::named(named).ok_or_else(|| {
        let known: Vec<_> = Op::all().iter().map(Op::id).collect();
        operation.wrong(format!("there is no operation '{named}'; there are {}", known.join(", ")))
    })?;
    let written = section.need("version", &format!("version = {}", op.version()))?;
    let version = written.whole()?;
    if version > op.version() {
        return Err(written.wrong(format!(
            "version {version} of {named} is newer than this program, which has version {}; its picture would be \
             another one; open the project with a newer Greywright",
            op.version()
        )));
    }
    if let Some((older, note)) = Op::of_version(named, version) {
        op = older;
        notes.push(format!("{}: {note}", found.name));
    } else if version < op.version() {
        return Err(written.wrong(format!(
            "this program has version {} of {named} alone; write that, and look at the picture",
            op.version()
        )));
    }
    for setting in section.all() {
        if matches!(setting.key, "operation" | "version") {
            continue;
        }
        let Some(field) = op.fields().iter().find(|field| field.key == setting.key) else {
            let known: Vec<_> = op.fields().iter().map(|field| field.key).collect();
            let problem = format!("{named} has no setting '{}'; there are {}", setting.key, known.join(", "));
            return Err(setting.wrong_key(problem));
        };
        let text = setting.setting(is_scale(field))?;
        op.set(field.key, &text).map_err(|error| setting.wrong(error))?;
    }
    Ok(op)
}

pub(super) fn write(out: &mut String, kit: &Kit) {
    for (member, op) in kit {
        // Writing to a string cannot fail, here and below.
        let _ = write!(
            out,
            "\n[kit.{}]\noperation = {}\nversion = {}\n",
            plain::key(member),
            plain::quoted(op.id()),
            op.version()
        );
        let neutral = Op::named(op.id());
        for field in op.fields() {
            let text = op.get(field.key);
            if let Some(text) =
                text.filter(|text| neutral.as_ref().and_then(|op| op.get(field.key)).as_ref() != Some(text))
            {
                let _ = writeln!(out, "{} = {}", field.key, plain::value(&text));
            }
        }
    }
}
