//! Any bytes as a DPX file.
//!
//! cargo fuzz run dpx -s none -- -max_total_time=300 -max_len=8192 -rss_limit_mb=1024 -timeout=2

#![no_main]

#[path = "../checks.rs"]
#[expect(dead_code, reason = "the other target's checks")]
mod checks;
#[path = "../room.rs"]
mod room;

use std::cell::LazyCell;

use libfuzzer_sys::fuzz_target;

thread_local! {
    static FOLDER: LazyCell<tempfile::TempDir> = LazyCell::new(room::folder);
}

fuzz_target!(|bytes: &[u8]| FOLDER.with(|folder| checks::dpx(folder.path(), bytes)));
