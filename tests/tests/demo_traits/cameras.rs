//! One action by two cameras: balanced on the same card, their colours differ, since one sees by curves of its own.

use colour::difference::ciede2000;

use crate::film::FILM;

#[test]
fn the_second_camera_parts_on_the_chart_once_both_are_balanced() {
    let [main, second] = ["galley_010", "galley_010b"].map(|name| FILM.shot(name));
    let colours = [&main, &second].map(|shot| {
        let same = shot.truly(&shot.truth.pictures.same, 1);
        let of_patch = |patch: &demo::PatchTruth| {
            let light = shot.truth.marks.iter().find(|mark| mark.rect == patch.rect).expect("a patch's mark").level;
            shot.mean(&same, patch.rect).map(|value| value / light)
        };
        shot.corrected(&shot.truth.patches.iter().map(of_patch).collect::<Vec<_>>(), false)
    });
    // The light is none of it: both have the same on every patch.
    for patch in main.truth.marks.iter().filter(|mark| mark.name.starts_with("patch")) {
        let lamp = (patch.shares[0] - second.mark(&patch.name).shares[0]).abs();
        assert!(lamp < 0.003, "{}: {lamp}", patch.name);
    }
    let apart: Vec<f64> = colours[0].iter().zip(&colours[1]).map(|(a, b)| ciede2000(*a, *b)).collect();
    let parted = apart.iter().filter(|apart| **apart > 2.0).count();
    let (worst, name) = apart
        .iter()
        .zip(&main.truth.patches)
        .fold((0.0, ""), |most, (apart, patch)| if *apart > most.0 { (*apart, &patch.name) } else { most });
    let mean = apart.iter().sum::<f64>() / apart.len() as f64;
    println!(
        "cameras: {mean:.2} Delta E 2000 apart in the mean, {worst:.2} at worst ({name}), {parted} patches above 2"
    );
    assert!(parted >= 1, "{apart:.2?}");
}
