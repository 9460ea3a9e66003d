//! Each display through the binary: its signal as published, its encoding read back, and the codes that its files hold
//! in both ranges.
//!
//! Sources: SMPTE ST 2084, Rec. ITU-R BT.2100-2 and Report ITU-R BT.2408 (`tests/data/pq_hlg.tsv`); Report ITU-R BT.2390,
//! 5.4.1 (`tests/data/tone_mapping.tsv`); Rec. ITU-R BT.1886 annex 1, IEC 61966-2-1 and SMPTE RP 431-2, written out here;
//! codes of both ranges: Rec. ITU-R BT.709-6 item 4.6, BT.2100-2 table 9.

use std::collections::BTreeMap;
use std::path::Path;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::About;
use ops::Display;
use tests::program::{eval, greywright};
use tests::table::{Row, number, rows};

/// Greys of linear light through a chain of the proof.
fn greys(chain: &str, light: &[f64]) -> Vec<f64> {
    let rows: Vec<_> = light.iter().map(|&light| [light; 3]).collect();
    let greys = eval("proof", &format!("input-transform encoding=Linear-BT.2020 | {chain}"), &rows);
    greys.into_iter().map(|[_, green, _]| green).collect()
}

fn close(got: f64, want: f64, row: &Row) {
    // Doubles; to AP1 and back costs a few roundings of light, and PQ makes up to ten of signal of each.
    assert!((got - want).abs() <= 1e-11 * want.abs().max(1.0), "{row:?}: got {got:e}, the table has {want:e}");
}

/// A row's signal as the 10-bit codes of its table.
fn codes(display: &str, row: &Row, light: f64) {
    for (range, column) in [("full", "code10_full"), ("legal", "code10_legal")] {
        let signal = greys(&format!("output-transform display={display} rendering=plain range={range}"), &[light])[0];
        // Rows of numbers are codes over 1023.
        assert_eq!((signal * 1023.0 + 0.5).floor(), number(row, column), "{range}: {row:?}");
    }
}

fn of_kind(table: &str, wanted: impl Fn(&str) -> bool) -> Vec<Row> {
    let found: Vec<_> = rows(table).into_iter().filter(|row| wanted(&row["what"])).collect();
    assert!(!found.is_empty(), "{table} has no such rows");
    found
}

#[test]
fn hlg_displays_of_any_peak_and_black() {
    let start = "HLG: signal of grey to nits at ";
    let mut shown: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for row in of_kind("pq_hlg.tsv", |what| what.starts_with(start)) {
        shown.entry(row["what"][start.len()..].to_string()).or_default().push(row);
    }
    assert!(shown.len() >= 6, "{:?}", shown.keys());
    for (display, rows) in shown {
        let (peak, black) = display.split_once(" nits, black ").expect("a peak and a black");
        let [peak, black]: [f64; 2] = [peak, black].map(|number| number.parse().expect("a number"));
        // 0 is black, and 1 is 100 nits above it but that the peak stays.
        let light: Vec<f64> =
            rows.iter().map(|row| (number(row, "output") - black) / (100.0 * (1.0 - black / peak))).collect();
        let chain = format!("output-transform display=HLG rendering=plain peak={peak} black={black}");
        for (row, signal) in rows.iter().zip(greys(&chain, &light)) {
            // A square root lies at black: a rounding of 1e-17 of light is one of 1e-8 of signal.
            assert!((signal - number(row, "input")).abs() < 3e-8, "{row:?}: {signal}");
        }
    }
}

#[test]
fn codes_of_pq_and_hlg_in_both_ranges() {
    for row in of_kind("pq_hlg.tsv", |what| what == "PQ: nits to signal") {
        codes("PQ", &row, number(&row, "input") / 100.0);
    }
    for row in of_kind("pq_hlg.tsv", |what| what == "HLG: nits of grey to signal at 1000 nits") {
        codes("HLG", &row, number(&row, "input") / 100.0);
    }
    // Report ITU-R BT.2408, table 1: cards under HLG's and PQ's nominal exposure.
    for display in ["HLG", "PQ"] {
        for row in of_kind("pq_hlg.tsv", |what| what == format!("BT.2408 table 1: card to {display} signal")) {
            codes(display, &row, number(&row, "extra") / 100.0);
        }
    }
}

#[test]
fn light_is_fitted_as_published() {
    let mut count = 0;
    for row in of_kind("tone_mapping.tsv", |what| what == "EETF") {
        let between: Vec<f64> = row["between"].split(' ').map(|number| number.parse().expect("a number")).collect();
        let [from, _, peak, black] = between[..] else { panic!("{row:?}") };
        let chain = format!("output-transform display=PQ rendering=bt2390 mastered={from} peak={peak} black={black}");
        let signal = greys(&chain, &[number(&row, "input") / 100.0])[0];
        // As printed, white passes the peak by a little where black is raised; a display holds it there.
        let nits = number(&row, "light").min(peak);
        let held = greys("output-transform display=PQ rendering=plain", &[nits / 100.0])[0];
        if nits > 0.0 {
            close(signal, held, &row);
        }
        if number(&row, "light") <= peak && nits > 0.0 {
            close(signal, number(&row, "output"), &row);
        }
        count += 1;
    }
    assert!(count >= 60, "{count}");
}

#[test]
fn what_belongs_to_one_rendering_is_refused_with_another() {
    let run = |chain: &str| greywright("eval").chain(chain);
    run("output-transform mastered=2000 rendering=plain").fails(2, &["mastered", "rendering=bt2390"]);
    run("output-transform limit=P3-D65 rendering=bt2390 display=PQ").fails(2, &["limit", "rendering=aces-2.0"]);
    run("input-transform encoding=PQ rendering=bt2390").fails(2, &["rendering", "not undone"]);
    run("output-transform rendering=filmic").fails(2, &["aces-2.0", "plain", "bt2390"]);
}

#[test]
fn a_picture_read_by_its_display_leaves_as_it_came() {
    let steps = [0.1, 0.25, 0.5, 0.77, 1.0];
    let lattice: Vec<[f64; 3]> =
        steps.iter().flat_map(|&r| steps.iter().flat_map(move |&g| steps.map(|b| [r, g, b]))).collect();
    for display in Display::ALL.into_iter().filter(|display| *display != Display::Hlg) {
        let name = display.name();
        let chain = format!("input-transform encoding={name} | output-transform display={name} rendering=plain");
        for (got, given) in eval("proof", &chain, &lattice).iter().zip(&lattice) {
            for (got, given) in got.iter().zip(given) {
                // PQ's dark channels lie beside lights ten thousand times as strong on the way through AP1.
                assert!((got - given).abs() < 1e-9, "{name}: {given} became {got}");
            }
        }
    }
}

/// Signal of grey light on a display, 1.0 being its peak, by its published formula.
fn published(display: Display, light: f64) -> f64 {
    match display {
        Display::Bt1886 | Display::Bt2020 => light.powf(1.0 / 2.4),
        Display::Gamma22 => light.powf(1.0 / 2.2),
        Display::P3D65 => light.powf(1.0 / 2.6),
        Display::Srgb | Display::DisplayP3 if light <= 0.003_130_8 => 12.92 * light,
        Display::Srgb | Display::DisplayP3 => 1.055 * light.powf(1.0 / 2.4) - 0.055,
        Display::Pq => {
            let y = light.powf(2610.0 / 16384.0);
            ((3424.0 + 2413.0 * 32.0 * y) / (4096.0 + 2392.0 * 32.0 * y)).powf(2523.0 / 32.0)
        }
        Display::Hlg => {
            // At 1000 nits the system gamma is 1.2.
            let scene = light.powf(1.0 / 1.2);
            let (a, b, c) = (0.178_832_77, 0.284_668_92, 0.559_910_73);
            if scene <= 1.0 / 12.0 { (3.0 * scene).sqrt() } else { a * (12.0 * scene - b).ln() + c }
        }
    }
}

#[test]
fn files_hold_the_codes_of_both_ranges() {
    let dir = tempfile::tempdir().expect("a folder for the test");
    let shares = [0.0, 0.001, 0.01, 0.18, 0.5, 1.0];
    for display in Display::ALL {
        // 1.0 of scene light is the peak of SDR displays and 100 nits of the others.
        let peak = match display {
            Display::Pq => 100.0,
            Display::Hlg => 10.0,
            _ => 1.0,
        };
        let original = dir.path().join("light.exr");
        let pixels: Vec<[f32; 4]> =
            shares.map(|share| [(share * peak) as f32; 3]).map(|[r, g, b]| [r, g, b, 1.0]).into();
        let layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);
        let size = Size::new(shares.len() as u32, 1);
        let frame = Frame::from_pixels(&pixels, size, layout, Range::Full);
        media::write(&original, &frame, &About::default()).expect("the original is written");
        for (range, black, white) in [("full", 0.0, 1023.0), ("legal", 64.0, 940.0)] {
            let name = display.name();
            let chain = format!(
                "input-transform encoding=Linear-BT.2020 | output-transform display={name} rendering=plain range={range}"
            );
            let found = ten_bit_codes(&original, &dir.path().join("display.dpx"), &chain);
            let wanted: Vec<f64> = shares
                .iter()
                .map(|&share| (black + (white - black) * published(display, share) + 0.5).floor())
                .collect();
            assert_eq!((wanted[0], wanted[shares.len() - 1]), (black, white), "{name}");
            assert_eq!(found, wanted, "{name}, {range}");
        }
    }
}

/// The red, green and blue codes of a grey row, rendered to a 10-bit file and read from its bytes.
fn ten_bit_codes(original: &Path, file: &Path, chain: &str) -> Vec<f64> {
    greywright("render --depth 10").with(original).with(file).chain(chain).done();
    let frame = media::read(file).expect("it was written").frame;
    assert_eq!(frame.layout().samples, Samples::Ten);
    let codes = frame.to_pixels(Range::Full);
    codes
        .iter()
        .map(|[red, green, blue, _]| {
            assert!(red == green && green == blue, "{chain}: a grey is {codes:?}");
            f64::from(*green * 1023.0).round()
        })
        .collect()
}
