//! Which frame is seen, and how play goes, in words.

use egui::{Label, Ui};
use session::playback::{Rate, Share, Tally};

use super::{Known, quiet};
use crate::look::figure;
use crate::pictures::{Played, Shown};
use crate::state::Bench;

/// Writes them, what matters most in front.
pub fn show(ui: &mut Ui, bench: &Bench, known: Known<'_>) {
    let frame = frame(bench.now(), bench.playing.scrubs, known.shown.map(Seen::of));
    ui.add(Label::new(figure(frame)));
    let rest = rest(known).join("   ");
    ui.add(Label::new(quiet(&rest)).truncate()).on_hover_text(&rest);
}

/// A frame in sight.
#[derive(Debug, Clone, Copy)]
pub struct Seen {
    frame: i64,
    asked: i64,
    /// Whether the one that was asked for is still to come.
    meanwhile: bool,
}

impl Seen {
    fn of(shown: &Shown) -> Self {
        Self { frame: shown.frame, asked: shown.asked, meanwhile: shown.meanwhile }
    }
}

/// Which frame is seen, where it is not the one that is meant.
fn frame(now: i64, scrubs: bool, seen: Option<Seen>) -> String {
    match seen {
        Some(Seen { frame, asked, meanwhile }) if frame != now && (asked == now || scrubs) => {
            if meanwhile || asked != now {
                format!("frame {now}: still {frame}")
            } else {
                format!("frame {now} is missing: {frame}")
            }
        }
        _ => format!("frame {now}"),
    }
}

/// Timecode, what was dropped, how large frames are played, and at which rate.
fn rest(known: Known<'_>) -> Vec<String> {
    let timecode = known.shown.and_then(|shown| shown.timecode.clone());
    let tally = known.played.and_then(|played| counts(&played.tally));
    let share = known.shown.map(|shown| shown.share).filter(|share| *share != Share::Whole);
    let rate = known.played.map(|played| (played.rate, played.is_said)).or_else(|| known.shown.map(rate_of));
    let rate = rate.map(|(rate, is_said)| rate_in_words(rate, is_said));
    [timecode, tally, share.map(|share| share.to_string()), rate].into_iter().flatten().collect()
}

/// What became of the frames that came due; none before any did.
pub fn counts(tally: &Tally) -> Option<String> {
    let due = tally.due();
    let others = [(tally.held, "held"), (tally.failed, "failed")];
    let others = others.into_iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!(", {count} {what}"));
    (due > 0).then(|| format!("{} dropped of {due}{}", tally.dropped, others.collect::<String>()))
}

/// The rate that a picture's file says, and whether it does.
fn rate_of(shown: &Shown) -> (Rate, bool) {
    let said = shown.rate.and_then(|rate| Rate::from_decimal(rate).ok());
    (said.unwrap_or(Rate::CINEMA), said.is_some())
}

/// A rate, and where it comes from if no file says it.
pub fn rate_in_words(rate: Rate, is_said: bool) -> String {
    let per_second = (rate.per_second() * 1000.0).round() / 1000.0;
    let from = if is_said { "" } else { ", as no file says its rate" };
    format!("{per_second} a second{from}")
}

/// All that is known of how playing went, for the trust sheet.
pub fn account(played: &Played) -> String {
    let Tally { shown, sizes, .. } = &played.tally;
    let counts = counts(&played.tally).unwrap_or_else(|| "no frame came due".to_string());
    let delay = |quantile| played.tally.delay(quantile).map(|delay| delay.as_secs_f64() * 1000.0);
    let delay = match (delay(0.5), delay(0.95)) {
        (Some(median), Some(late)) => format!(", {median:.1} ms after they were due (95th percentile {late:.1} ms)"),
        _ => String::new(),
    };
    let changes = sizes.iter().map(|change| format!("; {} from frame {} on", change.share, change.frame));
    let rate = rate_in_words(played.rate, played.is_said);
    let stages = played.stages.iter().map(|row| format!("{} {:.1} ms", row.stage, row.seconds * 1000.0));
    let stages = stages.collect::<Vec<_>>().join(", ");
    let limit = played.limit;
    format!("{rate}: {shown} shown{delay}, {counts}{}; a frame: {stages}; limit: {limit}", changes.collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_frame_than_the_one_that_is_meant_is_said() {
        let seen = |frame, asked, meanwhile| Some(Seen { frame, asked, meanwhile });
        assert_eq!(frame(8, false, None), "frame 8");
        assert_eq!(frame(8, false, seen(8, 8, false)), "frame 8");
        assert_eq!(frame(8, false, seen(7, 8, false)), "frame 8 is missing: 7");
        assert_eq!(frame(8, true, seen(5, 8, true)), "frame 8: still 5");
        assert_eq!(frame(8, true, seen(5, 5, false)), "frame 8: still 5");
        // A still that is being made comes in a moment: nothing flickers meanwhile.
        assert_eq!(frame(8, false, seen(7, 7, false)), "frame 8");
    }

    #[test]
    fn frames_that_were_dropped_are_counted_in_words() {
        let mut tally = Tally::default();
        assert_eq!(counts(&tally), None);
        (tally.shown, tally.dropped) = (237, 3);
        assert_eq!(counts(&tally).as_deref(), Some("3 dropped of 240"));
        (tally.shown, tally.held, tally.dropped, tally.failed) = (5, 2, 0, 1);
        assert_eq!(counts(&tally).as_deref(), Some("0 dropped of 8, 2 held, 1 failed"));
    }

    #[test]
    fn a_rate_says_where_it_comes_from() {
        assert_eq!(rate_in_words(Rate::new(24000, 1001).unwrap(), true), "23.976 a second");
        assert_eq!(rate_in_words(Rate::CINEMA, false), "24 a second, as no file says its rate");
    }
}
