//! Readings over time as a picture: a column of plots a place, all over the same frames.

use std::path::Path;

use ops::MID_GREY;

use super::{Job, Series, places, series, usual_step};
use crate::cli::failure::Failure;
use crate::cli::probe::OfFrame;
use crate::cli::probe::record::Record;
use crate::draw::{Align, Area, Canvas, Drawn, Ink, Plot, SMALL, Scale, Stroke, TEXT, TITLE, line_height, width};

const MARGIN: f32 = 28.0;
/// The frame of a plot in pixels.
const PLOT: [f32; 2] = [720.0, 170.0];
/// Room beside a plot for figures on the left and for letters on the right.
const SIDES: [f32; 2] = [76.0, 30.0];
/// Up to so many frames each reading is a dot on its line.
const DOTS: usize = 120;
/// How the lines of areas differ: pixels drawn and left out.
const DASHES: [Option<[f32; 2]>; 4] = [None, Some([9.0, 5.0]), Some([2.5, 3.5]), Some([18.0, 4.0])];

/// A line: its stroke's colour, the letter at its end, and its value at a reading.
type Line = (Ink, &'static str, fn(&Record) -> Option<f64>);

/// What one plot shows.
struct Panel {
    title: &'static str,
    unit: String,
    lines: Vec<Line>,
    /// It spans at least so much, so that noise does not look like a change.
    least: f64,
}

/// Draws and writes the picture.
///
/// # Errors
/// More areas than lines can be told apart for; a file that cannot be written.
pub fn write(out: &Path, job: &Job<'_>, frames: &[OfFrame]) -> Result<(), Failure> {
    let places = places(frames);
    if job.areas.len() > DASHES.len() {
        return Err(Failure::usage(format!(
            "--out: {} areas; lines of up to {} can be told apart in one picture, so take fewer or --csv",
            job.areas.len(),
            DASHES.len()
        )));
    }
    let columns: Vec<_> = places
        .iter()
        .map(|place| {
            let series = series(frames, place);
            let panels = panels(&series, &job.target);
            (*place, series, panels)
        })
        .collect();
    let rows = columns.iter().map(|(.., panels)| panels.len()).max().unwrap_or_default();
    let column = SIDES[0] + PLOT[0] + SIDES[1];
    let head = line_height(TITLE) + 3.0 * line_height(TEXT) + 14.0;
    let row = PLOT[1] + 94.0;
    let full_width = 2.0 * MARGIN + column * columns.len().max(1) as f32;
    let height = 2.0 * MARGIN + head + row * rows as f32 + 12.0;
    let mut canvas = Canvas::new(full_width as u32, height as u32, Ink::GROUND)?;
    let (first, last) = (frames.first().map_or(0, |of| of.frame), frames.last().map_or(0, |of| of.frame));
    let title = format!("{}, frames {first} to {last}, over time", job.sequence.name());
    canvas.text([MARGIN, MARGIN + TITLE], &title, TITLE, Ink::MARK, Align::Left);
    key(&mut canvas, MARGIN + TITLE + line_height(TEXT) + 2.0, columns.first().map(|(_, series, _)| series.as_slice()));
    let across = frames_scale(first, last);
    for (at, (place, series, panels)) in columns.iter().enumerate() {
        let x = MARGIN + column * at as f32 + SIDES[0];
        let words = series.iter().flat_map(|series| &series.points).find_map(|(_, record)| *record);
        let top = MARGIN + TITLE + 2.0 * line_height(TEXT) + 6.0;
        let signal = words.map_or_else(String::new, |record| format!("{place}: {}", record.signal));
        canvas.text([x, top], &signal, TEXT, Ink::TEXT, Align::Left);
        let rendering = words.map_or_else(String::new, |record| format!("rendering: {}", record.rendering));
        canvas.text([x, top + line_height(TEXT)], &rendering, TEXT, Ink::LABEL, Align::Left);
        for (row_at, panel) in panels.iter().enumerate() {
            let y = MARGIN + head + row * row_at as f32 + 52.0;
            panel.draw(&mut canvas, Area::new(x, y, PLOT[0], PLOT[1]), series, across.clone());
        }
        if let Some(why) = words.and_then(|record| record.no_white).filter(|_| panels.len() < 4) {
            let y = MARGIN + head + row * panels.len() as f32 + 20.0;
            canvas.text([x, y.min(height - 10.0)], &format!("no white: {why}"), SMALL, Ink::LABEL, Align::Left);
        }
    }
    canvas.write(out)
}

/// A piece of each area's line with its name.
fn key(canvas: &mut Canvas, y: f32, series: Option<&[Series<'_>]>) {
    let mut x = MARGIN;
    for (series, dash) in series.into_iter().flatten().zip(DASHES) {
        let stroke = Stroke { dash, ..Stroke::new(Ink::MARK, 1.6) };
        canvas.line(&[[x, y - 4.0], [x + 40.0, y - 4.0]], stroke, None);
        canvas.text([x + 48.0, y], series.name, TEXT, Ink::TEXT, Align::Left);
        x += 48.0 + width(series.name, TEXT) + 28.0;
    }
}

/// What can be shown at a place.
fn panels(series: &[Series<'_>], target: &str) -> Vec<Panel> {
    let records = || series.iter().flat_map(|series| &series.points).filter_map(|(_, record)| *record);
    let white = |name: &str, up: &str| format!("{name} from {target}, plus is {up}");
    let is_scene = records().any(|record| record.stops.is_some());
    let mut panels = Vec::new();
    let one = |title, unit: &str, value, least| Panel {
        title,
        unit: unit.to_string(),
        lines: vec![(Ink::MARK, "", value)],
        least,
    };
    if is_scene {
        panels.push(one("Luminance", "stops from mid grey", |record| record.stops, 0.25));
    } else {
        panels.push(one("Luminance", "nits", |record| record.nits, 2.0));
    }
    panels.push(channels(records().next(), is_scene));
    panels.push(one(
        "White, warmer or bluer",
        &white("mired", "warmer"),
        |record| Some(record.white.as_ref()?.mired),
        10.0,
    ));
    panels.push(one(
        "White, greener or pinker",
        &white("Duv", "greener"),
        |record| Some(record.white.as_ref()?.duv),
        0.002,
    ));
    panels.retain(|panel| records().any(|record| panel.lines.iter().any(|(.., value)| value(record).is_some())));
    panels
}

/// Red, green and blue: in code, else in stops of light, else in signal.
fn channels(record: Option<&Record>, is_scene: bool) -> Panel {
    let [red, green, blue] = Ink::CHANNELS;
    let title = "Red, green, blue";
    if let Some((bits, range)) = record.and_then(|record| Some((record.bits?, record.range.as_ref()?))) {
        let lines: Vec<Line> = vec![
            (red, "R", |record| Some(record.code.as_ref()?.mean[0])),
            (green, "G", |record| Some(record.code.as_ref()?.mean[1])),
            (blue, "B", |record| Some(record.code.as_ref()?.mean[2])),
        ];
        let least = f64::from((1_u32 << bits.min(16)) / 64);
        return Panel { title, unit: format!("code, {bits} bit {range}"), lines, least };
    }
    if is_scene {
        let lines: Vec<Line> = vec![
            (red, "R", |record| stops(record.light.as_ref()?.mean[0])),
            (green, "G", |record| stops(record.light.as_ref()?.mean[1])),
            (blue, "B", |record| stops(record.light.as_ref()?.mean[2])),
        ];
        return Panel { title, unit: "stops from mid grey".to_string(), lines, least: 0.25 };
    }
    let lines: Vec<Line> = vec![
        (red, "R", |record| Some(100.0 * record.value.mean[0])),
        (green, "G", |record| Some(100.0 * record.value.mean[1])),
        (blue, "B", |record| Some(100.0 * record.value.mean[2])),
    ];
    Panel { title, unit: "% of signal".to_string(), lines, least: 2.0 }
}

fn stops(light: f64) -> Option<f64> {
    (light > 0.0).then(|| (light / MID_GREY).log2())
}

impl Panel {
    fn draw(&self, canvas: &mut Canvas, inner: Area, series: &[Series<'_>], across: Scale) {
        let all = series.iter().flat_map(|series| &series.points).filter_map(|(_, record)| *record);
        let values = all.flat_map(|record| self.lines.iter().filter_map(|(.., value)| value(record)));
        let [low, high] = span(values, self.least);
        let plot = Plot::new(self.title, across, Scale::round(self.unit.clone(), low, high));
        let drawn = plot.draw_around(canvas, inner);
        if low < 0.0 && high > 0.0 {
            drawn.level(canvas, 0.0, Stroke::new(Ink::FRAME, 1.0));
        }
        let mut ends = Vec::new();
        for (at, (series, dash)) in series.iter().zip(DASHES).enumerate() {
            for (of, (ink, letter, value)) in self.lines.iter().enumerate() {
                let points = points(&series.points, *value);
                // Lines that lie on one another are seen beside one another.
                let beneath = (self.lines.len() - 1 - of) as f32;
                drawn.line(canvas, &points, Stroke { dash, ..Stroke::new(*ink, 1.4 + 0.7 * beneath) });
                dots(canvas, &drawn, &points, *ink, 3.0 + beneath);
                let last = points.iter().rev().find(|[_, v]| v.is_finite());
                if let (0, Some([_, last])) = (at, last) {
                    ends.push((drawn.y(*last), *letter, *ink));
                }
            }
        }
        letters(canvas, &drawn, ends);
    }
}

/// Letters at the ends of lines, moved apart where they would touch.
fn letters(canvas: &mut Canvas, drawn: &Drawn, mut ends: Vec<(f32, &str, Ink)>) {
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let room = SMALL;
    let mut free = f32::MIN;
    // The last ones must stay beside the frame too.
    let lowest = drawn.area.bottom() - room * ends.len().saturating_sub(1) as f32;
    for (at, (y, letter, ink)) in ends.into_iter().enumerate() {
        let y = y.max(free).min(lowest + room * at as f32);
        canvas.text([drawn.area.right() + 8.0, y + SMALL * 0.35], letter, SMALL, ink, Align::Left);
        free = y + room;
    }
}

fn dots(canvas: &mut Canvas, drawn: &Drawn, points: &[[f64; 2]], ink: Ink, size: f32) {
    if points.len() > DOTS {
        return;
    }
    for point in points.iter().filter(|[_, v]| v.is_finite()) {
        let [x, y] = drawn.place(*point);
        canvas.fill(Area::new(x.round() - size / 2.0, y.round() - size / 2.0, size, size), ink);
    }
}

/// Values over frames. A line breaks where nothing was read and where frames are missing.
fn points(of: &[(i64, Option<&Record>)], value: fn(&Record) -> Option<f64>) -> Vec<[f64; 2]> {
    let usual = usual_step(of.iter().map(|(frame, _)| *frame));
    let mut points: Vec<[f64; 2]> = Vec::with_capacity(of.len());
    let mut before: Option<i64> = None;
    for (frame, record) in of {
        if before.is_some_and(|before| frame - before > usual) {
            points.push([*frame as f64 - 0.5, f64::NAN]);
        }
        points.push([*frame as f64, record.and_then(value).unwrap_or(f64::NAN)]);
        before = Some(*frame);
    }
    points
}

fn frames_scale(first: i64, last: i64) -> Scale {
    let (low, high) = (first as f64 - 0.5, last as f64 + 0.5);
    let round = Scale::round("frame", low, high);
    // Between two frames there is none.
    if high - low > 8.0 { round } else { Scale::stepped("frame", low, high, 1.0) }
}

/// A span around the values, of at least so much, with some air.
fn span(values: impl Iterator<Item = f64>, least: f64) -> [f64; 2] {
    let found = values
        .filter(|v| v.is_finite())
        .fold(None, |span: Option<[f64; 2]>, v| Some(span.map_or([v, v], |[low, high]| [low.min(v), high.max(v)])));
    let [low, high] = found.unwrap_or_default();
    let (middle, half) = ((low + high) / 2.0, ((high - low) * 0.58).max(least / 2.0));
    [middle - half, middle + half]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_holds_its_values_and_noise_stays_small() {
        let [low, high] = span([1.0, f64::NAN, 3.0].into_iter(), 0.25);
        assert!(low < 1.0 && high > 3.0 && high - low < 3.0);
        let [low, high] = span([0.5, 0.501].into_iter(), 0.25);
        assert!((low - 0.3755).abs() < 1e-12 && (high - 0.6255).abs() < 1e-12, "{low} {high}");
        assert_eq!(span(std::iter::empty(), 2.0), [-1.0, 1.0]);
    }

    #[test]
    fn frames_have_whole_figures_and_missing_ones_break_a_line() {
        for (first, last) in [(7, 7), (1001, 1004), (1, 240)] {
            let scale = frames_scale(first, last);
            assert!(!scale.ticks.is_empty() && scale.ticks.iter().all(|(_, label)| !label.contains('.')), "{scale:?}");
        }
        let points = points(&[(1, None), (2, None), (5, None)], |_| None);
        assert_eq!(points.iter().map(|[x, _]| *x).collect::<Vec<_>>(), [1.0, 2.0, 4.5, 5.0]);
    }
}
