//! Amounts of memory, as people write them.

/// Binary multiples, the largest in front.
///
/// # Source
/// IEC 80000-13: kibi, mebi, gibi.
const UNITS: [(&str, u64); 3] = [("GiB", 1 << 30), ("MiB", 1 << 20), ("KiB", 1 << 10)];

/// Reads a number of bytes, alone or with KiB, MiB or GiB.
pub fn parse(text: &str) -> Result<u64, String> {
    let wanted = || format!("'{text}' is no amount of memory; write bytes, or for instance 512MiB or 1.5GiB");
    let unit = UNITS.iter().find_map(|(name, bytes)| Some((text.strip_suffix(name)?, *bytes)));
    let (number, unit) = unit.unwrap_or((text, 1));
    let number: f64 = number.trim().parse().map_err(|_| wanted())?;
    let bytes = number * unit as f64;
    // Beyond that no double is exact, and no machine has it.
    if (1.0..=9e15).contains(&bytes) { Ok(bytes as u64) } else { Err(wanted()) }
}

/// In the largest unit of which there is one.
pub fn shown(bytes: u64) -> String {
    match UNITS.iter().find(|(_, unit)| bytes >= *unit) {
        Some((name, unit)) => format!("{} {name}", super::say::significant(bytes as f64 / *unit as f64, 3)),
        None => format!("{bytes} bytes"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_read_and_shown() {
        assert_eq!(parse("1000"), Ok(1000));
        assert_eq!(parse("1.5GiB"), Ok(3 << 29));
        assert_eq!(parse("512 MiB"), Ok(512 << 20));
        assert_eq!(parse("2KiB"), Ok(2048));
        for wrong in ["", "0", "-1", "12GB", "much", "NaN", "1e300GiB"] {
            assert!(parse(wrong).is_err(), "{wrong}");
        }
        assert_eq!([shown(3 << 29), shown(512 << 20), shown(7)], ["1.5 GiB", "512 MiB", "7 bytes"]);
    }
}
