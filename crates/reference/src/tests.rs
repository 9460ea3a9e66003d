//! What the proof must say by the textbook alone.

use graph::{Original, chain, elaborate};
use ops::Book;
use proptest::prelude::*;

use crate::Proof;

fn proof(text: &str, original: &Original) -> Proof {
    let document = chain::parse(text).unwrap();
    let wiring = &document.candidates[chain::CANDIDATE];
    Proof::new(&elaborate(wiring, &document.kit, original, None, &Book::default()).unwrap())
}

fn rows(text: &str) -> Proof {
    proof(text, &Original::SceneRows)
}

#[test]
fn one_stop_doubles_the_light() {
    // Common practice, no source. Powers of two are exact in binary, so not a bit may differ.
    for (stops, gain) in [(1.0, 2.0), (-1.0, 0.5), (3.0, 8.0), (0.0, 1.0)] {
        let light = rows(&format!("exposure stops={stops}"));
        for value in [0.18, -0.02, 0.0, 1e6, 1e-30] {
            assert_eq!(light.pixel([value, 2.0 * value, 1.0]), [value * gain, 2.0 * value * gain, gain]);
        }
    }
    let third = rows("exposure stops=0.3333333333333333").pixel([0.18; 3])[0];
    assert!((third / 0.18 - 2f64.cbrt()).abs() < 1e-15, "{third}");
}

#[test]
fn a_stop_in_the_log_domain_code_is_a_57th_of_signal() {
    // Academy S-2016-001: code = (log2 x + 9.72) / 17.52, so a stop of light is 1 / 17.52 of ACEScct.
    let code = rows("encode encoding=ACEScct");
    let brighter = rows("exposure stops=1 | encode encoding=ACEScct");
    for light in [0.01, 0.18, 4.0] {
        let stop = brighter.pixel([light; 3])[1] - code.pixel([light; 3])[1];
        assert!((stop - 1.0 / 17.52).abs() < 1e-14, "{stop}");
    }
}

#[test]
fn a_neutral_scope_returns_its_input_to_the_bit() {
    let original = Original::Encoded(colour::Encoding::named("N-Log", None).unwrap());
    let scopes = "exposure | white-balance domain=log | white-balance from=A degree=0 domain=camera-linear";
    // 452 / 1023 is where N-Log's decoder steps down: an evaluated scope would not bring it back.
    for code in [452.0 / 1023.0, 0.4415, 0.1, -0.3, 1.7] {
        assert_eq!(proof(scopes, &original).pixel([code, 0.5, 0.7]), [code, 0.5, 0.7]);
    }
}

#[test]
fn a_bypassed_place_is_no_place() {
    let with = rows("exposure stops=1 bypass=true | white-balance from=A | exposure stops=3 domain=log bypass=true");
    assert_eq!(with.pixel([0.1, 0.2, 0.3]), rows("white-balance from=A").pixel([0.1, 0.2, 0.3]));
}

proptest! {
    #[test]
    fn a_finished_picture_read_and_made_again_is_the_picture(code in proptest::array::uniform3(-0.5f64..2.0)) {
        for display in ["BT.1886", "sRGB", "Gamma2.2", "P3-D65", "BT.2020", "PQ"] {
            let again = proof(&format!("input-transform encoding={display} \
                | output-transform display={display} rendering=plain"), &Original::Unknown);
            for (found, wanted) in again.pixel(code).into_iter().zip(code) {
                // design.md asks for 1e-6. Near code 0 a rounding of 1e-16 of light, which channels share through the
                // matrices, is 1e-16^(1/2.6) = 7e-7 of code.
                prop_assert!((found - wanted).abs() < 1e-6, "{display}: {found} for {wanted}");
            }
        }
    }

    #[test]
    fn exposures_add(a in -8.0f64..8.0, b in -8.0f64..8.0, light in proptest::array::uniform3(-2.0f64..50.0)) {
        let one = rows(&format!("exposure stops={a} | exposure stops={b}")).pixel(light);
        let sum = rows(&format!("exposure stops={}", a + b)).pixel(light);
        for (one, sum) in one.into_iter().zip(sum) {
            // Three roundings of a product and of two powers.
            prop_assert!((one - sum).abs() <= 4e-15 * sum.abs(), "{one} {sum}");
        }
    }

    #[test]
    fn white_balance_is_undone_by_its_inverse(
        kelvin in 2500.0f64..10_000.0, duv in -0.01f64..0.01, light in proptest::array::uniform3(-0.2f64..4.0)
    ) {
        for method in ["Bradford", "CAT02", "CAT16", "von-Kries", "XYZ-scaling"] {
            let (from, to) = (format!("{kelvin}K{duv:+}duv"), "FL2");
            let there_and_back = rows(&format!(
                "white-balance from={from} to={to} method={method} | white-balance from={to} to={from} method={method}"
            ));
            for (found, wanted) in there_and_back.pixel(light).into_iter().zip(light) {
                // Ten products of three terms, entries below 10.
                prop_assert!((found - wanted).abs() < 1e-12, "{method}: {found} for {wanted}");
            }
        }
    }
}
