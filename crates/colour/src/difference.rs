//! Colour difference: CIELAB, CIEDE2000 and Delta E ITP.

use crate::{Xy, uniform};

/// CIELAB (L*, a*, b*) of tristimulus values against a white at Y = 1.
///
/// # Source
/// CIE 15:2018, 8.2.1 (ISO/CIE 11664-4).
pub fn cielab(xyz: [f64; 3], white: Xy) -> [f64; 3] {
    let white = white.to_xyz();
    let f = |i: usize| lab_curve(xyz[i] / white[i]);
    let (fx, fy, fz) = (f(0), f(1), f(2));
    [116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)]
}

/// The cube root, straight below (24/116)^3 and so defined for every number.
fn lab_curve(t: f64) -> f64 {
    const KNEE: f64 = 24.0 / 116.0;
    if t > KNEE * KNEE * KNEE { t.cbrt() } else { 841.0 / 108.0 * t + 16.0 / 116.0 }
}

/// CIEDE2000 between two CIELAB colours, all parametric factors 1.
///
/// # Source
/// ISO/CIE 11664-6:2014; Sharma, Wu and Dalal, Color Res. Appl. 30(1), 2005, for the branches.
pub fn ciede2000(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (first, second) = primed(a, b);
    let lightness = second.l - first.l;
    let chroma = second.c - first.c;
    let turn = hue_turn(&first, &second);
    let hue = 2.0 * (first.c * second.c).sqrt() * (turn / 2.0).to_radians().sin();

    let (l, c, h) = (0.5 * (first.l + second.l), 0.5 * (first.c + second.c), mean_hue(&first, &second));
    let weights = Weights::at(l, c, h);
    let (dl, dc, dh) = (lightness / weights.l, chroma / weights.c, hue / weights.h);
    let square = dl * dl + dc * dc + dh * dh + weights.rotation * dc * dh;
    // Rounding can leave a square just below 0; a NaN stays one.
    if square < 0.0 { 0.0 } else { square.sqrt() }
}

/// A colour with the chroma-stretched a' of CIEDE2000. Hue in degrees, 0..360.
struct Primed {
    l: f64,
    c: f64,
    h: f64,
}

fn primed(a: [f64; 3], b: [f64; 3]) -> (Primed, Primed) {
    let mean_chroma = 0.5 * (a[1].hypot(a[2]) + b[1].hypot(b[2]));
    let stretch = 1.0 + 0.5 * (1.0 - seventh_power_share(mean_chroma));
    let prime = |lab: [f64; 3]| {
        let a = lab[1] * stretch;
        let h = if a == 0.0 && lab[2] == 0.0 { 0.0 } else { lab[2].atan2(a).to_degrees().rem_euclid(360.0) };
        Primed { l: lab[0], c: a.hypot(lab[2]), h }
    };
    (prime(a), prime(b))
}

/// sqrt(c^7 / (c^7 + 25^7)).
fn seventh_power_share(c: f64) -> f64 {
    // As a quotient, so that a huge chroma cannot overflow.
    (1.0 / (1.0 + (25.0 / c.max(1e-30)).powi(7))).sqrt()
}

/// The signed hue difference in degrees, the short way round.
fn hue_turn(a: &Primed, b: &Primed) -> f64 {
    let turn = b.h - a.h;
    if a.c * b.c == 0.0 {
        0.0
    } else if turn > 180.0 {
        turn - 360.0
    } else if turn < -180.0 {
        turn + 360.0
    } else {
        turn
    }
}

fn mean_hue(a: &Primed, b: &Primed) -> f64 {
    let sum = a.h + b.h;
    if a.c * b.c == 0.0 {
        sum
    } else if (a.h - b.h).abs() <= 180.0 {
        0.5 * sum
    } else if sum < 360.0 {
        0.5 * (sum + 360.0)
    } else {
        0.5 * (sum - 360.0)
    }
}

struct Weights {
    l: f64,
    c: f64,
    h: f64,
    rotation: f64,
}

impl Weights {
    fn at(l: f64, c: f64, h: f64) -> Weights {
        let cos = |degrees: f64| degrees.to_radians().cos();
        let t =
            1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0) - 0.20 * cos(4.0 * h - 63.0);
        let from_50 = (l - 50.0) * (l - 50.0);
        let blue = 30.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
        Weights {
            l: 1.0 + 0.015 * from_50 / (20.0 + from_50).sqrt(),
            c: 1.0 + 0.045 * c,
            h: 1.0 + 0.015 * c * t,
            rotation: -2.0 * seventh_power_share(c) * (2.0 * blue).to_radians().sin(),
        }
    }
}

/// Delta E ITP between two ICtCp (PQ) colours: 1 is just visible to the best adapted eye.
///
/// # Source
/// Rec. ITU-R BT.2124-0: 720 sqrt(dI^2 + (0.5 dCt)^2 + dCp^2).
pub fn delta_e_itp(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (i, t, p) = (a[0] - b[0], 0.5 * (a[1] - b[1]), a[2] - b[2]);
    720.0 * (i * i + t * t + p * p).sqrt()
}

/// Delta E ITP between two colours in linear BT.2020 RGB in nits.
pub fn delta_e_itp_from_nits(a: [f64; 3], b: [f64; 3]) -> f64 {
    delta_e_itp(uniform::ictcp_from_nits(a), uniform::ictcp_from_nits(b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primaries::D65;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn differences_are_symmetric_and_zero_on_themselves(
            a in prop::array::uniform3(-100.0f64..100.0), b in prop::array::uniform3(-100.0f64..100.0),
        ) {
            let a = [a[0].abs(), a[1], a[2]];
            let b = [b[0].abs(), b[1], b[2]];
            prop_assert_eq!(ciede2000(a, a), 0.0);
            // Rounding of a few hundred ulp; opposite hues sit on a branch, but chance does not hit it.
            prop_assert!((ciede2000(a, b) - ciede2000(b, a)).abs() < 1e-9);
            prop_assert!(ciede2000(a, b).is_finite());
        }
    }

    #[test]
    fn lab_of_white_and_black() {
        assert_eq!(cielab(D65.to_xyz(), D65), [100.0, 0.0, 0.0]);
        assert_eq!(cielab([0.0; 3], D65)[0], 0.0);
        assert!(ciede2000([f64::NAN, 0.0, 0.0], [0.0; 3]).is_nan());
    }
}
