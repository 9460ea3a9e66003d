//! The output transform of ACES 2: scene light on AP1 to linear light on a display's limiting primaries, and back.
//!
//! A colour becomes lightness, colourfulness and hue; the tone scale for the display's peak sets its lightness,
//! colourfulness follows and is compressed towards white and towards what the limiting primaries hold, hue stays; then
//! it becomes light again. What lies outside AP1 is cut off before, what lies outside the limiting primaries' 0..1 after.
//!
//! In double precision, from the same tables over hue as the standard, which are made anew for each peak and each set
//! of primaries.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL: Lib.Academy.OutputTransform, Lib.Academy.Tonescale. The cut-offs and the
//! hues of the cusp table as OpenColorIO 2.6 has them.

pub mod appearance;
pub mod chroma;
pub mod gamut;
pub mod tables;
#[cfg(test)]
mod tests;
pub mod tone_scale;

use appearance::{Appearance, REFERENCE_NITS};
use chroma::{ChromaCompression, Reach};
use gamut::{Cusp, Gamut};
use tone_scale::ToneScale;

use crate::{Primaries, primaries};

/// The transform for one peak and one set of limiting primaries, its tables made.
#[derive(Debug, Clone, PartialEq)]
pub struct Aces2 {
    scene: Appearance,
    limiting: Appearance,
    tone_scale: ToneScale,
    chroma: ChromaCompression,
    gamut: Gamut,
    reach: Vec<f64>,
    cusps: Vec<Cusp>,
}

impl Aces2 {
    /// The transform for a display of `peak_nits`, 100 to 10000, keeping pictures within the `limiting` primaries.
    pub fn new(peak_nits: f64, limiting: &Primaries) -> Aces2 {
        let scene = Appearance::new(&primaries::AP1);
        let limiting = Appearance::new(limiting);
        let tone_scale = ToneScale::new(peak_nits);
        let most_j = scene.j_from_nits(peak_nits);
        let gamut = Gamut::new(&tone_scale, most_j, scene.j_from_nits(tone_scale.middle_nits));
        Aces2 {
            chroma: ChromaCompression::new(&tone_scale),
            reach: tables::reach(&scene, most_j),
            cusps: tables::cusps(&limiting, &scene, &tone_scale, &gamut),
            scene,
            limiting,
            tone_scale,
            gamut,
        }
    }

    /// Linear light on the limiting primaries, 0 to 1 at the peak, of scene light on AP1.
    pub fn rendered(&self, ap1: [f64; 3]) -> [f64; 3] {
        let cut = ap1.map(|c| c.clamp(0.0, self.tone_scale.most_scene));
        let colour = self.scene.jmh_from_rgb(cut);
        if colour.j <= 0.0 {
            return [0.0; 3];
        }
        let reach = self.reach_at(colour.hue);
        let toned_nits = self.tone_scale.nits_from_scene(self.scene.nits_from_j(colour.j));
        let toned = self.chroma.compressed(colour, self.scene.j_from_nits(toned_nits), &reach);
        let held = self.gamut.compressed(toned, &self.cusp_at(colour.hue), &reach);
        let peak = self.tone_scale.peak_nits / REFERENCE_NITS;
        self.limiting.rgb_from_jmh(held).map(|c| (c / peak).clamp(0.0, 1.0))
    }

    /// Scene light on AP1 that is rendered as this light on the limiting primaries, 1.0 at the peak.
    pub fn scene(&self, limiting_rgb: [f64; 3]) -> [f64; 3] {
        let peak = self.tone_scale.peak_nits / REFERENCE_NITS;
        let colour = self.limiting.jmh_from_rgb(limiting_rgb.map(|c| c.clamp(0.0, 1.0) * peak));
        if colour.j <= 0.0 {
            return [0.0; 3];
        }
        let reach = self.reach_at(colour.hue);
        let toned = self.gamut.expanded(colour, &self.cusp_at(colour.hue), &reach);
        let scene_nits = self.tone_scale.scene_from_nits(self.scene.nits_from_j(toned.j));
        let colour = self.chroma.scene(toned, self.scene.j_from_nits(scene_nits), &reach);
        self.scene.rgb_from_jmh(colour).map(|c| c.clamp(0.0, self.tone_scale.most_scene))
    }

    /// Nits on the display of a grey of scene light: the tone scale alone.
    pub fn tone_scale_nits(&self, ap1_grey: f64) -> f64 {
        self.tone_scale.nits_from_scene(ap1_grey * REFERENCE_NITS)
    }

    /// The appearance model of scene light on AP1.
    pub fn scene_model(&self) -> &Appearance {
        &self.scene
    }

    /// The appearance model of light on the limiting primaries.
    pub fn limiting_model(&self) -> &Appearance {
        &self.limiting
    }

    /// The tone scale.
    pub fn tone_scale(&self) -> &ToneScale {
        &self.tone_scale
    }

    /// The chroma compression.
    pub fn chroma(&self) -> &ChromaCompression {
        &self.chroma
    }

    /// The gamut compression.
    pub fn gamut(&self) -> &Gamut {
        &self.gamut
    }

    /// Colourfulness that AP1 reaches at the lightness of the peak, entry `1 + d` at hue d; [`tables::ENTRIES`] of them.
    pub fn reach_table(&self) -> &[f64] {
        &self.reach
    }

    /// The cusps of the limiting gamut by rising hue, from below 0 to above 360; [`tables::ENTRIES`] of them.
    pub fn cusp_table(&self) -> &[Cusp] {
        &self.cusps
    }

    fn reach_at(&self, hue: f64) -> Reach {
        let degree = hue.floor();
        let (low, high) = tables::pair(&self.reach, degree as usize + 2);
        let most_m = low + (high - low) * (hue - degree);
        Reach { most_m, most_j: self.gamut.most_j, exponent: 1.0 / self.scene.exponent }
    }

    fn cusp_at(&self, hue: f64) -> Cusp {
        let upper = self.cusps.partition_point(|cusp| cusp.hue < hue).clamp(1, tables::ENTRIES - 1);
        let (low, high) = tables::pair(&self.cusps, upper);
        Cusp::between(low, high, (hue - low.hue) / (high.hue - low.hue))
    }
}
