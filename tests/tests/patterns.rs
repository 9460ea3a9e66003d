//! `pattern` writes the bars of the standards to the code: tables `rp219_bars.tsv` (SMPTE RP 219-1), `bt2111_bars.tsv` (Rec. ITU-R
//! BT.2111-2) and `scopes.tsv` (Rec. ITU-R BT.709-6, BT.471-1). Regions are those of 1920 x 1080 as a public generator's acceptance
//! test has them (secondary source).

use std::path::Path;

use frame::{Range, Samples};
use tests::program::greywright;
use tests::table::{Row, number, rows};

/// The words of a 10-bit DPX file, and its columns.
struct Codes {
    words: Vec<[u32; 3]>,
    width: u32,
}

impl Codes {
    fn of(path: &Path) -> Codes {
        let frame = media::read(path).unwrap_or_else(|error| panic!("{error}")).frame;
        assert_eq!(frame.layout().samples, Samples::Ten);
        let word = |bytes: &[u8]| u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]);
        let words = frame.bytes().chunks(4).map(word).map(|word| [word >> 22, word >> 12 & 1023, word >> 2 & 1023]);
        Codes { words: words.collect(), width: frame.size().width }
    }

    fn at(&self, x: u32, y: u32) -> [u32; 3] {
        self.words[(y * self.width + x) as usize]
    }
}

fn written(arguments: &str) -> Codes {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("bars.dpx");
    let mut run = greywright("pattern --out").with(&path);
    for argument in arguments.split(' ') {
        run = run.with(argument);
    }
    run.done();
    Codes::of(&path)
}

fn codes(row: &Row) -> [u32; 3] {
    ["R10", "G10", "B10"].map(|column| number(row, column) as u32)
}

#[test]
fn bars_of_bt_709_are_written_to_the_code() {
    let mut count = 0;
    for (kind, level) in [("bars75", "75 % "), ("bars100", "100 % ")] {
        let picture = written(&format!("{kind} --range legal --size 320x8"));
        let order = ["white", "yellow", "cyan", "green", "magenta", "red", "blue", "black"];
        for row in rows("scopes.tsv").iter().filter(|row| row["kind"] == "bar" && row["matrix"] == "BT.709") {
            let Some(name) = row["what"].strip_prefix(level) else { continue };
            let bar = order.iter().position(|bar| *bar == name).unwrap_or_else(|| panic!("no bar '{name}'")) as u32;
            // Edge to edge.
            for x in [bar * 40, bar * 40 + 39] {
                assert_eq!(picture.at(x, 4), codes(row), "{row:?}");
            }
            count += 1;
        }
    }
    assert_eq!(count, 16);
    // Unless told, codes fill the full range.
    assert_eq!(written("bars100 --size 320x8").at(0, 0), [1023; 3]);
}

#[test]
fn bars_of_rp_219_are_written_to_the_code() {
    let picture = written("rp219");
    let mut count = 0;
    for row in rows("rp219_bars.tsv") {
        let first = ["white", "yellow", "cyan", "green", "magenta", "red", "blue"];
        let places: Vec<[u32; 2]> = match (row["row"].as_str(), row["what"].as_str()) {
            ("row 1", "40 % grey") => vec![[0, 0], [239, 629], [1680, 0], [1919, 629]],
            ("row 1", bar) => {
                let bar = bar.strip_prefix("75 % ").expect("a bar at 75 %");
                let left = [240, 445, 651, 857, 1063, 1269, 1475, 1680];
                let at = first.iter().position(|name| *name == bar).expect("one of seven");
                vec![[left[at], 0], [left[at + 1] - 1, 629]]
            }
            ("row 2", "100 % cyan") => vec![[0, 630], [239, 719]],
            ("row 2", "75 % white") => vec![[240, 630], [1679, 719]],
            ("row 2", "100 % blue") => vec![[1680, 630], [1919, 719]],
            ("row 3", "100 % yellow") => vec![[0, 720], [239, 809]],
            ("row 3", "100 % red") => vec![[1680, 720], [1919, 809]],
            ("row 4", "15 % grey") => vec![[0, 810], [239, 1079], [1680, 810], [1919, 1079]],
            ("row 4", "black") => {
                vec![[240, 810], [548, 1079], [960, 900], [1474, 900], [1679, 900], [240, 750], [445, 750]]
            }
            ("row 4", "white") => vec![[549, 810], [959, 1079], [1475, 750], [1679, 750], [1474, 750]],
            ("row 4", "near black -2 %") => vec![[1131, 810], [1199, 1079]],
            ("row 4", "near black +2 %") => vec![[1268, 810], [1336, 1079]],
            ("row 4", "near black +4 %") => vec![[1405, 810], [1473, 1079]],
            other => panic!("{other:?} has no place"),
        };
        for [x, y] in places {
            assert_eq!(picture.at(x, y), codes(&row), "{row:?} at {x}, {y}");
        }
        count += 1;
    }
    assert_eq!(count, 19);
    // The ramp rises from black to white and leaves no code out.
    let ramp: Vec<u32> = (445..1475).map(|x| picture.at(x, 750)[1]).collect();
    assert!(ramp.windows(2).all(|pair| pair[1] == pair[0] || pair[1] == pair[0] + 1));
}

#[test]
fn bars_of_bt_2111_are_written_to_the_code() {
    let table = rows("bt2111_bars.tsv");
    let mut count = 0;
    for (system, kind) in [("HLG legal", "bt2111-hlg"), ("PQ legal", "bt2111-pq"), ("PQ full", "bt2111-pq-full")] {
        let picture = written(kind);
        let colours = ["yellow", "cyan", "green", "magenta", "red", "blue"];
        let stairs =
            ["below black", "0 %", "10 %", "20 %", "30 %", "40 %", "50 %", "60 %", "70 %", "80 %", "90 %", "100 %"];
        for row in table.iter().filter(|row| row["system"] == system) {
            let what = row["what"].as_str();
            let places: Vec<[u32; 2]> = if let Some(colour) = what.strip_prefix("BT.709 ") {
                let at = colours.iter().position(|name| *name == colour).expect("one of six") as u32;
                let left = if at < 3 { 80 * at } else { 1680 + 80 * (at - 3) };
                vec![[left, 810], [left + 79, 1079]]
            } else if let Some(step) = what.strip_prefix("near-black step ") {
                let at: usize = step.parse().expect("a number");
                let left = [376, 446, 514, 584, 652, 722];
                vec![[left[at - 1], 810], [left[at] - 1, 1079]]
            } else if let Some(step) = what.strip_prefix("staircase ") {
                let left = [240, 446, 549, 652, 755, 858, 960, 1062, 1165, 1268, 1371, 1474, 1577, 1680];
                let at = stairs.iter().position(|name| *name == step).unwrap_or(12);
                vec![[left[at], 630], [left[at + 1] - 1, 719]]
            } else {
                match what {
                    // White and the white patch below; the ends of the staircase.
                    "main bars" => vec![[240, 90], [445, 629], [960, 900], [1397, 900], [0, 630], [1919, 719]],
                    "40 % grey" => vec![[0, 0], [239, 629], [1680, 0], [1919, 629]],
                    "100 %" => vec![[240, 0], [445, 89]],
                    "black" => {
                        vec![[240, 900], [375, 900], [722, 900], [959, 900], [1398, 900], [1679, 900], [239, 750]]
                    }
                    other => panic!("{other} has no place"),
                }
            };
            for [x, y] in places {
                assert_eq!(picture.at(x, y), codes(row), "{row:?} at {x}, {y}");
            }
            count += 1;
        }
        // The seven bars are made of what white and black are made of.
        let (held, full, low) = (picture.at(240, 300)[0], picture.at(240, 40)[0], picture.at(240, 900)[0]);
        let on = [[1, 1, 1], [1, 1, 0], [0, 1, 1], [0, 1, 0], [1, 0, 1], [1, 0, 0], [0, 0, 1]];
        let left = [240, 446, 652, 858, 1062, 1268, 1474, 1680];
        for (at, on) in on.into_iter().enumerate() {
            for x in [left[at], left[at + 1] - 1] {
                assert_eq!(picture.at(x, 300), on.map(|on| if on == 1 { held } else { low }), "{kind} bar {at}");
                assert_eq!(picture.at(x, 40), on.map(|on| if on == 1 { full } else { low }), "{kind} bar {at}");
            }
        }
    }
    assert_eq!(count, 84);
}

#[test]
fn a_file_of_bars_says_what_its_codes_are() {
    let dir = tempfile::tempdir().expect("a folder");
    for (kind, encoding, range) in [("bt2111-hlg", "HLG", "legal"), ("bt2111-pq-full", "PQ", "full")] {
        let path = dir.path().join(format!("{kind}.png"));
        let told =
            greywright("pattern --json --size 192x108 --depth 16").with(kind).with("--out").with(&path).done().json();
        assert_eq!((told["range"].as_str(), told["path"].as_str().is_some()), (Some(range), true));
        let read = &greywright("inspect --json").with(&path).done().json()[0];
        assert_eq!((read["encoding"].as_str(), read["range"].as_str()), (Some(encoding), Some(range)), "{read}");
    }
    // Floats hold signal: black is 0, and the first step of the staircase, code 4, is 60 codes of 876 below it.
    let floats = dir.path().join("hlg.exr");
    greywright("pattern bt2111-hlg --size 1920x108 --depth float --out").with(&floats).done();
    let frame = media::read(&floats).unwrap_or_else(|error| panic!("{error}")).frame;
    let pixels = frame.to_pixels(Range::Full);
    let at = |x: usize, y: usize| f64::from(pixels[y * 1920 + x][1]);
    assert!(
        (at(300, 66) + 60.0 / 876.0).abs() < 1e-7
            && at(470, 66).abs() < 1e-7
            && (at(1600, 66) - 955.0 / 876.0).abs() < 1e-7
    );

    let out = dir.path().join("no.png");
    greywright("pattern rp219 --range full --out").with(&out).fails(2, &["--range full", "rp219", "legal", "leave"]);
    greywright("pattern bt2111-pq --depth 8 --out").with(&out).fails(2, &["--depth 8", "10"]);
    assert!(!out.exists());
}
