//! The aces-2.0 rendering against OpenColorIO's own ACES 2 output transforms (in float, lossless optimisation), and undone.
//!
//! `tests/reference/outside_aces.py` says which rows are tried. The library comes from the Python that `GREYWRIGHT_PYTHON`
//! names; without one these tests are skipped with a printed reason.

use std::collections::BTreeMap;

use colour::transfer::Form;
use colour::{Adaptation, Primaries, Transfer, difference, primaries};
use tests::gpu::adapter;
use tests::program::{eval, python, reference};

/// What the issue promises. Every row keeps it; what is left is the library's single floats, most of all where one channel
/// of PQ is next to black beside one of thousands of nits.
const SIGNAL: f64 = 1e-3;
const DELTA_E_ITP: f64 = 0.1;

/// One of the library's outputs, by the name that it has there.
#[derive(Debug, Clone)]
struct Output {
    display: &'static str,
    peak_nits: f64,
    limit: &'static str,
    primaries: Primaries,
    transfer: Transfer,
}

impl Output {
    /// `SDR-100nit-REC709`, for instance.
    fn of(name: &str) -> Self {
        let (kind, rest) = name.split_once('-').expect("a kind");
        let (peak, limit) = rest.split_once("nit-").expect("a peak and primaries");
        let limit =
            if limit.starts_with("REC") { ["BT.709", "BT.2020"][usize::from(limit == "REC2020")] } else { limit };
        let limit = if limit == "BT.709" {
            "BT.709"
        } else if limit == "BT.2020" {
            "BT.2020"
        } else {
            "P3-D65"
        };
        let peak_nits = peak.parse().expect("a peak in nits");
        let gamma = |exponent| Transfer::Gamma { exponent };
        let (display, primaries, transfer) = match (kind, limit) {
            ("SDR", "BT.709") => ("BT.1886", primaries::BT709, gamma(2.4)),
            ("SDR", _) => ("P3-D65", primaries::P3_D65, gamma(2.6)),
            _ => ("PQ", primaries::BT2020, Transfer::Pq),
        };
        Self { display, peak_nits, limit, primaries, transfer }
    }

    fn settings(&self) -> String {
        // The two for cinemas show the transform's 100 nits as 48.
        let cinema = [108.0, 300.0].contains(&self.peak_nits);
        let reference = if cinema { " reference=48" } else { "" };
        format!("rendering=aces-2.0 peak={} limit={}{reference}", self.peak_nits, self.limit)
    }

    /// Light on BT.2020 in nits of the display's signal.
    fn nits(&self, signal: [f64; 3]) -> [f64; 3] {
        let light = signal.map(|code| 100.0 * self.transfer.decode(Form::Exact, code));
        Primaries::rgb_from_rgb(&primaries::BT2020, &self.primaries, Adaptation::Bradford).apply(light)
    }
}

#[derive(Debug, Default)]
struct Rows {
    inputs: Vec<[f64; 3]>,
    outputs: Vec<[f64; 3]>,
}

fn read(text: &str) -> BTreeMap<(String, String), Rows> {
    let mut table: BTreeMap<_, Rows> = BTreeMap::new();
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split('\t').collect();
        let number = |at: usize| -> f64 { cells[at].parse().unwrap_or_else(|_| panic!("no number in '{line}'")) };
        let rows = table.entry((cells[0].to_string(), cells[1].to_string())).or_default();
        rows.inputs.push([2, 3, 4].map(number));
        rows.outputs.push([5, 6, 7].map(number));
    }
    assert!(!table.is_empty(), "the script wrote no rows");
    table
}

fn executors() -> Vec<&'static str> {
    if adapter().is_some() { vec!["proof", "gpu"] } else { vec!["proof"] }
}

/// Largest and mean of some differences.
#[derive(Debug, Default)]
struct Spread {
    most: f64,
    sum: f64,
    count: usize,
}

impl Spread {
    fn add(&mut self, value: f64) {
        // A NaN is as wrong as can be.
        let value = if value.is_nan() { f64::INFINITY } else { value };
        self.most = self.most.max(value);
        self.sum += value;
        self.count += 1;
    }

    fn mean(&self) -> f64 {
        self.sum / self.count as f64
    }
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).abs()).fold(0.0, |most: f64, one| if one.is_nan() { one } else { most.max(one) })
}

#[test]
fn aces_2_against_opencolorio() {
    let Some(python) = python() else { return };
    let table = read(&reference(&python, "outside_aces.py", &["lattice"]));
    assert_eq!(table.len(), 12 * 2, "twelve displays, two spacings");
    let mut wrong = Vec::new();
    println!("executor, display, spacing, rows, signal max and mean, Delta E ITP max and mean");
    for executor in executors() {
        for ((name, spacing), rows) in &table {
            let output = Output::of(name);
            let chain = format!("output-transform display={} {}", output.display, output.settings());
            let out = eval(executor, &chain, &rows.inputs);
            let (mut signal, mut seen) = (Spread::default(), Spread::default());
            for (at, (&got, &want)) in out.iter().zip(&rows.outputs).enumerate() {
                let off = apart(got, want);
                let delta = difference::delta_e_itp_from_nits(output.nits(got), output.nits(want));
                signal.add(off);
                seen.add(delta);
                if !(off <= SIGNAL && delta <= DELTA_E_ITP) {
                    let input = rows.inputs[at];
                    wrong
                        .push(format!("{executor} {name} {input:?}: {got:?}, outside {want:?}, {off:.1e}, {delta:.3}"));
                }
            }
            let ([most, mean], [most_seen, mean_seen]) = ([signal.most, signal.mean()], [seen.most, seen.mean()]);
            let count = out.len();
            println!(
                "{executor:5}  {name:19}  {spacing:9}  {count}  {most:.1e}  {mean:.1e}  {most_seen:.1e}  {mean_seen:.1e}"
            );
        }
    }
    let shown: Vec<_> = wrong.iter().take(20).cloned().collect();
    assert!(wrong.is_empty(), "{} rows are apart\n{}", wrong.len(), shown.join("\n"));
}

#[test]
fn aces_2_undone_against_opencolorio() {
    let Some(python) = python() else { return };
    let table = read(&reference(&python, "outside_aces.py", &["inverse"]));
    for executor in executors() {
        for ((name, _), rows) in &table {
            let output = Output::of(name);
            let chain = format!("input-transform encoding={} {}", output.display, output.settings());
            let out = eval(executor, &chain, &rows.inputs);
            let mut spread = Spread::default();
            let mut offs = Vec::new();
            for (at, (&got, &want)) in out.iter().zip(&rows.outputs).enumerate() {
                let size = want.into_iter().fold(0.01, f64::max);
                let off = apart(got, want) / size;
                spread.add(off);
                offs.push((off, at));
            }
            offs.sort_by(|a, b| b.0.total_cmp(&a.0));
            let over = |l: f64| offs.iter().filter(|(o, _)| *o > l).count();
            println!(
                "{executor:5}  {name:19}  {:.1e}  {:.1e} over 1e-4 {} 1e-3 {} 1e-2 {}",
                spread.most,
                spread.mean(),
                over(1e-4),
                over(1e-3),
                over(1e-2)
            );
            for &(off, at) in offs.iter().take(4) {
                println!("     {off:.1e} {:?} {:?} {:?}", rows.inputs[at], out[at], rows.outputs[at]);
            }
        }
    }
}
