//! `bench --pace`: how soon a moved setting is seen.

use std::sync::Arc;
use std::time::Duration;

use ::bench::state::{Action, Bench};
use gpu::device::Gpu;
use serde::Serialize;

use super::Args;
use crate::cli::failure::Failure;
use crate::cli::say;

#[derive(Serialize)]
struct Answer {
    adapter: String,
    setting: String,
    size: [u32; 2],
    tiles: usize,
    moves: usize,
    /// From a move until it is on screen.
    seen_milliseconds: Spread,
    /// Processor time of the window's thread for one drawing; none where the system does not say.
    own_work_milliseconds: Option<Spread>,
    drawings: usize,
    /// How often the traces of the active tile were counted, a second.
    traces_a_second: f64,
    moves_a_second: f64,
}

#[derive(Serialize)]
struct Spread {
    median: f64,
    percentile_95: f64,
    percentile_99: f64,
    most: f64,
}

impl Spread {
    /// None where there is nothing to be spread.
    fn of(times: &[Duration]) -> Option<Self> {
        let mut sorted: Vec<f64> = times.iter().map(|time| time.as_secs_f64() * 1e3).collect();
        sorted.sort_by(f64::total_cmp);
        // The time that this share of all does not pass.
        let within = |share: f64| {
            let count = (share * sorted.len() as f64).ceil() as usize;
            sorted.get(count.saturating_sub(1)).copied()
        };
        Some(Self {
            median: within(0.5)?,
            percentile_95: within(0.95)?,
            percentile_99: within(0.99)?,
            most: within(1.0)?,
        })
    }

    fn text(&self) -> String {
        let Self { median, percentile_95, percentile_99, most } = self;
        format!("{median:.1} ms median, {percentile_95:.1} at 95 %, {percentile_99:.1} at 99 %, {most:.1} at the most")
    }
}

/// Opens the window, lets it be timed, and says what came of it.
pub fn pace(mut bench: Bench, gpu: Arc<Gpu>, moves: u32, args: &Args) -> Result<(), Failure> {
    let tiles = args.tiles.map_or(bench.wall.tiles.len(), usize::from);
    while bench.wall.tiles.len() < tiles {
        bench.apply(Action::AddTile);
    }
    while bench.wall.tiles.len() > tiles {
        bench.apply(Action::DropTile(bench.wall.tiles.len() - 1));
    }
    let adapter = gpu.note().to_string();
    let paced = ::bench::pace(bench, gpu, moves as usize)?;
    let seconds = paced.took.as_secs_f64();
    let answer = Answer {
        adapter,
        setting: paced.setting,
        size: paced.size,
        tiles: paced.tiles,
        moves: paced.seen.len(),
        seen_milliseconds: Spread::of(&paced.seen).ok_or_else(|| Failure::work("nothing was timed"))?,
        own_work_milliseconds: Spread::of(&paced.own_work),
        drawings: paced.own_work.len(),
        traces_a_second: paced.traces as f64 / seconds,
        moves_a_second: paced.seen.len() as f64 / seconds,
    };
    if args.json {
        return say::json(&answer);
    }
    say::result(&text(&answer))
}

fn text(answer: &Answer) -> String {
    let Answer { adapter, setting, size, tiles, moves, .. } = answer;
    let mut text = format!(
        "{setting}, moved {moves} times on {tiles} tile{} of {}x{}\n  {adapter}\n",
        if *tiles == 1 { "" } else { "s" },
        size[0],
        size[1]
    );
    text += &format!("  a move is seen after      {}\n", answer.seen_milliseconds.text());
    let own = answer.own_work_milliseconds.as_ref().map_or("not known here".to_string(), Spread::text);
    text += &format!("  the window's own work     {own}\n");
    text + &format!(
        "  moves seen a second       {:.1}\n  traces counted a second   {:.1}\n",
        answer.moves_a_second, answer.traces_a_second
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_those_that_no_more_than_the_rest_passes() {
        let times: Vec<Duration> = (1..=100).rev().map(Duration::from_millis).collect();
        let Spread { median, percentile_95, percentile_99, most } = Spread::of(&times).unwrap();
        assert_eq!([median, percentile_95, percentile_99, most], [50.0, 95.0, 99.0, 100.0]);
        assert!(Spread::of(&[]).is_none());
    }
}
