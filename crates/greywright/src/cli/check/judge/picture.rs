//! Limits of what the frames show: signal, clipping, gamut, floats, black.

use measure::limits::{Found, Measured};

use super::{Judged, Verdict, Worst};
use crate::cli::check::gather::Shot;
use crate::cli::check::limits::{Limits, Name};

/// What is read of a frame: a figure in the limit's unit and its worst pixel.
type Reading = (f64, Option<(f32, measure::limits::Spot)>);

/// Judges a shot's pictures.
pub fn judge(shot: &Shot, limits: &Limits, verdict: &mut Verdict) {
    let floats = shot.survey.as_ref().is_some_and(|survey| survey.floats.is_some());
    let mut each = |name: Name, applies: bool, read: &dyn Fn(&Measured) -> Option<Reading>| {
        if let Some(allowed) = limits.of(name).filter(|_| applies) {
            verdict.judged.extend(worst_of(shot, name, allowed, read));
        }
    };
    let share = |of: &Measured, found: Found| Some((percent(found.pixels, of.pixels), found.worst));
    let greatest = |of: &Measured, channels: [Found; 3]| {
        let most = channels.into_iter().max_by_key(|found| found.pixels)?;
        // A flat frame is told as such.
        if of.flat.is_some() { None } else { share(of, most) }
    };
    each(Name::R103Area, true, &|of| share(of, of.outside_signal));
    each(Name::ClippedTop, !floats, &|of| greatest(of, of.top));
    each(Name::ClippedBottom, !floats, &|of| greatest(of, of.bottom));
    each(Name::OutsideGamut, shot.meaning.gamut.is_some(), &|of| share(of, of.outside_gamut));
    each(Name::BelowZero, floats, &|of| share(of, of.below_zero));
    // Scene light has no upper end.
    each(Name::AboveOne, floats, &|of| if of.black.is_some() { share(of, of.above_one) } else { None });
    let black = |of: &Measured| of.black.filter(|_| of.flat.is_none());
    each(Name::BlackLevel, true, &|of| black(of).map(|black| (black.level(), Some((0.0, black.darkest)))));
    // The darkest part of a picture without a black has a colour of its own.
    let is_black =
        |level: f64| shot.meaning.black_is_marked || limits.of(Name::BlackLevel).is_none_or(|most| level <= most);
    each(Name::BlackTint, true, &|of| {
        let black = black(of).filter(|black| is_black(black.level()))?;
        Some((black.tint(), Some((0.0, black.darkest))))
    });
    not_finite(shot, limits, verdict);
    for judged in &mut verdict.judged {
        explain(shot, judged);
    }
}

fn percent(pixels: u64, of: u64) -> f64 {
    100.0 * pixels as f64 / of.max(1) as f64
}

/// Holds every frame's figure to a limit; none where no frame has one.
fn worst_of(shot: &Shot, name: Name, allowed: f64, read: &dyn Fn(&Measured) -> Option<Reading>) -> Option<Judged> {
    let limit = name.limit();
    let mut judged: Option<Judged> = None;
    for (number, measured) in &shot.measured {
        let Some((figure, spot)) = read(measured) else { continue };
        let worst = spot.map(|(_, spot)| Worst { frame: *number, x: spot.x, y: spot.y, rgb: spot.rgb });
        let judged = judged.get_or_insert_with(|| Judged {
            limit: limit.name,
            figure: f64::NEG_INFINITY,
            allowed: Some(allowed),
            unit: limit.unit,
            passed: true,
            frames: Vec::new(),
            worst: None,
            words: Vec::new(),
            remedy: limit.remedy,
        });
        if figure > allowed {
            judged.passed = false;
            judged.frames.push(*number);
        }
        if figure > judged.figure {
            (judged.figure, judged.worst) = (figure, worst);
        }
    }
    judged
}

/// Values that are no numbers are counted over all frames, those of the originals among them.
fn not_finite(shot: &Shot, limits: &Limits, verdict: &mut Verdict) {
    let Some(allowed) = limits.of(Name::NotFinite) else { return };
    let with = |(number, of): &(i64, Measured)| {
        let (_, spot) = of.not_finite.worst?;
        Some((of.not_finite.pixels, Worst { frame: *number, x: spot.x, y: spot.y, rgb: spot.rgb }))
    };
    let found: Vec<(u64, Worst)> = shot.measured.iter().filter_map(with).collect();
    let figure = found.iter().map(|(pixels, _)| pixels).sum::<u64>() + shot.replaced;
    let limit = Name::NotFinite.limit();
    let words = if shot.replaced > 0 {
        vec![format!("{} values of the originals were replaced before the chain", shot.replaced)]
    } else {
        Vec::new()
    };
    verdict.judged.push(Judged {
        limit: limit.name,
        figure: figure as f64,
        allowed: Some(allowed),
        unit: limit.unit,
        passed: figure as f64 <= allowed,
        frames: found.iter().map(|(_, worst)| worst.frame).collect(),
        worst: found.iter().max_by_key(|(pixels, _)| *pixels).map(|(_, worst)| *worst),
        words,
        remedy: limit.remedy,
    });
}

/// What a figure alone does not say.
fn explain(shot: &Shot, judged: &mut Judged) {
    let of_worst = judged.worst.and_then(|worst| shot.measured.iter().find(|(number, _)| *number == worst.frame));
    let Some((_, measured)) = of_worst.filter(|_| !judged.passed) else { return };
    let shares = |channels: [Found; 3]| {
        let [red, green, blue] = channels.map(|found| format!("{:.2}", percent(found.pixels, measured.pixels)));
        format!("red {red}, green {green}, blue {blue} %")
    };
    let words = match judged.limit {
        name if name == Name::ClippedTop.limit().name => Some(shares(measured.top)),
        name if name == Name::ClippedBottom.limit().name => Some(shares(measured.bottom)),
        name if name == Name::BlackLevel.limit().name || name == Name::BlackTint.limit().name => {
            measured.black.map(|black| {
                let [red, green, blue] = black.rgb.map(|code| format!("{code:.1}"));
                format!("red {red}, green {green}, blue {blue} codes above black")
            })
        }
        name if name == Name::OutsideGamut.limit().name => {
            let gamut = shot.meaning.gamut.as_deref().unwrap_or_default();
            Some(format!("colours that {gamut} does not hold"))
        }
        _ => None,
    };
    judged.words.extend(words);
}
