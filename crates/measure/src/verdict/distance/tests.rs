//! Pictures that are moved by known numbers, with the operations of the program, come back as those numbers.

use colour::locus::{kelvin_from_mired, xy_from_cct_duv};
use ops::{Contrast, Display, Pointwise as _, Saturation, Signal};

use super::*;

/// What is done to a picture, in the order of the module's formula.
#[derive(Debug, Clone, Copy)]
struct Known {
    stops: f64,
    mired: f64,
    duv: f64,
    black: f64,
    contrast: f64,
    saturation: f64,
}

const NONE: Known = Known { stops: 0.0, mired: 0.0, duv: 0.0, black: 0.0, contrast: 1.0, saturation: 1.0 };

fn shown() -> Tap {
    Tap::new(Display::Bt1886.signal(100.0, 0.0))
}

/// Moves the light of a pixel on AP1; noise is added to the shown signal.
fn moved(known: Known, noise: f64) -> impl FnMut([f64; 3]) -> [f64; 3] {
    let scene = Signal::scene();
    let saturation = Saturation { factor: known.saturation }.eval(&scene);
    let contrast = Contrast { slope: known.contrast, ..Contrast::default() }.eval(&scene);
    // White of the wanted shift from D65, by the locus itself.
    let at = Tristimulus { xyz: D65.to_xyz(), white_nits: None };
    let (kelvin, duv) = at.cct_duv().unwrap();
    let white = xy_from_cct_duv(kelvin_from_mired(mired_from_kelvin(kelvin) + known.mired), duv + known.duv).unwrap();
    let gains = fit::ap1(white.to_xyz()).map(|v| v * known.stops.exp2());
    let mut random = Random(7);
    move |light| {
        let light = contrast(saturation(light));
        let light = [0, 1, 2].map(|i| light[i] * gains[i]);
        let own = shown().light_of_xyz(Tap::new(Signal::scene()).xyz(light)).unwrap();
        let signal = shown().signal_of_light(own).map(|v| v + known.black / 1023.0 + noise * random.normal());
        shown().xyz(shown().light(signal))
    }
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

/// A picture on AP1: tones over nine stops with colours of all hues, and some near black.
fn picture() -> Vec<[f64; 3]> {
    let mut random = Random(3);
    (0..20_000)
        .map(|at| {
            let stops = 3.0 * random.normal().clamp(-2.2, 0.75) - 1.0 - if at % 50 == 0 { 6.0 } else { 0.0 };
            let level = 0.18 * stops.exp2();
            let [r, b] = [0.25 * random.normal(), 0.25 * random.normal()];
            [r, -0.3 * (r + b), b].map(|log: f64| level * log.exp())
        })
        .collect()
}

/// Surfaces on AP1: skin, leaf, cloth, wood, and one near black.
const SURFACES: [(&str, [f64; 3]); 5] = [
    ("skin", [0.42, 0.28, 0.21]),
    ("leaf", [0.09, 0.13, 0.05]),
    ("cloth", [0.05, 0.08, 0.19]),
    ("wood", [0.2, 0.13, 0.08]),
    ("slate", [0.0021, 0.002, 0.0023]),
];

fn colours(known: Known, noise: f64, card: bool, surfaces: usize, statistics: bool) -> Colours {
    let mut by = moved(known, noise);
    // Of a surface, a hundred pixels are averaged as light.
    let mut mean = |light: [f64; 3]| {
        let all: Vec<_> = (0..if noise > 0.0 { 100 } else { 1 }).map(|_| by(light)).collect();
        all.iter().fold([0.0; 3], |sum, xyz| [0, 1, 2].map(|i| sum[i] + xyz[i] / all.len() as f64))
    };
    let card = card.then(|| mean([0.18; 3]));
    let surfaces = SURFACES[..surfaces].iter().map(|(name, light)| ((*name).to_string(), mean(*light))).collect();
    let tones = statistics.then(|| tones(picture().into_iter().map(&mut by)).unwrap());
    Colours { card, surfaces, tones }
}

fn measured(known: Known, noise: f64, card: bool, surfaces: usize, statistics: bool) -> Distance {
    let of = |known| colours(known, noise, card, surfaces, statistics);
    distance(&shown(), &of(NONE), &of(known)).unwrap()
}

/// How far each figure may be off: stops, mired, Duv, codes, contrast, saturation.
fn check(known: Known, got: &Distance, off: [f64; 6]) {
    let white = got.white.unwrap();
    let pairs = [
        (got.stops, known.stops),
        (white.mired, known.mired),
        (white.duv, known.duv),
        (got.black_codes, known.black),
        (got.contrast, known.contrast),
        (got.saturation, known.saturation),
    ];
    for (at, ((got_one, want), off)) in pairs.into_iter().zip(off).enumerate() {
        assert!((got_one - want).abs() <= off, "figure {at}: {got_one}, not {want}, of {known:?}: {got:?}");
    }
}

fn every() -> [Known; 8] {
    [
        NONE,
        Known { stops: 0.4, ..NONE },
        Known { mired: 12.0, ..NONE },
        Known { duv: -0.004, ..NONE },
        Known { black: 9.0, ..NONE },
        Known { contrast: 1.15, ..NONE },
        Known { saturation: 0.85, ..NONE },
        Known { stops: -0.3, mired: -9.0, duv: 0.002, black: 6.0, contrast: 0.93, saturation: 1.1 },
    ]
}

#[test]
fn moved_surfaces_come_back_as_the_move() {
    for known in every() {
        let got = measured(known, 0.0, false, 5, false);
        // Luminance of a shifted white moves a little, which is stops too.
        check(known, &got, [1e-6, 1e-4, 1e-7, 1e-4, 1e-6, 1e-6]);
        assert_eq!([got.light_by, got.black_by, got.contrast_by, got.saturation_by], [Evidence::Surfaces; 4]);
        assert!(got.rest.unwrap() < 1e-4, "{got:?}");
        // With noise of two codes a pixel, averaged over a hundred of them.
        check(known, &measured(known, 0.002, false, 5, false), [0.01, 0.6, 4e-4, 1.5, 0.01, 0.02]);
    }
}

#[test]
fn a_card_is_read_and_the_rest_is_by_the_weaker_evidence() {
    for known in every().into_iter().filter(|known| known.black == 0.0) {
        let got = measured(known, 0.0, true, 0, true);
        check(known, &got, [1e-6, 1e-4, 1e-7, 1.0, 0.01, 0.02]);
        assert_eq!(
            [got.light_by, got.black_by, got.contrast_by],
            [Evidence::Card, Evidence::Statistics, Evidence::Statistics]
        );
    }
    // A dark surface takes a raised black off the card.
    let all = every()[7];
    check(all, &measured(all, 0.0, true, 5, true), [1e-6, 1e-4, 1e-7, 1e-4, 1e-6, 1e-6]);
    // A card alone says nothing of tones.
    let alone = measured(every()[1], 0.0, true, 0, false);
    assert_eq!((alone.contrast_by, alone.contrast, alone.rest), (Evidence::Nothing, 1.0, None));
}

#[test]
fn a_moved_picture_comes_back_by_its_statistics_alone() {
    for known in every() {
        for (noise, off) in [(0.0, [0.01, 0.5, 3e-4, 0.6, 0.01, 0.02]), (0.004, [0.02, 1.0, 6e-4, 1.5, 0.02, 0.03])] {
            let got = measured(known, noise, false, 0, true);
            println!("{known:?}\n  {got:?}");
            check(known, &got, off);
            assert_eq!([got.light_by, got.saturation_by], [Evidence::Statistics; 2]);
        }
    }
}

#[test]
fn what_is_not_told_is_that_of_no_move_and_nothing_in_common_is_no_distance() {
    // Two surfaces of nearly one level, none dark: no contrast and no black.
    let level = |known| Colours {
        surfaces: vec![
            ("skin".into(), moved(known, 0.0)([0.3, 0.2, 0.15])),
            ("leaf".into(), moved(known, 0.0)([0.12, 0.2, 0.1])),
        ],
        ..Colours::default()
    };
    let known = Known { stops: 0.5, ..NONE };
    let got = distance(&shown(), &level(NONE), &level(known)).unwrap();
    check(known, &got, [1e-5, 1e-3, 1e-6, 0.0, 0.0, 1e-5]);
    assert_eq!(
        (got.black_by, got.contrast_by, got.saturation_by),
        (Evidence::Nothing, Evidence::Nothing, Evidence::Surfaces)
    );
    let other = Colours { surfaces: vec![("sea".into(), [0.2; 3])], ..Colours::default() };
    assert_eq!(distance(&shown(), &other, &level(NONE)), None);
    assert_eq!(distance(&shown(), &Colours::default(), &Colours::default()), None);
    assert_eq!(tones(std::iter::repeat_n([0.1; 3], LEAST_PIXELS - 1)), None);
}

#[test]
fn sizes_are_by_the_design_s_formula_and_same_is_by_the_eye() {
    let known = Known { stops: 0.2, mired: 10.0, duv: 0.003, black: 0.0, ..NONE };
    let got = measured(known, 0.0, true, 0, false);
    let size = got.size(&Divisors::default()).unwrap();
    assert!((size - (4.0f64 + 4.0 + 9.0).sqrt()).abs() < 1e-3, "{size}");
    let stops_alone = Divisors { mired: f64::INFINITY, duv: f64::INFINITY, black: f64::INFINITY, stops: 1.0 };
    assert!((got.size(&stops_alone).unwrap() - 0.2).abs() < 1e-6);
    assert!(!got.is_same() && measured(NONE, 0.0, true, 0, true).is_same());
    // A hundredth of a stop is less than half a Delta E at mid grey.
    assert!(measured(Known { stops: 0.01, ..NONE }, 0.0, true, 0, false).is_same());
    let raised = Known { black: 3.0, ..NONE };
    assert!(!measured(raised, 0.0, false, 5, false).is_same());
}
