//! Folders of files that are dear to make, made once for every process of a run: `cargo nextest` gives each test its own.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// The folder `name` in the target folder, filled by `make` unless `maker`, the program that fills it, has done so
/// before. The others wait for the first.
///
/// # Panics
/// The folder cannot be made, or `make` panics.
pub fn folder(name: &str, maker: &Path, make: impl FnOnce(&Path)) -> PathBuf {
    let test = std::env::current_exe().expect("a test knows where it lies");
    let profile = test.parent().and_then(Path::parent).expect("tests lie in target/<profile>/deps");
    let all = profile.join("made_for_tests");
    fs::create_dir_all(&all).expect("a folder");
    // Held until this function ends, or its process.
    let turn = fs::File::create(all.join(format!("{name}.lock"))).expect("a lock");
    turn.lock().expect("a turn");
    let (folder, stamp) = (all.join(name), all.join(format!("{name}.made")));
    let wanted = version(maker);
    if fs::read_to_string(&stamp).is_ok_and(|made| made == wanted) {
        return folder;
    }
    for old in [&stamp, &folder] {
        let gone = if old.is_dir() { fs::remove_dir_all(old) } else { fs::remove_file(old) };
        assert!(gone.is_ok() || !old.exists(), "{}: cannot be removed", old.display());
    }
    fs::create_dir(&folder).expect("a folder");
    make(&folder);
    fs::write(stamp, wanted).expect("a stamp");
    folder
}

/// What tells one build of a program from the next.
fn version(program: &Path) -> String {
    let about = fs::metadata(program).unwrap_or_else(|error| panic!("{}: {error}", program.display()));
    let built = about.modified().expect("a time").duration_since(SystemTime::UNIX_EPOCH).expect("after 1970");
    format!("{} {}", about.len(), built.as_nanos())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_made_once_for_each_build_of_its_maker() {
        let dir = tempfile::tempdir().expect("a folder");
        let maker = dir.path().join("maker");
        let times = std::cell::Cell::new(0);
        let ask = || {
            folder("of_the_shared_test", &maker, |path| {
                times.set(times.get() + 1);
                fs::write(path.join(format!("{}", times.get())), "").expect("a file");
            })
        };
        fs::write(&maker, "first").expect("a file");
        assert_eq!(ask(), ask());
        assert_eq!(times.get(), 1);
        fs::write(&maker, "the second").expect("a file");
        let path = ask();
        let left: Vec<_> = fs::read_dir(&path).expect("it is there").flatten().map(|entry| entry.file_name()).collect();
        assert_eq!(left, ["2"], "what another build made is gone");
        fs::remove_dir_all(path).expect("it is there");
    }
}
