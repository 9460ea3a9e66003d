//! Numbers of one shot for others, as one step back.
//!
//! Among shots of one set-up the shot's own layer is copied as it stands, base and trim. Where the set-ups say other things of
//! an operation, the copy brings its settings to the same values instead. Marks are of frames and stay where they are made.

use std::collections::BTreeSet;

use graph::{Document, Edit, Layer, LayerAt, Number, Numbers};

use crate::numbers::{self, Change};
use crate::state::Touched;

/// The operations whose numbers can be copied: those with any setting.
pub fn members(document: &Document) -> BTreeSet<String> {
    document.kit.iter().filter(|(_, op)| !op.fields().is_empty()).map(|(member, _)| member.clone()).collect()
}

/// The edit; none where nothing would change.
///
/// # Errors
/// A locked shot, a value that the target cannot be brought to, in words.
pub fn edit(
    document: &Document,
    from: &str,
    to: &[String],
    members: &BTreeSet<String>,
) -> Result<Option<Edit>, String> {
    let mut after = document.clone();
    let mut edits = Vec::new();
    for target in to.iter().filter(|target| *target != from) {
        for member in members {
            let edit = match own(document, from, member) {
                numbers if said(document, from, member) == said(document, target, member) => {
                    if own(document, target, member) == numbers {
                        continue;
                    }
                    put(target, member, numbers)
                }
                _ => same_values(document, from, target, member)?,
            };
            after.apply(&edit).map_err(|error| error.to_string())?;
            edits.push(edit);
        }
    }
    Ok((after != *document).then_some(Edit::Many(edits)))
}

fn put(target: &str, member: &str, numbers: Numbers) -> Edit {
    Edit::PutNumbers { layer: LayerAt::Shot(target.to_string()), member: member.to_string(), numbers }
}

/// What a shot's own layer says of an operation, without marks.
fn own(document: &Document, shot: &str, member: &str) -> Numbers {
    let numbers = document.shots.get(shot).and_then(|shot| shot.layer.members().get(member)).cloned();
    let bare = numbers
        .unwrap_or_default()
        .into_iter()
        .map(|(field, number)| (field, Number { base: number.base, trim: number.trim, ..Number::default() }));
    bare.filter(|(_, number)| !number.is_empty()).collect()
}

/// What a shot's set-up says of an operation.
fn said<'a>(document: &'a Document, shot: &str, member: &str) -> Option<&'a Numbers> {
    let set_up = document.shots.get(shot)?.set_up.as_ref()?;
    let layer: &Layer = &document.set_ups.get(set_up)?.layer;
    layer.members().get(member)
}

/// Brings all settings of an operation to the values that they have in another shot.
fn same_values(document: &Document, from: &str, target: &str, member: &str) -> Result<Edit, String> {
    let mut bare = document.clone();
    let clear = put(target, member, Numbers::new());
    bare.apply(&clear).map_err(|error| error.to_string())?;
    let mut edits = vec![clear];
    let fields = document.kit.get(member).map(ops::Op::fields).unwrap_or_default();
    let to = [target.to_string()];
    for field in fields {
        let touched = Touched { member: member.to_string(), field: field.key.to_string(), channel: None };
        let wanted = numbers::value(document, Some(from), None, &touched);
        let Some(wanted) =
            wanted.filter(|wanted| numbers::value(&bare, Some(target), None, &touched).as_ref() != Some(wanted))
        else {
            continue;
        };
        edits.push(numbers::edit(&bare, &to, &touched, &Change::To(wanted))?);
    }
    Ok(Edit::Many(edits))
}
