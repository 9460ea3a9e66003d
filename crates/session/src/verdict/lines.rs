//! The table of figures, as lines of words: what the terminal and the report show.

use measure::readings::WhiteShift;
use measure::verdict::distance::{Divisors, Evidence as By};
use measure::verdict::{CROSSOVER_STOPS, Differences, Point};

use super::Comparison;
use super::figures::{Same, pairs, same, worst_tint};
use super::measured::Measured;
use super::travel::CUBE;
use crate::written::signed as with_sign;

/// What each figure is, in a sentence or two.
pub const WORDS: [(&str, &str); 15] = [
    (
        "grey drift",
        "Grey under the shot's own light, a third of a stop apart, unclamped: the largest Delta E 2000 to the neutral of its luminance (Delta E ITP on PQ and HLG). Below L* 8 the greatest less the least channel in 10-bit codes stands for it. Only tones that the shot has count.",
    ),
    ("crossover", "Mired and Duv of that grey at an end less those at the card: plus is warmer, plus is greener."),
    (
        "black drift",
        "Signed 10-bit codes of no light at all, before any clamp. A rendering that cuts light below zero hides what was negative before it.",
    ),
    (
        "dark neutrals",
        "Mean a* and b* of places known to be neutral, four to six stops below the card, with two standard errors; the worst one.",
    ),
    (
        "hue gap",
        "The angle between two surfaces in Oklab, chroma-weighted circular means; d' is the gap in spreads. Same: both surfaces are within 0.5 Delta E of the yardstick's.",
    ),
    (
        "hues kept",
        "The exponential of the entropy of the chroma-weighted hue histogram, as a share of the yardstick's. Same: the pictures are 0.5 Delta E apart or less in the mean.",
    ),
    ("shadow noise", "Standard deviation of luma where the shot is flattest near four stops below the card."),
    (
        "clipped, out of gamut",
        "Pixels with a channel at or above 1, or below 0 by more than half a 10-bit code, before the clamp.",
    ),
    (
        "mid grey",
        "Stops of the display's light by which the card lies above what the output transform alone makes of 18 %.",
    ),
    (
        "largest step",
        "The largest step that two neighbouring codes of the original are apart on the display, of those that the picture has.",
    ),
    (
        "as a Cube",
        "The candidate baked into a grid over the original's signal, single floats, tetrahedral: Delta E to itself on the picture's pixels.",
    ),
    (
        "as a CLF",
        "The candidate as matrices, curves and lists where it is such, and one grid of 65 for what mixes channels otherwise: Delta E of the written file, read back, on the picture's pixels.",
    ),
    (
        "as a CDL",
        "The ten numbers that come nearest to the candidate, on the original's code (camera) or in ACEScct (log), clamped, before its output transform alone: Delta E on the picture's pixels at the better place.",
    ),
    (
        "from the anchor",
        "The move that makes this picture of the anchor's, as both are shown: stops, mired and Duv of the light, codes of black, slope of contrast, factor of saturation; rest is the Delta E that it leaves. Each names what it stands on: a grey card in both, surfaces in both, or statistics of the whole pictures, which differ with what is in them.",
    ),
    (
        "to the truth",
        "Delta E between what the candidate shows and what its output transform makes of the truth. Best matrix is what the best 3x3 matrix of scene light leaves between the patches and the truth: what no method that only mixes channels betters.",
    ),
];

/// A figure of every row.
pub struct Line {
    /// What it is.
    pub title: String,
    /// In what it is told.
    pub unit: String,
    /// One for each row, in the order of [`Comparison::rows`].
    pub cells: Vec<Cell>,
}

/// A figure.
pub struct Cell {
    /// In words; empty where there is none for this row.
    pub text: String,
    /// Whether it reads 'same'.
    pub same: bool,
}

/// What a row's cell is made of.
type Of<'a> = &'a dyn Fn(&Measured, &Same) -> Option<(String, bool)>;

/// All lines.
pub fn lines(comparison: &Comparison) -> Vec<Line> {
    let rows: Vec<(&Measured, Same)> = comparison.rows().map(|row| (row, same(row, comparison))).collect();
    let no_grey = comparison.evidence.grey.is_none();
    let mut lines = Vec::new();
    let mut add = |title: &str, unit: &str, of: Of| {
        let cell = |(row, same): &(&Measured, Same)| {
            let (text, same) = of(row, same).unwrap_or_default();
            Cell { text, same }
        };
        lines.push(Line { title: title.to_string(), unit: unit.to_string(), cells: rows.iter().map(cell).collect() });
    };
    let itp = rows.iter().any(|(row, _)| row.drift.as_ref().is_some_and(|drift| drift.itp));
    let metric = if itp { "Delta E ITP at stop" } else { "Delta E at stop" };
    let grey = |text: Option<(String, bool)>| {
        if no_grey { Some(("no grey known".to_string(), false)) } else { text }
    };
    let is_candidate = |row: &Measured| row.drift.is_some() || no_grey;
    let wanted = |row: &Measured, text: Option<(String, bool)>| if is_candidate(row) { grey(text) } else { None };

    add("grey drift", metric, &|row, same| {
        let worst = row.drift.as_ref().and_then(|drift| drift.worst);
        let text = |point: Point| Some((format!("{:.2} at {:+.1}", point.delta_e?, point.stops), same.grey_drift));
        wanted(row, worst.and_then(text).or_else(|| Some(("no such tones".to_string(), false))))
    });
    add("grey drift below L* 8", "codes at stop", &|row, same| {
        let worst = row.drift.as_ref().and_then(|drift| drift.worst_dark);
        let text = |point: Point| (format!("{:.1} at {:+.1}", point.spread_codes, point.stops), same.dark_drift);
        wanted(row, worst.map(text).or_else(|| Some(("no such tones".to_string(), false))))
    });
    for (end, stops) in CROSSOVER_STOPS.into_iter().enumerate() {
        add(&format!("crossover at {stops:+.0}"), "mired, Duv", &|row, same| {
            let shift = row.drift.as_ref().and_then(|drift| drift.crossover.get(end).copied().flatten());
            let text = |WhiteShift { mired, duv }| {
                (
                    format!("{}, {}", with_sign(mired, 1), with_sign(duv, 4)),
                    same.crossover.get(end).copied().unwrap_or(false),
                )
            };
            let [low, high] = comparison.evidence.occupied;
            let missing = if (low..=high).contains(&stops) { "no white there" } else { "no such tones" };
            wanted(row, shift.map(text).or_else(|| Some((missing.to_string(), false))))
        });
    }
    add("black drift", "codes R G B", &|row, same| {
        row.black.map(|[r, g, b]| (format!("{} {} {}", signed(r), signed(g), signed(b)), same.black_drift))
    });
    if rows.iter().any(|(row, _)| !row.tints.is_empty()) {
        add("dark neutrals", "a* b*, two sigma", &|row, _| {
            let (stops, tint) = worst_tint(row)?;
            let [a, b] = tint.ab;
            let [sa, sb] = tint.two_sigma;
            let text = format!("{}±{sa:.1} {}±{sb:.1} at {stops:+.1}", with_sign(a, 1), with_sign(b, 1));
            Some((text, measure::verdict::same::delta_e(a.hypot(b))))
        });
    }
    let names: Vec<String> = rows
        .first()
        .map(|(row, _)| pairs(row).map(|(a, b)| format!("{} to {}", a.name, b.name)).collect())
        .unwrap_or_default();
    for (at, name) in names.iter().enumerate() {
        add(&format!("hue gap, {name}"), "degrees, d'", &|row, same| {
            let (a, b) = pairs(row).nth(at)?;
            let gap = a.gap(b);
            let text = match gap.d_prime {
                Some(d_prime) => format!("{:.1}, {d_prime:.1}", gap.degrees),
                None => format!("{:.1}", gap.degrees),
            };
            Some((text, same.hue_gaps))
        });
    }
    let yardstick = comparison.yardstick();
    add("hues kept", "of the yardstick's", &|row, same| {
        let (own, all) = row.hues.as_ref().zip(yardstick?.hues.as_ref())?;
        Some((format!("{:.3}", own.kept_of(all)), same.hues_kept))
    });
    if comparison.evidence.shadow.is_some() {
        add("shadow noise", "codes", &|row, same| row.noise.map(|noise| (format!("{noise:.1}"), same.shadow_noise)));
    }
    add("clipped", "% of pixels", &|row, same| row.shares.map(|of| (percent(of.clipped), same.clipped)));
    add("out of gamut", "% of pixels", &|row, same| row.shares.map(|of| (percent(of.out_of_gamut), same.out_of_gamut)));
    add("mid grey", "stops", &|row, same| {
        wanted(row, row.change_stops.map(|stops| (with_sign(stops, 2), same.mid_grey)))
    });
    if rows.iter().any(|(row, _)| row.tones.is_some()) {
        add("largest step", "codes at code", &|row, same| {
            let tones = row.tones.as_ref()?;
            Some((format!("{:.1} at {}", tones.largest_step, tones.between[0]), same.largest_step))
        });
    }
    add(&format!("as a Cube of {CUBE}"), "Delta E, 95th", &|row, same| {
        row.travel.cube.map(|of| (format!("{:.2}", of.p95), same.cube))
    });
    add("as a CLF", "Delta E, 95th", &|row, same| row.travel.clf.map(|of| (format!("{:.2}", of.p95), same.clf)));
    add("as a CDL", "Delta E, 95th, where", &|row, same| {
        row.travel.best_cdl().map(|of| (format!("{:.2} in {}", of.cost.p95, of.place), same.cdl))
    });
    if let Some(anchor) = &comparison.anchor {
        from_anchor(&anchor.divisors, &mut add);
    }
    for (title, of, alike) in [
        (
            "to the truth, patches",
            (|row| row.patches) as fn(&Measured) -> Option<Differences>,
            (|same| same.patches) as fn(&Same) -> bool,
        ),
        ("to the truth, best matrix", |row| row.best_matrix, |_| false),
        ("to the truth, picture", |row| row.picture, |same| same.picture),
    ] {
        if rows.iter().any(|(row, _)| of(row).is_some()) {
            add(title, "Delta E mean 95th max", &|row, same| {
                of(row).map(|of| (format!("{:.1} {:.1} {:.1}", of.mean, of.p95, of.max), alike(same)))
            });
        }
    }
    lines
}

/// How far each candidate is from the anchor shot, with what each figure stands on.
fn from_anchor(divisors: &Divisors, add: &mut dyn FnMut(&str, &str, Of)) {
    add("from the anchor, light", "stops, mired, Duv, by", &|row, same| {
        let of = row.distance?;
        let white = of.white.map_or("no white".to_string(), |white| {
            format!("{}, {}", with_sign(white.mired, 1), with_sign(white.duv, 4))
        });
        Some((format!("{}, {white}, {}", with_sign(of.stops, 2), of.light_by.name()), same.distance))
    });
    add("from the anchor, black", "codes, by", &|row, same| {
        let of = row.distance?;
        Some(by(of.black_by, with_sign(of.black_codes, 1), same.distance))
    });
    add("from the anchor, contrast", "slope, by", &|row, same| {
        let of = row.distance?;
        Some(by(of.contrast_by, format!("{:.3}", of.contrast), same.contrast))
    });
    add("from the anchor, saturation", "factor, by", &|row, _| {
        let of = row.distance?;
        Some(by(of.saturation_by, format!("{:.3}", of.saturation), false))
    });
    add("from the anchor, rest", "Delta E, mean", &|row, same| {
        Some((format!("{:.1}", row.distance?.rest?), same.rest))
    });
    add("distance from the anchor", "in divisors", &|row, same| {
        Some((format!("{:.1}", row.distance?.size(divisors)?), same.distance))
    });
}

/// A figure with what it stands on.
fn by(evidence: By, figure: String, same: bool) -> (String, bool) {
    match evidence {
        By::Nothing => ("not known".to_string(), false),
        known => (format!("{figure}, {}", known.name()), same),
    }
}

/// Codes with their sign; zero has none.
fn signed(codes: f64) -> String {
    if codes.abs() < 0.5 { "0".to_string() } else { format!("{codes:+.0}") }
}

fn percent(share: f64) -> String {
    format!("{:.1}", 100.0 * share)
}
