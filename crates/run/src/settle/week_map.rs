//! The map of one week, and the state that it leaves alone.

use nalgebra::{DMatrix, DVector, Dyn, LU};

/// Keeps the equations for the slow shape solvable where nothing leaves at all.
const SHIFT: f64 = 1.0e-9;
/// Times they are solved.
const SHAPINGS: usize = 8;

/// The map of one week for a solute, factored.
pub(super) struct WeekMap {
    map: DMatrix<f64>,
    pub(super) free: LU<f64, Dyn, Dyn>,
    /// Shape in which a solute creeps when almost nothing leaves, summing to one.
    pub(super) slow: DVector<f64>,
    bordered: LU<f64, Dyn, Dyn>,
}

/// The shape that a week shrinks least, summing to one. Weeks alone bring it out slowly where rinses exchange little; solving for the content that a week
/// would have to be given brings it out at once.
fn slow_shape(map: &DMatrix<f64>, free: &DMatrix<f64>) -> DVector<f64> {
    let n = map.nrows();
    let nearly = (free + DMatrix::identity(n, n) * SHIFT).lu();
    let mut slow = DVector::from_element(n, 1.0);
    for _ in 0..SHAPINGS {
        let next = nearly.solve(&slow).unwrap_or_else(|| map * &slow);
        let sum = next.sum();
        if sum > 0.0 && sum.is_finite() {
            slow = next / sum;
        }
    }
    slow
}

impl WeekMap {
    /// Of the vessels of a part.
    pub(super) fn new(map: DMatrix<f64>) -> Self {
        let n = map.nrows();
        let free = DMatrix::identity(n, n) - &map;
        let slow = slow_shape(&map, &free);
        // One more unknown, the weekly creep along the slow shape, against one more equation: the inventory stays.
        let mut bordered = DMatrix::zeros(n + 1, n + 1);
        bordered.view_mut((0, 0), (n, n)).copy_from(&free);
        bordered.view_mut((0, n), (n, 1)).copy_from(&slow);
        bordered.view_mut((n, 0), (1, n)).fill(1.0);
        Self {
            map,
            free: free.lu(),
            slow,
            bordered: bordered.lu(),
        }
    }

    /// What a week loses of a content, kg.
    pub(super) fn lost(&self, content: &DVector<f64>) -> f64 {
        content.sum() - (&self.map * content).sum()
    }

    /// Step to the creeping shape at the present inventory, and the creep per week, kg.
    pub(super) fn creeping(&self, change: &DVector<f64>) -> (DVector<f64>, f64) {
        let n = change.len();
        let mut side = DVector::zeros(n + 1);
        side.rows_mut(0, n).copy_from(change);
        match self.bordered.solve(&side) {
            Some(x) => (x.rows(0, n).into_owned(), x[n]),
            None => (DVector::zeros(n), change.sum()),
        }
    }
}
