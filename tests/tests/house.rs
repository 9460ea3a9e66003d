//! House rules that a reader would otherwise have to enforce: size, names, and nothing left lying about.

use std::fs;
use std::path::{Path, PathBuf};

/// A file longer than this has more than one purpose.
const LONGEST_FILE_LINES: usize = 600;

/// Folders that hold nothing written by hand.
const LEFT_OUT: [&str; 3] = [".git", "target", "demo-out"];

/// Names that say nothing about what is inside.
const EMPTY_NAMES: [&str; 5] = ["util", "utils", "helper", "helpers", "misc"];

// Put together here, so that this file does not break its own rules. The last is what a new operation's skeleton
// puts around the words to be rewritten.
const MARKERS: [&str; 3] = [concat!("TO", "DO"), concat!("FIX", "ME"), "\u{2039}"];
const MACHINE_PATHS: [&str; 3] = [concat!("/ho", "me/"), concat!("/ro", "ot/"), concat!("/Us", "ers/")];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("tests/ lies in the checkout").to_path_buf()
}

/// Every file below the folder but those left out, sorted.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("the checkout can be read") {
        let path = entry.expect("the checkout can be read").path();
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        if path.is_symlink() || LEFT_OUT.contains(&name.as_str()) {
            continue;
        }
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn has_extension(path: &Path, extensions: &[&str]) -> bool {
    path.extension().is_some_and(|own| extensions.iter().any(|extension| own == *extension))
}

/// Programs, shaders, pages and settings: what people read. A file that is no text has no lines.
fn read(path: &Path) -> String {
    fs::read(path).ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

/// The places where one of the words stands, as `file:line: word`.
fn places(paths: &[PathBuf], words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for path in paths {
        for (line, text) in read(path).lines().enumerate() {
            found.extend(
                words
                    .iter()
                    .filter(|word| text.contains(**word))
                    .map(|word| format!("{}:{}: {word}", shown(path), line + 1)),
            );
        }
    }
    found
}

#[test]
fn no_file_is_longer_than_one_purpose_needs() {
    let long: Vec<String> = files(&root())
        .iter()
        .filter(|path| has_extension(path, &["rs", "wgsl", "py"]))
        .map(|path| (shown(path), read(path).lines().count()))
        .filter(|(_, lines)| *lines > LONGEST_FILE_LINES)
        .map(|(path, lines)| format!("{path}: {lines} lines, {LONGEST_FILE_LINES} at most"))
        .collect();
    assert!(long.is_empty(), "split by purpose:\n{}", long.join("\n"));
}

/// Samples are for what no text can say: few, small, and each with its origin and licence in the list beside them.
#[test]
fn samples_are_small_and_have_their_licence() {
    let data = root().join("tests/data");
    let bytes: u64 = files(&data).iter().filter_map(|path| path.metadata().ok()).map(|about| about.len()).sum();
    assert!(bytes <= 2_000_000, "tests/data holds {bytes} bytes, 2 MB at most");
    let list = read(&data.join("frames/README.md"));
    let unnamed: Vec<String> = files(&data.join("frames"))
        .iter()
        .filter_map(|path| path.strip_prefix(data.join("frames")).ok())
        .map(|path| path.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/"))
        .filter(|name| name != "README.md" && !list.contains(&format!("`{name}`")))
        .collect();
    assert!(unnamed.is_empty(), "without origin and licence: {}", unnamed.join(", "));
}

#[test]
fn no_module_has_an_empty_name() {
    let empty: Vec<String> = files(&root())
        .iter()
        .filter(|path| has_extension(path, &["rs", "wgsl", "py"]))
        .filter(|path| {
            let below = path.strip_prefix(root()).unwrap_or(path).with_extension("");
            below.components().any(|part| EMPTY_NAMES.contains(&part.as_os_str().to_string_lossy().as_ref()))
        })
        .map(|path| shown(path))
        .collect();
    assert!(empty.is_empty(), "name these by what they are for:\n{}", empty.join("\n"));
}

#[test]
fn no_work_is_left_in_markers() {
    let read_by_people: Vec<PathBuf> = files(&root())
        .into_iter()
        .filter(|path| has_extension(path, &["rs", "wgsl", "py", "toml", "md", "sh"]))
        .collect();
    let found = places(&read_by_people, &MARKERS);
    assert!(found.is_empty(), "do it or file it:\n{}", found.join("\n"));
}

#[test]
fn no_path_of_one_machine() {
    let found = places(&files(&root()), &MACHINE_PATHS);
    assert!(found.is_empty(), "these hold on one machine only:\n{}", found.join("\n"));
}

#[test]
fn shaders_of_operations_have_their_room() {
    let shaders = files(&root().join("shaders/ops"));
    let homeless: Vec<String> = shaders
        .iter()
        .filter(|path| has_extension(path, &["wgsl"]))
        .filter(|path| {
            let name = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
            let rooms = root().join("crates/ops/src");
            !rooms.join(format!("{name}.rs")).is_file() && !rooms.join(&name).join("mod.rs").is_file()
        })
        .map(|path| shown(path))
        .collect();
    assert!(homeless.is_empty(), "no crates/ops/src/<name>.rs for:\n{}", homeless.join("\n"));
}

/// The search can fail, and says where.
#[test]
fn places_name_file_and_line() {
    let own = root().join("tests/tests/house.rs");
    let found = places(&[own], &["fn places_name_file_and_line"]);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].starts_with("tests/tests/house.rs:"), "{found:?}");
}
