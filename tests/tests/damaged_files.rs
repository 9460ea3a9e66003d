//! Damaged pictures through the program: an answer within two seconds and one gibibyte of address space, by `inspect`
//! and by `render`, and a message that names the file.
//!
//! The files: those of the collection beside the checkout (`../shared/media`, skipped with a printed reason where there
//! is none), those in `tests/data/frames`, and sound ones of that folder that are damaged here. Only where the limit can
//! be set, which is on Linux.

#![cfg(target_os = "linux")]

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use tests::program::{Answer, Run, greywright};
use tests::table;

const LONGEST_ANSWER: Duration = Duration::from_secs(2);
/// One gibibyte.
const MOST_KIBIBYTES: u64 = 1 << 20;

/// Runs the program under the limits; what is wrong with its answer, if anything.
fn answer(run: &Run, file: &Path) -> (Duration, Result<Answer, String>) {
    let started = Instant::now();
    let answer = run.go();
    let took = started.elapsed();
    let named = answer.stderr.contains(&file.display().to_string());
    let wrong = match answer.code {
        0 => None,
        1 if named => None,
        1 => Some("the message does not name the file"),
        _ => Some("neither done nor refused"),
    };
    (took, wrong.map_or_else(|| Ok(answer.clone()), |wrong| Err(format!("{wrong}: {answer}"))))
}

/// Holds every file to the promise; prints what took longest.
fn hold(files: &[PathBuf]) {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let (mut wrong, mut longest, mut refused) = (Vec::new(), Duration::ZERO, 0);
    for file in files {
        let inspect = greywright("inspect").with(file);
        // The proof: a software adapter sets aside address space of its own.
        let render = greywright("render --executor proof").with(file).with(dir.path().join("out.exr"));
        for run in [inspect, render].map(|run| run.within(MOST_KIBIBYTES)) {
            let (mut took, mut told) = answer(&run, file);
            if took > LONGEST_ANSWER {
                // Other work on the same machine may have had its share.
                (took, told) = answer(&run, file);
            }
            longest = longest.max(took);
            match told {
                Err(why) => wrong.push(format!("{}: {why}", file.display())),
                Ok(answer) => refused += usize::from(answer.code == 1),
            }
            if took > LONGEST_ANSWER {
                wrong.push(format!("{}: {:.1} s", file.display(), took.as_secs_f64()));
            }
        }
    }
    println!("{} files, {refused} of {} runs refused, the longest {longest:?}", files.len(), 2 * files.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(refused > 0, "damage is noticed");
}

#[test]
fn damaged_files_of_the_collection_are_answered_within_the_limits() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/media");
    let Ok(text) = fs::read_to_string(folder.join("MANIFEST.tsv")) else {
        println!("skipped: {} is not there", folder.display());
        return;
    };
    let damaged = |line: &str| {
        let mut cells = line.split('\t');
        let (path, kind) = (cells.next()?, cells.next()?);
        let is_picture = ["cineon", "dpx", "exr", "jpeg", "png", "tiff"].iter().any(|word| kind.starts_with(word));
        (is_picture && (kind.contains("bad") || kind.contains("damaged"))).then(|| folder.join(path))
    };
    let files: Vec<PathBuf> = text.lines().skip(1).filter_map(damaged).collect();
    assert!(files.len() > 20, "the manifest has {} damaged pictures", files.len());
    hold(&files);
}

/// Every sample that is in the checkout, as it is, cut short, and with bytes of its head made as large as can be.
#[test]
fn samples_that_are_damaged_here_are_answered_within_the_limits() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let mut files = Vec::new();
    let folders = ["frames", "frames/damaged"].map(|folder| fs::read_dir(table::path(folder)).expect("the samples"));
    let mut samples: Vec<PathBuf> = folders.into_iter().flatten().flatten().map(|entry| entry.path()).collect();
    samples.retain(|path| path.is_file());
    samples.sort();
    for sample in samples {
        let ending = sample.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_owned();
        if ["md", "tsv"].contains(&ending.as_str()) {
            continue;
        }
        let bytes = fs::read(&sample).expect("a sample");
        let mut put = |bytes: &[u8]| {
            let file = dir.path().join(format!("{}_damaged.{ending}", files.len()));
            fs::write(&file, bytes).expect("a file");
            files.push(file);
        };
        put(&bytes);
        put(&bytes[..bytes.len() / 2]);
        for (first, step) in [(4, 7), (9, 13), (30, 61)] {
            let mut bytes = bytes.clone();
            bytes.iter_mut().take(2048).skip(first).step_by(step).for_each(|byte| *byte = 0xff);
            put(&bytes);
        }
    }
    hold(&files);
}

/// The limit is a limit: a picture that needs more is not answered.
#[test]
fn the_limit_is_felt() {
    let sample = table::path("frames/bars_10_be.dpx");
    let answer = greywright("inspect").with(&sample).within(4096).go();
    assert_ne!(answer.code, 0, "four mebibytes are not enough for the program itself: {answer}");
    greywright("inspect").with(&sample).within(MOST_KIBIBYTES).done();
}
