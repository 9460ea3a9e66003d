//! Every report names how its picture was rendered, in the same words. What files carry: `written_files`.

use serde_json::Value;
use tests::program::{Run, greywright};

const WORDS: &str = "BT.1886, 100 nits, aces-2.0";
const CHAIN: &str = "input-transform encoding=LogC3 | exposure stops=1 | output-transform";

fn json(run: &Run) -> Value {
    run.done().json()
}

#[test]
fn every_report_names_the_rendering() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let path = |name: &str| dir.path().join(name);
    greywright("pattern ramp --size 64x8 --out").with(path("in.png")).done();
    let render = |out: &str| greywright("render").with(path("in.png")).with(path(out)).chain(CHAIN);
    assert_eq!(json(&render("a.png").with("--json"))["rendering"], WORDS);
    let answer = render("b.png").done();
    assert!(answer.stdout.contains(&format!("rendering: {WORDS}\n")), "{answer}");
    let eval = |chain: &str| greywright("eval").chain(chain).input("0.5,0.5,0.5\n");
    assert_eq!(json(&eval(CHAIN).with("--json"))["rendering"], WORDS);
    assert!(eval(CHAIN).done().messages().iter().any(|message| message.contains(WORDS)));
    // Light of a scene has no rendering, and nothing is said of one.
    assert_eq!(json(&eval("exposure stops=1").with("--json"))["rendering"], Value::Null);
    assert!(eval("exposure stops=1").done().messages().is_empty());
    for (settings, words) in [
        ("rendering=plain black=0.05", "BT.1886, 100 nits, plain, black 0.05 nits"),
        ("display=PQ", "PQ, 1000 nits, aces-2.0, within P3-D65"),
        ("display=HLG limit=BT.2020 peak=600", "HLG, 600 nits, aces-2.0"),
        ("rendering=bt2390 peak=200", "BT.1886, 200 nits, bt2390, from 4000 nits"),
    ] {
        let rendering = json(&eval(&format!("output-transform {settings}")).with("--json"))["rendering"].clone();
        assert_eq!(rendering, words);
    }
    let verify = greywright("verify").chain("exposure stops=1 | output-transform");
    assert_eq!(json(&verify.with("--json"))["rendering"], WORDS);
    let response = greywright("response").chain(CHAIN);
    assert_eq!(json(&response.with("--json"))["candidates"][0]["rendering"], WORDS);
    let inspect = greywright("inspect").with(path("a.png"));
    assert!(inspect.done().stdout.contains(&format!("made for {WORDS}\n")));
    assert_eq!(json(&inspect.with("--json"))[0]["rendering"], WORDS);
    let check = greywright("check").with(path("a.png")).with("--json").go();
    assert_eq!(check.json()["shots"][0]["rendering"], WORDS, "{check}");
}

#[test]
fn a_project_names_the_renderings_of_its_candidates() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    greywright("demo --size 160x90 --frames 1 --shots deck_010 --no-faults").with(dir.path()).done();
    let project = dir.path().join(demo::PROJECT_NAME);
    let answer = json(&greywright("project --json").with(&project));
    let candidates = answer["candidates"].as_array().expect("a list");
    assert_eq!(candidates.len(), 5);
    for candidate in candidates {
        assert_eq!(candidate["renderings"], serde_json::json!([WORDS]), "{candidate}");
    }
    let told = greywright("project").with(&project).done();
    assert!(told.stdout.contains("renderings\n") && told.stdout.contains(WORDS), "{told}");
    let orders = greywright("orders --candidate log-points --shot deck_010").with(&project);
    assert!(orders.done().stdout.contains(&format!("rendering: {WORDS}\n")));
    assert_eq!(json(&orders.with("--json"))["rendering"], WORDS);
    // A file of version 1 keeps its plain picture, and every command that reads it says so.
    let text = std::fs::read_to_string(&project).expect("it is there");
    let older = text.replace("\"output-transform\"\nversion = 2", "\"output-transform\"\nversion = 1");
    assert_ne!(older, text);
    std::fs::write(&project, older).expect("it can be written");
    let answer = json(&greywright("project --json").with(&project));
    assert_eq!(answer["candidates"][0]["renderings"], serde_json::json!(["BT.1886, 100 nits, plain"]));
    assert!(answer["notes"].to_string().contains("rendering = \\\"plain\\\" is set"), "{answer}");
    let eval = greywright("eval --shot deck_010 --project").with(&project).input("0.4,0.4,0.4\n").done();
    assert!(eval.stderr.contains("version 1 of it knew no rendering but plain"), "{eval}");
}

/// A finished frame is read as what it was made for, where its format has no other word for that: DPX has none for PQ.
#[test]
fn a_finished_frame_is_read_as_what_it_was_made_for() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let path = |name: &str| dir.path().join(name);
    greywright("pattern ramp --size 64x8 --out").with(path("in.png")).done();
    for (display, signal) in [("PQ", "PQ"), ("BT.1886", "BT.1886"), ("P3-D65", "P3-D65")] {
        let out = path(&format!("{display}.dpx"));
        let chain = format!("input-transform encoding=LogC3 | output-transform display={display}");
        greywright("render").with(path("in.png")).with(&out).chain(&chain).done();
        let answer = json(&greywright("view --as warnings --json").with(&out).with("--out").with(path("view.png")));
        let told = answer["signal"].as_str().expect("a signal").to_string();
        assert!(told.contains(signal), "{display}: {told}");
    }
}
