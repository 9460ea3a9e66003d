//! 3x3 matrices on colour triples.

use std::ops::Mul;

/// A 3x3 matrix, row-major, acting on column vectors: out = M in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Matrix(pub [[f64; 3]; 3]);

impl Matrix {
    /// The identity.
    pub const IDENTITY: Matrix = Matrix::diagonal([1.0, 1.0, 1.0]);

    /// A matrix with `d` on its diagonal and zero elsewhere.
    pub const fn diagonal(d: [f64; 3]) -> Matrix {
        Matrix([[d[0], 0.0, 0.0], [0.0, d[1], 0.0], [0.0, 0.0, d[2]]])
    }

    /// A matrix whose columns are the given vectors.
    pub const fn from_columns(a: [f64; 3], b: [f64; 3], c: [f64; 3]) -> Matrix {
        Matrix([[a[0], b[0], c[0]], [a[1], b[1], c[1]], [a[2], b[2], c[2]]])
    }

    /// M v.
    pub fn apply(&self, v: [f64; 3]) -> [f64; 3] {
        self.0.map(|r| r[0] * v[0] + r[1] * v[1] + r[2] * v[2])
    }

    /// The transpose.
    pub fn transpose(&self) -> Matrix {
        let [a, b, c] = self.0;
        Matrix::from_columns(a, b, c)
    }

    /// The determinant.
    pub fn determinant(&self) -> f64 {
        let [a, b, c] = self.0;
        dot(a, cross(b, c))
    }

    /// The inverse, or `None` where the matrix is singular to working precision.
    pub fn inverse(&self) -> Option<Matrix> {
        let [a, b, c] = self.0;
        let det = self.determinant();
        // Singular against its own size: the rows span a volume lost in rounding.
        let size = norm(a) * norm(b) * norm(c);
        if !det.is_finite() || det.abs() <= 1e-14 * size {
            return None;
        }
        let scale = |v: [f64; 3]| v.map(|x| x / det);
        Some(Matrix::from_columns(scale(cross(b, c)), scale(cross(c, a)), scale(cross(a, b))))
    }
}

impl Mul for Matrix {
    type Output = Matrix;

    /// a * b applies b first. The identity on either side returns the other bit for bit.
    fn mul(self, b: Matrix) -> Matrix {
        if self == Matrix::IDENTITY {
            return b;
        }
        if b == Matrix::IDENTITY {
            return self;
        }
        let [x, y, z] = b.transpose().0;
        Matrix::from_columns(self.apply(x), self.apply(y), self.apply(z))
    }
}

/// A matrix and an offset: out = M in + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Affine {
    /// Applied first.
    pub matrix: Matrix,
    /// Added then.
    pub offset: [f64; 3],
}

impl Affine {
    /// Nothing.
    pub const IDENTITY: Affine = Affine::linear(Matrix::IDENTITY);

    /// A matrix alone.
    pub const fn linear(matrix: Matrix) -> Affine {
        Affine { matrix, offset: [0.0; 3] }
    }

    /// An offset alone.
    pub const fn offset(offset: [f64; 3]) -> Affine {
        Affine { matrix: Matrix::IDENTITY, offset }
    }

    /// M v + offset.
    pub fn apply(&self, v: [f64; 3]) -> [f64; 3] {
        let moved = self.matrix.apply(v);
        std::array::from_fn(|i| moved[i] + self.offset[i])
    }

    /// `first`, then this. The identity on either side returns the other bit for bit.
    #[must_use]
    pub fn after(&self, first: &Affine) -> Affine {
        let matrix = self.matrix * first.matrix;
        if *self == Affine::IDENTITY {
            return *first;
        }
        Affine { matrix, offset: self.apply(first.offset) }
    }
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn norm(a: [f64; 3]) -> f64 {
    dot(a, a).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn one_affine_after_another_is_both() {
        let turn =
            Affine { matrix: Matrix([[0.5, 0.25, 0.0], [0.0, 2.0, 1.0], [1.0, 0.0, 4.0]]), offset: [1.0, 0.0, -2.0] };
        let lift = Affine::offset([0.5, 0.25, 0.125]);
        let v = [3.0, -1.0, 0.5];
        assert_eq!(turn.after(&lift).apply(v), turn.apply(lift.apply(v)));
        assert_eq!(lift.after(&turn).apply(v), lift.apply(turn.apply(v)));
        assert_eq!(turn.after(&Affine::IDENTITY), turn);
        assert_eq!(Affine::IDENTITY.after(&turn), turn);
    }

    proptest! {
        #[test]
        fn inverse_undoes(m in prop::array::uniform9(-2.0f64..2.0)) {
            let m = Matrix([[m[0] + 4.0, m[1], m[2]], [m[3], m[4] + 5.0, m[5]], [m[6], m[7], m[8] + 4.5]]);
            if let Some(inverse) = m.inverse() {
                let det = m.determinant().abs();
                let p = (m * inverse).0;
                for (i, row) in p.iter().enumerate() {
                    for (j, v) in row.iter().enumerate() {
                        // Cofactors lose about condition x ulp; entries stay below 8.
                        let tolerance = 1e-12 * (1.0 + 500.0 / det);
                        prop_assert!((v - f64::from(u8::from(i == j))).abs() < tolerance);
                    }
                }
            }
        }
    }

    #[test]
    fn singular_has_no_inverse() {
        assert_eq!(Matrix([[1.0, 2.0, 3.0], [2.0, 4.0, 6.0], [0.0, 1.0, 0.0]]).inverse(), None);
        assert_eq!(Matrix([[0.0; 3]; 3]).inverse(), None);
    }

    #[test]
    fn product_applies_the_right_one_first() {
        let a = Matrix([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]);
        let b = Matrix::diagonal([2.0, 3.0, 4.0]);
        assert_eq!((a * b).apply([1.0, 1.0, 1.0]), [3.0, 2.0, 4.0]);
        assert_eq!(a.transpose().transpose(), a);
    }
}
