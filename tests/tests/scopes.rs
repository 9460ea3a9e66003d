//! The scopes' reference against published test signals: every bar on its own code in the waveform, the parade, the
//! histogram and the vectorscope. Tables `scopes.tsv` (Rec. ITU-R BT.601-7, BT.709-6, BT.2020-2), `bt2111_bars.tsv` (Rec. ITU-R
//! BT.2111-2) and `rp219_bars.tsv` (SMPTE RP 219-1), made by colour-science.

use colour::transfer::Form;
use colour::{Adaptation, CodeRange, Primaries, Transfer, primaries};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use measure::scopes::{
    Axis, BT709, Counts, Histogram, Region, SKIN_LINE_DEGREES, Scope, Vectorscope, Waveform, WaveformOf, YCbCr, count,
    count_codes, i_axis_degrees, targets,
};
use tests::table::{Row, number, rows};

/// A bin for every code of ten bits.
const CODES: u32 = 1024;
const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);

fn matrix(row: &Row) -> YCbCr {
    YCbCr::named(&row["matrix"]).unwrap_or_else(|| panic!("no matrix: {row:?}"))
}

fn three(row: &Row, columns: [&str; 3]) -> [f64; 3] {
    columns.map(|column| number(row, column))
}

fn codes(row: &Row) -> [u32; 3] {
    three(row, ["R10", "G10", "B10"]).map(|code| code as u32)
}

/// What is a row's signal or, where the standard gives none, its code.
fn packed(row: &Row, range: Range) -> Frame {
    if row["R"].is_empty() {
        return from_codes(codes(row));
    }
    let [red, green, blue] = three(row, ["R", "G", "B"]).map(|v| v as f32);
    Frame::from_pixels(&[[red, green, blue, 1.0]], Size::new(1, 1), TEN, range)
}

fn from_codes([red, green, blue]: [u32; 3]) -> Frame {
    Frame::new(Size::new(1, 1), TEN, (red << 22 | green << 12 | blue << 2).to_be_bytes().to_vec(), 0).expect("a pixel")
}

fn counted(scope: &impl Scope, frame: &Frame) -> Counts {
    let region = Region::whole(frame.size()).expect("a picture");
    count_codes(scope, frame, region, region).expect("codes")
}

/// The code in whose row the plane's one pixel is, a bin being a code.
fn found(counts: &Counts, plane: u32) -> u32 {
    let shape = counts.shape();
    let at: Vec<u32> = (0..shape.rows).filter(|row| counts.at(plane, 0, *row) == 1).collect();
    assert_eq!((at.len(), counts.total(plane)), (1, 1));
    at[0] - 1
}

fn one_pixel() -> Region {
    Region::whole(Size::new(1, 1)).expect("a pixel")
}

#[test]
fn bars_reach_their_published_codes() {
    let mut count = 0;
    for row in rows("scopes.tsv").iter().filter(|row| row["kind"] == "bar") {
        let (matrix, frame) = (matrix(row), packed(row, Range::Legal));
        let axis = Axis::codes(10, CodeRange::Legal, CODES);
        let parade = counted(&Waveform::new(WaveformOf::Channels, axis.clone(), 1, one_pixel()), &frame);
        let histogram = counted(&Histogram { axis: axis.clone() }, &frame);
        for (plane, code) in (0..).zip(codes(row)) {
            assert_eq!((found(&parade, plane), found(&histogram, plane)), (code, code), "{row:?}");
        }
        let luma = counted(&Waveform::new(WaveformOf::Luma(matrix.weights), axis, 1, one_pixel()), &frame);
        assert_eq!(f64::from(found(&luma, 0)), number(row, "Y10"), "{row:?}");

        // As many bins as codes on the axis, so that a cell is a code both ways.
        let scope = Vectorscope::of_codes(matrix, 10, CodeRange::Legal, u32::MAX);
        let cell = [(scope.across(), "Cb10"), (scope.up(), "Cr10")]
            .map(|(axis, column)| axis.slot_of_code(number(row, column) as i32).expect("an axis of codes"));
        assert_ne!(scope.across().slot_of_code(511), scope.across().slot_of_code(512));
        assert_eq!(counted(&scope, &frame).at(0, cell[0], cell[1]), 1, "{row:?}");
        count += 1;
    }
    assert_eq!(count, 48, "three matrices, two levels, eight bars");
}

#[test]
fn colour_difference_and_targets_are_the_published_ones() {
    for row in rows("scopes.tsv").iter().filter(|row| row["kind"] == "bar") {
        let matrix = matrix(row);
        let rgb = three(row, ["R", "G", "B"]);
        let [cb, cr] = matrix.difference(rgb);
        // Doubles on both sides.
        for (got, column) in [(matrix.luma(rgb), "Y"), (cb, "Cb"), (cr, "Cr")] {
            assert!((got - number(row, column)).abs() < 1e-12, "{row:?}: {column} {got}");
        }
        let (level, name) = row["what"].split_once(" % ").expect("a level and a bar");
        let level = level.parse::<f64>().expect("a number") / 100.0;
        let Some(target) = targets(&matrix, level).into_iter().find(|target| target.name == name) else {
            assert!(["white", "black"].contains(&name), "{name} has no target");
            continue;
        };
        let [across, up] = target.difference;
        let degrees = up.atan2(across).to_degrees().rem_euclid(360.0);
        assert!((degrees - number(row, "degrees")).abs() < 1e-9, "{row:?}: {degrees}");
        assert!(target.holds([number(row, "Cb"), number(row, "Cr")]));
    }
}

/// The I axis: common practice, no source; skin: the library's 24-patch chart.
#[test]
fn the_skin_line_is_nearer_to_skin_than_the_axis_it_comes_from() {
    let table = rows("scopes.tsv");
    for row in table.iter().filter(|row| row["kind"] == "I axis") {
        assert!((i_axis_degrees(&matrix(row)) - number(row, "degrees")).abs() < 1e-9, "{row:?}");
    }
    let skins: Vec<&Row> = table.iter().filter(|row| row["kind"] == "skin").collect();
    assert_eq!(skins.len(), 2);
    for row in skins {
        let degrees = number(row, "degrees");
        assert!((degrees - SKIN_LINE_DEGREES).abs() < 6.0, "{row:?}");
        assert!((degrees - SKIN_LINE_DEGREES).abs() < (degrees - i_axis_degrees(&BT709)).abs(), "{row:?}");
    }
}

/// What the published code of a row reads on the parade.
fn parade_codes(row: &Row, frame: &Frame, range: CodeRange) -> [u32; 3] {
    let scope = Waveform::new(WaveformOf::Channels, Axis::codes(10, range, CODES), 1, one_pixel());
    let by_code = counted(&scope, frame);
    // The signal of those codes falls into the same bins.
    let stored = if range == CodeRange::Legal { Range::Legal } else { Range::Full };
    let by_signal = count(&scope, &frame.to_pixels(stored), frame.size(), one_pixel(), one_pixel()).expect("a pixel");
    assert_eq!(by_code, by_signal, "{row:?}");
    [0, 1, 2].map(|plane| found(&by_code, plane))
}

#[test]
fn rp219_bars_reach_their_published_codes() {
    let table = rows("rp219_bars.tsv");
    for row in &table {
        let read = parade_codes(row, &packed(row, Range::Legal), CodeRange::Legal);
        assert_eq!(read, codes(row), "{row:?}");
    }
    assert_eq!(table.len(), 19);
}

#[test]
fn bt2111_bars_reach_their_published_codes() {
    let table = rows("bt2111_bars.tsv");
    for row in &table {
        let (coded, stored) = match row["system"].split_once(' ') {
            Some((_, "full")) => (CodeRange::Full, Range::Full),
            _ => (CodeRange::Legal, Range::Legal),
        };
        let mut want = codes(row);
        if (row["system"].as_str(), row["what"].as_str()) == ("HLG legal", "BT.709 green") {
            // 706.506 by the formulas; the Recommendation prints 706.
            want[1] += 1;
        }
        assert_eq!(parade_codes(row, &packed(row, stored), coded), want, "{row:?}");
    }
    assert_eq!(table.len(), 84);
}

/// The same from our own matrices and curves: a BT.709 colour at 75 % of HLG's camera curve, or at 58 % of PQ.
#[test]
fn our_own_colours_of_bt2111_are_the_published_signal() {
    let to_2020 = Primaries::rgb_from_rgb(&primaries::BT2020, &primaries::BT709, Adaptation::Bradford);
    let mut count = 0;
    for row in rows("bt2111_bars.tsv").iter().filter(|row| row["what"].starts_with("BT.709 ")) {
        let (curve, white) =
            if row["system"].starts_with("HLG") { (Transfer::Hlg, 0.75) } else { (Transfer::Pq, 0.58) };
        let bar = match &row["what"][7..] {
            "yellow" => [1.0, 1.0, 0.0],
            "cyan" => [0.0, 1.0, 1.0],
            "green" => [0.0, 1.0, 0.0],
            "magenta" => [1.0, 0.0, 1.0],
            "red" => [1.0, 0.0, 0.0],
            "blue" => [0.0, 0.0, 1.0],
            other => panic!("no bar '{other}'"),
        };
        let light = to_2020.apply(bar).map(|v| v * curve.decode(Form::Published, white));
        for (light, column) in light.into_iter().zip(["R", "G", "B"]) {
            let signal = curve.encode(Form::Published, light);
            // The library's BT.2020 matrix is the printed one, of ten digits; HLG's constants have eight.
            assert!((signal - number(row, column)).abs() < 1e-6, "{row:?}: {column} {signal}");
        }
        count += 1;
    }
    assert_eq!(count, 18, "three systems, six colours");
}
