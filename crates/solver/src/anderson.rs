//! Anderson acceleration of a fixed-point iteration `x ← g(x)`.
//!
//! Source: D. G. Anderson, "Iterative procedures for nonlinear integral equations", J. ACM 12 (1965) 547–560; the least squares are
//! solved as in H. F. Walker, P. Ni, SIAM J. Numer. Anal. 49 (2011) 1715–1735.

use nalgebra::{DMatrix, DVector};

/// Keeps the last few residuals and proposes the next point.
#[derive(Clone, Debug)]
pub struct Anderson {
    depth: usize,
    points: Vec<DVector<f64>>,
    residuals: Vec<DVector<f64>>,
}

impl Anderson {
    /// An accelerator that remembers `depth` steps (1 to about 10).
    #[must_use]
    pub fn new(depth: usize) -> Self {
        Self {
            depth: depth.max(1),
            points: Vec::new(),
            residuals: Vec::new(),
        }
    }

    /// Forgets everything: call when the map itself has changed.
    pub fn clear(&mut self) {
        self.points.clear();
        self.residuals.clear();
    }

    /// The next point from `x` and its image `g`, both of one length, scaled so that entries are comparable.
    pub fn next(&mut self, x: &[f64], g: &[f64]) -> Vec<f64> {
        let image = DVector::from_row_slice(g);
        let residual = &image - DVector::from_row_slice(x);
        self.points.push(image);
        self.residuals.push(residual);
        if self.points.len() > self.depth + 1 {
            self.points.remove(0);
            self.residuals.remove(0);
        }
        let (last, n) = (self.points.len() - 1, x.len());
        if last == 0 {
            return g.to_vec();
        }
        let df = DMatrix::from_fn(n, last, |i, j| {
            self.residuals[j + 1][i] - self.residuals[j][i]
        });
        let dg = DMatrix::from_fn(n, last, |i, j| self.points[j + 1][i] - self.points[j][i]);
        let Ok(gamma) = df.svd(true, true).solve(&self.residuals[last], 1e-10) else {
            return g.to_vec();
        };
        (&self.points[last] - dg * gamma).as_slice().to_vec()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slow_linear_map_is_solved_in_a_few_steps() {
        // Contraction of 0.998 a step would take thousands of plain iterations.
        let map = |x: &[f64]| vec![0.998 * x[0] + 0.002 * 7.0, 0.5 * x[1] + 0.1 * x[0]];
        let mut accelerate = Anderson::new(4);
        let mut x = vec![0.0, 0.0];
        for _ in 0..8 {
            let g = map(&x);
            x = accelerate.next(&x, &g);
        }
        assert!((x[0] - 7.0).abs() < 1e-8, "{x:?}");
        assert!((x[1] - 1.4).abs() < 1e-8, "{x:?}");
    }
}
