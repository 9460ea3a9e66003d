//! Numbers as people read them.

/// Rounded to so many decimals, and never minus nothing.
pub fn rounded(value: f64, decimals: i32) -> f64 {
    let power = 10f64.powi(decimals);
    (value * power).round() / power + 0.0
}

/// With its sign and so many decimals; what rounds to nothing has a plus.
pub fn signed(value: f64, decimals: u8) -> String {
    format!("{:+.*}", usize::from(decimals), rounded(value, i32::from(decimals)))
}

/// A number with so many significant digits, in plain decimals where they are readable.
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_string() } else { value.to_string() };
    }
    let scientific = format!("{value:.*e}", digits - 1);
    let exponent = scientific.split_once('e').and_then(|(_, exponent)| exponent.parse::<i32>().ok()).unwrap_or(0);
    let decimals = digits as i32 - 1 - exponent;
    if !(-4..=9).contains(&exponent) || decimals < 0 {
        return scientific;
    }
    let plain = format!("{value:.*}", decimals as usize);
    if plain.contains('.') { plain.trim_end_matches('0').trim_end_matches('.').to_string() } else { plain }
}

#[cfg(test)]
mod tests {
    use super::significant;

    #[test]
    fn digits_are_significant_ones() {
        assert_eq!(significant(0.39100656, 9), "0.39100656");
        assert_eq!(significant(1.0 / 3.0, 9), "0.333333333");
        assert_eq!(significant(55.079565, 4), "55.08");
        assert_eq!(significant(1e-7, 3), "1.00e-7");
        assert_eq!(significant(-2.5e12, 2), "-2.5e12");
        let exact: f64 = significant(0.1 + 0.2, 17).parse().unwrap();
        assert_eq!(exact, 0.1 + 0.2);
    }
}
