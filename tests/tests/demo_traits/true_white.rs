//! The true correction brings the chart as written to the chart as it was in that light.

use colour::difference::ciede2000;

use crate::film::{FILM, FRAMES, mean};

/// Means in light over a patch and all frames: what is left is rounding and what noise does not average out.
#[test]
fn patches_are_within_half_a_delta_e_of_the_same_light_truth() {
    for shot in FILM.shots() {
        let frames: Vec<_> = (1..=FRAMES).map(|frame| shot.scene(frame)).collect();
        let truths: Vec<_> = (1..=FRAMES).map(|frame| shot.truly(&shot.truth.pictures.same, frame)).collect();
        let over = |pictures: &[Vec<[f64; 3]>]| -> Vec<[f64; 3]> {
            let patches = shot.truth.patches.iter();
            patches.map(|patch| mean(pictures.iter().map(|picture| shot.mean(picture, patch.rect)))).collect()
        };
        let written = shot.corrected(&over(&frames), true);
        let truth = shot.corrected(&over(&truths), false);
        let apart: Vec<f64> = written.iter().zip(&truth).map(|(a, b)| ciede2000(*a, *b)).collect();
        let worst = (0..apart.len()).max_by(|a, b| apart[*a].total_cmp(&apart[*b])).expect("patches");
        let once = shot.corrected(&over(&frames[..1]), true);
        let first = shot.corrected(&over(&truths[..1]), false);
        let once = once.iter().zip(&first).map(|(a, b)| ciede2000(*a, *b)).fold(0.0, f64::max);
        println!(
            "{}: mean {:.3}, at worst {:.3} ({}); one frame {once:.3}",
            shot.name(),
            apart.iter().sum::<f64>() / apart.len() as f64,
            apart[worst],
            shot.truth.patches[worst].name
        );
        let near = if shot.truth.sensor.bits == 8 { 1.0 } else { 0.5 };
        assert!(apart[worst] < near, "{}: {apart:.3?}", shot.name());
    }
}
