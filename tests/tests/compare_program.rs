//! `compare` as a user meets it. A chart of known spectra under 3100 K is corrected by methods solved by hand to its card, and
//! every figure is held against the same reckoned in colour-science (`verdict_patches.tsv`, `verdict_methods.tsv`:
//! ISO 17321-1 reflectances, CIE 015:2018, ISO/CIE 11664-6, Rec. ITU-R BT.1886).

use std::path::{Path, PathBuf};

use colour::Matrix;
use frame::{Channels, Frame, Range, Size};
use media::{About, Depth, Format, layout_for};
use ops::{LightShift, Pointwise as _, Signal};
use serde_json::Value;
use tests::program::{Run, eval, greywright};
use tests::table::{Row, number, rows};

/// Columns and rows of a patch, and patches in a row.
const SIDE: u32 = 16;
const ACROSS: u32 = 6;
/// What surrounds every method: from LogC3 to a plain BT.1886, so that methods are measured and not a rendering.
const INPUT: &str = "input-transform encoding=LogC3 ei=800";
const OUTPUT: &str = "output-transform display=BT.1886 rendering=plain";

/// A chart under a light: where each patch is, and its LogC3 code.
struct Chart {
    patches: Vec<(String, [f64; 3])>,
}

impl Chart {
    fn under(light: &str) -> Chart {
        let of_light = rows("verdict_patches.tsv").into_iter().filter(|row| row["light"] == light);
        let patches = of_light.map(|row| (row["surface"].clone(), three(&row, ["R", "G", "B"]))).collect::<Vec<_>>();
        assert_eq!(patches.len() as u32, ACROSS * ACROSS, "a square of patches");
        Chart { patches }
    }

    /// A patch's place, without its edges: left, top, width, height.
    fn place(&self, name: &str) -> String {
        let at = self.patches.iter().position(|(own, _)| own == name).unwrap_or_else(|| panic!("no {name}")) as u32;
        let (x, y) = (at % ACROSS * SIDE + 2, at / ACROSS * SIDE + 2);
        format!("{x},{y},{0},{0}", SIDE - 4)
    }

    /// Writes the chart with other numbers in its patches.
    fn write(&self, path: &Path, depth: Depth, numbers: &[[f64; 3]]) {
        let size = Size::new(ACROSS * SIDE, ACROSS * SIDE);
        let pixel = |x: u32, y: u32| {
            let [r, g, b] = numbers[(y / SIDE * ACROSS + x / SIDE) as usize].map(|v| v as f32);
            [r, g, b, 1.0]
        };
        let pixels: Vec<_> = (0..size.height).flat_map(|y| (0..size.width).map(move |x| pixel(x, y))).collect();
        let layout = layout_for(Format::of_path(path).expect("an ending"), depth, Channels::Rgb).expect("a layout");
        media::write(path, &Frame::from_pixels(&pixels, size, layout, Range::Full), &About::default()).expect("a file");
    }

    fn codes(&self) -> Vec<[f64; 3]> {
        self.patches.iter().map(|(_, code)| *code).collect()
    }
}

fn three(row: &Row, columns: [&str; 3]) -> [f64; 3] {
    columns.map(|column| number(row, column))
}

/// The chain of a method whose numbers were reckoned outside.
fn chain(method: &Row) -> String {
    let [a, b, c] = three(method, ["n0", "n1", "n2"]);
    let work = match method["method"].as_str() {
        "adaptation" => format!("exposure stops={a} | white-balance from={b},{c} to=D65 method=Bradford"),
        "log-offset" => format!("channel-offset red={a} green={b} blue={c}"),
        "camera-gain" => format!("channel-gain red={a} green={b} blue={c}"),
        "light-shift" | "taper-balance" => {
            let [stops, mired, duv] = as_shift([a, b, c]);
            format!("exposure stops={stops} | {} mired={mired} duv={duv}", method["method"])
        }
        "display-gain" => {
            return format!("{INPUT} | {OUTPUT} | channel-gain domain=display red={a} green={b} blue={c}");
        }
        "display-offset" => {
            return format!("{INPUT} | {OUTPUT} | channel-offset domain=display red={a} green={b} blue={c}");
        }
        other => panic!("no method '{other}'"),
    };
    format!("{INPUT} | {work} | {OUTPUT}")
}

/// Offsets of LogC3 signal as printer points, of which twelve make a stop.
///
/// Source: ARRI, ALEXA Log C Curve - Usage in VFX, 2012: at EI 800 a decade is 0.247190 of signal.
fn printer_points(offsets: &Row) -> String {
    let a_point = 0.247190 * 2f64.log10() / 12.0;
    let [red, green, blue] = three(offsets, ["n0", "n1", "n2"]).map(|offset| offset / a_point);
    format!("{INPUT} | printer-points red={red} green={green} blue={blue} | {OUTPUT}")
}

/// Gains of AP1 light as exposure in stops, mired and Duv: logarithms are linear in all three.
fn as_shift(gains: [f64; 3]) -> [f64; 3] {
    let log = |shift: LightShift| shift.eval(&Signal::scene())([1.0; 3]).map(f64::ln);
    let (mired, duv) = (log(LightShift { mired: 1.0, duv: 0.0 }), log(LightShift { mired: 0.0, duv: 0.01 }));
    let matrix = Matrix([0, 1, 2].map(|i| [std::f64::consts::LN_2, mired[i], duv[i]]));
    let [stops, mired, duv] = matrix.inverse().expect("three directions").apply(gains.map(f64::ln));
    [stops, mired, duv * 0.01]
}

fn methods(light: &str) -> Vec<Row> {
    rows("verdict_methods.tsv").into_iter().filter(|row| row["light"] == light).collect()
}

/// A run over a chart with its card and its surfaces marked.
fn compare(chart: &Chart, picture: &Path, chains: &[String]) -> Run {
    let mut run = greywright("compare --executor proof --input LogC3 --ei 800").with(picture);
    run = run.with("--grey").with(chart.place("grey +0.000"));
    for name in ["light skin", "dark skin", "foliage"] {
        run = run.with("--surface").with(format!("{name}={}", chart.place(name)));
    }
    chains.iter().fold(run, |run, chain| run.with("--chain").with(chain))
}

fn gap(row: &Value, from: &str) -> f64 {
    let gaps = row["hue_gaps"].as_array().expect("gaps");
    let found = gaps.iter().find(|gap| gap["from"] == from && gap["to"] == "foliage");
    found.and_then(|gap| gap["degrees"].as_f64()).unwrap_or_else(|| panic!("no gap from {from}: {row}"))
}

#[test]
fn methods_solved_by_hand_part_as_reckoned_outside() {
    let dir = tempfile::tempdir().expect("a folder");
    let (lit, well_lit) = (Chart::under("3100 K"), Chart::under("D65"));
    let (picture, truth) = (dir.path().join("lit.exr"), dir.path().join("truth.exr"));
    lit.write(&picture, Depth::Float, &lit.codes());
    // The truth is what the camera would have held under D65, as scene light.
    well_lit.write(&truth, Depth::Float, &eval("proof", INPUT, &well_lit.codes()));
    let reckoned = methods("3100 K");
    let (expected_truth, expected) = reckoned.split_first().expect("rows");
    let mut expected = expected.to_vec();
    let mut chains: Vec<String> = expected.iter().map(chain).collect();
    // Printer points are the same offsets in another unit, so that the same must come of them.
    let offsets = expected.iter().find(|row| row["method"] == "log-offset").expect("offsets").clone();
    chains.push(printer_points(&offsets));
    expected.push(offsets);
    let answer = compare(&lit, &picture, &chains).with("--truth").with(&truth).with("--json").done().json();
    let rows = answer["rows"].as_array().expect("rows").clone();
    let [shown_truth, baseline, candidates @ ..] = &rows[..] else { panic!("truth and baseline come first: {answer}") };
    assert_eq!((&shown_truth["kind"], &baseline["kind"]), (&Value::from("truth"), &Value::from("baseline")));
    let near = |what: &str, got: f64, want: f64, tolerance: f64| {
        assert!((got - want).abs() <= tolerance, "{what}: {got}, reckoned {want}");
    };
    // A hundredth of a degree: the picture and the truth are single floats.
    near("truth", gap(shown_truth, "light skin"), number(expected_truth, "light_skin_to_foliage"), 0.01);
    assert_eq!(candidates.len(), expected.len());
    for (got, want) in candidates.iter().zip(&expected) {
        let method = &want["method"];
        let (light, dark) = (gap(got, "light skin"), gap(got, "dark skin"));
        let black: Vec<f64> = got["black_codes"].as_array().expect("codes").iter().filter_map(Value::as_f64).collect();
        let drift = &got["grey_drift"]["worst"];
        println!(
            "{method}: skin to foliage {light:.1} and {dark:.1} degrees, black {black:.0?} codes, grey drift {:.2} at {:+.1}",
            drift["delta_e"].as_f64().expect("a drift"),
            drift["stops"].as_f64().expect("a stop")
        );
        near(method, light, number(want, "light_skin_to_foliage"), 0.01);
        near(method, dark, number(want, "dark_skin_to_foliage"), 0.01);
        for (got, want) in black.iter().zip(three(want, ["black_r", "black_g", "black_b"])) {
            // The table holds tenths; the card of the picture is read in single floats.
            near(method, *got, want, 0.2);
        }
        let worst = number(want, "drift");
        near(method, drift["delta_e"].as_f64().expect("a drift"), worst, 0.01);
        if worst > 0.5 {
            near(method, drift["stops"].as_f64().expect("a stop"), number(want, "drift_stops"), 1e-9);
        }
        assert_eq!(got["same"]["grey_drift"], worst < 0.5, "{method}");
    }
    // The baseline is the full Bradford adaptation from the same card, whatever the candidates do.
    near("baseline", gap(baseline, "light skin"), number(&expected[0], "light_skin_to_foliage"), 0.01);
    assert_eq!(answer["grey"]["known"], "card");
    near("card", answer["grey"]["x"].as_f64().expect("x"), number(&expected[0], "n1"), 1e-6);
}

#[test]
fn a_picture_without_a_cast_reads_same_for_every_method() {
    let dir = tempfile::tempdir().expect("a folder");
    let (chart, picture) = (Chart::under("D65"), dir.path().join("neutral.dpx"));
    chart.write(&picture, Depth::Ten, &chart.codes());
    let reckoned = methods("D65");
    let chains: Vec<String> = reckoned.iter().skip(1).map(chain).collect();
    let run = || compare(&chart, &picture, &chains);
    let answer = run().with("--json").done().json();
    let candidates: Vec<&Value> = answer["rows"].as_array().expect("rows").iter().skip(1).collect();
    assert_eq!((candidates.len(), answer["yardstick"].as_str()), (chains.len(), Some("baseline")));
    for (row, chain) in candidates.iter().zip(&chains) {
        for figure in [
            "grey_drift",
            "dark_drift",
            "black_drift",
            "hue_gaps",
            "hues_kept",
            "shadow_noise",
            "clipped",
            "out_of_gamut",
            "mid_grey",
            "largest_step",
        ] {
            assert_eq!(row["same"][figure], true, "{chain}: {figure} {row}");
        }
        assert_eq!(row["same"]["crossover"], Value::from(vec![true, true]), "{chain}");
    }
    assert!(
        answer["pictures"].as_array().expect("pairs").iter().all(|pair| pair["same"] == true),
        "{}",
        answer["pictures"]
    );
    // On the terminal too: no figure of a candidate stands in the line of grey drift.
    let table = run().done().stdout;
    let line = table.lines().find(|line| line.starts_with("grey drift (")).expect("a line");
    let (_, cells) = line.split_once(')').expect("a title");
    assert!(cells.split_whitespace().all(|cell| cell == "same"), "{line}");
}

#[test]
fn only_the_measured_region_counts() {
    let dir = tempfile::tempdir().expect("a folder");
    let (chart, picture) = (Chart::under("3100 K"), dir.path().join("lit.dpx"));
    chart.write(&picture, Depth::Ten, &chart.codes());
    let chains = [chain(&methods("3100 K")[1])];
    let row = |region: &str| {
        let data = compare(&chart, &picture, &chains).with("--region").with(region).with("--json").done().json();
        (data["occupied"].clone(), data["rows"][1].clone())
    };
    // The first row of the chart: surfaces and the darkest greys; the last one: greys that clip.
    let (_, all) = row("0,0,96,96");
    let (dark, first) = row("0,0,96,16");
    let (bright, last) = row("0,80,96,16");
    let clipped = |row: &Value| row["clipped"].as_f64().expect("a share");
    assert_eq!((clipped(&first), first["hues"].is_null(), last["hues"].is_null()), (0.0, false, true));
    assert!(clipped(&last) > clipped(&all) && clipped(&all) > 0.0);
    let end = |of: &Value, at: usize| of[at].as_f64().expect("stops");
    assert!(end(&dark, 1) < 1.5 && end(&bright, 0) > 2.0, "{dark} {bright}");
    // Where a card or a surface lies does not matter to that.
    assert_eq!(first["hue_gaps"], all["hue_gaps"]);
}

/// A small demo.
fn demo(dir: &Path) -> PathBuf {
    greywright("demo --size 320x180 --frames 1 --shots deck_010,galley_010,wheelhouse_010 --no-faults")
        .with(dir)
        .done();
    dir.join("night_ferry.greywright")
}

#[test]
fn the_demo_is_compared_in_one_file_that_needs_no_other() {
    let dir = tempfile::tempdir().expect("a folder");
    let project = demo(dir.path());
    let (report, json) = (dir.path().join("galley.html"), dir.path().join("galley.json"));
    let run = || greywright("compare --shot galley_010 --truth demo").with(&project);
    let answer = run().with("--out").with(&report).with("--json").with(&json).with("--sort").with("grey-drift").done();
    let html = std::fs::read_to_string(&report).expect("a report");
    for outside in ["<script", "http:", "https:", "<link", "url(", "@import"] {
        assert!(!html.contains(outside), "the report holds {outside}");
    }
    let sources: Vec<&str> = html.split("src=\"").skip(1).collect();
    assert!(sources.len() >= 20 && sources.iter().all(|source| source.starts_with("data:image/png;base64,")));
    let data: Value = serde_json::from_slice(&std::fs::read(&json).expect("a file")).expect("JSON");
    let candidates: Vec<&Value> =
        data["rows"].as_array().expect("rows").iter().filter(|row| row["kind"] == "candidate").collect();
    assert_eq!(candidates.len(), 5);
    for row in &candidates {
        let name = row["name"].as_str().expect("a name");
        assert!(html.contains(&format!("<h3>{name}</h3>")) && answer.stdout.contains(name), "{name}");
        assert_eq!(row["rendering"], "BT.1886, 100 nits, aces-2.0");
        assert!(
            row["to_truth_patches"]["count"] == 24 && row["to_truth_picture"]["mean"].as_f64().expect("a mean") < 10.0
        );
    }
    assert!(
        html.contains("BT.1886, 100 nits, aces-2.0")
            && answer.stdout.contains("rendering: BT.1886, 100 nits, aces-2.0")
    );
    let drifts: Vec<f64> =
        candidates.iter().map(|row| row["grey_drift"]["worst"]["delta_e"].as_f64().expect("a drift")).collect();
    assert!(drifts.is_sorted(), "--sort grey-drift: {drifts:?}");
    // Gains in the display signal are no correction of light: of the five they are the farthest from the truth.
    let farthest = candidates.iter().max_by(|a, b| mean(a).total_cmp(&mean(b))).expect("a candidate");
    assert_eq!(farthest["name"], "display-gains");
    // Shadow noise is told before and after.
    assert!(data["shadow"]["noise"].as_f64().expect("noise") > 0.5);
}

/// The truth of the galley as if its lamp alone were in its light: what the window adds is left out of grey.
fn of_the_lamp_alone(dir: &Path) -> PathBuf {
    let folder = dir.join("galley_010/truth");
    let text = std::fs::read_to_string(folder.join("truth.json")).expect("a truth");
    let mut truth: demo::Truth = serde_json::from_str(&text).expect("a truth that holds");
    let encoding = colour::Encoding::named("LogC3", Some(800)).expect("a built-in encoding");
    let lamp = encoding.primaries.rgb_from_xyz().apply(demo::white(demo::Light::Tungsten).to_xyz());
    truth.light.white_as_read = demo::as_read(&encoding, lamp);
    truth.frames.clear();
    let path = folder.join("lamp.json");
    std::fs::write(&path, serde_json::to_string(&truth).expect("JSON")).expect("it can be written");
    path
}

/// The galley's lamp has the same 3100 K and the shot is well exposed, so that the same numbers bring it to neutral.
#[test]
fn the_same_methods_part_in_the_same_way_on_the_demo() {
    let dir = tempfile::tempdir().expect("a folder");
    demo(dir.path());
    let reckoned = methods("3100 K");
    let run = greywright("compare --json --input LogC3 --ei 800 --truth")
        .with(of_the_lamp_alone(dir.path()))
        .with(dir.path().join("galley_010/galley_010.0001.dpx"));
    let run = reckoned.iter().skip(1).fold(run, |run, method| run.with("--chain").with(chain(method)));
    let data = run.done().json();
    let found = data["rows"].as_array().expect("rows").iter().filter(|row| row["kind"] == "candidate");
    let mut to_truth = Vec::new();
    for (row, want) in found.zip(reckoned.iter().skip(1)) {
        let method = &want["method"];
        let black: Vec<f64> = row["black_codes"].as_array().expect("codes").iter().filter_map(Value::as_f64).collect();
        for (got, want) in black.iter().zip(three(want, ["black_r", "black_g", "black_b"])) {
            assert!((got - want).abs() < 0.2, "{method}: {black:?}");
        }
        let drift = row["grey_drift"]["worst"]["delta_e"].as_f64().expect("a drift");
        // The demo's Planck is summed at other wavelengths than the table's: some thousandths of a stop of blue.
        assert!((drift - number(want, "drift")).abs() < 0.3, "{method}: {drift}");
        assert_eq!(row["rendering"], "BT.1886, 100 nits, plain");
        println!("{method}: {} | {}", row["to_truth_patches"], chain(want));
        to_truth.push((method.as_str(), mean(row)));
    }
    let of = |name: &str| to_truth.iter().find(|(own, _)| *own == name).expect("a method").1;
    // Offsets in code leave grey, so they are farther from the truth than gains in light, whichever these are.
    for light in ["adaptation", "camera-gain", "light-shift"] {
        for offset in ["log-offset", "display-offset", "display-gain"] {
            assert!(of(light) < of(offset), "{to_truth:?}");
        }
    }
}

fn mean(row: &Value) -> f64 {
    row["to_truth_patches"]["mean"].as_f64().expect("a mean")
}

#[test]
fn without_a_grey_there_are_no_grey_figures() {
    let dir = tempfile::tempdir().expect("a folder");
    let project = demo(dir.path());
    let run = || greywright("compare --shot deck_010 --candidates adaptation,log-points").with(&project);
    let data = run().with("--json").done().json();
    assert_eq!((&data["grey"], &data["yardstick"]), (&Value::Null, &Value::from("adaptation")));
    assert!(data["rows"].as_array().expect("rows").iter().all(|row| row["grey_drift"].is_null()));
    let table = run().done().stdout;
    let line = table.lines().find(|line| line.starts_with("grey drift (")).expect("a line");
    assert_eq!(line.matches("no grey known").count(), 2, "{line}");
}

#[test]
fn orders_of_a_candidate_are_compared_one_of_each_group() {
    let dir = tempfile::tempdir().expect("a folder");
    let project = demo(dir.path());
    let groups = greywright("orders --json --candidate log-points --shot galley_010").with(&project).done().json();
    let groups = groups["groups"].as_array().expect("groups").len();
    let run = greywright("compare --json --shot galley_010 --truth demo --orders log-points").with(&project);
    let data = run.done().json();
    let rows = data["rows"].as_array().expect("rows");
    assert_eq!(rows.iter().filter(|row| row["kind"] == "candidate").count(), groups);
}

#[test]
fn what_cannot_be_compared_is_said_with_its_remedy() {
    let dir = tempfile::tempdir().expect("a folder");
    let project = demo(dir.path());
    let frame = dir.path().join("galley_010/galley_010.0001.dpx");
    let compare = |arguments: &str| greywright(&format!("compare {arguments}"));
    compare("").with(&project).fails(2, &["--shot", "deck_010, galley_010, wheelhouse_010"]);
    compare("--shot galley_010 --candidates nothing").with(&project).fails(1, &["nothing", "adaptation"]);
    compare("").with(&frame).fails(2, &["--chain"]);
    compare("").with(&frame).chain("exposure stops=1").fails(2, &["encoding", "--input"]);
    compare("--shot galley_010").with(&frame).chain("exposure stops=1").fails(2, &["NAME.greywright"]);
    let typed = || compare("--input LogC3").with(&frame).chain("exposure stops=1 | output-transform");
    typed().with("--grey").with("900,10,5,5").fails(2, &["--grey 900,10,5,5", "320x180"]);
    typed().with("--surface").with("skin").fails(2, &["skin=300,210,24,24"]);
    typed().with("--truth").with("missing.json").fails(1, &["missing.json"]);
}
