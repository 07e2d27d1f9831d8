//! What a year costs, as the window tells it: the plan on the bench, the plan that is kept.

use std::sync::Arc;

use dragback_scenario::Scenario;
use dragback_study::money::{Costs, MoneyError, Payback, Plan};
pub use dragback_study::money::{Step, steps};

use crate::results::Figures;

/// The plan of a scenario whose settled week is known. Its prices may have moved on since that week was found; they change no amount.
#[must_use]
pub fn plan(scenario: &Arc<Scenario>, figures: &Figures) -> Plan {
    Plan {
        scenario: Arc::clone(scenario),
        ..Plan::of(&figures.plant, Arc::clone(&figures.scenario), &figures.week)
    }
}

/// What can be told of money.
pub enum Told {
    /// Of one line: what it costs to run.
    Alone(Costs),
    /// Of a change.
    Change(Box<Payback>),
}

/// Tells what a plan costs, and what the change from another one brings.
///
/// # Errors
/// Without prices, with two currencies, and of a bath that runs down.
pub fn told(before: Option<&Plan>, now: &Plan) -> Result<Told, MoneyError> {
    match before {
        Some(before) => Ok(Told::Change(Box::new(Payback::of(before, now)?))),
        None => Ok(Told::Alone(now.costs()?)),
    }
}
