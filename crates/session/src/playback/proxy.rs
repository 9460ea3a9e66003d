//! When the picture becomes smaller, and when larger again. No threads and no clock of its own.
//!
//! Smaller: where a frame costs more than its period, by the mean of the last few; or where more than a tenth of the
//! frames of the last second were dropped and a smaller picture can help, since computing takes half of the period or
//! more. Where it takes less, the files or the disk are too slow, and a smaller picture would drop as many. It becomes
//! at once as small as the cost asks for. Where far fewer pixels cost nearly as much, it is not the pixels that cost, but
//! something else that the device does, and still fewer would be given up for nothing.
//!
//! Larger: where no frame was dropped for a while, and four times the cost fits into nine tenths of the period, as many
//! more pixels as there are. A picture that became smaller because of its cost therefore does not become larger again
//! unless the cost falls. Where the drops come back all the same, the while is twice as long each time.

use std::collections::VecDeque;
use std::time::Duration;

use super::Share;

/// What is looked back on.
const WINDOW: Duration = Duration::from_secs(1);
/// Frames that came due before a judgement on their number.
const ENOUGH: usize = 6;
/// Costs before a judgement on their mean; and how many are kept, which a larger picture asks for.
const COSTS: [usize; 2] = [3, 9];
/// How long a share is watched before it is judged, so that what is only made once, buffers and programs, tips no scale.
const SETTLING: Duration = Duration::from_millis(250);
/// Dropped share of the frames due that is borne.
const BORNE: f64 = 0.1;
/// Periods that a frame may never cost.
const FAR_TOO_MUCH: u32 = 3;
/// How long all must be well before a larger picture is tried, at first and at most.
const CALM: [Duration; 2] = [Duration::from_secs(2), Duration::from_secs(64)];

/// Watches what frames cost and which are dropped, and chooses how large they are.
#[derive(Debug, Clone)]
pub struct Proxies {
    share: Share,
    /// Whether each frame that came due was shown.
    due: VecDeque<(Duration, bool)>,
    costs: VecDeque<Duration>,
    /// When the share was chosen.
    since: Duration,
    /// Whether its first frame is still to come, which pays for what is made once.
    fresh: bool,
    /// When a frame was last dropped.
    dropped: Option<Duration>,
    calm: Duration,
    /// What a frame cost before it became smaller.
    larger_cost: Option<Duration>,
    /// When a larger picture was last tried.
    tried: Option<Duration>,
}

impl Default for Proxies {
    fn default() -> Self {
        Self {
            share: Share::Whole,
            due: VecDeque::new(),
            costs: VecDeque::new(),
            since: Duration::ZERO,
            fresh: true,
            dropped: None,
            calm: CALM[0],
            larger_cost: None,
            tried: None,
        }
    }
}

impl Proxies {
    /// How large pictures are now.
    pub fn share(&self) -> Share {
        self.share
    }

    /// A frame's time is over; it was shown in it, or dropped.
    pub fn due(&mut self, now: Duration, shown: bool) {
        self.due.push_back((now, shown));
        if !shown {
            self.dropped = Some(now);
        }
        while self.due.front().is_some_and(|(at, _)| now.saturating_sub(*at) > WINDOW) {
            self.due.pop_front();
        }
    }

    /// Computing a frame of this share kept the machine for so long, apart from waiting for its file.
    pub fn cost(&mut self, share: Share, cost: Duration) {
        if share == self.share && !std::mem::take(&mut self.fresh) {
            self.costs.push_back(cost);
            if self.costs.len() > COSTS[1] {
                self.costs.pop_front();
            }
        }
    }

    /// Another share, where it is time for one.
    pub fn choose(&mut self, now: Duration, period: Duration) -> Option<Share> {
        if now.saturating_sub(self.since) < SETTLING {
            return None;
        }
        let cost = self.usual_cost(period)?;
        let dropped = self.due.iter().filter(|(_, shown)| !shown).count();
        let drops = self.due.len() >= ENOUGH && dropped as f64 > BORNE * self.due.len() as f64;
        if cost > period || (drops && cost * 2 >= period) {
            let is_no_cheaper = |larger: Duration| cost * 10 > larger * 7;
            if self.larger_cost.is_some_and(is_no_cheaper) {
                return None;
            }
            let smaller = self.fitting(cost, period)?;
            self.larger_cost = Some(cost);
            // A larger picture was tried for nothing.
            if self.tried.take().is_some_and(|tried| now.saturating_sub(tried) < self.calm + WINDOW) {
                self.calm = (self.calm * 2).min(CALM[1]);
            } else {
                self.calm = CALM[0];
            }
            return Some(self.turn(now, smaller));
        }
        let well_since = self.dropped.unwrap_or_default().max(self.since);
        if self.is_well_known() && now.saturating_sub(well_since) >= self.calm && cost * 40 <= period * 9 {
            let larger = self.share.larger()?;
            (self.tried, self.larger_cost) = (Some(now), None);
            return Some(self.turn(now, larger));
        }
        None
    }

    fn turn(&mut self, now: Duration, share: Share) -> Share {
        (self.share, self.since, self.fresh) = (share, now, true);
        self.due.clear();
        self.costs.clear();
        share
    }

    /// The largest smaller share that fits into the period, or the smallest of all.
    fn fitting(&self, cost: Duration, period: Duration) -> Option<Share> {
        let smaller = || Share::ALL.into_iter().filter(|share| *share > self.share);
        let times = |share: &Share| (share.pixels() / self.share.pixels()).pow(2);
        smaller().find(|share| cost <= period * times(share)).or(smaller().next_back())
    }

    /// The mean of the last costs, where there are enough: two, where each is far too much. Pictures may come in threes, so
    /// that a median would say nothing; of many, the largest is left out, which is one that something else held up.
    fn usual_cost(&self, period: Duration) -> Option<Duration> {
        let (least, most) = (self.costs.iter().min()?, self.costs.iter().max()?);
        let is_plain = self.costs.len() > 1 && *least > period * FAR_TOO_MUCH;
        if !is_plain && self.costs.len() < COSTS[0] {
            return None;
        }
        let all: Duration = self.costs.iter().sum();
        let count = u32::try_from(self.costs.len()).ok()?;
        Some(if self.is_well_known() { (all - *most) / (count - 1) } else { all / count })
    }

    /// Whether as many costs are known as are ever kept.
    fn is_well_known(&self) -> bool {
        self.costs.len() == COSTS[1]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A machine whose frames cost so much beside what each pixel costs, at 25 frames a second; `reads` of a hundred
    /// frames come too late from the disk. Gives the changes of share with their time.
    fn play(seconds: u64, mut cost: impl FnMut(Duration, Share) -> Duration, late: u64) -> Vec<(Duration, Share)> {
        let period = Duration::from_millis(40);
        let (mut proxies, mut changes) = (Proxies::default(), Vec::new());
        for frame in 0..seconds * 25 {
            let now = period * u32::try_from(frame).unwrap();
            let cost = cost(now, proxies.share());
            proxies.cost(proxies.share(), cost);
            // What costs more than a period cannot be shown in every one.
            let share_kept = (period.as_secs_f64() / cost.as_secs_f64()).min(1.0);
            let kept = (frame as f64 * share_kept).floor() < ((frame + 1) as f64 * share_kept).floor();
            proxies.due(now, kept && frame % 100 >= late);
            changes.extend(proxies.choose(now, period).map(|share| (now, share)));
        }
        changes
    }

    fn milliseconds(whole: f64) -> impl FnMut(Duration, Share) -> Duration {
        move |_, share| Duration::from_secs_f64(1e-3 * (1.0 + whole / f64::from(share.pixels().pow(2))))
    }

    fn shares(changes: &[(Duration, Share)]) -> Vec<Share> {
        changes.iter().map(|(_, share)| *share).collect()
    }

    #[test]
    fn a_machine_that_keeps_up_shows_all() {
        assert_eq!(play(600, milliseconds(30.0), 0), []);
    }

    #[test]
    fn a_slow_machine_shows_less_and_stays_there() {
        assert_eq!(shares(&play(3600, milliseconds(60.0), 0)), [Share::Half]);
        assert_eq!(shares(&play(3600, milliseconds(400.0), 0)), [Share::Quarter], "at once as small as it must be");
        assert_eq!(shares(&play(3600, milliseconds(1e5), 0)), [Share::Eighth], "and then drops");
        let changes = play(60, milliseconds(60.0), 0);
        assert!(changes[0].0 < Duration::from_secs(1), "soon: {changes:?}");
    }

    /// At 120 frames a second the first frame, which makes programs and buffers, takes as long as a dozen others.
    #[test]
    fn what_is_made_once_is_no_reason() {
        let (mut proxies, period) = (Proxies::default(), Duration::from_micros(8333));
        for frame in 0..1200_u32 {
            let now = period * frame;
            proxies.cost(Share::Whole, Duration::from_millis(if frame == 0 { 100 } else { 4 }));
            proxies.due(now, frame > 12);
            assert_eq!(proxies.choose(now, period), None, "frame {frame}");
        }
    }

    #[test]
    fn pixels_that_are_not_what_costs_are_kept() {
        assert_eq!(shares(&play(600, |_, _| Duration::from_millis(60), 0)), [Share::Half]);
        let busy = |_, share: Share| Duration::from_millis(if share == Share::Whole { 70 } else { 55 });
        assert_eq!(shares(&play(600, busy, 0)), [Share::Half]);
    }

    #[test]
    fn a_slow_disk_is_no_reason() {
        assert_eq!(play(600, milliseconds(10.0), 50), []);
    }

    #[test]
    fn what_becomes_quick_again_is_shown_whole_again() {
        let busy = Duration::from_secs(10);
        let mut quick = milliseconds(20.0);
        let mut slow = milliseconds(300.0);
        let changes = play(60, |now, share| if now < busy { slow(now, share) } else { quick(now, share) }, 0);
        assert_eq!(shares(&changes), [Share::Quarter, Share::Half, Share::Whole]);
        assert!(changes[2].0 < busy + Duration::from_secs(6), "{changes:?}");
    }

    /// Pictures come back in threes where several are on their way: the first took the time of all.
    #[test]
    fn pictures_that_come_in_threes_are_no_cheaper() {
        let (mut proxies, period) = (Proxies::default(), Duration::from_millis(40));
        let mut changes = Vec::new();
        for frame in 0..600 * 25_u32 {
            let now = period * frame;
            let whole = Duration::from_millis(if frame % 3 == 0 { 240 } else { 4 });
            proxies.cost(proxies.share(), whole / proxies.share().pixels().pow(2));
            proxies.due(now, true);
            changes.extend(proxies.choose(now, period));
        }
        assert_eq!(changes, [Share::Half]);
    }

    /// The worst case: drops that a larger picture brings back every time, at a cost that would allow it.
    #[test]
    fn drops_that_come_back_are_tried_ever_more_rarely() {
        let mut proxies = Proxies::default();
        let period = Duration::from_millis(40);
        let mut changes = 0;
        for frame in 0..3600 * 25_u32 {
            let now = period * frame;
            let whole = proxies.share() == Share::Whole;
            proxies.cost(proxies.share(), Duration::from_millis(if whole { 25 } else { 7 }));
            proxies.due(now, !whole || frame % 3 > 0);
            changes += u32::from(proxies.choose(now, period).is_some());
        }
        // 2, 4, .. 64 seconds, and 64 from then on: below 70 tries an hour.
        assert!(changes < 140, "{changes}");
        assert!(changes > 20, "{changes}: it never stops trying");
    }

    proptest! {
        /// Whatever a machine costs, as long as it stays the same it comes to rest.
        #[test]
        fn a_steady_machine_comes_to_rest(whole in 0.0..3000.0f64) {
            let changes = play(300, milliseconds(whole), 0);
            prop_assert!(changes.len() <= 2, "{:?}", changes);
            prop_assert!(changes.iter().all(|(at, _)| *at < Duration::from_secs(30)), "{:?}", changes);
        }
    }
}
