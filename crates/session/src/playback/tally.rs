//! What became of the frames that came due.

use std::collections::VecDeque;
use std::time::Duration;

use serde::Serialize;

use super::Share;

/// How many delays are kept; older ones are forgotten, so that no hour of playing takes more memory.
const DELAYS: usize = 1 << 14;

/// Counts frames. Every frame that came due is in one of the counts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Shown while they were due.
    pub shown: u64,
    /// Numbers that the sequence lacks, for which another frame was shown.
    pub held: u64,
    /// Not ready in time, and left out.
    pub dropped: u64,
    /// Could not be read or computed.
    pub failed: u64,
    /// When counting began.
    #[serde(skip)]
    pub(super) since: Duration,
    /// From due to shown, of the last ones.
    #[serde(skip)]
    pub(super) delays: VecDeque<Duration>,
    /// Where the size changed.
    pub sizes: Vec<Change>,
}

/// From some frame on, pictures had another size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Change {
    /// When, since counting began.
    #[serde(serialize_with = "seconds")]
    pub at: Duration,
    /// On which frame.
    pub frame: i64,
    /// How large they are from there on.
    pub share: Share,
}

fn seconds<S: serde::Serializer>(time: &Duration, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(time.as_secs_f64())
}

impl Tally {
    /// Frames that came due.
    pub fn due(&self) -> u64 {
        self.shown + self.held + self.dropped + self.failed
    }

    /// A frame was shown so long after it came due.
    pub(super) fn delayed(&mut self, delay: Duration) {
        if self.delays.len() == DELAYS {
            self.delays.pop_front();
        }
        self.delays.push_back(delay);
    }

    /// The delay that a share of the frames shown had at most, of the last sixteen thousand; none where none was shown.
    pub fn delay(&self, quantile: f64) -> Option<Duration> {
        let mut sorted: Vec<Duration> = self.delays.iter().copied().collect();
        sorted.sort_unstable();
        let last = sorted.len().checked_sub(1)?;
        sorted.get((last as f64 * quantile).round() as usize).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn delays_are_those_of_the_last_frames() {
        let mut tally = Tally::default();
        assert_eq!(tally.delay(0.5), None);
        for _ in 0..5 {
            tally.delayed(Duration::from_secs(9));
        }
        for delay in 0..DELAYS as u64 {
            tally.delayed(Duration::from_millis(delay));
        }
        assert_eq!(tally.delay(0.0), Some(Duration::ZERO));
        assert_eq!(tally.delay(0.5), Some(Duration::from_millis(DELAYS as u64 / 2)));
        assert_eq!(tally.delay(1.0), Some(Duration::from_millis(DELAYS as u64 - 1)));
    }
}
