//! Bands of false colour: a stop each, around whole stops from mid grey.

/// A band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Band {
    /// What stands in it in a key: whole stops from mid grey, in its middle.
    pub numeral: &'static str,
    /// Its colour, in sRGB codes.
    pub ink: [u8; 3],
}

const fn band(numeral: &'static str, ink: [u8; 3]) -> Band {
    Band { numeral, ink }
}

/// From dark to light: lightness rises evenly (L* 7 to 96), mid grey has no hue, what is darker is cool and what is lighter
/// warm, and every second one is paler, so that neighbours part. The order is that of lightness, so it is seen without hue.
pub const BANDS: [Band; 15] = [
    band("<-6", [0, 19, 59]),
    band("-6", [24, 34, 57]),
    band("-5", [2, 49, 87]),
    band("-4", [43, 64, 84]),
    band("-3", [4, 82, 116]),
    band("-2", [69, 95, 110]),
    band("-1", [33, 115, 142]),
    band("0", [123, 123, 123]),
    band("+1", [187, 124, 93]),
    band("+2", [181, 150, 130]),
    band("+3", [222, 160, 101]),
    band("+4", [214, 185, 153]),
    band("+5", [248, 201, 110]),
    band("+6", [243, 224, 178]),
    band(">+6", [255, 244, 199]),
];

/// The band of a level in stops from mid grey: that of the nearest whole stop, half stops going up.
pub fn band_of(stops: f64) -> usize {
    (stops + 7.5).floor().clamp(0.0, 14.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::primaries::{BT709, D65};
    use colour::{Form, Matrix, Transfer, difference};

    /// What is left of colour without one of the three kinds of cones.
    ///
    /// # Source
    /// G. Machado, M. Oliveira, L. Fernandes, A Physiologically-based Model for Simulation of Color Vision Deficiency, 2009:
    /// severity 1.0, on linear sRGB.
    const WITHOUT: [(&str, Matrix); 4] = [
        ("nothing", Matrix::IDENTITY),
        (
            "long",
            Matrix([[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]),
        ),
        (
            "middle",
            Matrix([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]),
        ),
        (
            "short",
            Matrix([[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]),
        ),
    ];

    fn lab(band: Band, eyes: Matrix) -> [f64; 3] {
        let light = band.ink.map(|code| Transfer::Srgb.decode(Form::Exact, f64::from(code) / 255.0));
        let seen = eyes.apply(light).map(|v| v.clamp(0.0, 1.0));
        difference::cielab(BT709.xyz_from_rgb().apply(seen), D65)
    }

    #[test]
    fn lightness_orders_the_bands_for_every_eye() {
        for (without, eyes) in WITHOUT {
            for (dark, light) in BANDS.iter().zip(&BANDS[1..]) {
                let (a, b) = (lab(*dark, eyes), lab(*light, eyes));
                assert!(b[0] - a[0] > 3.0, "{without}: {} to {}", dark.numeral, light.numeral);
                // Neighbours differ by several just noticeable differences.
                assert!(difference::ciede2000(a, b) > 3.5, "{without}: {} to {}", dark.numeral, light.numeral);
            }
        }
        let steps: Vec<f64> = BANDS
            .iter()
            .zip(&BANDS[1..])
            .map(|(a, b)| lab(*b, Matrix::IDENTITY)[0] - lab(*a, Matrix::IDENTITY)[0])
            .collect();
        assert!(steps.iter().all(|step| (5.8..7.0).contains(step)), "{steps:?}");
    }

    #[test]
    fn a_band_is_a_stop_around_its_numeral() {
        for stops in -6..=6 {
            let numeral = if stops == 0 { "0".to_string() } else { format!("{stops:+}") };
            for near in [-0.5, -0.2, 0.49] {
                assert_eq!(BANDS[band_of(f64::from(stops) + near)].numeral, numeral);
            }
        }
        assert_eq!((band_of(f64::NEG_INFINITY), band_of(-6.6), band_of(6.5), band_of(f64::INFINITY)), (0, 0, 14, 14));
    }
}
