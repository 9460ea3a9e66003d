//! Least squares of a few unknowns within bounds, by damped steps: the same answer in every run.
//!
//! # Source
//! Levenberg (1944) and Marquardt (1963), with Marquardt's scaling; forward differences.

/// What an unknown may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unknown {
    /// Where the search begins.
    pub start: f64,
    /// The least that it may be.
    pub low: f64,
    /// The most that it may be.
    pub high: f64,
}

/// Steps at most: what bounds the time.
const STEPS: usize = 60;
/// Share of the sum by which a step must better it, or the search is over.
const ENOUGH: f64 = 1e-9;
/// Width of a difference, as a share of an unknown of one.
const WIDTH: f64 = 1e-6;
/// Damping at the beginning, and beyond which there is no better step.
const DAMPING: [f64; 2] = [1e-3, 1e12];

/// The unknowns for which the sum of the squared residuals is least, near the start. `residuals` writes as many numbers every time.
/// A start without finite residuals is returned as it is.
pub fn least_squares<const N: usize>(unknowns: [Unknown; N], residuals: impl Fn(&[f64; N]) -> Vec<f64>) -> [f64; N] {
    let hold = |at: [f64; N]| -> [f64; N] {
        let mut held = at;
        for (value, of) in held.iter_mut().zip(&unknowns) {
            *value = value.clamp(of.low, of.high);
        }
        held
    };
    let mut best = hold(unknowns.map(|of| of.start));
    let mut off = residuals(&best);
    let mut sum = squares(&off);
    let [mut damping, most] = DAMPING;
    for _ in 0..STEPS {
        let Some((normal, slope)) = normal_equations(&best, &off, &unknowns, &residuals) else { break };
        let mut bettered = None;
        while damping < most && bettered.is_none() {
            let step = solve(damped(&normal, damping), slope);
            let tried = hold(std::array::from_fn(|i| {
                best.get(i).copied().unwrap_or_default()
                    + step.and_then(|step| step.get(i).copied()).unwrap_or_default()
            }));
            let there = residuals(&tried);
            let less = squares(&there);
            if less < sum {
                damping = (damping / 10.0).max(1e-12);
                bettered = Some((tried, there, less));
            } else {
                damping *= 10.0;
            }
        }
        let Some((tried, there, less)) = bettered else { break };
        let done = sum - less <= ENOUGH * sum;
        (best, off, sum) = (tried, there, less);
        if done {
            break;
        }
    }
    best
}

/// What no search can use is infinitely bad.
fn squares(residuals: &[f64]) -> f64 {
    let sum: f64 = residuals.iter().map(|r| r * r).sum();
    if sum.is_finite() { sum } else { f64::INFINITY }
}

type Square<const N: usize> = [[f64; N]; N];

/// The products of the differences with each other, and with what is off: downhill. None where something is no number.
fn normal_equations<const N: usize>(
    at: &[f64; N],
    off: &[f64],
    unknowns: &[Unknown; N],
    residuals: &impl Fn(&[f64; N]) -> Vec<f64>,
) -> Option<(Square<N>, [f64; N])> {
    let columns: [Vec<f64>; N] = std::array::from_fn(|i| {
        let mut moved = *at;
        let width = WIDTH * at.get(i).map_or(1.0, |v| v.abs().max(1.0));
        // Away from the upper bound, which may not be passed.
        let there = unknowns.get(i).is_some_and(|of| at.get(i).is_some_and(|v| v + width > of.high));
        let width = if there { -width } else { width };
        if let Some(value) = moved.get_mut(i) {
            *value += width;
        }
        residuals(&moved).iter().zip(off).map(|(there, here)| (there - here) / width).collect()
    });
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let normal = columns.each_ref().map(|a| columns.each_ref().map(|b| dot(a, b)));
    let slope = columns.each_ref().map(|column| -dot(column, off));
    let finite = slope.iter().chain(normal.iter().flatten()).all(|v| v.is_finite());
    finite.then_some((normal, slope))
}

fn damped<const N: usize>(normal: &Square<N>, damping: f64) -> Square<N> {
    let most = (0..N).filter_map(|i| normal.get(i)?.get(i).copied()).fold(0.0, f64::max);
    let mut damped = *normal;
    for (i, row) in damped.iter_mut().enumerate() {
        if let Some(own) = row.get_mut(i) {
            // What nothing depends on stays where it is.
            *own += damping * own.max(1e-12 * most).max(f64::MIN_POSITIVE);
        }
    }
    damped
}

/// Gaussian elimination with the largest pivot; none where there is no one answer.
fn solve<const N: usize>(mut rows: Square<N>, mut right: [f64; N]) -> Option<[f64; N]> {
    for at in 0..N {
        let size = |row: usize| rows.get(row).and_then(|row| row.get(at)).map_or(0.0, |v| v.abs());
        let pivot = (at..N).max_by(|&a, &b| size(a).total_cmp(&size(b)))?;
        rows.swap(at, pivot);
        right.swap(at, pivot);
        let (own, own_right) = (*rows.get(at)?, *right.get(at)?);
        let head = *own.get(at)?;
        if head == 0.0 || !head.is_finite() {
            return None;
        }
        for (row, right) in rows.iter_mut().zip(&mut right).skip(at + 1) {
            let factor = row.get(at)? / head;
            for (value, own) in row.iter_mut().zip(own) {
                *value -= factor * own;
            }
            *right -= factor * own_right;
        }
    }
    let mut found = [0.0; N];
    for at in (0..N).rev() {
        let row = rows.get(at)?;
        let known: f64 = row.iter().zip(found).skip(at + 1).map(|(a, b)| a * b).sum();
        *found.get_mut(at)? = (right.get(at)? - known) / row.get(at)?;
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn free(start: f64) -> Unknown {
        Unknown { start, low: -1e9, high: 1e9 }
    }

    /// Source: Rosenbrock (1960), the valley with its least sum at (1, 1), as a sum of two squares; from memory.
    #[test]
    fn a_bent_valley_is_followed_to_its_end() {
        let valley = |[x, y]: &[f64; 2]| vec![10.0 * (y - x * x), 1.0 - x];
        let found = least_squares([free(-1.2), free(1.0)], valley);
        assert!(found.iter().all(|v| (v - 1.0).abs() < 1e-6), "{found:?}");
    }

    #[test]
    fn a_line_through_points_is_that_of_the_textbook() {
        // By hand: points (0, 1), (1, 3), (2, 4), (3, 4) have the least squares line y = 1.5 + x.
        let points = [(0.0, 1.0), (1.0, 3.0), (2.0, 4.0), (3.0, 4.0)];
        let line = |[a, b]: &[f64; 2]| points.iter().map(|(x, y)| a + b * x - y).collect();
        let found = least_squares([free(0.0), free(0.0)], line);
        assert!((found[0] - 1.5).abs() < 1e-9 && (found[1] - 1.0).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn bounds_hold_and_what_nothing_depends_on_stays() {
        let held = Unknown { start: 0.5, low: 0.0, high: 1.0 };
        let found = least_squares([held, free(7.0)], |[x, _]| vec![x - 3.0]);
        assert_eq!(found, [1.0, 7.0]);
        assert_eq!(least_squares([held], |_| vec![f64::NAN]), [0.5]);
    }
}
