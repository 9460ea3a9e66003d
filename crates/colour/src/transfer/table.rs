//! A transfer given as a table of codes and light.

use thiserror::Error;

/// A table from code to linear light: straight between its points, and straight on beyond both ends.
#[derive(Clone, PartialEq, Debug)]
pub struct TableCurve {
    codes: Vec<f64>,
    linear: Vec<f64>,
}

/// Why two columns are no table.
#[derive(Clone, PartialEq, Debug, Error)]
pub enum TableError {
    /// The columns differ in length.
    #[error("'codes' has {codes} values and 'linear' has {linear}; give both the same number")]
    Lengths {
        /// Values in the column of codes.
        codes: usize,
        /// Values in the column of light.
        linear: usize,
    },
    /// Fewer than 2 or more than 65536 rows.
    #[error("the table has {0} rows; give 2 to 65536")]
    Rows(usize),
    /// A column does not rise.
    #[error("'{column}' does not rise at its value number {row}; sort the table and drop doubles")]
    NotRising {
        /// `codes` or `linear`.
        column: &'static str,
        /// The offending value, counted from 1.
        row: usize,
    },
}

impl TableCurve {
    /// The most rows a table may have.
    pub const MOST_ROWS: usize = 65536;

    /// A table of codes (signals) and the light they mean.
    ///
    /// # Errors
    /// Refuses columns of unequal length, fewer than 2 or more than 65536 rows, and values that are not finite
    /// and strictly rising.
    pub fn new(codes: Vec<f64>, linear: Vec<f64>) -> Result<TableCurve, TableError> {
        if codes.len() != linear.len() {
            return Err(TableError::Lengths { codes: codes.len(), linear: linear.len() });
        }
        if !(2..=TableCurve::MOST_ROWS).contains(&codes.len()) {
            return Err(TableError::Rows(codes.len()));
        }
        for (column, values) in [("codes", &codes), ("linear", &linear)] {
            if let Some(i) = first_not_rising(values) {
                return Err(TableError::NotRising { column, row: i + 1 });
            }
        }
        Ok(TableCurve { codes, linear })
    }

    /// The codes, rising.
    pub fn codes(&self) -> &[f64] {
        &self.codes
    }

    /// The light of each code, rising.
    pub fn linear(&self) -> &[f64] {
        &self.linear
    }

    pub(super) fn linear_from_code(&self, code: f64) -> f64 {
        interpolate(&self.codes, &self.linear, code)
    }

    pub(super) fn code_from_linear(&self, linear: f64) -> f64 {
        interpolate(&self.linear, &self.codes, linear)
    }
}

fn first_not_rising(values: &[f64]) -> Option<usize> {
    if !values[0].is_finite() {
        return Some(0);
    }
    (1..values.len()).find(|&i| !(values[i].is_finite() && values[i] > values[i - 1]))
}

/// The value at `x` on the line through the two points around it, or through the nearest two beyond the ends.
fn interpolate(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let after = xs.partition_point(|&v| v <= x).clamp(1, xs.len() - 1);
    let (x0, x1) = (xs[after - 1], xs[after]);
    let (y0, y1) = (ys[after - 1], ys[after]);
    y0 + (y1 - y0) * ((x - x0) / (x1 - x0))
}
