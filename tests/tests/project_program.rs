//! Projects as a user meets them: the demo's, edits in words, shots with their numbers, orders, and a disk that gives out.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use std::fs;
use std::path::{Path, PathBuf};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::About;
use serde_json::Value;
use session::Project;
use tests::program::{Run, greywright};

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

fn edit(project: &Path, edits: &[&str]) -> Run {
    edits.iter().fold(greywright("edit").with(project), |run, edit| run.with(*edit))
}

/// A project of one candidate and two shots, whose frames are four greys of LogC3 code.
fn ferry(dir: &Path) -> PathBuf {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    for number in 1..=4 {
        let grey = 0.25 + number as f32 * 0.04;
        let frame = Frame::from_pixels(&[[grey, grey, grey, 1.0]; 8], Size::new(4, 2), layout, Range::Full);
        media::write(&dir.join(format!("deck_010.{number:04}.dpx")), &frame, &About::default()).unwrap();
    }
    let project = dir.join("ferry.greywright");
    let edits = [
        "add in operation=input-transform",
        "add exposure operation=exposure",
        "add light operation=white-balance",
        "add out operation=output-transform display=BT.1886 rendering=plain",
        "candidate scene places=\"in | exposure | light | out\"",
        "set-up deck note=\"work lamps on the rail\"",
    ];
    let media = dir.join("deck_010.%04d.dpx").display().to_string();
    let shots = [
        format!("shot deck_010 media={media} encoding=LogC3 ei=400 set-up=deck roll=A007"),
        format!("shot deck_020 media={} encoding=S-Log3", dir.join("deck_020.%04d.dpx").display()),
    ];
    edit(&project, &edits).with(&shots[0]).with(&shots[1]).with("--new").done();
    project
}

fn json(run: &Run) -> Value {
    serde_json::from_str(&run.done().stdout).unwrap()
}

// ---- the demo

/// Mean 10-bit codes of a rectangle.
fn codes(path: &Path, rect: demo::Rect) -> [f64; 3] {
    let frame = media::read(path).unwrap_or_else(|error| panic!("{error}")).frame;
    let pixels = frame.crop(rect.x, rect.y, rect.width, rect.height).to_pixels(Range::Full);
    [0, 1, 2].map(|c| pixels.iter().map(|pixel| f64::from(pixel[c]) * 1023.0).sum::<f64>() / pixels.len() as f64)
}

fn apart(codes: [f64; 3]) -> f64 {
    codes.iter().fold(0.0f64, |most, &code| most.max(code)) - codes.iter().fold(1e9f64, |least, &code| least.min(code))
}

/// Five corrections that agree on the card and part in the shadows: what the bench is there to show. Within three
/// 10-bit codes the card is grey: its numbers are rounded, and the frames are small and noisy.
#[test]
fn the_demo_project_opens_and_its_candidates_agree_on_the_card_alone() {
    let dir = folder();
    let originals = dir.path().join("originals");
    let shots = "deck_010,galley_010,galley_010b,wheelhouse_010";
    greywright("demo --size 320x180 --frames 1 --no-faults --shots").with(shots).with(&originals).done();
    let project = originals.join(demo::PROJECT_NAME);
    let answer = json(&greywright("project --json").with(&project));
    assert_eq!(answer["missing"], Value::Array(Vec::new()), "{answer}");
    assert_eq!(answer["shots"].as_array().unwrap().len(), 4);
    let candidates: Vec<_> =
        answer["candidates"].as_array().unwrap().iter().map(|it| it["name"].as_str().unwrap().to_string()).collect();
    assert!(candidates.len() >= 5, "{candidates:?}");
    let summary: demo::Summary =
        serde_json::from_str(&fs::read_to_string(originals.join("shots.json")).unwrap()).unwrap();
    for shot in &summary.shots {
        let mut shadows = Vec::new();
        for candidate in &candidates {
            let named = |run: Run| {
                run.with("--project").with(&project).with("--shot").with(&shot.name).with("--candidate").with(candidate)
            };
            let out = dir.path().join(candidate).join(&shot.name).join("a.0001.dpx");
            named(greywright("render").with(&out)).done();
            let card = codes(&out, shot.card);
            println!("{} {candidate}: card {card:.1?}", shot.name);
            assert!(apart(card) < 3.0, "{} {candidate}: the card is not grey: {card:.1?}", shot.name);
            let dark = named(greywright("eval --executor proof")).input("0.13,0.13,0.13\n").done().stdout;
            let dark: Vec<f64> = dark.trim().split(',').map(|text| text.parse::<f64>().unwrap() * 1023.0).collect();
            shadows.push([dark[0], dark[1], dark[2]]);
        }
        let part = (0..3).map(|c| apart_over(&shadows, c)).fold(0.0f64, f64::max);
        println!("{}: the candidates part by {part:.1} codes at a dark code", shot.name);
        assert!(part > 4.0, "{}: {shadows:.1?}", shot.name);
    }
    // A second demo leaves somebody's work alone.
    edit(&project, &["set exposure stops=0.25"]).done();
    let changed = fs::read_to_string(&project).unwrap();
    let again = greywright("demo --size 160x90 --frames 1 --shots deck_010 --no-faults").with(&originals).done();
    assert!(again.stderr.contains("stays as it is"), "{again}");
    assert_eq!(fs::read_to_string(&project).unwrap(), changed);
}

fn apart_over(rows: &[[f64; 3]], channel: usize) -> f64 {
    let values = || rows.iter().map(|row| row[channel]);
    values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min)
}

// ---- shots

#[test]
fn a_shot_brings_its_frames_its_encoding_and_its_numbers() {
    let dir = folder();
    let project = ferry(dir.path());
    let text = fs::read_to_string(&project).unwrap();
    assert!(text.contains("media = \"deck_010.%04d.dpx\""), "written from the project's folder: {text}");
    edit(&project, &["set exposure stops=0.5 set-up=deck", "trim exposure stops=+0.25 shots=deck_010"]).done();
    let of = |run: &str| greywright(run).with("--project").with(&project).with("--shot").with("deck_010");
    let answer = of("eval --executor proof").input("0.4,0.4,0.4\n").done();
    let chain = "input-transform encoding=LogC3 ei=400 | exposure stops=0.75 \
        | output-transform display=BT.1886 rendering=plain";
    let wanted = greywright("eval --executor proof").chain(chain).input("0.4,0.4,0.4\n").done();
    assert_eq!(answer.stdout, wanted.stdout);
    // The frames of the shot, where IN is left out; the same as by the chain.
    of("render").with(dir.path().join("project/a.%04d.dpx")).done();
    let by_chain = dir.path().join("chain/a.%04d.dpx");
    greywright("render").with(dir.path().join("deck_010.%04d.dpx")).with(&by_chain).chain(chain).done();
    for number in 1..=4 {
        let frame = |folder: &str| media::read(&dir.path().join(format!("{folder}/a.{number:04}.dpx"))).unwrap().frame;
        assert_eq!(frame("project").bytes(), frame("chain").bytes(), "frame {number}");
    }
    // The roll that the project names is the rendered frame's.
    let roll = |folder: &str| media::read(&dir.path().join(format!("{folder}/a.0001.dpx"))).unwrap().about.camera_roll;
    assert_eq!((roll("project").as_deref(), roll("chain")), (Some("A007"), None));
    assert!(of("verify").done().stdout.contains("frame 4"), "the frames of the shot are verified");
    let two = of("verify").with("--frames").with("2-3").done().stdout;
    assert!(two.contains("frame 2") && two.contains("frame 3") && !two.contains("frame 4"), "{two}");
    greywright("verify --frames 2-3").fails(2, &["--frames: no frames are named"]);
    let explained = of("eval --explain").input("").done().stderr;
    for words in ["what it means: scene, shot deck_010", "exposure +0.75 stops", "the plan optimised", "cancel exact"] {
        assert!(explained.contains(words), "{words}: {explained}");
    }
    greywright("render").with(dir.path().join("x")).with("--project").with(&project).fails(2, &["OUT is missing"]);
    let none = greywright("eval --project").with(&project).with("--shot").with("deck_099");
    none.fails(1, &["ferry.greywright", "no shot 'deck_099'", "deck_010, deck_020"]);
    greywright("eval --shot deck_010").fails(2, &["--project"]);
}

/// A LUT and an encoding file of a project: written from its folder, found from anywhere, told where they are missing.
#[test]
fn files_of_a_project_are_found_from_its_folder() {
    let dir = folder();
    let project = ferry(dir.path());
    let lut = dir.path().join("deck.cube");
    // Halves what it is given.
    fs::write(&lut, "LUT_1D_SIZE 2\n0 0 0\n0.5 0.5 0.5\n").unwrap();
    let add = format!("add look operation=lut file={}", lut.display());
    edit(&project, &[add.as_str(), "candidate luts places=\"look\""]).done();
    assert!(fs::read_to_string(&project).unwrap().contains("file = \"deck.cube\""));
    let eval = || greywright("eval --executor proof --candidate luts --project").with(&project).input("0.5,0.25,1\n");
    let halves: Vec<f64> = eval().done().stdout.trim().split(',').map(|text| text.parse().unwrap()).collect();
    for (got, want) in halves.iter().zip([0.25, 0.125, 0.5]) {
        assert!((got - want).abs() < 1e-9, "{halves:?}");
    }
    fs::remove_file(&lut).unwrap();
    let missing = json(&greywright("project --json").with(&project))["missing"].to_string();
    assert!(missing.contains("deck.cube"), "{missing}");
    eval().fails(1, &["deck.cube", "no such file"]);
    greywright("eval --executor proof --candidate scene --shot deck_010 --project")
        .with(&project)
        .input("0,0,0\n")
        .done();
    let encoding = dir.path().join("none.toml");
    edit(&project, &[]).with("--encoding-file").with(&encoding).fails(1, &["none.toml"]);
}

/// Frames 1 to 4 with marks at 1 and 4: each frame of the render is what eval says for that frame, on both executors,
/// and without a lost frame or a frame out of turn.
#[test]
fn marks_move_a_render_from_frame_to_frame() {
    let dir = folder();
    let project = ferry(dir.path());
    edit(&project, &["mark exposure stops=-1 shot=deck_010 frame=1", "mark exposure stops=1 shot=deck_010 frame=4"])
        .done();
    let of = |run: &str| greywright(run).with("--project").with(&project).with("--shot").with("deck_010");
    for executor in ["gpu", "proof"] {
        let out = dir.path().join(executor);
        of(&format!("render --depth 16 --executor {executor}")).with(out.join("a.%04d.tif")).done();
        for number in 1..=4 {
            let original = media::read(&dir.path().join(format!("deck_010.{number:04}.dpx"))).unwrap().frame;
            let [r, g, b, _] = original.to_pixels(Range::Full)[0];
            let wanted =
                of(&format!("eval --executor proof --frame {number}")).input(format!("{r},{g},{b}\n")).done().stdout;
            let stops = -1.0 + 2.0 * f64::from(number - 1) / 3.0;
            let chain = format!(
                "input-transform encoding=LogC3 ei=400 | exposure stops={stops} \
                 | output-transform display=BT.1886 rendering=plain"
            );
            let by_hand =
                greywright("eval --executor proof").chain(&chain).input(format!("{r},{g},{b}\n")).done().stdout;
            let first = |text: &str| text.split(',').next().unwrap().parse::<f64>().unwrap();
            assert!((first(&wanted) - first(&by_hand)).abs() < 1e-12, "frame {number}: between marks by stops");
            let got = media::read(&out.join(format!("a.{number:04}.tif"))).unwrap().frame.to_pixels(Range::Full)[0][0];
            let off = (f64::from(got) - first(&wanted)).abs() * 65535.0;
            assert!(off < 2.0, "{executor}, frame {number}: {off} 16-bit codes off");
        }
    }
}

// ---- edits

#[test]
fn edits_are_made_whole_or_not_at_all_and_say_what_changed() {
    let dir = folder();
    let project = ferry(dir.path());
    let before = fs::read_to_string(&project).unwrap();
    let unchanged = || assert_eq!(fs::read_to_string(&project).unwrap(), before);
    for (edits, words) in [
        (&["set exposure stops=1", "set exposure stops=99"][..], &["edit 2", "stops=99 is outside -24 to 24"][..]),
        (&["brighten stops=1"], &["edit 1", "no edit 'brighten'", "set", "nudge"]),
        (&["set exposure"], &["no setting is named"]),
        (&["set exposure stops=1 stops=2"], &["stops is given twice"]),
        (&["move candidate=scene at=1"], &["say where"]),
        (&["move candidate=scene at=9 first=true"], &["ferry.greywright: edit 1", "no place 9; there are 0, 1, 2, 3"]),
        (&["set exposur stops=1"], &["'exposur' is not in the kit; there are exposure, in, light, out"]),
        (&["candidate warm like=scenic"], &["no candidate 'scenic'; there are scene"]),
        (&["set exposure stops=1 set-up=galley"], &["no set-up 'galley'; there are deck"]),
        (&["trim exposure stops=+1"], &["say whose trim"]),
        (&["nudge exposure stops=+1 shots=deck_099"], &["no shot 'deck_099'; there are deck_010, deck_020"]),
        (&["shot deck_030 encoding=LogC3"], &["media= is missing"]),
        (&["shot deck_010 encoding=LogC5"], &["LogC5", "LogC3"]),
        (&["lock shots=deck_010", "state shots=deck_010 to=matched"], &["edit 2", "deck_010", "locked"]),
        (&["state shots=deck_010 to=done"], &["'done' is no state"]),
        (&["insert exposure candidate=scene after=0 first=true"], &["only one of"]),
        (&["drop member=exposure"], &["used by candidate 'scene'"]),
        (&["note shots=deck_010 text=\"not closed"], &["quotation mark"]),
        (&["lock shots=deck_010 extra=1"], &["extra= is not expected"]),
    ] {
        edit(&project, edits).fails(2, words);
        unchanged();
    }
    let dry = edit(&project, &["set exposure stops=+0.5"]).with("--dry-run").done();
    assert_eq!(dry.stdout, "  [kit.exposure]\n+ stops = 0.5\n");
    unchanged();
    let edits = [
        "set exposure stops=+0.5",
        "candidate warm like=scene",
        "move candidate=warm at=2 after=0",
        "bypass candidate=warm at=1",
        "domain candidate=warm at=1 in=log",
        "detach candidate=warm at=1",
        "set exposure-2 stops=-1",
        "nudge exposure stops=+0.1 shots=*",
        "nudge exposure stops=+0.1 shots=deck_010",
        "state shots=deck_010 to=balanced",
        "note shots=deck_010 text=\"spray on the lens\"",
        "choose shots=deck_010 candidate=warm",
        "add blend operation=mix share=0.5",
        "add lift operation=exposure stops=2",
        "branch lift candidate=scene from=0 mix=blend after=2",
        "copy from=deck_010 shots=deck_020 members=exposure",
        "candidate late like=warm",
        "insert lift candidate=late",
        "insert lift candidate=late domain=display",
        "add ends operation=soft-clip high=0.9",
        "insert ends candidate=late",
        "lock shots=deck_010",
        "rename candidate=scene to=plain",
    ];
    let done = edit(&project, &edits).done();
    assert!(done.stdout.contains("+ note = \"spray on the lens\""), "{done}");
    let text = fs::read_to_string(&project).unwrap();
    for line in [
        "warm = [\n    \"in\",\n    \"light at=2\",\n    \"exposure-2 domain=log bypass=true at=1\",\n    \"out\",\n]",
        "    \"lift at=4\",\n    \"out at=3\",\n    \"lift domain=display\",\n    \"ends\",\n]",
        "[kit.exposure-2]\noperation = \"exposure\"\nversion = 1\nstops = -1\n",
        "candidate = \"warm\"\nstate = \"balanced\"\nlocked = true\nnote = \"spray on the lens\"\nnumbers.exposure.stops.trim = 0.2\n",
    ] {
        assert!(text.contains(line), "no\n{line}\nin\n{text}");
    }
    assert_eq!(text.matches("numbers.exposure.stops.trim = 0.2").count(), 2, "carried: {text}");
    let table = greywright("project").with(&project).done().stdout;
    for words in ["plain  0 in | 1 exposure", "balanced locked", "deck_020", "spray on the lens", "missing"] {
        assert!(table.contains(words), "{words}: {table}");
    }
    let json = json(&greywright("project --json").with(&project));
    assert!(json["missing"][0].as_str().unwrap().contains("deck_020"), "missing media are told, and it opens: {json}");
    let warning = json["warnings"].to_string();
    assert!(!warning.contains("deck_020.%04d"), "{warning}");
    edit(&project, &[]).with("--new").fails(1, &["there is a file of this name"]);
}

#[test]
fn a_project_that_another_process_has_open_is_not_changed() {
    let dir = folder();
    let path = ferry(dir.path());
    let before = fs::read_to_string(&path).unwrap();
    let mut open = Project::open(&path).unwrap();
    let words = ["ferry.greywright", "cannot be changed", "process", "has it open"];
    edit(&path, &["set exposure stops=1"]).fails(1, &words);
    assert_eq!(fs::read_to_string(&path).unwrap(), before);
    greywright("project").with(&path).done();
    // Work that was left is decided about before anything else is done.
    let stops = graph::Edit::Set { member: "exposure".into(), key: "stops".into(), value: "3".into() };
    open.apply(&stops).unwrap();
    open.autosave().unwrap();
    drop(open);
    edit(&path, &["set exposure stops=1"]).fails(1, &["unsaved work", "--recover", "--discard"]);
    assert!(greywright("project").with(&path).done().stdout.contains("take it up with --recover"));
    greywright("project --recover").with(&path).done();
    assert!(fs::read_to_string(&path).unwrap().contains("stops = 3"));
    edit(&path, &["set exposure stops=1"]).done();
    greywright("project --discard").with(&path).fails(1, &["no unsaved work"]);
}

// ---- orders

#[test]
fn orders_are_listed_by_the_picture_that_they_make() {
    let dir = folder();
    let project = ferry(dir.path());
    edit(
        &project,
        &[
            "set exposure stops=1",
            "set light from=3200K",
            "add shift operation=exposure stops=-0.5",
            "insert shift candidate=scene after=1 domain=log",
        ],
    )
    .done();
    let orders = || greywright("orders --json --candidate scene --shot deck_010").with(&project);
    let answer = json(&orders());
    // Three corrections, six orders. Exposure and white balance are both linear in scene light and change places freely;
    // the exposure on log code does not.
    assert_eq!(answer["orders"], 6, "{answer}");
    let groups = answer["groups"].as_array().unwrap();
    let sizes: Vec<_> = groups.iter().map(|group| group.as_array().unwrap().len()).collect();
    assert_eq!(sizes.iter().sum::<usize>(), 6, "{answer}");
    assert_eq!(sizes.iter().filter(|&&size| size == 2).count(), 2, "{answer}");
    let added = json(&orders().with("--write"));
    let added = added["added"].as_array().unwrap();
    assert_eq!(added.len(), groups.len() - 1, "one of each group but its own: {added:?}");
    let text = fs::read_to_string(&project).unwrap();
    for name in added {
        assert!(text.contains(name.as_str().unwrap()), "{name} in {text}");
    }
    for (name, words) in [
        ("orders --candidate none", "no candidate 'none'; there are scene"),
        ("orders --candidate scene --shot none", "no shot 'none'; there are deck_010, deck_020"),
    ] {
        greywright(name).with(&project).fails(1, &[words]);
    }
}

// ---- a disk that gives out

/// Runs a script in a small file system of its own that holds a project; `$0` is its folder, `$1` the program. None,
/// with a printed reason, where the system gives no such name space.
#[cfg(target_os = "linux")]
fn on_small_disk(project: &str, script: &str) -> Option<(tests::program::Answer, String)> {
    use std::process::{Command, Stdio};
    let dir = folder();
    let mount = dir.path().join("small");
    fs::create_dir_all(&mount).unwrap();
    fs::write(dir.path().join("ferry.greywright"), project).unwrap();
    let allowed = Command::new("unshare").args(["-rm", "mount", "-t", "tmpfs", "tmpfs"]).arg(&mount).output();
    if !allowed.as_ref().is_ok_and(|output| output.status.success()) {
        println!("skipped: no file system can be mounted here: {allowed:?}");
        return None;
    }
    let script = format!(
        "mount -t tmpfs -o size=128k tmpfs \"$0\" && cp \"$2\" \"$0\"\n{script}\n\
         \"$1\" edit \"$0/ferry.greywright\" 'set exposure stops=2' >&2 || code=$?\n\
         ls -A \"$0\" >&2\ncat \"$0/ferry.greywright\"\nexit ${{code:-0}}"
    );
    let mut command = Command::new("unshare");
    command.args(["-rm", "sh", "-c", &script]).arg(&mount).arg(tests::program::binary());
    command.arg(dir.path().join("ferry.greywright"));
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("unshare runs");
    let answer = tests::program::finish(child, "edit on a small disk".to_string());
    let left = answer.stdout.clone();
    Some((answer, left))
}

#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_is_full_or_read_only_costs_nothing() {
    let mut document = graph::chain::parse("exposure stops=1").unwrap();
    for shot in 0..150 {
        let note = "spray on the lens ".repeat(10);
        document
            .shots
            .insert(format!("deck_{shot:03}"), graph::Shot { media: "a.exr".into(), note, ..Default::default() });
    }
    let text = session::file::write(&session::file::Written { document, ..Default::default() });
    for (script, words) in [
        ("dd if=/dev/zero of=\"$0/filler\" bs=1k 2>/dev/null; truncate -s -4k \"$0/filler\"", "the disk is full"),
        ("mount -o remount,ro \"$0\"", "cannot be changed"),
    ] {
        let Some((answer, left)) = on_small_disk(&text, script) else { return };
        assert_eq!(answer.code, 1, "{answer}");
        assert!(answer.stderr.contains(words) && answer.stderr.contains("ferry.greywright"), "{words}: {answer}");
        assert_eq!(left, text, "the file is as it was");
        assert!(!answer.stderr.contains(".part"), "nothing half written is left: {answer}");
    }
    // With room it works, by the same way.
    let Some((answer, left)) = on_small_disk(&text, "") else { return };
    assert_eq!((answer.code, left.contains("stops = 2")), (0, true), "{answer}");
}
