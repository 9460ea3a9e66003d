//! The plots of a response.

use measure::response::{Grey, Hue, stops_of};
use measure::scopes::{Diagram, spectrum, triangle};

use super::measured::{A_STOP, Measured, Unit, ten_bit_codes};
use crate::draw::{Align, Area, Canvas, Drawn, Ink, Plot, SMALL, Scale, Stroke, line_height, width};

/// Widths of red, green and blue lines: where they lie on one another all three are seen.
const WIDTHS: [f32; 3] = [3.0, 1.9, 1.0];
/// What channels are called at the end of their lines.
const LETTERS: [&str; 3] = ["R", "G", "B"];
/// Lines that are no data.
const ZERO: Stroke = Stroke { ink: Ink::FRAME, width: 1.0, dash: None, opacity: 1.0 };
const MARKED: Stroke = Stroke { ink: Ink::LABEL, width: 1.0, dash: Some([2.0, 4.0]), opacity: 1.0 };
const BARS: Stroke = Stroke { ink: Ink::LABEL, width: 1.0, dash: Some([6.0, 4.0]), opacity: 0.6 };
/// How much is left of a line where the display shows nothing of it.
const UNSEEN: f32 = 0.4;
/// Stops of the original, about mid grey, that choose the scale of gaps and slopes.
const TELLING: [f64; 2] = [-6.0, 4.0];
/// Names beside lines end so far apart.
const APART: f32 = SMALL + 1.0;

/// One plot of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Panel {
    /// Signal or light that leaves, over stops.
    OutOverStops,
    /// The difference between channels in what leaves.
    Gap,
    /// The path of the hue sweep.
    Hues,
    /// Signal or light that leaves, over the original's signal.
    OutOverSignal,
    /// Light of red and blue over green.
    GapInStops,
    /// Stops a stop.
    Slope,
}

/// A curve: one channel, or one difference, of one candidate.
#[derive(Clone)]
struct Curve {
    candidate: usize,
    channel: usize,
    name: &'static str,
    points: Vec<[f64; 2]>,
    /// Whether a display's signal holds what the point is made of.
    seen: Vec<bool>,
}

impl Panel {
    /// All of them, row by row.
    pub const ALL: [Panel; 6] =
        [Panel::OutOverStops, Panel::Gap, Panel::Hues, Panel::OutOverSignal, Panel::GapInStops, Panel::Slope];

    /// Draws it around an area.
    pub fn draw(self, canvas: &mut Canvas, inner: Area, measured: &[Measured]) {
        let Some(first) = measured.first() else { return };
        if self == Panel::Hues {
            hues(canvas, inner, measured);
            return;
        }
        let curves = self.curves(measured);
        let drawn = self.plot(first, &curves).draw_around(canvas, inner);
        match self {
            Panel::Gap | Panel::GapInStops => drawn.level(canvas, 0.0, ZERO),
            Panel::Slope => drawn.level(canvas, 1.0, ZERO),
            Panel::OutOverStops | Panel::OutOverSignal | Panel::Hues => {}
        }
        if let (true, Some(ends)) = (self != Panel::OutOverSignal, first.code_ends) {
            drawn.upright(canvas, ends, MARKED);
            let at = [ends, 0.0];
            let moved = [-6.0, drawn.area.y + SMALL + 4.0 - drawn.y(0.0)];
            drawn.words(canvas, at, moved, "codes of the original end", Align::Right);
        }
        bars(canvas, &drawn, self, first);
        for curve in &curves {
            let line = stroke(curve.candidate, Ink::CHANNELS[curve.channel], WIDTHS[curve.channel]);
            drawn.line(canvas, &curve.part(false), line.faint(UNSEEN));
            drawn.line(canvas, &curve.part(true), line);
        }
        for curve in &curves {
            if let Some(one) = measured.get(curve.candidate) {
                steps(canvas, &drawn, &self.steps(curve, one), curve);
            }
        }
        name_ends(canvas, &drawn, &curves, measured.len());
    }

    fn plot(self, first: &Measured, curves: &[Curve]) -> Plot {
        let [low, high] = first.span;
        let across = match self {
            Panel::OutOverSignal => Scale::stepped("signal of the original, %", 0.0, 100.0, 10.0),
            _ => {
                let name = format!("light of the original, stops from {}", stops_of(&first.original).1);
                Scale::stepped(name, low, high, 1.0)
            }
        };
        let (unit, stops) = (first.unit(), "stops from mid grey");
        let all_seen = curves.iter().all(|curve| curve.seen.iter().all(|seen| *seen));
        let faint = if all_seen { "" } else { "faint where the display's signal ends" };
        let (title, note, name) = match (self, unit) {
            (Panel::OutOverStops | Panel::OutOverSignal, Unit::Percent) => ("Response", faint, "% of signal"),
            (Panel::OutOverStops | Panel::OutOverSignal, Unit::Stops) => ("Response", faint, stops),
            (Panel::Gap, Unit::Percent) => ("Gap between channels", "red and blue less green", "10-bit codes"),
            (Panel::Gap, Unit::Stops) => ("Gap between channels", "red and blue less green", "% of mid grey"),
            (Panel::GapInStops, _) => ("Gap in light", "red and blue over green", "stops"),
            (Panel::Slope | Panel::Hues, _) => ("Slope", "stops of light out for a stop in", "stops a stop"),
        };
        let [least, most] = self.reach(unit, first.span);
        let (from, to) = reach(curves, self.telling(first), least, most);
        Plot { note: note.to_string(), ..Plot::new(title, across, Scale::round(name, from, to)) }
    }

    /// The levels that choose the scale.
    fn telling(self, first: &Measured) -> [f64; 2] {
        match self {
            Panel::OutOverStops | Panel::OutOverSignal | Panel::Hues => [f64::MIN, f64::MAX],
            // In light the brightest levels would leave nothing of the others.
            Panel::Gap if first.unit() == Unit::Stops => [f64::MIN, 0.0],
            Panel::Gap | Panel::GapInStops | Panel::Slope if first.original.is_scene() => TELLING,
            Panel::Gap | Panel::GapInStops | Panel::Slope => [-8.0, f64::MAX],
        }
    }

    /// What the left scale shows at the least, and at the most.
    fn reach(self, unit: Unit, [low, high]: [f64; 2]) -> [[f64; 2]; 2] {
        match (self, unit) {
            (Panel::OutOverStops | Panel::OutOverSignal, Unit::Percent) => [[0.0, 100.0], [-10.0, 110.0]],
            (Panel::OutOverStops | Panel::OutOverSignal, Unit::Stops) => [[low, high], [low - 4.0, high + 4.0]],
            (Panel::Gap, Unit::Percent) => [[-10.0, 10.0], [-400.0, 400.0]],
            (Panel::Gap, Unit::Stops) => [[-1.0, 1.0], [-400.0, 400.0]],
            (Panel::GapInStops | Panel::Hues, _) => [[-0.1, 0.1], [-3.0, 3.0]],
            (Panel::Slope, _) => [[0.0, 1.5], [-1.0, 3.0]],
        }
    }

    /// Where the wedge's steps lie on a curve.
    fn steps(self, curve: &Curve, one: &Measured) -> Vec<[f64; 2]> {
        if self == Panel::OutOverSignal {
            let value = |grey: &Grey| one.value(grey.out[curve.channel]).unwrap_or(f64::NAN);
            let values = one.wedge.iter().map(value);
            return one
                .wedge_signals()
                .into_iter()
                .zip(values)
                .map(|(signal, value)| [100.0 * signal, value])
                .collect();
        }
        // The smooth ramp has the wedge's levels among its own.
        curve.points.iter().copied().step_by(A_STOP).collect()
    }

    fn curves(self, measured: &[Measured]) -> Vec<Curve> {
        measured.iter().enumerate().flat_map(|(candidate, one)| self.curves_of(candidate, one)).collect()
    }

    fn curves_of(self, candidate: usize, one: &Measured) -> Vec<Curve> {
        let nothing = f64::NAN;
        let curve = |channel: usize, name: &'static str, ramp: &[Grey], points: Vec<[f64; 2]>| {
            let seen = ramp.iter().map(|grey| one.is_seen(grey)).collect();
            Curve { candidate, channel, name, points, seen }
        };
        let out = |ramp: &[Grey], unit: f64| {
            let channel = |channel: usize| {
                let point = |grey: &Grey| [unit * grey.level, one.value(grey.out[channel]).unwrap_or(nothing)];
                curve(channel, LETTERS[channel], ramp, ramp.iter().map(point).collect())
            };
            [0, 1, 2].map(channel).to_vec()
        };
        let gap = |value: &dyn Fn(&Grey) -> [Option<f64>; 2]| {
            let difference = |(at, channel, name): (usize, usize, &'static str)| {
                let point = |grey: &Grey| [grey.level, value(grey)[at].unwrap_or(nothing)];
                curve(channel, name, &one.stops, one.stops.iter().map(point).collect())
            };
            [(0, 0, "R-G"), (1, 2, "B-G")].map(difference).to_vec()
        };
        match self {
            Panel::OutOverStops => out(&one.stops, 1.0),
            Panel::OutOverSignal => out(&one.signal, 100.0),
            Panel::Gap => gap(&|grey| {
                grey.gap().map(|gap| match one.unit() {
                    Unit::Percent => Some(ten_bit_codes(gap)),
                    Unit::Stops => Some(100.0 * gap / ops::MID_GREY),
                })
            }),
            Panel::GapInStops => gap(&Grey::gap_in_stops),
            Panel::Slope => {
                let channel = |channel: usize| {
                    let point =
                        |(grey, slopes): (&Grey, &[Option<f64>; 3])| [grey.level, slopes[channel].unwrap_or(nothing)];
                    curve(channel, LETTERS[channel], &one.stops, one.stops.iter().zip(&one.slopes).map(point).collect())
                };
                [0, 1, 2].map(channel).to_vec()
            }
            Panel::Hues => Vec::new(),
        }
    }
}

/// Uprights where the white of the colour bars lies; their names below, where no curve is.
fn bars(canvas: &mut Canvas, drawn: &Drawn, panel: Panel, first: &Measured) {
    for (at, (percent, [stops, signal])) in first.bar_whites.iter().enumerate() {
        let across = if panel == Panel::OutOverSignal { 100.0 * signal } else { *stops };
        if !(drawn.area.x..=drawn.area.right()).contains(&drawn.x(across)) {
            continue;
        }
        drawn.upright(canvas, across, BARS);
        let moved = [if at == 0 { -4.0 } else { 4.0 }, drawn.area.bottom() - 6.0 - drawn.y(0.0)];
        let align = if at == 0 { Align::Right } else { Align::Left };
        drawn.words(canvas, [across, 0.0], moved, &format!("{percent} %"), align);
    }
}

/// Squares at the wedge's steps; those of red are the largest, so that all three are seen where they lie on one another.
fn steps(canvas: &mut Canvas, drawn: &Drawn, points: &[[f64; 2]], curve: &Curve) {
    let side = [7.0, 5.0, 3.0][curve.channel];
    for [x, y] in points.iter().map(|point| drawn.place(*point)) {
        let area = drawn.area;
        if (area.x..=area.right()).contains(&x) && (area.y..=area.bottom()).contains(&y) {
            let corner = |v: f32| (v - 0.5 * side).round();
            canvas.fill(Area::new(corner(x), corner(y), side, side), Ink::CHANNELS[curve.channel]);
        }
    }
}

/// The line of a candidate: whole for the first, dashed for the second.
pub fn stroke(candidate: usize, ink: Ink, width: f32) -> Stroke {
    let whole = Stroke::new(ink, width);
    if candidate == 0 { whole } else { whole.dashed(7.0, 6.0) }
}

impl Curve {
    /// The points that are seen, or those that are not with the ones beside them; the others as breaks.
    fn part(&self, seen: bool) -> Vec<[f64; 2]> {
        let is = |at: usize| self.seen.get(at).copied().unwrap_or(seen) == seen;
        let beside = |at: usize| !seen && (is(at + 1) || at.checked_sub(1).is_some_and(is));
        let point = |(at, point): (usize, &[f64; 2])| if is(at) || beside(at) { *point } else { [f64::NAN; 2] };
        self.points.iter().enumerate().map(point).collect()
    }

    /// Where it leaves the frame for good, at the right side or at its upper or lower one.
    fn end(&self, drawn: &Drawn) -> Option<[f32; 2]> {
        let last = self.points.iter().rposition(|point| point[1].is_finite())?;
        let places: Vec<_> = self.points.iter().take(last + 1).map(|point| drawn.place(*point)).collect();
        let within = |place: &[f32; 2]| place[1] >= drawn.area.y && place[1] <= drawn.area.bottom();
        let inside = places.iter().rposition(within)?;
        places.get(inside).copied()
    }
}

/// A span that holds the curves between two levels with some room, `least` in any case and no more than `most`.
fn reach(curves: &[Curve], [first, last]: [f64; 2], least: [f64; 2], most: [f64; 2]) -> (f64, f64) {
    let points = curves.iter().flat_map(|curve| curve.points.iter().zip(&curve.seen));
    let telling = points.filter(|([level, value], seen)| **seen && value.is_finite() && (first..=last).contains(level));
    let held = telling.map(|([_, value], _)| value.clamp(most[0], most[1]));
    let (low, high) = held.fold((least[0], least[1]), |(low, high), value| (low.min(value), high.max(value)));
    let room = 0.04 * (high - low);
    (low - room, high + room)
}

/// Names the curves where they leave the frame: beside it, above it or below it. Those that leave together share a name.
fn name_ends(canvas: &mut Canvas, drawn: &Drawn, curves: &[Curve], candidates: usize) {
    let Area { x, y, .. } = drawn.area;
    let (right, bottom) = (drawn.area.right(), drawn.area.bottom());
    let ends: Vec<_> = curves.iter().filter_map(|curve| Some((curve.end(drawn)?, curve))).collect();
    let at_right = |place: &[f32; 2]| place[0] >= right - 2.0;
    let beside = groups(ends.iter().filter(|end| at_right(&end.0)).map(|(place, curve)| (place[1], *curve)));
    let needed = APART * beside.len().saturating_sub(1) as f32;
    let mut free = y;
    for (at, (place, group)) in beside.iter().enumerate() {
        let row = place.max(free).min(bottom - needed + APART * at as f32);
        free = row + APART;
        let words = names(group, candidates);
        canvas.text([right + 8.0, row + SMALL * 0.35], &words, SMALL, Ink::LABEL, Align::Left);
    }
    // Above the frame, where most curves end that end early; its left end belongs to the unit.
    let above = ends.iter().filter(|end| !at_right(&end.0) && end.0[1] < y + 0.5 * (bottom - y));
    let mut free = x + 110.0;
    for (place, group) in groups(above.map(|(place, curve)| (place[0], *curve))) {
        let words = names(&group, candidates);
        let left = (place - 0.5 * width(&words, SMALL)).max(free);
        free = left + canvas.text([left, y - 8.0], &words, SMALL, Ink::LABEL, Align::Left) + 12.0;
    }
}

/// Curves by where they end, those of one place together.
fn groups<'a>(ends: impl Iterator<Item = (f32, &'a Curve)>) -> Vec<(f32, Vec<&'a Curve>)> {
    let mut ends: Vec<_> = ends.collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut groups: Vec<(f32, Vec<&Curve>)> = Vec::new();
    for (place, curve) in ends {
        match groups.last_mut() {
            Some((at, group)) if place - *at < 2.0 => group.push(curve),
            _ => groups.push((place, vec![curve])),
        }
    }
    groups
}

/// `RGB`, or with two candidates `RGB 1, RG 2`.
fn names(group: &[&Curve], candidates: usize) -> String {
    let of = |candidate: usize| {
        let mut own: Vec<_> = group.iter().filter(|curve| curve.candidate == candidate).collect();
        own.sort_by_key(|curve| curve.channel);
        let together = if own.iter().all(|curve| curve.name.len() == 1) { "" } else { " " };
        own.iter().map(|curve| curve.name).collect::<Vec<_>>().join(together)
    };
    let words = (0..candidates).map(|candidate| (candidate, of(candidate))).filter(|(_, words)| !words.is_empty());
    let words =
        words.map(|(candidate, words)| if candidates > 1 { format!("{words} {}", candidate + 1) } else { words });
    words.collect::<Vec<_>>().join(", ")
}

/// The bars that are named on the path.
const BAR_LETTERS: [(&str, &str); 6] =
    [("red", "R"), ("yellow", "Y"), ("green", "G"), ("cyan", "C"), ("blue", "B"), ("magenta", "M")];
/// The lowest v' and the highest that are shown, and the lowest u'.
const V_SHOWN: [f64; 2] = [0.08, 0.61];
const U_FROM: f64 = -0.02;

fn hues(canvas: &mut Canvas, inner: Area, measured: &[Measured]) {
    // The same scale both ways: what looks like a distance is one.
    let u_to = U_FROM + (V_SHOWN[1] - V_SHOWN[0]) * f64::from(inner.width / inner.height);
    let [u, v] = Diagram::Uv1976.coordinates();
    let (across, up) = (Scale::stepped(u, U_FROM, u_to, 0.1), Scale::stepped(v, V_SHOWN[0], V_SHOWN[1], 0.1));
    let note = "three saturations; marks are the 75 % bars".to_string();
    let drawn = Plot { note, ..Plot::new("Hue sweep, CIE 1976", across, up) }.draw_around(canvas, inner);
    drawn.line(canvas, &spectrum(Diagram::Uv1976), ZERO);
    let Some(first) = measured.first() else { return };
    drawn.line(canvas, &triangle(Diagram::Uv1976, &first.result.signal().primaries), MARKED);
    let entering = Stroke::new(Ink::FRAME, 1.5);
    for (_, hues) in &first.sweep {
        drawn.line(canvas, &path(hues.iter().map(|hue| hue.from)), entering);
    }
    for (candidate, one) in measured.iter().enumerate() {
        let leaving = stroke(candidate, if candidate == 0 { Ink::TEXT } else { Ink::MARK }, 1.6);
        for (_, hues) in &one.sweep {
            drawn.line(canvas, &path(hues.iter().map(|hue| hue.to)), leaving);
        }
        for (_, bar) in held_bars(one) {
            // Black has no chromaticity to come from.
            let (Some(from), Some(to)) = (bar.from, bar.to) else { continue };
            mark(canvas, drawn.place(to), candidate);
            if candidate == 0 {
                drawn.line(canvas, &[from, to], Stroke::new(Ink::LABEL, 1.0));
            }
        }
    }
    for (name, bar) in held_bars(first) {
        let letter = BAR_LETTERS.iter().find(|(bar, _)| bar == name);
        if let (Some((_, letter)), Some(to)) = (letter, bar.to) {
            let (place, white) = (drawn.place(to), drawn.place(WHITE_UV));
            if (place[0] - white[0]).hypot(place[1] - white[1]) < 8.0 {
                // Colours that have all become white need no names.
                continue;
            }
            // Away from white, so that letters stand outside the path; on a plate, so that no line crosses them.
            let [x, y] = away(place, white, 15.0);
            let wide = width(letter, SMALL).ceil() + 2.0;
            canvas.fill(Area::new((x - 0.5 * wide).round(), (y - 6.0).round(), wide, 12.0), Ink::BLACK);
            canvas.text([x, y + SMALL * 0.35], letter, SMALL, Ink::TEXT, Align::Middle);
        }
    }
    let space = format!("{} triangle", first.result.signal().primaries.name);
    let leaves: Vec<String> = match measured.len() {
        1 => vec!["leaves".to_string()],
        count => (1..=count).map(|number| format!("leaves {number}")).collect(),
    };
    let mut key = vec![(MARKED, &space[..]), (entering, "enters")];
    key.extend(
        leaves
            .iter()
            .enumerate()
            .map(|(at, name)| (stroke(at, if at == 0 { Ink::TEXT } else { Ink::MARK }, 1.6), &name[..])),
    );
    key_below(canvas, &drawn, &key);
}

/// What the lines are, in the lower right corner: no colour lies there.
fn key_below(canvas: &mut Canvas, drawn: &Drawn, lines: &[(Stroke, &str)]) {
    let widest = lines.iter().map(|(_, name)| width(name, SMALL)).fold(0.0f32, f32::max);
    let x = drawn.area.right() - widest - 48.0;
    let top = drawn.area.bottom() - 8.0 - lines.len() as f32 * line_height(SMALL);
    for (at, (line, name)) in lines.iter().enumerate() {
        let y = top + (at as f32 + 0.5) * line_height(SMALL);
        canvas.line(&[[x, y], [x + 28.0, y]], *line, None);
        canvas.text([x + 36.0, y + SMALL * 0.35], name, SMALL, Ink::TEXT, Align::Left);
    }
}

/// The 75 % bars.
fn held_bars(one: &Measured) -> &[(&'static str, Hue)] {
    one.bars.first().map(|(_, bars)| &bars[..]).unwrap_or_default()
}

/// u'v' of D65.
const WHITE_UV: [f64; 2] = [0.1978, 0.4683];

/// A point further away from another one by so many pixels.
fn away([x, y]: [f32; 2], [from_x, from_y]: [f32; 2], pixels: f32) -> [f32; 2] {
    let (dx, dy) = (x - from_x, y - from_y);
    let length = dx.hypot(dy).max(1e-3);
    [x + dx / length * pixels, y + dy / length * pixels]
}

fn path(points: impl Iterator<Item = Option<[f64; 2]>>) -> Vec<[f64; 2]> {
    points.map(|point| point.unwrap_or([f64::NAN; 2])).collect()
}

/// A small square for the first candidate, a cross for the second.
fn mark(canvas: &mut Canvas, [x, y]: [f32; 2], candidate: usize) {
    if candidate == 0 {
        canvas.fill(Area::new(x.round() - 3.0, y.round() - 3.0, 6.0, 6.0), Ink::TEXT);
    } else {
        let line = Stroke::new(Ink::MARK, 1.5);
        canvas.line(&[[x - 4.0, y - 4.0], [x + 4.0, y + 4.0]], line, None);
        canvas.line(&[[x - 4.0, y + 4.0], [x + 4.0, y - 4.0]], line, None);
    }
}

/// The space that a plot needs around its area: left, top, right, bottom.
pub fn margins() -> [f32; 4] {
    [56.0, 46.0, 74.0, 2.0 * line_height(SMALL) + 10.0]
}
