//! Correlated colour temperature and Duv by Ohno's method: a table of the locus, the nearest entry, a triangle of
//! two neighbours near the locus and a parabola through three away from it. The result is then refined on Planck's
//! law itself, because the table's 1 % steps alone are good to a few tenths of a kelvin at best.
//!
//! # Source
//! Y. Ohno, Practical use and calculation of CCT and Duv, LEUKOS 10:1, 2014.

use crate::Xy;
use crate::locus::{LocusError, LocusPoint, PLANCKIAN_KELVIN};
use std::sync::LazyLock;

/// Farther from the locus than this (in CIE 1960 u, v) a light has no useful colour temperature.
///
/// # Source
/// CIE 15:2018, 9.5: correlated colour temperature is not to be used beyond 0.05.
pub const LARGEST_DUV: f64 = 0.05;

/// Ratio of neighbouring temperatures in the table. Source: Ohno 2014 (1 %).
const TABLE_RATIO: f64 = 1.01;
/// Within this distance of the locus the triangle is better than the parabola. Source: Ohno 2014.
const TRIANGLE_WITHIN: f64 = 0.002;

struct Entry {
    kelvin: f64,
    uv: [f64; 2],
}

static TABLE: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let (low, high) = (*PLANCKIAN_KELVIN.start(), *PLANCKIAN_KELVIN.end());
    // One entry beyond each end, so that the nearest within the range has neighbours.
    let mut kelvin = low / TABLE_RATIO;
    let mut table = Vec::new();
    while kelvin < high * TABLE_RATIO * TABLE_RATIO {
        table.push(Entry { kelvin, uv: LocusPoint::at(kelvin).uv });
        kelvin *= TABLE_RATIO;
    }
    table
});

/// (kelvin, Duv) of a light: the nearest Planckian radiator in CIE 1960 (u, v) and the signed distance to it, plus
/// on the green side.
///
/// # Errors
/// Not a light, beyond 0.05 from the locus, or nearest to a temperature outside 1000 to 100000 K.
pub fn cct_duv(xy: Xy) -> Result<(f64, f64), LocusError> {
    if !xy.is_light() {
        return Err(LocusError::NoLight { x: xy.x, y: xy.y });
    }
    let uv = xy.to_uv1960();
    let (kelvin, point) = refine(uv, ohno(uv));
    let normal = point.normal();
    let duv = (uv[0] - point.uv[0]) * normal[0] + (uv[1] - point.uv[1]) * normal[1];
    if duv.abs() > LARGEST_DUV {
        return Err(LocusError::TooFar(duv));
    }
    // The ends of the range themselves come back a rounding step away.
    let slack = 1e-9 * kelvin;
    if kelvin < PLANCKIAN_KELVIN.start() - slack || kelvin > PLANCKIAN_KELVIN.end() + slack {
        return Err(LocusError::Planckian(kelvin));
    }
    Ok((kelvin, duv))
}

/// Ohno's combined solution from the table.
fn ohno(uv: [f64; 2]) -> f64 {
    let distance = |e: &Entry| (uv[0] - e.uv[0]).hypot(uv[1] - e.uv[1]);
    let table = &*TABLE;
    let nearest =
        (1..table.len() - 1).min_by(|&i, &j| distance(&table[i]).total_cmp(&distance(&table[j]))).unwrap_or(1);
    let entries = [&table[nearest - 1], &table[nearest], &table[nearest + 1]];
    let d = entries.map(distance);
    let t = entries.map(|e| e.kelvin);
    let (kelvin, duv) = triangle(entries, d);
    if duv < TRIANGLE_WITHIN { kelvin } else { parabola(t, d) }
}

/// The foot of the perpendicular on the chord between the outer two, and its length.
fn triangle(entries: [&Entry; 3], d: [f64; 3]) -> (f64, f64) {
    let [before, _, after] = entries;
    let chord = (after.uv[0] - before.uv[0]).hypot(after.uv[1] - before.uv[1]);
    let along = (d[0] * d[0] - d[2] * d[2] + chord * chord) / (2.0 * chord);
    let kelvin = before.kelvin + (after.kelvin - before.kelvin) * along / chord;
    (kelvin, (d[0] * d[0] - along * along).max(0.0).sqrt())
}

/// The lowest point of the parabola through three (temperature, distance) pairs; the middle one if they lie on a line.
fn parabola(t: [f64; 3], d: [f64; 3]) -> f64 {
    let slope = |i: usize, j: usize| (d[j] - d[i]) / (t[j] - t[i]);
    let curvature = (slope(1, 2) - slope(0, 1)) / (t[2] - t[0]);
    if curvature <= 0.0 {
        return t[1];
    }
    let lowest = 0.5 * (t[0] + t[1]) - slope(0, 1) / (2.0 * curvature);
    lowest.clamp(t[0], t[2])
}

/// Gauss-Newton on Planck's law: move by what the offset measures along the tangent until it is square to it.
/// Each step leaves the same share of the error (curvature x Duv), so the share that two steps show is summed to
/// its end at once (Aitken). Returns the temperature and the point at it.
fn refine(uv: [f64; 2], start: f64) -> (f64, LocusPoint) {
    let mut kelvin = start;
    let mut point = LocusPoint::at(kelvin);
    let mut before = f64::INFINITY;
    for _ in 0..8 {
        let [tu, tv] = point.tangent;
        let along = (uv[0] - point.uv[0]) * tu + (uv[1] - point.uv[1]) * tv;
        // A step beyond 2 % would leave the table's cell.
        let step = (along / (tu * tu + tv * tv)).clamp(-0.02 * kelvin, 0.02 * kelvin);
        let share = step / before;
        before = step;
        kelvin += if share.abs() < 0.5 { step / (1.0 - share) } else { step };
        // A step of 1e-7 moves the point by the square of that along the curve: Duv does not notice.
        if step.abs() < 1e-7 * kelvin {
            break;
        }
        point = LocusPoint::at(kelvin);
    }
    (kelvin, point)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::illuminant::Illuminant;
    use crate::locus::xy_from_cct_duv;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn cct_undoes_its_construction(mired in 40.0f64..550.0, duv in -0.02f64..0.007) {
            let kelvin = 1e6 / mired;
            let (got, got_duv) = cct_duv(xy_from_cct_duv(kelvin, duv).unwrap()).unwrap();
            // The last step taken is below 1e-7 and what it leaves a small share of that.
            prop_assert!((got - kelvin).abs() < 1e-7 * kelvin, "{kelvin} {duv} {got}");
            prop_assert!((got_duv - duv).abs() < 1e-11); // a dozen ulp of u and v, summed over 471 wavelengths
        }
    }

    #[test]
    fn the_table_alone_is_close() {
        for kelvin in [2000.0, 3200.0, 5600.0, 10_000.0] {
            for duv in [-0.01, 0.0, 0.003, 0.01] {
                let got = ohno(xy_from_cct_duv(kelvin, duv).unwrap().to_uv1960());
                // Ohno 2014 reports 1 K from 1 % steps between 2000 and 20000 K.
                assert!((got - kelvin).abs() < 1.0 + 1e-3 * kelvin, "{kelvin} {duv} {got}");
            }
        }
    }

    #[test]
    fn what_has_no_temperature_is_refused() {
        assert!(matches!(cct_duv(Xy::new(0.3, 0.6)), Err(LocusError::TooFar(_))));
        assert!(matches!(cct_duv(Xy::new(0.3, 0.0)), Err(LocusError::NoLight { .. })));
        assert!(matches!(cct_duv(Xy::new(f64::NAN, 0.3)), Err(LocusError::NoLight { .. })));
        assert!(cct_duv(Xy::new(0.7, 0.28)).is_err());
        for i in Illuminant::ALL {
            assert!(cct_duv(i.xy).is_ok(), "{}", i.name);
        }
    }

    #[test]
    fn the_ends_of_the_range_come_back() {
        for kelvin in [1000.0, 100_000.0] {
            let (got, _) = cct_duv(xy_from_cct_duv(kelvin, 0.0).unwrap()).unwrap();
            assert!((got - kelvin).abs() < 1e-6 * kelvin, "{got}");
        }
    }
}
