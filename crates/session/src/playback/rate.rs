//! Frames a second, as a ratio of whole numbers, so that no hour of playing adds up what was rounded.

use std::fmt;
use std::str::FromStr;
use std::time::Duration;

const NANOSECONDS: u128 = 1_000_000_000;

/// Most frames a second that are played by a clock.
const FASTEST: u128 = 1000;

/// Rates at which the one over 1.001 is in use too.
///
/// # Source
/// SMPTE ST 12-1 names 30/1.001 and 60/1.001, SMPTE ST 2048-1 and ST 2036-1 24/1.001, 30/1.001, 60/1.001 and
/// 120/1.001 (from memory); 48/1.001 is common practice, no source.
const WITH_A_SLOW_ONE: [u32; 5] = [24, 30, 48, 60, 120];

/// How far a decimal may lie from a rate over 1.001 and still mean it, relatively: 23.98 does, 24 does not.
const SLACK: f64 = 2.5e-4;

/// Frames a second: above nothing, [`FASTEST`] at most.
#[derive(Debug, Clone, Copy)]
pub struct Rate {
    frames: u32,
    seconds: u32,
}

/// Why something is no rate.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is no rate; write frames a second, for instance 24, 23.976, 24000/1001: above 0, at most 1000")]
pub struct RateError(String);

impl Rate {
    /// That of the cinema: 24 frames a second.
    pub const CINEMA: Self = Self { frames: 24, seconds: 1 };

    /// So many frames in so many seconds, for instance 24000 in 1001.
    ///
    /// # Errors
    /// Nothing of either, or more than 1000 frames a second.
    pub fn new(frames: u32, seconds: u32) -> Result<Self, RateError> {
        let too_fast = u128::from(frames) > FASTEST * u128::from(seconds);
        if frames == 0 || seconds == 0 || too_fast {
            return Err(RateError(format!("{frames}/{seconds}")));
        }
        Ok(Self { frames, seconds })
    }

    /// The rate that a decimal means, as files and people write it: 23.976 and 23.98 are 24000/1001.
    ///
    /// # Errors
    /// What is not above 0 and at most 1000.
    pub fn from_decimal(rate: f64) -> Result<Self, RateError> {
        let refused = || RateError(rate.to_string());
        if !(rate > 0.0 && rate <= FASTEST as f64) {
            return Err(refused());
        }
        let slow = |whole: &&u32| (rate / (f64::from(**whole) / 1.001) - 1.0).abs() < SLACK;
        if let Some(whole) = WITH_A_SLOW_ONE.iter().find(slow) {
            return Self::new(whole * 1000, 1001);
        }
        // To a hundred-thousandth of a frame, which is more than a single float says of most rates.
        let parts = 100_000;
        let frames = (rate * f64::from(parts)).round() as u32;
        let common = greatest_common_divisor(frames, parts);
        Self::new(frames / common.max(1), parts / common.max(1)).map_err(|_| refused())
    }

    /// Frames a second.
    pub fn per_second(self) -> f64 {
        f64::from(self.frames) / f64::from(self.seconds)
    }

    /// How long a frame stands.
    pub fn period(self) -> Duration {
        self.begins(1)
    }

    /// How many frames have come due before this time is over, not counting the one at its very beginning.
    pub fn frames_in(self, elapsed: Duration) -> u64 {
        let frames = elapsed.as_nanos() * u128::from(self.frames) / (u128::from(self.seconds) * NANOSECONDS);
        u64::try_from(frames).unwrap_or(u64::MAX)
    }

    /// When frame `count` comes due: the first nanosecond at which [`Rate::frames_in`] is `count`.
    pub fn begins(self, count: u64) -> Duration {
        let nanoseconds =
            (u128::from(count) * u128::from(self.seconds) * NANOSECONDS).div_ceil(u128::from(self.frames));
        let seconds = u64::try_from(nanoseconds / NANOSECONDS).unwrap_or(u64::MAX);
        Duration::new(seconds, (nanoseconds % NANOSECONDS) as u32)
    }
}

fn greatest_common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

/// Equal are rates of the same speed, however they are written.
impl PartialEq for Rate {
    fn eq(&self, other: &Self) -> bool {
        u64::from(self.frames) * u64::from(other.seconds) == u64::from(other.frames) * u64::from(self.seconds)
    }
}

impl Eq for Rate {}

impl FromStr for Rate {
    type Err = RateError;

    fn from_str(text: &str) -> Result<Self, RateError> {
        let refused = || RateError(text.to_string());
        if let Some((frames, seconds)) = text.split_once('/') {
            let number = |text: &str| text.trim().parse().map_err(|_| refused());
            return Self::new(number(frames)?, number(seconds)?).map_err(|_| refused());
        }
        let decimal = text.trim().parse().map_err(|_| refused())?;
        Self::from_decimal(decimal).map_err(|_| refused())
    }
}

/// As a ratio where it is no whole number: `24000/1001`.
impl fmt::Display for Rate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.seconds {
            1 => write!(f, "{}", self.frames),
            seconds => write!(f, "{}/{seconds}", self.frames),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_people_write_is_meant() {
        let check = |text: &str, frames, seconds| {
            assert_eq!(text.parse::<Rate>(), Rate::new(frames, seconds), "{text}");
        };
        check("24", 24, 1);
        check("23.976", 24000, 1001);
        check("23.98", 24000, 1001);
        check("24000/1001", 24000, 1001);
        check("29.97", 30000, 1001);
        check("59.94", 60000, 1001);
        check("119.88", 120_000, 1001);
        check("25.0", 25, 1);
        check("12.5", 25, 2);
        check("0.1", 1, 10);
        check("1000", 1000, 1);
        for wrong in ["", "0", "-24", "x", "24/0", "0/1", "1001", "2002/2/3", "NaN", "inf"] {
            assert!(wrong.parse::<Rate>().is_err(), "{wrong}");
        }
        assert_eq!("23.98".parse::<Rate>().unwrap().to_string(), "24000/1001");
        // A header's single float.
        assert_eq!(Rate::from_decimal(f64::from(23.976_f32)), Rate::new(24000, 1001));
        assert_eq!(Rate::from_decimal(f64::from(25.0_f32)), Rate::new(25, 1));
    }

    /// Figures of 24000/1001: a thousand and one seconds are 24000 frames, to the frame, and a day is 2071528.47.
    #[test]
    fn a_day_is_counted_to_the_frame() {
        let rate = Rate::new(24000, 1001).unwrap();
        assert_eq!(rate.frames_in(Duration::from_secs(1001)), 24000);
        assert_eq!(rate.frames_in(Duration::from_secs(86400)), 2_071_528);
        assert_eq!(rate.begins(24000), Duration::from_secs(1001));
        assert_eq!(Rate::new(25, 1).unwrap().period(), Duration::from_millis(40));
    }

    proptest! {
        #[test]
        fn a_frame_begins_when_it_is_counted(
            frames in 1u32..120_000, seconds in 1u32..2000, count in 1u64..50_000_000,
        ) {
            prop_assume!(u128::from(frames) <= FASTEST * u128::from(seconds));
            let rate = Rate::new(frames, seconds).unwrap();
            let begins = rate.begins(count);
            prop_assert_eq!(rate.frames_in(begins), count);
            prop_assert_eq!(rate.frames_in(begins - Duration::from_nanos(1)), count - 1);
        }
    }
}
