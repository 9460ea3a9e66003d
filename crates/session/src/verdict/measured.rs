//! The figures of one row.

use std::sync::Arc;

use gpu::device::Gpu;
use measure::Tap;
use measure::readings::{Statistics, Tristimulus};
use measure::verdict::distance::Distance;
use measure::verdict::{
    Differences, Drift, Hues, Shares, Surface, Tint, best_matrix, change_stops, converted, difference, drift, noise,
    scene_zero, tint,
};

use ops::{MID_GREY, Signal};
use reference::Proof;

use super::anchor::{self, Anchor, Places};
use super::evidence::{Evidence, Truth as Known, inside};
use super::shown::{Shown, Small, output_alone, render};
use super::travel::{Travel, travel};
use super::yardstick::{self, Truth};
use super::{Extent, Gathered, Subject};
use crate::Fault;
use crate::tones::{self, Tones};

/// Everything that is measured of a candidate, of the baseline or of the truth. What cannot be is none.
pub struct Measured {
    /// Its name.
    pub name: String,
    /// Its operations in order.
    pub order: String,
    /// How it is brought to a display.
    pub rendering: String,
    /// The picture at measuring size.
    pub small: Small,
    /// Grey drift.
    pub drift: Option<Drift>,
    /// Signed 10-bit codes of scene zero.
    pub black: Option<[f64; 3]>,
    /// Dark neutrals: stops from the card, and their tint.
    pub tints: Vec<(f64, Tint)>,
    /// Stops by which the card lies above the output transform's own mid grey.
    pub change_stops: Option<f64>,
    /// Surfaces, in the order that they were named.
    pub surfaces: Vec<Surface>,
    /// The picture's hues.
    pub hues: Option<Hues>,
    /// Shadow noise as it is shown, in 10-bit codes.
    pub noise: Option<f64>,
    /// What is clipped and out of gamut.
    pub shares: Option<Shares>,
    /// What is left of the original's tones.
    pub tones: Option<Tones>,
    /// What it costs to travel.
    pub travel: Travel,
    /// How far it is from the anchor shot.
    pub distance: Option<Distance>,
    /// Differences to the truth, over the chart's patches.
    pub patches: Option<Differences>,
    /// What the best 3x3 matrix of scene light would leave of them, before this row's output transform.
    pub best_matrix: Option<Differences>,
    /// Differences to the truth, over the picture.
    pub picture: Option<Differences>,
}

impl Measured {
    /// A picture of which nothing is measured yet.
    pub fn nothing(small: Small) -> Measured {
        Measured {
            name: String::new(),
            order: String::new(),
            rendering: String::new(),
            small,
            drift: None,
            black: None,
            tints: Vec::new(),
            change_stops: None,
            surfaces: Vec::new(),
            hues: None,
            noise: None,
            shares: None,
            tones: None,
            travel: Travel::default(),
            distance: None,
            patches: None,
            best_matrix: None,
            picture: None,
        }
    }
}

/// The anchor shot, and which of the candidates is held against it.
pub type Against<'a> = Option<(&'a Anchor, usize)>;

/// Asked before each part of the work, with its words: an error ends it.
pub type Go<'a> = &'a dyn Fn(&str) -> Result<(), Fault>;

/// What candidates are measured by.
#[derive(Clone, Copy)]
pub struct By<'a> {
    /// The frame.
    pub gathered: &'a Gathered,
    /// What is known of it.
    pub evidence: &'a Evidence,
    /// The truth as it is shown.
    pub truth: Option<&'a Truth>,
    /// How much is measured.
    pub extent: Extent,
    /// What computes.
    pub gpu: Option<&'a Arc<Gpu>>,
}

/// Parts of the work of one row.
pub(super) fn parts(extent: Extent) -> usize {
    match extent {
        Extent::All => 3,
        Extent::Tile => 2,
    }
}

/// Renders and measures a candidate.
///
/// # Errors
/// What computes fails; the anchor is shown on another display; `go` says no.
pub fn measure(subject: &Subject, by: By, anchor: Against, go: Go) -> Result<Measured, Fault> {
    let By { gathered, evidence, truth, extent, gpu } = by;
    let elaborated = &subject.elaborated;
    go(&format!("{}: picture", subject.name))?;
    let shown = render(elaborated, &gathered.frame, gpu)?;
    let region = gathered.region;
    let measured = gathered.frame.crop(region.x(), region.y(), region.width(), region.height());
    let small = shown.small(gathered.region);
    let area = |place| inside(&shown.pixels, shown.size, place);
    let is_scene = gathered.tap.is_scene();
    let grey = evidence.grey.as_ref().filter(|_| is_scene);
    let output = output_alone(elaborated);
    let mid = mid_grey(&output);
    let picture = match (truth, evidence.truth.as_ref().and_then(|truth| truth.picture.as_ref())) {
        (Some(truth), _) if truth.output == output => differences(&small, &truth.row.small),
        (_, Some(pixels)) => differences(&small, &yardstick::shown(&output, pixels, gathered, evidence, gpu)?.0),
        _ => None,
    };
    let surface = |(name, place): &(String, _)| Surface::of(name, &shown.tap, area(*place));
    go(&format!("{}: figures", subject.name))?;
    let distance = match anchor {
        Some((anchor, at)) => {
            let places = Places { region, card: evidence.card, surfaces: evidence.surfaces.clone() };
            let own = anchor::colours(&shown, &places);
            anchor.distance(at, &subject.name, &shown.tap, &own)?
        }
        None => None,
    };
    let is_all = extent == Extent::All;
    let mut row = Measured {
        name: subject.name.clone(),
        order: subject.order.clone(),
        rendering: elaborated.rendering_in_words(),
        drift: grey.map(|grey| drift(&shown.candidate, grey, evidence.occupied)),
        black: is_scene.then(|| scene_zero(&shown.candidate, grey)),
        tints: evidence
            .neutrals
            .iter()
            .filter_map(|(at, place)| Some((*at, tint(&shown.tap, area(*place))?)))
            .collect(),
        change_stops: grey.and_then(|grey| change_stops(&shown.candidate, grey, mid)),
        surfaces: evidence.surfaces.iter().filter_map(surface).collect(),
        hues: Hues::of(small.measured()),
        noise: evidence
            .shadow
            .filter(|_| is_all)
            .and_then(|(block, _)| noise(&shown.tap, &shown.pixels, shown.size, block.region)),
        shares: Shares::of(area(gathered.region)),
        distance,
        patches: evidence.truth.as_ref().and_then(|truth| patches(truth, &shown, &output)),
        picture,
        ..Measured::nothing(small)
    };
    if is_all {
        go(&format!("{}: what it costs to travel", subject.name))?;
        row.tones = tones::of(&measured, elaborated);
        row.travel = travel(elaborated, &shown, gathered)?;
        row.best_matrix = evidence.truth.as_ref().and_then(|truth| best(truth, gathered, &shown.tap, &output));
    }
    Ok(row)
}

/// Luminance of 18 % of neutral scene light through an output transform.
fn mid_grey(output: &graph::Elaborated) -> f64 {
    let tap = Tap::new(output.result_signal.clone());
    tap.xyz(tap.light(Proof::new(output).pixel([MID_GREY; 3])))[1]
}

/// Pixel by pixel; none where sizes differ.
pub fn differences(a: &Small, b: &Small) -> Option<Differences> {
    let alike = a.size == b.size;
    let both = a.colours().zip(b.colours()).zip(&a.counts).filter(|(_, counts)| alike && **counts);
    Differences::of(both.map(|((a, b), _)| difference(&a, &b)))
}

/// What the best matrix of scene light leaves between the patches and the truth, both through the output transform.
fn best(truth: &Known, gathered: &Gathered, tap: &Tap, output: &graph::Elaborated) -> Option<Differences> {
    if !gathered.tap.is_scene() || tap.is_scene() {
        return None;
    }
    let scene = converted(gathered.tap.signal(), &Signal::scene());
    let lit = |place| {
        let light: Vec<_> = inside(&gathered.pixels, gathered.frame.size(), place).map(&scene).collect();
        Statistics::of(&light).map(|of| of.mean)
    };
    let surfaces = truth.patches.iter().map(|(_, place, acescg)| Some((lit(*place)?, *acescg)));
    let proof = Proof::new(output);
    let shown = |light: [f64; 3]| Tristimulus {
        xyz: tap.xyz(tap.light(proof.pixel(light).map(|v| v.clamp(0.0, 1.0)))),
        white_nits: tap.white_nits(),
    };
    best_matrix(&surfaces.collect::<Option<Vec<_>>>()?, shown)
}

/// Each patch's mean light against what the output transform makes of the truth, both as the display shows them.
fn patches(truth: &Known, shown: &Shown, output: &graph::Elaborated) -> Option<Differences> {
    let (proof, tap) = (Proof::new(output), &shown.tap);
    let colour = |light: [f64; 3]| Tristimulus { xyz: tap.xyz(light), white_nits: tap.white_nits() };
    let seen = |signal: [f64; 3]| tap.light(if tap.is_scene() { signal } else { signal.map(|v| v.clamp(0.0, 1.0)) });
    let mut found = Vec::with_capacity(truth.patches.len());
    for (_, place, acescg) in &truth.patches {
        let light: Vec<_> = inside(&shown.pixels, shown.size, *place).map(seen).collect();
        let mean = Statistics::of(&light)?.mean;
        found.push(difference(&colour(mean), &colour(seen(proof.pixel(*acescg)))));
    }
    Differences::of(found)
}
