//! The surfaces of the demo: smooth reflectances of our own, as sums of steps and bells over the wavelength.
//!
//! None is measured or copied; the shapes follow what such surfaces are known for (chlorophyll's red edge, the rising
//! flank of copper); skin comes from its pigments. The greys are flat, so that they read exactly as the light.

use super::pigment::Skin;
use super::spectrum::{Spectrum, bell, step};

/// Terms of a reflectance: height, centre in nm, width or sigma in nm.
type Terms = &'static [(f64, f64, f64)];

/// A reflectance as formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Curve {
    /// A base, steps and bells.
    Shaped {
        /// The same at every wavelength.
        base: f64,
        /// Smooth steps.
        steps: Terms,
        /// Bells.
        bells: Terms,
    },
    /// Skin by its pigments.
    Skin(Skin),
}

impl Curve {
    /// The same reflectance at every wavelength.
    const fn flat(base: f64) -> Self {
        Self::shaped(base, &[], &[])
    }

    const fn shaped(base: f64, steps: Terms, bells: Terms) -> Self {
        Self::Shaped { base, steps, bells }
    }

    /// Skin with so much melanin and blood.
    const fn skin(melanin: f64, blood: f64) -> Self {
        Self::Skin(Skin { melanin, blood })
    }

    /// The reflectance over the whole grid.
    pub fn spectrum(&self) -> Spectrum {
        match self {
            Self::Shaped { base, steps, bells } => Spectrum::of(|nm| {
                let steps: f64 = steps.iter().map(|&(height, centre, width)| height * step(nm, centre, width)).sum();
                let bells: f64 = bells.iter().map(|&(height, centre, sigma)| height * bell(nm, centre, sigma)).sum();
                base + steps + bells
            }),
            Self::Skin(skin) => skin.spectrum(),
        }
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

    /// The material at a position in [`MATERIALS`].
    pub fn numbered(index: usize) -> Option<Self> {
        (index < MATERIALS.len()).then_some(Self(index))
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
    SKIN_LIGHT "light skin" Curve::skin(0.30, 0.85);
    SKIN_DEEP "deep skin" Curve::skin(2.35, 0.75);
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
    ENAMEL "white enamel" Curve::shaped(0.62, &[(0.18, 415.0, 8.0)], &[]);
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

    // Skin beside the chart's two; a shade has more of both pigments.
    SKIN_LIGHT_FLUSH "light skin, flushed" Curve::skin(0.30, 1.40);
    SKIN_LIGHT_SHADE "light skin, deeper" Curve::skin(0.55, 1.00);
    SKIN_DEEP_FLUSH "deep skin, flushed" Curve::skin(2.2, 1.40);
    SKIN_DEEP_SHADE "deep skin, deeper" Curve::skin(3.2, 0.85);
    LIPS_LIGHT "light lips" Curve::skin(0.40, 1.90);
    LIPS_DEEP "deep lips" Curve::skin(1.8, 1.70);

    // Surfaces that tell methods apart.
    OILSKIN "oilskin" Curve::flat(0.20);
    WOOD_WARM "warm wood" Curve::shaped(0.07, &[(0.08, 540.0, 34.0), (0.20, 598.0, 28.0)], &[]);
    // The heights are the one combination of these bells that D65 does not see, found as the null space of their XYZ.
    METAMER "metameric grey paint" Curve::shaped(0.18, &[], &[(-0.014_989_341_3, 440.0, 30.0), (0.039, 500.0, 25.0), (-0.031_035_984_6, 560.0, 22.0), (0.022_982_240_2, 620.0, 25.0)]);

    // Things on the table and the wall.
    GREY_M4 "grey 4 stops under the card" Curve::flat(0.01125);
    GREY_M5 "grey 5 stops under the card" Curve::flat(0.005625);
    GREY_M6 "grey 6 stops under the card" Curve::flat(0.0028125);
    TEA "black tea" Curve::shaped(0.010, &[(0.035, 610.0, 30.0)], &[]);
    SOIL "soil" Curve::shaped(0.022, &[(0.022, 590.0, 50.0)], &[]);
    SLATE_PALE "worn slate" Curve::shaped(0.125, &[], &[(0.02, 470.0, 60.0)]);
    RUST "rust" Curve::shaped(0.035, &[(0.085, 585.0, 22.0), (0.05, 660.0, 40.0)], &[]);
    PAPER "chart paper" Curve::shaped(0.46, &[(0.20, 455.0, 26.0), (0.06, 570.0, 40.0)], &[]);

    // Heads.
    HAIR_BROWN "brown hair" Curve::shaped(0.022, &[(0.035, 580.0, 45.0), (0.03, 660.0, 40.0)], &[]);
    HAIR_LIGHT "sunlit hair" Curve::shaped(0.06, &[(0.10, 560.0, 45.0), (0.06, 650.0, 40.0)], &[]);
    HAIR_BLACK "black hair" Curve::shaped(0.014, &[(0.012, 620.0, 45.0)], &[]);
    HAIR_GREY "grey hair" Curve::shaped(0.105, &[(0.02, 560.0, 50.0)], &[]);
    EYE_WHITE "white of the eye" Curve::shaped(0.36, &[(0.10, 470.0, 25.0), (0.05, 600.0, 20.0)], &[]);
    IRIS_GREY "grey iris" Curve::shaped(0.062, &[(0.012, 560.0, 40.0)], &[(0.028, 480.0, 50.0)]);
    IRIS_BROWN "brown iris" Curve::shaped(0.018, &[(0.05, 590.0, 35.0)], &[]);
    PUPIL "pupil" Curve::flat(0.004);
    WOOL "navy wool" Curve::shaped(0.020, &[(0.05, 700.0, 18.0)], &[(0.026, 450.0, 40.0)]);
    WOOL_LIGHT "worn navy wool" Curve::shaped(0.040, &[(0.06, 700.0, 18.0)], &[(0.040, 455.0, 45.0)]);
    KERCHIEF "kerchief" Curve::shaped(0.085, &[(0.05, 690.0, 25.0)], &[(0.10, 455.0, 50.0)]);
    KERCHIEF_FADED "faded kerchief" Curve::shaped(0.19, &[(0.03, 690.0, 25.0)], &[(0.09, 460.0, 55.0)]);

    // Deck.
    TEAK "scrubbed teak" Curve::shaped(0.13, &[(0.06, 530.0, 40.0), (0.07, 610.0, 40.0)], &[]);
    TEAK_DARK "teak grain" Curve::shaped(0.07, &[(0.03, 540.0, 40.0), (0.05, 620.0, 40.0)], &[]);
    PITCH "pitch in the seams" Curve::flat(0.012);
    SHIP_WHITE "ship's white paint" Curve::shaped(0.50, &[(0.10, 430.0, 18.0), (0.03, 570.0, 40.0)], &[]);
    SHIP_GREY "ship's white paint, weathered" Curve::shaped(0.34, &[(0.05, 440.0, 22.0), (0.06, 580.0, 40.0)], &[]);
    CANVAS "boat canvas" Curve::shaped(0.10, &[(0.04, 500.0, 40.0)], &[(0.02, 520.0, 40.0)]);

    // Cloth.
    COTTON "cook's cotton" Curve::shaped(0.60, &[(0.12, 440.0, 25.0), (0.03, 580.0, 40.0)], &[]);
    LINEN "linen" Curve::shaped(0.40, &[(0.14, 460.0, 32.0), (0.07, 580.0, 40.0)], &[]);
    NECKERCHIEF "indigo cotton" Curve::shaped(0.045, &[(0.07, 700.0, 20.0)], &[(0.11, 450.0, 45.0)]);
    GLOVE "wool glove" Curve::shaped(0.075, &[(0.035, 560.0, 45.0)], &[(0.012, 470.0, 40.0)]);
    HORN "horn button" Curve::shaped(0.035, &[(0.035, 590.0, 40.0)], &[]);
    BUCKLE "black nylon" Curve::flat(0.03);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::palette::{white, xyz_palette};
    use crate::{Light, spectrum};
    use colour::difference::{ciede2000, cielab};
    use colour::{Adaptation, primaries};

    /// CIELAB under a light after balancing on the card by Bradford.
    fn balanced(material: Material, light: Light) -> [f64; 3] {
        let to_d65 = Adaptation::Bradford.matrix(white(light), primaries::D65);
        cielab(to_d65.apply(xyz_palette(light)[material.index()]), primaries::D65)
    }

    fn hue([_, a, b]: [f64; 3]) -> f64 {
        b.atan2(a).to_degrees()
    }

    #[test]
    fn reflectances_are_possible() {
        for (name, curve) in MATERIALS {
            for (at, value) in curve.spectrum().samples().iter().enumerate() {
                assert!((0.0..=1.0).contains(value), "{name} at {} nm: {value}", spectrum::FIRST_NM + at);
            }
        }
    }

    #[test]
    fn names_are_one_each() {
        // They head columns in the table of spectra.
        let mut names: Vec<&str> = MATERIALS.iter().map(|(name, _)| *name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), MATERIALS.len());
    }

    #[test]
    fn patches_spread_well() {
        let lab: Vec<[f64; 3]> = (0..PATCHES).map(|index| balanced(Material::patch(index), Light::D65)).collect();
        let mut nearest = f64::MAX;
        for (at, a) in lab.iter().enumerate() {
            for b in &lab[at + 1..] {
                nearest = nearest.min(ciede2000(*a, *b));
            }
        }
        // Two patches under 8 Delta E could be taken for each other in a noisy frame (our own bound).
        assert!(nearest > 8.0, "{nearest}");
        // Chromatic ones lie all around: no gap between neighbouring hues is wider than a sixth of the circle.
        let mut hues: Vec<f64> =
            lab.iter().filter(|[_, a, b]| a.hypot(*b) > 10.0).map(|lab| hue(*lab).rem_euclid(360.0)).collect();
        hues.sort_by(f64::total_cmp);
        let last = hues[hues.len() - 1] - 360.0;
        let widest = [last].iter().chain(&hues).zip(&hues).map(|(a, b)| b - a).fold(0.0, f64::max);
        assert!(widest < 60.0, "{hues:?}");
        println!("nearest two patches {nearest:.1} Delta E 2000, widest gap {widest:.0} degrees");
    }

    #[test]
    fn the_vest_lies_just_within_bt709() {
        // The smallest channel against the largest says how far inside a colour lies: 0 on the edge, 1 for a grey.
        let rgb = primaries::BT709.rgb_from_xyz().apply(xyz_palette(Light::D65)[VEST.index()]);
        let inside = rgb.iter().copied().fold(f64::MAX, f64::min) / rgb.iter().copied().fold(0.0, f64::max);
        println!("vest {:.2} % inside", 100.0 * inside);
        assert!((0.0..0.03).contains(&inside), "{rgb:?}");
    }

    #[test]
    fn warm_wood_has_the_hue_of_light_skin() {
        let [wood, skin] = [WOOD_WARM, SKIN_LIGHT].map(|material| hue(balanced(material, Light::D65)));
        assert!((wood - skin).abs() < 5.0, "{wood} {skin}");
    }

    #[test]
    fn skins_redden_when_they_flush_and_darken_when_they_deepen() {
        for [skin, flush, shade, lips] in [
            [SKIN_LIGHT, SKIN_LIGHT_FLUSH, SKIN_LIGHT_SHADE, LIPS_LIGHT],
            [SKIN_DEEP, SKIN_DEEP_FLUSH, SKIN_DEEP_SHADE, LIPS_DEEP],
        ]
        .map(|skins| skins.map(|material| balanced(material, Light::D65)))
        {
            println!("{skin:.1?} hue {:.0}, flushed {flush:.1?}, deeper {shade:.1?}, lips {lips:.1?}", hue(skin));
            assert!(flush[1] > skin[1] + 3.0 && lips[1] > flush[1] && hue(flush) < hue(skin));
            assert!(shade[0] < skin[0] - 3.0);
            // Skins of all kinds lie between red and yellow (common practice, no source).
            assert!([skin, flush, shade].iter().all(|lab| (25.0..75.0).contains(&hue(*lab))));
        }
    }

    #[test]
    fn the_metameric_paint_matches_under_d65_and_parts_under_the_tubes() {
        let apart = |light| ciede2000(balanced(METAMER, light), balanced(CARD, light));
        println!("metamer: D65 {:.3}, tubes {:.2}", apart(Light::D65), apart(Light::Tubes));
        assert!(apart(Light::D65) < 0.5, "{}", apart(Light::D65));
        assert!(apart(Light::Tubes) > 3.0, "{}", apart(Light::Tubes));
    }
}
