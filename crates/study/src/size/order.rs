//! The order in which rows are shown.

use dragback_scenario::{Before, ClosedBy, Layout};

use super::Row;

/// What the best row is best at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rank {
    /// It is the cheapest to run.
    Cost,
    /// It evaporates least: something that is used has no price, so that costs cannot be set against each other.
    Evaporation,
}

impl Rank {
    /// By what these rows can be ranked.
    #[must_use]
    pub fn of<'r>(rows: impl IntoIterator<Item = &'r Row>) -> Self {
        let mut working = rows.into_iter().filter(|row| row.verified);
        if working.all(|row| row.yearly_cost.is_some() && row.uncounted.is_empty()) {
            Self::Cost
        } else {
            Self::Evaporation
        }
    }
}

/// What is used in any of these rows and has no price, in words, each once.
#[must_use]
pub fn not_counted<'r>(rows: impl IntoIterator<Item = &'r Row>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for row in rows.into_iter().filter(|row| row.yearly_cost.is_some()) {
        for what in &row.uncounted {
            if !all.contains(what) {
                all.push(what.clone());
            }
        }
    }
    all
}

/// Rows that work first: the cheapest to run or the least evaporation (see [`Rank`]); of equals what takes least to close it, then least heat, fewest towers
/// and stages. What is equal in all of that stands in the order of its layouts, whatever order the rows came in.
pub fn best_first(rows: &mut [Row]) {
    let rank = Rank::of(rows.iter());
    let key = |row: &Row| {
        let key = match rank {
            Rank::Cost => row.yearly_cost,
            Rank::Evaporation => row.worst_month_l_per_h,
        };
        key.unwrap_or(f64::INFINITY)
    };
    let heat = |row: &Row| row.heater_kw.unwrap_or(f64::INFINITY);
    rows.sort_by(|a, b| {
        let order = b.verified.cmp(&a.verified);
        let order = if a.verified && b.verified {
            order
                .then_with(|| key(a).total_cmp(&key(b)))
                .then_with(|| closing(&a.plan).cmp(&closing(&b.plan)))
                .then_with(|| heat(a).total_cmp(&heat(b)))
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
    (before, plan.has_free_final, plan.stages, closing(plan))
}

/// Place of what closes a loop among all, by what it takes to build.
const fn closing(plan: &Layout) -> u8 {
    match plan.closed_by {
        ClosedBy::Surface => 0,
        ClosedBy::BathTower => 1,
        ClosedBy::HoldingTank => 2,
    }
}
