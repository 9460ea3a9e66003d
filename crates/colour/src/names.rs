//! Finding a thing by its name: spelling differences are forgiven, a miss lists the near ones.

/// The name without case and punctuation: `S-Log3` and `slog 3` are one.
pub fn plain(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Whether two names are the same but for case and punctuation.
pub fn same(a: &str, b: &str) -> bool {
    plain(a) == plain(b)
}

/// The (up to three) candidates nearest to `name` by edit distance, nearest first, joined by commas.
pub fn near<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> String {
    let wanted = plain(name);
    let mut ranked: Vec<(usize, &str)> =
        candidates.into_iter().map(|c| (edit_distance(&wanted, &plain(c)), c)).collect();
    // A stable sort: ties stay in the list's own order.
    ranked.sort_by_key(|(distance, _)| *distance);
    let nearest: Vec<&str> = ranked.iter().take(3).map(|(_, c)| *c).collect();
    nearest.join(", ")
}

/// How many letters must be added, dropped or changed to turn `a` into `b`.
fn edit_distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let change = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = change.min(row[j] + 1).min(row[j + 1] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distance_counts_edits() {
        assert_eq!(edit_distance("slog3", "slog3"), 0);
        assert_eq!(edit_distance("slog", "slog3"), 1);
        assert_eq!(edit_distance("kitten", "sitting"), 3);
        assert_eq!(edit_distance("", "abc"), 3);
    }

    #[test]
    fn near_names_come_first() {
        assert!(near("slog4", ["LogC4", "V-Log", "S-Log3", "S-Log2"]).starts_with("S-Log3, S-Log2"));
        assert!(same("bt 709", "BT.709"));
    }
}
