//! `queue`: jobs of a project and of files, in their order, paused, moved, gone on with, changed while they are worked
//! through, and never done twice.

use std::fs;
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use frame::Size;
use serde_json::Value;
use tests::frames::{CHAIN, files, finished, render, sequence};
use tests::program::{Run, finish, greywright};

const SIZE: Size = Size::new(32, 18);

struct Queue {
    dir: tempfile::TempDir,
}

impl Queue {
    fn new() -> Self {
        Self { dir: tempfile::tempdir().expect("a folder") }
    }

    fn path(&self) -> &Path {
        self.dir.path()
    }

    fn command(&self, words: &str) -> Run {
        let run = greywright("queue").with(self.path().join("night.queue"));
        words.split_whitespace().fold(run, Run::with)
    }

    /// A job of so many frames that goes to a folder of this name.
    fn add(&self, name: &str, frames: i64, size: Size) -> Run {
        let original = sequence(&self.path().join(format!("in-{name}")), frames, size);
        let to = format!("{} dither=triangular", self.path().join(name).join("b.%04d.dpx").display());
        self.command("add --executor proof").with(original).with("--to").with(to).chain(CHAIN)
    }

    fn list(&self) -> Vec<Value> {
        self.command("list --json").done().json().as_array().expect("the jobs").clone()
    }

    fn states(&self) -> Vec<(u64, String)> {
        let state =
            |row: &Value| (row["number"].as_u64().expect("a number"), row["state"].as_str().expect("a state").into());
        self.list().iter().map(state).collect()
    }
}

fn states<const N: usize>(states: [(u64, &str); N]) -> Vec<(u64, String)> {
    states.map(|(number, state)| (number, state.to_string())).to_vec()
}

fn wait_for(what: &str, done: impl Fn() -> bool) {
    let started = Instant::now();
    while !done() {
        assert!(started.elapsed() < Duration::from_secs(60), "{what}: not within a minute");
        thread::sleep(Duration::from_millis(10));
    }
}

#[test]
fn a_failed_job_does_not_stop_the_queue() {
    let queue = Queue::new();
    for name in ["one", "two", "three"] {
        queue.add(name, 3, SIZE).done();
    }
    fs::write(queue.path().join("in-two/a.0002.dpx"), "no picture").expect("a file");
    let answer = queue.command("run").fails(1, &["job 2", "frame 2", "1 of 3 jobs failed"]);
    assert!(answer.stdout.contains("job 3 done"), "{answer}");
    assert_eq!(queue.states(), states([(1, "done"), (2, "failed"), (3, "done")]));
    let list = queue.command("list").done().stdout;
    for words in ["2 done, 1 failed", "failed", "2 of 3 frames", "a.0002.dpx", "dither=triangular"] {
        assert!(list.contains(words), "no '{words}' in {list}");
    }
    // The same as by render, and once the original is there the job that failed makes what is missing.
    render(&queue.path().join("in-one/a.%04d.dpx"), &queue.path().join("whole")).done();
    let whole = files(&queue.path().join("whole"));
    assert!(files(&queue.path().join("one")) == whole);
    fs::copy(queue.path().join("in-one/a.0002.dpx"), queue.path().join("in-two/a.0002.dpx")).expect("a file");
    queue.command("go 2").done();
    let ran = queue.command("run --json").done().json();
    assert_eq!(
        (ran[0]["report"]["written"].as_u64(), ran[0]["report"]["found"]["kept"].as_u64()),
        (Some(1), Some(2)),
        "{ran}"
    );
    assert!(files(&queue.path().join("two")) == whole);
    assert_eq!(queue.command("run --json").done().json(), Value::Array(Vec::new()), "nothing waits");
}

#[test]
fn jobs_are_paused_moved_and_taken_out() {
    let queue = Queue::new();
    for name in ["one", "two", "three", "four"] {
        queue.add(name, 1, SIZE).done();
    }
    queue.command("pause 2").done();
    queue.command("move 4 1").done();
    queue.command("move 1 last").done();
    queue.command("drop 3").done();
    let numbers: Vec<_> = queue.states();
    assert_eq!(numbers, states([(4, "waiting"), (2, "paused"), (1, "waiting")]));
    let ran = queue.command("run --json").done().json();
    let order: Vec<_> = ran.as_array().expect("what ran").iter().map(|one| one["job"].as_u64()).collect();
    assert_eq!(order, [Some(4), Some(1)]);
    assert!(finished(&queue.path().join("two")).is_empty() && finished(&queue.path().join("three")).is_empty());
    queue.command("go").done();
    queue.command("run").done();
    assert_eq!(queue.states(), states([(4, "done"), (2, "done"), (1, "done")]));
    queue.command("pause 9").fails(2, &["no job 9", "4, 2, 1"]);
    queue.command("move 1 0").fails(2, &["last"]);
    greywright("queue")
        .with(queue.path().join("none.queue"))
        .with("list")
        .fails(1, &["none.queue", "no such queue", "add"]);
    fs::write(queue.path().join("bad.queue"), "schema_version = 1\nnext = 1\nmood = 1\n").expect("a file");
    greywright("queue").with(queue.path().join("bad.queue")).with("run").fails(1, &["bad.queue", "line 3", "mood"]);
}

/// From another process, while the queue is worked through.
#[test]
fn a_running_job_is_paused_between_two_frames_and_goes_on() {
    let queue = Queue::new();
    let long = Size::new(240, 135);
    queue.add("long", 100, long).done();
    queue.add("short", 2, SIZE).done();
    let runner = queue.command("run --json").start();
    let out = queue.path().join("long");
    wait_for("two frames", || finished(&out).len() >= 2);
    assert_eq!(queue.list()[0]["worked_on"], true);
    queue.command("pause 1").done();
    queue.add("late", 1, SIZE).done();
    let answer = finish(runner, "queue run".to_string());
    assert_eq!(answer.code, 0, "{answer}");
    assert_eq!(queue.states(), states([(1, "paused"), (2, "done"), (3, "done")]), "{answer}");
    let there = finished(&out).len();
    assert!((2..100).contains(&there), "{there}");
    assert!(files(&out).keys().all(|name| !name.starts_with('.')), "nothing half is left");

    queue.command("go 1").done();
    let ran = queue.command("run --json").done().json();
    assert_eq!(ran[0]["report"]["found"]["kept"].as_u64(), Some(there as u64), "{ran}");
    assert_eq!(ran[0]["state"], "done");
    render(&queue.path().join("in-long/a.%04d.dpx"), &queue.path().join("whole")).done();
    assert!(files(&out) == files(&queue.path().join("whole")));

    // Taken out while it runs.
    fs::remove_dir_all(&out).expect("the folder goes");
    queue.command("go 1").done();
    let runner = queue.command("run").start();
    wait_for("two frames", || finished(&out).len() >= 2);
    queue.command("drop 1").done();
    let answer = finish(runner, "queue run".to_string());
    assert!(answer.code == 0 && finished(&out).len() < 100, "{answer}");
    assert_eq!(queue.states(), states([(2, "done"), (3, "done")]));
}

#[test]
fn two_that_work_through_it_never_do_the_same_job() {
    let queue = Queue::new();
    let names = ["one", "two", "three", "four", "five", "six"];
    names.iter().for_each(|name| drop(queue.add(name, 6, SIZE).done()));
    let runners = [(); 2].map(|()| queue.command("run --json").start());
    let ran = runners.map(|child| finish(child, "queue run".to_string()));
    let jobs = ran.iter().flat_map(|answer| answer.json().as_array().expect("what ran").clone());
    let mut jobs: Vec<_> = jobs.map(|one| (one["job"].as_u64(), one["report"]["written"].as_u64())).collect();
    jobs.sort();
    let wanted: Vec<_> = (1..=6).map(|job| (Some(job), Some(6))).collect();
    assert_eq!(jobs, wanted);
    assert!(queue.list().iter().all(|row| row["state"] == "done"));
}

#[test]
fn a_project_is_lined_up_by_shots_candidates_and_deliveries() {
    let queue = Queue::new();
    let dir = queue.path().join("demo");
    greywright("demo --size 160x90 --frames 2 --shots deck_010,galley_010 --no-faults").with(&dir).done();
    let project = dir.join("night_ferry.greywright");
    let command = |words: &str| queue.command(words).with("--project").with(&project);
    let to = |run: Run, name: &str| run.with("--to").with(format!("{}/{name}", queue.path().display()));
    let shown = greywright("project --json").with(&project).done().json();
    let names = |what: &str| -> Vec<String> {
        let rows = shown[what].as_array().expect("rows").iter();
        rows.map(|row| row["name"].as_str().expect("a name").to_string()).collect()
    };
    let (shots, candidates) = (names("shots"), names("candidates"));
    let (first, second) = (&candidates[0], &candidates[1]);

    let run = to(command("add --executor proof"), "{shot}/dpx/{candidate}.%04d.dpx");
    let run = to(run, "{shot}/png/{candidate}.%04d.png depth=8 dither=blue-noise");
    run.with("--candidate").with(first).with("--candidate").with(second).done();
    let list = queue.list();
    assert_eq!(list.len(), shots.len() * 2 * 2);
    assert_eq!(
        (&list[0]["shot"], &list[0]["candidate"]),
        (&Value::from(shots[0].as_str()), &Value::from(first.as_str()))
    );
    assert_eq!(list[0]["project"], "demo/night_ferry.greywright", "from the queue's folder");
    queue.command("run").done();
    for shot in &shots {
        for candidate in [first, second] {
            let png = fs::read(queue.path().join(format!("{shot}/png/{candidate}.0001.png")));
            // ISO/IEC 15948: the bit depth stands at byte 24.
            assert_eq!(png.expect("a frame")[24], 8, "{shot} {candidate}");
            let there = finished(&queue.path().join(format!("{shot}/dpx")));
            assert_eq!(
                there.iter().filter(|name| name.starts_with(candidate.as_str())).count(),
                2,
                "{shot} {candidate}"
            );
        }
    }
    // The same as by render.
    let (shot, alone) = (&shots[0], queue.path().join("alone"));
    greywright("render --executor proof")
        .with(alone.join("x.%04d.dpx"))
        .with("--project")
        .with(&project)
        .with("--shot")
        .with(shot)
        .with("--candidate")
        .with(first)
        .done();
    for number in 1..=2 {
        let of_queue = fs::read(queue.path().join(format!("{shot}/dpx/{first}.{number:04}.dpx"))).expect("a frame");
        assert!(fs::read(alone.join(format!("x.{number:04}.dpx"))).expect("a frame") == of_queue, "frame {number}");
    }
    to(command("add"), "all.%04d.dpx").fails(2, &["several jobs would write", "{shot} or {candidate}"]);
    to(command("add"), "{scene}.%04d.dpx").fails(2, &["{shot} and {candidate}"]);
    to(command("add --shot nobody"), "{shot}.%04d.dpx").fails(1, &["nobody", shot.as_str()]);
    to(command("add --candidate nobody"), "{shot}.%04d.dpx").fails(1, &["nobody", first.as_str()]);
    assert_eq!(queue.list().len(), shots.len() * 4, "what was refused added nothing");
}
