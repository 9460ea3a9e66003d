//! One scope as a plot: density, and what is drawn over it.

use colour::{CodeRange, Form, primaries};
use gpu::assemble::Trace;
use measure::scopes::{
    Axis, Chromaticity, Counts, Diagram, Histogram, Limit, Region, SKIN_LINE_DEGREES, TARGET_REACH, Vectorscope,
    Waveform, WaveformOf, cells_of, daylight, limits, percent_ticks, planckian, spectrum, stops_ticks, targets,
    triangle,
};
use ops::{Reference, Signal};

use super::count::{COLUMNS, Counted};
use super::{Kind, Tapped, density};
use crate::draw::{Align, Area, Canvas, Drawn, Ink, Plot, SMALL, Scale, Stroke, width};

/// Pixels of an axis of levels, and of a chromaticity diagram's least side.
const SIDE: u32 = 512;
/// Pixels beyond both ends of an axis of levels, so that what lies at an end does not melt into the frame.
const PAD: u32 = 6;
/// The longest side of a vectorscope, in pixels.
const LONGEST_SIDE: u32 = 660;

/// A scope, ready to be drawn.
pub struct Panel<'a> {
    kind: Kind,
    counted: &'a Counted,
    tapped: &'a Tapped,
    region: Region,
    plot: Plot,
    /// Columns and rows within the frame.
    size: [u32; 2],
}

impl<'a> Panel<'a> {
    /// A scope's plot.
    pub fn new(kind: Kind, counted: &'a Counted, tapped: &'a Tapped, region: Region) -> Panel<'a> {
        let (plot, size) = match &counted.trace {
            Trace::Waveform(scope) => (waveform_plot(kind, scope, tapped), [COLUMNS, SIDE + 2 * PAD]),
            Trace::Histogram(scope) => (histogram_plot(scope, tapped, region), [SIDE + 2 * PAD, SIDE + 2 * PAD]),
            Trace::Vectorscope(scope) => {
                let side = side_of(scope.across());
                (two_axes(format!("Vectorscope, {}", scope.matrix().name), scope.across(), scope.up()), [side, side])
            }
            Trace::Chromaticity(scope) => {
                let title = match scope.diagram() {
                    Diagram::Uv1976 => "Chromaticity, CIE 1976",
                    Diagram::Xy1931 => "Chromaticity, CIE 1931",
                };
                let bins = scope.across().bins();
                (two_axes(title.to_string(), scope.across(), scope.up()), [bins, bins])
            }
        };
        let plot = Plot { note: outside(counted), ..plot };
        Panel { kind, counted, tapped, region, plot, size }
    }

    /// Columns and rows within its frame.
    pub fn size(&self) -> [f32; 2] {
        self.size.map(|side| side as f32)
    }

    /// What its names and figures need around the frame: left, top, right, bottom.
    pub fn margins(&self) -> [f32; 4] {
        self.plot.margins()
    }

    /// Draws it with the upper left corner of its frame at a point.
    pub fn draw(&self, canvas: &mut Canvas, [x, y]: [f32; 2]) {
        let [width, height] = self.size();
        let inner = Area::new(x, y, width, height);
        let drawn = self.plot.draw_around(canvas, inner);
        match &self.counted.trace {
            Trace::Waveform(scope) => self.waveform(canvas, &drawn, scope),
            Trace::Histogram(scope) => self.histogram(canvas, &drawn, scope),
            Trace::Vectorscope(scope) => self.vectorscope(canvas, &drawn, scope),
            Trace::Chromaticity(scope) => self.chromaticity(canvas, &drawn, scope),
        }
    }

    fn waveform(&self, canvas: &mut Canvas, drawn: &Drawn, scope: &Waveform) {
        let limits = limits_of(self.tapped, scope.axis());
        for limit in &limits {
            drawn.level(canvas, scope.axis().position(limit.value), LIMIT);
        }
        let parade = self.kind == Kind::Parade;
        let pixels = density::waveform(scope, &self.counted.counts, self.region, [COLUMNS, SIDE], parade);
        let [x, y] = corner(drawn);
        canvas.lighten([x, y + PAD], COLUMNS, &pixels);
        draw_names(canvas, drawn, scope.axis(), &limits);
        if parade {
            let third = (COLUMNS / 3) as f32;
            for (at, name) in ["R", "G", "B"].into_iter().enumerate() {
                let left = drawn.area.x + at as f32 * third;
                if at > 0 {
                    canvas.fill(Area::new(left, drawn.area.y, 1.0, drawn.area.height), Ink::FRAME);
                }
                canvas.text([left + third / 2.0, drawn.area.bottom() + 18.0], name, SMALL, Ink::LABEL, Align::Middle);
            }
        }
    }

    fn histogram(&self, canvas: &mut Canvas, drawn: &Drawn, scope: &Histogram) {
        for limit in limits_of(self.tapped, &scope.axis) {
            drawn.upright(canvas, scope.axis.position(limit.value), LIMIT);
        }
        let [left, top] = corner(drawn);
        let down = self.size[1];
        let heights: Vec<[u32; 3]> = (0..SIDE).map(|x| self.heights(drawn, scope, x)).collect();
        let mut pixels = vec![Ink::BLACK; (SIDE * down) as usize];
        for (x, here) in heights.iter().enumerate() {
            let before = x.checked_sub(1).and_then(|x| heights.get(x)).copied().unwrap_or_default();
            for y in 0..down {
                // From the lower edge; a column's line reaches from the top of the one before it to its own.
                let up = down - y;
                let shares = std::array::from_fn(|plane| {
                    let (low, high) = (here[plane].min(before[plane]), here[plane].max(before[plane]));
                    match up {
                        _ if high > 0 && (up == here[plane] || up > low && up <= high) => 1.0,
                        _ if up < here[plane] => UNDER_LINE,
                        _ => 0.0,
                    }
                });
                if let Some(pixel) = pixels.get_mut(y as usize * SIDE as usize + x) {
                    *pixel = Ink::together(shares);
                }
            }
        }
        canvas.lighten([left + PAD, top], SIDE, &pixels);
        let [red, green, blue] = Ink::CHANNELS.map(|ink| Stroke::new(ink, 2.0));
        let mut key = vec![(red, "R"), (green, "G"), (blue, "B")];
        if self.tapped.range == CodeRange::Legal && !scope.axis.is_of_light() {
            key.push((LIMIT, "limits"));
        }
        drawn.key(canvas, &key);
    }

    /// How high the three channels of a histogram stand over a column of pixels, in pixels.
    fn heights(&self, drawn: &Drawn, scope: &Histogram, x: u32) -> [u32; 3] {
        let bins = cells_of(x, SIDE, scope.axis.bins());
        std::array::from_fn(|plane| {
            let sum: u32 = bins.clone().map(|bin| self.counted.counts.at(plane as u32, 0, bin + 1)).sum();
            let top = drawn.y(f64::from(sum.max(1)).log10());
            if sum == 0 { 0 } else { (drawn.area.bottom() - top).round().max(1.0) as u32 }
        })
    }

    fn vectorscope(&self, canvas: &mut Canvas, drawn: &Drawn, scope: &Vectorscope) {
        let at = |difference: [f64; 2]| [scope.across().position(difference[0]), scope.up().position(difference[1])];
        let pixels = density::grid(&self.counted.counts, scope.across().bins(), self.size[0], self.region);
        canvas.lighten(corner(drawn), self.size[0], &pixels);
        for (level, stroke) in [(1.0, OVERLAY.faint(0.6)), (0.75, OVERLAY)] {
            for target in targets(&scope.matrix(), level) {
                let [cb, cr] = target.difference;
                let reach = TARGET_REACH;
                let corners = [(-reach, -reach), (reach, -reach), (reach, reach), (-reach, reach), (-reach, -reach)];
                drawn.line(canvas, &corners.map(|(x, y)| at([cb + x, cr + y])), stroke);
                if level < 1.0 {
                    // The name stands beside the box, towards the middle.
                    let length = cb.hypot(cr);
                    let [x, y] = drawn.place(at([cb - cb / length * 0.055, cr - cr / length * 0.055]));
                    let letter = target.name.get(..1).unwrap_or_default().to_uppercase();
                    canvas.text_over([x, y + SMALL * 0.35], &letter, SMALL, Ink::LABEL, Align::Middle);
                }
            }
        }
        let (sin, cos) = SKIN_LINE_DEGREES.to_radians().sin_cos();
        drawn.line(canvas, &[at([0.03 * cos, 0.03 * sin]), at([0.5 * cos, 0.5 * sin])], OVERLAY.dashed(7.0, 4.0));
        let words = format!("skin line {SKIN_LINE_DEGREES:.0}° of {} Cb, Cr", scope.matrix().name);
        drawn.words(canvas, at([0.5 * cos, 0.5 * sin]), [6.0, -4.0], &words, Align::Left);
        let corner = [drawn.area.x + 8.0, drawn.area.bottom() - 10.0];
        canvas.text_over(corner, "boxes: bars of 75 % (inner) and 100 %", SMALL, Ink::LABEL, Align::Left);
    }

    fn chromaticity(&self, canvas: &mut Canvas, drawn: &Drawn, scope: &Chromaticity) {
        let diagram = scope.diagram();
        let at = |[x, y]: [f64; 2]| [scope.across().position(x), scope.up().position(y)];
        let curve = |canvas: &mut Canvas, points: &[[f64; 2]], stroke: Stroke| {
            let points: Vec<_> = points.iter().map(|point| at(*point)).collect();
            drawn.line(canvas, &points, stroke);
        };
        let pixels = density::grid(&self.counted.counts, scope.across().bins(), self.size[0], self.region);
        canvas.lighten(corner(drawn), self.size[0], &pixels);
        let space = display_primaries(self.tapped.tap.signal());
        let (locus, of_space) = (Stroke::new(Ink::LABEL, 1.2), Stroke::new(Ink::TEXT, 1.2));
        let (black_body, day) = (OVERLAY.dashed(2.0, 3.0), OVERLAY.dashed(8.0, 3.0));
        curve(canvas, &spectrum(diagram), locus);
        curve(canvas, &triangle(diagram, &space), of_space);
        curve(canvas, &planckian(diagram), black_body);
        curve(canvas, &daylight(diagram), day);
        let [x, y] = drawn.place(at(diagram.point(primaries::D65)));
        // Open in the middle, where a neutral picture's trace is.
        for (dx, dy) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
            let arm = [[x + 4.0 * dx, y + 4.0 * dy], [x + 10.0 * dx, y + 10.0 * dy]];
            canvas.line(&arm, Stroke::new(Ink::MARK, 1.2), None);
        }
        canvas.text_over([x + 9.0, y + 16.0], "D65", SMALL, Ink::TEXT, Align::Left);
        let name = format!("{} triangle", space.name);
        drawn.key(canvas, &[(locus, "spectrum"), (of_space, &name), (black_body, "black body"), (day, "daylight")]);
    }
}

/// Limits of ranges, under the traces.
const LIMIT: Stroke = Stroke { ink: Ink::LABEL, width: 1.0, dash: Some([6.0, 4.0]), opacity: 0.75 };
/// What is drawn over a density without hiding it.
const OVERLAY: Stroke = Stroke { ink: Ink::LABEL, width: 1.2, dash: None, opacity: 1.0 };
/// The intensity under the line of a histogram.
const UNDER_LINE: f64 = 0.16;

fn corner(drawn: &Drawn) -> [u32; 2] {
    [drawn.area.x as u32, drawn.area.y as u32]
}

fn two_axes(title: String, across: &Axis, up: &Axis) -> Plot {
    Plot::new(title, Scale::of_axis(across), Scale::of_axis(up))
}

/// A side on which every pixel has as many bins, or every bin as many pixels.
fn side_of(axis: &Axis) -> u32 {
    let bins = axis.bins();
    match bins {
        ..=330 => bins * 2,
        331..=LONGEST_SIDE => bins,
        _ => bins.div_ceil(bins.div_ceil(LONGEST_SIDE)),
    }
}

/// The scale of an axis of levels, and a little beyond.
fn of_levels(axis: &Axis) -> Scale {
    let scale = Scale::of_axis(axis);
    let beyond = f64::from(PAD) / f64::from(SIDE) * scale.last;
    Scale { first: -beyond, last: scale.last + beyond, ..scale }
}

fn waveform_plot(kind: Kind, scope: &Waveform, tapped: &Tapped) -> Plot {
    let title = match (kind, scope.of()) {
        (Kind::Parade, _) => "Parade, RGB",
        (_, WaveformOf::Channels) => "Waveform, RGB overlaid",
        _ if scope.axis().is_of_light() || !tapped.is_unknown() && !tapped.tap.is_code() => "Waveform, luminance",
        _ => "Waveform, luma",
    };
    let across = Scale { name: String::new(), first: 0.0, last: f64::from(COLUMNS), ticks: Vec::new() };
    Plot { right: other_figures(scope.axis(), tapped), ..Plot::new(title, across, of_levels(scope.axis())) }
}

fn histogram_plot(scope: &Histogram, tapped: &Tapped, region: Region) -> Plot {
    let title = if scope.axis.is_of_light() { "Histogram, light" } else { "Histogram" };
    let highest = (region.pixels() as f64).log10().max(1.0);
    let ticks = (0..=highest.floor() as i32).map(|power| (f64::from(power), say_power(power)));
    let name = "pixels (log)".to_string();
    let up = Scale { name, first: -0.3, last: highest + 0.1, ticks: ticks.collect() };
    let mut across = of_levels(&scope.axis);
    if !tapped.is_unknown() && scope.axis.code_bits().is_some() {
        across.name = format!("{}, {} range", across.name, range_name(tapped.range));
    }
    Plot::new(title, across, up)
}

fn say_power(power: i32) -> String {
    match power {
        0..=2 => 10i32.pow(power.unsigned_abs()).to_string(),
        3..=5 => format!("{}k", 10i32.pow(power.unsigned_abs() - 3)),
        _ => format!("{}M", 10i64.pow(power.unsigned_abs().clamp(6, 18) - 6)),
    }
}

pub fn range_name(range: CodeRange) -> &'static str {
    match range {
        CodeRange::Full => "full",
        CodeRange::Legal => "legal",
    }
}

/// What stands along the right side: the same levels in another unit.
fn other_figures(axis: &Axis, tapped: &Tapped) -> Option<Scale> {
    let tap = &tapped.tap;
    let (name, ticks) = if tapped.is_unknown() || axis.is_of_light() {
        return None;
    } else if tap.is_scene() {
        let encode = |light: f64| tap.signal().curve.transfer.encode(Form::Exact, light);
        let stops = stops_ticks(-8.0, 8.0).into_iter().map(|tick| (encode(tick.value), tick.label));
        ("stops from mid grey", stops.collect::<Vec<_>>())
    } else if axis.name == "nits" || axis.code_bits().is_some() {
        ("% of signal", percent_ticks().into_iter().map(|tick| (tick.value, tick.label)).collect())
    } else {
        ("nits", measure::scopes::nits_ticks(tap).into_iter().map(|tick| (tick.value, tick.label)).collect())
    };
    let ticks = ticks.into_iter().map(|(value, label)| (axis.position(value), label)).collect();
    Some(Scale { name: name.to_string(), ticks, ..of_levels(axis) })
}

/// The limits that are drawn: of legal range. The ends of full range are the axis's own.
fn limits_of(tapped: &Tapped, axis: &Axis) -> Vec<Limit> {
    match (tapped.range, axis.is_of_light()) {
        (CodeRange::Legal, false) => limits(axis.code_bits().unwrap_or(10), CodeRange::Legal),
        _ => Vec::new(),
    }
}

/// The names of limits, beside their lines.
fn draw_names(canvas: &mut Canvas, drawn: &Drawn, axis: &Axis, limits: &[Limit]) {
    let mut left = drawn.area.x + 6.0;
    // Limits come in pairs, a low and a high one; each pair has a place of its own, side by side.
    for pair in limits.chunks(2) {
        let mut widest = 0.0f32;
        for limit in pair {
            let y = drawn.y(axis.position(limit.value)).floor();
            let wide = width(&limit.name, SMALL);
            // Low ones stand above their line and high ones below, so that all are within the frame.
            let baseline = if limit.value < 0.5 { y - 4.0 } else { y + SMALL + 1.0 };
            canvas.text_over([left, baseline], &limit.name, SMALL, Ink::LABEL, Align::Left);
            widest = widest.max(wide);
        }
        left += widest + 18.0;
    }
}

/// What lies beyond the axes, in words.
fn outside(counted: &Counted) -> String {
    let counts = &counted.counts;
    let shape = counts.shape();
    let mut sums = [0u64; 2];
    let (across, _) = counted.axes();
    for plane in 0..shape.planes {
        for row in 0..shape.rows {
            for column in 0..shape.columns {
                let ends = |at: u32, slots: u32| (at == 0, at + 1 == slots);
                let (low, high) = ends(row, shape.rows);
                let (left, right) = if across.is_some() { ends(column, shape.columns) } else { (false, false) };
                let count = u64::from(counts.at(plane, column, row));
                sums[0] += if low || left { count } else { 0 };
                sums[1] += if (high || right) && !low && !left { count } else { 0 };
            }
        }
    }
    let sum_of = |of: fn(&Counts, u32) -> u32| (0..shape.planes).map(|plane| u64::from(of(counts, plane))).sum::<u64>();
    let what = if shape.planes == 3 { "samples" } else { "pixels" };
    let kinds = [
        (sums[0], "below the axis"),
        (sums[1], "above the axis"),
        (sum_of(Counts::dark), "too dark"),
        (sum_of(Counts::not_a_number), "not a number"),
    ];
    let words: Vec<_> =
        kinds.iter().filter(|(count, _)| *count > 0).map(|(count, words)| format!("{count} {words}")).collect();
    if words.is_empty() { String::new() } else { format!("{what}: {}", words.join(", ")) }
}

/// The primaries of the display that the light is for; BT.709 for a scene's.
fn display_primaries(signal: &Signal) -> colour::Primaries {
    match signal.reference {
        Reference::Display { .. } => signal.primaries.clone(),
        Reference::Scene => primaries::BT709,
    }
}
