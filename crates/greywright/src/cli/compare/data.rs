//! The comparison as JSON: every figure with all its digits, and what reads 'same'.

use measure::scopes::Region;
use measure::verdict::distance::{Distance, Divisors};
use measure::verdict::{Differences, Drift, Point, same as limits};
use serde::Serialize;
use session::tones::Tones;
use session::verdict::figures::{Same, pairs, same};
use session::verdict::measured::differences;
use session::verdict::travel::{AsCdl, CUBE};
use session::verdict::{Comparison, Measured};

use crate::cli::confidence;

#[derive(Serialize)]
pub struct Answer {
    what: String,
    file: String,
    frame: i64,
    /// Left, top, width, height of what is measured.
    region: [u32; 4],
    executor: String,
    grey: Option<GreyData>,
    grey_in_words: String,
    /// How sure the card's reading is; spreads are one standard deviation.
    confidence: Option<confidence::Data>,
    /// Stops from the card that the shot has.
    occupied: Option<[f64; 2]>,
    shadow: Option<ShadowData>,
    /// The name of the row that hues and pictures are held against.
    yardstick: Option<String>,
    same_below: Limits,
    anchor: Option<AnchorData>,
    rows: Vec<Row>,
    /// Differences between every two candidates' pictures.
    pictures: Vec<Pair>,
}

#[derive(Serialize)]
struct AnchorData {
    what: String,
    divisors: DivisorData,
}

#[derive(Serialize)]
struct DivisorData {
    stops: f64,
    mired: f64,
    duv: f64,
    black_codes: f64,
}

/// How far from the anchor shot, with what each figure stands on.
#[derive(Serialize)]
struct DistanceData {
    stops: f64,
    mired: Option<f64>,
    duv: Option<f64>,
    light_by: &'static str,
    black_codes: f64,
    black_by: &'static str,
    contrast: f64,
    contrast_by: &'static str,
    saturation: f64,
    saturation_by: &'static str,
    /// Mean Delta E.
    rest: Option<f64>,
    size: Option<f64>,
}

#[derive(Serialize)]
struct Limits {
    delta_e: f64,
    ten_bit_codes: f64,
}

#[derive(Serialize)]
struct GreyData {
    known: &'static str,
    x: f64,
    y: f64,
    kelvin: Option<f64>,
    duv: Option<f64>,
    stops_over: f64,
}

#[derive(Serialize)]
struct ShadowData {
    /// Left, top, width, height.
    region: [u32; 4],
    stops: f64,
    /// In the original, 10-bit codes.
    noise: f64,
}

#[derive(Serialize)]
struct Row {
    name: String,
    /// truth, baseline or candidate.
    kind: &'static str,
    order: String,
    rendering: String,
    grey_drift: Option<DriftData>,
    black_codes: Option<[f64; 3]>,
    dark_neutrals: Vec<TintData>,
    mid_grey_stops: Option<f64>,
    surfaces: Vec<SurfaceData>,
    hue_gaps: Vec<GapData>,
    hues: Option<f64>,
    hues_kept: Option<f64>,
    shadow_noise: Option<f64>,
    clipped: Option<f64>,
    out_of_gamut: Option<f64>,
    tones: Option<Tones>,
    cube: Option<Cost>,
    clf: Option<DifferenceData>,
    cdl: Option<CdlData>,
    from_anchor: Option<DistanceData>,
    to_truth_patches: Option<DifferenceData>,
    to_truth_best_matrix: Option<DifferenceData>,
    to_truth_picture: Option<DifferenceData>,
    to_yardstick: Option<DifferenceData>,
    same: Same,
}

#[derive(Serialize)]
struct DriftData {
    metric: &'static str,
    worst: Option<PointData>,
    worst_below_l8: Option<PointData>,
    /// At -4 and at +2 stops: mired and Duv.
    crossover: [Option<[f64; 2]>; 2],
    points: Vec<PointData>,
}

#[derive(Serialize)]
struct PointData {
    stops: f64,
    occupied: bool,
    signal: [f64; 3],
    delta_e: Option<f64>,
    spread_codes: f64,
}

#[derive(Serialize)]
struct TintData {
    stops: f64,
    a: f64,
    b: f64,
    two_sigma: [f64; 2],
    pixels: usize,
    seen: bool,
}

#[derive(Serialize)]
struct SurfaceData {
    name: String,
    degrees: f64,
    chroma: f64,
    spread_degrees: f64,
}

#[derive(Serialize)]
struct GapData {
    from: String,
    to: String,
    degrees: f64,
    d_prime: Option<f64>,
}

#[derive(Serialize)]
struct Cost {
    size: usize,
    delta_e: DifferenceData,
}

/// The nearest decision list at each place, clamped.
#[derive(Serialize)]
struct CdlData {
    /// The place where it costs less.
    best: &'static str,
    places: Vec<ListData>,
}

#[derive(Serialize)]
struct ListData {
    place: &'static str,
    slope: [f64; 3],
    offset: [f64; 3],
    power: [f64; 3],
    saturation: f64,
    delta_e: DifferenceData,
}

#[derive(Serialize, Clone, Copy)]
struct DifferenceData {
    mean: f64,
    p95: f64,
    max: f64,
    count: usize,
}

#[derive(Serialize)]
struct Pair {
    a: String,
    b: String,
    delta_e: DifferenceData,
    same: bool,
}

/// Everything.
pub fn answer(comparison: &Comparison) -> Answer {
    let evidence = &comparison.evidence;
    let [low, high] = evidence.occupied;
    Answer {
        what: comparison.what.clone(),
        file: comparison.file.clone(),
        frame: comparison.number,
        region: place(comparison.region),
        executor: comparison.executor.clone(),
        grey: evidence.grey.map(|grey| {
            let cct = grey.cct_duv();
            GreyData {
                known: grey.known.name(),
                x: grey.white().x,
                y: grey.white().y,
                kelvin: cct.map(|of| of.0),
                duv: cct.map(|of| of.1),
                stops_over: grey.stops_over(),
            }
        }),
        grey_in_words: evidence.grey_in_words.clone(),
        confidence: evidence.confidence.as_ref().map(confidence::Data::from),
        occupied: (low <= high).then_some([low, high]),
        shadow: evidence.shadow.map(|(block, noise)| ShadowData {
            region: place(block.region),
            stops: block.stops,
            noise,
        }),
        yardstick: comparison.yardstick().map(|row| row.name.clone()),
        same_below: Limits { delta_e: limits::DELTA_E, ten_bit_codes: limits::CODES },
        anchor: comparison.anchor.as_ref().map(|anchor| {
            let Divisors { stops, mired, duv, black } = anchor.divisors;
            AnchorData { what: anchor.words.clone(), divisors: DivisorData { stops, mired, duv, black_codes: black } }
        }),
        rows: comparison.rows().map(|of| row(of, comparison)).collect(),
        pictures: pictures(comparison),
    }
}

fn place(region: Region) -> [u32; 4] {
    [region.x(), region.y(), region.width(), region.height()]
}

/// Differences between every two candidates' pictures: name, name, differences.
pub fn between(comparison: &Comparison) -> Vec<(&str, &str, Differences)> {
    let all = &comparison.candidates;
    let mut found = Vec::new();
    for (at, a) in all.iter().enumerate() {
        for b in all.iter().skip(at + 1) {
            found.extend(differences(&a.small, &b.small).map(|of| (a.name.as_str(), b.name.as_str(), of)));
        }
    }
    found
}

fn pictures(comparison: &Comparison) -> Vec<Pair> {
    let pair = |(a, b, of): (&str, &str, Differences)| Pair {
        a: a.to_string(),
        b: b.to_string(),
        delta_e: numbers(of),
        same: limits::delta_e(of.p95),
    };
    between(comparison).into_iter().map(pair).collect()
}

fn row(row: &Measured, comparison: &Comparison) -> Row {
    let yardstick = comparison.yardstick();
    let is = |other: &Option<Measured>| other.as_ref().is_some_and(|other| std::ptr::eq(other, row));
    let kind = match () {
        () if is(&comparison.truth) => "truth",
        () if is(&comparison.baseline) => "baseline",
        () => "candidate",
    };
    Row {
        name: row.name.clone(),
        kind,
        order: row.order.clone(),
        rendering: row.rendering.clone(),
        grey_drift: row.drift.as_ref().map(drift),
        black_codes: row.black,
        dark_neutrals: row
            .tints
            .iter()
            .map(|(stops, tint)| TintData {
                stops: *stops,
                a: tint.ab[0],
                b: tint.ab[1],
                two_sigma: tint.two_sigma,
                pixels: tint.pixels,
                seen: tint.is_seen(),
            })
            .collect(),
        mid_grey_stops: row.change_stops,
        surfaces: row
            .surfaces
            .iter()
            .map(|of| SurfaceData {
                name: of.name.clone(),
                degrees: of.degrees,
                chroma: of.chroma,
                spread_degrees: of.spread_degrees,
            })
            .collect(),
        hue_gaps: pairs(row)
            .map(|(a, b)| {
                let gap = a.gap(b);
                GapData { from: a.name.clone(), to: b.name.clone(), degrees: gap.degrees, d_prime: gap.d_prime }
            })
            .collect(),
        hues: row.hues.as_ref().map(measure::verdict::Hues::count),
        hues_kept: row.hues.as_ref().zip(yardstick.and_then(|of| of.hues.as_ref())).map(|(own, all)| own.kept_of(all)),
        shadow_noise: row.noise,
        clipped: row.shares.map(|of| of.clipped),
        out_of_gamut: row.shares.map(|of| of.out_of_gamut),
        tones: row.tones.clone(),
        cube: row.travel.cube.map(|of| Cost { size: CUBE, delta_e: numbers(of) }),
        clf: row.travel.clf.map(numbers),
        cdl: row
            .travel
            .best_cdl()
            .map(|best| CdlData { best: best.place, places: row.travel.cdl.iter().map(list).collect() }),
        from_anchor: row.distance.map(|of| distance(&of, comparison)),
        to_truth_patches: row.patches.map(numbers),
        to_truth_best_matrix: row.best_matrix.map(numbers),
        to_truth_picture: row.picture.map(numbers),
        to_yardstick: yardstick.and_then(|of| differences(&row.small, &of.small)).map(numbers),
        same: same(row, comparison),
    }
}

fn distance(of: &Distance, comparison: &Comparison) -> DistanceData {
    DistanceData {
        stops: of.stops,
        mired: of.white.map(|white| white.mired),
        duv: of.white.map(|white| white.duv),
        light_by: of.light_by.name(),
        black_codes: of.black_codes,
        black_by: of.black_by.name(),
        contrast: of.contrast,
        contrast_by: of.contrast_by.name(),
        saturation: of.saturation,
        saturation_by: of.saturation_by.name(),
        rest: of.rest,
        size: comparison.anchor.as_ref().and_then(|anchor| of.size(&anchor.divisors)),
    }
}

fn drift(drift: &Drift) -> DriftData {
    DriftData {
        metric: if drift.itp { "Delta E ITP" } else { "Delta E 2000" },
        worst: drift.worst.as_ref().map(point),
        worst_below_l8: drift.worst_dark.as_ref().map(point),
        crossover: drift.crossover.map(|shift| shift.map(|shift| [shift.mired, shift.duv])),
        points: drift.points.iter().map(point).collect(),
    }
}

fn point(point: &Point) -> PointData {
    PointData {
        stops: point.stops,
        occupied: point.occupied,
        signal: point.signal,
        delta_e: point.delta_e,
        spread_codes: point.spread_codes,
    }
}

fn list(of: &AsCdl) -> ListData {
    let ops::Cdl { slope, offset, power, saturation, .. } = of.cdl;
    ListData { place: of.place, slope, offset, power, saturation, delta_e: numbers(of.cost) }
}

fn numbers(of: Differences) -> DifferenceData {
    DifferenceData { mean: of.mean, p95: of.p95, max: of.max, count: of.count }
}
