//! What the fuzzing targets in `fuzz/` have collected, read once more.

#[path = "../../../fuzz/checks.rs"]
mod checks;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// What a damaged file may take to be answered.
const LONGEST_ANSWER: Duration = Duration::from_secs(2);

/// The inputs of one target, in the order of their names.
fn inputs(target: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus").join(target);
    let entries = fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let mut inputs: Vec<PathBuf> = entries.map(|entry| entry.expect("the folder can be read").path()).collect();
    inputs.sort();
    assert!(!inputs.is_empty(), "{} is empty", folder.display());
    inputs
}

fn replay(target: &str, check: impl Fn(&Path, &[u8])) {
    for input in inputs(target) {
        let folder = tempfile::tempdir().expect("a folder can be made");
        let bytes = fs::read(&input).expect("the input can be read");
        let started = Instant::now();
        check(folder.path(), &bytes);
        let took = started.elapsed();
        assert!(took < LONGEST_ANSWER, "{}: {:.1} s", input.display(), took.as_secs_f64());
    }
}

#[test]
fn dpx_files() {
    replay("dpx", checks::dpx);
}

#[test]
fn names_of_sequences() {
    replay("sequence_names", |folder, bytes| {
        // The fuzzer gives its target nothing that is no text.
        if let Ok(text) = str::from_utf8(bytes) {
            checks::sequence_names(folder, text);
        }
    });
}
