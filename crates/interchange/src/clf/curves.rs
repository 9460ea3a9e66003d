//! Curves of a few numbers, the same for each channel.

/// The smallest number that a logarithm is taken of: the smallest normal single float.
///
/// # Source
/// Academy S-2014-006 (CLF 3.0), the Log node.
const LEAST: f64 = f32::MIN_POSITIVE as f64;

/// A line through two points.
///
/// # Source
/// Academy S-2014-006 (CLF 3.0), the Range node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Low and high number that enter; the high one above the low one.
    pub from: [f64; 2],
    /// What leaves at these; the high one above the low one.
    pub to: [f64; 2],
    /// Whether what lies beyond is held at the ends.
    pub clamps: bool,
}

impl Range {
    /// What leaves.
    pub fn at(&self, v: f64) -> f64 {
        let ([low, high], [to_low, to_high]) = (self.from, self.to);
        let out = (v - low) * (to_high - to_low) / (high - low) + to_low;
        if self.clamps { out.max(to_low).min(to_high) } else { out }
    }
}

/// A logarithm above a break in light, a straight line below that meets it there.
///
/// `code = log_slope log_base(lin_slope linear + lin_offset) + log_offset`
///
/// # Source
/// Academy S-2014-006 (CLF 3.0), the Log node, styles `cameraLinToLog` and `cameraLogToLin`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Log {
    /// Base of the logarithm, above 1.
    pub base: f64,
    /// Factor on the logarithm.
    pub log_slope: f64,
    /// Offset on the logarithm.
    pub log_offset: f64,
    /// Factor on light inside the logarithm.
    pub lin_slope: f64,
    /// Offset inside the logarithm.
    pub lin_offset: f64,
    /// Up to this light the line holds.
    pub lin_break: f64,
    /// Slope of the line, in code over light.
    pub linear_slope: f64,
}

impl Log {
    fn log_part(&self, linear: f64) -> f64 {
        let inside = (self.lin_slope * linear + self.lin_offset).max(LEAST);
        self.log_slope * inside.ln() / self.base.ln() + self.log_offset
    }

    /// The slope of the logarithm at the break: that of the line unless told.
    pub(super) fn slope_at_break(&self) -> f64 {
        self.log_slope * self.lin_slope / ((self.lin_slope * self.lin_break + self.lin_offset) * self.base.ln())
    }

    /// The code of light 0 on the line: what makes both parts meet.
    fn linear_offset(&self) -> f64 {
        self.log_part(self.lin_break) - self.linear_slope * self.lin_break
    }

    /// Code of light.
    pub fn code_from_linear(&self, linear: f64) -> f64 {
        if linear <= self.lin_break { self.linear_slope * linear + self.linear_offset() } else { self.log_part(linear) }
    }

    /// Light of code.
    pub fn linear_from_code(&self, code: f64) -> f64 {
        if code <= self.log_part(self.lin_break) {
            return (code - self.linear_offset()) / self.linear_slope;
        }
        let inside = ((code - self.log_offset) / self.log_slope * self.base.ln()).exp();
        (inside - self.lin_offset) / self.lin_slope
    }
}

/// The law of an exponent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Law {
    /// A pure power: styles `basicMirrorFwd` and `basicMirrorRev`.
    Basic,
    /// A power with a straight line at zero: styles `monCurveMirrorFwd` and `monCurveMirrorRev`.
    MonCurve,
}

/// A power, mirrored about 0.
///
/// # Source
/// Academy S-2014-006 (CLF 3.0), the Exponent node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exponent {
    /// Which law.
    pub law: Law,
    /// Code to light: above 0, and above 1 with a line.
    pub exponent: f64,
    /// How far the power is moved; 0 for a pure one, else above 0.
    pub offset: f64,
}

impl Exponent {
    /// Where the line ends, in code and in light.
    fn ends(&self) -> [f64; 2] {
        let (g, k) = (self.exponent, self.offset);
        [k / (g - 1.0), (k * g / ((g - 1.0) * (1.0 + k))).powf(g)]
    }

    /// Light of code.
    pub fn forward(&self, code: f64) -> f64 {
        let (size, g, k) = (code.abs(), self.exponent, self.offset);
        let [end, light] = self.ends();
        let out = match self.law {
            Law::MonCurve if size < end => size * light / end,
            Law::MonCurve | Law::Basic => ((size + k) / (1.0 + k)).powf(g),
        };
        out.copysign(code)
    }

    /// Code of light.
    pub fn back(&self, light: f64) -> f64 {
        let (size, g, k) = (light.abs(), self.exponent, self.offset);
        let [end, light_end] = self.ends();
        let out = match self.law {
            Law::MonCurve if size < light_end => size * end / light_end,
            Law::MonCurve | Law::Basic => (1.0 + k) * size.powf(1.0 / g) - k,
        };
        out.copysign(light)
    }
}
