//! A render that is killed at a random moment loses nothing that was whole, leaves nothing half under a final name, and
//! when it goes on, its frames have the bytes of one that nothing disturbed. The same for a queue. Twenty kills each, or as
//! many as `GREYWRIGHT_KILLS` says. Unix alone: elsewhere nothing kills a process as surely.
#![cfg(unix)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use frame::Size;
use tests::frames::{CHAIN, Random, files, finished, render, sequence};
use tests::program::{Run, greywright};

const SIZE: Size = Size::new(64, 36);
const FRAMES: i64 = 40;
/// Most threads that write, each of which may have given a file its name and not yet said so in the record.
const MOST_WRITERS: u64 = 8;

fn kills() -> u64 {
    std::env::var("GREYWRIGHT_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(20)
}

/// The time of a run that nothing disturbs; the shortest of three, since other work on the machine lengthens some.
fn shortest(run: &Run) -> Duration {
    let times = [(); 3].map(|()| {
        let started = Instant::now();
        run.done();
        started.elapsed()
    });
    times.into_iter().min().expect("three times")
}

/// Starts a run and kills it after `delay`; whether it was still at work.
fn killed(run: &Run, delay: Duration) -> bool {
    let mut child = run.start();
    thread::sleep(delay);
    child.kill().expect("the program can be ended");
    let output = child.wait_with_output().expect("it has ended");
    let words = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!words.contains("panicked"), "{words}");
    match output.status.code() {
        None => true,
        Some(code) => {
            assert_eq!(code, 0, "{words}");
            false
        }
    }
}

/// Every file with a final name is whole; gives how many there are, and how many that are not finished.
fn check(out: &Path, whole: &BTreeMap<String, Vec<u8>>, what: &str) -> (u64, u64) {
    let (mut there, mut half) = (0, 0);
    for (name, bytes) in files(out) {
        if name.starts_with('.') {
            half += 1;
            continue;
        }
        assert!(whole.get(&name) == Some(&bytes), "{what}: {name} is not the frame that it should be");
        there += 1;
    }
    (there, half)
}

#[test]
fn a_killed_render_goes_on_where_it_was() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), FRAMES, SIZE);
    let undisturbed = shortest(&render(&original, &dir.path().join("whole")));
    let whole = files(&dir.path().join("whole"));
    assert_eq!(whole.len() as i64, FRAMES);

    let out = dir.path().join("out");
    let resume = render(&original, &out).with("--resume").with("--json");
    let mut random = Random::default();
    let (mut at_work, mut halves, mut frames_there, mut resumed, mut made_again) = (0, 0, 0, 0, 0);
    for kill in 0..kills() {
        let what = format!("kill {kill}");
        let before = check(&out, &whole, &what).0;
        let delay = Duration::from_micros(random.below(undisturbed.as_micros() as u64));
        at_work += u64::from(killed(&resume, delay));
        let (there, half) = check(&out, &whole, &what);
        assert!(there >= before, "{what}: {before} frames were whole, {there} are");
        halves += half;
        frames_there += there;
        // Two of three are killed again before they are done.
        if kill % 3 < 2 && there < FRAMES as u64 && kill + 1 < kills() {
            continue;
        }
        let answer = resume.done();
        let json = answer.json();
        let count = |name: &str| json["found"][name].as_u64().expect("a count");
        assert_eq!(count("kept") + count("unrecorded"), there, "{what}: {answer}");
        assert_eq!((count("damaged"), count("other_settings"), count("other_original")), (0, 0, 0), "{what}: {answer}");
        assert!(count("unrecorded") <= MOST_WRITERS * 3, "{what}: {answer}");
        assert_eq!(count("kept") + json["written"].as_u64().expect("a count"), FRAMES as u64, "{what}");
        assert!(files(&out) == whole, "{what}: the same bytes, and nothing else lies about");
        (resumed, made_again) = (resumed + 1, made_again + count("unrecorded"));
        fs::remove_dir_all(&out).expect("the folder goes");
    }
    println!(
        "{} kills, {at_work} of them at work, undisturbed {undisturbed:?}: {frames_there} frames were there and whole, \
         {halves} files half written and taken away, {made_again} frames made again that were whole and not yet recorded; \
         {resumed} sequences finished with the same bytes, none lost or wrong",
        kills()
    );
    assert!(at_work * 4 > kills(), "kills come while there is work");
    assert!(frames_there > 0, "some kills come after a frame is done");
}

#[test]
fn a_killed_queue_goes_on_where_it_was() {
    const JOBS: usize = 4;
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), FRAMES / 4, SIZE);
    let queue = dir.path().join("night.queue");
    let outs: Vec<_> = (0..JOBS).map(|at| dir.path().join(format!("out-{at}"))).collect();
    let command = |words: &str| {
        let run = greywright("queue").with(&queue);
        words.split_whitespace().fold(run, Run::with)
    };
    for out in &outs {
        let to = format!("{} dither=triangular", out.join("b.%04d.dpx").display());
        command("add --executor proof").with(&original).with("--to").with(to).chain(CHAIN).done();
    }
    command("run").done();
    let whole = files(&outs[0]);
    assert_eq!(whole.len() as i64, FRAMES / 4);

    let mut random = Random::default();
    let (mut at_work, mut broken_off) = (0, 0);
    let begin = || {
        outs.iter().for_each(|out| fs::remove_dir_all(out).expect("the folder goes"));
        command("go 1 2 3 4").done();
    };
    begin();
    let started = Instant::now();
    command("run").done();
    let undisturbed = started.elapsed();
    begin();
    for kill in 0..kills() {
        let what = format!("kill {kill}");
        let delay = Duration::from_micros(random.below(undisturbed.as_micros() as u64));
        at_work += u64::from(killed(&command("run"), delay));
        outs.iter().for_each(|out| {
            check(out, &whole, &what);
        });
        let list = command("list --json").done().json();
        let rows = list.as_array().expect("the jobs");
        assert_eq!(rows.len(), JOBS, "{what}: no job is lost");
        assert!(rows.iter().all(|row| row["worked_on"] == false), "{what}: a dead process works on nothing: {list}");
        broken_off += rows.iter().filter(|row| row["state"] == "running").count();
        let over = rows.iter().all(|row| row["state"] == "done");
        if kill % 3 < 2 && !over && kill + 1 < kills() {
            continue;
        }
        command("run").done();
        let list = command("list --json").done().json();
        assert!(list.as_array().expect("the jobs").iter().all(|row| row["state"] == "done"), "{what}: {list}");
        assert!(outs.iter().all(|out| files(out) == whole), "{what}: the same bytes, and nothing else lies about");
        begin();
    }
    println!("{} kills of a queue, {at_work} at work: {broken_off} jobs broken off, none lost", kills());
    assert!(broken_off > 0, "some kills come in the midst of a job");
    assert!(finished(dir.path()).iter().all(|name| !name.ends_with(".part")));
}
