//! Limits of what the files say: among themselves, against their codes, and against what the user says they are.

use media::{CodeFault, CodeFinding, Survey, code_findings};

use super::{Verdict, in_words};
use crate::cli::check::gather::Shot;
use crate::cli::check::limits::{Limits, Name};

/// Judges a shot's headers.
pub fn judge(shot: &Shot, limits: &Limits, verdict: &mut Verdict) {
    let Some(survey) = &shot.survey else { return };
    let changes: Vec<_> = survey
        .changes()
        .into_iter()
        .map(|change| {
            let words = format!("frame {}: {}, the frame before it {}", change.number, change.now, change.before);
            (vec![change.number], words)
        })
        .collect();
    let count = changes.len();
    verdict.count(limits, Name::HeaderChanges, changes, count);
    let range = shot.meaning.range_is_known.then_some(shot.meaning.range);
    let findings = survey.codes.as_ref().map(|codes| code_findings(codes, range)).unwrap_or_default();
    let mut of = |name: Name, faults: &[CodeFault], more: Vec<(Vec<i64>, String)>| {
        let found = findings.iter().filter(|CodeFinding { fault, .. }| faults.contains(fault));
        let things: Vec<_> = found.map(|finding| (Vec::new(), finding.words.clone())).chain(more).collect();
        let count = things.len();
        verdict.count(limits, name, things, count);
    };
    of(Name::HeaderDepth, &[CodeFault::FewerBits], Vec::new());
    of(Name::UnevenCodes, &[CodeFault::Gaps, CodeFault::Doubled], Vec::new());
    if shot.meaning.from_chain {
        // What comes out of the chain has the range that the chain says.
        of(Name::HeaderRange, &[], Vec::new());
    } else {
        of(Name::HeaderRange, &[CodeFault::LegalInFull, CodeFault::FullInLegal], told_otherwise(shot, survey));
    }
    encoding(shot, survey, limits, verdict);
}

/// Frames whose files say another range than the user.
fn told_otherwise(shot: &Shot, survey: &Survey) -> Vec<(Vec<i64>, String)> {
    let Some(told) = shot.meaning.told_range else { return Vec::new() };
    let other = |range: Option<frame::Range>| range.is_some_and(|range| range != told);
    let frames: Vec<i64> =
        survey.frames.iter().filter(|seen| other(seen.about.range)).map(|seen| seen.number).collect();
    if frames.is_empty() {
        return Vec::new();
    }
    let words = format!("frames {}: the files do not say {} range", in_words(&frames), told.name());
    vec![(frames, words)]
}

/// Frames whose files say another encoding than the user. Runs of frames that say the same are told together.
fn encoding(shot: &Shot, survey: &Survey, limits: &Limits, verdict: &mut Verdict) {
    let Some(wanted) = &shot.meaning.wanted_encoding else { return };
    let said = survey.frames.iter().filter_map(|seen| Some((seen.number, seen.about.contradicts(wanted)?)));
    let said: Vec<(i64, String)> = said.collect();
    let runs = said.chunk_by(|before, now| before.1 == now.1);
    let things = runs
        .filter_map(|run| {
            let frames: Vec<i64> = run.iter().map(|(number, _)| *number).collect();
            let words = format!("frames {}: the file says {}, not {wanted}", in_words(&frames), run.first()?.1);
            Some((frames, words))
        })
        .collect();
    verdict.count(limits, Name::HeaderEncoding, things, said.len());
}
