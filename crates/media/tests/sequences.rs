//! From what a user types to frames on disk.

#![expect(clippy::unwrap_used, reason = "a test may stop where it cannot go on")]

use std::fs;
use std::path::{Path, PathBuf};

use media::{Format, MediaError, OutputPattern, Sequence};

fn folder_with(names: &[&str]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in names {
        fs::write(folder.path().join(name), b"").unwrap();
    }
    folder
}

fn numbers(sequence: &Sequence) -> Vec<i64> {
    sequence.frames().iter().map(|frame| frame.0).collect()
}

#[test]
fn a_pattern_finds_its_frames_in_numeric_order() {
    let names = ["d.100.dpx", "d.99.dpx", "d.-002.dpx", "d.0007.dpx", "d.1.exr", "dd.1.dpx", "d.x.dpx"];
    let folder = folder_with(&names);
    for pattern in ["d.%04d.dpx", "d.####.dpx", "d.%d.dpx", "d.#.dpx"] {
        let sequence = Sequence::open(&folder.path().join(pattern)).unwrap();
        assert_eq!(numbers(&sequence), [-2, 7, 99, 100], "{pattern}");
        assert_eq!(sequence.missing(), [-1..=6, 8..=98]);
        assert_eq!(sequence.frames()[2].1, folder.path().join("d.99.dpx"));
    }
}

#[test]
fn gaps_are_named() {
    let folder = folder_with(&["a_1001.tif", "a_1002.tif", "a_1004.tif", "a_1008.tif"]);
    let sequence = Sequence::open(&folder.path().join("a_####.tif")).unwrap();
    assert_eq!(sequence.name(), "a_####.tif");
    assert_eq!(sequence.missing_in_words(), "frames 1003, 1005-1007");
    let message = sequence.require_whole().unwrap_err().to_string();
    assert!(message.starts_with("a_####.tif: frames 1003, 1005-1007 not there"), "{message}");

    let part = sequence.restrict(1001, 1002).unwrap();
    assert!(part.require_whole().is_ok());
    let part = sequence.restrict(1000, 1002).unwrap();
    assert_eq!(part.missing(), [1000..=1000]);
    assert_eq!(part.missing_in_words(), "frame 1000");
    let part = sequence.restrict(1008, 1010).unwrap();
    assert_eq!(part.missing(), [1009..=1010]);
    let message = sequence.restrict(1, 5).unwrap_err().to_string();
    assert!(message.contains("1001-1008"), "{message}");
}

#[test]
fn a_folder_holds_exactly_one_sequence() {
    let folder = folder_with(&["a.0001.dpx", "a.0002.dpx", ".a.0003.dpx", "notes.txt"]);
    let sequence = Sequence::open(folder.path()).unwrap();
    assert_eq!((sequence.name(), numbers(&sequence)), ("a.####.dpx", vec![1, 2]));

    let folder = folder_with(&["a.0001.dpx", "a.0002.dpx", "b.1.exr", "card.png"]);
    match Sequence::open(folder.path()) {
        Err(MediaError::SeveralSequences { names, .. }) => {
            assert_eq!(names, ["a.####.dpx (1-2)", "b.1.exr (1)", "card.png (1)"]);
        }
        other => panic!("{other:?}"),
    }
    let folder = folder_with(&["notes.txt"]);
    assert!(matches!(Sequence::open(folder.path()), Err(MediaError::EmptyFolder { .. })));
}

#[test]
fn one_file_is_a_sequence_of_its_number() {
    let folder = folder_with(&["a.0087.dpx", "card.exr", "odd#.png"]);
    let open = |name: &str| Sequence::open(&folder.path().join(name)).unwrap();
    assert_eq!(numbers(&open("a.0087.dpx")), [87]);
    assert_eq!(numbers(&open("card.exr")), [1]);
    assert_eq!(open("odd#.png").frames()[0].1, folder.path().join("odd#.png"));
}

#[test]
fn what_is_not_there_is_said() {
    let folder = folder_with(&["a.1.dpx", "a.01.dpx"]);
    let open = |name: &str| Sequence::open(&folder.path().join(name)).unwrap_err();
    assert!(matches!(open("b.####.dpx"), MediaError::NoFrames { .. }));
    assert!(matches!(open("b.0001.dpx"), MediaError::Missing { .. }));
    assert!(matches!(open("none/b.####.dpx"), MediaError::Missing { .. }));
    assert!(matches!(open("a.##.#.dpx"), MediaError::Pattern { .. }));
    let twice = open("a.#.dpx");
    assert!(matches!(twice, MediaError::Twice { number: 1, .. }), "{twice}");
}

#[test]
fn outputs_follow_the_same_patterns() {
    let pattern = OutputPattern::parse(Path::new("out/a.%04d.exr")).unwrap();
    assert_eq!(pattern.path_for(12), PathBuf::from("out/a.0012.exr"));
    assert_eq!(pattern.format(), Format::Exr);
    assert!(pattern.check_count(100).is_ok());

    let lone = OutputPattern::parse(Path::new("a.png")).unwrap();
    assert_eq!(lone.path_for(12).file_name().unwrap(), "a.png");
    assert!(lone.check_count(1).is_ok());
    let message = lone.check_count(2).unwrap_err().to_string();
    assert!(message.contains("name.%04d.dpx"), "{message}");

    let folder = OutputPattern::parse(Path::new("new/")).unwrap();
    assert_eq!(folder.path_for(3), PathBuf::from("new/frame.0003.dpx"));
    let named = OutputPattern::parse_with_default(Path::new("new/"), "deck.####.tif").unwrap();
    assert_eq!(named.path_for(3), PathBuf::from("new/deck.0003.tif"));

    assert!(matches!(OutputPattern::parse(Path::new("a.gif")), Err(MediaError::UnknownFormat { .. })));
    assert!(matches!(OutputPattern::parse(Path::new("a.jpg")), Err(MediaError::OnlyRead { .. })));
    assert!(matches!(OutputPattern::parse(Path::new("a")), Err(MediaError::UnknownFormat { .. })));
}

#[test]
fn an_output_folder_is_made_and_tried() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("new/deeper");
    let pattern = OutputPattern::parse(&out.join("a.####.dpx")).unwrap();
    pattern.prepare().unwrap();
    assert_eq!(fs::read_dir(&out).unwrap().count(), 0, "the trial leaves nothing");

    let file = folder.path().join("file");
    fs::write(&file, b"").unwrap();
    let pattern = OutputPattern::parse(&file.join("a.####.dpx")).unwrap();
    let error = pattern.prepare().unwrap_err();
    assert!(matches!(error, MediaError::Unwritable { .. }), "{error}");
}
