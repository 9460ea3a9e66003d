//! What the layers make of the touched setting, spelt out: kit, scene, set-up, shot, and what they come to.

use graph::{Layer, Number};

use crate::numbers;
use crate::state::Bench;

/// The layers of the touched setting for a shot; none where nothing is touched.
pub fn words(bench: &Bench, name: &str) -> Option<String> {
    let (document, touched) = (bench.document()?, bench.touched.as_ref()?);
    let shot = document.shots.get(name)?;
    let of = |layer: Option<&Layer>| number(layer.and_then(|layer| layer.number(&touched.member, &touched.field)));
    let kit = document.kit.get(&touched.member)?.get(&touched.field)?;
    let set_up = shot.set_up.as_ref().and_then(|name| document.set_ups.get(name)).map(|set_up| &set_up.layer);
    let comes_to = numbers::value(document, Some(name), Some(bench.frame), touched).unwrap_or_default();
    let setting = format!("{} {}", touched.member, touched.field).replace('-', " ");
    let (scene, set_up, own) = (of(Some(&document.scene)), of(set_up), of(Some(&shot.layer)));
    Some(format!("{setting}:  kit {kit}   scene {scene}   set-up {set_up}   shot {own}   comes to {comes_to}"))
}

/// Base, trim and marks of one layer.
fn number(number: Option<&Number>) -> String {
    let Some(number) = number else { return "\u{2013}".to_string() };
    let trim = number.trim.as_ref().map(|trim| format!("trim {trim}"));
    let marks = match number.marks.len() {
        0 => None,
        1 => Some("1 mark".to_string()),
        count => Some(format!("{count} marks")),
    };
    let parts: Vec<String> = number.base.clone().into_iter().chain(trim).chain(marks).collect();
    parts.join(", ")
}
