//! Time code followed along a sequence.

use crate::{Address, Counting, Seen};

/// Frames a second at which an address stands for a pair of frames, since a word counts no more than 30.
///
/// # Source
/// SMPTE ST 12-1, time code of progressive systems above 30 frames a second. The flag that tells the two frames of a
/// pair apart is left aside: files in the wild seldom set it (common practice, no source).
const PAIRED: [u32; 3] = [48, 50, 60];

/// A frame whose time code does not follow from those of the frames before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimecodeBreak {
    /// The frame's number.
    pub number: i64,
    /// What would follow.
    pub expected: Address,
    /// What the file says.
    pub found: Address,
}

/// Where time code jumps in frames that are in order of number; missing frames are allowed for. Nothing is said where
/// the files tell no rate or no time code, or a rate whose frames no word counts.
pub(crate) fn timecode_breaks(frames: &[Seen]) -> Vec<TimecodeBreak> {
    let mut breaks = Vec::new();
    let mut walk: Option<Walk> = None;
    for seen in frames {
        let Some(found) = seen.about.timecode.and_then(|word| word.address().ok()) else {
            walk = None;
            continue;
        };
        let stepped = walk.take().and_then(|walk| walk.step(seen.number, found));
        walk = match stepped {
            Some(Ok(on)) if Some(on.rate) == seen.about.rate => Some(on),
            Some(Err(expected)) => {
                breaks.push(TimecodeBreak { number: seen.number, expected, found });
                Walk::begin(seen, found)
            }
            _ => Walk::begin(seen, found),
        };
    }
    breaks
}

/// How a rate's addresses are counted, and how many frames share one; `None` where no word counts them.
pub(crate) fn counting(rate: f64, drop: bool) -> Option<(Counting, u64)> {
    let nominal = Counting::for_rate(rate, false)?.per_second();
    let sharing = if PAIRED.contains(&nominal) { 2 } else { 1 };
    let counting = Counting::new(nominal / sharing, drop).ok().filter(|it| it.per_second() <= 30)?;
    Some((counting, u64::from(sharing)))
}

/// How far the time code has come.
struct Walk {
    rate: f64,
    /// Counts addresses.
    counting: Counting,
    /// Frames that share an address.
    sharing: u64,
    /// The frame it has come to.
    number: i64,
    /// Frames from midnight. Which frame of a pair this one is shows only when the address changes, so until then
    /// there are two answers.
    possible: Vec<u64>,
}

impl Walk {
    fn begin(seen: &Seen, found: Address) -> Option<Walk> {
        let rate = seen.about.rate?;
        let (counting, sharing) = counting(rate, found.drop)?;
        let address = counting.count_from_address(found).ok()?;
        let possible = (0..sharing).map(|place| address * sharing + place).collect();
        Some(Walk { rate, counting, sharing, number: seen.number, possible })
    }

    /// Goes on to a frame that says `found`: the walk from there, or what would have followed. `None` where the numbers
    /// do not go up.
    fn step(mut self, number: i64, found: Address) -> Option<Result<Walk, Address>> {
        let apart = u64::try_from(number.checked_sub(self.number)?).ok()?;
        self.possible = self.possible.iter().map(|count| count.checked_add(apart)).collect::<Option<_>>()?;
        let address = |count: u64| self.counting.address_from_count(count / self.sharing);
        let expected = address(*self.possible.first()?);
        let left: Vec<u64> = self.possible.iter().copied().filter(|count| address(*count) == found).collect();
        if left.is_empty() {
            return Some(Err(expected));
        }
        Some(Ok(Walk { number, possible: left, ..self }))
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::{About, Timecode, format::NATIVE};
    use frame::{Channels, Layout, Samples, Size};

    pub(crate) fn seen(number: i64, rate: f64, address: &str) -> Seen {
        let timecode = Some(Timecode::from_address(address.parse().unwrap()).unwrap());
        let layout = Layout::new(Channels::Rgb, Samples::Ten, NATIVE);
        let about = About { timecode, rate: Some(rate), ..About::default() };
        Seen { number, size: Size::new(1, 1), layout, about, digest: 0 }
    }

    /// Where the time code of consecutive frames breaks, and what would have followed.
    fn breaks(rate: f64, addresses: &[&str]) -> Vec<(i64, String)> {
        let frames: Vec<Seen> = (1..).zip(addresses).map(|(number, address)| seen(number, rate, address)).collect();
        timecode_breaks(&frames).into_iter().map(|found| (found.number, found.expected.to_string())).collect()
    }

    /// Source: SMPTE ST 12-1; at 59.94 frames a second the pairs are counted as frames are at 29.97, whose minute begins
    /// at 02.
    #[test]
    fn pairs_of_frames_share_an_address() {
        let cases: [(f64, [&str; 2]); 6] = [
            (48.0, ["00:00:00:23", "00:00:01:00"]),
            (48000.0 / 1001.0, ["00:00:00:23", "00:00:01:00"]),
            (50.0, ["00:00:00:24", "00:00:01:00"]),
            (60.0, ["00:00:00:29", "00:00:01:00"]),
            (60000.0 / 1001.0, ["00:00:59;29", "00:01:00;02"]),
            (60000.0 / 1001.0, ["00:00:59:29", "00:01:00:00"]),
        ];
        for (rate, [a, b]) in cases {
            for sound in [[a, a, b, b].as_slice(), &[a, b, b], &[a, a, b], &[a, b]] {
                assert_eq!(breaks(rate, sound), [], "{rate}: {sound:?}");
            }
            assert_eq!(breaks(rate, &[a, a, a]), [(3, b.to_owned())], "{rate}: standing still");
            assert_eq!(breaks(rate, &[a, b, b, b]).len(), 1, "{rate}: standing still later");
            assert_eq!(breaks(rate, &[a, a, b, a]), [(4, b.to_owned())], "{rate}: going back");
        }
        assert_eq!(breaks(50.0, &["00:00:00:00", "00:00:00:01", "00:00:00:02"]), [(3, "00:00:00:01".to_owned())]);
        // Up to 30 each frame has its own.
        assert_eq!(breaks(25.0, &["00:00:00:24", "00:00:00:24"]), [(2, "00:00:01:00".to_owned())]);
    }

    #[test]
    fn missing_frames_and_other_rates_are_allowed_for() {
        let gap = [seen(1, 50.0, "00:00:00:00"), seen(2, 50.0, "00:00:00:00"), seen(7, 50.0, "00:00:00:03")];
        assert_eq!(timecode_breaks(&gap), []);
        let wrong = [seen(1, 50.0, "00:00:00:00"), seen(2, 50.0, "00:00:00:00"), seen(7, 50.0, "00:00:00:04")];
        assert_eq!(timecode_breaks(&wrong)[0].expected.to_string(), "00:00:00:03");
        // At a rate that no word counts, and after midnight, nothing is wrong.
        assert_eq!(breaks(120.0, &["00:00:00:00", "00:00:00:05"]), []);
        assert_eq!(breaks(24.0, &["23:59:59:23", "00:00:00:00"]), []);
        let ntsc = 30000.0 / 1001.0;
        assert_eq!(breaks(ntsc, &["23:59:59;29", "00:00:00;00"]), []);
        assert_eq!(breaks(ntsc, &["23:59:59:29", "00:00:00:00"]), []);
        // The first minute of a day drops nothing, being a tenth one; the second does.
        assert_eq!(breaks(ntsc, &["23:59:59;29", "00:00:00;02"]), [(2, "00:00:00;00".to_owned())]);
        let gap = [seen(1, ntsc, "23:59:59;28"), seen(1803, ntsc, "00:01:00;02")];
        assert_eq!(timecode_breaks(&gap), []);
        // The rate changes: what follows is counted by the new one.
        let other = [seen(1, 24.0, "00:00:00:23"), seen(2, 25.0, "00:00:01:00"), seen(26, 25.0, "00:00:01:24")];
        assert_eq!(timecode_breaks(&other), []);
    }
}
