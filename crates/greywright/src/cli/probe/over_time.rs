//! Readings of areas over a shot: a drifting sun, a flickering lamp. As a picture, as data, and in a line of words each.

mod picture;

use std::path::Path;
use std::sync::Arc;

use gpu::device::Gpu;
use media::Sequence;

use super::areas::Named;
use super::csv;
use super::reader::{OfFrame, Reader, Terms};
use super::record::Record;
use crate::cli::chain::Chain;
use crate::cli::failure::Failure;
use crate::cli::say;
use crate::cli::scopes::At;

/// What is read over time.
pub struct Job<'a> {
    /// The chain.
    pub chain: &'a Chain,
    /// The frames.
    pub sequence: &'a Sequence,
    /// The areas; none for the whole measuring region.
    pub areas: &'a [Named],
    /// How readings are taken. Without a place they are of scene light, or of the original where there is none.
    pub terms: Terms,
    /// The target white in words.
    pub target: String,
    /// What computes; the proof without.
    pub gpu: Option<Arc<Gpu>>,
    /// The picture to write.
    pub out: Option<&'a Path>,
    /// The table to write.
    pub csv: Option<&'a Path>,
    /// Whether the readings go to standard output as JSON.
    pub json: bool,
}

/// One figure of an area, frame by frame.
pub struct Series<'a> {
    /// The area.
    pub name: &'a str,
    /// Frame numbers with what was read there; nothing where the area lay outside or held no number.
    pub points: Vec<(i64, Option<&'a Record>)>,
}

/// IN is missing.
pub fn no_original() -> Failure {
    Failure::usage("IN is missing: give a sequence, or a project's shot with --shot")
}

/// Reads every frame, one at a time, and writes what was asked for.
///
/// # Errors
/// A frame that cannot be read, a place that is not there, a file that cannot be written.
pub fn run(job: &Job<'_>) -> Result<(), Failure> {
    let frames = read(job)?;
    if let Some(out) = job.out {
        picture::write(out, job, &frames)?;
    }
    if let Some(csv) = job.csv {
        csv::write(csv, &frames)?;
    }
    if job.json {
        return say::json(&job.terms.answer(job.target.clone(), &frames));
    }
    let files = job.out.iter().chain(&job.csv).map(|path| say::path(path) + "\n").collect::<String>();
    say::result(&format!("{files}{}", in_words(&frames)))
}

fn read(job: &Job<'_>) -> Result<Vec<OfFrame>, Failure> {
    let all = job.sequence.frames();
    let (first, path) = all.first().ok_or_else(|| Failure::work(format!("{}: no frame", job.sequence.name())))?;
    let mut terms = job.terms.clone();
    let bar = say::progress(all.len(), job.sequence.name());
    let mut frames = Vec::with_capacity(all.len());
    if terms.at.is_empty() {
        // Scene light if the chain has some, which the first frame shows.
        terms.at = vec![At::Scene];
        if Reader::new(job.chain, job.gpu.clone(), &terms).read(*first, path, job.areas).is_err() {
            terms.at = vec![At::Original];
        }
    }
    let mut reader = Reader::new(job.chain, job.gpu.clone(), &terms);
    for (number, path) in all {
        frames.push(reader.read(*number, path, job.areas)?);
        bar.inc(1);
    }
    bar.finish_and_clear();
    for named in job.areas {
        let is_there =
            |frame: &OfFrame| frame.areas.iter().any(|area| area.name == named.name && area.pixels.is_some());
        let away = frames.iter().filter(|frame| !is_there(frame)).count();
        if away == frames.len() {
            return Err(Failure::usage(format!("{}: it lies outside what is measured in every frame", named.name)));
        }
        if away > 0 {
            say::note(&format!("{}: outside what is measured in {}", named.name, say::count(away, "frame")));
        }
    }
    Ok(frames)
}

/// The places that were read, in their order.
pub fn places(frames: &[OfFrame]) -> Vec<&str> {
    let mut places: Vec<&str> = Vec::new();
    for record in frames.iter().flat_map(|frame| &frame.areas).flat_map(|area| &area.readings) {
        if !places.contains(&record.at.as_str()) {
            places.push(&record.at);
        }
    }
    places
}

/// The areas at a place.
pub fn series<'a>(frames: &'a [OfFrame], place: &str) -> Vec<Series<'a>> {
    let names = frames.first().map(|frame| &frame.areas).into_iter().flatten().map(|area| area.name.as_str());
    let of_name = |name: &'a str| {
        let at_frame = |frame: &'a OfFrame| {
            let area = frame.areas.iter().find(|area| area.name == name);
            (frame.frame, area.and_then(|area| area.readings.iter().find(|record| record.at == place)))
        };
        Series { name, points: frames.iter().map(at_frame).collect() }
    };
    names.map(of_name).collect()
}

/// How far a figure goes over time.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Travel {
    low: f64,
    high: f64,
    /// The largest change from a frame to the next, and the frame that it leads to.
    step: Option<(f64, i64)>,
}

/// How far apart frames are that follow each other.
fn usual_step(frames: impl Iterator<Item = i64> + Clone) -> i64 {
    frames.clone().zip(frames.skip(1)).map(|(a, b)| b - a).min().unwrap_or(1)
}

/// Between frames that do not follow each other, or of which one was not read, there is no step.
fn travel(values: &[(i64, f64)], usual: i64) -> Option<Travel> {
    let low = values.iter().map(|(_, v)| *v).reduce(f64::min)?;
    let high = values.iter().map(|(_, v)| *v).reduce(f64::max)?;
    let next = |((before, from), (frame, to)): (&(i64, f64), &(i64, f64))| {
        (frame - before == usual).then_some((to - from, *frame))
    };
    let steps = values.iter().zip(values.iter().skip(1)).filter_map(next);
    let step = steps.reduce(|a, b| if b.0.abs() > a.0.abs() { b } else { a });
    Some(Travel { low, high, step })
}

/// How far each area's level and white go.
fn in_words(frames: &[OfFrame]) -> String {
    let mut lines = String::new();
    for place in places(frames) {
        for series in series(frames, place) {
            let usual = usual_step(series.points.iter().map(|(frame, _)| *frame));
            let figure = |name: &str, decimals: u8, of: fn(&Record) -> Option<f64>| {
                let values: Vec<_> =
                    series.points.iter().filter_map(|(frame, record)| Some((*frame, of((*record)?)?))).collect();
                travel(&values, usual).map(|Travel { low, high, step }| {
                    let step =
                        step.map(|(step, frame)| format!(", largest step {} at {frame}", say::signed(step, decimals)));
                    let [low, high] = [low, high].map(|end| say::signed(end, decimals));
                    format!("{name} {low} to {high}{}", step.unwrap_or_default())
                })
            };
            let figures = [
                figure("stops", 3, |record| record.stops),
                figure("nits", 2, |record| record.nits),
                figure("mired", 1, |record| Some(record.white.as_ref()?.mired)),
                figure("Duv", 4, |record| Some(record.white.as_ref()?.duv)),
                // Where light means nothing yet.
                figure("% of green", 2, |record| record.light.is_none().then_some(100.0 * record.value.mean[1])),
            ];
            let figures: Vec<String> = figures.into_iter().flatten().collect();
            lines += &format!("  {}, {place}: {}\n", series.name, figures.join("; "));
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn travel_is_the_span_and_the_largest_step() {
        let values = [(5, 0.5), (6, 0.25), (8, 1.0), (9, 1.125)];
        let of = |values: &[(i64, f64)]| travel(values, usual_step(values.iter().map(|(frame, _)| *frame)));
        // From 6 to 8 is no step: nothing was read at 7.
        assert_eq!(of(&values), Some(Travel { low: 0.25, high: 1.125, step: Some((-0.25, 6)) }));
        assert_eq!(of(&[(2, 1.0), (4, 3.0)]), Some(Travel { low: 1.0, high: 3.0, step: Some((2.0, 4)) }));
        assert_eq!(of(&values[..1]), Some(Travel { low: 0.5, high: 0.5, step: None }));
        assert_eq!(of(&[]), None);
    }
}
