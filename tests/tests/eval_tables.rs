//! `eval --executor proof` reproduces the tables of `tests/data`, each of which names its published source in its
//! head or in its rows, at every listed input.
//!
//! All of these tables are double, so the bound is 1e-12 max(1, |x|) everywhere: a few roundings on each side. Curves
//! are tried on greys with `primaries=AP1`, which leaves the matrix out: a grey passes it but for its last bit, and
//! that decides on which side of a break the inputs lie that the tables put right on it. The matrices have their own.
//!
//! What numbers through a chain cannot reach is checked in `crates/colour/tests/tables.rs`: CCT and Duv, CIEDE2000,
//! Delta E ITP, ICtCp, Oklab, uniform spaces, the daylight locus, steps at the breaks of published curves, matrices to
//! XYZ, chroma codes, and codes of other than 10 bits (rows are counted in 10).

use tests::program::eval;
use tests::table::{Row, matrix, number, rows};

/// Both sides are doubles with a few roundings of their own each.
const DOUBLE: f64 = 1e-12;
/// The table finds the normal to the locus, along which Duv is counted, by a difference quotient.
const NORMAL: f64 = 1e-9;
const UNITS: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn close(got: f64, want: f64, what: &dyn std::fmt::Debug) {
    within(DOUBLE, got, want, what);
}

fn within(bound: f64, got: f64, want: f64, what: &dyn std::fmt::Debug) {
    let apart = (got - want).abs() / want.abs().max(1.0);
    assert!(apart <= bound, "{what:?}: got {got:e}, the table has {want:e}");
}

/// Numbers through a chain as greys; the three channels agree.
fn greys(chain: &str, values: &[f64]) -> Vec<f64> {
    let rows: Vec<_> = values.iter().map(|&value| [value; 3]).collect();
    let out = eval("proof", chain, &rows);
    out.into_iter()
        .map(|[r, g, b]| {
            close(r, g, &chain);
            close(b, g, &chain);
            g
        })
        .collect()
}

/// Groups a table's rows by the chain they go through, in one run of the program each.
fn check(table: &[Row], chain: impl Fn(&Row) -> String, input: impl Fn(&Row) -> f64, output: impl Fn(&Row) -> f64) {
    let mut groups: std::collections::BTreeMap<String, Vec<&Row>> = std::collections::BTreeMap::new();
    for row in table {
        groups.entry(chain(row)).or_default().push(row);
    }
    for (chain, rows) in groups {
        let inputs: Vec<f64> = rows.iter().map(|row| input(row)).collect();
        for (got, row) in greys(&chain, &inputs).into_iter().zip(rows) {
            close(got, output(row), &(&chain, row));
        }
    }
}

fn of_kind(table: &str, column: &str, kinds: &[&str]) -> Vec<Row> {
    let found: Vec<_> = rows(table).into_iter().filter(|row| kinds.contains(&row[column].as_str())).collect();
    assert!(!found.is_empty(), "{table} has no {kinds:?}");
    found
}

#[test]
fn transfer_functions() {
    let all = rows("transfer_functions.tsv");
    let (raised, others): (Vec<_>, Vec<_>) = all.into_iter().partition(|row| row["curve"].starts_with("BT.1886"));
    check(&others, transfer_chain, |row| number(row, "input"), |row| number(row, "output"));
    // BT.1886 with a black goes the other way: light between black and peak gives the code.
    let black = |row: &Row| -> f64 {
        row["curve"].trim_start_matches("BT.1886 100/").trim_end_matches(" nits").parse().expect("a black in nits")
    };
    check(
        &raised,
        |row| format!("output-transform display=BT.1886 peak=100 black={} rendering=plain", black(row)),
        |row| (number(row, "output") - black(row)) / (100.0 - black(row)),
        |row| number(row, "input"),
    );
}

fn transfer_chain(row: &Row) -> String {
    let curve = match row["curve"].as_str() {
        "gamma 2.2" => "Gamma2.2",
        "gamma 2.4" => "BT.1886",
        "gamma 2.6" => "P3-D65",
        curve => curve,
    };
    match (row["kind"].as_str(), curve) {
        ("decode", _) => format!("input-transform encoding={curve} primaries=AP1"),
        ("encode", "sRGB") => "output-transform display=sRGB rendering=plain".to_string(),
        ("encode", _) => format!("encode encoding={curve} primaries=AP1"),
        (kind, _) => panic!("transfer_functions.tsv has a kind '{kind}' that no check reads"),
    }
}

#[test]
fn logc3_at_every_exposure_index() {
    let table = rows("logc3_ei.tsv");
    for (light, column) in [(0.0, "code_of_0"), (0.18, "code_of_0.18"), (0.9, "code_of_0.90")] {
        let chain = |row: &Row| format!("encode encoding=LogC3 ei={} primaries=AP1", row["exposure_index"]);
        check(&table, chain, |_| light, |row| number(row, column));
    }
    let chain = |row: &Row| format!("input-transform encoding=LogC3 ei={} primaries=AP1", row["exposure_index"]);
    check(&table, chain, |_| 1.0, |row| number(row, "linear_at_1"));
}

#[test]
fn stops() {
    let table = rows("stops.tsv");
    let chain = |row: &Row| format!("encode encoding={} primaries=AP1", row["curve"]);
    check(&table, chain, |row| number(row, "linear"), |row| number(row, "code"));
    // The same by the operation: grey is moved by stops.
    let chain = |row: &Row| format!("exposure stops={} | encode encoding={}", row["stops_from_grey"], row["curve"]);
    let few: Vec<_> = table.into_iter().filter(|row| row["curve"] == "LogC4").collect();
    check(&few, chain, |_| 0.18, |row| number(row, "code"));
}

/// The columns of a matrix by what the chain makes of pure red, green and blue.
fn close_columns(bound: f64, columns: &[[f64; 3]], want: &[[f64; 3]; 3], what: &dyn std::fmt::Debug) {
    for (j, column) in columns.iter().enumerate() {
        for (i, value) in column.iter().enumerate() {
            within(bound, *value, want[i][j], what);
        }
    }
}

fn scene_encoding(space: &str) -> Option<&'static str> {
    let known = [("AP0", "ACES2065-1"), ("AP1", "ACEScg"), ("BT.709", "Linear-BT.709"), ("BT.2020", "Linear-BT.2020")];
    known.iter().find(|(name, _)| *name == space).map(|(_, encoding)| *encoding)
}

#[test]
fn matrices_by_bradford() {
    for row in of_kind("matrices.tsv", "adaptation", &["Bradford"]) {
        let to = scene_encoding(&row["to"]).unwrap_or_else(|| panic!("no encoding for {row:?}"));
        let from = &row["from"];
        // Any linear encoding that adapts by Bradford will do; its primaries are told.
        let chain = format!("input-transform encoding=Linear-BT.709 primaries=\"{from}\" | encode encoding={to}");
        close_columns(DOUBLE, &eval("proof", &chain, &UNITS), &matrix(&row), &row);
    }
}

#[test]
fn matrices_by_cat02() {
    // No linear encoding adapts by CAT02, so the light of two codes of a log encoding that does is told apart by greys.
    let (low, high) = (0.2, 0.5);
    for row in of_kind("matrices.tsv", "adaptation", &["CAT02"]) {
        let to = scene_encoding(&row["to"]).unwrap_or_else(|| panic!("no encoding for {row:?}"));
        let chain = format!("input-transform encoding=LogC4 primaries=\"{}\" | encode encoding={to}", row["from"]);
        let inputs = [[low; 3], [high; 3], [high, low, low], [low, high, low], [low, low, high]];
        let out = eval("proof", &chain, &inputs);
        let (dark, light) = (out[0][1], out[1][1]);
        let columns: Vec<[f64; 3]> = out[2..].iter().map(|row| row.map(|v| (v - dark) / (light - dark))).collect();
        close_columns(DOUBLE, &columns, &matrix(&row), &row);
    }
}

fn light_of(row: &Row) -> String {
    if row["kelvin"].is_empty() {
        return row["light"].clone();
    }
    format!("{}K{:+}duv", row["kelvin"], number(row, "duv"))
}

#[test]
fn white_balance_to_d65() {
    for row in rows("white_balance_d65.tsv") {
        let method = row["method"].to_lowercase().replace(' ', "-");
        let grey = ["grey_r", "grey_g", "grey_b"].map(|column| number(&row, column));
        let inputs = [UNITS[0], UNITS[1], UNITS[2], grey];
        let by_number = format!("{},{}", number(&row, "x"), number(&row, "y"));
        for (light, bound) in [(light_of(&row), NORMAL), (by_number, DOUBLE)] {
            let out = eval("proof", &format!("white-balance from={light} to=D65 method={method}"), &inputs);
            close_columns(bound, &out[..3], &matrix(&row), &row);
            out[3].iter().for_each(|value| within(bound, *value, 0.18, &row));
        }
    }
}

fn times(a: &[[f64; 3]; 3], b: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// The frame in which every white is read: Bradford from the ACES white to D65, on XYZ of AP1; both from tables.
fn white_frame() -> [[f64; 3]; 3] {
    let bradford = of_kind("adaptation.tsv", "method", &["Bradford"]);
    let adapt = bradford.iter().find(|row| row["from"] == "ACES" && row["to"] == "D65").expect("ACES to D65");
    let xyz = of_kind("matrices.tsv", "to", &["XYZ"]);
    let ap1 = xyz.iter().find(|row| row["from"] == "AP1").expect("AP1 to XYZ");
    times(&matrix(adapt), &matrix(ap1))
}

#[test]
fn adaptation_between_any_whites() {
    let frame = white_frame();
    for row in rows("adaptation.tsv") {
        let method = row["method"].to_lowercase().replace(' ', "-");
        let [fx, fy, tx, ty] = ["from_x", "from_y", "to_x", "to_y"].map(|column| number(&row, column));
        let chain = format!("white-balance from={fx},{fy} to={tx},{ty} method={method}");
        let out = eval("proof", &chain, &UNITS);
        let columns = std::array::from_fn(|i| std::array::from_fn(|j| out[j][i]));
        // frame x balance = adaptation x frame
        let (got, want) = (times(&frame, &columns), times(&matrix(&row), &frame));
        got.iter().flatten().zip(want.iter().flatten()).for_each(|(got, want)| close(*got, *want, &row));
    }
}

#[test]
fn illuminants_by_name() {
    for row in rows("illuminants.tsv") {
        let name = &row["illuminant"];
        let by_name = eval("proof", &format!("white-balance from=\"{name}\""), &UNITS);
        let xy = format!("white-balance from={},{}", number(&row, "x"), number(&row, "y"));
        let by_number = eval("proof", &xy, &UNITS);
        by_name.iter().flatten().zip(by_number.iter().flatten()).for_each(|(got, want)| close(*got, *want, &row));
    }
}

/// PQ: 1.0 of linear light is 100 nits. HLG: scene light is BT.2100's E, 0 to 1.
#[test]
fn pq_and_hlg_curves() {
    let (input, output) = (|row: &Row| number(row, "input"), |row: &Row| number(row, "output"));
    let table = of_kind("pq_hlg.tsv", "what", &["PQ: nits to signal"]);
    check(&table, |_| "output-transform display=PQ rendering=plain".to_string(), |row| input(row) / 100.0, output);
    legal_codes(&table, "output-transform display=PQ range=legal rendering=plain", 100.0);
    let table = of_kind("pq_hlg.tsv", "what", &["PQ: signal to nits"]);
    check(&table, |_| "input-transform encoding=PQ".to_string(), input, |row| output(row) / 100.0);
    let table = of_kind("pq_hlg.tsv", "what", &["HLG: scene light to signal"]);
    check(&table, |_| "encode encoding=HLG".to_string(), input, output);
    legal_codes(&table, "encode encoding=HLG range=legal", 1.0);
    let table = of_kind("pq_hlg.tsv", "what", &["HLG: signal to scene light"]);
    check(&table, |_| "input-transform encoding=HLG".to_string(), input, output);
}

/// Rows are floats that hold a 10-bit code over 1023; a file rounds them half up.
fn legal_codes(table: &[Row], chain: &str, unit: f64) {
    let told: Vec<_> = table.iter().filter(|row| !row["code10_legal"].is_empty()).collect();
    assert!(!told.is_empty());
    let inputs: Vec<f64> = told.iter().map(|row| number(row, "input") / unit).collect();
    for (got, row) in greys(chain, &inputs).into_iter().zip(told) {
        assert_eq!((got * 1023.0 + 0.5).floor(), number(row, "code10_legal"), "{chain}: {row:?}");
    }
}

/// What the display shows of scene light goes back to that scene light as signal.
#[test]
fn hlg_display_light() {
    let triple = |row: &Row, column: &str| -> [f64; 3] {
        let values: Vec<f64> = row[column].split(' ').map(|value| value.parse().expect("a number")).collect();
        values.try_into().expect("three numbers")
    };
    // Display light in, signal out, and the signal's scene light, all on BT.2020.
    let back = |peak: f64, nits: &[[f64; 3]]| {
        let light: Vec<_> = nits.iter().map(|row| row.map(|nits| nits / 100.0)).collect();
        let chain = format!(
            "input-transform encoding=Linear-BT.2020 | output-transform display=HLG peak={peak} rendering=plain"
        );
        let signal = eval("proof", &chain, &light);
        eval("proof", "input-transform encoding=HLG | encode encoding=Linear-BT.2020", &signal)
    };
    for row in of_kind("pq_hlg.tsv", "what", &["HLG: scene light to nits at 1000 nits"]) {
        let out = back(1000.0, &[triple(&row, "output")]);
        // A square root lies between: its slope at black makes 1e-7 of a rounding of 1e-16, and the square undoes it.
        out[0].iter().zip(triple(&row, "input")).for_each(|(got, want)| close(*got, want, &row));
    }
    for row in of_kind("pq_hlg.tsv", "what", &["HLG system gamma at a peak in nits"]) {
        // BT.2100's formula is for 400 to 2000 nits, BT.2390's for what lies beyond.
        let peak = number(&row, "input");
        let gamma = number(&row, if peak <= 2000.0 { "output" } else { "extra" });
        let out = back(peak, &[[peak * 0.5f64.powf(gamma); 3]]);
        out[0].iter().for_each(|got| close(*got, 0.5, &row));
    }
}

#[test]
fn ten_bit_codes_of_both_ranges() {
    let table: Vec<_> = rows("range_codes.tsv").into_iter().filter(|row| row["bits"] == "10").collect();
    let kind = |what: &str, range: &str| -> Vec<&Row> {
        let found: Vec<_> = table.iter().filter(|row| row["what"] == what && row["range"] == range).collect();
        assert!(!found.is_empty(), "no {what} of {range} range");
        found
    };
    // There and back by the published pair, so that only the range is left.
    let through = |from: &str, to: &str| {
        format!("input-transform encoding=ACEScct range={from} | encode encoding=ACEScct range={to}")
    };
    for range in ["legal", "full"] {
        let luma = kind("luma", range);
        let signals: Vec<f64> = luma.iter().map(|row| number(row, "signal")).collect();
        for (got, row) in greys(&through("full", range), &signals).into_iter().zip(luma) {
            // ACEScct ends at code 1.468; below 0 and above 1 it goes on, where files end.
            let code = (got * 1023.0 + 0.5).floor().clamp(0.0, 1023.0);
            assert_eq!(code, number(row, "code"), "{row:?}: {got}");
        }
    }
    let signal = kind("signal", "legal");
    let stored: Vec<f64> = signal.iter().map(|row| number(row, "code") / 1023.0).collect();
    for (got, row) in greys(&through("legal", "full"), &stored).into_iter().zip(signal) {
        close(got, number(row, "signal"), row);
    }
}

/// Levels that a colourist knows by heart.
#[test]
fn levels_known_by_heart() {
    // Within half of the last digit that the document prints.
    let level =
        |chain: &str, input: f64, printed: f64, half: f64| within(half, greys(chain, &[input])[0], printed, &chain);
    // Rep. ITU-R BT.2408-7 table 1: HDR reference white, 203 cd/m2, is 58 % PQ and, on a display of 1000, 75 % HLG.
    level("output-transform display=PQ rendering=plain", 2.03, 0.58, 0.005);
    level("output-transform display=HLG peak=1000 rendering=plain", 2.03, 0.75, 0.005);
    // Rec. ITU-R BT.2100-2 table 5: the two parts of the HLG curve meet at 1/12 of light and half the signal.
    level("input-transform encoding=HLG primaries=AP1", 0.5, 1.0 / 12.0, DOUBLE);
    // Rec. ITU-R BT.1886 annex 1 solved for the signal, with Lw 100 and Lb 0.1 cd/m2: scene 0 is the raised black.
    let (white, black) = (100f64.powf(1.0 / 2.4), 0.1f64.powf(1.0 / 2.4));
    let raised = "output-transform display=BT.1886 peak=100 black=0.1 rendering=plain";
    for nits in [0.1, 1.0, 18.0, 50.0, 100.0f64] {
        let signal = (nits.powf(1.0 / 2.4) - black) / (white - black);
        level(raised, (nits - 0.1) / 99.9, signal, DOUBLE);
    }
    // Academy S-2014-003: ACEScc of 0 and below is (log2(2^-16) + 9.72) / 17.52.
    for light in [0.0, -1.0] {
        level("encode encoding=ACEScc", light, (-16.0 + 9.72) / 17.52, DOUBLE);
    }
    // ARRI's LogC3 curves put 18 % grey at the same code at every exposure index, 400 of 1023 (from memory).
    for ei in [160, 400, 800, 1600] {
        level(&format!("encode encoding=LogC3 ei={ei} primaries=AP1"), 0.18, 400.0 / 1023.0, 0.5 / 1023.0);
    }
}
