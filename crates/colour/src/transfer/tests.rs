//! What holds for every transfer. Published figures are checked in `tests/tables.rs`.

use super::*;
use crate::Encoding;
use proptest::prelude::*;

/// Every transfer that an encoding uses, and those with parameters at several settings.
fn all() -> Vec<(String, Transfer)> {
    let mut all: Vec<(String, Transfer)> =
        Encoding::ids().iter().map(|id| ((*id).to_owned(), Encoding::named(id, None).unwrap().transfer)).collect();
    for (ei, _) in published::LOG_C3 {
        all.push((format!("LogC3 EI {ei}"), Transfer::Log(published::log_c3(ei).unwrap())));
    }
    for black_nits in [0.0, 0.005, 0.1] {
        all.push((format!("BT.1886 black {black_nits}"), Transfer::Bt1886 { peak_nits: 100.0, black_nits }));
    }
    let table = TableCurve::new(vec![0.0, 0.25, 1.0], vec![-0.01, 0.1, 8.0]).unwrap();
    all.push(("table".to_owned(), Transfer::Table(Arc::new(table))));
    all
}

/// Codes around 0..1, dense, and far out; light likewise.
fn real_line() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -0.2f64..1.3,
        2 => -0.001f64..0.05,
        2 => -2.0f64..60.0,
        1 => -1e6f64..1e6,
        1 => prop_oneof![Just(0.0), Just(1.0), Just(1e-12), Just(-1e-12), Just(65504.0), Just(-65504.0)],
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn exact_light_survives_encode_and_decode(x in real_line()) {
        for (name, t) in all() {
            let back = t.decode(Form::Exact, t.encode(Form::Exact, x));
            // An ulp of code near 1 is 2e-16, and light moves up to 45 times its own size for a code of 1; code
            // offsets (64/1023 and the like) cancel next to black. Far out, codes of 1e6 and more lose more digits.
            let tolerance = 1e-11 * x.abs().max(1e-2) + 1e-9 * (x.abs() - 1e3).max(0.0) + t.gap_in_linear();
            prop_assert!((back - x).abs() <= tolerance, "{name}: {x} came back as {back}");
        }
    }

    #[test]
    fn exact_code_survives_decode_and_encode(code in -0.5f64..1.5) {
        for (name, t) in all() {
            let back = t.encode(Form::Exact, t.decode(Form::Exact, code));
            // As above; power laws are steep at 0, where a rounding of the light moves the code by its root:
            // 2.6th root of 1e-32 is below 1e-12.
            let tolerance = 1e-11 + t.overlap_in_code();
            prop_assert!((back - code).abs() <= tolerance, "{name}: {code} came back as {back}");
        }
    }

    #[test]
    fn exact_encoders_are_monotone(a in real_line(), b in real_line(), near in -1e-6f64..1e-6) {
        for (name, t) in all() {
            for (low, high) in [(a.min(b), a.max(b)), (a.min(a + near), a.max(a + near))] {
                let (c, d) = (t.encode(Form::Exact, low), t.encode(Form::Exact, high));
                // An ulp either way is rounding, not order.
                prop_assert!(c <= d + 4.0 * f64::EPSILON * c.abs().max(1.0), "{name}: {low} {high} gave {c} {d}");
            }
        }
    }

    #[test]
    fn every_form_is_finite(x in -1e6f64..1e6, form in prop_oneof![Just(Form::Published), Just(Form::Exact)]) {
        for (name, t) in all() {
            for v in [x, x * 1e-3, x * 1e-6, x * 1e-12] {
                prop_assert!(t.decode(form, v).is_finite(), "{name} decode {v}");
                prop_assert!(t.encode(form, v).is_finite(), "{name} encode {v}");
            }
        }
    }

    #[test]
    fn published_and_exact_agree_inside_the_range(x in 0.02f64..0.9) {
        for (name, t) in all() {
            let (p, e) = (t.encode(Form::Published, x), t.encode(Form::Exact, x));
            // D-Log prints a decoder of its own: 2e-6 of code. N-Log steps at its break: 1.4e-4 (log_breaks.tsv).
            let tolerance = match name.as_str() {
                "D-Log" => 1e-5,
                "N-Log" => 3e-4,
                _ => 1e-12 + 1e-3 * t.overlap_in_code().min(1e-6),
            };
            prop_assert!((p - e).abs() <= tolerance, "{name} at {x}: {p} {e}");
            prop_assert_eq!(t.decode(Form::Published, x * 0.9), t.decode(Form::Exact, x * 0.9), "{}", name);
        }
    }
}

#[test]
fn steps_are_reported_where_the_published_curves_have_them() {
    let of = |id: &str| Encoding::named(id, None).unwrap().transfer;
    // F-Log's decoder steps up by 1.16e-5 of light, N-Log's down by 2.9e-4 (log_breaks.tsv: worst round trips 1.2e-5
    // and 3.0e-4).
    assert!((of("F-Log").gap_in_linear() - 1.1555e-5).abs() < 1e-8);
    assert_eq!(of("F-Log").overlap_in_code(), 0.0);
    assert!(of("N-Log").overlap_in_code() > 1e-4 && of("N-Log").gap_in_linear() == 0.0);
    assert!(of("BT.709").overlap_in_code() > 1e-5);
    for smooth in ["LogC4", "S-Log3", "ACEScct", "ACEScc", "C-Log2", "HLG", "Printing-Density", "Gamma2.2", "ACEScg"] {
        assert_eq!((of(smooth).gap_in_linear(), of(smooth).overlap_in_code()), (0.0, 0.0), "{smooth}");
    }
}

#[test]
fn code_per_stop_is_the_slope_of_the_log_part() {
    for (name, t) in all() {
        let Some(slope) = t.code_per_stop() else { continue };
        // Far up, where the offsets inside the logarithm no longer matter (they are at most 64 / 2200).
        let measured = t.encode(Form::Exact, 2e6) - t.encode(Form::Exact, 1e6);
        assert!((measured - slope).abs() < 1e-6, "{name}: {measured} {slope}"); // offset / light is below 1e-7
    }
}

#[test]
fn published_clamps_are_kept() {
    let cc = Transfer::AcesCc;
    assert_eq!(cc.encode(Form::Published, -1.0), aces::CC_CODE_OF_ZERO);
    assert!(cc.encode(Form::Exact, -1.0) < aces::CC_CODE_OF_ZERO);
    assert_eq!(cc.decode(Form::Published, 2.0), 65504.0);
    assert!(cc.decode(Form::Exact, 2.0) > 65504.0);
    assert_eq!(Transfer::AppleLog.encode(Form::Published, -1.0), 0.0);
    assert_eq!(Transfer::AppleLog.decode(Form::Published, -1.0), apple_log::R0);
    let raised = Transfer::Bt1886 { peak_nits: 100.0, black_nits: 0.1 };
    // Luminance never falls below 0: x = (0 - 0.1) / 99.9.
    assert!((raised.decode(Form::Published, -1.0) + 0.1 / 99.9).abs() < 1e-15);
}

#[test]
fn light_stops_at_its_limit() {
    for (name, t) in all() {
        for code in [65504.0, 1e6, -65504.0] {
            let light = t.decode(Form::Exact, code);
            assert!(light.abs() <= LARGEST_LIGHT, "{name}: {light}");
        }
    }
}

#[test]
fn derived_constants_are_what_they_say() {
    assert!((hlg::C - (0.5 - hlg::A * (4.0 * hlg::A).ln())).abs() < 1e-15);
    let black = 10f64.powf((density::BLACK_CODE - density::WHITE_CODE) / density::CODES_PER_DECADE);
    assert!((density::BLACK - black).abs() < 1e-15);
    assert!((n_log::JOINT.above - (-167.0f64 / 150.0).exp()).abs() < 1e-15);
    // Slopes of the tangents against a central difference (right to about 1e-8 of the slope).
    let h = 1e-6;
    let slope = |t: Transfer, code: f64| (t.decode(Form::Exact, code) - t.decode(Form::Exact, code - h)) / h;
    let pq = slope(Transfer::Pq, pq::TANGENT_CODE);
    assert!((pq / pq::tangent_slope() - 1.0).abs() < 1e-4, "{pq}");
    let density = 1.0 / slope(Transfer::Density, density::tangent_code() + h);
    assert!((density / density::tangent_slope() - 1.0).abs() < 1e-4, "{density}");
    let cc = slope(Transfer::AcesCc, aces::CC_CODE_OF_ZERO + h);
    assert!((cc / aces::CC_TANGENT - 1.0).abs() < 1e-4, "{cc}");
}

#[test]
fn unsound_tables_are_refused() {
    let table = |c: &[f64], l: &[f64]| TableCurve::new(c.to_vec(), l.to_vec());
    assert!(matches!(table(&[0.0, 1.0], &[0.0]), Err(TableError::Lengths { .. })));
    assert!(matches!(table(&[0.0], &[0.0]), Err(TableError::Rows(1))));
    assert!(matches!(table(&[0.0, 0.0], &[0.0, 1.0]), Err(TableError::NotRising { column: "codes", row: 2 })));
    assert!(matches!(table(&[0.0, 1.0], &[0.0, f64::NAN]), Err(TableError::NotRising { column: "linear", row: 2 })));
    assert!(matches!(table(&[f64::NAN, 1.0], &[0.0, 1.0]), Err(TableError::NotRising { .. })));
}
