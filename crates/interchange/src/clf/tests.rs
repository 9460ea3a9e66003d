use std::sync::Arc;

use colour::lut::{Interpolation, LutKind};
use colour::{Affine, Encoding, Lut, Matrix};
use graph::{Elaborated, Original, chain, elaborate};
use ops::{Book, Cdl};
use reference::Proof;

use super::*;

/// A list with every node that is written.
fn all_nodes() -> ProcessList {
    let single = |v: f64| f64::from(v as f32);
    let channels: Vec<[f64; 3]> = (0..5).map(|i| [0.1, 0.2, 0.3].map(|v| single(v * f64::from(i)))).collect();
    let grid: Vec<[f64; 3]> = (0..27).map(|i| [0.3, -0.01, 0.7].map(|v| single(v * f64::from(i)))).collect();
    let table = |kind, size, entries| Arc::new(Lut::new(kind, size, [0.0; 3], [1.0; 3], entries).unwrap());
    let log = Log {
        base: 10.0,
        log_slope: 0.25,
        log_offset: 0.4,
        lin_slope: 5.5,
        lin_offset: 0.05,
        lin_break: 0.01,
        linear_slope: 5.4,
    };
    let basic = Exponent { law: Law::Basic, exponent: 2.4, offset: 0.0 };
    let mon_curve = Exponent { law: Law::MonCurve, exponent: 2.4, offset: 0.055 };
    ProcessList {
        id: "galley & deck".to_string(),
        descriptions: vec!["night <ferry>".to_string()],
        input: Some("LogC3".to_string()),
        output: Some("BT.1886".to_string()),
        nodes: vec![
            Node::Matrix(Affine {
                matrix: Matrix([[0.7, 0.2, 0.1], [1.0 / 3.0, 0.5, 0.0], [0.0, -1e-7, 1.0]]),
                offset: [0.0, 0.1, -0.2],
            }),
            Node::Range(Range { from: [-0.1, 1.2], to: [0.0, 1.0], clamps: true }),
            Node::Range(Range { from: [-0.1, 1.2], to: [0.0, 1.0], clamps: false }),
            Node::Log(log, Way::Forward),
            Node::Log(log, Way::Back),
            Node::Exponent(basic, Way::Forward),
            Node::Exponent(basic, Way::Back),
            Node::Exponent(mon_curve, Way::Forward),
            Node::Exponent(mon_curve, Way::Back),
            Node::Table(table(LutKind::OneD, 5, channels), Interpolation::Tetrahedral),
            Node::Table(table(LutKind::ThreeD, 3, grid), Interpolation::Trilinear),
            Node::HalfTable(Arc::new(HalfTable::of(|v| v.cbrt()).unwrap())),
            Node::Cdl(Cdl {
                slope: [1.1, 1.0, 0.9],
                offset: [0.0, 0.1, -0.1],
                power: [1.0, 2.0, 0.5],
                saturation: 1.2,
                clamp: true,
            }),
            Node::Cdl(Cdl { saturation: 0.0, ..Cdl::default() }),
        ],
    }
}

#[test]
fn what_is_written_is_read_back_to_the_bit() {
    let list = all_nodes();
    let text = write(&list).unwrap();
    assert!(text.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n") && !text.contains('\r'));
    // Not assert_eq, which would print half a million numbers.
    assert!(read(text.as_bytes(), "x.clf").unwrap() == list);
}

#[test]
fn logarithms_and_powers_undo_themselves() {
    for node in all_nodes().nodes {
        let back = match node {
            Node::Log(log, Way::Forward) => Node::Log(log, Way::Back),
            Node::Exponent(exponent, Way::Forward) => Node::Exponent(exponent, Way::Back),
            _ => continue,
        };
        for v in [-0.3, -0.001, 0.0, 0.004, 0.18, 1.0, 20.0] {
            let there = back.eval()(node.eval()([v; 3]))[0];
            assert!((there - v).abs() < 1e-12 * f64::max(1.0, v), "{node:?} {v} {there}");
        }
    }
}

#[test]
fn faults_name_file_line_element_and_remedy() {
    let list = |inside: &str| format!("<ProcessList id='a' compCLFversion='3.0'>\n{inside}</ProcessList>");
    let node = |name: &str, rest: &str, inside: &str| {
        list(&format!("<{name} inBitDepth='32f' outBitDepth='32f'{rest}>{inside}</{name}>"))
    };
    let cdl = "<SOPNode><Slope>1 1 1</Slope><Offset>0 0 0</Offset><Power>1 0 1</Power></SOPNode>";
    for (text, words) in [
        ("<Cube/>".to_string(), &["bad.clf, line 1", "Cube", "ProcessList"][..]),
        ("<ProcessList id='a'/>".to_string(), &["compCLFversion"]),
        ("<ProcessList id='a' compCLFversion='2.0'/>".to_string(), &["2.0", "only 3.0"]),
        (list(""), &["no node", "Matrix"]),
        (list("<Warp/>"), &["line 2", "Warp", "these are Matrix"]),
        (list("<Matrix/>"), &["inBitDepth"]),
        (list("<Matrix inBitDepth='10i' outBitDepth='32f'/>"), &["inBitDepth", "10i", "scale"]),
        (node("Matrix", "", ""), &["Matrix lacks Array"]),
        (node("Matrix", "", "<Array dim='2 2'>1 0 0 1</Array>"), &["dim"]),
        (node("Matrix", "", "<Array dim='3 3'>1 0 0 1</Array>"), &["9 numbers"]),
        (node("Range", "", "<minInValue>0</minInValue>"), &["Range lacks maxInValue"]),
        (node("Log", " style='log2'", ""), &["log2", "cameraLinToLog"]),
        (node("Log", " style='cameraLinToLog'", "<LogParams/>"), &["linSideBreak"]),
        (
            node("Exponent", " style='monCurveMirrorFwd'", "<ExponentParams exponent='2.4'/>"),
            &["ExponentParams", "offset"],
        ),
        (node("LUT1D", "", "<Array dim='2 2'>0 0 1 1</Array>"), &["dim", "1 or 3"]),
        (node("LUT1D", " halfDomain='true'", "<Array dim='2 1'>0 1</Array>"), &["65536", "not 2"]),
        (node("LUT3D", "", "<Array dim='2 2 2 3'>0 0 1</Array>"), &["3 numbers", "8 by 3"]),
        (node("LUT3D", " interpolation='cubic'", ""), &["cubic", "tetrahedral"]),
        (node("ASC_CDL", " style='Rev'", ""), &["Rev", "FwdNoClamp"]),
        (node("ASC_CDL", "", cdl), &["ASC_CDL", "power", "above 0"]),
    ] {
        let error = read(text.as_bytes(), "bad.clf").unwrap_err().to_string();
        for word in words {
            assert!(error.contains(word), "{text}\n{error} lacks {word}");
        }
    }
    assert_eq!(write(&ProcessList { id: " ".to_string(), ..all_nodes() }), Err(WriteError::NoId));
    assert_eq!(
        write(&ProcessList { nodes: Vec::new(), ..all_nodes() }),
        Err(WriteError::NoNode("galley & deck".to_string()))
    );
}

/// A chain on LogC3.
fn candidate(text: &str) -> Elaborated {
    let document = chain::parse(text).unwrap();
    let wiring = &document.candidates[chain::CANDIDATE];
    let encoding = Encoding::named("LogC3", Some(800)).unwrap();
    elaborate(wiring, &document.kit, &Original::Encoded(encoding), None, &Book::default()).unwrap()
}

/// Differences of shown signal between a candidate and its list, read back from its text, at 400 codes of the deepest colours: the
/// 95th percentile and the largest.
fn apart(candidate: &Elaborated, grid: usize) -> ([f64; 2], ProcessList) {
    let list = of_candidate(candidate, "test", grid).unwrap();
    let read = read(write(&list).unwrap().as_bytes(), "x.clf").unwrap();
    let (file, proof) = (read.pixel(), Proof::new(candidate));
    let codes = (0..400u32).map(|i| [7, 11, 13].map(|by| 0.12 + 0.55 * f64::from(i * by % 97) / 97.0));
    let off = |(got, want): (f64, f64)| (got.clamp(0.0, 1.0) - want.clamp(0.0, 1.0)).abs();
    let worst = |code| file(code).into_iter().zip(proof.pixel(code)).map(off).fold(0.0, f64::max);
    let mut all: Vec<f64> = codes.map(worst).collect();
    all.sort_by(f64::total_cmp);
    ([all[379], all[399]], list)
}

fn has_grid(list: &ProcessList) -> bool {
    list.nodes.iter().any(|node| matches!(node, Node::Table(lut, _) if lut.kind() == LutKind::ThreeD))
}

#[test]
fn chains_of_matrices_curves_and_lists_need_no_grid() {
    for text in [
        "exposure stops=0.5 | white-balance from=3200K to=D65 | saturation factor=1.1 | output-transform rendering=plain",
        "printer-points red=3 all=-2 | cdl slope=1.1,1,0.9 power=1.1,1,1 saturation=1.2 | output-transform display=sRGB rendering=plain",
        "channel-offset red=0.01 | contrast per_channel=true slope=1.1 | output-transform rendering=plain | soft-clip high=0.9",
        "flare red=1 green=1 blue=2 | output-transform display=PQ rendering=plain",
    ] {
        let ([_, apart], list) = apart(&candidate(text), 5);
        // A fiftieth of a 10-bit code where curves meet at their break; tables are far finer.
        assert!(!has_grid(&list) && apart < 5e-5, "{text}: {apart} {:?}", list.nodes.len());
    }
    // Matrices on the way from light to display are one.
    let list = of_candidate(&candidate("exposure stops=1 | output-transform rendering=plain"), "one", 5).unwrap();
    assert!(matches!(list.nodes[..], [Node::Log(..), Node::Matrix(_), Node::Exponent(..)]), "{}", list.nodes.len());
}

#[test]
fn what_mixes_channels_goes_through_one_grid_that_a_finer_one_betters() {
    for (text, limit) in [
        ("taper-balance mired=-60 duv=0.004 | output-transform rendering=plain", 0.005),
        ("exposure stops=0.5 | shoulder strength=0.5 | saturation factor=0.9 | output-transform rendering=plain", 0.01),
        // The rendering bends hardest where colours meet the display's gamut, as these do.
        ("exposure stops=1 | output-transform", 0.08),
        ("exposure stops=0.5 | contrast slope=1.2 | output-transform | soft-clip high=0.8", 0.08),
    ] {
        let candidate = candidate(text);
        let (([coarse, _], _), ([fine, _], list)) = (apart(&candidate, 17), apart(&candidate, 33));
        let grids = list.nodes.iter().filter(|node| matches!(node, Node::Table(..))).count();
        println!("{text}: {coarse:.4} {fine:.4}");
        assert!(grids == 1 && fine < limit && fine < 0.8 * coarse, "{text}: {coarse} {fine} {grids}");
    }
}

/// Two pictures that are mixed: what they share stays nodes, the fork is a table.
#[test]
fn a_fork_is_a_table_and_a_neutral_mix_is_nothing() {
    let mixed = |share: &str| {
        let text =
            format!("exposure stops=0.5 | cdl slope=1.2,1,0.9 | mix share={share} | output-transform rendering=plain");
        let mut document = chain::parse(&text).unwrap();
        let wiring = document.candidates.get_mut(chain::CANDIDATE).unwrap();
        // The picture before the list enters the mix beside it.
        let places: Vec<_> = wiring.graph().node_indices().collect();
        wiring.graph_mut().add_edge(places[0], places[2], graph::Input::Side);
        let encoding = Encoding::named("LogC3", Some(800)).unwrap();
        elaborate(wiring, &document.kit, &Original::Encoded(encoding), None, &Book::default()).unwrap()
    };
    let ([off, _], list) = apart(&mixed("0.5"), 33);
    assert!(has_grid(&list) && off < 0.005, "{off}");
    let ([_, off], list) = apart(&mixed("0"), 33);
    assert!(!has_grid(&list) && off < 5e-5, "{off}");
}
