//! Any text as the names of a sequence.
//!
//! cargo fuzz run sequence_names -s none -- -max_total_time=300 -max_len=256 -timeout=2

#![no_main]

#[path = "../checks.rs"]
#[expect(dead_code, reason = "the other target's checks")]
mod checks;
#[path = "../room.rs"]
mod room;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| checks::sequence_names(room::folder().path(), text));
