//! Two pieces of a decoder that meet at a break, and the exact inverse of the whole.

/// Steps below this (in light, or in code) are the rounding of the evaluation, not of the published constants.
const ROUNDING: f64 = 1e-12;

/// Where a lower and an upper piece of a decoder meet. The break itself belongs to the upper piece.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Joint {
    /// The code of the break.
    pub code: f64,
    /// The light of the lower piece at the break.
    pub below: f64,
    /// The light of the upper piece at the break.
    pub above: f64,
}

impl Joint {
    /// The code of `linear`: the upper piece wherever it reaches, the code of the break in a gap, else the lower
    /// piece. Both are held to their side of the break, so that rounding cannot reverse the order.
    pub fn encode(&self, linear: f64, lower: impl Fn(f64) -> f64, upper: impl Fn(f64) -> f64) -> f64 {
        if linear >= self.above {
            upper(linear).max(self.code)
        } else if linear >= self.below {
            self.code
        } else {
            lower(linear).min(self.code)
        }
    }

    /// How far up the decoder steps.
    pub fn gap(&self) -> f64 {
        significant(self.above - self.below)
    }

    /// The stretch of code around the break whose light has another code too.
    pub fn overlap(&self, lower: impl Fn(f64) -> f64, upper: impl Fn(f64) -> f64) -> f64 {
        if self.above >= self.below {
            return 0.0;
        }
        significant(upper(self.below) - lower(self.above))
    }
}

fn significant(step: f64) -> f64 {
    if step > ROUNDING { step } else { 0.0 }
}
