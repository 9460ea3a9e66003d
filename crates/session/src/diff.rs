//! What changed between two states of a project file, line by line.

/// A line with the heading of the table that it stands in.
type Line<'t> = (&'t str, &'t str);

/// More pairs of lines than this are not compared one by one: what differs is then shown as gone and come.
const MOST_PAIRS: usize = 16_000_000;

/// The lines that went and came, with `- ` and `+ ` before them, each under the heading of its table.
pub fn diff(old: &str, new: &str) -> Vec<String> {
    let (old, new) = (lines(old), lines(new));
    let mut out = Vec::new();
    let mut told = "";
    let (mut i, mut j) = (0, 0);
    for (kept_i, kept_j) in common(&old, &new).into_iter().chain([(old.len(), new.len())]) {
        let went = old[i..kept_i].iter().map(|line| ('-', line));
        let came = new[j..kept_j].iter().map(|line| ('+', line));
        for (sign, &(heading, line)) in went.chain(came) {
            if heading != told && heading != line {
                out.push(format!("  {heading}"));
            }
            told = heading;
            out.push(format!("{sign} {line}"));
        }
        (i, j) = (kept_i + 1, kept_j + 1);
    }
    out
}

/// The lines that say something.
fn lines(text: &str) -> Vec<Line<'_>> {
    let mut heading = "";
    let filled = text.lines().filter(|line| !line.trim().is_empty());
    filled
        .map(|line| {
            if line.starts_with('[') {
                heading = line;
            }
            (heading, line)
        })
        .collect()
}

/// The places of the longest common run of lines in both, in order.
fn common(old: &[Line<'_>], new: &[Line<'_>]) -> Vec<(usize, usize)> {
    let start = old.iter().zip(new).take_while(|(a, b)| a == b).count();
    let end = old[start..].iter().rev().zip(new[start..].iter().rev()).take_while(|(a, b)| a == b).count();
    // From a heading on, so that no bracket is taken for another one's.
    let end = (0..=end).rev().find(|&end| end == 0 || old[old.len() - end].1.starts_with('[')).unwrap_or(0);
    let (old_end, new_end) = (old.len() - end, new.len() - end);
    let mut places: Vec<_> = (0..start).map(|at| (at, at)).collect();
    let (a, b) = (&old[start..old_end], &new[start..new_end]);
    if a.len() * b.len() <= MOST_PAIRS {
        // length[i][j]: the longest common run of a[i..] and b[j..].
        let mut length = vec![vec![0u32; b.len() + 1]; a.len() + 1];
        for i in (0..a.len()).rev() {
            for j in (0..b.len()).rev() {
                length[i][j] =
                    if a[i] == b[j] { length[i + 1][j + 1] + 1 } else { length[i + 1][j].max(length[i][j + 1]) };
            }
        }
        let (mut i, mut j) = (0, 0);
        while i < a.len() && j < b.len() {
            if a[i] == b[j] {
                places.push((start + i, start + j));
                (i, j) = (i + 1, j + 1);
            } else if length[i + 1][j] >= length[i][j + 1] {
                i += 1;
            } else {
                j += 1;
            }
        }
    }
    places.extend((0..end).map(|at| (old_end + at, new_end + at)));
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_went_and_came_stands_under_its_heading() {
        let old = "version = 2\n\n[kit.a]\nstops = 1\nkept = 1\n\n[kit.b]\nx = 1\n";
        let new = "version = 2\n\n[kit.a]\nstops = 2\nkept = 1\n\n[kit.b]\nx = 1\n\n[kit.c]\ny = 1\n";
        assert_eq!(diff(old, new), ["  [kit.a]", "- stops = 1", "+ stops = 2", "+ [kit.c]", "+ y = 1"]);
        assert_eq!(diff(old, old), [""; 0]);
        assert_eq!(diff("", "a = 1\n"), ["+ a = 1"]);
        // The same line in another table is another one.
        assert_eq!(diff("[a]\nx = 1\n[b]\n", "[a]\n[b]\nx = 1\n"), ["  [a]", "- x = 1", "  [b]", "+ x = 1"]);
    }
}
