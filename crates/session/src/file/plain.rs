//! Values and names as the file writes them.

/// Whether a setting's text can stand in the file as a number and come back digit for digit.
pub(super) fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let (mantissa, exponent) = match digits.split_once('e') {
        Some((mantissa, exponent)) => (mantissa, Some(exponent.strip_prefix('-').unwrap_or(exponent))),
        None => (digits, None),
    };
    let (whole, part) = match mantissa.split_once('.') {
        Some((whole, part)) => (whole, Some(part)),
        None => (mantissa, None),
    };
    let all_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let no_leading_zero = whole == "0" || !whole.starts_with('0');
    // A whole number of TOML is held in 64 bits; a longer one stays text.
    let held = whole.len() <= 18;
    all_digits(whole) && no_leading_zero && held && part.is_none_or(all_digits) && exponent.is_none_or(all_digits)
}

/// A setting's text as a value: a number, a list of numbers, true or false, else text.
pub(super) fn value(text: &str) -> String {
    let numbers: Vec<_> = text.split(',').collect();
    match &numbers[..] {
        _ if !numbers.iter().all(|number| is_number(number)) => {
            if matches!(text, "true" | "false") {
                text.to_string()
            } else {
                quoted(text)
            }
        }
        [one] => (*one).to_string(),
        several => format!("[{}]", several.join(", ")),
    }
}

/// Text between quotation marks. Where it holds such marks itself, single ones go around it if they can.
pub(super) fn quoted(text: &str) -> String {
    if text.contains(['"', '\\']) && !text.contains('\'') && !text.chars().any(char::is_control) {
        return format!("'{text}'");
    }
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            '\n' => out += "\\n",
            '\t' => out += "\\t",
            c if c.is_control() => out += &format!("\\u{:04X}", u32::from(c)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A name as part of a dotted key.
pub(super) fn key(name: &str) -> String {
    let bare = !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if bare { name.to_string() } else { quoted(name) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_come_back_as_typed() {
        for text in ["0", "-0", "+0.5", "1e-7", "1.5e10", "12.040", "-24"] {
            assert!(is_number(text), "{text}");
        }
        for text in
            ["", "+", "01", ".5", "5.", "1e", "nan", "inf", "1_0", "0x1", "3200K", "1234567890123456789012", "1E3"]
        {
            assert!(!is_number(text), "{text}");
        }
    }

    #[test]
    fn values_are_readable() {
        assert_eq!(value("0.5"), "0.5");
        assert_eq!(value("1,0.9,1.1"), "[1, 0.9, 1.1]");
        assert_eq!(value("true"), "true");
        assert_eq!(value("3200K"), "\"3200K\"");
        assert_eq!(value(""), "\"\"");
        assert_eq!(value("a \"b\""), "'a \"b\"'");
        assert_eq!(value("it's \"so\"\n"), "\"it's \\\"so\\\"\\n\"");
        assert_eq!(key("deck_010"), "deck_010");
        assert_eq!(key("key light"), "\"key light\"");
    }
}
