//! A process that dies while it saves loses nothing: killed at a random moment, twenty times, what it left is a whole
//! project, and with what was kept beside it, all that it had said was kept. Unix alone: elsewhere nothing kills a
//! process as surely.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use session::Project;
use session::file::write;
use tests::saver::{number_of, state};

/// How often the process is killed.
const KILLS: u64 = 20;

/// Starts the process, kills it `delay` after its first word, and gives the last states that it said were kept and saved.
fn killed(path: &Path, delay: Duration) -> (u32, u32) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_saves"))
        .arg(path)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut kept, mut saved) = (0, 0);
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut hear = |line: &str| {
        match line.split_once(' ').map(|(what, number)| (what, number.parse())) {
            Some(("kept", Ok(number))) => kept = number,
            Some(("saved", Ok(number))) => saved = number,
            // The kill may have cut the last line.
            _ => {}
        }
    };
    if let Some(Ok(first)) = lines.next() {
        hear(&first);
    }
    let killer = thread::spawn(move || {
        thread::sleep(delay);
        child.kill().unwrap();
        child.wait_with_output().unwrap()
    });
    lines.map_while(Result::ok).for_each(|line| hear(&line));
    let output = killer.join().unwrap();
    let code = output.status.code();
    assert_eq!(code, None, "it was to be killed, and ended by itself: {}", String::from_utf8_lossy(&output.stderr));
    (kept, saved)
}

#[test]
fn a_killed_save_loses_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("ferry.greywright");
    fs::write(&path, write(&state(0))).unwrap();
    let mut random = 0x9e37_79b9_7f4a_7c15_u64;
    let (mut recovered, mut parts) = (0, 0);
    for kill in 0..KILLS {
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let delay = Duration::from_micros((random >> 33) % 60_000);
        let (kept, saved) = killed(&path, delay);
        let names = || fs::read_dir(dir.path()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        parts += usize::from(names().any(|name| name.ends_with(".part")));

        // The file by itself: a whole state, and none older than the last that was said to be saved.
        let on_disk = number_of(&session::read(&path).unwrap());
        assert!(on_disk >= saved, "kill {kill}: {saved} was saved, {on_disk} is there");
        let text = fs::read_to_string(&path).unwrap();
        assert_eq!(text, write(&state(on_disk)), "kill {kill}: byte for byte");

        // With what was kept: nothing is older than the last that was said to be kept.
        let mut project = Project::open(&path).unwrap();
        assert_eq!(project.read_only(), None, "a dead process holds no lock");
        let offered = project.recovered().map(|recovered| number_of(&recovered.written));
        recovered += usize::from(offered.is_some());
        let newest = on_disk.max(offered.unwrap_or(0));
        assert!(newest >= kept, "kill {kill}: {kept} was kept, {newest} is there");
        project.take_up();
        project.save().unwrap();
        drop(project);
        assert_eq!(names().collect::<Vec<_>>(), ["ferry.greywright"], "kill {kill}: tidy again");
        assert_eq!(number_of(&session::read(&path).unwrap()), newest);
    }
    println!("{KILLS} kills: {recovered} left work to take up, {parts} a file half written, none lost anything");
    assert!(recovered > 0, "not one kill came between keeping and saving");
}
