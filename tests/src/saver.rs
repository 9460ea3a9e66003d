//! The states that a process goes through which saves until it is killed; see `tests/kills.rs` and `bin/saves.rs`.

use graph::{Edit, Shot};
use session::file::Written;

/// A project of some size, so that writing it takes a moment, in its state `number`.
///
/// # Panics
/// The project has no exposure any more.
pub fn state(number: u32) -> Written {
    let mut document = graph::chain::parse("exposure").expect("the chain holds");
    for shot in 0..400 {
        let (media, note) = (format!("deck_{shot:03}.%04d.dpx"), "spray on the lens ".repeat(12));
        document.shots.insert(format!("deck_{shot:03}"), Shot { media, note, ..Shot::default() });
    }
    let mut written = Written { document, ..Written::default() };
    written.document.apply(&edit(number)).expect("the edit holds");
    written
}

/// The change that leads to state `number`.
pub fn edit(number: u32) -> Edit {
    let value = (f64::from(number) / 4096.0).to_string();
    Edit::Set { member: "exposure".into(), key: "stops".into(), value }
}

/// The state that a project is in. Anything but a whole state fails.
///
/// # Panics
/// A state that never was.
pub fn number_of(written: &Written) -> u32 {
    let stops: f64 =
        written.document.kit["exposure"].get("stops").and_then(|text| text.parse().ok()).expect("a number");
    let number = (stops * 4096.0) as u32;
    assert_eq!(*written, state(number), "a state that never was");
    number
}
