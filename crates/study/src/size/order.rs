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

#[cfg(test)]
mod tests {
    use super::*;

    /// A row that works: rinses, what closes it, cost and evaporation.
    fn row(stages: u32, closed_by: ClosedBy, cost: Option<f64>, l_per_h: f64) -> Row {
        Row {
            verified: true,
            yearly_cost: cost,
            worst_month_l_per_h: Some(l_per_h),
            heater_kw: Some(10.0),
            towers: Some(1),
            ..Row::empty(Layout {
                stages,
                before: None,
                has_free_final: false,
                closed_by,
            })
        }
    }

    fn order(mut rows: Vec<Row>) -> Vec<u32> {
        best_first(&mut rows);
        rows.iter().map(|row| row.stages).collect()
    }

    #[test]
    fn a_cost_that_leaves_something_out_ranks_nothing() {
        let rows = || {
            vec![
                row(1, ClosedBy::HoldingTank, Some(3.0), 1.0),
                row(2, ClosedBy::HoldingTank, Some(1.0), 3.0),
                row(3, ClosedBy::HoldingTank, Some(2.0), 2.0),
            ]
        };
        assert_eq!(order(rows()), [2, 3, 1]);
        assert!(not_counted(&rows()).is_empty());
        let mut short = rows();
        short[1].uncounted = vec!["salts".to_owned(), "air".to_owned()];
        short[2].uncounted = vec!["air".to_owned()];
        assert_eq!(Rank::of(&short), Rank::Evaporation);
        assert_eq!(not_counted(&short), ["salts", "air"]);
        assert_eq!(order(short), [1, 3, 2]);
        let mut none = rows();
        none[0].yearly_cost = None;
        assert_eq!(order(none), [1, 3, 2]);
    }

    #[test]
    fn of_equals_what_takes_least_to_build_comes_first() {
        let rows = vec![
            row(1, ClosedBy::HoldingTank, None, 0.0),
            row(2, ClosedBy::BathTower, None, 0.0),
            row(3, ClosedBy::Surface, None, 0.0),
        ];
        assert_eq!(order(rows), [3, 2, 1]);
        // What does not work is last, whatever it costs.
        let mut stopped = row(1, ClosedBy::Surface, None, 0.0);
        stopped.verified = false;
        assert_eq!(
            order(vec![stopped, row(2, ClosedBy::HoldingTank, None, 5.0)]),
            [2, 1]
        );
    }
}
