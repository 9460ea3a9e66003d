//! The camera roll on the slate.
//!
//! The header has no field for it. A slate names its roll (common practice, no source), so the roll travels in
//! the slate information, after the word `roll`: `roll A001; 12A-3`. The label and its place are our own.

/// Words that a roll's name follows, in any case.
const LABELS: [&str; 2] = ["roll", "reel"];

/// The roll that a slate's text names: after one of the labels, a word with a digit or a text in quotes.
pub(super) fn roll_on(slate: &str) -> Option<String> {
    let mut rest = slate;
    while let Some(start) = rest.find(is_part_of_word) {
        let word = rest.get(start..)?;
        let end = word.find(|c| !is_part_of_word(c)).unwrap_or(word.len());
        let (word, after) = word.split_at_checked(end)?;
        rest = after;
        if LABELS.iter().any(|label| word.eq_ignore_ascii_case(label)) {
            let name = after.trim_start_matches([' ', ':', '=', '#']);
            let roll = match name.strip_prefix('"') {
                Some(quoted) => quoted.split('"').next(),
                None => name.split([' ', ';', ',']).next().filter(|name| name.contains(|c: char| c.is_ascii_digit())),
            };
            if let Some(roll) = roll.filter(|roll| !roll.is_empty()) {
                return Some(roll.to_owned());
            }
        }
    }
    None
}

fn is_part_of_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_' || c == '-'
}

/// The slate's text with the roll on it, once. The roll comes first: a text that is too long for its field
/// is cut at its end.
pub(super) fn with_roll(slate: &str, roll: Option<&str>) -> String {
    let Some(roll) = roll.filter(|roll| !roll.is_empty()) else { return slate.to_owned() };
    if roll_on(slate).as_deref() == Some(roll) {
        return slate.to_owned();
    }
    let plain = format!("roll {roll}");
    let named =
        if roll_on(&plain).as_deref() == Some(roll) { plain } else { format!("roll \"{}\"", roll.replace('"', "'")) };
    if slate.is_empty() { named } else { format!("{named}; {slate}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slates_as_people_write_them() {
        for (slate, roll) in [
            ("roll A001; 12A-3", Some("A001")),
            ("SCENE 12A TAKE 3 ROLL: B014", Some("B014")),
            ("cam A, Reel#A_0007_1KX2, take 2", Some("A_0007_1KX2")),
            ("roll \"card two\" scene 9", Some("card two")),
            ("roll camera, then reel 3", Some("3")),
            ("scroll 12", None),
            ("12A-3", None),
            ("roll", None),
            ("roll \"", None),
            ("", None),
        ] {
            assert_eq!(roll_on(slate).as_deref(), roll, "{slate}");
        }
    }

    #[test]
    fn a_roll_is_named_once_and_comes_back() {
        assert_eq!(with_roll("12A-3", None), "12A-3");
        assert_eq!(with_roll("12A-3", Some("A001")), "roll A001; 12A-3");
        assert_eq!(with_roll("ROLL A001 SCENE 4", Some("A001")), "ROLL A001 SCENE 4");
        for roll in ["A001", "card two", "B", "a;b", "x1,", "deck: 2"] {
            for slate in ["", "12A-3", "roll A002; 12A-3"] {
                assert_eq!(roll_on(&with_roll(slate, Some(roll))).as_deref(), Some(roll), "{slate}");
            }
        }
    }
}
