//! The operations that a published document defines, against tables of its vectors and against OpenColorIO, by the
//! proof and on the GPU.
//!
//! `cdl.tsv`: ASC CDL release 1.2 and the CLF (Academy S-2014-006), with OpenColorIO's printed test vectors.
//! `gamut_compression.tsv`: ACES 1.3 reference gamut compression, equations 1 to 6. Each table's head says more.
//! `tests/reference/outside_operations.py` runs OpenColorIO itself; without the Python that `GREYWRIGHT_PYTHON` names,
//! those tests are skipped with a printed reason.

use std::collections::BTreeMap;

use tests::gpu::adapter;
use tests::program::{eval, python, reference};
use tests::table::{Row, number, rows};

/// Both sides are doubles with a few roundings of their own each.
const DOUBLE: f64 = 1e-12;
/// Single floats through two powers on the GPU.
const SINGLE: f64 = 3e-6;
/// OpenColorIO works in single floats, whatever it is held against.
const OUTSIDE: f64 = 3e-6;
/// The printed vectors have six digits; one of them, 0.108368 for 0.1083667, is 1.3e-6 from the library's own result too.
const PRINTED: f64 = 1.4e-6;

fn triple(row: &Row, stem: &str, suffix: &str) -> [f64; 3] {
    ["r", "g", "b"].map(|channel| number(row, &format!("{stem}{channel}{suffix}")))
}

fn executors() -> Vec<(&'static str, f64)> {
    let mut executors = vec![("proof", DOUBLE)];
    if adapter().is_some() {
        executors.push(("gpu", SINGLE));
    }
    executors
}

/// Inputs and what they ought to become, by chain.
type Table = BTreeMap<String, Vec<([f64; 3], [f64; 3])>>;

/// Runs rows by chain, one run of the program each, and compares to `bound max(1, |x|)`. Says all that differ.
fn check(executor: &str, bound: f64, wanted: &Table) {
    let mut wrong = Vec::new();
    let (mut worst, mut count) = (0.0f64, 0);
    for (chain, rows) in wanted {
        let inputs: Vec<_> = rows.iter().map(|(input, _)| *input).collect();
        for (got, (input, want)) in eval(executor, chain, &inputs).iter().zip(rows) {
            let apart = (0..3).map(|i| (got[i] - want[i]).abs() / want[i].abs().max(1.0)).fold(0.0, f64::max);
            worst = worst.max(apart);
            count += 1;
            // A NaN is as wrong as can be, and no comparison finds it.
            if apart > bound || got.iter().any(|channel| channel.is_nan()) {
                wrong.push(format!("{chain}\n  {input:?}: {got:?} for {want:?}"));
            }
        }
    }
    println!("{executor:5} {worst:8.1e} at worst of {count} rows");
    assert!(wrong.is_empty(), "{executor}: {} of {count} rows\n{}", wrong.len(), wrong.join("\n"));
}

// ---- ASC CDL

fn cdl_chain(row: &Row, clamp: bool) -> String {
    let three = |stem: &str| triple(row, stem, "").map(|number| number.to_string()).join(",");
    let [slope, offset, power] = ["slope_", "offset_", "power_"].map(three);
    let saturation = &row["saturation"];
    format!("cdl slope={slope} offset={offset} power={power} saturation={saturation} clamp={clamp} domain=as-given")
}

/// The clamped reverse, step by step in its published order: clamp, saturation, clamp, power, clamp, offset and slope,
/// clamp (CLF, Academy S-2014-006, style `Rev`). One list cannot say it; three in a row can.
fn reversed_cdl_chain(row: &Row) -> String {
    let [slope, offset, power] = ["slope_", "offset_", "power_"].map(|stem| triple(row, stem, ""));
    let three = |number: &dyn Fn(usize) -> f64| [0, 1, 2].map(|i| number(i).to_string()).join(",");
    let saturation = format!("saturation={}", 1.0 / number(row, "saturation"));
    let powers = format!("power={}", three(&|i| 1.0 / power[i]));
    let line = format!("slope={} offset={}", three(&|i| 1.0 / slope[i]), three(&|i| -offset[i] / slope[i]));
    [saturation, powers, line].map(|numbers| format!("cdl {numbers} clamp=true domain=as-given")).join(" | ")
}

#[test]
fn cdl_against_the_published_vectors() {
    let table = rows("cdl.tsv");
    let mut double = Table::new();
    let mut printed = Table::new();
    let mut undone = Table::new();
    let mut reversed = Table::new();
    for row in &table {
        let (input, out) = (triple(row, "in_", ""), triple(row, "out_", ""));
        match row["style"].as_str() {
            "Fwd" | "FwdNoClamp" => {
                let chain = cdl_chain(row, row["style"] == "Fwd");
                double.entry(chain.clone()).or_default().push((input, out));
                let digits: Vec<f64> = row["published_out"].split(' ').filter_map(|cell| cell.parse().ok()).collect();
                if let [r, g, b] = digits[..] {
                    printed.entry(chain).or_default().push((input, [r, g, b]));
                }
            }
            // The operation is no inverse, but undoes what the standard's own inverse gives.
            "RevNoClamp" => undone.entry(cdl_chain(row, false)).or_default().push((out, input)),
            "Rev" => reversed.entry(reversed_cdl_chain(row)).or_default().push((input, out)),
            style => panic!("cdl.tsv has a style '{style}' that no check reads"),
        }
    }
    let counts = [&double, &printed, &undone, &reversed].map(|rows| rows.values().map(Vec::len).sum::<usize>());
    assert_eq!(counts, [36, 32, 5, 6], "every row of the table is read");
    for (executor, bound) in executors() {
        check(executor, bound, &double);
        check(executor, bound.max(PRINTED), &printed);
        check(executor, bound, &undone);
        check(executor, bound, &reversed);
    }
}

// ---- reference gamut compression

fn of_gamut(chain: &str, table: &[Row], input: &str, output: &str, suffix: &str) -> Table {
    let rows = table.iter().map(|row| (triple(row, input, ""), triple(row, output, suffix))).collect();
    Table::from([(chain.to_string(), rows)])
}

#[test]
fn gamut_compression_against_the_published_equations() {
    let table = rows("gamut_compression.tsv");
    let on_ap1 = of_gamut("gamut-compress", &table, "ap1_", "out_ap1_", "");
    let on_ap0_chain = "input-transform encoding=ACES2065-1 | gamut-compress | encode encoding=ACES2065-1";
    let on_ap0 = of_gamut(on_ap0_chain, &table, "ap0_", "out_ap0_", "");
    let by_opencolorio = of_gamut(on_ap0_chain, &table, "ap0_", "ocio_ap0_", "_f32");
    let back = of_gamut("gamut-compress inverse=true", &table, "out_ap1_", "inverse_ap1_", "");
    for (executor, bound) in executors() {
        check(executor, bound, &on_ap1);
        check(executor, bound, &on_ap0);
        check(executor, OUTSIDE, &by_opencolorio);
        // The inverse is steeper than one: ten times among these colours.
        check(executor, 10.0 * bound, &back);
    }
}

// ---- OpenColorIO

fn outside(what: &str) -> Option<Table> {
    let text = reference(&python()?, "outside_operations.py", &[what]);
    let mut table = Table::new();
    for line in text.lines().skip(1) {
        let mut cells = line.split('\t');
        let chain = cells.next().unwrap_or_default().to_string();
        let numbers: Vec<f64> =
            cells.map(|cell| cell.parse().unwrap_or_else(|_| panic!("no number in '{line}'"))).collect();
        let [a, b, c, x, y, z] = numbers[..] else { panic!("'{line}' is no row of six numbers") };
        table.entry(chain).or_default().push(([a, b, c], [x, y, z]));
    }
    assert!(!table.is_empty(), "the script wrote no rows");
    Some(table)
}

#[test]
fn cdl_against_opencolorio() {
    let Some(table) = outside("cdl") else { return };
    for (executor, _) in executors() {
        check(executor, OUTSIDE, &table);
    }
}

#[test]
fn gamut_compression_against_opencolorio() {
    let Some(table) = outside("gamut") else { return };
    let (back, forward): (Table, Table) = table.into_iter().partition(|(chain, _)| chain.contains("inverse=true"));
    for (executor, _) in executors() {
        check(executor, OUTSIDE, &forward);
        // Single floats on both sides of a steep inverse.
        check(executor, 20.0 * OUTSIDE, &back);
    }
}
