//! Mix: one picture shown through another, by a share.
//!
//! `out = (1 - share) main + share side`, channel by channel, on whatever the two pictures are. Domain and range:
//! the whole real line; negatives and values above one are weighed like the rest; alpha is the original's. At share 0
//! the main picture comes out bit for bit. Not invertible: two pictures have become one.
//!
//! It is the only operation with two inputs. Where nothing is led into one of them, the original enters there, so
//! that `mix` at the end of a chain shows how much a correction does.
//!
//! # Source
//! Linear interpolation; common practice, no source.

use crate::{
    Budget, Constant, Context, Derived, Domain, Operation, Shader, Signals, Step, settings,
};

settings! {
    /// How much of the side picture is seen.
    pub struct Mix {
        /// Share of the side picture: at 0 only the main picture is seen, at 1 only the side picture.
        share: f64 = 0.0, Scale, Share, soft (0.0, 1.0), hard (0.0, 1.0), ends ("main picture", "side picture");
    }
}

impl Operation for Mix {
    const ID: &'static str = "mix";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "shows one picture through another, by a share";
    const HOME: Domain = Domain::AsGiven;

    /// None: it has two inputs, which a step has not; elaboration keeps it as it is.
    fn steps(&self, _context: &Context<'_>, _signals: &Signals) -> Vec<Step> {
        Vec::new()
    }

    fn is_neutral(&self) -> bool {
        self.share == 0.0
    }
}

impl Mix {
    /// The textbook formula in f64.
    pub fn eval(&self, main: [f64; 3], side: [f64; 3]) -> [f64; 3] {
        std::array::from_fn(|channel| (1.0 - self.share) * main[channel] + self.share * side[channel])
    }

    /// What it does with its settings, as dumps print it.
    pub fn describe(&self) -> String {
        format!("mix, share {} of the side picture", self.share)
    }

    /// Where its WGSL is: `function(structure, main, side) -> rgb`.
    pub fn shader(&self) -> Shader {
        shader!("ops/mix.wgsl", "Mix", "op_mix")
    }

    /// The GPU's constants.
    pub fn derive(&self) -> Derived {
        let keep = Constant::Scalar(1.0 - self.share);
        Derived::new(vec![("keep", keep), ("share", Constant::Scalar(self.share))])
    }

    /// What f32 may cost: two products and a sum with two rounded weights. Where the two pictures nearly cancel, the
    /// rounding of each is still there, so the floor follows the larger of them; see [`Mix::largest_term`].
    pub fn budget(&self) -> Budget {
        Budget { ulps: 4.0, floor: 0.0 }
    }

    /// The size that rounding is relative to: the largest term of the sum.
    pub fn largest_term(&self, main: [f64; 3], side: [f64; 3]) -> f64 {
        let largest = |rgb: [f64; 3]| rgb.iter().fold(0.0f64, |most, channel| most.max(channel.abs()));
        ((1.0 - self.share) * largest(main)).max(self.share * largest(side))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_are_the_pictures_themselves() {
        let (main, side) = ([0.1, -0.2, 3.0], [0.4, 0.5, 0.6]);
        assert_eq!(Mix { share: 0.0 }.eval(main, side), main);
        assert_eq!(Mix { share: 1.0 }.eval(main, side), side);
        assert_eq!(Mix { share: 0.5 }.eval([0.0, 1.0, -1.0], [1.0, 0.0, 3.0]), [0.5, 0.5, 1.0]);
    }
}
