//! Sizing in the window: what is asked, the table as far as it has come, and what of it is plotted.

mod facts;
mod trade_off;

use std::sync::Arc;

use dragback_scenario::{Before, ClosedBy, Layout, Scenario};
use dragback_study::size::{Rank, Reach, Row, Sizing, best_first, place};
use dragback_units::Quantity;
use dragback_units::dim::Concentration;

use crate::document::Document;

pub use facts::{Fact, facts, heat_facts, holds_fact, reach_fact, row_words};
pub use trade_off::{Height, Series, series};

/// What is asked: all layouts of one loop for one strength of the final rinse.
#[derive(Clone)]
pub struct SizingRequest {
    /// Number of the request; later ones are higher.
    pub number: u64,
    /// Number of the document.
    pub document: u64,
    /// Key of the loop.
    pub loop_key: String,
    /// The scenario whose loop is sized.
    pub scenario: Arc<Scenario>,
    /// Strength below which the film is to stay.
    pub limit: Quantity<Concentration>,
}

/// How far a table is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Progress {
    /// More rows are coming.
    Underway,
    /// Every row is there.
    Whole,
    /// It was given up; the rows that were found stay.
    GivenUp,
    /// There can be no row, in one sentence.
    Failed(String),
}

/// The table as far as it has come.
#[derive(Clone)]
pub struct SizingTable {
    /// What it answers.
    pub of: SizingRequest,
    /// Makes the scenario of a row; `None` until the first rows are there.
    pub sizing: Option<Arc<Sizing>>,
    /// Rows found so far: those that work first, the best of them first.
    pub rows: Vec<Row>,
    /// How far the line as it is still closes; empty until it is found, and for a loop without a tower.
    pub reaches: Vec<Reach>,
    /// Parts that are done, and how many there are.
    pub done: usize,
    /// How many parts there are.
    pub wanted: usize,
    /// How far it is.
    pub progress: Progress,
}

impl SizingTable {
    /// A table that is about to be worked out.
    #[must_use]
    pub const fn begun(of: SizingRequest) -> Self {
        Self {
            of,
            sizing: None,
            rows: Vec::new(),
            reaches: Vec::new(),
            done: 0,
            wanted: 1,
            progress: Progress::Underway,
        }
    }

    /// Takes rows, each into its place.
    pub fn take_rows(&mut self, rows: Vec<Row>) {
        self.rows.extend(rows);
        best_first(&mut self.rows);
    }

    /// Rows that work, the best first.
    pub fn working(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter().take_while(|row| row.verified)
    }

    /// Rows that something stops, in the order of the layouts.
    #[must_use]
    pub fn stopped(&self) -> Vec<&Row> {
        let mut stopped: Vec<&Row> = self.rows.iter().filter(|row| !row.verified).collect();
        stopped.sort_by_key(|row| place(&row.plan));
        stopped
    }

    /// The row of a layout.
    #[must_use]
    pub fn row(&self, plan: Layout) -> Option<&Row> {
        self.rows.iter().find(|row| row.plan == plan)
    }

    /// The scenario that a row describes; `None` where it has no figures.
    #[must_use]
    pub fn scenario(&self, plan: Layout) -> Option<Scenario> {
        self.sizing.as_ref()?.scenario(self.row(plan)?)
    }

    /// Share of the parts that is done, 0 to 1.
    #[must_use]
    pub fn share(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "some dozens")]
        let share = self.done as f64 / self.wanted.max(1) as f64;
        share
    }

    /// By what the rows are ranked.
    #[must_use]
    pub fn rank(&self) -> Rank {
        Rank::of(&self.rows)
    }

    /// Currency of the yearly cost.
    #[must_use]
    pub fn currency(&self) -> &str {
        let prices = self.of.scenario.prices.as_ref();
        prices.and_then(|p| p.currency.as_deref()).unwrap_or("")
    }

    /// Lead solute by which the film is judged.
    #[must_use]
    pub fn lead(&self) -> &str {
        let line = self.of.scenario.loops.get(&self.of.loop_key);
        line.map_or("", |l| l.lead.as_str())
    }
}

/// A row that was made the present line, with the scenario that it made.
#[derive(Clone)]
pub struct Taken {
    /// Number of the table's request.
    pub number: u64,
    /// The layout.
    pub plan: Layout,
    /// Its scenario.
    pub scenario: Arc<Scenario>,
}

/// What the line on the bench is to a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnBench {
    /// The line that was sized.
    Sized,
    /// One of the table's own rows.
    Row(Layout),
    /// Another loop of the scenario that was sized.
    OtherLoop,
    /// A line that has been changed since.
    Changed,
}

/// Whether two scenarios are one line: what stands in the head of a report, and the variants beside it, change nothing of it.
fn is_one_line(a: &Scenario, b: &Scenario) -> bool {
    if a.title_block == b.title_block && a.variants == b.variants {
        return a == b;
    }
    let mut a = a.clone();
    a.title_block.clone_from(&b.title_block);
    a.variants.clone_from(&b.variants);
    a == *b
}

/// What the line on the bench is to a table; `taken` is the row last made the present line.
#[must_use]
pub fn on_bench(table: &SizingTable, taken: Option<&Taken>, document: &Document) -> OnBench {
    let is_same = |known: &Arc<Scenario>| {
        Arc::ptr_eq(known, &document.scenario) || is_one_line(known, &document.scenario)
    };
    if let Some(taken) = taken.filter(|t| t.number == table.of.number && is_same(&t.scenario)) {
        return OnBench::Row(taken.plan);
    }
    match is_same(&table.of.scenario) {
        true if table.of.loop_key == document.loop_key => OnBench::Sized,
        true => OnBench::OtherLoop,
        false => OnBench::Changed,
    }
}

/// The rinses of a layout in a few words: `still + 3 + free`.
#[must_use]
pub fn rinses_words(plan: &Layout) -> String {
    let before = match plan.before {
        None => "",
        Some(Before::Still) => "still + ",
        Some(Before::Spray) => "spray + ",
    };
    let free = if plan.has_free_final { " + free" } else { "" };
    format!("{before}{}{free}", plan.stages)
}

/// What closes a loop, in a few words.
#[must_use]
pub const fn closed_words(closed_by: ClosedBy) -> &'static str {
    match closed_by {
        ClosedBy::Surface => "bath surface",
        ClosedBy::BathTower => "tower on bath",
        ClosedBy::HoldingTank => "holding tank",
    }
}
