//! The frames against what their truth says, through the files that a user gets.

use crate::written::{encoding_of, linear, mean, picture, shared, truth_of};
use colour::{Adaptation, Xy, primaries};
use demo::{MarkTruth, Truth};

/// Half a code of LogC3 EI 800 and of S-Log3 at and above a dark grey: .0744 of signal a stop at the least, so .0046 of the
/// value in 10 bits, .0183 in 8; the three channels round on their own.
fn half_a_code(truth: &Truth) -> f64 {
    if truth.sensor.bits == 8 { 0.0195 } else { 0.0048 }
}

/// The same below a dark grey, where curves become straight: LogC3's slope there is 5.37 a light (maker's paper).
fn half_a_dark_code(truth: &Truth) -> f64 {
    if truth.sensor.bits == 8 { 4e-4 } else { 1e-4 }
}

/// What the camera gets of a mark, in linear RGB, from its material, its light and its shares alone.
fn camera_of(truth: &Truth, mark: &MarkTruth, stops: f64) -> [f64; 3] {
    let under = &truth.materials[mark.material].camera;
    std::array::from_fn(|c| {
        let colour: f64 = mark.shares.iter().zip(under).map(|(share, rgb)| share * rgb[c]).sum();
        colour * mark.level * stops.exp2() + truth.sensor.veil[c]
    })
}

/// Marks of one flat paint.
fn flat(truth: &Truth) -> impl Iterator<Item = &MarkTruth> {
    truth.marks.iter().filter(|mark| ["grey card", "patch", "dark grey"].iter().any(|kind| mark.name.starts_with(kind)))
}

#[test]
fn every_flat_mark_reads_as_the_truth_says() {
    let (dir, summary) = shared();
    assert_eq!(summary.shots.len(), 8);
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        let frame = linear(dir, shot, 1);
        // So small, a dark grey may have no pixel of its own.
        assert!(truth.patches.len() == 24 && truth.steps.len() >= 2, "{}: {:?}", shot.name, truth.steps);
        for mark in flat(&truth) {
            let expected = camera_of(&truth, mark, truth.exposure_error_stops);
            for (found, expected) in mean(&frame, mark.rect).into_iter().zip(expected) {
                assert!(
                    (found - expected).abs() < half_a_code(&truth) * expected.abs() + half_a_dark_code(&truth),
                    "{} {}: {found} {expected}",
                    shot.name,
                    mark.name
                );
            }
        }
    }
}

#[test]
fn marks_are_sums_of_their_materials() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        for mark in &truth.marks {
            let sum: f64 = mark.shares.iter().sum();
            assert!((sum - 1.0).abs() < 1e-9 && mark.material < truth.materials.len(), "{}: {sum}", mark.name);
        }
        for mark in flat(&truth) {
            let under = &truth.materials[mark.material].xyz;
            for c in 0..3 {
                let xyz: f64 =
                    mark.level * mark.shares.iter().zip(under).map(|(share, xyz)| share * xyz[c]).sum::<f64>();
                // Weights are single floats.
                assert!((mark.xyz[c] - xyz).abs() < 1e-6, "{} {}: {} {xyz}", shot.name, mark.name, mark.xyz[c]);
            }
        }
        // A perfect diffuser at the card is 1, and the card 18 % of it.
        let card = flat(&truth).find(|mark| mark.name == "grey card").expect("a card");
        assert!((card.xyz[1] - 0.18).abs() < 1e-6, "{}: {:?}", shot.name, card.xyz);
        assert_eq!(card.rect, truth.card);
        let Xy { x, y } = Xy::from_xyz(card.xyz);
        assert!((x - truth.light.white.x).abs() < 1e-7 && (y - truth.light.white.y).abs() < 1e-7, "{}", shot.name);
    }
}

#[test]
fn every_frame_has_its_level_and_white() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        let encoding = encoding_of(shot);
        assert_eq!(truth.frames.len(), 2);
        for told in &truth.frames {
            let frame = linear(dir, shot, told.frame);
            let working = encoding.aces_from_rgb();
            let without = |rgb: [f64; 3]| std::array::from_fn(|c| rgb[c] - truth.sensor.veil[c]);
            let read = Xy::from_xyz(
                (Adaptation::Bradford.matrix(primaries::ACES_WHITE, primaries::D65) * primaries::AP1.xyz_from_rgb())
                    .apply(working.apply(without(mean(&frame, truth.card)))),
            );
            // Half a code a channel moves the chromaticity by about a third of it.
            let near = half_a_code(&truth) / 2.0;
            let Xy { x, y } = told.white_as_read;
            assert!((read.x - x).abs() < near && (read.y - y).abs() < near, "{}: {read:?} {x} {y}", shot.name);
            assert!((told.level.log2() - told.exposure_stops).abs() < 1e-12, "{}", shot.name);
        }
        assert!((truth.frames[0].exposure_stops - truth.exposure_error_stops).abs() < 0.1, "{}", shot.name);
    }
}

#[test]
fn the_stated_correction_makes_the_card_read_d65() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        assert_eq!(shot.correction, truth.correction);
        let (_, rest) = shot.correction.split_once("from=").expect("a white");
        let (x, y) = rest.split_whitespace().next().and_then(|xy| xy.split_once(',')).expect("x,y");
        let from = Xy::new(x.parse().expect("x"), y.parse().expect("y"));
        // The chain by hand, on the card without its veil: camera to ACEScg, ACEScg to XYZ on D65, white balance.
        let card = truth.marks.iter().find(|mark| mark.name == "grey card").expect("a card");
        let camera = camera_of(&truth, card, 0.0);
        let camera: [f64; 3] = std::array::from_fn(|c| camera[c] - truth.sensor.veil[c]);
        let to_d65 = Adaptation::Bradford.matrix(primaries::ACES_WHITE, primaries::D65) * primaries::AP1.xyz_from_rgb();
        let scene = to_d65.apply(encoding_of(shot).aces_from_rgb().apply(camera));
        for method in Adaptation::ALL {
            let balanced = method.matrix(from, primaries::D65).apply(scene);
            let read = Xy::from_xyz(balanced);
            // The chain states eight digits of chromaticity, the plate's weights have seven.
            assert!((read.x - 0.3127).abs() < 2e-7 && (read.y - 0.3290).abs() < 2e-7, "{}: {read:?}", shot.name);
            if truth.camera == "main" {
                // Its luminance is the card's, to what two different adaptations to and from the ACES white leave.
                assert!((balanced[1] / 0.18 - 1.0).abs() < 4e-3, "{} {}: {}", shot.name, method.name(), balanced[1]);
            }
        }
    }
}

#[test]
fn the_truth_pictures_are_as_stated() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        let relit = picture(dir, shot, &truth.pictures.relit, 1);
        let same = picture(dir, shot, &truth.pictures.same, 1);
        let working = encoding_of(shot).aces_from_rgb();
        for mark in flat(&truth) {
            for (found, expected) in mean(&relit, mark.rect).iter().zip(mark.acescg) {
                // Half float keeps 11 bits: 5e-4 of the value.
                assert!((found - expected).abs() < 5e-4 * expected.abs() + 1e-6, "{} {}", shot.name, mark.name);
            }
            let camera = camera_of(&truth, mark, truth.exposure_error_stops);
            let expected = working.apply(std::array::from_fn(|c| camera[c] - truth.sensor.veil[c]));
            let most = expected.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
            for (found, expected) in mean(&same, mark.rect).iter().zip(expected) {
                assert!(
                    (found - expected).abs() < 5e-4 * most + 1e-6,
                    "{} {}: {found} {expected}",
                    shot.name,
                    mark.name
                );
            }
        }
        // The card is neutral where all that falls on it is relit.
        let card = truth.marks.iter().find(|mark| mark.name == "grey card").expect("a card");
        if truth.sources.iter().zip(&card.shares).all(|(source, share)| source.relit || *share < 1e-6) {
            assert!(card.acescg.iter().all(|value| (value - 0.18).abs() < 2e-5), "{}: {:?}", shot.name, card.acescg);
        }
    }
}
