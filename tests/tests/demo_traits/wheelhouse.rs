//! The wheelhouse: a paint that parts from the card, signals outside AP1, flicker.

use colour::difference::{ciede2000, cielab};
use colour::{Xy, primaries};

use crate::film::{CHANGING, FILM, FRAMES, WHOLE, mean, number};

/// Fewest pixels of a signal that are worth measuring.
const ENOUGH: usize = 12;
/// The share of a signal in a pixel's light from which on the pixel is its own.
const MAINLY: u16 = WHOLE / 5 * 4;

#[test]
fn a_grey_paint_parts_from_the_card_under_the_tubes_alone() {
    for name in ["wheelhouse_010", "wheelhouse_020"] {
        let shot = FILM.shot(name);
        let (card, paint) = (shot.mark("grey card"), shot.mark("metameric paint"));
        let frames: Vec<_> = (1..=FRAMES).map(|frame| shot.scene(frame)).collect();
        let read = |mark: &demo::MarkTruth| mean(frames.iter().map(|frame| shot.mean(frame, mark.rect)));
        // Each in its own light, which is not all even.
        let lit = [card, paint].map(|mark| read(mark).map(|light| light / mark.level));
        let shown = shot.corrected(&lit, true);
        let relit = shot.truly(&shot.truth.pictures.relit, 1);
        let truth = [card, paint].map(|mark| {
            let light = shot.mean(&relit, mark.rect).map(|light| light / mark.level);
            // Equal RGB is the white, whatever its chromaticity is called.
            let white = Xy::from_xyz(primaries::AP1.xyz_from_rgb().apply([1.0; 3]));
            cielab(primaries::AP1.xyz_from_rgb().apply(light), white)
        });
        let (tubes, day) = (ciede2000(shown[0], shown[1]), ciede2000(truth[0], truth[1]));
        println!("{name}: card and paint are {tubes:.2} Delta E 2000 apart under the tubes, {day:.3} under D65");
        assert!(tubes > 3.0 && day < 0.5, "{name}: {tubes} {day}");
    }
}

#[test]
fn radar_and_red_lamp_lie_outside_ap1() {
    for name in ["wheelhouse_010", "wheelhouse_020"] {
        let shot = FILM.shot(name);
        let same = shot.truly(&shot.truth.pictures.same, 1);
        for source in ["radar", "red lamp"] {
            let at = shot.truth.sources.iter().position(|own| own.name == source).expect("a source");
            let white = shot.truth.sources[at].white;
            let rgb =
                primaries::AP1.rgb_from_xyz().apply([white.x / white.y, 1.0, (1.0 - white.x - white.y) / white.y]);
            let shares = shot.map(&shot.truth.pictures.shares[at / 3], 1);
            let all: Vec<[f64; 3]> = shares
                .iter()
                .zip(&same)
                .filter(|(share, light)| share[at % 3] >= MAINLY && light.iter().any(|v| *v > 0.01))
                .map(|(_, light)| *light)
                .collect();
            let outside = all.iter().filter(|light| light.iter().any(|v| *v < -1e-3)).count();
            println!(
                "{name}: {source} is AP1 {rgb:.3?}; {outside} of {} pixels that it mainly lights are outside",
                all.len()
            );
            assert!(rgb.iter().any(|v| *v < -0.01), "{name} {source}: {rgb:?}");
            assert!(outside >= ENOUGH && 2 * outside > all.len(), "{name} {source}: {outside} of {}", all.len());
        }
    }
}

/// Tubes at 50 Hz and 24 frames a second repeat every sixth frame; eight times as many frames say how strong each is.
#[test]
fn the_card_flickers_by_eight_hundredths_of_a_stop() {
    let shot = CHANGING.shot("wheelhouse_010");
    let read: Vec<f64> = shot.probed(shot.mark("grey card").rect).iter().map(|r| number(&r["stops"])).collect();
    assert_eq!(read.len(), 48);
    let phase = |at: usize| read.iter().skip(at).step_by(6).sum::<f64>() / 8.0;
    let phases: Vec<f64> = (0..6).map(phase).collect();
    let most = phases.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b));
    let least = phases.iter().fold(f64::INFINITY, |a, b| a.min(*b));
    println!("wheelhouse_010: the card flickers by {:.4} stop, phases {phases:.4?}", most - least);
    // Noise of a card of some hundred pixels is .001 stop a frame.
    assert!((most - least - 0.08).abs() < 0.004, "{phases:?}");
    // It is the film's light and no reading's chance: the same as the truth's, frame by frame.
    for (read, frame) in read.iter().zip(&shot.truth.frames) {
        assert!((read - frame.exposure_stops).abs() < 0.02, "frame {}: {read} {}", frame.frame, frame.exposure_stops);
    }
}
