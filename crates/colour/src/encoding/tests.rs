//! Lookups, encoding files and their errors.

use super::*;
use crate::transfer::{Form, published};
use crate::{Matrix, Xy};

const EXAMPLE: &str = r#"
name = "Own-Log"
primaries = "BT.2020"
[log]
base = 10.0
log_side_slope = 0.25
log_side_offset = 0.4
lin_side_slope = 5.5
lin_side_offset = 0.05
lin_side_break = 0.01
"#;

fn message(text: &str) -> String {
    Encoding::from_toml(text, "own.toml").unwrap_err().to_string()
}

#[test]
fn every_id_is_found_however_it_is_written() {
    for id in Encoding::ids() {
        let squeezed: String = id.to_lowercase().replace(['-', '.'], " ");
        assert_eq!(Encoding::named(&squeezed, None).unwrap().name, *id);
        assert!(Encoding::named(id, None).unwrap().is(&squeezed));
    }
}

#[test]
fn exposure_index_belongs_to_log_c3() {
    for (ei, _) in published::LOG_C3 {
        assert_eq!(Encoding::named("LogC3", Some(ei)).unwrap().exposure_index, Some(ei));
    }
    assert_eq!(Encoding::named("logc3", None).unwrap().exposure_index, Some(800));
    let wrong = Encoding::named("LogC3", Some(801)).unwrap_err().to_string();
    assert!(wrong.contains("160, 200") && wrong.contains("1600"), "{wrong}");
    let none = Encoding::named("LogC4", Some(800)).unwrap_err().to_string();
    assert!(none.contains("LogC4") && none.contains("leave"), "{none}");
}

#[test]
fn an_unknown_name_lists_the_near_ones() {
    let error = Encoding::named("Slog4", None).unwrap_err().to_string();
    assert!(error.contains("S-Log3"), "{error}");
}

#[test]
fn aces_needs_no_matrix_and_white_stays_white() {
    assert_eq!(Encoding::named("ACEScct", None).unwrap().aces_from_rgb(), Matrix::IDENTITY);
    for id in Encoding::ids() {
        let white = Encoding::named(id, None).unwrap().aces_from_rgb().apply([1.0; 3]);
        assert!(white.iter().all(|v| (v - 1.0).abs() < 1e-12), "{id}: {white:?}"); // two inverses of condition ~10
    }
}

#[test]
fn an_encoding_file_is_read() {
    let own = Encoding::from_toml(EXAMPLE, "own.toml").unwrap();
    assert_eq!((own.name.as_str(), own.reference, own.adaptation), ("Own-Log", Reference::Scene, Adaptation::Cat02));
    let code = own.transfer.encode(Form::Published, 0.18);
    assert!((code - (0.4 + 0.25 * (5.5f64 * 0.18 + 0.05).log10())).abs() < 1e-15);
    // Continuous and smooth at the break, so nothing is lost there.
    assert_eq!((own.transfer.gap_in_linear(), own.transfer.overlap_in_code()), (0.0, 0.0));
    let below = own.transfer.encode(Form::Published, 0.01 - 1e-9);
    let above = own.transfer.encode(Form::Published, 0.01 + 1e-9);
    // 0.25 x 5.5 / (0.105 ln 10) = 5.687 of code per light on both sides.
    assert!(((above - below) / 2e-9 - 5.6871).abs() < 1e-3);
}

#[test]
fn a_table_file_is_read() {
    let text = r#"
name = "Own-Table"
primaries = { red = [0.64, 0.33], green = [0.3, 0.6], blue = [0.15, 0.06], white = [0.3127, 0.329] }
adaptation = "bradford"
reference = "display"
[table]
codes = [0.0, 0.5, 1.0]
linear = [0.0, 0.2, 1.0]
"#;
    let own = Encoding::from_toml(text, "own.toml").unwrap();
    assert_eq!((own.reference, own.adaptation), (Reference::Display, Adaptation::Bradford));
    assert!((own.transfer.decode(Form::Exact, 0.25) - 0.1).abs() < 1e-15);
    assert!((own.transfer.decode(Form::Exact, 1.5) - 1.8).abs() < 1e-15);
    assert!((own.transfer.decode(Form::Exact, -0.5) + 0.2).abs() < 1e-15);
    assert_eq!(own.primaries.red, Xy::new(0.64, 0.33));
}

#[test]
fn errors_name_file_field_and_remedy() {
    for (change, to, wants) in [
        ("name", "nmae", "nmae"),
        ("\"BT.2020\"", "\"BT.202\"", "near names: BT.2020"),
        ("\"BT.2020\"", "7", "name of primaries"),
        ("[log]", "adaptation = \"cat\"\n[log]", "Bradford"),
        ("[log]", "reference = \"stage\"\n[log]", "\"scene\""),
        ("lin_side_break = 0.01", "lin_side_break = -0.01", "log.lin_side_break"),
        ("log_side_slope = 0.25", "log_side_slope = -0.25", "does not rise"),
        ("base = 10.0", "base = 1.0", "log.base"),
        ("lin_side_break = 0.01", "", "lin_side_break"),
        ("lin_side_break = 0.01", "lin_side_break = 0.01\n[table]\ncodes=[0,1]\nlinear=[0,1]", "only one"),
        ("lin_side_break = 0.01", "lin_side_break = 0.01\nknee = 3", "knee"),
        ("\"Own-Log\"", "\"\"", "empty"),
    ] {
        let error = message(&EXAMPLE.replace(change, to));
        assert!(error.starts_with("own.toml") && error.contains(wants), "{to}: {error}");
    }
    let falling = "name='a'\nprimaries='BT.709'\n[table]\ncodes=[0.0,1.0]\nlinear=[1.0,0.0]";
    assert!(message(falling).contains("'linear' does not rise"));
}
