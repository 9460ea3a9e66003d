//! Readings as figures in a row.

use crate::state::Read;

/// What stands where there is nothing to say.
pub const NONE: &str = "\u{2013}";

/// Codes as whole numbers, a signal in per cent by tenths.
pub fn levels(read: &Read) -> String {
    let [red, green, blue] = read.levels;
    match read.bits {
        Some(_) => format!("{red:.0} {green:.0} {blue:.0}"),
        None => format!("{red:.1} {green:.1} {blue:.1} %"),
    }
}

/// Stops by hundredths; none on a display.
pub fn stops(read: &Read) -> String {
    read.stops.map_or_else(|| NONE.to_string(), |stops| signed(stops, 2))
}

/// Mired and Duv from the target; a hundred mired and more without tenths, for which there is no room.
pub fn white(read: &Read) -> String {
    let mired_text = |mired: f64| signed(mired, if mired.abs() < 99.95 { 1 } else { 0 });
    read.white.map_or_else(|| NONE.to_string(), |[mired, duv]| format!("{} {}", mired_text(mired), signed(duv, 4)))
}

/// Delta E 2000 by tenths.
pub fn delta_e(read: &Read) -> String {
    read.delta_e.map_or_else(|| NONE.to_string(), |delta_e| format!("{delta_e:.1}"))
}

/// With its sign, and none on what is rounded to nothing.
fn signed(value: f64, decimals: usize) -> String {
    let text = format!("{value:+.decimals$}");
    if text.chars().all(|letter| matches!(letter, '+' | '-' | '0' | '.')) {
        format!("{:.decimals$}", 0.0)
    } else {
        text
    }
}
