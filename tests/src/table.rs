//! Reads the tables of `tests/data`: tab-separated, a header row, `#` comments that name the source.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

/// One row: cells by column.
pub type Row = BTreeMap<String, String>;

/// A file of `tests/data`.
pub fn path(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("data").join(name)
}

/// The text of a file of `tests/data`.
///
/// # Panics
/// The file cannot be read.
pub fn text(name: &str) -> String {
    fs::read_to_string(path(name)).unwrap_or_else(|error| panic!("tests/data/{name}: {error}"))
}

/// The rows of a table; at least one.
///
/// # Panics
/// The file cannot be read, or has no rows.
pub fn rows(name: &str) -> Vec<Row> {
    let text = text(name);
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let cells = |line: &str| -> Vec<String> { line.split('\t').map(str::to_string).collect() };
    let header = cells(lines.next().unwrap_or_default());
    let rows: Vec<Row> = lines.map(|line| header.iter().cloned().zip(cells(line)).collect()).collect();
    assert!(!rows.is_empty(), "tests/data/{name} has no rows");
    rows
}

/// A number in a row.
///
/// # Panics
/// No such column, or no number in it.
pub fn number(row: &Row, column: &str) -> f64 {
    let cell = row.get(column).unwrap_or_else(|| panic!("no column '{column}' in {row:?}"));
    cell.parse().unwrap_or_else(|_| panic!("'{cell}' in column '{column}' is no number"))
}

/// The matrix in the columns m00 to m22.
///
/// # Panics
/// As [`number`].
pub fn matrix(row: &Row) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| number(row, &format!("m{i}{j}"))))
}
