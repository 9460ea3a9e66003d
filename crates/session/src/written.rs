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
