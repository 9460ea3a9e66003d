//! The demo against what its truth says, through the files that a user gets.

#![expect(clippy::unwrap_used, reason = "a helper that fails here fails its test")]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use colour::transfer::Form;
use colour::{Adaptation, Encoding, Xy, primaries};
use demo::{Rect, Settings, Summary, Truth};
use frame::{Range, Size};

const SIZE: Size = Size { width: 320, height: 180 };

fn written(settings: &Settings) -> (tempfile::TempDir, Summary) {
    let dir = tempfile::tempdir().unwrap();
    let summary = demo::write(dir.path(), settings, &|_, _| true).unwrap();
    (dir, summary)
}

/// One frame of every shot without noise, written once for all tests that only read.
fn shared() -> (&'static Path, &'static Summary) {
    static SHARED: LazyLock<(tempfile::TempDir, Summary)> = LazyLock::new(|| written(&quiet(1)));
    (SHARED.0.path(), &SHARED.1)
}

fn quiet(frames: u32) -> Settings {
    Settings { size: SIZE, frames, noise: false, seed: 7 }
}

fn truth_of(dir: &Path, path: &str) -> Truth {
    serde_json::from_str(&fs::read_to_string(dir.join(path)).unwrap()).unwrap()
}

fn mean(pixels: &[[f32; 4]], rect: Rect) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for y in rect.y..rect.y + rect.height {
        for x in rect.x..rect.x + rect.width {
            let pixel = pixels[(y * SIZE.width + x) as usize];
            for (total, value) in sum.iter_mut().zip(pixel) {
                *total += f64::from(value);
            }
        }
    }
    sum.map(|total| total / f64::from(rect.width * rect.height))
}

/// Linear camera RGB of a rectangle of the first frame of a shot.
fn linear(dir: &Path, shot: &demo::ShotSummary, rect: Rect) -> [f64; 3] {
    let path = dir.join(shot.pattern.replace("%04d", "0001"));
    let pixels = media::read(&path).unwrap().frame.to_pixels(Range::Full);
    let encoding = Encoding::named(&shot.encoding, None).unwrap();
    mean(&pixels, rect).map(|code| encoding.transfer.decode(Form::Published, code))
}

/// Half a 10-bit code of LogC3 EI 800 at and above a dark grey: 0.0744 of signal a stop, so 0.0046 of the value; the
/// three channels round on their own.
const HALF_A_CODE: f64 = 0.0048;

#[test]
fn the_lights_are_what_they_are_called() {
    // Measured with `colour`'s Ohno solver, which the CIE tables judge; the targets are the scenario's.
    for (light, kelvin, duv) in [
        (demo::Light::BlueHour, 10_000.0, 0.004),
        (demo::Light::Tungsten, 3100.0, 0.0),
        (demo::Light::Tubes, 4200.0, 0.012),
    ] {
        let (found_kelvin, found_duv) = colour::cct::cct_duv(demo::white(light)).unwrap();
        // A unit in the last digit of the tuned constants moves the blue hour by 0.1 K.
        assert!((found_kelvin - kelvin).abs() < 1e-4 * kelvin, "{light:?}: {found_kelvin} K");
        assert!((found_duv - duv).abs() < 2e-5, "{light:?}: Duv {found_duv}");
    }
    // CIE 015:2018, table of illuminants: D65 is x .31272, y .32903.
    let d65 = demo::white(demo::Light::D65);
    assert!((d65.x - 0.31272).abs() < 2e-5 && (d65.y - 0.32903).abs() < 2e-5, "{d65:?}");
}

#[test]
fn the_card_is_the_lights_own_white() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, &shot.truth);
        let encoding = Encoding::named(&shot.encoding, None).unwrap();
        let expected = encoding.primaries.rgb_from_xyz().apply(truth.light.white.to_xyz());
        let level = 0.18 * truth.exposure_error_stops.exp2();
        let found = linear(dir, shot, truth.card);
        for channel in 0..3 {
            let ratio = found[channel] / (level * expected[channel]);
            assert!((ratio - 1.0).abs() < HALF_A_CODE, "{} channel {channel}: {ratio}", shot.name);
        }
    }
}

#[test]
fn the_palette_is_exact_before_quantising() {
    let encoding = Encoding::named("LogC3", None).unwrap();
    for light in [demo::Light::BlueHour, demo::Light::Tungsten, demo::Light::Tubes] {
        let card = demo::camera_palette(&encoding, light, 0.5)[demo::material::CARD.index()];
        let xyz = encoding.primaries.xyz_from_rgb().apply(card);
        let white = demo::white(light).to_xyz();
        for (found, expected) in xyz.iter().zip(white) {
            // Sums and a matrix there and back in double: 1e-12 is a thousand roundings.
            assert!((found - 0.18 * 0.5_f64.exp2() * expected).abs() < 1e-12);
        }
    }
}

#[test]
fn the_stated_correction_makes_the_card_read_d65() {
    let encoding = Encoding::named("LogC3", None).unwrap();
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, &shot.truth);
        let from = stated_white(&shot.correction);
        assert_eq!(shot.correction, truth.correction);
        // The chain by hand: camera to ACEScg, ACEScg to XYZ on D65, white balance.
        let light = [demo::Light::BlueHour, demo::Light::Tungsten, demo::Light::Tubes]
            .into_iter()
            .find(|light| (demo::white(*light).x - truth.light.white.x).abs() < 1e-9)
            .unwrap();
        let card = demo::camera_palette(&encoding, light, 0.0)[demo::material::CARD.index()];
        let to_d65 = Adaptation::Bradford.matrix(primaries::ACES_WHITE, primaries::D65) * primaries::AP1.xyz_from_rgb();
        for method in Adaptation::ALL {
            let balanced =
                method.matrix(from, primaries::D65).apply(to_d65.apply(encoding.aces_from_rgb().apply(card)));
            let read = Xy::from_xyz(balanced);
            // The chain states eight digits of chromaticity.
            assert!((read.x - 0.3127).abs() < 5e-8 && (read.y - 0.3290).abs() < 5e-8, "{}: {read:?}", shot.name);
            // Its luminance is the card's, to what two different adaptations to and from the ACES white leave.
            assert!((balanced[1] / 0.18 - 1.0).abs() < 3e-3, "{} {}: {}", shot.name, method.name(), balanced[1]);
        }
    }
}

/// The `from=x,y` of a chain.
fn stated_white(chain: &str) -> Xy {
    let (_, rest) = chain.split_once("from=").unwrap();
    let (x, y) = rest.split_whitespace().next().unwrap().split_once(',').unwrap();
    Xy::new(x.parse().unwrap(), y.parse().unwrap())
}

#[test]
fn every_patch_and_step_lies_where_the_truth_says() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, &shot.truth);
        let encoding = Encoding::named(&shot.encoding, None).unwrap();
        let gain = truth.exposure_error_stops.exp2();
        for patch in &truth.patches {
            let found = linear(dir, shot, patch.rect);
            let expected = encoding.primaries.rgb_from_xyz().apply(patch.xyz).map(|value| value * gain);
            for (found, expected) in found.iter().zip(expected) {
                // Near and below zero LogC3 is straight: half a code is 1e-4 of light.
                assert!(
                    (found - expected).abs() < HALF_A_CODE * expected.abs() + 1e-4,
                    "{} {}: {found} {expected}",
                    shot.name,
                    patch.name
                );
            }
        }
        let white = encoding.primaries.rgb_from_xyz().apply(truth.light.white.to_xyz());
        for step in &truth.steps {
            let found = linear(dir, shot, step.rect)[1];
            let expected = 0.18 * (step.stops + truth.exposure_error_stops).exp2() * white[1];
            assert!(
                (found - expected).abs() < HALF_A_CODE * expected + 1e-4,
                "{} step {}: {found} {expected}",
                shot.name,
                step.stops
            );
        }
    }
}

#[test]
fn the_truth_picture_is_neutral_and_as_stated() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, &shot.truth);
        let pixels = media::read(&dir.join(&shot.truth_picture)).unwrap().frame.to_pixels(Range::Full);
        // Half float keeps 11 bits: 5e-4 of the value.
        for value in mean(&pixels, truth.card) {
            assert!((value / 0.18 - 1.0).abs() < 5e-4, "{}: {value}", shot.name);
        }
        for patch in &truth.patches {
            for (found, expected) in mean(&pixels, patch.rect).iter().zip(patch.acescg) {
                assert!((found - expected).abs() < 5e-4 * expected.abs() + 1e-6, "{} {}", shot.name, patch.name);
            }
        }
    }
}

#[test]
fn patches_are_distinct_and_possible() {
    let xyz = demo::xyz_palette(demo::Light::D65);
    let lab: Vec<[f64; 3]> =
        xyz[..demo::material::PATCHES].iter().map(|xyz| colour::difference::cielab(*xyz, primaries::D65)).collect();
    for (i, a) in lab.iter().enumerate() {
        for b in &lab[i + 1..] {
            // Two patches under 8 Delta E could be taken for each other in a noisy frame (our own bound).
            assert!(colour::difference::ciede2000(*a, *b) > 8.0, "patch {i}: {a:?} {b:?}");
        }
    }
    for (name, curve) in demo::material::MATERIALS {
        let spectrum = curve.spectrum();
        assert!(spectrum.samples().iter().all(|value| (0.0..=1.0).contains(value)), "{name}");
    }
    for light in [demo::Light::BlueHour, demo::Light::Tungsten, demo::Light::Tubes, demo::Light::D65] {
        assert!(light.spectrum().samples().iter().all(|power| *power >= 0.0), "{light:?}");
    }
}

fn all_files(dir: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files = Vec::new();
    let mut folders = vec![dir.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                files.push((path.strip_prefix(dir).unwrap().to_owned(), fs::read(&path).unwrap()));
            }
        }
    }
    files.sort();
    files
}

#[test]
fn the_same_settings_give_the_same_bytes() {
    let settings = Settings { size: Size { width: 160, height: 90 }, frames: 2, noise: true, seed: 3 };
    let ((first, _), (second, _)) = (written(&settings), written(&settings));
    assert_eq!(all_files(first.path()), all_files(second.path()));
    let (other, _) = written(&Settings { seed: 4, ..settings });
    assert_ne!(all_files(first.path()), all_files(other.path()));
}

#[test]
fn the_rope_swings_and_the_card_stays() {
    let (dir, summary) = written(&quiet(8));
    for shot in &summary.shots {
        let frame = |number: &str| {
            media::read(&dir.path().join(shot.pattern.replace("%04d", number))).unwrap().frame.to_pixels(Range::Full)
        };
        let (first, last) = (frame("0001"), frame("0008"));
        assert_eq!(mean(&first, shot.card), mean(&last, shot.card));
        assert!(first.iter().zip(&last).filter(|(a, b)| a != b).count() > 300, "{}", shot.name);
    }
}

#[test]
fn stops_when_asked_and_leaves_whole_files() {
    let dir = tempfile::tempdir().unwrap();
    let result = demo::write(dir.path(), &quiet(3), &|done, _| done < 4);
    assert!(matches!(result, Err(demo::DemoError::Stopped { done: 4, total: 9 })), "{result:?}");
    let files = all_files(dir.path());
    assert_eq!(files.iter().filter(|(path, _)| path.extension().is_some_and(|e| e == "dpx")).count(), 4);
    assert!(!dir.path().join("shots.json").exists());
    for (path, bytes) in files.iter().filter(|(path, _)| path.extension().is_some_and(|e| e == "dpx")) {
        // SMPTE ST 268-1: a 2048-byte header, then a 32-bit word a pixel.
        assert_eq!(bytes.len(), 2048 + 4 * 320 * 180, "{}", path.display());
    }
}

#[test]
fn settings_out_of_bounds_are_refused_by_name() {
    let dir = tempfile::tempdir().unwrap();
    for (settings, word) in [
        (Settings { size: Size { width: 0, height: 90 }, ..quiet(1) }, "size 0x90"),
        (Settings { size: Size { width: 60_000, height: 60_000 }, ..quiet(1) }, "size 60000x60000"),
        (quiet(0), "frames 0"),
    ] {
        let error = demo::write(dir.path(), &settings, &|_, _| true).unwrap_err().to_string();
        assert!(error.contains(word) && error.contains("choose"), "{error}");
    }
}
