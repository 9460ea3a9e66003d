//! Every spectrum of the demo as one table of text.

use std::fmt::Write;

use super::camera::Camera;
use super::light::Light;
use super::material::MATERIALS;
use super::spectrum::{FIRST_NM, LAST_NM, Spectrum};

/// The table, tab-separated: a line that begins with `#` for a note, one with the names of the columns, and a row
/// a nanometre. Lights are relative power, materials reflectance 0..1, cameras relative sensitivity.
pub fn text() -> String {
    let lights = Light::ALL.iter().map(|light| (format!("light: {}", light.name()), light.spectrum()));
    let materials = MATERIALS.iter().map(|(name, curve)| (format!("material: {name}"), curve.spectrum()));
    let cameras = Camera::ALL.iter().flat_map(|camera| {
        let names = ["first", "second", "third"].map(|channel| format!("camera: {}, {channel} channel", camera.name()));
        names.into_iter().zip(camera.curves())
    });
    let columns: Vec<(String, Spectrum)> = lights.chain(materials).chain(cameras).collect();

    let mut text = format!(
        "# Spectra of the night ferry, our own: lights as relative power, materials as reflectance, cameras as relative \
         sensitivity; {FIRST_NM} to {LAST_NM} nm.\nnm"
    );
    for (name, _) in &columns {
        text.push('\t');
        text.push_str(name);
    }
    text.push('\n');
    for (row, nm) in (FIRST_NM..=LAST_NM).enumerate() {
        let _ = write!(text, "{nm}");
        for (_, spectrum) in &columns {
            let _ = write!(text, "\t{}", six_digits(spectrum.samples().get(row).copied().unwrap_or(0.0)));
        }
        text.push('\n');
    }
    text
}

/// A number as short as six digits allow.
fn six_digits(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectra::spectrum::SAMPLES;

    #[test]
    fn every_row_has_every_column() {
        let text = text();
        let lines: Vec<&str> = text.lines().collect();
        let columns = 1 + Light::ALL.len() + MATERIALS.len() + 6;
        assert_eq!(lines.len(), 2 + SAMPLES);
        for line in &lines[1..] {
            assert_eq!(line.split('\t').count(), columns);
        }
        // As written, a wavelength's numbers are the spectra's to six digits.
        let at_560: Vec<&str> = lines[2 + 560 - FIRST_NM].split('\t').collect();
        assert_eq!(at_560[0], "560");
        let card = lines[1].split('\t').position(|name| name == "material: grey card 18 %").unwrap();
        assert_eq!(at_560[card], "0.18");
    }
}
