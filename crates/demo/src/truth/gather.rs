//! Gathers what is true of a shot.

use colour::Xy;
use colour::cct::cct_duv;

use super::spot::{Rect, Spot};
use super::told::{
    FrameTruth, LightTruth, MarkTruth, MaterialTruth, PatchTruth, PicturesTruth, SensorTruth, SourceTruth, StepTruth,
    Truth, numbered,
};
use crate::DemoError;
use crate::film::{FULL, LIGHT, READ, Take};
use crate::light::Light;
use crate::material::{CARD, MATERIALS, Material};
use crate::palette::{as_read, white};
use crate::set_up::{Level, MarkKind};
use crate::write::Settings;

/// Share of a source from which on it is named as part of the light.
const WORTH_NAMING: f64 = 0.02;

/// The truth of a shot.
///
/// # Errors
/// A light on the card that has no colour temperature.
pub fn truth(take: &Take, settings: &Settings) -> Result<Truth, DemoError> {
    let frames = (0..settings.frames).map(|frame| frame_truth(take, frame)).collect::<Result<Vec<_>, _>>()?;
    let first = frame_truth(take, 0)?;
    let marks: Vec<MarkTruth> = take.spots.iter().map(|spot| mark_truth(take, spot)).collect();
    let of_kind =
        |wanted: fn(MarkKind) -> bool| take.spots.iter().zip(&marks).filter(move |(spot, _)| wanted(spot.mark.kind));
    let mut patches: Vec<(usize, PatchTruth)> = of_kind(|kind| matches!(kind, MarkKind::Patch(_)))
        .map(|(spot, mark)| {
            let MarkTruth { rect, xyz, acescg, .. } = mark;
            let patch = PatchTruth { name: spot.material.name().to_owned(), rect: *rect, xyz: *xyz, acescg: *acescg };
            (spot.material.index(), patch)
        })
        .collect();
    patches.sort_by_key(|(index, _)| *index);
    // Greys are as light under every source.
    let lightness = |material: Material| take.colours[0].xyz.at(material.index(), Level::FULL)[1];
    let steps = of_kind(|kind| kind == MarkKind::DarkGrey).map(|(spot, mark)| {
        // A thousandth of a stop says it: the sums have a dozen digits.
        let stops = (lightness(spot.material) / lightness(CARD)).log2();
        StepTruth { rect: mark.rect, stops: (stops * 1e3).round() / 1e3 }
    });
    let pictures = pictures(take, settings);
    Ok(Truth {
        shot: take.shot.name.to_owned(),
        size: [take.size.width, take.size.height],
        encoding: take.shot.encoding_id().to_owned(),
        camera: take.shot.camera.name().to_owned(),
        exposure_error_stops: take.shot.exposure_error_stops,
        light: LightTruth {
            description: description(take),
            white: first.white,
            kelvin: first.kelvin,
            duv: first.duv,
            white_as_read: first.white_as_read,
        },
        sources: take.stage.sources.iter().map(source_truth).collect(),
        correction: correction(take),
        truth_picture: numbered(&pictures.relit, 1),
        pictures,
        card: card(take),
        patches: patches.into_iter().map(|(_, patch)| patch).collect(),
        steps: steps.collect(),
        marks,
        materials: materials(take),
        frames,
        sensor: sensor(take, settings.noise),
    })
}

/// The pictures that are written beside a shot.
fn pictures(take: &Take, settings: &Settings) -> PicturesTruth {
    let groups = take.stage.sources.len().div_ceil(3);
    PicturesTruth {
        frames: settings.truth_frames(),
        same: "same.%04d.exr".to_owned(),
        relit: "relit.%04d.exr".to_owned(),
        maps: "maps.%04d.png".to_owned(),
        shares: (1..=groups).map(|group| format!("shares_{group}.%04d.png")).collect(),
    }
}

/// The first card; there is one in every shot that could be made ready.
fn card(take: &Take) -> Rect {
    let card = take.spots.iter().find(|spot| spot.mark.kind == MarkKind::Card);
    card.map_or(Rect { x: 0, y: 0, width: 1, height: 1 }, |spot| spot.rect)
}

/// The chain that takes a shot's veil, exposure error and light away, as text.
pub fn correction(take: &Take) -> String {
    let levels = take.levels(0);
    let Xy { x, y } = white_as_read(take, &levels);
    let stops = if take.shot.exposure_error_stops == 0.0 { 0.0 } else { -take.shot.exposure_error_stops };
    let veil = if take.shot.veil > 0.0 {
        let [r, g, b] = take.encoding.aces_from_rgb().apply(take.veil(&levels)).map(|veil| veil / 0.18 * 100.0);
        format!(" | flare red={r:.6} green={g:.6} blue={b:.6}")
    } else {
        String::new()
    };
    format!(
        "input-transform encoding={}{veil} | exposure stops={stops:+} | white-balance from={x:.8},{y:.8} to=D65 | \
         output-transform display=BT.1886 rendering=plain",
        take.shot.encoding_id()
    )
}

/// The white of the light on the first card as a reading of the encoded picture gives it.
fn white_as_read(take: &Take, levels: &[Level]) -> Xy {
    as_read(&take.encoding, take.white(levels, |colours| &colours.camera))
}

/// A frame, counted from 0.
fn frame_truth(take: &Take, frame: u32) -> Result<FrameTruth, DemoError> {
    let levels = take.levels(frame);
    let xyz = take.white(&levels, |colours| &colours.xyz);
    let white = Xy::from_xyz(xyz);
    let (kelvin, duv) =
        cct_duv(white).map_err(|error| DemoError::Light { shot: take.shot.name, reason: error.to_string() })?;
    Ok(FrameTruth {
        frame: frame + 1,
        level: xyz[1] * take.shot.exposure_error_stops.exp2(),
        exposure_stops: take.shot.exposure_error_stops + xyz[1].log2(),
        white,
        kelvin,
        duv,
        white_as_read: white_as_read(take, &levels),
        source_levels: levels.iter().map(|level| level.level).collect(),
        source_drift: levels.iter().map(|level| level.gone).collect(),
    })
}

fn mark_truth(take: &Take, spot: &Spot) -> MarkTruth {
    let levels = take.levels(0);
    let plate = take.plate();
    let light: Vec<f64> = spot.light(plate, levels.len()).iter().map(|light| light * take.gain).collect();
    let level: f64 = light.iter().zip(&levels).map(|(light, level)| light * level.level).sum();
    let mut xyz = [0.0; 3];
    let mut acescg = [0.0; 3];
    let count = f64::from(spot.rect.width * spot.rect.height);
    for part in spot.pixels(plate).flatten() {
        let weight = f64::from(part.weight) * take.gain / count;
        let (Some(colours), Some(level)) =
            (take.colours.get(usize::from(part.source)), levels.get(usize::from(part.source)))
        else {
            continue;
        };
        let material = usize::from(part.material);
        for (sum, value) in xyz.iter_mut().zip(colours.xyz.at(material, *level)) {
            *sum += weight * value;
        }
        for (sum, value) in acescg.iter_mut().zip(colours.relit.at(material, Level::FULL)) {
            *sum += weight * value;
        }
    }
    MarkTruth {
        name: spot.mark.name.to_owned(),
        rect: spot.rect,
        material: spot.material.index(),
        level,
        shares: light.iter().zip(&levels).map(|(light, own)| light * own.level / level).collect(),
        xyz,
        acescg,
    }
}

fn source_truth(source: &crate::set_up::Source) -> SourceTruth {
    let own = white(source.light);
    let (kelvin, duv) = cct_duv(own).ok().unzip();
    SourceTruth {
        name: source.name.to_owned(),
        description: source.light.description().to_owned(),
        white: own,
        kelvin,
        duv,
        later_white: source.later.map(white),
        relit: source.relit,
    }
}

fn materials(take: &Take) -> Vec<MaterialTruth> {
    let levels = take.levels(0);
    let as_lit = |level: &Level| Level { level: 1.0, ..*level };
    let material = |(index, (name, _)): (usize, &(&str, crate::material::Curve))| MaterialTruth {
        name: (*name).to_owned(),
        xyz: take.colours.iter().zip(&levels).map(|(of, level)| of.xyz.at(index, as_lit(level))).collect(),
        camera: take.colours.iter().zip(&levels).map(|(of, level)| of.camera.at(index, as_lit(level))).collect(),
        acescg: take.colours.iter().map(|of| of.relit.at(index, Level::FULL)).collect(),
    };
    MATERIALS.iter().enumerate().map(material).collect()
}

/// The light on the first card in words: its sources, the strongest first.
fn description(take: &Take) -> String {
    let mut parts: Vec<(f64, Light)> =
        take.at_card.iter().copied().zip(take.stage.sources.iter().map(|source| source.light)).collect();
    parts.sort_by(|(a, _), (b, _)| b.total_cmp(a));
    let mut named = parts.iter().filter(|(share, _)| *share >= WORTH_NAMING);
    let first = named.next().map_or("no light", |(_, light)| light.description()).to_owned();
    named.fold(first, |words, (share, light)| format!("{words}, with {:.0} % {}", share * 100.0, light.description()))
}

fn sensor(take: &Take, noise: bool) -> SensorTruth {
    let factor = take.shot.noise;
    SensorTruth {
        veil: take.veil(&take.levels(0)),
        veil_share: take.shot.veil,
        noise,
        noise_read: READ * factor,
        noise_light: LIGHT * factor * factor,
        full: FULL,
        bits: take.shot.bits,
    }
}
