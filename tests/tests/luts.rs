//! LUTs as a user has them: Cube files through the program, against published tables and against libraries that read
//! the same files; what `from=` and `to=` mean; and a large one, and one in place of another, on the device.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use colour::lut::{Interpolation, Lut, LutKind};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, Program, assemble};
use gpu::device::{AdapterChoice, Gpu, Renderer, Runner};
use interchange::cube::{self, Cube};
use ops::{LookUp, Signal, Step};
use plan::{Level, Plan};
use tests::cases::{self, Subject};
use tests::gpu::{adapter, render};
use tests::pixels;
use tests::program::{eval, greywright, python, reference};
use tests::table::{number, rows};
use tests::tolerance::Standard;

/// What single floats may be off by: eight roundings of numbers up to two.
const SINGLE: f64 = 1e-6;

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

fn save(folder: &Path, name: &str, lut: &Lut) -> PathBuf {
    let text = cube::write(&Cube { title: None, lut: lut.clone() }).expect("it can be written");
    save_text(folder, name, &text)
}

fn save_text(folder: &Path, name: &str, text: &str) -> PathBuf {
    let path = folder.join(name);
    fs::write(&path, text).expect("the folder takes it");
    path
}

fn executors() -> Vec<&'static str> {
    if adapter().is_some() { vec!["proof", "gpu"] } else { vec!["proof"] }
}

fn look_up(executor: &str, file: &Path, rest: &str, inputs: &[[f64; 3]]) -> Vec<[f64; 3]> {
    eval(executor, &format!("lut file=\"{}\" {rest}", file.display()), inputs)
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    let most = |most: f64, apart: f64| if apart.is_nan() { f64::INFINITY } else { most.max(apart) };
    (0..3).map(|i| (a[i] - b[i]).abs() / b[i].abs().max(1.0)).fold(0.0, most)
}

// ---- against tables ----

/// `tests/data/tetrahedral.tsv`: Academy S-2014-006 appendix A in double, and OpenColorIO in float; ties and inputs
/// outside the domain among the samples.
#[test]
fn both_interpolations_as_the_table_has_them() {
    let table = rows("tetrahedral.tsv");
    let three = |row: &_, names: [&str; 3]| names.map(|name| number(row, name));
    let input = |row: &_| three(row, ["in_r", "in_g", "in_b"]);
    let (nodes, samples): (Vec<_>, Vec<_>) = table.iter().partition(|row| row["kind"] == "node");
    let node = |place: [f64; 3]| {
        // The indices of a grid of three are 0, 1, 2 at the inputs 0, 0.5, 1.
        let found = nodes.iter().find(|row| input(row) == place.map(|channel| 2.0 * channel));
        three(found.expect("the table has every node"), ["tetra_r", "tetra_g", "tetra_b"])
    };
    let folder = folder();
    let lut = Lut::of(LutKind::ThreeD, 3, [0.0; 3], [1.0; 3], node).expect("it holds");
    let file = save(folder.path(), "table.cube", &lut);
    let inputs: Vec<_> = samples.iter().map(|row| input(row)).collect();
    assert!(inputs.len() > 10);
    for executor in executors() {
        for (way, columns, double) in [
            ("tetrahedral", ["tetra_r", "tetra_g", "tetra_b"], true),
            ("tetrahedral", ["ocio_r_f32", "ocio_g_f32", "ocio_b_f32"], false),
            ("trilinear", ["trilinear_r", "trilinear_g", "trilinear_b"], true),
        ] {
            let found = look_up(executor, &file, &format!("interpolation={way}"), &inputs);
            let bound = if double && executor == "proof" { 1e-14 } else { SINGLE };
            for ((found, row), input) in found.iter().zip(&samples).zip(&inputs) {
                let wanted = three(row, columns);
                assert!(apart(*found, wanted) <= bound, "{executor} {way} {input:?}: {found:?}, {wanted:?}");
            }
        }
    }
}

/// `tests/data/cube_lut.tsv`: files of the Cube LUT Specification 1.0 as OpenColorIO applies them in float.
#[test]
fn cube_files_as_the_table_has_them() {
    let folder = folder();
    for (at, row) in rows("cube_lut.tsv").iter().enumerate() {
        let file = save_text(folder.path(), &format!("{at}.cube"), &row["file_text"].replace("\\n", "\n"));
        let way = row["interpolation"].rsplit('/').next().expect("a name");
        let [input, wanted] = [["in_r", "in_g", "in_b"], ["out_r_f32", "out_g_f32", "out_b_f32"]]
            .map(|names| names.map(|name| number(row, name)));
        let found = look_up("proof", &file, &format!("interpolation={way}"), &[input])[0];
        assert!(apart(found, wanted) <= SINGLE, "{}: {input:?}: {found:?}, {wanted:?}", row["file"]);
    }
}

// ---- against libraries that read the same files ----

/// Files that say everything the format can say: both kinds, a domain for each channel, numbers of both signs, comments
/// and CRLF.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<_> = cases::luts().iter().map(|(name, lut)| save(folder, name, lut)).collect();
    let fine = |[r, g, b]: [f64; 3]| [r.powf(0.4), (g * 2.0).sin() * (1.0 - 0.2 * b), b * b + 0.1 * r * g];
    let fine = Lut::of(LutKind::ThreeD, 33, [0.0; 3], [1.0; 3], fine).expect("it holds");
    files.push(save(folder, "fine.cube", &fine));
    let text = "# by hand\r\nTITLE \"by hand\"\r\nDOMAIN_MAX 2 2 2\r\nLUT_1D_SIZE 4\r\nDOMAIN_MIN 0 0 0\r\n0 .1 1\r\n\
                .5 -1e-1 +.75\r\n0.6 0.2 0.5\r\n9e-1 0.3 0\r\n";
    files.push(save_text(folder, "by_hand.cube", text));
    files
}

#[test]
fn libraries_read_the_same_files_and_find_the_same() {
    let Some(python) = python() else { return };
    let folder = folder();
    let files = files(folder.path());
    let names: Vec<_> = files.iter().map(|file| file.to_str().expect("a plain path")).collect();
    let text = reference(&python, "outside_luts.py", &names);
    // Library, file and interpolation; inputs with what comes out.
    type Groups<'a> = BTreeMap<[&'a str; 3], Vec<[[f64; 3]; 2]>>;
    let mut groups = Groups::new();
    for line in text.lines() {
        let cells: Vec<&str> = line.split('\t').collect();
        let number = |at: usize| -> f64 { cells[at].parse().unwrap_or_else(|_| panic!("no number in '{line}'")) };
        let row = [[3, 4, 5].map(number), [6, 7, 8].map(number)];
        groups.entry([cells[0], cells[1], cells[2]]).or_default().push(row);
    }
    assert_eq!(groups.len(), files.len() * 4, "two libraries, two ways");
    for executor in executors() {
        for ([library, file, way], rows) in &groups {
            let inputs: Vec<_> = rows.iter().map(|row| row[0]).collect();
            let found = look_up(executor, Path::new(file), &format!("interpolation={way}"), &inputs);
            let off = found.iter().zip(rows).map(|(found, row)| apart(*found, row[1])).fold(0.0, f64::max);
            let name = Path::new(file).file_name().unwrap_or_default().to_string_lossy();
            println!("{executor:5}  {library:14}  {name:16}  {way:11}  {off:.1e} at worst of {} rows", rows.len());
            // One library works in double on the file's own numbers, the other in float.
            let bound = if *library == "colour-science" && executor == "proof" { 1e-12 } else { 2.0 * SINGLE };
            assert!(off <= bound, "{executor}, {library}, {name}, {way}: {off:e}");
        }
    }
}

// ---- what from and to mean ----

/// A table made of a chain by looking at it on a grid of LogC3 code: what others hand over.
fn made_from(folder: &Path, name: &str, after_decoding: &str) -> PathBuf {
    let steps = 9;
    let code = |at: usize| at as f64 / (steps - 1) as f64;
    let grid: Vec<[f64; 3]> = (0..steps * steps * steps)
        .map(|n| [code(n % steps), code(n / steps % steps), code(n / steps / steps)])
        .collect();
    let entries = eval("proof", &format!("input-transform encoding=LogC3 | {after_decoding}"), &grid);
    let lut = Lut::new(LutKind::ThreeD, steps, [0.0; 3], [1.0; 3], entries).expect("it holds");
    save(folder, name, &lut)
}

/// LogC3 code on the grid of [`made_from`], and the light it means.
fn light_on_the_grid() -> Vec<[f64; 3]> {
    let code = [[0.25, 0.5, 0.375], [0.5; 3], [0.125, 0.625, 0.75], [0.375, 0.375, 0.25]];
    eval("proof", "input-transform encoding=LogC3", &code)
}

#[test]
fn a_lut_takes_the_place_of_the_chain_it_was_made_from_whatever_comes() {
    let folder = folder();
    let chain = "exposure stops=-1 | output-transform display=BT.1886 rendering=plain";
    let file = made_from(folder.path(), "view.cube", chain);
    let light = light_on_the_grid();
    let wanted = eval("proof", chain, &light);
    let lut = format!("lut file=\"{}\" from=LogC3 to=BT.1886", file.display());
    for (encoding, before) in [("scene light", String::new())].into_iter().chain(
        ["LogC3", "S-Log3", "ACEScct", "C-Log2"].map(|name| (name, format!("input-transform encoding={name} | "))),
    ) {
        let rows = match encoding {
            "scene light" => light.clone(),
            name => eval("proof", &format!("encode encoding={name}"), &light),
        };
        for executor in executors() {
            let found = eval(executor, &format!("{before}{lut}"), &rows);
            let bound = if executor == "proof" { 1e-8 } else { 1e-5 };
            for (found, wanted) in found.iter().zip(&wanted) {
                assert!(apart(*found, *wanted) <= bound, "{executor} {encoding}: {found:?} {wanted:?}");
            }
        }
    }
    // What comes after works on the display's signal, as after the chain.
    let after = " | exposure stops=0.2 domain=display";
    let found = eval("proof", &format!("{lut}{after}"), &light);
    for (found, wanted) in found.iter().zip(eval("proof", &format!("{chain}{after}"), &light)) {
        assert!(apart(*found, wanted) <= 1e-8);
    }
}

#[test]
fn a_lut_with_from_alone_is_work_in_that_code_and_the_signal_comes_back() {
    let folder = folder();
    let file =
        made_from(folder.path(), "look.cube", "exposure stops=-0.5 | white-balance from=4000K | encode encoding=LogC3");
    let light = light_on_the_grid();
    let wanted = eval("proof", "exposure stops=-0.5 | white-balance from=4000K", &light);
    let lut = format!("lut file=\"{}\" from=LogC3", file.display());
    for (found, wanted) in eval("proof", &lut, &light).iter().zip(&wanted) {
        assert!(apart(*found, *wanted) <= 1e-8, "{found:?} {wanted:?}");
    }
    // On code of another camera, which is what leaves as well.
    let code = |light: &[[f64; 3]]| eval("proof", "encode encoding=V-Log", light);
    let found =
        eval("proof", &format!("input-transform encoding=V-Log | {lut} domain=as-given bypass=true"), &code(&light));
    assert!(apart(found[0], light[0]) <= 1e-8, "bypassed");
    let answer = greywright("eval --executor proof --input V-Log").chain(&lut).input(csv(&code(&light))).done();
    for (found, wanted) in answer.rows().iter().zip(code(&wanted)) {
        assert!(apart(*found, wanted) <= 1e-8, "{found:?} {wanted:?}");
    }
}

fn csv(rows: &[[f64; 3]]) -> String {
    rows.iter().map(|[r, g, b]| format!("{r:e},{g:e},{b:e}\n")).collect()
}

// ---- files that are named ----

#[test]
fn a_lut_is_found_beside_the_chain_that_names_it() {
    let folder = folder();
    let half = Lut::of(LutKind::OneD, 2, [0.0; 3], [1.0; 3], |rgb| rgb.map(|channel| channel / 2.0)).expect("it holds");
    fs::create_dir(folder.path().join("the luts")).expect("the folder takes it");
    save(&folder.path().join("the luts"), "half.cube", &half);
    let chain = save_text(folder.path(), "chain.txt", "lut file=\"the luts/half.cube\"");
    let answer = greywright("eval --executor proof --chain-file").with(&chain).input("0.5,1,0.25\n").done();
    assert_eq!(answer.rows(), [[0.25, 0.5, 0.125]]);
    let document = graph::chain::parse("lut file=\"the luts/half.cube\"").expect("it is a chain");
    let project = save_text(folder.path(), "project.json", &document.to_json().expect("it can be written"));
    let answer = greywright("eval --executor proof --project").with(&project).input("0.5,1,0.25\n").done();
    assert_eq!(answer.rows(), [[0.25, 0.5, 0.125]]);
}

#[test]
fn what_is_wrong_with_a_lut_is_said_with_file_line_and_remedy() {
    let folder = folder();
    let bad = save_text(folder.path(), "bad.cube", "LUT_1D_SIZE 2\n0 0 0\n0 0 x\n");
    let good = save_text(folder.path(), "good.cube", "LUT_1D_SIZE 2\n0 0 0\n1 1 1\n");
    let fails = |chain: &str, code: i32, words: &[&str]| {
        greywright("eval --executor proof").chain(chain).input("0,0,0\n").fails(code, words);
    };
    fails("lut file=nowhere/none.cube", 1, &["nowhere/none.cube: no such file; check the spelling"]);
    fails(&format!("lut file=\"{}\"", bad.display()), 1, &["bad.cube, line 3: 'x' is no number"]);
    fails("lut", 2, &["lut file: no LUT is named; say file="]);
    let good = format!("lut file=\"{}\"", good.display());
    fails(&format!("{good} interpolation=cubic"), 2, &["tetrahedral or trilinear is wanted"]);
    fails(&format!("{good} from=LogD3"), 2, &["lut: ", "LogD3"]);
    fails(
        &format!("{good} from=sRGB"),
        2,
        &["lut: it reads BT.709 sRGB", "put an output-transform to that display before it"],
    );
    fails(
        &format!("output-transform rendering=plain | {good} from=LogC3"),
        2,
        &["lut: it reads ", "LogC3", "put it earlier"],
    );
    fails(
        &format!("output-transform display=PQ rendering=plain | {good} from=sRGB"),
        2,
        &["name the display before it"],
    );
    fails(&format!("{good} from=LogC3 domain=log"), 2, &["from= says what it reads, and so does domain="]);
    greywright("eval --executor proof").chain("lut file=none.cube bypass=true").input("0,0,0\n").done();
}

// ---- on the device ----

fn grid(size: usize, gain: f64) -> Lut {
    let look = |[r, g, b]: [f64; 3]| [gain * r + 0.1 * g * b, g * g, 0.02 + b.powf(0.8)];
    Lut::of(LutKind::ThreeD, size, [0.0; 3], [1.0; 3], look).expect("it holds")
}

fn subject(lut: Lut, interpolation: Interpolation) -> Subject {
    let look_up = LookUp { name: "a LUT".to_string(), lut: Arc::new(lut), interpolation };
    Subject::step(Step { point: look_up.into(), takes: Signal::log(), gives: Signal::log() })
}

/// 65 entries an edge are what the largest LUTs in use have (common practice, no source); a curve may have 65536.
#[test]
fn large_luts_work_on_the_device() {
    let Some(gpu) = adapter() else { return };
    let root = |rgb: [f64; 3]| rgb.map(f64::sqrt);
    let curve = Lut::of(LutKind::OneD, 65536, [0.0; 3], [1.0; 3], root).expect("it holds");
    let pixels = pixels::all(&[]);
    for lut in [grid(65, 0.9), curve] {
        let subject = subject(lut, Interpolation::Tetrahedral);
        let verdict = Standard::new(&subject.name, &subject.elaborated, &pixels).judge(&render(
            &gpu,
            &subject.elaborated,
            Level::Full,
            &pixels,
        ));
        println!("{}", verdict.line());
        assert!(verdict.holds(), "{:?}", verdict.failure());
    }
}

const FLOAT: Layout = Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little);

fn program(lut: Lut, interpolation: Interpolation) -> Program {
    let plan = Plan::new(&subject(lut, interpolation).elaborated, Level::Full);
    let edge = Edge::Stored(FLOAT, Range::Full);
    assemble(&plan, edge, edge).expect("it assembles")
}

#[test]
fn another_lut_of_the_same_kind_writes_bytes_and_compiles_nothing() {
    if adapter().is_none() {
        return;
    }
    let choice = AdapterChoice::from_environment();
    let gpu = Gpu::open(&choice).expect("it opened before").expect("it was there before");
    let pixels: Vec<_> = (0..64).map(|at| [at as f32 / 63.0, 0.3, 1.0 - at as f32 / 63.0, 1.0]).collect();
    let frame = Arc::new(Frame::from_pixels(&pixels, Size::new(8, 8), FLOAT, Range::Full));
    let tetrahedral = Interpolation::Tetrahedral;
    let mut renderer = Renderer::new(gpu, choice, program(grid(9, 0.9), tetrahedral), None);
    let first = renderer.frame(Arc::clone(&frame)).expect("it renders");
    let compiled = renderer.gpu().pipelines().compiled();
    // Another table of that size, one of another size, and the first one again.
    for (lut, same) in [(grid(9, 0.5), false), (grid(17, 0.9), false), (grid(9, 0.9), true)] {
        let fresh = program(lut.clone(), tetrahedral);
        renderer.set(program(lut, tetrahedral)).expect("it is taken");
        let found = renderer.frame(Arc::clone(&frame)).expect("it renders");
        assert_eq!(found == first, same);
        let mut other = Renderer::new(Arc::clone(renderer.gpu()), AdapterChoice::from_environment(), fresh, None);
        assert_eq!(found, other.frame(Arc::clone(&frame)).expect("it renders"), "nothing was left behind");
    }
    assert_eq!(renderer.gpu().pipelines().compiled(), compiled);
}

/// Memory is asked for before anything is sent; what does not fit is said with figures.
#[test]
fn tables_beyond_the_device_are_refused_in_words() {
    let Some(gpu) = adapter() else { return };
    let most = usize::try_from(gpu.largest_buffer() / 4).unwrap_or(usize::MAX);
    if most > 1 << 28 {
        println!("skipped: this adapter takes {} MiB at once, too much to fill for a test", most >> 18);
        return;
    }
    let mut program = program(grid(2, 1.0), Interpolation::Trilinear);
    program.passes[0].tables = vec![0.0; most + 1];
    let refused = Runner::new(&gpu, &program, 64, 1).expect_err("it does not fit").to_string();
    assert!(refused.contains("MiB") && refused.contains("use smaller LUTs"), "{refused}");
}
