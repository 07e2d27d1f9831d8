//! The order in which rows are shown.

use std::cmp::Ordering;

use super::Row;

/// Cheapest first where energy has a price, else least evaporation, of equals fewest towers and stages; rows that do not work last, as they came.
pub fn best_first(rows: &mut [Row]) {
    let key = |row: &Row| row.yearly_cost.or(row.evaporator_duty_l_per_h);
    rows.sort_by(|a, b| match (a.verified, b.verified) {
        (true, true) => {
            let order = key(a).partial_cmp(&key(b)).unwrap_or(Ordering::Equal);
            order.then_with(|| (a.towers, a.stages).cmp(&(b.towers, b.stages)))
        }
        (a, b) => b.cmp(&a),
    });
}
