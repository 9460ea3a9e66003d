//! The surfaces of the demo: smooth reflectances of our own, as sums of steps and bells over the wavelength.
//!
//! None is measured or copied; the shapes follow what such surfaces are known for (chlorophyll's red edge, the two
//! dips of blood in skin, the rising flank of copper). The greys are flat, so that they read exactly as the light.

use crate::spectrum::{Spectrum, bell, step};

/// A reflectance as formula: a base, steps and bells, each (height, centre in nm, width or sigma in nm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    base: f64,
    steps: &'static [(f64, f64, f64)],
    bells: &'static [(f64, f64, f64)],
}

impl Curve {
    /// The same reflectance at every wavelength.
    const fn flat(base: f64) -> Self {
        Self { base, steps: &[], bells: &[] }
    }

    const fn shaped(base: f64, steps: &'static [(f64, f64, f64)], bells: &'static [(f64, f64, f64)]) -> Self {
        Self { base, steps, bells }
    }

    /// The reflectance over the whole grid.
    pub fn spectrum(&self) -> Spectrum {
        Spectrum::of(|nm| {
            let steps: f64 = self.steps.iter().map(|&(height, centre, width)| height * step(nm, centre, width)).sum();
            let bells: f64 = self.bells.iter().map(|&(height, centre, sigma)| height * bell(nm, centre, sigma)).sum();
            self.base + steps + bells
        })
    }
}

/// A material: an entry of [`MATERIALS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Material(usize);

impl Material {
    /// Position in [`MATERIALS`].
    pub fn index(self) -> usize {
        self.0
    }

    /// Patch `index` of the chart, row by row from the top left; 0..24.
    pub fn patch(index: usize) -> Self {
        Self(index.min(PATCHES - 1))
    }

    /// The name, as it stands in the truth.
    pub fn name(self) -> &'static str {
        MATERIALS[self.0].0
    }
}

/// Patches of the chart: the first entries of [`MATERIALS`].
pub const PATCHES: usize = 24;

/// Declares the table and a constant for each entry, so that the two cannot part.
macro_rules! materials {
    ($($id:ident $name:literal $curve:expr;)*) => {
        #[expect(non_camel_case_types, clippy::upper_case_acronyms, reason = "only numbers the constants below")]
        #[derive(Clone, Copy)]
        enum Place { $($id),* }
        $(#[doc = concat!("The material \"", $name, "\".")] pub const $id: Material = Material(Place::$id as usize);)*
        /// Every material of the scene: name and reflectance; the chart's patches first.
        pub const MATERIALS: &[(&str, Curve)] = &[$(($name, $curve)),*];
    };
}

materials! {
    // The chart: six greys, then what people know the colour of, then a circle of hues.
    GREY_1 "grey 90" Curve::flat(0.90);
    GREY_2 "grey 58" Curve::flat(0.58);
    GREY_3 "grey 36" Curve::flat(0.36);
    GREY_4 "grey 18" Curve::flat(0.18);
    GREY_5 "grey 9" Curve::flat(0.09);
    GREY_6 "grey 3" Curve::flat(0.032);
    SKIN_LIGHT "light skin" Curve::shaped(0.22, &[(0.12, 480.0, 25.0), (0.34, 592.0, 16.0)], &[(-0.05, 543.0, 12.0), (-0.055, 577.0, 9.0), (-0.04, 418.0, 18.0)]);
    SKIN_DEEP "deep skin" Curve::shaped(0.045, &[(0.04, 520.0, 30.0), (0.16, 605.0, 26.0), (0.10, 690.0, 40.0)], &[(-0.010, 543.0, 14.0), (-0.012, 577.0, 10.0)]);
    SKY "sky" Curve::shaped(0.10, &[(0.06, 690.0, 18.0)], &[(0.30, 448.0, 48.0), (0.03, 520.0, 40.0)]);
    FOLIAGE "foliage" Curve::shaped(0.035, &[(0.42, 708.0, 11.0)], &[(0.11, 552.0, 30.0), (0.02, 620.0, 30.0), (-0.012, 678.0, 14.0)]);
    SEA "sea green" Curve::shaped(0.07, &[(0.03, 700.0, 20.0)], &[(0.30, 500.0, 38.0), (0.05, 440.0, 40.0)]);
    LILAC "lilac" Curve::shaped(0.20, &[(0.26, 640.0, 22.0)], &[(0.27, 440.0, 42.0)]);
    ORANGE "orange" Curve::shaped(0.05, &[(0.53, 578.0, 14.0), (0.06, 660.0, 30.0)], &[]);
    DUSK "dusk blue" Curve::shaped(0.055, &[(0.06, 690.0, 20.0)], &[(0.27, 446.0, 34.0)]);
    BRICK "brick" Curve::shaped(0.075, &[(0.34, 600.0, 18.0)], &[(0.03, 440.0, 40.0)]);
    PLUM "plum" Curve::shaped(0.045, &[(0.11, 640.0, 22.0)], &[(0.075, 430.0, 34.0)]);
    LIME "lime" Curve::shaped(0.06, &[(0.30, 516.0, 12.0), (0.10, 700.0, 25.0)], &[(0.12, 548.0, 30.0)]);
    AMBER "amber" Curve::shaped(0.055, &[(0.44, 548.0, 13.0), (0.16, 610.0, 24.0)], &[]);
    BLUE "blue" Curve::shaped(0.030, &[(0.05, 710.0, 16.0)], &[(0.27, 440.0, 27.0)]);
    GREEN "green" Curve::shaped(0.045, &[(0.06, 715.0, 20.0)], &[(0.26, 528.0, 30.0)]);
    RED "red" Curve::shaped(0.040, &[(0.58, 617.0, 10.0)], &[(0.012, 440.0, 30.0)]);
    YELLOW "yellow" Curve::shaped(0.050, &[(0.66, 517.0, 11.0), (0.06, 600.0, 30.0)], &[]);
    MAGENTA "magenta" Curve::shaped(0.065, &[(0.54, 612.0, 14.0)], &[(0.26, 440.0, 34.0)]);
    CYAN "cyan" Curve::shaped(0.055, &[(0.05, 710.0, 20.0)], &[(0.33, 478.0, 42.0)]);

    // The set.
    CARD "grey card 18 %" Curve::flat(0.18);
    WHITE "perfect white" Curve::flat(1.0);
    BLACK "black felt" Curve::flat(0.004);
    VOID "inside of the light trap" Curve::flat(0.0004);
    SLATE "slate" Curve::shaped(0.050, &[], &[(0.012, 460.0, 60.0)]);
    STEEL "grey steel" Curve::shaped(0.26, &[], &[(0.015, 470.0, 60.0)]);
    IRON "black iron" Curve::shaped(0.035, &[(0.008, 600.0, 40.0)], &[]);
    DECK_PAINT "deck paint" Curve::shaped(0.30, &[(0.03, 520.0, 40.0)], &[(0.05, 480.0, 45.0)]);
    DECK_SHADE "weathered deck paint" Curve::shaped(0.20, &[(0.05, 560.0, 35.0)], &[(0.02, 480.0, 45.0)]);
    CREAM "cream paint" Curve::shaped(0.30, &[(0.26, 470.0, 24.0), (0.06, 580.0, 30.0)], &[]);
    CREAM_SHADE "old cream paint" Curve::shaped(0.19, &[(0.22, 490.0, 26.0), (0.07, 590.0, 30.0)], &[]);
    SAGE "sage paint" Curve::shaped(0.17, &[(0.02, 690.0, 20.0)], &[(0.14, 528.0, 55.0)]);
    SAGE_SHADE "worn sage paint" Curve::shaped(0.13, &[(0.03, 660.0, 30.0)], &[(0.09, 528.0, 55.0)]);
    OAK "oak" Curve::shaped(0.08, &[(0.12, 540.0, 34.0), (0.14, 620.0, 36.0)], &[]);
    OAK_DARK "oak grain" Curve::shaped(0.045, &[(0.05, 560.0, 34.0), (0.07, 630.0, 36.0)], &[]);
    PINE "pine" Curve::shaped(0.17, &[(0.22, 510.0, 30.0), (0.18, 600.0, 34.0)], &[]);
    PINE_DARK "pine grain" Curve::shaped(0.11, &[(0.14, 530.0, 32.0), (0.14, 610.0, 34.0)], &[]);
    ENAMEL "white enamel" Curve::shaped(0.62, &[(0.20, 415.0, 8.0)], &[]);
    ENAMEL_RIM "blue enamel rim" Curve::shaped(0.020, &[(0.03, 700.0, 18.0)], &[(0.12, 448.0, 30.0)]);
    ROPE "tan rope" Curve::shaped(0.13, &[(0.17, 510.0, 32.0), (0.18, 590.0, 36.0)], &[]);
    ROPE_DARK "rope, between the strands" Curve::shaped(0.05, &[(0.06, 520.0, 32.0), (0.08, 600.0, 36.0)], &[]);
    VEST "life vest" Curve::shaped(0.035, &[(0.66, 588.0, 9.0), (0.05, 680.0, 30.0)], &[]);
    TAPE "reflective tape" Curve::shaped(0.55, &[(0.06, 430.0, 15.0)], &[]);
    WEBBING "black webbing" Curve::shaped(0.022, &[], &[]);
    LEAF "parsley leaf" Curve::shaped(0.025, &[(0.45, 706.0, 10.0)], &[(0.10, 552.0, 28.0), (-0.008, 678.0, 12.0)]);
    LEAF_YOUNG "young leaf" Curve::shaped(0.04, &[(0.48, 702.0, 11.0)], &[(0.22, 553.0, 32.0), (0.05, 610.0, 24.0)]);
    LEAF_BLUE "sage leaf" Curve::shaped(0.085, &[(0.38, 706.0, 13.0)], &[(0.12, 540.0, 45.0)]);
    FLOWER "chive flower" Curve::shaped(0.16, &[(0.38, 630.0, 22.0)], &[(0.38, 438.0, 36.0)]);
    COPPER "copper" Curve::shaped(0.20, &[(0.16, 510.0, 34.0), (0.46, 583.0, 16.0), (0.10, 640.0, 30.0)], &[]);
    BRASS "brass" Curve::shaped(0.30, &[(0.40, 512.0, 18.0), (0.10, 600.0, 30.0)], &[]);
    NIGHT "night glass" Curve::shaped(0.008, &[], &[(0.022, 455.0, 45.0)]);
    HORIZON "sea at night" Curve::shaped(0.014, &[(0.012, 600.0, 40.0)], &[(0.045, 480.0, 50.0)]);

    // Cloth.
    OILSKIN "oilskin" Curve::flat(0.20);
    COTTON "cook's cotton" Curve::shaped(0.60, &[(0.12, 440.0, 25.0), (0.03, 580.0, 40.0)], &[]);
    LINEN "linen" Curve::shaped(0.40, &[(0.14, 460.0, 32.0), (0.07, 580.0, 40.0)], &[]);
    KERCHIEF "indigo cotton" Curve::shaped(0.045, &[(0.07, 700.0, 20.0)], &[(0.11, 450.0, 45.0)]);
    GLOVE "wool glove" Curve::shaped(0.075, &[(0.035, 560.0, 45.0)], &[(0.012, 470.0, 40.0)]);
    HORN "horn button" Curve::shaped(0.035, &[(0.035, 590.0, 40.0)], &[]);
    BUCKLE "black nylon" Curve::flat(0.03);
}
