//! The order in which rows are shown.

use dragback_scenario::{Before, ClosedBy, Layout};

use super::Row;

/// Cheapest to run first where every row that works has a running cost, else least evaporation, of equals fewest towers and stages; rows that do not work
/// last. What is equal in all of that stands in the order of its layouts, whatever order the rows came in.
pub fn best_first(rows: &mut [Row]) {
    let mut working = rows.iter().filter(|row| row.verified);
    let has_cost = working.all(|row| row.yearly_cost.is_some());
    let key = |row: &Row| {
        let key = if has_cost {
            row.yearly_cost
        } else {
            row.evaporator_duty_l_per_h
        };
        key.unwrap_or(f64::INFINITY)
    };
    rows.sort_by(|a, b| {
        let order = b.verified.cmp(&a.verified);
        let order = if a.verified && b.verified {
            order
                .then_with(|| key(a).total_cmp(&key(b)))
                .then_with(|| (a.towers, a.stages).cmp(&(b.towers, b.stages)))
        } else {
            order
        };
        order.then_with(|| place(&a.plan).cmp(&place(&b.plan)))
    });
}

/// Place of a layout among all: by what stands before the rinses, a free final rinse, the number of rinses, and what closes the loop.
#[must_use]
pub const fn place(plan: &Layout) -> (u8, bool, u32, u8) {
    let before = match plan.before {
        None => 0,
        Some(Before::Still) => 1,
        Some(Before::Spray) => 2,
    };
    let closed_by = match plan.closed_by {
        ClosedBy::Surface => 0,
        ClosedBy::BathTower => 1,
        ClosedBy::HoldingTank => 2,
    };
    (before, plan.has_free_final, plan.stages, closed_by)
}
