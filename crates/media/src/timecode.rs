//! Time code: addresses, counting with and without dropped numbers, and the words that files store.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

use crate::Timecode;

/// Bit of the frames byte that says the numbers are counted drop-frame.
///
/// # Source
/// SMPTE ST 12-1, binary-coded time address: drop frame flag beside the tens of frames.
const DROP_FLAG: u32 = 1 << 6;
/// Most frames that two bits of tens and a digit can say.
const MOST_FRAMES_IN_WORD: u32 = 39;
/// How far a header's rate may lie from the nominal one, relatively: 1/1001, and as much again for rounded texts.
const RATE_SLACK: f64 = 2.0 / 1001.0;

/// A time address: hours, minutes, seconds and frames.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Address {
    /// 0 to 23.
    pub hours: u32,
    /// 0 to 59.
    pub minutes: u32,
    /// 0 to 59.
    pub seconds: u32,
    /// 0 up to one less than the frames counted in a second.
    pub frames: u32,
    /// Whether numbers are dropped to keep pace with the clock; written as `;` before the frames.
    pub drop: bool,
}

/// How frames are counted: so many a second, with or without dropped numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counting {
    per_second: u32,
    drop: bool,
}

/// Why something is no time code.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TimecodeError {
    /// Text of another form.
    #[error("'{0}' is no time code; write hh:mm:ss:ff, or hh:mm:ss;ff for drop-frame")]
    Syntax(String),
    /// A nibble above 9 where a decimal digit belongs.
    #[error("time code word {0:08x}: a digit above 9; the file holds no time code of SMPTE ST 12-1")]
    Digit(u32),
    /// A part beyond its end.
    #[error("time code {address}: at {per_second} frames a second it must lie below 24:00:00:00, with parts in range")]
    Outside {
        /// The address.
        address: Address,
        /// Frames counted in a second.
        per_second: u32,
    },
    /// A number that drop-frame counting leaves out.
    #[error("time code {0}: drop-frame counting has no such number; the minute begins later")]
    Dropped(Address),
    /// Drop-frame counting of something else than 30 or 60 frames, or an absurd rate.
    #[error("{per_second} frames a second{how} is not counted; drop-frame is for 30 and 60, others are 1 to 240")]
    Rate {
        /// Frames counted in a second.
        per_second: u32,
        /// ` drop-frame` or nothing.
        how: &'static str,
    },
    /// Too many frames for the word.
    #[error("time code {0}: a time code word counts 0 to 39 frames; count frame pairs above 30 a second")]
    NoPlace(Address),
}

impl Counting {
    /// Counting `per_second` frames (24 for 24/1.001 too). Drop-frame exists at 30/1.001 and 60/1.001.
    ///
    /// # Errors
    /// [`TimecodeError::Rate`].
    pub fn new(per_second: u32, drop: bool) -> Result<Counting, TimecodeError> {
        let known = if drop { matches!(per_second, 30 | 60) } else { (1..=240).contains(&per_second) };
        if known {
            Ok(Counting { per_second, drop })
        } else {
            Err(TimecodeError::Rate { per_second, how: if drop { " drop-frame" } else { "" } })
        }
    }

    /// Counting for a header's frame rate, as in 23.976 or 25; `None` where the rate is near no whole number.
    pub fn for_rate(rate: f64, drop: bool) -> Option<Counting> {
        let nominal = rate.round();
        let near = (1.0..=240.0).contains(&nominal) && (rate / nominal - 1.0).abs() < RATE_SLACK;
        if near { Counting::new(nominal as u32, drop).ok() } else { None }
    }

    /// Frames counted in a second.
    pub fn per_second(self) -> u32 {
        self.per_second
    }

    /// Frames from midnight to midnight.
    pub fn frames_a_day(self) -> u64 {
        144 * self.ten_minutes()
    }

    /// The address of a frame counted from midnight; after a day it begins again.
    ///
    /// # Source
    /// SMPTE ST 12-1: drop-frame leaves out the numbers 00 and 01 (00 to 03 at 60) of every minute except each tenth.
    pub fn address_from_count(self, count: u64) -> Address {
        let count = count % self.frames_a_day();
        let dropped = self.dropped();
        let (tens, rest) = (count / self.ten_minutes(), count % self.ten_minutes());
        // The first of ten minutes is whole.
        let whole = 60 * u64::from(self.per_second);
        let begun = if rest < whole { 0 } else { 1 + (rest - whole) / (whole - dropped) };
        let label = count + dropped * (9 * tens + begun);
        let per_second = u64::from(self.per_second);
        let seconds = label / per_second;
        // All parts are small by now: a day has 86400 seconds.
        Address {
            hours: (seconds / 3600) as u32,
            minutes: (seconds / 60 % 60) as u32,
            seconds: (seconds % 60) as u32,
            frames: (label % per_second) as u32,
            drop: self.drop,
        }
    }

    /// Frames from midnight to an address; the inverse of [`Counting::address_from_count`].
    ///
    /// # Errors
    /// Parts out of range, or a number that drop-frame counting leaves out.
    pub fn count_from_address(self, address: Address) -> Result<u64, TimecodeError> {
        let Address { hours, minutes, seconds, frames, .. } = address;
        if hours > 23 || minutes > 59 || seconds > 59 || frames >= self.per_second {
            return Err(TimecodeError::Outside { address, per_second: self.per_second });
        }
        let dropped = self.dropped();
        if seconds == 0 && minutes % 10 != 0 && u64::from(frames) < dropped {
            return Err(TimecodeError::Dropped(address));
        }
        let all_minutes = u64::from(hours * 60 + minutes);
        let label = (all_minutes * 60 + u64::from(seconds)) * u64::from(self.per_second) + u64::from(frames);
        Ok(label - dropped * (all_minutes - all_minutes / 10))
    }

    /// Numbers left out in a minute: 2 of 30, 4 of 60.
    fn dropped(self) -> u64 {
        if self.drop { u64::from(self.per_second) / 15 } else { 0 }
    }

    fn ten_minutes(self) -> u64 {
        600 * u64::from(self.per_second) - 9 * self.dropped()
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Address { hours, minutes, seconds, frames, drop } = self;
        let mark = if *drop { ';' } else { ':' };
        write!(f, "{hours:02}:{minutes:02}:{seconds:02}{mark}{frames:02}")
    }
}

impl FromStr for Address {
    type Err = TimecodeError;

    fn from_str(text: &str) -> Result<Address, TimecodeError> {
        let wrong = || TimecodeError::Syntax(text.to_owned());
        let drop = text.contains(';');
        let parts: Vec<u32> = text
            .trim()
            .split([':', ';'])
            .map(|part| {
                let digits = part.len() == 2 && part.bytes().all(|byte| byte.is_ascii_digit());
                part.parse().ok().filter(|_| digits).ok_or_else(wrong)
            })
            .collect::<Result<_, _>>()?;
        match parts[..] {
            [hours, minutes, seconds, frames] => Ok(Address { hours, minutes, seconds, frames, drop }),
            _ => Err(wrong()),
        }
    }
}

impl Timecode {
    /// The address that the word says, its other flags left aside.
    ///
    /// # Errors
    /// [`TimecodeError::Digit`] where a nibble is no decimal digit.
    ///
    /// # Source
    /// SMPTE ST 12-1: tens of hours and frames have two bits, of minutes and seconds three; flags fill the rest.
    pub fn address(self) -> Result<Address, TimecodeError> {
        let part = |at: u32, tens: u32| {
            let digit = self.time >> at & 0xf;
            if digit > 9 { None } else { Some((self.time >> (at + 4) & tens) * 10 + digit) }
        };
        let parts = (part(24, 3), part(16, 7), part(8, 7), part(0, 3));
        let (Some(hours), Some(minutes), Some(seconds), Some(frames)) = parts else {
            return Err(TimecodeError::Digit(self.time));
        };
        Ok(Address { hours, minutes, seconds, frames, drop: self.time & DROP_FLAG != 0 })
    }

    /// The word for an address, every flag but that of drop-frame clear, and no user bits.
    ///
    /// # Errors
    /// A part that has no place in the word.
    pub fn from_address(address: Address) -> Result<Timecode, TimecodeError> {
        let Address { hours, minutes, seconds, frames, drop } = address;
        if hours > 23 || minutes > 59 || seconds > 59 || frames > MOST_FRAMES_IN_WORD {
            return Err(TimecodeError::NoPlace(address));
        }
        let digits = |part: u32| ((part / 10) << 4) | (part % 10);
        let time = digits(hours) << 24 | digits(minutes) << 16 | digits(seconds) << 8 | digits(frames);
        Ok(Timecode { time: if drop { time | DROP_FLAG } else { time }, user: 0 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn counting() -> impl Strategy<Value = Counting> {
        let kinds =
            [(24, false), (25, false), (30, false), (48, false), (50, false), (60, false), (30, true), (60, true)];
        prop::sample::select(kinds.to_vec()).prop_map(|(rate, drop)| Counting::new(rate, drop).unwrap())
    }

    proptest! {
        #[test]
        fn counts_and_addresses_are_inverse(counting in counting(), share in 0.0..1.0_f64) {
            let count = (share * counting.frames_a_day() as f64) as u64;
            let address = counting.address_from_count(count);
            prop_assert_eq!(counting.count_from_address(address), Ok(count));
            prop_assert_eq!(address.to_string().parse::<Address>(), Ok(address));
            if let Ok(word) = Timecode::from_address(address) {
                prop_assert_eq!(word.address(), Ok(address));
            } else {
                prop_assert!(address.frames > MOST_FRAMES_IN_WORD);
            }
        }

        #[test]
        fn no_word_brings_a_panic(time: u32) {
            let _ = Timecode { time, user: 0 }.address();
        }
    }

    /// Source: SMPTE ST 12-1, drop-frame counting.
    #[test]
    fn dropped_numbers_are_refused() {
        let counting = Counting::new(30, true).unwrap();
        let count = |text: &str| counting.count_from_address(text.parse().unwrap());
        assert!(matches!(count("00:01:00;01"), Err(TimecodeError::Dropped(_))));
        assert_eq!(count("00:01:00;02"), Ok(1800));
        assert_eq!(count("00:10:00;00"), Ok(17982));
        assert!(matches!(count("24:00:00;00"), Err(TimecodeError::Outside { .. })));
        assert!(Counting::new(25, true).is_err());
        assert_eq!(Counting::for_rate(23.976, false).map(Counting::per_second), Some(24));
        assert_eq!(Counting::for_rate(29.97, true).map(Counting::per_second), Some(30));
        assert_eq!(Counting::for_rate(24.5, false), None);
        assert_eq!(Counting::for_rate(f64::NAN, false), None);
        for wrong in ["", "1:2:3:4", "00:00:00", "aa:00:00:00", "00:00:00:+1"] {
            assert!(wrong.parse::<Address>().is_err(), "{wrong}");
        }
    }

    /// The flags of ST 12-1 share bytes with the digits and must not be read as digits.
    #[test]
    fn flags_are_no_digits() {
        let word = Timecode { time: 0x0102_0304 | 0xc080_80c0, user: 0 };
        assert_eq!(word.address().unwrap().to_string(), "01:02:03;04");
        assert!(Timecode { time: 0x0000_000a, user: 0 }.address().is_err());
    }
}
