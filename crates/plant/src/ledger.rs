//! The audit: what came in, what went out, what is held.

use crate::ids::AccountId;
use crate::layout::Layout;
use crate::plant::Plant;

/// One quantity over a span of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Name: `water`, `energy`, or the solute.
    pub name: String,
    /// Lines that gave to the plant, with amounts (kg, or J for energy).
    pub came_in: Vec<(AccountId, f64)>,
    /// Lines that took from the plant, with amounts.
    pub went_out: Vec<(AccountId, f64)>,
    /// Sum of what came in.
    pub in_total: f64,
    /// Sum of what went out.
    pub out_total: f64,
    /// Change of what the vessels hold.
    pub held_change: f64,
    /// `|in − out − Δheld|` over the larger of throughput, initial holdup and a floor (1 mg, or 1 J).
    pub closure_error: f64,
}

/// The audit of a span.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Ledger {
    /// Water, energy, then the solutes.
    pub entries: Vec<Entry>,
}

/// Largest closure error of a run that can be trusted.
pub const CLOSURE_BOUND: f64 = 1.0e-9;

impl Ledger {
    /// The audit between two states of one plant.
    #[must_use]
    pub fn between(plant: &Plant, before: &[f64], after: &[f64]) -> Self {
        let names = ["water".to_owned(), "energy".to_owned()];
        let solutes = plant.network().solutes.iter().map(|s| s.name.clone());
        let entries = names.into_iter().chain(solutes).enumerate();
        Self {
            entries: entries
                .map(|(j, name)| entry(plant, name, j, before, after))
                .collect(),
        }
    }

    /// The worst closure error and whose it is.
    #[must_use]
    pub fn worst(&self) -> Option<(&str, f64)> {
        let errors = self
            .entries
            .iter()
            .map(|e| (e.name.as_str(), e.closure_error));
        errors.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Whether every quantity closes.
    #[must_use]
    pub fn closes(&self) -> bool {
        self.entries
            .iter()
            .all(|e| e.closure_error <= CLOSURE_BOUND)
    }
}

fn entry(plant: &Plant, name: String, j: usize, before: &[f64], after: &[f64]) -> Entry {
    let layout = plant.layout();
    let len = layout.block_len();
    let vessels = layout.state_len() / len;
    let held = |y: &[f64]| (0..vessels).map(|v| y[v * len + j]).sum::<f64>();
    let held_change = held(after) - held(before);
    let (mut came_in, mut went_out) = (Vec::new(), Vec::new());
    for a in 0..plant.network().accounts.len() {
        let id = AccountId(a);
        let given = after[layout.account(id) + j] - before[layout.account(id) + j];
        if given > 0.0 {
            went_out.push((id, given));
        } else if given < 0.0 {
            came_in.push((id, -given));
        }
    }
    let in_total: f64 = came_in.iter().map(|x| x.1).sum();
    let out_total: f64 = went_out.iter().map(|x| x.1).sum();
    let floor = if j == Layout::ENTHALPY { 1.0 } else { 1.0e-6 };
    let scale = in_total.max(out_total).max(held(before).abs()).max(floor);
    let closure_error = (in_total - out_total - held_change).abs() / scale;
    Entry {
        name,
        came_in,
        went_out,
        in_total,
        out_total,
        held_change,
        closure_error,
    }
}
