//! File names with a frame number in them.

use std::path::{Path, PathBuf};

use crate::MediaError;

/// A file name with a place for the frame number, from `name.%04d.dpx` or `name.####.dpx`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Numbered {
    /// What stands before the number.
    pub before: String,
    /// Digits the number is filled up to with zeros: a least, not a most.
    pub width: usize,
    /// What stands behind it.
    pub after: String,
}

impl Numbered {
    /// Finds the number's place in a file name, `None` where there is none.
    pub fn parse(name: &str, path: &Path) -> Result<Option<Numbered>, MediaError> {
        let hashes = name.find('#').map(|at| {
            let width = name[at..].chars().take_while(|&c| c == '#').count();
            (at, width, at + width)
        });
        let percent = percent_place(name);
        let (at, width, end) = match (hashes, percent) {
            (None, None) => return Ok(None),
            (Some(place), None) | (None, Some(place)) => place,
            (Some(_), Some(_)) => {
                return Err(MediaError::Pattern {
                    path: path.to_owned(),
                    problem: "the name has both # and %d; use one of them for the frame number",
                });
            }
        };
        let after = &name[end..];
        if after.contains('#') || percent_place(after).is_some() {
            return Err(MediaError::Pattern {
                path: path.to_owned(),
                problem: "the name has two places for the frame number; leave one",
            });
        }
        Ok(Some(Numbered { before: name[..at].to_owned(), width, after: after.to_owned() }))
    }

    /// The file name of a frame; a minus sign counts as one of the digits, as `printf` has it.
    pub fn name_for(&self, number: i64) -> String {
        format!("{}{number:0width$}{}", self.before, self.after, width = self.width)
    }

    /// The frame number in a file name, if the name fits. Any number of digits will do.
    pub fn number_in(&self, name: &str) -> Option<i64> {
        let digits = name.strip_prefix(&self.before)?.strip_suffix(&self.after)?;
        let plain = digits.strip_prefix('-').unwrap_or(digits);
        let is_number = !plain.is_empty() && plain.bytes().all(|b| b.is_ascii_digit());
        if is_number { digits.parse().ok() } else { None }
    }

    /// The name with hashes for the number, for messages.
    pub fn shown(&self) -> String {
        format!("{}{}{}", self.before, "#".repeat(self.width.max(1)), self.after)
    }
}

/// Where `%d` or `%04d` stands: start, width, end.
fn percent_place(name: &str) -> Option<(usize, usize, usize)> {
    name.match_indices('%').find_map(|(at, _)| {
        let digits = name[at + 1..].bytes().take_while(u8::is_ascii_digit).count();
        let end = at + 1 + digits;
        let width = name[at + 1..end].parse().unwrap_or(1_usize);
        (name[end..].starts_with('d') && width <= 18).then_some((at, width.max(1), end + 1))
    })
}

/// Splits a file name at its frame number: the last run of digits before the ending, with a minus sign
/// if that stands alone before it.
pub(crate) fn split_number(name: &str) -> Option<(Numbered, i64)> {
    let stem_end = name.rfind('.').filter(|&at| at > 0)?;
    let stem = &name[..stem_end];
    let end = stem.rfind(|c: char| c.is_ascii_digit())? + 1;
    let mut start = stem[..end]
        .rfind(|c: char| !c.is_ascii_digit())
        .map_or(0, |at| at + stem[at..].chars().next().map_or(1, char::len_utf8));
    let width = end - start;
    if stem[..start].ends_with('-') {
        let before = &stem[..start - 1];
        if before.is_empty() || before.ends_with(['.', '_', '-', ' ']) {
            start -= 1;
        }
    }
    let number = stem[start..end].parse().ok()?;
    let pattern = Numbered { before: name[..start].to_owned(), width, after: name[end..].to_owned() };
    Some((pattern, number))
}

/// The folder a path lies in; `.` for a bare name.
pub(crate) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn parse(name: &str) -> Option<Numbered> {
        Numbered::parse(name, Path::new(name)).unwrap()
    }

    #[test]
    fn places_for_numbers() {
        for (name, width) in [("a.%04d.dpx", 4), ("a.####.dpx", 4), ("a_%d.exr", 1), ("#.png", 1)] {
            assert_eq!(parse(name).unwrap().width, width, "{name}");
        }
        assert_eq!(parse("100%.dpx"), None);
        assert_eq!(parse("a.0001.dpx"), None);
        for name in ["a.##.##.dpx", "a.%d.#.dpx", "%d%d.exr"] {
            assert!(Numbered::parse(name, Path::new(name)).is_err(), "{name}");
        }
    }

    #[test]
    fn names_for_numbers() {
        let pattern = parse("a.####.dpx").unwrap();
        assert_eq!(pattern.name_for(7), "a.0007.dpx");
        assert_eq!(pattern.name_for(12345), "a.12345.dpx");
        assert_eq!(pattern.name_for(-7), "a.-007.dpx");
        assert_eq!(pattern.number_in("a.99.dpx"), Some(99));
        assert_eq!(pattern.number_in("a.-007.dpx"), Some(-7));
        assert_eq!(pattern.number_in("a.7b.dpx"), None);
        assert_eq!(pattern.number_in("a..dpx"), None);
        assert_eq!(pattern.number_in("a.+1.dpx"), None);
    }

    #[test]
    fn numbers_in_names() {
        let number = |name: &str| split_number(name).map(|(pattern, n)| (pattern.shown(), n));
        assert_eq!(number("deck_v2.1001.dpx"), Some(("deck_v2.####.dpx".into(), 1001)));
        assert_eq!(number("deck-0012.exr"), Some(("deck-####.exr".into(), 12)));
        assert_eq!(number("deck.-012.exr"), Some(("deck.###.exr".into(), -12)));
        assert_eq!(number("bars_10_be.dpx"), Some(("bars_##_be.dpx".into(), 10)));
        assert_eq!(number("0005.png"), Some(("####.png".into(), 5)));
        assert_eq!(number("card.png"), None);
        assert_eq!(number("99999999999999999999.png"), None);
    }

    proptest! {
        #[test]
        fn a_number_comes_back(number in -99_999_i64..99_999, width in 1_usize..8) {
            let pattern = Numbered { before: "deck.".into(), width, after: ".dpx".into() };
            let name = pattern.name_for(number);
            prop_assert_eq!(pattern.number_in(&name), Some(number));
            prop_assert_eq!(split_number(&name).map(|(_, n)| n), Some(number));
        }

        #[test]
        fn no_name_panics(name in "\\PC{0,20}") {
            let _ = Numbered::parse(&name, Path::new("x"));
            let _ = split_number(&name);
        }
    }
}
