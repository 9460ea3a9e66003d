//! Faults in the midst of a render: the disk fills, originals or the output folder vanish, one target takes no file, the
//! device is lost. What is whole stays, what went wrong is named, and `--resume` brings the rest.

use std::fs;
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use frame::Size;
use tests::frames::{CHAIN, files, finished, render, sequence};
use tests::program::{Answer, finish, greywright};

const SMALL: Size = Size::new(32, 18);
/// Slow enough that something can happen in the midst of them.
const LONG: Size = Size::new(240, 135);
const MANY: i64 = 120;

/// Memory for a few frames: what is read ahead would else be the whole sequence, out of reach of what happens to it.
const FEW: [&str; 2] = ["--memory", "1MiB"];

/// Starts a long render, does something once two frames are there, and waits for its end.
fn disturbed(original: &Path, out: &Path, disturb: impl FnOnce()) -> Answer {
    let [key, memory] = FEW;
    let child = render(original, out).with(key).with(memory).start();
    let started = Instant::now();
    while finished(out).len() < 2 {
        assert!(started.elapsed() < Duration::from_secs(60), "no two frames within a minute");
        thread::sleep(Duration::from_millis(2));
    }
    disturb();
    finish(child, "a disturbed render".to_string())
}

#[test]
fn originals_that_vanish_cost_themselves() {
    let dir = tempfile::tempdir().expect("a folder");
    let (folder, out) = (dir.path().join("in"), dir.path().join("out"));
    let original = sequence(&folder, MANY, LONG);
    render(&original, &dir.path().join("whole")).done();
    let whole = files(&dir.path().join("whole"));
    let hidden = dir.path().join("hidden");
    let last = || folder.join(format!("a.{MANY:04}.dpx"));
    let answer = disturbed(&original, &out, || fs::rename(last(), &hidden).expect("the file goes"));
    assert_eq!(answer.code, 1, "{answer}");
    assert_eq!(answer.messages().len(), 1, "{answer}");
    assert!(answer.stderr.contains("frame 120") && answer.stderr.contains("a.0120.dpx"), "{answer}");
    assert_eq!(finished(&out).len() as i64, MANY - 1, "all the others are there");

    // The whole folder: as many as were read are there, the rest is named, but not for ever.
    fs::rename(&hidden, last()).expect("the file comes back");
    fs::remove_dir_all(&out).expect("the folder goes");
    let away = dir.path().join("away");
    let answer = disturbed(&original, &out, || fs::rename(&folder, &away).expect("the folder goes"));
    assert_eq!(answer.code, 1, "{answer}");
    assert!(answer.stderr.contains("frames more; --json has them all"), "{answer}");
    assert!(answer.stderr.lines().count() < 30, "{answer}");
    let there = files(&out);
    assert!(there.iter().all(|(name, bytes)| whole.get(name) == Some(bytes)), "what is there is whole");

    fs::rename(&away, &folder).expect("the folder comes back");
    let json = render(&original, &out).with("--resume").with("--json").done().json();
    assert_eq!(json["found"]["kept"].as_u64(), Some(there.len() as u64), "{json}");
    assert!(files(&out) == whole);
}

#[test]
fn an_output_folder_that_vanishes_ends_the_render_soon() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), MANY, LONG);
    let (out, away) = (dir.path().join("out"), dir.path().join("away"));
    // A file where the folder was, so that nothing can be made there again.
    let answer = disturbed(&original, &out, || {
        fs::rename(&out, &away).expect("the folder goes");
        fs::write(&out, "").expect("a file");
    });
    assert_eq!(answer.code, 1, "{answer}");
    assert!(answer.stderr.contains("cannot write into this folder"), "{answer}");
    assert!(answer.stderr.contains("stopped after"), "{answer}");
    let failed = answer.messages().iter().filter(|message| message.starts_with("frame ")).count();
    assert!((1..=8).contains(&failed), "it ends soon: {answer}");
}

/// Where nothing can be written to one name, the others are written all the same.
#[test]
fn one_target_that_takes_no_file_costs_itself() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 12, SMALL);
    let out = dir.path().join("out");
    let taken = out.join("b.0003.dpx");
    fs::create_dir_all(&taken).expect("a folder");
    let answer = render(&original, &out).fails(1, &["frame 3", "b.0003.dpx"]);
    assert_eq!(answer.messages().len(), 1, "{answer}");
    assert_eq!(finished(&out).len(), 12, "eleven frames and the folder");
    fs::remove_dir(&taken).expect("the folder goes");
    let json = render(&original, &out).with("--resume").with("--json").done().json();
    assert_eq!((json["found"]["kept"].as_u64(), json["written"].as_u64()), (Some(11), Some(1)));
}

/// Runs a shell script with the program as `$1`, originals as `$2`, output folder as `$0` and a chain as `$3`, in a name
/// space of its own if `mounts`. None, with a printed reason, where there is no such name space.
#[cfg(target_os = "linux")]
fn script(text: &str, original: &Path, out: &Path, mounts: bool) -> Option<Answer> {
    use std::process::{Command, Stdio};
    fs::create_dir_all(out).expect("a folder");
    if mounts {
        let allowed = Command::new("unshare").args(["-rm", "mount", "-t", "tmpfs", "tmpfs"]).arg(out).output();
        if !allowed.as_ref().is_ok_and(|output| output.status.success()) {
            println!("skipped: no file system can be mounted here: {allowed:?}");
            return None;
        }
    }
    let words: &[&str] = if mounts { &["unshare", "-rm", "sh", "-c"] } else { &["sh", "-c"] };
    let mut command = Command::new(words[0]);
    command.args(&words[1..]).arg(text).arg(out).arg(tests::program::binary()).arg(original).arg(CHAIN);
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("a shell");
    Some(finish(child, "a script".to_string()))
}

#[cfg(target_os = "linux")]
const RENDER: &str = "\"$1\" render --executor proof --dither triangular \"$2\" \"$0/b.%04d.dpx\" --chain \"$3\"";

/// The disk fills in the midst of it; with more room the render goes on.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_ends_the_render_soon_and_keeps_what_is_whole() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 60, Size::new(160, 90));
    let (out, kept) = (dir.path().join("small"), dir.path().join("kept"));
    fs::create_dir_all(&kept).expect("a folder");
    // A frame is 2048 + 160 x 90 x 4 bytes: four of sixty have room.
    let text = format!(
        "mount -t tmpfs -o size=300k tmpfs \"$0\" || exit 9\n{RENDER}; echo code $?\ncp -a \"$0\"/. {0}\n\
         mount -o remount,size=30m \"$0\" || exit 9\n{RENDER} --resume; code=$?\nrm -r {0}; cp -a \"$0\" {0}; exit $code",
        kept.display()
    );
    let Some(answer) = script(&text, &original, &out, true) else { return };
    assert!(answer.stdout.contains("code 1"), "{answer}");
    assert!(answer.stderr.contains("the disk is full") && answer.stderr.contains("stopped after"), "{answer}");
    let failed = answer.messages().iter().filter(|message| message.contains("the disk is full")).count();
    assert!((1..=8).contains(&failed), "it ends soon: {answer}");
    assert_eq!(answer.code, 0, "{answer}");
    render(&original, &dir.path().join("whole")).done();
    assert!(files(&kept) == files(&dir.path().join("whole")), "with more room it is as if nothing had been");
    assert!(answer.stderr.contains("there and whole"), "{answer}");
}

/// No file may be larger than a few blocks: what is not whole has no final name.
#[cfg(target_os = "linux")]
#[test]
fn files_that_may_not_be_whole_do_not_appear() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 6, Size::new(160, 90));
    let out = dir.path().join("out");
    // The signal that the limit sends would end the program at once; where nobody minds it, writing fails instead.
    let text = format!("trap '' XFSZ; ulimit -f 16; {RENDER}");
    let Some(answer) = script(&text, &original, &out, false) else { return };
    assert_eq!(answer.code, 1, "{answer}");
    assert!(answer.stderr.contains("b.0001.dpx: not written"), "{answer}");
    assert!(files(&out).is_empty(), "{:?}", files(&out).keys());
    let text = format!("ulimit -f 16; {RENDER}");
    let Some(answer) = script(&text, &original, &out, false) else { return };
    assert_ne!(answer.code, 0, "{answer}");
    assert!(finished(&out).is_empty());
    render(&original, &out).with("--resume").done();
    render(&original, &dir.path().join("whole")).done();
    assert!(files(&out) == files(&dir.path().join("whole")), "what the signal cut is swept");
}

#[test]
fn a_lost_device_costs_nothing() {
    if tests::gpu::adapter().is_none() {
        return;
    }
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 8, SMALL);
    let run = |out: &Path| {
        let run = greywright("render --executor gpu --dither triangular --json").with(&original);
        run.with(out.join("b.%04d.dpx")).chain(CHAIN)
    };
    let [whole, out] = ["whole", "out"].map(|name| dir.path().join(name));
    run(&whole).done();
    let json = run(&out).env("GREYWRIGHT_LOSE_DEVICE", "3").done().json();
    assert_eq!((json["device_reopened"].as_u64(), json["written"].as_u64()), (Some(1), Some(8)), "{json}");
    assert!(files(&out) == files(&whole));
    // What it wrote is known for what it is: nothing is made again.
    let json = run(&out).with("--resume").done().json();
    assert_eq!(json["found"]["kept"].as_u64(), Some(8), "{json}");
}
