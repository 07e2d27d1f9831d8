//! Linear solve for matrices `I + h·K` where `K` moves content between holdups.
//!
//! Off-diagonal entries are never positive and every column sums to at least one, so the matrix is a column-diagonally dominant
//! M-matrix: elimination without pivoting is stable (no growth), the inverse has no negative entry, and a
//! non-negative right-hand side gives a non-negative answer. Plants are sparse (each tank touches a few others), so zero
//! multipliers and the zero tails of rows are skipped.

use nalgebra::DMatrix;
use thiserror::Error;

/// A pivot that vanished: some content can neither stay nor leave.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("the transport matrix has no pivot in row {row}")]
pub struct SingularTransport {
    /// Row of the pivot.
    pub row: usize,
}

/// A square matrix that is filled, factored and then solved against many right-hand sides.
#[derive(Clone, Debug)]
pub struct TransportMatrix {
    a: DMatrix<f64>,
    /// Multipliers below the diagonal and entries right of it, column by column, as (row, column, value) of the factors.
    lower: Vec<(usize, usize, f64)>,
    upper: Vec<(usize, usize, f64)>,
    diagonal: Vec<f64>,
}

impl TransportMatrix {
    /// The identity of size `n`.
    #[must_use]
    pub fn identity(n: usize) -> Self {
        Self {
            a: DMatrix::identity(n, n),
            lower: Vec::new(),
            upper: Vec::new(),
            diagonal: vec![1.0; n],
        }
    }

    /// Back to the identity, keeping the memory.
    pub fn reset(&mut self) {
        self.a.fill(0.0);
        self.a.fill_diagonal(1.0);
    }

    /// Books a transport of `share` (h times the fraction per second) out of `from`, into `to` when given.
    pub fn carry(&mut self, from: usize, to: Option<usize>, share: f64) {
        self.a[(from, from)] += share;
        if let Some(to) = to {
            self.a[(to, from)] -= share;
        }
    }

    /// Factors the matrix in place.
    ///
    /// # Errors
    /// A pivot that is zero or not a number.
    pub fn factor(&mut self) -> Result<(), SingularTransport> {
        let n = self.a.nrows();
        self.lower.clear();
        self.upper.clear();
        let a = self.a.as_mut_slice();
        for k in 0..n {
            let pivot = a[k * n + k];
            if !(pivot.is_finite() && pivot.abs() > 1e-300) {
                return Err(SingularTransport { row: k });
            }
            self.diagonal[k] = 1.0 / pivot;
            let first_lower = self.lower.len();
            for i in k + 1..n {
                let x = a[k * n + i];
                if x != 0.0 {
                    self.lower.push((i, k, x / pivot));
                }
            }
            for j in k + 1..n {
                let top = a[j * n + k];
                if top == 0.0 {
                    continue;
                }
                self.upper.push((k, j, top));
                for &(i, _, m) in &self.lower[first_lower..] {
                    a[j * n + i] -= m * top;
                }
            }
        }
        Ok(())
    }

    /// Solves for several right-hand sides at once: `rows[i·width ..][..width]` are the right-hand sides of row `i`, replaced by the answers.
    pub fn solve(&self, rows: &mut [f64], width: usize) {
        for &(i, k, m) in &self.lower {
            subtract(rows, i, k, m, width);
        }
        for k in (0..self.diagonal.len()).rev() {
            // Entries of one row of the upper factor stand together; they are few.
            for &(_, j, u) in self.upper_row(k) {
                subtract(rows, k, j, u, width);
            }
            for x in &mut rows[k * width..(k + 1) * width] {
                *x *= self.diagonal[k];
            }
        }
    }

    fn upper_row(&self, k: usize) -> &[(usize, usize, f64)] {
        let start = self.upper.partition_point(|e| e.0 < k);
        let end = start + self.upper[start..].partition_point(|e| e.0 == k);
        &self.upper[start..end]
    }
}

/// `row[to] -= m·row[from]` over `width` entries.
#[inline]
fn subtract(rows: &mut [f64], to: usize, from: usize, m: f64, width: usize) {
    let (a, b) = (to * width, from * width);
    let (target, source) = if a > b {
        let (head, tail) = rows.split_at_mut(a);
        (&mut tail[..width], &head[b..b + width])
    } else {
        let (head, tail) = rows.split_at_mut(b);
        (&mut head[a..a + width], &tail[..width])
    };
    for (x, y) in target.iter_mut().zip(source) {
        *x -= m * y;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::DVector;

    #[test]
    fn agrees_with_a_dense_solve_on_a_ring_with_a_leak() {
        let n = 5;
        let mut m = TransportMatrix::identity(n);
        for i in 0..n {
            m.carry(i, Some((i + 1) % n), 0.7 + i as f64);
        }
        m.carry(2, None, 3.0);
        let dense = m.a.clone();
        m.factor().unwrap();
        let b: Vec<f64> = (0..n * 2).map(|i| 1.0 + (i as f64).sin()).collect();
        let mut x = b.clone();
        m.solve(&mut x, 2);
        for side in 0..2 {
            let rhs = DVector::from_fn(n, |i, _| b[i * 2 + side]);
            let want = dense.clone().lu().solve(&rhs).unwrap();
            for i in 0..n {
                assert!((x[i * 2 + side] - want[i]).abs() < 1e-12, "{i} {side}");
            }
        }
    }

    #[test]
    fn content_is_kept_and_never_negative() {
        let mut m = TransportMatrix::identity(3);
        m.carry(0, Some(1), 1e6);
        m.carry(1, Some(2), 1e-3);
        m.carry(2, Some(0), 40.0);
        m.factor().unwrap();
        let mut x = vec![1.0, 0.0, 2.0];
        m.solve(&mut x, 1);
        assert!(x.iter().all(|v| *v >= 0.0));
        assert!(
            (x.iter().sum::<f64>() - 3.0).abs() < 1e-9,
            "a closed ring keeps what it holds"
        );
    }
}
