//! Skin by a simple pigment model: light scattered back by the dermis, dimmed by melanin and by blood on its way.
//!
//! # Source
//! Melanin's absorbance falls with a power of the wavelength, blood's has a tall band in the violet and two dips in the
//! green (textbook knowledge of skin optics, from memory). Amounts, exponent and band heights are our own.

use super::spectrum::{Spectrum, bell};

/// What the skin's own surface sends back whatever lies below.
const SURFACE: f64 = 0.025;
/// What the dermis would send back without pigments.
const DERMIS: f64 = 0.70;

/// How much of each pigment a skin holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skin {
    /// Absorbance of its melanin at 500 nm: about .2 for very light skin, 3 for very dark.
    pub melanin: f64,
    /// Absorbance of its blood about 577 nm: .5 for pale skin, above 1.4 where it flushes.
    pub blood: f64,
}

impl Skin {
    /// The reflectance over the whole grid.
    pub fn spectrum(self) -> Spectrum {
        Spectrum::of(|nm| {
            let absorbance = self.melanin * (nm / 500.0).powf(-2.5) + self.blood * oxyhaemoglobin(nm);
            SURFACE + DERMIS * (-absorbance).exp()
        })
    }
}

/// Absorbance of oxygenated blood, about 1 at its dips; flattened in the violet, where light does not get deep.
fn oxyhaemoglobin(nm: f64) -> f64 {
    3.2 * bell(nm, 415.0, 23.0)
        + 0.30 * bell(nm, 515.0, 30.0)
        + 0.62 * bell(nm, 541.0, 13.0)
        + 0.25 * bell(nm, 559.0, 16.0)
        + 0.72 * bell(nm, 577.0, 9.5)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectra::spectrum::FIRST_NM;

    #[test]
    fn blood_leaves_two_dips_and_melanin_darkens_the_blue_most() {
        let at = |skin: Skin, nm: usize| skin.spectrum().samples()[nm - FIRST_NM];
        let light = Skin { melanin: 0.3, blood: 0.85 };
        assert!(at(light, 541) < at(light, 559) && at(light, 577) < at(light, 559));
        assert!(at(light, 610) > 1.5 * at(light, 577));
        let deep = Skin { melanin: 2.1, ..light };
        assert!(at(deep, 450) / at(light, 450) < at(deep, 650) / at(light, 650));
    }
}
