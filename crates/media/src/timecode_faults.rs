//! Time codes that cannot be meant, each by itself.

use crate::timecode_breaks::counting;
use crate::{Counting, Seen};

/// A frame whose time code cannot be meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimecodeFault {
    /// The frame's number.
    pub number: i64,
    /// What is wrong, in words.
    pub what: String,
}

/// Words that are no time code, addresses and flags that their rate has no place for, and frames without time code
/// among others that have one.
///
/// # Source
/// SMPTE ST 12-1: drop-frame counting belongs to 30/1.001 and 60/1.001 frames a second.
pub(crate) fn timecode_faults(frames: &[Seen]) -> Vec<TimecodeFault> {
    let any = frames.iter().any(|seen| seen.about.timecode.is_some());
    let faulty = |seen: &Seen| {
        let what = fault(seen).filter(|_| any)?;
        Some(TimecodeFault { number: seen.number, what })
    };
    frames.iter().filter_map(faulty).collect()
}

fn fault(seen: &Seen) -> Option<String> {
    let Some(word) = seen.about.timecode else { return Some("no time code, though other frames have one".to_owned()) };
    let address = match word.address() {
        Ok(address) => address,
        Err(error) => return Some(error.to_string()),
    };
    let rate = seen.about.rate?;
    // A rate that no word counts proves nothing.
    let nominal = Counting::for_rate(rate, false)?.per_second();
    if address.drop && (rate == f64::from(nominal) || Counting::for_rate(rate, true).is_none()) {
        let rate = (rate * 1e3).round() / 1e3;
        return Some(format!("time code {address} is flagged drop-frame, which {rate} frames a second never are"));
    }
    let (counting, _) = counting(rate, address.drop)?;
    counting.count_from_address(address).err().map(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timecode_breaks::tests::seen;
    use crate::{About, Timecode};

    /// Source: SMPTE ST 12-1.
    #[test]
    fn each_time_code_must_be_one_of_its_rate() {
        let ntsc = 30000.0 / 1001.0;
        for (rate, address, words) in [
            (25.0, "00:00:00;01", "flagged drop-frame"),
            (30.0, "00:00:00;01", "flagged drop-frame"),
            (24.0, "00:00:00:24", "at 24 frames a second"),
            (50.0, "00:00:00:25", "at 25 frames a second"),
            (ntsc, "00:01:00;01", "drop-frame counting has no such number"),
        ] {
            let faults = timecode_faults(&[seen(7, rate, address)]);
            assert!(faults.len() == 1 && faults[0].number == 7 && faults[0].what.contains(words), "{faults:?}");
        }
        for (rate, address) in
            [(25.0, "00:00:00:24"), (ntsc, "00:01:00;02"), (ntsc, "00:01:00:00"), (50.0, "00:00:00:24")]
        {
            assert_eq!(timecode_faults(&[seen(7, rate, address)]), [], "{rate} {address}");
        }
        let word = |time| Some(Timecode { time, user: 0 });
        let with = |number, timecode| {
            let sound = seen(number, 24.0, "00:00:00:00");
            Seen { about: About { timecode, ..sound.about.clone() }, ..sound }
        };
        let faults = timecode_faults(&[with(1, word(0)), with(2, None), with(3, word(0x0a))]);
        assert_eq!(faults.iter().map(|fault| fault.number).collect::<Vec<_>>(), [2, 3]);
        assert_eq!(timecode_faults(&[with(1, None), with(2, None)]), [], "nobody asked for time code");
    }
}
