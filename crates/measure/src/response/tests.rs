use super::*;
use colour::Encoding;
use ops::{Display, Signal};

fn camera(name: &str) -> Tap {
    Tap::new(Signal::code(&Encoding::named(name, None).unwrap()))
}

fn light() -> Tap {
    Tap::new(Signal::scene())
}

#[test]
fn nothing_done_is_a_slope_of_one_and_no_gap() {
    let displays =
        Display::ALL.map(|display| Tap::new(display.signal(display.usual_peak_nits(ops::Rendering::Plain), 0.0)));
    for tap in [camera("LogC3"), camera("S-Log3"), light()].into_iter().chain(displays) {
        let nothing = Candidate::new(tap.clone(), tap.clone(), |rgb| rgb);
        let ramp = over_stops(&nothing, -8.0, 0.0, 97);
        for (grey, slopes) in ramp.iter().zip(slopes(&ramp)) {
            assert_eq!((grey.gap(), grey.gap_in_stops()), ([0.0; 2], [Some(0.0); 2]), "{}", tap.signal());
            // Curves and their inverses: some are made of constants with eight digits.
            assert!(slopes.iter().all(|slope| (slope.unwrap() - 1.0).abs() < 1e-5), "{}: {slopes:?}", tap.signal());
        }
        assert!((ramp[96].light[0] - stops_of(&tap).0).abs() < 1e-6);
    }
}

#[test]
fn a_gain_of_light_is_a_gap_in_stops_and_an_offset_of_light_is_one_of_numbers() {
    let gain = Candidate::new(light(), light(), |[r, g, b]| [2.0 * r, g, 0.5 * b]);
    for grey in over_stops(&gain, -8.0, 6.0, 29) {
        let [red, blue] = grey.gap_in_stops().map(Option::unwrap);
        assert!((red - 1.0).abs() < 1e-12 && (blue + 1.0).abs() < 1e-12);
    }
    let offset = Candidate::new(light(), light(), |[r, g, b]| [r + 0.01, g, b - 0.01]);
    let ramp = over_stops(&offset, -8.0, 6.0, 29);
    for grey in &ramp {
        let [red, blue] = grey.gap();
        assert!((red - 0.01).abs() < 1e-12 && (blue + 0.01).abs() < 1e-12);
    }
    // Eight stops under mid grey there is less light than was taken off.
    assert_eq!(ramp[0].gap_in_stops()[1], None);
    assert_eq!(slopes(&ramp)[0][2], None);
}

#[test]
fn a_power_of_light_is_a_slope() {
    let power = Candidate::new(light(), light(), |rgb| rgb.map(|v: f64| v.max(0.0).powf(1.4)));
    let ramp = over_stops(&power, -8.0, 6.0, 15);
    assert_eq!((ramp.len(), ramp[8].level), (15, 0.0));
    assert!((ramp[8].light[0] - 0.18f64.powf(1.4)).abs() < 1e-12);
    for slope in slopes(&ramp).into_iter().flatten() {
        assert!((slope.unwrap() - 1.4).abs() < 1e-12);
    }
    // What is clipped has no slope.
    let clipped = Candidate::new(light(), light(), |rgb| rgb.map(|v: f64| v.min(1.0)));
    assert_eq!(slopes(&over_stops(&clipped, 3.0, 6.0, 7))[3], [Some(0.0); 3]);
}

#[test]
fn the_ramp_of_signal_goes_from_black_to_white() {
    let half = Candidate::new(camera("LogC3"), camera("LogC3"), |rgb| rgb.map(|v| 0.5 * v));
    let ramp = over_signal(&half, 11);
    assert_eq!((ramp[0].level, ramp[10].level, ramp[10].out), (0.0, 1.0, [0.5; 3]));
    assert!(over_signal(&half, 0).len() == 2 && slopes(&[]).is_empty());
}

/// Source: Rec. ITU-R BT.709-6, item 1.3, primaries and white; CIE 15:2018, 8.1: u' = 4x / (3 - 2x + 12y), v' = 9y / (3 - 2x + 12y).
#[test]
fn colours_of_a_pattern_lie_where_bt_709_has_them() {
    let published = [
        ([0.75, 0.0, 0.0], 0.64, 0.33),
        ([0.0, 0.75, 0.0], 0.30, 0.60),
        ([0.0, 0.0, 0.75], 0.15, 0.06),
        ([0.5, 0.5, 0.5], 0.3127, 0.3290),
    ];
    for tap in [camera("LogC3"), camera("S-Log3"), light(), Tap::new(Display::Pq.signal(1000.0, 0.0))] {
        let nothing = Candidate::new(tap.clone(), tap.clone(), |rgb| rgb);
        for (pattern, x, y) in published {
            let sum = 3.0 - 2.0 * x + 12.0 * y;
            let Hue { from, to, .. } = hue(&nothing, pattern);
            for got in [from, to] {
                let [u, v] = got.unwrap();
                // Matrices of doubles; PQ's curve turns 1e-12 of code into 1e-9 of light.
                assert!(
                    (u - 4.0 * x / sum).abs() < 1e-6 && (v - 9.0 * y / sum).abs() < 1e-6,
                    "{}: {u} {v}",
                    tap.signal()
                );
            }
        }
        assert_eq!(hue(&nothing, [0.0; 3]).from, None);
    }
    // On a BT.1886 display the numbers are the pattern's own.
    let display = Tap::new(Display::Bt1886.signal(100.0, 0.0));
    let out = hue(&Candidate::new(display.clone(), display, |rgb| rgb), [0.75, 0.375, 0.1]).out;
    assert!(out.iter().zip([0.75, 0.375, 0.1]).all(|(got, want)| (got - want).abs() < 1e-12));
}

/// Source: Rec. ITU-R BT.1886: light is code to the power of 2.4. ARRI, ALEXA Log C Curve, 2012: the code of that light.
#[test]
fn white_of_the_bars_is_held_as_its_light() {
    let display = Tap::new(Display::Bt1886.signal(100.0, 0.0));
    let camera = Tap::new(Signal::code(&Encoding::named("LogC3", Some(800)).unwrap()));
    let light = 0.75f64.powf(2.4);
    let code = 0.247_190 * (5.555_556 * light + 0.052_272).log10() + 0.385_537;
    for (tap, want) in [(display, 0.75), (camera, code)] {
        for got in held(&tap, [0.75; 3]) {
            // The paper's constants have six digits.
            assert!((got - want).abs() < 2e-6, "{got} {want}");
        }
    }
}
