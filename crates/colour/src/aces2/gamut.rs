//! Gamut compression of ACES 2: colours are moved along lines in the plane of lightness and colourfulness until they
//! lie within the limiting primaries, the more the further out they are.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use super::appearance::Jmh;
use super::chroma::Reach;
use super::tone_scale::ToneScale;

/// How far the cusp is rounded, as a share of its colourfulness, and how much further out it is put for that.
pub(super) const SMOOTH_CUSP: f64 = 0.12;
pub(super) const SMOOTH_M: f64 = 0.27;
const CUSP_MIDDLE_BLEND: f64 = 1.3;
const FOCUS_GAIN_BLEND: f64 = 0.3;
const FOCUS_DISTANCE: f64 = 1.35;
const FOCUS_DISTANCE_SCALING: f64 = 1.75;
const COMPRESSION_THRESHOLD: f64 = 0.75;
const LOWER_HULL: f64 = 1.14;
const LOWER_HULL_PER_DECADE: f64 = 0.07;

/// The gamut's outermost colour at a hue, and the shape of the hull above it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cusp {
    /// Hue in degrees.
    pub hue: f64,
    /// Lightness.
    pub j: f64,
    /// Colourfulness, put out so far that the rounded cusp reaches the gamut's.
    pub m: f64,
    /// Exponent of the hull from the cusp to white.
    pub upper_exponent: f64,
}

impl Cusp {
    /// The cusp between two that `share` of the way is.
    #[must_use]
    pub fn between(low: Cusp, high: Cusp, share: f64) -> Cusp {
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Cusp {
            hue: mix(low.hue, high.hue),
            j: mix(low.j, high.j),
            m: mix(low.m, high.m),
            upper_exponent: mix(low.upper_exponent, high.upper_exponent),
        }
    }
}

/// The geometry of the compression for one peak.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gamut {
    /// Lightness of the peak.
    pub most_j: f64,
    /// Lightness of the tone scale's middle.
    pub middle_j: f64,
    /// How far out the lines' focus is, as a share of the peak's lightness.
    pub focus_distance: f64,
    /// Exponent of the hull from black to the cusp.
    pub lower_exponent: f64,
}

/// The line that a colour is moved along: its lightness on the neutral axis and its slope.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    axis_j: f64,
    slope: f64,
    cusp_axis_j: f64,
}

impl Line {
    pub(super) fn j_at(&self, m: f64) -> f64 {
        self.axis_j + self.slope * m
    }
}

impl Gamut {
    /// The geometry for the peak of a tone scale.
    pub fn new(tone_scale: &ToneScale, most_j: f64, middle_j: f64) -> Gamut {
        let decades = tone_scale.decades;
        Gamut {
            most_j,
            middle_j,
            focus_distance: FOCUS_DISTANCE + FOCUS_DISTANCE * FOCUS_DISTANCE_SCALING * decades,
            lower_exponent: 1.0 / (LOWER_HULL + LOWER_HULL_PER_DECADE * decades),
        }
    }

    /// The colour within the gamut.
    pub fn compressed(&self, colour: Jmh, cusp: &Cusp, reach: &Reach) -> Jmh {
        if self.is_neutral(colour) {
            return Jmh { m: 0.0, ..colour };
        }
        self.moved(colour, colour.j, cusp, reach, nearer)
    }

    /// The colour that [`Gamut::compressed`] brings to this one. Above a lightness between the cusp's and the peak's it is
    /// near, not exact: the line depends on the lightness that is sought.
    pub fn expanded(&self, colour: Jmh, cusp: &Cusp, reach: &Reach) -> Jmh {
        if self.is_neutral(colour) {
            return Jmh { m: 0.0, ..colour };
        }
        let mut j = colour.j;
        if j > self.steep_j(cusp) {
            j = self.moved(colour, j, cusp, reach, further).j;
        }
        self.moved(colour, j, cusp, reach, further)
    }

    fn is_neutral(&self, colour: Jmh) -> bool {
        colour.j <= 0.0 || colour.m <= 0.0 || colour.j > self.most_j
    }

    fn moved(&self, colour: Jmh, line_j: f64, cusp: &Cusp, reach: &Reach, remap: fn(f64, &Remap) -> f64) -> Jmh {
        let line = self.line(colour.j, colour.m, line_j, cusp);
        let gamut_m = self.boundary(&line, cusp);
        if gamut_m <= 0.0 {
            return Jmh { m: 0.0, ..colour };
        }
        let reach_m = hull(line.axis_j, line.slope, reach.exponent, self.most_j, reach.most_m, self.most_j);
        let m = Remap::new(gamut_m, reach_m).map_or(colour.m, |span| remap(colour.m, &span));
        Jmh { j: line.j_at(m), m, hue: colour.hue }
    }

    /// Lightness above which the lines grow steeper towards white.
    fn steep_j(&self, cusp: &Cusp) -> f64 {
        cusp.j + FOCUS_GAIN_BLEND * (self.most_j - cusp.j)
    }

    fn focus_j(&self, cusp: &Cusp) -> f64 {
        cusp.j + (self.middle_j - cusp.j) * (CUSP_MIDDLE_BLEND - cusp.j / self.most_j).min(1.0)
    }

    /// The line through a colour, as steep as lightness `line_j` makes it.
    pub(super) fn line(&self, j: f64, m: f64, line_j: f64, cusp: &Cusp) -> Line {
        let (focus_j, steep_j) = (self.focus_j(cusp), self.steep_j(cusp));
        let mut gain = self.most_j * self.focus_distance;
        if line_j > steep_j {
            let decades = ((self.most_j - steep_j) / (self.most_j - line_j).max(0.0001)).log10();
            gain *= 1.0 + decades * decades;
        }
        let axis_j = self.axis_j(j, m, focus_j, gain);
        let direction = if axis_j < focus_j { axis_j } else { self.most_j - axis_j };
        let slope = direction * (axis_j - focus_j) / (focus_j * gain);
        Line { axis_j, slope, cusp_axis_j: self.axis_j(cusp.j, cusp.m, focus_j, gain) }
    }

    /// Where the line through a colour meets the neutral axis.
    fn axis_j(&self, j: f64, m: f64, focus_j: f64, gain: f64) -> f64 {
        let m = m / gain;
        let a = m / focus_j;
        if j < focus_j {
            let b = 1.0 - m;
            2.0 * j / (b + (b * b + 4.0 * a * j).sqrt())
        } else {
            let b = 1.0 + m + self.most_j * a;
            let c = self.most_j * m + j;
            2.0 * c / (b + (b * b - 4.0 * a * c).sqrt())
        }
    }

    /// Colourfulness at which a line leaves the gamut: the smaller of the lower and the upper hull, rounded at the cusp.
    pub(super) fn boundary(&self, line: &Line, cusp: &Cusp) -> f64 {
        let lower = hull(line.axis_j, line.slope, self.lower_exponent, cusp.j, cusp.m, line.cusp_axis_j);
        let down = |j: f64| self.most_j - j;
        let upper =
            hull(down(line.axis_j), -line.slope, cusp.upper_exponent, down(cusp.j), cusp.m, down(line.cusp_axis_j));
        let width = SMOOTH_CUSP * cusp.m;
        let near = (width - (lower - upper).abs()).max(0.0) / width;
        lower.min(upper) - near.powi(3) * width / 6.0
    }
}

/// About where the line from `axis_j` meets the curve `j = top_j (m / top_m)^(1 / exponent)`: the line is shifted so that the
/// meeting becomes that of two lines, exact for the line through `reference_j`. A line that rises as steeply never meets it:
/// the published formula would put the meeting on the other side and make dark yellows grey, which happens on none of
/// the published displays, but on one of 100 nits and BT.2020 primaries.
fn hull(axis_j: f64, slope: f64, exponent: f64, top_j: f64, top_m: f64, reference_j: f64) -> f64 {
    let nearing = top_j - slope * top_m;
    if nearing <= 0.0 {
        return f64::INFINITY;
    }
    let shifted = reference_j * (axis_j / reference_j).powf(exponent);
    shifted * top_m / nearing
}

/// From where colourfulness is compressed, and how.
struct Remap {
    threshold: f64,
    scale: f64,
}

impl Remap {
    /// `None` where the gamut holds all that can be reached.
    fn new(gamut_m: f64, reach_m: f64) -> Option<Remap> {
        let share = (gamut_m / reach_m).max(COMPRESSION_THRESHOLD);
        if share >= 1.0 {
            return None;
        }
        let threshold = share * gamut_m;
        let (gamut, reach) = (gamut_m - threshold, reach_m - threshold);
        Some(Remap { threshold, scale: reach / (reach / gamut - 1.0) })
    }
}

fn nearer(m: f64, span: &Remap) -> f64 {
    if m <= span.threshold {
        return m;
    }
    let over = (m - span.threshold) / span.scale;
    span.threshold + span.scale * over / (1.0 + over)
}

fn further(m: f64, span: &Remap) -> f64 {
    if m <= span.threshold {
        return m;
    }
    let over = (m - span.threshold) / span.scale;
    if over >= 1.0 { span.threshold + span.scale } else { span.threshold + span.scale * over / (1.0 - over) }
}
