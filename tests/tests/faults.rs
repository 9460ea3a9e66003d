//! What goes wrong for a user: one clear message that names the file or the field and the remedy, the right exit code,
//! no panic, and nothing half-made under a final name.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::About;
use tests::program::{Answer, Run, binary, finish, greywright};

const MAIN: &str = "input-transform encoding=LogC3 | exposure stops=+0.5 | white-balance from=3200K \
    | output-transform rendering=plain";

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

/// A grey slope, in the format of the path's ending.
fn picture(path: &Path, size: Size) {
    let samples = match path.extension().and_then(|ending| ending.to_str()) {
        Some("dpx") => Samples::Ten,
        Some("exr") => Samples::Half,
        _ => Samples::U16,
    };
    let order = if matches!(samples, Samples::Ten) { ByteOrder::Big } else { ByteOrder::Little };
    let layout = Layout::new(Channels::Rgb, samples, order);
    let count = size.pixels();
    let pixels: Vec<_> = (0..count).map(|at| at as f32 / count as f32).map(|grey| [grey, grey, grey, 1.0]).collect();
    let frame = Frame::from_pixels(&pixels, size, layout, Range::Full);
    media::write(path, &frame, &About::default()).unwrap_or_else(|error| panic!("{error}"));
}

fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let name = |entry: fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
    let mut names: Vec<_> = entries.map(|entry| name(entry.expect("an entry"))).collect();
    names.retain(|name| !tests::frames::is_record(name));
    names.sort();
    names
}

fn render(original: &Path, out: &Path) -> Run {
    greywright("render").with(original).with(out).chain(MAIN)
}

/// One message of the program's own, that names the path; a hint may follow.
fn one_message(answer: &Answer, path: &Path) {
    let messages = answer.messages();
    assert_eq!(messages.len(), 1, "{answer}");
    let name = path.file_name().expect("a name").to_string_lossy();
    assert!(messages[0].contains(name.as_ref()), "'{name}' in {answer}");
}

/// Reads a damaged file by render and by inspect: exit code 1, one message with these words, nothing left behind.
fn refused(path: &Path, words: &[&str]) {
    let out = path.with_file_name("out");
    let answer = render(path, &out.join("a.dpx")).fails(1, words);
    one_message(&answer, path);
    assert_eq!(names(&out), [""; 0], "{answer}");
    one_message(&greywright("inspect").with(path).fails(1, words), path);
}

fn patched(path: &Path, at: usize, bytes: &[u8]) {
    let mut file = fs::read(path).expect("a file");
    file[at..at + bytes.len()].copy_from_slice(bytes);
    fs::write(path, file).expect("the file is written");
}

#[test]
fn a_file_that_is_not_there() {
    let dir = folder();
    refused(&dir.path().join("none.0001.dpx"), &["no such file", "check the spelling"]);
    let pattern = dir.path().join("none.%04d.dpx");
    one_message(&render(&pattern, &dir.path().join("out/a.%04d.dpx")).fails(1, &["no frame of this name"]), &pattern);
    render(dir.path(), &dir.path().join("out2/a.%04d.dpx")).fails(1, &["holds no image sequence"]);
}

#[test]
fn a_file_cut_short() {
    for ending in ["dpx", "exr", "tiff", "png"] {
        let dir = folder();
        let path = dir.path().join(format!("short.{ending}"));
        picture(&path, Size::new(64, 48));
        let whole = fs::read(&path).expect("a file");
        for part in [whole.len() * 2 / 3, 40, 3, 0] {
            fs::write(&path, &whole[..part]).expect("the file is written");
            refused(&path, &[]);
        }
    }
}

#[test]
fn a_file_of_another_kind() {
    let dir = folder();
    for ending in ["dpx", "exr", "tiff", "png"] {
        let path = dir.path().join(format!("words.{ending}"));
        fs::write(&path, "These are words, and no picture at all. ".repeat(100)).expect("the file is written");
        refused(&path, &["not a picture that can be read", "DPX, OpenEXR, TIFF"]);
    }
}

/// SMPTE ST 268-1: pixels a line at byte 772, lines at 776.
#[test]
fn headers_of_no_size_and_of_an_absurd_one() {
    let dir = folder();
    let path = dir.path().join("size.dpx");
    let [none, huge] = [0u32, 60_000].map(u32::to_be_bytes);
    for (size, words) in [
        ([none, none], ["0x0", "damaged"]),
        ([none, 48u32.to_be_bytes()], ["0x48", "damaged"]),
        ([huge, huge], ["60000x60000", "check the file"]),
        ([[255; 4], [255; 4]], ["header", "file"]),
    ] {
        picture(&path, Size::new(64, 48));
        patched(&path, 772, &size.concat());
        let started = Instant::now();
        refused(&path, &words);
        assert!(started.elapsed() < Duration::from_secs(5), "a header is judged before memory is taken");
    }
    // PNG: width and height at byte 16, with a checksum that no longer holds (ISO/IEC 15948).
    let path = dir.path().join("size.png");
    picture(&path, Size::new(64, 48));
    patched(&path, 16, &[huge, huge].concat());
    refused(&path, &[]);
}

/// One bad frame costs that frame, and is named.
#[test]
fn a_bad_frame_among_good_ones() {
    let dir = folder();
    for number in 1..=4 {
        picture(&dir.path().join(format!("a.{number:04}.dpx")), Size::new(64, 48));
    }
    let bad = dir.path().join("a.0002.dpx");
    let whole = fs::read(&bad).expect("a file");
    fs::write(&bad, &whole[..5000]).expect("the file is written");
    let out = dir.path().join("out");
    let answer = render(&dir.path().join("a.%04d.dpx"), &out.join("b.%04d.dpx")).fails(1, &["frame 2", "cut short"]);
    one_message(&answer, &bad);
    assert_eq!(names(&out), ["b.0001.dpx", "b.0003.dpx", "b.0004.dpx"]);
}

#[test]
fn encodings_that_are_not_known() {
    let dir = folder();
    let path = dir.path().join("a.dpx");
    picture(&path, Size::new(16, 9));
    let out = dir.path().join("out/a.dpx");
    let render = |chain: &str| greywright("render").with(&path).with(&out).chain(chain);
    render("input-transform encoding=LogC5").fails(2, &["LogC5", "LogC3", "LogC4"]);
    render("input-transform encoding=LogC3 | encode encoding=SLog4").fails(2, &["SLog4", "S-Log3"]);
    render("output-transform display=Plasma").fails(2, &["display", "BT.1886", "PQ"]);
    render("input-transform encoding=LogC3 ei=801").fails(2, &["801", "800"]);
    render("input-transform encoding=V-Log ei=800").fails(2, &["V-Log"]);
    render("input-transform encoding=V-Log primaries=Cyan").fails(2, &["primaries", "Cyan", "BT.2020"]);
    let file = dir.path().join("night.toml");
    for (text, words) in [
        ("name = ", ["night.toml", "line 1"]),
        ("name = \"Night\"\nprimaries = \"BT.2020\"\n", ["night.toml", "[log] or a [table]"]),
        (
            "name = \"Night\"\nprimaries = \"Mauve\"\n[table]\ncodes=[0.0,1.0]\nlinear=[0.0,1.0]\n",
            ["night.toml", "Mauve"],
        ),
        ("name = \"N\"\nprimaries = \"BT.709\"\n[table]\ncodes=[0.0,1.0]\nlinear=[0.0]\n", ["night.toml", "linear"]),
        (
            "name = \"N\"\nprimaries = \"BT.709\"\nmood = 1\n[table]\ncodes=[0.0,1.0]\nlinear=[0.0,1.0]\n",
            ["night.toml", "mood"],
        ),
    ] {
        fs::write(&file, text).expect("the file is written");
        greywright("eval --encoding-file").with(&file).fails(1, &words);
    }
    greywright("eval --encoding-file").with(dir.path().join("none.toml")).fails(1, &["none.toml"]);
    assert_eq!(names(&dir.path().join("out")), [""; 0]);
}

#[test]
fn chains_that_cannot_be_read() {
    for (chain, words) in [
        ("exposure stops=1 |", &["operation 2", "empty"][..]),
        ("| exposure", &["operation 1", "empty"]),
        ("brighten stops=1", &["brighten", "exposure"]),
        ("exposure 1", &["operation 1", "exposure", "'1'", "key=value"]),
        ("exposure stops=", &["exposure", "stops"]),
        ("exposure stops=1 stops=2", &["stops", "twice"]),
        ("exposure stop=1", &["exposure", "stop", "stops"]),
        ("exposure stops=nan", &["stops"]),
        ("exposure stops=1e9", &["stops"]),
        ("exposure domain=attic", &["domain", "camera", "scene"]),
        ("white-balance from=hot", &["from=hot", "illuminant"]),
        ("white-balance from=\"D65", &["quotation mark"]),
        ("white-balance from=0K", &["from"]),
        ("white-balance from=3200K method=guess", &["method", "Bradford"]),
        ("white-balance from=3200K degree=2", &["degree"]),
        ("output-transform black=5 peak=1 rendering=plain", &["black", "peak"]),
        ("output-transform | output-transform", &["output-transform"]),
        ("exposure stops=1 domain=display", &["display"]),
    ] {
        let answer = greywright("eval --executor proof").chain(chain).fails(2, words);
        assert_eq!(answer.messages().len(), 1, "{answer}");
    }
    let dir = folder();
    let file = dir.path().join("chain.txt");
    fs::write(&file, "exposure stops=1 |\n brighten").expect("the file is written");
    greywright("eval --chain-file").with(&file).fails(2, &["chain.txt", "operation 2", "brighten"]);
    greywright("eval --chain-file").with(dir.path().join("none.txt")).fails(1, &["none.txt"]);
    greywright("eval --chain exposure --chain-file a.txt").fails(2, &["--chain"]);
}

#[test]
fn projects_that_have_no_meaning() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    let chain = "exposure stops=1 | white-balance from=3200K | exposure stops=2";
    let document = graph::chain::parse(chain).expect("the chain holds");
    let mut written = session::file::Written { document, ..Default::default() };
    let run = || greywright("eval --executor proof --project").with(&path);
    let save = |text: &str| fs::write(&path, text).expect("the file is written");
    let text = session::file::write(&written);
    save(&text);
    run().input("0.1,0.1,0.1\n").done();

    save(&text.replacen("    \"white-balance\",", "    \"white-balance from=2\",", 1));
    // Any member on the circle may be named.
    one_message(&run().fails(1, &["line 19, column 1", "candidates.chain", "circle", "take away one edge"]), &path);

    let second = written.document.candidates[graph::chain::CANDIDATE].clone();
    written.document.candidates.insert("other".to_string(), second);
    save(&session::file::write(&written));
    one_message(&run().fails(1, &["--candidate", "chain", "other"]), &path);
    run().with("--candidate").with("third").fails(1, &["third", "chain", "other"]);

    written.document.kit.remove("white-balance");
    save(&session::file::write(&written));
    one_message(&run().fails(1, &["white-balance", "not in the kit"]), &path);
    for text in
        ["", "{", "[]", "schema_version = 99", "{\"schema_version\": 99}", "schema_version = 2\ncandidates = 3\n"]
    {
        save(text);
        one_message(&run().fails(1, &["ferry.greywright"]), &path);
    }
    one_message(
        &greywright("eval --project").with(dir.path().join("none.greywright")).fails(1, &["no such project"]),
        &dir.path().join("none.greywright"),
    );
}

/// Root may write anywhere, so a file stands where the folder should be; the test below has a true read-only file system.
#[test]
fn an_output_folder_that_takes_no_files() {
    let dir = folder();
    let original = dir.path().join("a.0001.dpx");
    picture(&original, Size::new(16, 9));
    let taken = dir.path().join("taken");
    fs::write(&taken, "a file").expect("the file is written");
    let words = ["taken", "cannot write", "choose another or change its permissions"];
    render(&original, &taken.join("b.%04d.dpx")).fails(1, &words);
    greywright("pattern ramp --out").with(taken.join("ramp.dpx")).fails(1, &words);
    greywright("demo --size 160x90 --frames 1").with(taken.join("demo")).fails(1, &["taken"]);
    assert_eq!(fs::read_to_string(&taken).expect("the file"), "a file");
    // A folder stands where the file should be.
    let folder = dir.path().join("out/b.0001.dpx");
    fs::create_dir_all(&folder).expect("a folder");
    render(&original, &dir.path().join("out/b.%04d.dpx")).fails(1, &["b.0001.dpx"]);
    assert_eq!(names(&dir.path().join("out")), ["b.0001.dpx"]);
    render(&original, &dir.path().join("out/b.jpg")).fails(2, &["b.jpg", ".dpx, .exr, .tif, .tiff or .png"]);
    render(&original, &dir.path().join("c.%04d.dpx"))
        .with("--depth")
        .with("half")
        .fails(2, &["DPX", "depth half", "10"]);
    assert!(!names(dir.path()).iter().any(|name| name.starts_with("c.")));
}

/// Runs a render into a small file system of its own, mounted in a name space that ends with the run, and lists what is
/// there afterwards as `size name`. None, with a printed reason, where the system gives no such name space.
#[cfg(target_os = "linux")]
fn on_small_disk(original: &Path, out: &Path, prepare: &str) -> Option<(Answer, Vec<(u64, String)>)> {
    fs::create_dir_all(out).expect("a folder");
    let allowed = Command::new("unshare").args(["-rm", "mount", "-t", "tmpfs", "tmpfs"]).arg(out).output();
    if !allowed.as_ref().is_ok_and(|output| output.status.success()) {
        println!("skipped: no file system can be mounted here: {allowed:?}");
        return None;
    }
    let script = format!(
        "{prepare}\n\"$1\" render \"$2\" \"$0/b.%04d.dpx\" --executor proof --chain \"$3\" >&2 || code=$?\n\
         ls -lA --time-style=+ \"$0\" | awk 'NF > 1 && $1 != \"total\" {{ print $5, $NF }}'\nexit ${{code:-0}}"
    );
    let mut command = Command::new("unshare");
    command.args(["-rm", "sh", "-c", &script]).arg(out).arg(binary()).arg(original).arg(MAIN);
    let child = command.stdout(std::process::Stdio::piped()).stderr(std::process::Stdio::piped()).spawn();
    let answer = finish(child.expect("unshare runs"), "render on a small disk".to_string());
    let sizes = answer.stdout.lines().filter_map(|line| {
        let (size, name) = line.split_once(' ')?;
        Some((size.parse().ok()?, name.to_string()))
    });
    let sizes = sizes.filter(|(_, name): &(u64, String)| !tests::frames::is_record(name)).collect();
    Some((answer, sizes))
}

#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_is_full_or_read_only() {
    let dir = folder();
    let out = dir.path().join("small");
    for number in 1..=12 {
        picture(&dir.path().join(format!("a.{number:04}.dpx")), Size::new(160, 90));
    }
    let original = dir.path().join("a.%04d.dpx");
    // A frame is 2048 + 160 x 90 x 4 bytes; 300 kB hold four of them.
    let whole = 2048 + 160 * 90 * 4;
    let full = on_small_disk(&original, &out, "mount -t tmpfs -o size=300k tmpfs \"$0\"");
    let Some((answer, files)) = full else { return };
    assert_eq!(answer.code, 1, "{answer}");
    assert!(answer.stderr.contains("the disk is full") && answer.stderr.contains("free some space"), "{answer}");
    assert!((1..12).contains(&files.len()), "{files:?}");
    assert!(files.iter().all(|(size, name)| *size == whole && name.ends_with(".dpx")), "{files:?}");
    println!("{} of 12 frames fitted", files.len());

    let no_room = on_small_disk(&original, &out, "mount -t tmpfs -o size=4k,nr_inodes=1 tmpfs \"$0\"");
    let Some((answer, files)) = no_room else { return };
    assert_eq!((answer.code, files.len()), (1, 0), "{answer}");
    assert!(answer.stderr.contains("full"), "{answer}");

    let closed = on_small_disk(&original, &out, "mount -t tmpfs -o ro tmpfs \"$0\"");
    let Some((answer, files)) = closed else { return };
    assert_eq!((answer.code, files.len()), (1, 0), "{answer}");
    let messages = answer.messages();
    assert_eq!(messages.len(), 1, "{answer}");
    assert!(messages[0].contains("small") && messages[0].contains("cannot write into this folder"), "{answer}");
}

/// The same picture many times over, without the disk space.
#[cfg(unix)]
fn long_sequence(dir: &Path, frames: u32, size: Size) -> PathBuf {
    let first = dir.join("a.0001.dpx");
    picture(&first, size);
    for number in 2..=frames {
        fs::hard_link(&first, dir.join(format!("a.{number:04}.dpx"))).expect("a link");
    }
    dir.join("a.%04d.dpx")
}

#[cfg(unix)]
fn interrupt(child: &std::process::Child) {
    let sent = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(sent.is_ok_and(|status| status.success()), "the signal is sent");
}

#[cfg(unix)]
#[test]
fn control_c_ends_between_two_frames() {
    let dir = folder();
    let original = long_sequence(dir.path(), 400, Size::new(960, 540));
    for executor in ["proof", "gpu"] {
        if executor == "gpu" && tests::gpu::adapter().is_none() {
            continue;
        }
        let out = dir.path().join(executor);
        let child = render(&original, &out.join("b.%04d.dpx")).with("--executor").with(executor).start();
        let started = Instant::now();
        let finals = || names(&out).into_iter().filter(|name| !name.starts_with('.')).count();
        while finals() < 2 {
            assert!(started.elapsed() < Duration::from_secs(30), "{executor}: no frame in half a minute");
            std::thread::sleep(Duration::from_millis(5));
        }
        interrupt(&child);
        let answer = finish(child, format!("render --executor {executor}, interrupted"));
        assert_eq!(answer.code, 1, "{answer}");
        let files = names(&out);
        let word = format!("stopped after {} of 400 frames; what was written is whole", files.len());
        assert!(answer.stderr.contains(&word), "'{word}': {answer}");
        assert!((2..400).contains(&files.len()), "{files:?}");
        let first = fs::read(out.join(&files[0])).expect("a frame");
        assert_eq!(first.len(), 2048 + 960 * 540 * 4);
        for name in &files {
            assert!(name.ends_with(".dpx"), "{name}");
            assert!(fs::read(out.join(name)).expect("a frame") == first, "{name} is whole and like all others");
        }
    }
}

/// A command that waits for its input ends at the first Ctrl-C.
#[cfg(unix)]
#[test]
fn control_c_ends_a_command_that_waits() {
    let mut child = greywright("eval --executor proof").start();
    std::thread::sleep(Duration::from_millis(300));
    interrupt(&child);
    let started = Instant::now();
    loop {
        if child.try_wait().expect("the program can be asked").is_some() {
            break;
        }
        if started.elapsed() > Duration::from_secs(5) {
            child.kill().expect("the program can be ended");
            panic!("eval waits on after Ctrl-C");
        }
        std::thread::sleep(Duration::from_millis(10));
    }
}
