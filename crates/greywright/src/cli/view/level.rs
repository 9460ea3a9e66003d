//! The level of zebra, as typed.

use std::fmt;

use measure::view::Level;

/// A range of levels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// What it is.
    pub level: Level,
}

/// Reads `95%`, `60%..70%`, `+2` or `+1..+2`.
pub fn read(text: &str) -> Result<Wanted, String> {
    let wanted = || "95%, 60%..70%, +2 or +1..+2 (stops from mid grey) is wanted".to_string();
    let (from, to) = text.split_once("..").map_or((text, None), |(from, to)| (from, Some(to)));
    let number = |text: &str| {
        let number = text.trim().trim_end_matches('%').parse::<f64>().ok().filter(|v| v.is_finite());
        number.map(|number| (number, text.trim().ends_with('%'))).ok_or_else(wanted)
    };
    let (low, is_percent) = number(from)?;
    let high = match to {
        None => f64::INFINITY,
        Some(to) => match number(to)? {
            (high, unit) if unit == is_percent && high > low => high,
            _ => return Err(wanted()),
        },
    };
    let level = if is_percent { Level::Luma(low / 100.0, high / 100.0) } else { Level::Stops(low, high) };
    Ok(Wanted { level })
}

impl fmt::Display for Wanted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.level {
            Level::Luma(low, high) if high.is_finite() => {
                write!(f, "luma from {} to {} % of signal", Tidy(100.0 * low), Tidy(100.0 * high))
            }
            Level::Luma(low, _) => write!(f, "luma from {} % of signal up", Tidy(100.0 * low)),
            Level::Stops(low, high) if high.is_finite() => {
                write!(f, "luminance from {low:+} to {high:+} stops from mid grey")
            }
            Level::Stops(low, _) => write!(f, "luminance from {low:+} stops from mid grey up"),
        }
    }
}

/// A figure without the last digits of a double.
struct Tidy(f64);

impl fmt::Display for Tidy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", (self.0 * 1e6).round() / 1e6)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_read_and_said() {
        for (text, words) in [
            ("95%", "luma from 95 % of signal up"),
            ("60%..70%", "luma from 60 to 70 % of signal"),
            ("+2", "luminance from +2 stops from mid grey up"),
            ("-1.5..0", "luminance from -1.5 to +0 stops from mid grey"),
        ] {
            assert_eq!(read(text).unwrap().to_string(), words);
        }
        for text in ["", "bright", "60%..70", "2..1", "nan", "%"] {
            assert!(read(text).unwrap_err().contains("60%..70%"), "{text}");
        }
    }
}
