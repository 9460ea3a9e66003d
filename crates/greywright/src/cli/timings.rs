//! The table of what each stage of a render costs.

use session::render::Timings;

use super::say;

/// The table for people.
pub fn table(timings: &Timings) -> String {
    let line = |name: &str, seconds: f64, share: f64, note: &str| {
        format!("  {name:18} {:>10} ms  {:>6.1} %{note}\n", say::significant(seconds * 1e3, 4), share * 100.0)
    };
    let mut text = "\na frame, each stage on the thread that does it, and its share of the wall time:\n".to_string();
    for row in &timings.stages {
        let note = row.part_of.map(|whole| format!("  by the device's clock; in '{whole}'")).unwrap_or_default();
        text += &line(row.stage, row.seconds, row.share_of_wall, &note);
    }
    text += &line("sum", timings.sum, timings.sum / timings.wall, "  more than the wall time where stages overlap");
    text + &line("wall", timings.wall, 1.0, "")
}
