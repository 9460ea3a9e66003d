//! Curves on a chromaticity diagram, as points from one end to the other in its coordinates.

use colour::locus::{self, DAYLIGHT_KELVIN, kelvin_from_mired, mired_from_kelvin};
use colour::{Primaries, Xy};

use super::Diagram;

/// Mired between points of a locus: the curve leaves its chords by less than 1e-5 then.
const MIRED_STEP: u32 = 5;
/// The warmest end of the Planckian locus drawn, in mired.
const WARMEST_MIRED: u32 = 1000;

/// The spectrum locus from 380 to 700 nm, closed by the line of purples.
pub fn spectrum(diagram: Diagram) -> Vec<[f64; 2]> {
    let mut points: Vec<_> = locus::spectrum().map(|(_, xy)| diagram.point(xy)).collect();
    points.extend(points.first().copied());
    points
}

/// The Planckian locus from 1000 K to 100000 K.
pub fn planckian(diagram: Diagram) -> Vec<[f64; 2]> {
    (MIRED_STEP * 2..=WARMEST_MIRED)
        .rev()
        .step_by(MIRED_STEP as usize)
        .filter_map(|mired| locus::planckian(kelvin_from_mired(f64::from(mired))).ok())
        .map(|xy| diagram.point(xy))
        .collect()
}

/// CIE daylight from 4000 K to 25000 K.
pub fn daylight(diagram: Diagram) -> Vec<[f64; 2]> {
    let (warm, cool) = (mired_from_kelvin(*DAYLIGHT_KELVIN.start()), mired_from_kelvin(*DAYLIGHT_KELVIN.end()));
    (cool as u32..=warm as u32)
        .rev()
        .step_by(MIRED_STEP as usize)
        .filter_map(|mired| locus::daylight(kelvin_from_mired(f64::from(mired))).ok())
        .map(|xy| diagram.point(xy))
        .collect()
}

/// The triangle of a display: red, green, blue, and red again.
pub fn triangle(diagram: Diagram, space: &Primaries) -> Vec<[f64; 2]> {
    [space.red, space.green, space.blue, space.red].map(|xy: Xy| diagram.point(xy)).to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::primaries::BT709;

    fn near(a: [f64; 2], b: [f64; 2], within: f64) -> bool {
        (a[0] - b[0]).abs() < within && (a[1] - b[1]).abs() < within
    }

    /// Source: CIE 018:2019, chromaticities of the 1931 observer at 380, 520 and 700 nm.
    #[test]
    fn the_spectrum_goes_round() {
        let points = spectrum(Diagram::Xy1931);
        assert_eq!(points.len(), 322);
        assert_eq!(points.first(), points.last());
        for (nanometres, xy) in [(380, [0.1741, 0.0050]), (520, [0.0743, 0.8338]), (700, [0.7347, 0.2653])] {
            assert!(near(points[nanometres - 380], xy, 6e-5), "{nanometres}: {:?}", points[nanometres - 380]);
        }
    }

    /// Source: CIE 15:2018, table T.3: illuminant A (2856 K on c2 = 1.4388e-2) and the daylight locus at both its ends.
    #[test]
    fn loci_start_warm_and_end_cool() {
        let black_body = planckian(Diagram::Xy1931);
        let a = [0.44758, 0.40745];
        // 2856 K is 350.1 mired; the next point is 350.
        assert!(black_body.iter().any(|point| near(*point, a, 2e-4)));
        assert!(near(black_body[0], [0.6528, 0.3444], 5e-4), "{:?}", black_body[0]); // 1000 K, from memory
        for pair in black_body.windows(2) {
            assert!(pair[1][0] < pair[0][0]);
        }
        let day = daylight(Diagram::Uv1976);
        assert_eq!(day.len(), 43);
        assert!(near(day[0], locus::daylight(4000.0).unwrap().to_uv1976(), 1e-9));
        assert!(near(day[42], locus::daylight(25_000.0).unwrap().to_uv1976(), 1e-9));
    }

    #[test]
    fn chords_stay_on_the_curve() {
        let black_body = planckian(Diagram::Uv1976);
        for (i, pair) in black_body.windows(2).enumerate() {
            let mired = f64::from(WARMEST_MIRED - MIRED_STEP * i as u32) - 0.5 * f64::from(MIRED_STEP);
            let on_curve = locus::planckian(kelvin_from_mired(mired)).unwrap().to_uv1976();
            let middle = [0.5 * (pair[0][0] + pair[1][0]), 0.5 * (pair[0][1] + pair[1][1])];
            assert!(near(middle, on_curve, 1e-5), "{mired} mired");
        }
    }

    #[test]
    fn a_triangle_is_closed() {
        let points = triangle(Diagram::Xy1931, &BT709);
        assert_eq!(points, [[0.64, 0.33], [0.3, 0.6], [0.15, 0.06], [0.64, 0.33]]);
    }
}
