//! What must hold of any input, for the fuzzing targets and for the test that replays their corpora
//! (`crates/media/tests/corpus.rs`).

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use media::{MediaError, OutputPattern, Sequence};

/// Files a folder is given at most.
const FILES: usize = 6;

/// Any bytes as a DPX file in `folder`: a frame that is as large as it says, or an error that names the file.
///
/// # Panics
/// It does not hold.
pub fn dpx(folder: &Path, bytes: &[u8]) {
    // Everything else is another format's reader.
    if !(bytes.starts_with(b"SDPX") || bytes.starts_with(b"XPDS")) {
        return;
    }
    let path = folder.join("fuzzed.dpx");
    fs::write(&path, bytes).expect("the file can be written");
    match media::read(&path) {
        Ok(picture) => {
            let frame = &picture.frame;
            assert_eq!(frame.layout().byte_len(frame.size()), Some(frame.bytes().len()));
            assert_eq!(frame.to_pixels(frame::Range::Full).len(), frame.size().pixels());
        }
        Err(error) => assert!(error.to_string().contains("fuzzed.dpx"), "the message names no file: {error}"),
    }
}

/// Any text as the names of a sequence: the first line is what a user typed, the others are files in `folder`, which
/// must be empty.
///
/// # Panics
/// It does not hold.
pub fn sequence_names(folder: &Path, text: &str) {
    let mut lines = text.lines();
    let Some(typed) = lines.next().filter(|typed| !typed.contains('/')) else { return };
    for name in lines.filter(|name| !name.contains('/')).take(FILES) {
        // Names that the system does not take are no business of ours.
        let _ = fs::write(folder.join(name), "");
    }
    for argument in [folder.to_path_buf(), folder.join(typed)] {
        if let Ok(sequence) = Sequence::open(&argument) {
            check_sequence(&sequence);
        }
    }
    let number = text.bytes().fold(0_i64, |number, byte| number.wrapping_mul(31).wrapping_add(i64::from(byte) - 64));
    check_there_and_back(folder, typed, number % 1_000_000);
}

/// What must hold of any sequence: numbers that rise, each file once, gaps only between frames.
fn check_sequence(sequence: &Sequence) {
    let numbers: Vec<i64> = sequence.frames().iter().map(|(number, _)| *number).collect();
    assert!(!numbers.is_empty() && numbers.is_sorted_by(|a, b| a < b), "{numbers:?}");
    let paths: BTreeSet<_> = sequence.frames().iter().map(|(_, path)| path).collect();
    assert_eq!(paths.len(), numbers.len());
    for gap in sequence.missing() {
        assert!(gap.start() <= gap.end(), "{gap:?}");
        assert!(!numbers.iter().any(|number| gap.contains(number)), "{gap:?} in {numbers:?}");
    }
    assert_eq!(sequence.missing().is_empty(), sequence.require_whole().is_ok());
    assert!(!sequence.name().is_empty());
    let (first, last) = sequence.span().into_inner();
    let all = sequence.restrict(first, last).expect("a sequence holds its own span");
    assert_eq!(all.frames(), sequence.frames());
}

/// The file that a pattern makes for a number is found by the same pattern under that number.
fn check_there_and_back(folder: &Path, typed: &str, number: i64) {
    let argument = folder.join(typed);
    let Ok(pattern) = OutputPattern::parse(&argument) else { return };
    let path = pattern.path_for(number);
    let has_place = path != pattern.path_for(number + 1);
    // A file that is there under the pattern's own name is meant instead; hidden files are not listed.
    let is_hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
    if !has_place || is_hidden || path.parent() != Some(folder) || path.exists() || argument.exists() {
        return;
    }
    if fs::write(&path, "").is_ok() {
        match Sequence::open(&argument) {
            Ok(sequence) => assert!(sequence.frames().contains(&(number, path)), "{typed:?}: {number} is lost"),
            Err(MediaError::Twice { .. }) => {}
            Err(error) => panic!("{typed:?} with {number}: {error}"),
        }
    }
}
