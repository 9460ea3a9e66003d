//! Which figures read 'same', and in which order candidates stand.
//!
//! Grey drift is held against neutral, what a file costs and differences to the truth against none, the rest against the yardstick
//! (truth, baseline or first candidate); what the truth does not have, such as noise, against the baseline. What a row would be
//! held against itself for is told in figures.

use measure::readings::Tristimulus;
use measure::verdict::distance::{Distance, Divisors};
use measure::verdict::{Drift, Point, Tint, difference, same};

use super::Comparison;
use super::measured::{Measured, differences};

/// A figure that candidates can be put in order by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// The worst drift of grey.
    GreyDrift,
    /// The largest code of scene zero, whichever its sign.
    BlackDrift,
    /// How far hue gaps are from the yardstick's.
    HueGaps,
    /// Hues kept, the most first.
    HuesKept,
    /// Shadow noise as it is shown.
    ShadowNoise,
    /// The share that is clipped.
    Clipped,
    /// The share out of gamut.
    OutOfGamut,
    /// The luminance change at mid grey, whichever its sign.
    MidGrey,
    /// The largest step on the display.
    LargestStep,
    /// What a Cube LUT costs.
    Cube,
    /// What a CLF costs.
    Clf,
    /// What the nearest colour decision list costs.
    Cdl,
    /// The mean difference to the truth.
    Truth,
    /// The distance from the anchor shot.
    Distance,
}

impl Figure {
    /// All of them.
    pub const ALL: [Figure; 14] = [
        Figure::GreyDrift,
        Figure::BlackDrift,
        Figure::HueGaps,
        Figure::HuesKept,
        Figure::ShadowNoise,
        Figure::Clipped,
        Figure::OutOfGamut,
        Figure::MidGrey,
        Figure::LargestStep,
        Figure::Cube,
        Figure::Clf,
        Figure::Cdl,
        Figure::Truth,
        Figure::Distance,
    ];

    /// Its name as it is typed, and what it is.
    pub fn names(self) -> (&'static str, &'static str) {
        match self {
            Figure::GreyDrift => ("grey-drift", "The worst drift of grey"),
            Figure::BlackDrift => ("black-drift", "The largest code of scene zero, whichever its sign"),
            Figure::HueGaps => ("hue-gaps", "How far hue gaps are from the yardstick's"),
            Figure::HuesKept => ("hues-kept", "Hues kept, the most first"),
            Figure::ShadowNoise => ("shadow-noise", "Shadow noise as it is shown"),
            Figure::Clipped => ("clipped", "The share that is clipped"),
            Figure::OutOfGamut => ("out-of-gamut", "The share out of gamut"),
            Figure::MidGrey => ("mid-grey", "The luminance change at mid grey, whichever its sign"),
            Figure::LargestStep => ("largest-step", "The largest step on the display"),
            Figure::Cube => ("cube", "What a Cube LUT costs"),
            Figure::Clf => ("clf", "What a CLF costs"),
            Figure::Cdl => ("cdl", "What the nearest colour decision list costs"),
            Figure::Truth => ("truth", "The mean difference to the truth"),
            Figure::Distance => ("distance", "The distance from the anchor shot"),
        }
    }
}

/// For each figure of a row, whether it cannot be told from what it is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub struct Same {
    /// Grey drift.
    pub grey_drift: bool,
    /// The spread of grey's codes below L* 8.
    pub dark_drift: bool,
    /// Crossover at each of its stops.
    pub crossover: [bool; 2],
    /// The codes of scene zero.
    pub black_drift: bool,
    /// The surfaces' colours, so that their gaps are the same too.
    pub hue_gaps: bool,
    /// The picture, so that its hues are the same too.
    pub hues_kept: bool,
    /// Shadow noise.
    pub shadow_noise: bool,
    /// The clipped share.
    pub clipped: bool,
    /// The share out of gamut.
    pub out_of_gamut: bool,
    /// The luminance of the card.
    pub mid_grey: bool,
    /// The largest step.
    pub largest_step: bool,
    /// The picture through a Cube LUT.
    pub cube: bool,
    /// The picture through a CLF.
    pub clf: bool,
    /// The picture through the nearest decision list.
    pub cdl: bool,
    /// Light and black beside the anchor shot's.
    pub distance: bool,
    /// Contrast beside the anchor shot's.
    pub contrast: bool,
    /// What a move from the anchor's picture leaves.
    pub rest: bool,
    /// The chart's patches beside the truth's.
    pub patches: bool,
    /// The picture beside the truth's.
    pub picture: bool,
}

/// What reads 'same' of a row.
pub fn same(row: &Measured, comparison: &Comparison) -> Same {
    let other = |of: &&Measured| !std::ptr::eq(*of, row);
    let (yardstick, base) = (comparison.yardstick().filter(other), comparison.base().filter(other));
    // What is not known is never the same.
    let both = |own: Option<f64>, other: Option<f64>, alike: fn(f64, f64) -> bool| {
        own.zip(other).is_some_and(|(own, other)| alike(own, other))
    };
    let of_base = |of: fn(&Measured) -> Option<f64>| base.and_then(of);
    let codes = |a: f64, b: f64| same::codes([a], [b]);
    let clipped = |row: &Measured| row.shares.map(|shares| shares.clipped);
    let outside = |row: &Measured| row.shares.map(|shares| shares.out_of_gamut);
    let step = |row: &Measured| row.tones.as_ref().map(|of| of.largest_step);
    let below =
        |differences: Option<measure::verdict::Differences>| differences.is_some_and(|of| same::delta_e(of.p95));
    Same {
        grey_drift: row.drift.as_ref().and_then(|of| of.worst?.delta_e).is_some_and(same::delta_e),
        dark_drift: row.drift.as_ref().and_then(|of| of.worst_dark).is_some_and(|of| codes(of.spread_codes, 0.0)),
        crossover: [0, 1].map(|end| row.drift.as_ref().is_some_and(|drift| is_straight(drift, end))),
        black_drift: row.black.zip(base.and_then(|base| base.black)).is_some_and(|(a, b)| same::codes(a, b)),
        hue_gaps: yardstick.is_some_and(|yardstick| {
            let pairs = row.surfaces.iter().zip(&yardstick.surfaces);
            !row.surfaces.is_empty() && pairs.into_iter().all(|(own, other)| same::delta_e(own.delta_e(other)))
        }),
        hues_kept: yardstick
            .and_then(|yardstick| differences(&row.small, &yardstick.small))
            .is_some_and(|of| same::delta_e(of.mean)),
        shadow_noise: both(row.noise, of_base(|row| row.noise), codes),
        clipped: both(clipped(row), of_base(clipped), same::shares),
        out_of_gamut: both(outside(row), of_base(outside), same::shares),
        mid_grey: is_at_mid_grey(row),
        largest_step: both(step(row), of_base(step), codes),
        cube: below(row.travel.cube),
        clf: below(row.travel.clf),
        cdl: below(row.travel.best_cdl().map(|of| of.cost)),
        distance: row.distance.as_ref().is_some_and(Distance::is_same),
        contrast: row.distance.as_ref().is_some_and(Distance::is_same_in_contrast),
        rest: row.distance.and_then(|of| of.rest).is_some_and(same::delta_e),
        patches: below(row.patches),
        picture: below(row.picture),
    }
}

/// Whether grey is neutral at 0 and at an end.
fn is_straight(drift: &Drift, end: usize) -> bool {
    let stops = measure::verdict::CROSSOVER_STOPS.get(end).copied();
    let neutral = |point: &&Point| match point.delta_e {
        Some(delta_e) => same::delta_e(delta_e),
        None => same::codes([point.spread_codes], [0.0]),
    };
    let at = |stops: f64| drift.points.iter().find(|point| point.stops == stops);
    let known = drift.crossover.get(end).is_some_and(Option::is_some);
    known && at(0.0).is_some_and(|point| neutral(&point)) && stops.and_then(at).is_some_and(|point| neutral(&point))
}

fn is_at_mid_grey(row: &Measured) -> bool {
    let card = row.drift.as_ref().and_then(|drift| drift.points.iter().find(|point| point.stops == 0.0));
    let Some((card, change)) = card.zip(row.change_stops) else { return false };
    let grey = |y: f64| Tristimulus { xyz: colour::primaries::D65.to_xyz().map(|v| v * y), ..card.colour };
    let luminance = card.colour.xyz[1];
    same::delta_e(difference(&grey(luminance), &grey(luminance / change.exp2())))
}

/// The tint that lies farthest from neutral.
pub fn worst_tint(row: &Measured) -> Option<(f64, Tint)> {
    let size = |tint: &Tint| tint.ab[0].hypot(tint.ab[1]);
    row.tints.iter().copied().max_by(|a, b| size(&a.1).total_cmp(&size(&b.1)))
}

/// Puts the candidates in the order of a figure, the least first; those that lack it last.
pub fn sort(comparison: &mut Comparison, figure: Figure) {
    let Some(yardstick) = comparison.yardstick() else { return };
    let gaps = pairs(yardstick).map(|(a, b)| a.gap(b).degrees).collect::<Vec<_>>();
    let hues = yardstick.hues.as_ref().map(measure::verdict::Hues::count);
    let divisors = comparison.anchor.as_ref().map_or_else(Divisors::default, |anchor| anchor.divisors);
    let value = |row: &Measured| -> Option<f64> {
        match figure {
            Figure::GreyDrift => row.drift.as_ref()?.worst?.delta_e,
            Figure::BlackDrift => row.black.map(|codes| codes.into_iter().fold(0.0, |most, v| f64::max(most, v.abs()))),
            Figure::HueGaps => {
                let off = pairs(row).zip(&gaps).map(|((a, b), wanted)| (a.gap(b).degrees - wanted).abs());
                off.reduce(f64::max)
            }
            Figure::HuesKept => row.hues.as_ref().zip(hues).map(|(own, all)| -own.count() / all),
            Figure::ShadowNoise => row.noise,
            Figure::Clipped => row.shares.map(|shares| shares.clipped),
            Figure::OutOfGamut => row.shares.map(|shares| shares.out_of_gamut),
            Figure::MidGrey => row.change_stops.map(f64::abs),
            Figure::LargestStep => row.tones.as_ref().map(|of| of.largest_step),
            Figure::Cube => row.travel.cube.map(|of| of.p95),
            Figure::Clf => row.travel.clf.map(|of| of.p95),
            Figure::Cdl => row.travel.best_cdl().map(|of| of.cost.p95),
            Figure::Distance => row.distance.and_then(|of| of.size(&divisors)),
            Figure::Truth => row.patches.or(row.picture).map(|of| of.mean),
        }
    };
    let keyed: Vec<f64> = comparison.candidates.iter().map(|row| value(row).unwrap_or(f64::INFINITY)).collect();
    let mut candidates: Vec<_> = keyed.into_iter().zip(std::mem::take(&mut comparison.candidates)).collect();
    candidates.sort_by(|a, b| a.0.total_cmp(&b.0));
    comparison.candidates = candidates.into_iter().map(|(_, row)| row).collect();
}

/// Every two surfaces.
pub fn pairs(row: &Measured) -> impl Iterator<Item = (&measure::verdict::Surface, &measure::verdict::Surface)> {
    let rest = |at: usize| row.surfaces.iter().skip(at + 1);
    row.surfaces.iter().enumerate().flat_map(move |(at, first)| rest(at).map(move |second| (first, second)))
}
