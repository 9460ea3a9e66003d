//! CDL and CLF files against a library that reads the same files, and against published numbers.
//!
//! `cdl.tsv`: ASC CDL release 1.2 (2009). `clf_nodes.tsv`: nodes of Academy S-2014-006 (CLF 3.0) as OpenColorIO applies them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use colour::Encoding;
use graph::{Elaborated, Original, chain, elaborate};
use interchange::cdl::{About, CdlFile, Correction, Form};
use interchange::{cdl, clf};
use ops::{Book, Cdl, Eval, Pointwise as _, Signal};
use tests::program::{python, reference};
use tests::table::{Row, number, rows};

/// What the standard allows the final quality of an implementation: a share of the number, or of 0.1 where that is larger.
///
/// # Source
/// Academy S-2014-006 (CLF 3.0), conformance.
const FINAL_QUALITY: f64 = 0.002;
/// What the library's single floats are off by where nothing is steep: some roundings of numbers up to ten.
const SINGLE: f64 = 1e-5;

fn three(row: &Row, names: [&str; 3]) -> [f64; 3] {
    names.map(|name| number(row, name))
}

fn list_of(row: &Row) -> Cdl {
    Cdl {
        slope: three(row, ["slope_r", "slope_g", "slope_b"]),
        offset: three(row, ["offset_r", "offset_g", "offset_b"]),
        power: three(row, ["power_r", "power_g", "power_b"]),
        saturation: number(row, "saturation"),
        clamp: row["style"] == "Fwd",
    }
}

fn correction(list: &Cdl, id: &str) -> Correction {
    let Cdl { slope, offset, power, saturation, .. } = list.clone();
    Correction { slope, offset, power, saturation, ..Correction::neutral(id) }
}

/// A list after a way through a file of each form, evaluated with the clamps that such files mean.
fn through_files(list: &Cdl) -> Vec<Eval> {
    let forms = [Form::Correction, Form::Collection, Form::List];
    let file = |form| CdlFile {
        form,
        about: About::default(),
        corrections: vec![correction(list, "a")],
        left_out: Vec::new(),
    };
    forms
        .into_iter()
        .map(|form| {
            let text = cdl::write(&file(form)).expect("it can be written");
            let read = cdl::read(text.as_bytes(), "a.cdl").expect("it can be read");
            let Correction { slope, offset, power, saturation, .. } = read.corrections[0].clone();
            Cdl { slope, offset, power, saturation, clamp: true }.eval(&Signal::log())
        })
        .collect()
}

#[test]
fn decision_lists_come_out_of_their_files_as_published() {
    let table = rows("cdl.tsv");
    let clamped: Vec<&Row> = table.iter().filter(|row| row["style"] == "Fwd").collect();
    assert!(clamped.len() > 10);
    for row in clamped {
        let (input, wanted) = (three(row, ["in_r", "in_g", "in_b"]), three(row, ["out_r", "out_g", "out_b"]));
        for eval in through_files(&list_of(row)) {
            for (got, want) in eval(input).into_iter().zip(wanted) {
                assert!((got - want).abs() < 1e-12, "{}: {got} {want}", row["case"]);
            }
        }
    }
}

#[test]
fn nodes_come_out_as_the_table_has_them() {
    let (mut met, mut refused) = (BTreeMap::new(), BTreeMap::new());
    for row in rows("clf_nodes.tsv") {
        let file = format!("<ProcessList compCLFversion=\"3.0\" id=\"one\">{}</ProcessList>", row["xml"]);
        let list = match clf::read(file.as_bytes(), "node.clf") {
            Ok(list) => list,
            Err(error) => {
                refused.insert(row["node"].clone(), error.to_string());
                continue;
            }
        };
        let (input, wanted) =
            (three(&row, ["in_r", "in_g", "in_b"]), three(&row, ["out_r_f32", "out_g_f32", "out_b_f32"]));
        for (got, want) in list.pixel()(input).into_iter().zip(wanted) {
            assert!((got - want).abs() <= SINGLE * want.abs().max(1.0), "{}: {input:?} {got} {want}", row["node"]);
        }
        *met.entry(row["node"].clone()).or_insert(0) += 1;
    }
    for (node, error) in &refused {
        println!("not read: {node}: {error}");
    }
    // Every node that a candidate is made of.
    for node in [
        "Matrix 32f",
        "Log cameraLinToLog ACEScct",
        "Log cameraLogToLin ACEScct",
        "Log cameraLinToLog D-Log with linearSlope",
        "Exponent basicMirrorFwd",
        "Exponent basicMirrorRev",
        "Exponent monCurveMirrorFwd",
        "Exponent monCurveMirrorRev",
        "LUT1D 3x1D 32f",
        "LUT3D 2x2x2 default (trilinear), blue fastest",
        "LUT3D 2x2x2 tetrahedral, blue fastest",
        "ASC_CDL Fwd",
        "ASC_CDL FwdNoClamp",
    ] {
        assert_eq!(met.get(node), Some(&5), "{node}: {:?}", refused.get(node));
    }
}

/// A chain on an encoding's code.
fn candidate(encoding: &str, text: &str) -> Elaborated {
    let document = chain::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"));
    let original = Original::Encoded(Encoding::named(encoding, None).expect("it is built in"));
    elaborate(&document.candidates[chain::CANDIDATE], &document.kit, &original, None, &Book::default())
        .unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn save(folder: &Path, name: &str, text: &str) -> PathBuf {
    let path = folder.join(name);
    fs::write(&path, text).expect("the folder takes it");
    path
}

/// Every node that is written, in files as candidates make them; and lists in their three forms.
#[test]
fn a_library_reads_the_same_files_and_finds_the_same() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut files: Vec<(PathBuf, Eval, f64)> = Vec::new();
    for (name, encoding, text, bound) in [
        // Matrix, Log, Exponent.
        (
            "plain",
            "LogC3",
            "exposure stops=0.5 | white-balance from=3200K to=D65 | output-transform rendering=plain",
            SINGLE,
        ),
        ("srgb", "S-Log3", "saturation factor=1.2 | output-transform display=sRGB rendering=plain", SINGLE),
        // Lists, clamped and not; what is beyond the display goes up to a hundred there.
        (
            "list",
            "LogC4",
            "cdl slope=1.1,1,0.9 offset=0.01,0,-0.02 power=1.1,1,0.9 saturation=1.2 | output-transform rendering=plain",
            5e-5,
        ),
        ("clamped", "V-Log", "cdl slope=1.2,1,0.9 clamp=true domain=camera | output-transform rendering=plain", SINGLE),
        // Half tables: curves that are no law, a roll-off of each channel.
        ("pq", "C-Log3", "exposure stops=-0.5 | output-transform display=PQ rendering=plain", SINGLE),
        ("roll-off", "LogC3", "output-transform rendering=plain | soft-clip high=0.9 low=0.02", SINGLE),
        // Range, and a grid from light to light and from light to code. Single floats of stops stretch where light is steep.
        ("taper", "LogC3", "taper-balance mired=-60 duv=0.004 | output-transform rendering=plain", 5e-5),
        ("rendered", "LogC3", "exposure stops=0.5 | output-transform", 5e-5),
        ("code", "S-Log3", "contrast slope=1.1 domain=log | output-transform", 5e-5),
    ] {
        let list = clf::of_candidate(&candidate(encoding, text), name, 17).expect("a CLF holds it");
        let text = clf::write(&list).expect("it can be written");
        let path = save(folder.path(), &format!("{name}.clf"), &text);
        let read = clf::read(text.as_bytes(), name).expect("it can be read");
        files.push((path, read.pixel(), bound));
    }
    let list = Cdl {
        slope: [1.35, 1.1, 0.71],
        offset: [0.05, -0.23, 0.11],
        power: [0.93, 0.81, 1.27],
        saturation: 1.23,
        clamp: true,
    };
    for (form, ending) in [(Form::Correction, "cc"), (Form::Collection, "ccc"), (Form::List, "cdl")] {
        let corrections = match form {
            Form::Correction => vec![correction(&list, "galley")],
            _ => vec![correction(&list, "galley"), Correction::neutral("deck")],
        };
        let about = About { descriptions: vec!["night <ferry> & \"crew\"".to_string()], ..About::default() };
        let text = cdl::write(&CdlFile { form, about, corrections, left_out: Vec::new() }).expect("it can be written");
        let path = save(folder.path(), &format!("list.{ending}"), &text);
        files.push((path, list.eval(&Signal::log()), SINGLE));
    }
    let names: Vec<&str> = files.iter().map(|(path, ..)| path.to_str().expect("a plain path")).collect();
    let answer = reference(&python, "outside_lists.py", &names);
    let mut rows_of: BTreeMap<&str, Vec<[[f64; 3]; 2]>> = BTreeMap::new();
    for line in answer.lines() {
        let cells: Vec<&str> = line.split('\t').collect();
        let number = |at: usize| -> f64 { cells[at].parse().unwrap_or_else(|_| panic!("no number in '{line}'")) };
        rows_of.entry(cells[0]).or_default().push([[1, 2, 3].map(number), [4, 5, 6].map(number)]);
    }
    let mut wrong = Vec::new();
    for ((path, eval, bound), name) in files.iter().zip(&names) {
        let rows = rows_of.get(name).unwrap_or_else(|| panic!("no rows of {name}"));
        // Saturation of an unclamped list sends the deepest colours of a wide camera beyond single floats.
        let tame = |[input, _]: &&[[f64; 3]; 2]| eval(*input).iter().all(|v| v.abs() < 100.0);
        let rows: Vec<_> = rows.iter().filter(tame).collect();
        assert!(rows.len() > 250, "{name}: {}", rows.len());
        let off = |[input, want]: &[[f64; 3]; 2]| {
            let got = eval(*input);
            let of = |i: usize| {
                [(got[i] - want[i]).abs() / want[i].abs().max(1.0), (got[i] - want[i]).abs() / want[i].abs().max(0.1)]
            };
            [of(0), of(1), of(2)].into_iter().fold([0.0f64; 2], |most, off| {
                [0, 1].map(|i| if off[i].is_nan() { f64::INFINITY } else { most[i].max(off[i]) })
            })
        };
        let [apart, share] =
            rows.iter().map(|row| off(row)).fold([0.0f64; 2], |most, off| [0, 1].map(|i| most[i].max(off[i])));
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        println!("{name:14} {apart:8.1e} at worst, {share:8.1e} as the standard counts");
        if apart > *bound || share > FINAL_QUALITY {
            wrong.push(format!("{name}: {apart} {share}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
}
