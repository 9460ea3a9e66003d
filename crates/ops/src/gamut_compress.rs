//! Gamut compression: colours outside AP1 brought inside it, and those near its edge drawn in to make room.
//!
//! The published reference gamut compression. With `A` the largest channel and `d = (A - c) / |A|` the distance of a
//! channel from grey (0 is grey, 1 the edge of the gamut): where `d` reaches the threshold `t`,
//! `d' = t + x s / (1 + x^p)^(1/p)` with `x = (d - t) / s` and the scale `s` chosen so that `d = limit` becomes 1; then
//! `c' = A - d' |A|`. The three distances are called for the colour they lead towards: red's is cyan, green's magenta,
//! blue's yellow. The largest channel and all below the threshold keep every bit. It has no neutral settings: it is in
//! the wiring or it is not.
//! Domain: the whole real line. Negatives: a negative channel is what it is for; a pixel without a channel above zero is
//! compressed towards its largest channel; where the largest is exactly zero the pixel becomes black, as its neighbours
//! nearly do. Values above one: the distance is a ratio, so brightness does not matter. Alpha is untouched.
//! Invertible: `inverse=true` is the published closed form, for `t <= d < t + s`; what lies beyond, where nothing can
//! have been compressed to, it leaves alone.
//!
//! # Source
//! Academy, ACES Reference Gamut Compression (ACES 1.3), equations 1 to 6 and its published limits, thresholds and power.

use colour::primaries;

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// From where on colours are drawn in, and which distance becomes the edge of the gamut.
    pub struct GamutCompress {
        /// Distances towards cyan, magenta and yellow that become 1, the edge of the gamut.
        limit: [f64; 3] = [1.147, 1.264, 1.312], Scale, Share, soft (1.05, 1.6), hard (1.001, 4.0), ends ("more colourful", "paler");
        /// Distances towards cyan, magenta and yellow below which nothing changes.
        threshold: [f64; 3] = [0.815, 0.803, 0.880], Scale, Share, soft (0.5, 0.95), hard (0.0, 0.999), ends ("paler", "more colourful");
        /// How suddenly it sets in: 1 is the gentlest, higher keeps colours longer.
        power: f64 = 1.2, Scale, None, soft (1.0, 2.0), hard (1.0, 4.0), ends ("paler", "more colourful");
        /// Whether it undoes a compression with the same numbers.
        inverse: bool = false, Choice, None;
    }
}

impl Operation for GamutCompress {
    const ID: &'static str = "gamut-compress";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "brings colours outside AP1 inside it, by the published reference gamut compression";
    const HOME: Domain = Domain::Scene;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn concern(&self, given: &Signal) -> Option<String> {
        let at_home = given.curve.is_linear() && given.primaries.same_chromaticities(&primaries::AP1);
        (!at_home && !given.is_unknown())
            .then(|| format!("its distances are made for linear light on AP1, and what it is given is {given}"))
    }

    fn inverse(&self) -> Option<Self> {
        Some(Self { inverse: !self.inverse, ..self.clone() })
    }
}

/// One channel's distances: its threshold, and the scale by which its limit becomes 1.
#[derive(Clone, Copy)]
struct Distance {
    threshold: f64,
    scale: f64,
    power: f64,
}

impl Distance {
    /// Equation 5: the scale from limit, threshold and power.
    fn new(limit: f64, threshold: f64, power: f64) -> Self {
        let share: f64 = (1.0 - threshold) / (limit - threshold);
        let scale = (limit - threshold) / (share.powf(-power) - 1.0).powf(1.0 / power);
        Self { threshold, scale, power }
    }

    fn compressed(self, distance: f64) -> f64 {
        let x = (distance - self.threshold) / self.scale;
        // Beyond this the curve is flat to the last bit, and the powers would overflow.
        let x = x.min(1e60);
        self.threshold + self.scale * x / (1.0 + x.powf(self.power)).powf(1.0 / self.power)
    }

    fn expanded(self, distance: f64) -> f64 {
        let y = (distance - self.threshold) / self.scale;
        self.threshold + self.scale * (y.powf(self.power) / (1.0 - y.powf(self.power))).powf(1.0 / self.power)
    }

    /// What a distance becomes. Expanding leaves alone what no compression gives.
    fn moved(self, inverse: bool, distance: f64) -> f64 {
        match inverse {
            _ if distance < self.threshold => distance,
            false => self.compressed(distance),
            true if distance < self.threshold + self.scale => self.expanded(distance),
            true => distance,
        }
    }
}

impl GamutCompress {
    fn distances(&self) -> [Distance; 3] {
        std::array::from_fn(|i| Distance::new(self.limit[i], self.threshold[i], self.power))
    }
}

fn largest_of(rgb: [f64; 3]) -> f64 {
    rgb.into_iter().fold(f64::NEG_INFINITY, f64::max)
}

impl Pointwise for GamutCompress {
    fn describe(&self) -> String {
        let Self { limit, threshold, power, inverse } = self;
        let way = if *inverse { " undone" } else { "" };
        format!("gamut-compress{way}, limit {limit:?}, threshold {threshold:?}, power {power}")
    }

    fn shader(&self) -> Shader {
        if self.inverse {
            shader!("ops/gamut_compress.wgsl", "GamutCompress", "op_gamut_compress_inverse")
        } else {
            shader!("ops/gamut_compress.wgsl", "GamutCompress", "op_gamut_compress")
        }
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let inverse = self.inverse;
        let distances = self.distances();
        Box::new(move |rgb| {
            let largest = largest_of(rgb);
            if largest == 0.0 {
                // No channel has a distance; the neighbours of such a pixel come out next to black.
                return if inverse { rgb } else { [0.0; 3] };
            }
            std::array::from_fn(|i| {
                let distance = (largest - rgb[i]) / largest.abs();
                let moved = distances[i].moved(inverse, distance);
                // A distance that stays leaves its channel as it is, to the bit.
                if moved == distance { rgb[i] } else { largest - moved * largest.abs() }
            })
        })
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        // s = (l - t) / (((l - t)/(1 - t))^p - 1)^(1/p), by logarithms.
        let scale: [f64; 3] = std::array::from_fn(|i| {
            let reach = self.limit[i] - self.threshold[i];
            let grown = (self.power * (reach / (1.0 - self.threshold[i])).ln()).exp_m1();
            reach * (-grown.ln() / self.power).exp()
        });
        Derived::new(vec![
            ("threshold", Constant::Triple(self.threshold)),
            ("scale", Constant::Triple(scale)),
            ("of_scale", Constant::Triple(scale.map(f64::recip))),
            ("power", Constant::Scalar(self.power)),
            ("root", Constant::Scalar(self.power.recip())),
        ])
    }

    fn budget(&self) -> Budget {
        // A division, two powers with arguments of a few units, each granted 2^-21 by log2 near one (8 units, times the
        // power) and 3 + 2|x| by exp2; a distance is as large as the largest channel.
        Budget { ulps: 32.0 + 16.0 * self.power, floor: 0.0 }
    }

    fn inner_rounding(&self, _takes: &Signal) -> Option<Eval> {
        let distances = self.distances();
        // The inverse has a pole. In a distance: difference, division and threshold cost eight units of it; in its share
        // of the scale, a division, log2 near one and exp2 some 24.
        self.inverse.then(|| -> Eval {
            Box::new(move |rgb| {
                let largest = largest_of(rgb);
                let size = largest.abs().max(f64::MIN_POSITIVE);
                std::array::from_fn(|i| {
                    let distance = (largest - rgb[i]) / size;
                    let by = (8.0 * distance + 24.0 * distances[i].scale) / 16_777_216.0;
                    let at = |distance| distances[i].moved(true, distance);
                    let off = |distance: f64| {
                        (at(distance) - at(distance + by)).abs().max((at(distance) - at(distance - by)).abs())
                    };
                    if distance < distances[i].threshold - by { 0.0 } else { off(distance) * size }
                })
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn compressed(rgb: [f64; 3]) -> [f64; 3] {
        GamutCompress::default().eval(&Signal::scene())(rgb)
    }

    fn expanded(rgb: [f64; 3]) -> [f64; 3] {
        GamutCompress { inverse: true, ..GamutCompress::default() }.eval(&Signal::scene())(rgb)
    }

    #[test]
    fn a_colour_at_its_limit_comes_to_the_edge() {
        // ACES 1.3 reference gamut compression: the limits map to distance 1, where the channel is 0.
        for (channel, limit) in GamutCompress::default().limit.into_iter().enumerate() {
            let mut rgb = [2.0; 3];
            rgb[channel] = 2.0 * (1.0 - limit);
            let out = compressed(rgb);
            assert!(out[channel].abs() < 1e-14, "{out:?}");
        }
    }

    #[test]
    fn a_largest_channel_of_zero_is_black_as_its_neighbours_nearly_are() {
        assert_eq!(compressed([0.0, -1.0, -1.0]), [0.0; 3]);
        for largest in [1e-9, -1e-9] {
            let out = compressed([largest, -1.0, -1.0]);
            assert!(out.into_iter().all(|channel| channel.abs() < 3e-9), "{out:?}");
        }
        assert_eq!(expanded([0.0, -1.0, -1.0]), [0.0, -1.0, -1.0]);
    }

    #[test]
    fn it_says_that_its_distances_are_those_of_ap1() {
        let wide = Signal { primaries: primaries::BT2020, ..Signal::scene() };
        let op = GamutCompress::default();
        assert!(op.concern(&Signal::scene()).is_none());
        assert!(
            op.concern(&wide).is_some_and(|reason| reason.contains("BT.2020")) && op.concern(&Signal::log()).is_some()
        );
    }

    proptest! {
        #[test]
        fn colours_within_the_thresholds_keep_every_bit(grey in 0.01f64..100.0, by in proptest::array::uniform3(0.0f64..0.8)) {
            let rgb = by.map(|by| grey * (1.0 - by));
            prop_assert_eq!(compressed(rgb), rgb);
            prop_assert_eq!(expanded(rgb), rgb);
        }

        #[test]
        fn the_inverse_brings_back_what_was_compressed(rgb in proptest::array::uniform3(-0.5f64..1.0), gain in 0.01f64..100.0) {
            let largest = largest_of(rgb);
            // Distances to about three, as cameras give them: farther out the inverse is too steep for ten digits.
            prop_assume!(largest > 0.2);
            let rgb = rgb.map(|channel| channel * gain);
            for (got, wanted) in expanded(compressed(rgb)).into_iter().zip(rgb) {
                prop_assert!((got - wanted).abs() < 1e-10 * gain, "{got} for {wanted}");
            }
        }

        #[test]
        fn brightness_does_not_matter_and_order_stays(
            rgb in proptest::array::uniform3(-1.0f64..1.0), other in -1.0f64..1.0, gain in 0.01f64..100.0
        ) {
            let out = compressed(rgb);
            let brighter = compressed(rgb.map(|channel| channel * gain));
            for (one, other) in out.into_iter().zip(brighter) {
                prop_assert!((one * gain - other).abs() < 1e-12 * gain);
            }
            // Of two reds beside the same green and blue, the higher stays the higher, as long as neither is the largest.
            let [_, green, blue] = rgb;
            prop_assume!(other < rgb[0] && rgb[0] < green.max(blue) && green.max(blue) > 1e-3);
            prop_assert!(compressed([other, green, blue])[0] <= out[0]);
        }
    }
}
