//! Limits of the frames beside each other: those that are missing, cannot be read, repeat, or count time wrongly.

use std::ops::RangeInclusive;

use media::Survey;

use super::{Verdict, in_words};
use crate::cli::check::gather::Shot;
use crate::cli::check::limits::{Limits, Name};

/// Judges a shot's frames.
pub fn judge(shot: &Shot, limits: &Limits, verdict: &mut Verdict) {
    let missing = shot.sequence.missing().iter().map(|gap| (Vec::new(), gap_in_words(gap))).collect();
    let count = shot.sequence.missing().iter().map(|gap| gap.end().abs_diff(*gap.start()) as usize + 1).sum();
    verdict.count(limits, Name::MissingFrames, missing, count);
    let unreadable: Vec<_> =
        shot.failed.iter().map(|(number, why)| (vec![*number], format!("frame {number}: {why}"))).collect();
    let count = unreadable.len();
    verdict.count(limits, Name::UnreadableFrames, unreadable, count);
    flat(shot, limits, verdict);
    let Some(survey) = &shot.survey else { return };
    repeated(shot, survey, limits, verdict);
    timecode(survey, limits, verdict);
}

fn gap_in_words(gap: &RangeInclusive<i64>) -> String {
    match (gap.start(), gap.end()) {
        (first, last) if first == last => format!("{first} is not there"),
        (first, last) => format!("{first}-{last} are not there"),
    }
}

fn flat(shot: &Shot, limits: &Limits, verdict: &mut Verdict) {
    let flat: Vec<(i64, [f32; 3])> =
        shot.measured.iter().filter_map(|(number, of)| Some((*number, of.flat?))).collect();
    let runs = flat.chunk_by(|(before, of_before), (now, of_now)| before + 1 == *now && of_before == of_now);
    let words: Vec<_> = runs
        .filter_map(|run| {
            let ([red, green, blue], frames) =
                (run.first()?.1, run.iter().map(|(number, _)| *number).collect::<Vec<_>>());
            let words = format!("frames {}: flat, every pixel is {red},{green},{blue}", in_words(&frames));
            Some((frames, words))
        })
        .collect();
    verdict.count(limits, Name::FlatFrames, words, flat.len());
}

/// Frames that hold the picture of the one before. A still, and the black before a fade, hold theirs by right.
fn repeated(shot: &Shot, survey: &Survey, limits: &Limits, verdict: &mut Verdict) {
    let is_flat = |number: i64| {
        let of = shot.measured.binary_search_by_key(&number, |(number, _)| *number);
        of.ok().and_then(|at| shot.measured.get(at)).is_some_and(|(_, of)| of.flat.is_some())
    };
    let runs: Vec<Vec<i64>> = survey
        .held()
        .into_iter()
        .filter(|run| !is_flat(*run.start()))
        .map(|run| survey.frames.iter().map(|seen| seen.number).filter(|number| run.contains(number)).collect())
        .collect();
    let frames = survey.frames.len();
    let repeats: usize = runs.iter().map(|run: &Vec<i64>| run.len() - 1).sum();
    if runs.first().is_some_and(|run| run.len() == frames) {
        verdict.notes.push(format!("a still: all {frames} frames hold the same picture"));
        verdict.count(limits, Name::RepeatedFrames, Vec::new(), 0);
        return;
    }
    let mut words: Vec<_> = runs
        .iter()
        .filter_map(|run| {
            let ([first, rest @ ..], [.., last]) = (&run[..], &run[..]) else { return None };
            let words = match rest.len() {
                1 => format!("frame {last} repeats frame {first}"),
                _ => format!("frozen: frames {} repeat frame {first}", in_words(rest)),
            };
            Some((rest.to_vec(), words))
        })
        .collect();
    // Every picture twice, or thrice, is a way of shooting and no accident.
    let length = runs.first().map_or(0, Vec::len);
    if length > 1 && runs.len() > 1 && runs.len() * length == frames && runs.iter().all(|run| run.len() == length) {
        let why = format!("every picture stands for {length} frames: likely shot or animated so, or slowed down");
        words = vec![(words.into_iter().flat_map(|(frames, _)| frames).collect(), why)];
    }
    verdict.count(limits, Name::RepeatedFrames, words, repeats);
}

fn timecode(survey: &Survey, limits: &Limits, verdict: &mut Verdict) {
    let breaks: Vec<_> = survey
        .timecode_breaks()
        .into_iter()
        .map(|it| {
            let words = format!("frame {}: time code {} where {} would follow", it.number, it.found, it.expected);
            (vec![it.number], words)
        })
        .collect();
    let count = breaks.len();
    verdict.count(limits, Name::TimecodeBreaks, breaks, count);
    let faults: Vec<_> = survey
        .timecode_faults()
        .into_iter()
        .map(|fault| (vec![fault.number], format!("frame {}: {}", fault.number, fault.what)))
        .collect();
    let count = faults.len();
    verdict.count(limits, Name::TimecodeFaults, faults, count);
    if survey.frames.iter().any(|seen| seen.about.timecode.is_some() && seen.about.rate.is_none()) {
        verdict.notes.push("time code is not followed where the files say no rate".to_string());
    }
    if let Some(wanted) = limits.of(Name::Rate) {
        rate(survey, wanted, limits, verdict);
    }
}

fn rate(survey: &Survey, wanted: f64, limits: &Limits, verdict: &mut Verdict) {
    // A thousandth tells 23.976 from 24 and hides how a header rounds.
    let said = survey.frames.iter().map(|seen| (seen.number, seen.about.rate));
    let other = said.filter(|(_, rate)| rate.is_none_or(|rate| (rate - wanted).abs() > 1e-3));
    let other: Vec<(i64, Option<f64>)> = other.collect();
    let runs = other.chunk_by(|before, now| before.1 == now.1);
    let words: Vec<_> = runs
        .filter_map(|run| {
            let frames: Vec<i64> = run.iter().map(|(number, _)| *number).collect();
            let rate = run.first()?.1.map_or("none".to_string(), |rate| ((rate * 1e3).round() / 1e3).to_string());
            Some((frames.clone(), format!("frames {}: the rate said is {rate}", in_words(&frames))))
        })
        .collect();
    let passed = other.is_empty();
    verdict.count(limits, Name::Rate, words, 0);
    if let Some(judged) = verdict.judged.last_mut() {
        let first = survey.frames.first().and_then(|seen| seen.about.rate);
        let of_worst = other.first().map_or(first, |(_, rate)| *rate);
        (judged.passed, judged.figure) = (passed, of_worst.unwrap_or(0.0));
    }
}
