//! The maps beside a frame: they add up, and the picture can be made of them.

use crate::written::{codes, encoding_of, frame_path, linear, mean, picture, quiet, shared, truth_of, written};
use colour::transfer::Form;
use demo::{FULL, Settings};
use frame::Range;

const WHOLE: f64 = 65_535.0;

#[test]
fn ids_exist_and_shares_add_up() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        let maps = codes(dir, shot, &truth.pictures.maps, 1);
        let shares: Vec<_> = truth.pictures.shares.iter().map(|name| codes(dir, shot, name, 1)).collect();
        for (place, [id, clipped, _]) in maps.iter().enumerate() {
            assert!(usize::from(*id) < truth.materials.len() && *clipped < 8, "{} {place}: {id} {clipped}", shot.name);
            let sum: u32 = shares.iter().flat_map(|group| group[place]).map(u32::from).sum();
            assert_eq!(sum, 65_535, "{} {place}", shot.name);
        }
        for mark in &truth.marks {
            for place in crate::written::places(mark.rect) {
                assert_eq!(usize::from(maps[place][0]), mark.material, "{} {}", shot.name, mark.name);
            }
            // A mean of shares is the share of means where the light is even: on what is flat, but for the card that
            // stands across the edge of two lights.
            let flat = ["grey card", "patch", "dark grey"].iter().any(|kind| mark.name.starts_with(kind));
            if !flat || mark.name == "grey card, edge" {
                continue;
            }
            let found: Vec<f64> =
                shares.iter().flat_map(|group| mean(group, mark.rect)).map(|sum| sum / WHOLE).collect();
            for (found, share) in found.iter().zip(&mark.shares) {
                assert!((found - share).abs() < 0.02, "{} {}: {found} {share}", shot.name, mark.name);
            }
        }
    }
}

#[test]
fn pixels_of_one_material_are_its_colours_by_their_shares() {
    let (dir, summary) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        let maps = codes(dir, shot, &truth.pictures.maps, 1);
        let shares: Vec<_> = truth.pictures.shares.iter().map(|name| codes(dir, shot, name, 1)).collect();
        let same = picture(dir, shot, &truth.pictures.same, 1);
        let working = encoding_of(shot).aces_from_rgb();
        let mut compared = 0;
        for (place, [id, _, own]) in maps.iter().enumerate() {
            // Halves are whole down to 6e-5.
            if *own < 65_535 || same[place][1] < 1e-3 {
                continue;
            }
            let under = &truth.materials[usize::from(*id)].camera;
            let told = shares.iter().flat_map(|group| group[place]);
            let mut sum = [0.0; 3];
            for (share, rgb) in told.zip(under) {
                for c in 0..3 {
                    sum[c] += f64::from(share) / WHOLE * rgb[c];
                }
            }
            let made = working.apply(sum);
            let level = f64::from(same[place][1]) / made[1];
            let most = made.iter().fold(0.0_f64, |most, value| most.max(value.abs())) * level;
            for c in [0, 2] {
                let (found, made) = (f64::from(same[place][c]), made[c] * level);
                // Halves, and shares of 16 bits where a faint source is far stronger in a channel than the others.
                assert!((found - made).abs() < 2e-3 * most, "{} {place} {c}: {found} {made}", shot.name);
            }
            compared += 1;
        }
        assert!(compared > 2000, "{}: {compared}", shot.name);
    }
}

#[test]
fn what_is_told_clipped_is_at_the_sensors_end() {
    let (dir, summary) = shared();
    let mut seen = 0;
    for shot in &summary.shots {
        let truth = truth_of(dir, shot);
        let encoding = encoding_of(shot);
        let maps = codes(dir, shot, &truth.pictures.maps, 1);
        let frame = media::read(&frame_path(dir, shot, 1)).expect("a frame").frame.to_pixels(Range::Full);
        let most = f64::from((1_u32 << truth.sensor.bits) - 1);
        let full = (encoding.transfer.encode(Form::Published, FULL) * most).round();
        for (pixel, [_, clipped, _]) in frame.iter().zip(&maps) {
            for (c, code) in pixel.iter().take(3).enumerate() {
                let code = (f64::from(*code) * most).round();
                let told = clipped & (1 << c) != 0;
                // What lies within half a code of the end has its code too.
                assert!(if told { code == full } else { code <= full }, "{} {code} {full} {clipped}", shot.name);
                seen += usize::from(told);
            }
        }
    }
    assert!(seen > 0, "nothing clips");
}

#[test]
fn noise_is_as_stated() {
    let settings = Settings { noise: true, ..quiet(1) };
    let (dir, summary) = written(&settings);
    let (silent, _) = shared();
    for shot in &summary.shots {
        let truth = truth_of(dir.path(), shot);
        let encoding = encoding_of(shot);
        let back = encoding.aces_from_rgb().inverse().expect("a matrix that has one");
        let light = picture(silent, shot, &truth.pictures.same, 1);
        let frame = linear(dir.path(), shot, 1);
        let step = 1.0 / f64::from((1_u32 << truth.sensor.bits) - 1);
        let (mut sum, mut squares, mut count) = (0.0, 0.0, 0.0);
        for (light, found) in light.iter().zip(&frame) {
            let camera = back.apply([light[0], light[1], light[2]].map(f64::from));
            for c in 0..3 {
                let light = camera[c] + truth.sensor.veil[c];
                if !(0.02..1.0).contains(&light) {
                    continue;
                }
                let code = encoding.transfer.encode(Form::Published, light);
                let slope = (encoding.transfer.decode(Form::Published, code + 1e-5) - light) / 1e-5;
                // Rounding to whole codes spreads evenly over a step: a twelfth of its square.
                let rounded = (slope * step).powi(2) / 12.0;
                let stated = truth.sensor.noise_read.powi(2) + truth.sensor.noise_light * light + rounded;
                let off = (found[c] - light) / stated.sqrt();
                sum += off;
                squares += off * off;
                count += 1.0;
            }
        }
        assert!(count > 10_000.0, "{}: {count}", shot.name);
        let (mean, variance) = (sum / count, squares / count);
        // So many samples know the mean to 1 % of a deviation and the variance to 1.4 %, three times that. Log codes round up as
        // far as down, but not their light, and halves are exact to a twentieth of a deviation at the brightest.
        let near = if truth.sensor.bits == 8 { 0.12 } else { 0.045 };
        assert!(mean.abs() < near && (variance - 1.0).abs() < near, "{}: {mean} {variance}", shot.name);
    }
}
