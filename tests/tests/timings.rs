//! `render --timings`: every stage is there, the table's sums are right, and without asking nothing is said of it.

use serde_json::Value;
use tests::program::{Run, greywright};

const CHAIN: &str =
    "input-transform encoding=LogC3 | exposure stops=0.5 | output-transform display=BT.1886 rendering=plain";

/// A render of three small frames in a folder of its own.
fn render(folder: &std::path::Path) -> Run {
    let original = folder.join("ramp.%04d.dpx");
    for frame in 1..=3 {
        let file = folder.join(format!("ramp.{frame:04}.dpx"));
        greywright("pattern ramp --size 64x32 --out").with(file).done();
    }
    greywright("render").with(original).with(folder.join("out.%04d.dpx")).chain(CHAIN)
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no number '{key}' in {value}"))
}

#[test]
fn every_stage_has_its_cost() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let run = render(dir.path()).with("--timings");
    let table = run.done().stdout;
    let json = run.with("--json").done().json();
    let stages = json["timings"]["stages"].as_array().expect("there are stages");
    let names: Vec<&str> = stages.iter().filter_map(|stage| stage["stage"].as_str()).collect();
    if names.contains(&"proof") {
        assert_eq!(names, ["read", "decode", "proof", "encode", "write", "hash"]);
    } else {
        // The device's own clock is not to be had everywhere.
        let timed: Vec<&str> = names.iter().copied().filter(|name| *name != "GPU").collect();
        assert_eq!(timed, ["read", "decode", "upload", "wait and readback", "encode", "write", "hash"]);
    }
    for name in &names {
        assert!(table.lines().any(|line| line.trim_start().starts_with(name)), "no '{name}' in:\n{table}");
    }
    let wall = number(&json["timings"], "wall");
    let mut sum = 0.0;
    for stage in stages {
        let seconds = number(stage, "seconds");
        assert!(seconds > 0.0, "{stage}");
        // The share is worked out from the same doubles.
        assert!((number(stage, "share_of_wall") - seconds / wall).abs() < 1e-9, "{stage}");
        sum += if stage["part_of"].is_null() { seconds } else { 0.0 };
    }
    assert!((number(&json["timings"], "sum") - sum).abs() < 1e-9, "{json}");
    assert!((number(&json, "seconds_a_frame") - wall).abs() < 1e-9, "{json}");
}

#[test]
fn nothing_is_said_unasked() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let run = render(dir.path());
    assert!(!run.done().stdout.contains("wall"));
    assert!(run.with("--json").done().json()["timings"].is_null());
}
