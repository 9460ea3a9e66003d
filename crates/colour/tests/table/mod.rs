//! Reads the tables of `tests/data`.

use std::fmt;
use std::path::Path;
use std::rc::Rc;

/// One row of a table.
pub struct Row {
    header: Rc<Vec<String>>,
    cells: Vec<String>,
}

impl fmt::Debug for Row {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.cells.join(" | "))
    }
}

impl Row {
    /// The cell in a column.
    pub fn text(&self, column: &str) -> &str {
        let i = self.header.iter().position(|h| h == column);
        &self.cells[i.unwrap_or_else(|| panic!("no column '{column}' in {:?}", self.header))]
    }

    /// The number in a column, or `None` where the cell is empty.
    pub fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("'{text}' in '{column}' of {self:?}")))
    }

    /// The number in a column.
    pub fn number(&self, column: &str) -> f64 {
        self.maybe(column).unwrap_or_else(|| panic!("'{column}' is empty in {self:?}"))
    }

    /// Three numbers with spaces between them in one cell.
    pub fn triple(&self, column: &str) -> [f64; 3] {
        let values: Vec<f64> = self.text(column).split(' ').map(|v| v.parse().unwrap()).collect();
        values.try_into().unwrap()
    }

    /// The matrix in the columns m00 to m22.
    pub fn matrix(&self) -> [[f64; 3]; 3] {
        std::array::from_fn(|i| std::array::from_fn(|j| self.number(&format!("m{i}{j}"))))
    }
}

/// A file of `tests/data` as text.
pub fn read_text(file: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/data").join(file);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The rows of a table; it must have some.
pub fn read(file: &str) -> Vec<Row> {
    let text = read_text(file);
    let mut lines = text.lines().filter(|l| !l.starts_with('#')).map(|l| l.split('\t').map(str::to_owned).collect());
    let header: Rc<Vec<String>> = Rc::new(lines.next().unwrap());
    let rows: Vec<Row> = lines.map(|cells| Row { header: Rc::clone(&header), cells }).collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    assert!(rows.iter().all(|r| r.cells.len() == header.len()), "{file} has a ragged row");
    rows
}
