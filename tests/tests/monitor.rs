//! The monitor profile: what it makes of a display's picture, against colour-science; what it cannot show, in words; and
//! that nothing rendered goes through it.

use std::path::Path;

use serde_json::{Value, json};
use tests::program::{eval, greywright, python, reference};

const P3_D65: [[f64; 2]; 4] = [[0.680, 0.320], [0.265, 0.690], [0.150, 0.060], [0.3127, 0.3290]];
/// P3 primaries on CIE D50.
const P3_D50: [[f64; 2]; 4] = [[0.680, 0.320], [0.265, 0.690], [0.150, 0.060], [0.3457, 0.3585]];
const BT709: [[f64; 2]; 4] = [[0.640, 0.330], [0.300, 0.600], [0.150, 0.060], [0.3127, 0.3290]];

struct Screen {
    primaries: [[f64; 2]; 4],
    white: &'static str,
    eotf: &'static str,
    peak: f64,
    black: f64,
}

impl Screen {
    fn profile(&self) -> String {
        let [red, green, blue, white] = self.primaries;
        format!(
            "name = \"a screen\"\nprimaries = {{ red = {red:?}, green = {green:?}, blue = {blue:?}, white = {white:?} }}\n\
             white = \"{}\"\neotf = \"{}\"\npeak_nits = {}\nblack_nits = {}\n",
            self.white, self.eotf, self.peak, self.black
        )
    }

    fn json(&self) -> Value {
        let eotf = match self.eotf.strip_prefix("gamma ") {
            Some(exponent) => json!(exponent.parse::<f64>().expect("a number")),
            None => json!(self.eotf),
        };
        json!({
            "primaries": self.primaries, "white": self.white, "eotf": eotf, "peak": self.peak, "black": self.black,
        })
    }
}

/// Scene light: greys from no light to the white of the display and next to black, and colours that it has.
fn scene() -> Vec<[f64; 3]> {
    let mut light: Vec<_> = [0.0, 1e-4, 0.001, 0.01, 0.05, 0.18, 0.4, 0.7, 1.0].map(|light| [light; 3]).into();
    light.extend([[0.6, 0.3, 0.25], [0.25, 0.4, 0.2], [0.15, 0.2, 0.5], [0.05, 0.06, 0.04]]);
    light
}

fn written(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    std::fs::write(&path, text).expect("a profile can be written");
    path.display().to_string()
}

fn seen(executor: &str, profile: &str, chain: &str, rows: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let input: String = rows.iter().map(|[r, g, b]| format!("{r:e},{g:e},{b:e}\n")).collect();
    let run = greywright("eval --executor").with(executor).with("--monitor").with(profile).chain(chain);
    run.input(input).done().rows()
}

/// Sources: Rec. ITU-R BT.1886, IEC 61966-2-1, SMPTE ST 2084, Rec. ITU-R BT.2100-2, SMPTE RP 177, by colour-science.
#[test]
fn a_monitor_shows_the_light_of_the_display() {
    let Some(python) = python() else { return };
    let screen = |primaries, white, eotf, peak, black| Screen { primaries, white, eotf, peak, black };
    let screens = [
        screen(P3_D65, "kept", "gamma 2.4", 120.0, 0.03),
        screen(P3_D50, "kept", "sRGB", 160.0, 0.2),
        screen(P3_D50, "own", "gamma 2.2", 100.0, 0.0),
        screen(BT709, "own", "BT.1886", 100.0, 0.05),
        screen(P3_D65, "own", "PQ", 600.0, 0.005),
    ];
    let displays = [
        ("BT.1886", 100.0, 0.0),
        ("BT.1886", 100.0, 0.1),
        ("sRGB", 100.0, 0.0),
        ("PQ", 1000.0, 0.0),
        ("HLG", 1000.0, 0.0),
        ("HLG", 600.0, 0.05),
    ];
    let dir = tempfile::tempdir().expect("a folder can be made");
    let mut cases = Vec::new();
    let mut ours = Vec::new();
    for (at, screen) in screens.iter().enumerate() {
        let profile = written(dir.path(), &format!("{at}.toml"), &screen.profile());
        for (display, peak, black) in displays {
            let chain = format!("output-transform display={display} peak={peak} black={black} rendering=plain");
            let codes = eval("proof", &chain, &scene());
            cases.push(
                json!({ "display": display, "peak": peak, "black": black, "codes": codes, "monitor": screen.json() }),
            );
            ours.push(["proof", "gpu"].map(|executor| seen(executor, &profile, &chain, &scene())));
        }
    }
    let text = serde_json::to_string(&cases).expect("cases are JSON");
    let theirs: Vec<Vec<[f64; 3]>> = serde_json::from_str(&reference(&python, "monitor.py", &[&text])).expect("JSON");
    let mut worst = [0.0f64; 2];
    for ((case, ours), theirs) in cases.iter().zip(&ours).zip(&theirs) {
        // Roundings of two powers in f64; and in f32, where next to black they are a larger share.
        for (executor, bound) in [(0, 1e-12), (1, 5e-6)] {
            for (row, (ours, theirs)) in ours[executor].iter().zip(theirs).enumerate() {
                for (a, b) in ours.iter().zip(theirs) {
                    worst[executor] = worst[executor].max((a - b).abs());
                    assert!((a - b).abs() < bound, "{case}, row {row}, executor {executor}: {ours:?} {theirs:?}");
                }
            }
        }
    }
    println!(
        "{} pictures on monitors: the proof within {:.1e}, the GPU within {:.1e}",
        cases.len(),
        worst[0],
        worst[1]
    );
}

/// A monitor that is the delivery's own display changes no code of a picture, whatever display that is.
#[test]
fn the_delivery_s_own_display_changes_nothing() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    for (display, primaries, eotf, peak) in [
        ("BT.1886", "BT.709", "BT.1886", 100),
        ("sRGB", "BT.709", "sRGB", 100),
        ("Gamma2.2", "BT.709", "gamma 2.2", 100),
        ("P3-D65", "P3-D65", "gamma 2.6", 100),
        ("BT.2020", "BT.2020", "BT.1886", 100),
        ("PQ", "BT.2020", "PQ", 1000),
    ] {
        for white in ["kept", "own"] {
            let text = format!(
                "name = \"own\"\nprimaries = \"{primaries}\"\nwhite = \"{white}\"\neotf = \"{eotf}\"\n\
                 peak_nits = {peak}\nblack_nits = 0\n"
            );
            let profile = written(dir.path(), "own.toml", &text);
            let chain = format!("output-transform display={display} rendering=aces-2.0");
            let scene = [[0.0; 3], [0.18; 3], [0.02, 0.01, 0.03], [0.9, 0.4, 0.2], [8.0; 3]];
            let input: String = scene.iter().map(|[r, g, b]| format!("{r},{g},{b}\n")).collect();
            let delivered = greywright("eval --executor proof").chain(&chain).input(input).done().rows();
            for (a, b) in seen("proof", &profile, &chain, &scene).iter().zip(&delivered) {
                // Decoding and encoding again; at no light the PQ curve is steep.
                assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-6), "{display}: {a:?} {b:?}");
            }
        }
    }
}

#[test]
fn what_a_monitor_cannot_show_is_said() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let screen = Screen { primaries: P3_D50, white: "kept", eotf: "sRGB", peak: 160.0, black: 0.2 };
    let profile = written(dir.path(), "a.toml", &screen.profile());
    let told = greywright("monitor").with(&profile).with("--display").with("PQ").done();
    for words in
        ["of 1000 nits; brighter", "its black is 0.2 nits", "BT.2020 reaches further", "0.3127, 0.329, is kept"]
    {
        assert!(told.stdout.contains(words), "{words}: {told}");
    }
    // A picture that is kept within P3 has nothing beyond it.
    let eval = |chain: &str| greywright("eval --json --monitor").with(&profile).chain(chain).input("0.18,0.18,0.18\n");
    let notes = |chain: &str| eval(chain).done().json()["monitor"]["notes"].to_string();
    let within = notes("output-transform display=PQ rendering=aces-2.0");
    assert!(within.contains("of 1000 nits") && !within.contains("reaches further"), "{within}");
    let beyond = notes("output-transform display=PQ limit=BT.2020 rendering=aces-2.0");
    assert!(beyond.contains("BT.2020 reaches further than its primaries in red and green and blue"), "{beyond}");
    eval("exposure stops=1").fails(1, &["AP1 linear, scene", "end it with an output-transform"]);
}

/// The table of a LUT is the last thing, and its file is looked for beside the profile.
#[test]
fn a_monitor_s_lut_comes_last() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let screen = Screen { primaries: BT709, white: "kept", eotf: "sRGB", peak: 100.0, black: 0.0 };
    let profile = written(dir.path(), "a.toml", &(screen.profile() + "lut = \"half.cube\"\n"));
    let run = || {
        let chain = "input-transform encoding=sRGB | output-transform display=sRGB rendering=plain";
        greywright("eval --executor proof --monitor").with(&profile).chain(chain).input("0.5,1,2\n")
    };
    run().fails(1, &["half.cube", "no such file"]);
    written(dir.path(), "half.cube", "LUT_1D_SIZE 2\n0 0 0\n0.5 0.5 0.25\n");
    let [row] = run().done().rows()[..] else { panic!("one row comes out") };
    let wanted = [0.25, 0.5, 0.25];
    assert!(row.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9), "{row:?}");
    written(dir.path(), "half.cube", "LUT_1D_SIZE 2\nDOMAIN_MAX 2 2 2\n0 0 0\n1 1 1\n");
    run().fails(1, &["a.toml", "half.cube", "from 0 to 1"]);
    written(dir.path(), "half.cube", "LUT_1D_SIZE 1\n0 0 0\n");
    run().fails(1, &["half.cube", "2 to 65536"]);
}

/// What one looks through gets into nothing that is handed over. By type, too: see `graph::monitor`.
#[test]
fn no_render_holds_a_monitor() {
    let dir = tempfile::tempdir().expect("a folder can be made");
    let screen = Screen { primaries: P3_D50, white: "own", eotf: "gamma 2.2", peak: 80.0, black: 0.5 };
    let profile = written(dir.path(), "monitor.toml", &screen.profile());
    let path = |name: &str| dir.path().join(name);
    greywright("pattern ramp --size 64x8 --out").with(path("in.png")).done();
    let chain = "input-transform encoding=LogC3 | output-transform rendering=aces-2.0";
    let render = |out: &str| greywright("render").with(path("in.png")).with(path(out)).chain(chain);
    render("a.png").done();
    // Named by every means that there could be, beside the original and in the environment.
    render("b.png").env("GREYWRIGHT_MONITOR", &profile).done();
    let bytes = |name: &str| std::fs::read(path(name)).expect("it is there");
    assert_eq!(bytes("a.png"), bytes("b.png"));
    render("c.png").with("--monitor").with(&profile).fails(2, &["nothing that is rendered", "eval --monitor"]);
    assert!(!path("c.png").exists());
    // A project does not hold one either.
    let project = format!("schema_version = 2\nmonitor = \"{}\"\n", "monitor.toml");
    let project = written(dir.path(), "a.greywright", &project);
    greywright("project").with(project).fails(1, &["no field 'monitor'"]);
}
