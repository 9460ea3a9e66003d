//! Cards of known noise, read again and again: the spread of the readings is what is stated of each.

use colour::Encoding;
use ops::Signal;

use super::*;

/// Codes of ten bits.
const CODE: f64 = 1.0 / 1023.0;
const SIDE: usize = 24;
/// Repeated readings; their spread is known to one part in the root of twice as many.
const AGAIN: usize = 300;
/// How far the stated spread may be from the found one: three and a half of those parts.
const OFF: f64 = 0.143;
const NOTHING: Declared = Declared { card: Tolerance { stops: 0.0, mired: 0.0, duv: 0.0 }, flare: 0.0 };

fn tap() -> Tap {
    Tap::new(Signal::code(&Encoding::named("LogC3", Some(800)).unwrap()))
}

/// Numbers that look like chance.
struct Random(u64);

impl Random {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// The sum of twelve even ones is normal enough.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

/// A warm card's signal, with noise of so many codes over boxes of `box_side` pixels, rounded to codes or not.
fn card(random: &mut Random, signal: [f64; 3], noise: f64, box_side: usize, rounds: bool) -> Vec<[f64; 3]> {
    let wide = SIDE + box_side - 1;
    let grain: Vec<[f64; 3]> = (0..wide * wide).map(|_| [0, 1, 2].map(|_| random.normal())).collect();
    let pixel = |at: usize| {
        let (x, y) = (at % SIDE, at / SIDE);
        let near = (0..box_side).flat_map(|dy| (0..box_side).map(move |dx| (y + dy) * wide + x + dx));
        // The mean of a box varies by one over its side.
        let sum = near.fold([0.0; 3], |sum, at| [0, 1, 2].map(|i| sum[i] + grain[at][i]));
        [0, 1, 2].map(|i| {
            let value = signal[i] + noise * CODE * sum[i] / box_side as f64;
            if rounds { (value / CODE).round() * CODE } else { value }
        })
    };
    (0..SIDE * SIDE).map(pixel).collect()
}

const WARM: [f64; 3] = [0.415_2, 0.384_7, 0.327_3];

fn figures(pixels: &[[f64; 3]]) -> [f64; 3] {
    let light = pixels.iter().fold([0.0; 3], |sum, pixel| {
        let light = tap().light(*pixel);
        [0, 1, 2].map(|i| sum[i] + light[i] / pixels.len() as f64)
    });
    let Figures { mired, duv, stops } = Figures::of(&tap(), light).unwrap();
    [mired, duv, stops]
}

/// Readings of many cards: how far they spread, and what is stated in the mean, of mired, Duv and stops.
fn again(mut one: impl FnMut() -> (Vec<[f64; 3]>, [f64; 3])) -> ([f64; 3], [f64; 3]) {
    let (mut found, mut stated) = ([0.0; 3], [0.0; 3]);
    for _ in 0..AGAIN {
        let (pixels, truth) = one();
        let got = figures(&pixels);
        let Spread { mired, duv, stops } =
            confidence(&tap(), &pixels, SIDE, CODE, [0.9, 1.0, 0.6], &NOTHING).unwrap().total;
        found = [0, 1, 2].map(|i| found[i] + (got[i] - truth[i]).powi(2) / AGAIN as f64);
        stated = [0, 1, 2].map(|i| stated[i] + [mired, duv, stops][i].powi(2) / AGAIN as f64);
    }
    (found.map(f64::sqrt), stated.map(f64::sqrt))
}

#[test]
fn readings_spread_as_stated_with_noise_of_each_pixel_and_noise_that_neighbours_share() {
    let mut random = Random(11);
    for box_side in [1, 2, 4] {
        // Light of noisy code is a little brighter in the mean, so the truth is that of many.
        let all: Vec<_> = (0..40).flat_map(|_| card(&mut random, WARM, 6.0, box_side, true)).collect();
        let truth = figures(&all);
        let (found, stated) = again(|| (card(&mut random, WARM, 6.0, box_side, true), truth));
        println!("boxes of {box_side}: found {found:?}, stated {stated:?}");
        for (found, stated) in found.into_iter().zip(stated) {
            // What lags are cut off costs a little where neighbours share much.
            let off = OFF + if box_side > 2 { 0.08 } else { 0.0 };
            assert!((stated / found - 1.0).abs() < off, "boxes of {box_side}: {found} {stated}");
        }
    }
}

#[test]
fn rounding_shows_where_there_is_no_noise_and_fades_with_it() {
    let mut none = None;
    for noise in [0.0, 0.25, 0.5] {
        let mut random = Random(5);
        let (found, stated) = again(|| {
            let level = WARM.map(|v| v + CODE * random.even());
            (card(&mut random, level, noise, 1, true), figures(&[level]))
        });
        println!("noise of {noise} codes: found {found:?}, stated {stated:?}");
        for ((found, stated), most) in found.into_iter().zip(stated).zip(*none.get_or_insert(stated)) {
            if noise == 0.25 {
                // What is left after rounding says little of the spread before: too much is stated rather than too little.
                assert!(stated > found && stated < most, "{found} {stated} {most}");
            } else {
                assert!((stated / found - 1.0).abs() < OFF + 0.05, "{noise}: {found} {stated}");
            }
        }
    }
    let level = card(&mut Random(1), WARM, 0.0, 1, true);
    let sure = confidence(&tap(), &level, SIDE, CODE, [0.9, 1.0, 0.6], &NOTHING).unwrap();
    assert_eq!(sure.largest(), (Part::Quantisation, true));
    // A float file has no codes, and a flat one no doubt.
    let floats = confidence(&tap(), &[WARM; SIDE * SIDE], SIDE, 0.0, [0.9, 1.0, 0.6], &NOTHING).unwrap();
    assert!(floats.total.size() < 1e-9, "{floats:?}");
}

#[test]
fn uneven_light_is_named_as_gradient_and_noise_is_not() {
    let mut random = Random(2);
    let mut by_noise = 0;
    for _ in 0..AGAIN {
        let noisy = card(&mut random, WARM, 6.0, 1, true);
        let sure = confidence(&tap(), &noisy, SIDE, CODE, [0.9, 1.0, 0.6], &NOTHING).unwrap();
        by_noise += usize::from(sure.largest() != (Part::Noise, true));
    }
    assert!(by_noise <= AGAIN / 50, "{by_noise} of {AGAIN} cards without a gradient have one");
    // A third of a stop from the left to the right: in LogC3 a stop is 0.0744 of signal.
    let mut uneven = card(&mut random, WARM, 6.0, 1, true);
    for (at, pixel) in uneven.iter_mut().enumerate() {
        let by = 0.0744 / 3.0 * ((at % SIDE) as f64 / SIDE as f64 - 0.5);
        *pixel = pixel.map(|v| ((v + by) / CODE).round() * CODE);
    }
    let sure = confidence(&tap(), &uneven, SIDE, CODE, [0.9, 1.0, 0.6], &Declared::default()).unwrap();
    assert_eq!(sure.largest(), (Part::Gradient, true), "{sure:?}");
    // Three columns a ninth of a stop apart: sd of -1/9, 0, 1/9 over nine sub-patches.
    let want = (6.0f64 / 8.0).sqrt() / 9.0;
    let (_, gradient) = sure.parts[2];
    assert!((gradient.stops / want - 1.0).abs() < 0.05, "{gradient:?}");
    // All channels fall alike, so the white is hardly in doubt for it.
    assert!(gradient.mired < 1.0, "{gradient:?}");
}

#[test]
fn what_is_declared_counts_as_declared_and_a_veil_by_its_colour() {
    let flat = [WARM; SIDE * SIDE];
    let sure = |card: Tolerance, flare: f64, veil: [f64; 3]| {
        confidence(&tap(), &flat, SIDE, 0.0, veil, &Declared { card, flare }).unwrap()
    };
    let card = Tolerance { stops: 0.05, mired: 2.0, duv: 0.0005 };
    let own = tap().xyz(tap().light(WARM));
    let alone = sure(card, 0.0, own);
    assert!((alone.total.stops - 0.05).abs() < 1e-9 && (alone.total.mired - 2.0).abs() < 1e-6);
    assert_eq!(alone.largest(), (Part::Card, true));
    // A veil of the card's own colour moves no white, and 2 % of light is log2 of 1 / 0.98.
    let veiled = sure(NOTHING.card, 0.02, own);
    assert!((veiled.total.stops - (1.0f64 / 0.98).log2()).abs() < 1e-9 && veiled.total.mired < 1e-6);
    let blue = sure(NOTHING.card, 0.02, [0.95, 1.0, 1.6]);
    assert!(blue.total.mired > 1.0 && blue.largest() == (Part::Flare, true), "{blue:?}");
    // Parts add as squares.
    let both = sure(card, 0.02, own);
    assert!((both.total.stops - 0.05f64.hypot(veiled.total.stops)).abs() < 1e-9);
    assert_eq!(confidence(&tap(), &flat[..9], 3, 0.0, own, &NOTHING), None);
}
