//! What white balance must show: a card under a light that is not D65, corrected from the white measured on it.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use graph::{Original, chain, elaborate};
use ops::Book;
use reference::Proof;
use tests::table;

const METHODS: [&str; 5] = ["Bradford", "CAT02", "CAT16", "von-Kries", "XYZ-scaling"];

/// Chromaticities of the lights.
///
/// # Source
/// A and FL2: CIE 15:2018. 9000 K: Planck's law with c2 = 1.4388e-2 m K and the CIE 1931 observer at 1 nm from 360
/// to 830 nm, by colour-science 0.4.7.
const LIGHTS: [(&str, [f64; 2]); 3] = [
    ("A", [0.44758, 0.40745]),
    ("FL2", [0.3721, 0.3751]),
    ("9000 K", [0.286_926_666_680_831_2, 0.295_584_601_865_572_84]),
];

fn proof(text: &str) -> Proof {
    let document = chain::parse(text).unwrap();
    let wiring = &document.candidates[chain::CANDIDATE];
    let book = Book::default();
    Proof::new(&elaborate(wiring, &document.kit, &Original::SceneRows, None, &book).unwrap())
}

fn apply(m: [[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn matrix_from(from: &str, to: &str, adaptation: &str) -> [[f64; 3]; 3] {
    let is = |row: &table::Row, column: &str, text: &str| row[column] == text;
    let rows = table::rows("matrices.tsv");
    let row = rows.iter().find(|row| is(row, "from", from) && is(row, "to", to) && is(row, "adaptation", adaptation));
    table::matrix(row.unwrap_or_else(|| panic!("no matrix from {from} to {to} by {adaptation}")))
}

fn inverse(m: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    colour::Matrix(m).inverse().unwrap().0
}

/// An 18 % card under a light, as scene light on AP1 in the frame where equal RGB reads as D65: from XYZ to BT.709 of
/// D65 and from there to AP1 by Bradford, with colour-science's matrices and none of our own.
fn card([x, y]: [f64; 2]) -> [f64; 3] {
    let xyz = [0.18 * x / y, 0.18, 0.18 * (1.0 - x - y) / y];
    apply(matrix_from("BT.709", "AP1", "Bradford"), apply(inverse(matrix_from("BT.709", "XYZ", "")), xyz))
}

/// The chromaticity of scene light in that frame.
fn measured(scene: [f64; 3]) -> [f64; 2] {
    let xyz = apply(matrix_from("BT.709", "XYZ", ""), apply(matrix_from("AP1", "BT.709", "Bradford"), scene));
    let sum: f64 = xyz.iter().sum();
    [xyz[0] / sum, xyz[1] / sum]
}

/// The code of an 18 % grey on a display: 0.18^(1/2.4), 0.18^(1/2.6), 1.055 x 0.18^(1/2.4) - 0.055.
///
/// # Source
/// Rec. ITU-R BT.1886 annex 1 at black 0; SMPTE RP 431-2; IEC 61966-2-1.
const DISPLAYS: [(&str, f64); 3] =
    [("BT.1886", 0.489_437_089_573_878_3), ("P3-D65", 0.517_090_248_941_532_1), ("sRGB", 0.461_356_129_500_441_64)];

#[test]
fn a_card_corrected_from_its_measured_white_reads_d65() {
    for (light, xy) in LIGHTS {
        let scene = card(xy);
        let [x, y] = measured(scene);
        for method in METHODS {
            for (display, grey) in DISPLAYS {
                let balance = format!("white-balance from={x},{y} to=D65 method={method}");
                let code =
                    proof(&format!("{balance} | output-transform display={display} rendering=plain")).pixel(scene);
                for channel in code {
                    // The bound, in display code; equal channels mean D65, their value that Y was kept.
                    assert!((channel - grey).abs() < 1e-6, "{light} by {method} on {display}: {code:?} for {grey}");
                }
            }
        }
        // Uncorrected it shows its cast, so the test above cannot pass idly.
        let cast = proof("output-transform display=BT.1886 rendering=plain").pixel(scene);
        assert!((cast[0] - cast[2]).abs() > 0.02, "{light}: {cast:?}");
    }
}

#[test]
fn the_whole_way_from_camera_code_to_display_code_reads_d65() {
    for (light, xy) in LIGHTS {
        for id in ["LogC3", "LogC4", "S-Log3", "V-Log", "C-Log2", "ACEScct"] {
            let camera = proof(&format!("encode encoding={id}")).pixel(card(xy));
            for method in METHODS {
                let text = format!(
                    "input-transform encoding={id} | white-balance from={},{} method={method} \
                     | output-transform display=BT.1886 rendering=plain",
                    xy[0], xy[1]
                );
                let code = proof(&text).pixel(camera);
                for channel in code {
                    assert!((channel - DISPLAYS[0].1).abs() < 1e-6, "{light}, {id}, {method}: {code:?}");
                }
            }
        }
    }
}

#[test]
fn a_named_white_is_its_published_chromaticity() {
    for (light, from) in [("A", "A"), ("FL2", "FL2"), ("9000 K", "9000K")] {
        let xy = LIGHTS.iter().find(|(name, _)| *name == light).unwrap().1;
        let code = proof(&format!("white-balance from={from} | output-transform display=BT.1886 rendering=plain"))
            .pixel(card(xy));
        for channel in code {
            assert!((channel - DISPLAYS[0].1).abs() < 1e-6, "{light}: {code:?}");
        }
    }
}

#[test]
fn white_balance_is_the_published_adaptation_in_the_frame_of_d65() {
    for row in table::rows("white_balance_d65.tsv") {
        let (x, y) = (table::number(&row, "x"), table::number(&row, "y"));
        let method = row["method"].replace(' ', "-");
        let wanted = table::matrix(&row);
        let balance = proof(&format!("white-balance from={x},{y} to=D65 method={method}"));
        for column in 0..3 {
            let unit: [f64; 3] = std::array::from_fn(|i| f64::from(u8::from(i == column)));
            let found = balance.pixel(unit);
            for (line, found) in found.into_iter().enumerate() {
                let wanted = wanted[line][column];
                // Five products of three terms in double, with entries up to 5: 1e-14 at the most.
                assert!((found - wanted).abs() < 1e-12, "{} by {method}: {found} for {wanted}", row["light"]);
            }
        }
        let grey = ["grey_r", "grey_g", "grey_b"].map(|column| table::number(&row, column));
        for channel in balance.pixel(grey) {
            assert!((channel - 0.18).abs() < 1e-12, "{} by {method}: the card reads {channel}", row["light"]);
        }
    }
}

#[test]
fn a_lower_kelvin_makes_the_picture_bluer_and_more_duv_less_green() {
    // Common practice, no source: the control names the light that was there, and takes its cast away.
    let picture = |from: &str| proof(&format!("white-balance from={from}")).pixel([0.18; 3]);
    let [warm, cool] = ["3200K", "9000K"].map(picture);
    assert!(warm[2] / warm[0] > 1.5 && cool[2] / cool[0] < 0.9, "{warm:?} {cool:?}");
    let [pink, green] = ["5600K-0.01duv", "5600K+0.01duv"].map(picture);
    assert!(green[1] < pink[1] - 0.001, "{green:?} {pink:?}");
}
