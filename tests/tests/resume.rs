//! `render --resume` keeps what is whole and makes the rest anew, and says how many of each; `--part` shares a sequence
//! out. What comes of it has the bytes of a render that nothing disturbed.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use frame::Size;
use serde_json::Value;
use tests::frames::{self, CHAIN, files, render, sequence};
use tests::program::greywright;

const SIZE: Size = Size::new(32, 18);
const FRAMES: i64 = 12;

/// The counts that are not zero.
fn found(json: &Value) -> BTreeMap<&str, u64> {
    let counts = json["found"].as_object().expect("what was found");
    counts.iter().filter_map(|(name, count)| Some((name.as_str(), count.as_u64()?))).filter(|it| it.1 > 0).collect()
}

fn name(number: i64) -> String {
    format!("b.{number:04}.dpx")
}

/// Originals, an undisturbed render of them, and a second one to disturb.
fn prepared(dir: &Path) -> (std::path::PathBuf, BTreeMap<String, Vec<u8>>) {
    let original = sequence(&dir.join("in"), FRAMES, SIZE);
    render(&original, &dir.join("whole")).done();
    render(&original, &dir.join("out")).done();
    let whole = files(&dir.join("whole"));
    assert_eq!(whole.len() as i64, FRAMES);
    (original, whole)
}

#[test]
fn what_is_whole_stays_and_everything_else_is_made_anew() {
    let dir = tempfile::tempdir().expect("a folder");
    let (original, mut whole) = prepared(dir.path());
    let out = dir.path().join("out");
    let resume = || render(&original, &out).with("--resume").with("--json").done().json();
    let json = resume();
    assert_eq!(found(&json), BTreeMap::from([("kept", 12)]));
    assert_eq!((json["written"].as_u64(), json["wanted"].as_u64()), (Some(0), Some(12)), "{json}");

    // One of each: not there, a bit changed, cut short, made of another original, of unknown making.
    let alter = |number: i64, change: &dyn Fn(&mut Vec<u8>)| {
        let path = out.join(name(number));
        let mut bytes = fs::read(&path).expect("a frame");
        change(&mut bytes);
        fs::write(&path, bytes).expect("a frame");
    };
    fs::remove_file(out.join(name(2))).expect("a frame");
    alter(3, &|bytes| bytes[2100] ^= 1);
    alter(4, &|bytes| bytes.truncate(3000));
    frames::write(&dir.path().join("in/a.0005.dpx"), 50, SIZE);
    let record = fs::read_dir(&out).expect("a folder").flatten().map(|entry| entry.path());
    let record = record.filter(|path| path.extension().is_some_and(|ending| ending == "tsv")).collect::<Vec<_>>();
    let [record] = &record[..] else { panic!("one record: {record:?}") };
    let text = fs::read_to_string(record).expect("a record");
    let kept: String = text.split_inclusive('\n').filter(|line| !line.contains(&name(6))).collect();
    fs::write(record, kept).expect("a record");
    let part = |whose: &str| out.join(format!(".greywright-frame-{whose}-aBcDeF.part"));
    for whose in [media::machine(), "elsewhere".to_string()] {
        fs::write(part(&whose), "half").expect("a file");
    }

    let json = resume();
    let wanted = [("kept", 7), ("missing", 1), ("damaged", 2), ("other_original", 1), ("unrecorded", 1), ("swept", 1)];
    assert_eq!(found(&json), BTreeMap::from(wanted), "{json}");
    assert_eq!(json["written"].as_u64(), Some(5));
    assert!(!part(&media::machine()).exists() && part("elsewhere").exists(), "another machine may be writing its own");
    fs::remove_file(part("elsewhere")).expect("the file");
    let changed = render(&original, &dir.path().join("anew")).done();
    whole.insert(name(5), fs::read(dir.path().join("anew").join(name(5))).expect("a frame"));
    assert!(files(&out) == whole, "{changed}");

    // In words, and once more nothing to do.
    let answer = render(&original, &out).with("--resume").done();
    assert!(answer.stderr.contains("12 there and whole") && answer.stdout.contains("nothing to do"), "{answer}");
    // Without being asked all is made anew, as ever.
    let json = render(&original, &out).with("--json").done().json();
    assert_eq!(json["written"].as_u64(), Some(12));
    assert!(json["found"].is_null());
}

/// What a frame is made with is what the chain means, not how it is written.
#[test]
fn other_settings_are_noticed_and_other_words_are_not() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 3, SIZE);
    let out = dir.path().join("out/b.%04d.dpx");
    let run = |extra: &str, chain: &str| {
        let run = greywright(&format!("render --resume --json {extra}")).with(&original).with(&out).chain(chain);
        let json = run.done().json();
        let counts = found(&json);
        (counts.get("kept").copied().unwrap_or(0), counts.get("other_settings").copied().unwrap_or(0))
    };
    assert_eq!(run("--executor proof", CHAIN), (0, 0));
    assert_eq!(run("--executor proof", CHAIN), (3, 0));
    let words = CHAIN.replace("LogC3", "logc3 ei=800").replace("stops=0.5", "stops=+0.50");
    assert_eq!(run("--executor proof", &words), (3, 0), "the same in other words");
    for (extra, chain) in [
        ("--executor proof", CHAIN.replace("0.5", "0.50001")),
        ("--executor proof", CHAIN.replace("3200K", "3201K")),
        ("--executor proof", format!("{CHAIN} range=legal")),
        ("--executor proof --depth 16", CHAIN.to_string()),
        ("--executor proof --dither triangular", CHAIN.to_string()),
        ("--executor proof --dither blue-noise", CHAIN.to_string()),
        ("--executor proof --range legal", CHAIN.to_string()),
    ] {
        assert_eq!(run(extra, &chain), (0, 3), "{extra} {chain}");
        assert_eq!(run(extra, &chain), (3, 0), "{extra} {chain}");
    }
}

/// Where a shot's numbers move, a mark that changes costs the frames whose numbers it changes.
#[test]
fn a_changed_mark_costs_the_frames_that_it_moves() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(&dir.path().join("in"), FRAMES, SIZE);
    let project = dir.path().join("ferry.greywright");
    let run = |marks: [(i64, f64); 3], resume: &str| {
        let marks = marks.map(|(frame, stops)| format!("numbers.exposure.stops.marks.{frame} = {stops}\n")).concat();
        let text = format!(
            "schema_version = 2\n[kit.exposure]\noperation = \"exposure\"\nversion = 1\n[candidates]\nonly = [\"exposure\"]\n\
             [shots.deck]\nmedia = \"in/a.%04d.dpx\"\nencoding = \"LogC3\"\n{marks}"
        );
        fs::write(&project, text).expect("a project");
        let run =
            greywright(&format!("render --executor proof --json {resume}")).with(dir.path().join("out/b.%04d.dpx"));
        run.with("--project").with(&project).with("--shot").with("deck").done().json()
    };
    run([(1, 0.0), (6, 0.5), (12, 0.5)], "");
    assert_eq!(found(&run([(1, 0.0), (6, 0.5), (12, 0.5)], "--resume")), BTreeMap::from([("kept", 12)]));
    // Frames 1 to 6 have the numbers that they had.
    let json = run([(1, 0.0), (6, 0.5), (12, 1.0)], "--resume");
    assert_eq!(found(&json), BTreeMap::from([("kept", 6), ("other_settings", 6)]), "{json}");
    let resumed = files(&dir.path().join("out"));
    run([(1, 0.0), (6, 0.5), (12, 1.0)], "");
    assert!(files(&dir.path().join("out")) == resumed);
}

/// A LUT is what stands in its file.
#[test]
fn a_changed_lut_is_noticed() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 2, SIZE);
    let lut = dir.path().join("a.cube");
    let chain = format!("lut file={}", lut.display());
    let run = |last: &str| {
        fs::write(&lut, format!("LUT_1D_SIZE 2\n0 0 0\n{last} 1 1\n")).expect("a LUT");
        let out = dir.path().join("out/b.%04d.dpx");
        let run = greywright("render --executor proof --resume --json").with(&original).with(out).chain(&chain);
        found(&run.done().json()).get("kept").copied().unwrap_or(0)
    };
    assert_eq!([run("1"), run("1"), run("0.999999"), run("0.999999")], [0, 2, 0, 2]);
}

#[test]
fn parts_make_the_whole() {
    let dir = tempfile::tempdir().expect("a folder");
    let (original, whole) = prepared(dir.path());
    for of in [2, 5, 20] {
        let out = dir.path().join(format!("parts-{of}"));
        // At the same time, as several machines would.
        let mut children = Vec::new();
        for at in 1..=of {
            children.push(render(&original, &out).with("--part").with(format!("{at}/{of}")).with("--json").start());
            if children.len() == 3 || at == of {
                for child in children.drain(..) {
                    let answer = tests::program::finish(child, format!("a part of {of}"));
                    assert_eq!(answer.code, 0, "{answer}");
                    let wanted = answer.json()["wanted"].as_i64().expect("a count");
                    assert!((FRAMES / of..=FRAMES / of + 1).contains(&wanted), "{wanted} of {FRAMES} in {of} parts");
                }
            }
        }
        assert!(files(&out) == whole, "{of} parts");
        let json = render(&original, &out).with("--resume").with("--json").done().json();
        assert_eq!(found(&json), BTreeMap::from([("kept", 12)]), "{of} records are read as one");
    }
    for (part, words) in [("0/3", "counted from 1"), ("4/3", "no part 4 of 3"), ("x", "2/5")] {
        render(&original, &dir.path().join("none")).with("--part").with(part).fails(2, &[words]);
    }
}

/// A part, or what a resume still has to make, must be like the whole: it stops where the whole would.
#[test]
fn a_part_stops_where_the_whole_would() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 5, SIZE);
    (4..=5)
        .for_each(|number| frames::write(&dir.path().join(format!("in/a.{number:04}.dpx")), number, Size::new(16, 9)));
    let out = dir.path().join("out");
    render(&original, &out).with("--resume").fails(1, &["frame 4", "16x9", "32x18"]);
    assert_eq!(files(&out).len(), 3);
    render(&original, &out).with("--resume").fails(1, &["3 there and whole", "frame 4", "stopped after 3 of 5 frames"]);
    render(&original, &out).with("--part").with("4/5").fails(1, &["frame 4", "16x9", "32x18"]);
    assert_eq!(files(&out).len(), 3);
}
