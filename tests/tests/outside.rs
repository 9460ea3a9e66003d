//! Whole encodings, displays and white balances against reference libraries that hold the published figures themselves:
//! OpenColorIO's built-in transforms (lossless optimisation, in float) and colour-science (in double). No constant of
//! ours is handed to either. By the proof and on the GPU.
//!
//! The scripts `tests/reference/outside_*.py` say which rows are tried, which are left out and why. The libraries come
//! from the Python that `GREYWRIGHT_PYTHON` names; without one these tests are skipped with a printed reason.

use std::collections::BTreeMap;

use tests::gpu::adapter;
use tests::program::{eval, python, reference};

/// What the issue promises: 1e-5 max(1, |x|).
const BOUND: f64 = 1e-5;

/// Rows in, and what the library makes of them.
#[derive(Debug, Default)]
struct Rows {
    inputs: Vec<[f64; 3]>,
    outputs: Vec<[f64; 3]>,
}

/// By what and which way.
type Table = BTreeMap<(String, String), Rows>;

fn read(text: &str) -> Table {
    let mut table = Table::new();
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split('\t').collect();
        let number = |at: usize| -> f64 { cells[at].parse().unwrap_or_else(|_| panic!("no number in '{line}'")) };
        let rows = table.entry((cells[0].to_string(), cells[1].to_string())).or_default();
        rows.inputs.push([number(2), number(3), number(4)]);
        rows.outputs.push([number(5), number(6), number(7)]);
    }
    assert!(!table.is_empty(), "the script wrote no rows");
    table
}

fn executors() -> Vec<&'static str> {
    if adapter().is_some() { vec!["proof", "gpu"] } else { vec!["proof"] }
}

/// Compares every group of rows and prints how far each is off at worst; `scale` is the size that the bound is a share of.
fn check(table: &Table, chain: impl Fn(&str, &str) -> String, scale: impl Fn(&str, &[f64; 3], usize) -> f64) {
    let mut wrong = Vec::new();
    for executor in executors() {
        for ((what, way), rows) in table {
            let chain = chain(what, way);
            let out = eval(executor, &chain, &rows.inputs);
            let mut worst = (0.0, 0);
            for (at, (got, want)) in out.iter().zip(&rows.outputs).enumerate() {
                for channel in 0..3 {
                    let apart = (got[channel] - want[channel]).abs() / scale(what, want, channel).max(1.0);
                    // A NaN is as wrong as can be.
                    if apart > worst.0 || apart.is_nan() {
                        worst = (if apart.is_nan() { f64::INFINITY } else { apart }, at);
                    }
                }
            }
            let (apart, at) = worst;
            println!("{executor:5}  {what:16}  {way:11}  {apart:8.1e} at worst of {} rows", rows.inputs.len());
            if apart > BOUND {
                let (input, want) = (rows.inputs[at], rows.outputs[at]);
                wrong.push(format!("{executor}: {chain}\n  {input:?}: {:?}, outside {want:?}", out[at]));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn own_channel(_what: &str, want: &[f64; 3], channel: usize) -> f64 {
    want[channel].abs()
}

fn scene_chain(what: &str, way: &str) -> String {
    match way {
        "decode" => format!("input-transform encoding={what} | encode encoding=ACES2065-1"),
        "encode" => format!("input-transform encoding=ACES2065-1 | encode encoding={what}"),
        other => panic!("no chain goes the way '{other}'"),
    }
}

#[test]
fn scene_encodings_against_opencolorio() {
    let Some(python) = python() else { return };
    let table = read(&reference(&python, "outside_opencolorio.py", &["scene"]));
    check(&table, scene_chain, |what, want, channel| {
        if what == "LogC3" {
            // The library works LogC3's constants out anew where the maker's paper prints six decimals: 9e-6 apart in a
            // bright channel, of which the matrix brings a part into a dark one. So the row's brightest channel counts.
            want.iter().fold(0.0, |most, value| value.abs().max(most))
        } else {
            own_channel(what, want, channel)
        }
    });
}

#[test]
fn scene_encodings_against_colour_science() {
    let Some(python) = python() else { return };
    let table = read(&reference(&python, "outside_colour_science.py", &["scene"]));
    check(&table, scene_chain, own_channel);
}

/// Plain rendering: scene 1.0 is the display's white, or 100 nits on PQ and HLG, as it is in the library.
#[test]
fn displays_against_opencolorio() {
    let Some(python) = python() else { return };
    let table = read(&reference(&python, "outside_opencolorio.py", &["display"]));
    let chain = |what: &str, _: &str| {
        format!("input-transform encoding=ACES2065-1 | output-transform display={what} rendering=plain")
    };
    check(&table, chain, own_channel);
}

#[test]
fn white_balance_against_colour_science() {
    let Some(python) = python() else { return };
    let table = read(&reference(&python, "outside_colour_science.py", &["white"]));
    let chain = |light: &str, method: &str| format!("white-balance from={light} to=D65 method={method}");
    check(&table, chain, own_channel);
}
