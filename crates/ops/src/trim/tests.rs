use super::*;
use crate::{Op, Settings as _, settings};

settings! {
    /// One setting of every kind.
    pub struct Bench {
        /// Linear.
        stops: f64 = 0.5, Scale, Stops, hard (-2.0, 2.0);
        /// Multiplies.
        gain: f64 = 2.0, Scale, Factor, hard (0.0, 16.0);
        /// Three of them.
        slope: [f64; 3] = [1.0, 2.0, 4.0], Scale, Factor, hard (0.0, 16.0);
        /// Three that add.
        offset: [f64; 3] = [0.0; 3], Scale, Code, hard (-1.0, 1.0);
        /// A white.
        from: White = White::Kelvin { kelvin: 4000.0, duv: 0.001 }, White, None;
        /// May be left.
        peak: Option<f64> = None, Scale, Nits, hard (1.0, 10000.0);
        /// A choice.
        clamp: bool = false, Choice, None;
    }
}

fn trimmed(key: &str, trims: &[&str]) -> Result<String, String> {
    let mut bench = Bench::default();
    bench.add_trims(key, trims).map_err(|error| error.to_string())?;
    Ok(bench.get(key).unwrap())
}

fn between(key: &str, marks: [&str; 2], share: f64) -> String {
    let mut bench = Bench::default();
    bench.set_between(key, marks, share).unwrap();
    bench.get(key).unwrap()
}

#[test]
fn trims_add_in_their_unit_and_factors_multiply() {
    assert_eq!(trimmed("stops", &["+0.25", "-1"]), Ok("-0.25".to_string()));
    assert_eq!(trimmed("gain", &["1.5", "2"]), Ok("6".to_string()));
    assert_eq!(trimmed("slope", &["2", "1,1,0.5"]), Ok("2,4,4".to_string()));
    assert_eq!(trimmed("offset", &["0.25,0,-0.5"]), Ok("0.25,0,-0.5".to_string()));
    // 4000 K is 250 mired: 250 + 150 - 20 = 380 mired, 2631.58 K; Duv .001 + .002.
    let white: White = trimmed("from", &["+150m", "-20m+.002d"]).unwrap().parse().unwrap();
    let White::Kelvin { kelvin, duv } = white else { panic!("{white}") };
    assert!((kelvin - 1e6 / 380.0).abs() < 1e-9 && (duv - 0.003).abs() < 1e-15, "{white}");
}

#[test]
fn a_named_white_is_trimmed_from_its_own_temperature() {
    let mut op = Op::named("white-balance").unwrap();
    op.set("from", "A").unwrap();
    op.add_trims("from", &["+10m"]).unwrap();
    let white: White = op.get("from").unwrap().parse().unwrap();
    // CIE 15:2018: illuminant A is a Planckian radiator at 2856 K with c2 = 1.4388e-2, rounded to five places.
    let (kelvin, duv) = white.cct_duv().unwrap();
    assert!((1e6 / kelvin - (1e6 / 2855.5 + 10.0)).abs() < 0.1 && duv.abs() < 1e-4, "{kelvin} {duv}");
}

#[test]
fn what_changes_nothing_leaves_the_setting_bit_for_bit() {
    for (key, trims) in [("stops", vec!["0"]), ("gain", vec!["1"]), ("from", vec!["+3m", "-3m"]), ("peak", vec!["0"])] {
        assert_eq!(trimmed(key, &trims), Ok(Bench::default().get(key).unwrap()), "{key}");
        assert_eq!(Bench::default().sum_of_trims(key, &trims), Ok(None));
    }
}

#[test]
fn refusals_say_what_is_wrong() {
    for (key, trims, wanted) in [
        ("stops", vec!["1", "1"], "stops=2.5 is outside -2 to 2"),
        ("stops", vec!["+12m"], "trim +12m of stops: a number is wanted"),
        ("slope", vec!["1,2"], "three numbers are wanted"),
        ("slope", vec!["1,1,5"], "slope=20 is outside 0 to 16"),
        ("from", vec!["12"], "+12m, -.002d, +12m-.002d"),
        ("from", vec!["+1m+2m"], "mired, Duv or both"),
        ("from", vec![""], "mired, Duv or both"),
        ("from", vec!["-251m"], "trim -251m of from"),
        ("from", vec!["+.06d"], "0.05"),
        ("peak", vec!["1"], "left to its default"),
        ("clamp", vec!["true"], "takes no trim"),
        ("nothing", vec!["1"], "there is no setting 'nothing'"),
    ] {
        let error = trimmed(key, &trims).expect_err(wanted);
        assert!(error.contains(wanted), "{key} {trims:?}: {error}");
    }
}

#[test]
fn joined_trims_are_read_again_and_stay_tidy() {
    let bench = Bench::default();
    let mut text = "0".to_string();
    for _ in 0..30 {
        text = bench.sum_of_trims("stops", &[&text, "+0.1"]).unwrap().unwrap().print();
    }
    assert_eq!(text, "3");
    for (key, trims, sum) in [
        ("from", ["+12m", "-.002d"], "+12m-0.002d"),
        ("from", ["1e1 mired", "+2m +1e-3duv"], "+12m+0.001d"),
        ("from", ["+1m", "-1m+.001d"], "+0.001d"),
        ("slope", ["2", "1.1"], "2.2"),
        ("slope", ["1,2,3", "0.5"], "0.5,1,1.5"),
        ("offset", ["0.1", "0.2,0,0"], "0.3,0.1,0.1"),
    ] {
        let joined = bench.sum_of_trims(key, &trims).unwrap().unwrap();
        assert_eq!(joined.print(), sum, "{key}");
        assert_eq!(bench.sum_of_trims(key, &[sum]), Ok(Some(joined)), "{key}");
    }
}

#[test]
fn between_marks_each_unit_goes_its_own_way() {
    assert_eq!(between("stops", ["-1", "1"], 0.25), "-0.5");
    // The geometric mean of 1 and 4; linear where a logarithm has no value.
    assert_eq!(between("gain", ["1", "4"], 0.5), "2");
    assert_eq!(between("gain", ["0", "4"], 0.5), "2");
    assert_eq!(between("slope", ["1,1,1", "4,1,9"], 0.5), "2,1,3");
    assert_eq!(between("offset", ["0", "0.5,1,-1"], 0.5), "0.25,0.5,-0.5");
    assert_eq!(between("clamp", ["true", "false"], 0.99), "true");
    assert_eq!(between("peak", ["100", ""], 0.5), "100");
    assert_eq!(between("peak", ["100", "200"], 0.5), "150");
    // 2000 K and 5000 K are 500 and 200 mired; their middle is 350 mired, 2857.14 K.
    let white: White = between("from", ["2000K", "5000K+.002duv"], 0.5).parse().unwrap();
    let White::Kelvin { kelvin, duv } = white else { panic!("{white}") };
    assert!((kelvin - 1e6 / 350.0).abs() < 1e-9 && (duv - 0.001).abs() < 1e-15);
}

#[test]
fn between_chromaticities_the_way_is_straight_in_u_v() {
    let (d65, d50) = (White::named("D65").unwrap(), White::named("D50").unwrap());
    let middle: White = between("from", ["D65", "D50"], 0.5).parse().unwrap();
    // u = 4x / (-2x + 12y + 3), v = 6y / (-2x + 12y + 3) (CIE 1960 UCS), by hand.
    let uv = |white: &White| {
        let Xy { x, y } = white.xy().unwrap();
        [4.0 * x / (-2.0 * x + 12.0 * y + 3.0), 6.0 * y / (-2.0 * x + 12.0 * y + 3.0)]
    };
    for i in 0..2 {
        assert!((uv(&middle)[i] - f64::midpoint(uv(&d65)[i], uv(&d50)[i])).abs() < 1e-12);
    }
    assert_eq!(between("from", ["A", "A"], 0.5), "A");
}
