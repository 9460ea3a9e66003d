//! The few small frames that the repository keeps.

use std::path::Path;

use crate::written::{quiet, written};
use demo::{Settings, TruthPictures};
use frame::{Range, Size};

#[test]
fn the_frames_that_are_kept_are_those_that_are_drawn() {
    let shots = ["deck_010", "galley_010", "wheelhouse_010"];
    let (dir, _) = written(&Settings {
        size: Size { width: 240, height: 135 },
        shots: shots.map(str::to_owned).to_vec(),
        noise: true,
        seed: 1,
        truth: TruthPictures::First,
        ..quiet(1)
    });
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-media");
    for shot in shots {
        let name = format!("{shot}.0001.dpx");
        let read =
            |path: &Path| media::read(path).unwrap_or_else(|error| panic!("{error}")).frame.to_pixels(Range::Full);
        let (kept, drawn) = (read(&kept.join(&name)), read(&dir.path().join(shot).join(&name)));
        assert_eq!(kept.len(), drawn.len());
        // Another platform's sines and powers may turn a ray at an edge, here and there.
        let apart = kept.iter().zip(&drawn).filter(|(a, b)| (0..3).any(|c| (a[c] - b[c]).abs() > 1.5 / 1023.0)).count();
        assert!(
            apart * 100 < kept.len(),
            "{name}: {apart} pixels differ; write it again with 240x135, one frame, seed 1"
        );
    }
}
