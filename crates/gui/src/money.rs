//! What a year costs, as the window tells it: the plan on the bench, the plan that is kept.

use std::sync::Arc;

use dragback_scenario::Scenario;
use dragback_study::money::{BreakEven, Costs, MoneyError, Payback, Plan, Stopped, Swing};
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

/// What the answer in money hangs on is asked of: the line with its settled week, the state before, and within how many years the change is to pay.
#[derive(Clone)]
pub struct HangsOf {
    /// The line, whose prices may have moved on since its week was found.
    pub line: Arc<Scenario>,
    /// Its settled week.
    pub now: Arc<Figures>,
    /// The state before.
    pub before: Arc<Figures>,
    /// Years within which the change is to pay.
    pub years: f64,
}

impl HangsOf {
    /// Whether it asks the same.
    #[must_use]
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.line, &other.line)
            && Arc::ptr_eq(&self.now, &other.now)
            && Arc::ptr_eq(&self.before, &other.before)
            && self.years.to_bits() == other.years.to_bits()
    }
}

/// What the answer hangs on besides prices, as far as it has been found.
pub struct Hangs {
    /// What was asked.
    pub of: HangsOf,
    /// What has been found.
    pub parts: HangsParts,
    /// How much of it is found, 0 to 1.
    pub share: f64,
}

/// Inputs that the answer hangs on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HangsParts {
    /// Drag-out, work and hours at which the change just pays.
    pub break_evens: Vec<BreakEven>,
    /// Those of them without such a value, and why.
    pub break_evens_stopped: Vec<Stopped>,
    /// Uncertain inputs, those that move the payback most first.
    pub swings: Vec<Swing>,
    /// Uncertain inputs of which one value has no answer, and why.
    pub swings_stopped: Vec<Stopped>,
}

/// What has been found of what the answer hangs on, and what was asked last.
#[derive(Default)]
pub struct HangsKnown {
    found: Option<Arc<Hangs>>,
    asked: Option<HangsOf>,
    is_given_up: bool,
    /// Number of the last request.
    pub number: u64,
}

impl HangsKnown {
    /// Whether something is to be asked: it has not been asked yet.
    pub fn ask(&mut self, of: HangsOf) -> bool {
        let is_asked = self.asked.as_ref().is_some_and(|a| a.is_same(&of));
        if !is_asked {
            self.asked = Some(of);
            self.is_given_up = false;
            self.number += 1;
        }
        !is_asked
    }

    /// What was asked last is given up.
    pub const fn give_up(&mut self) {
        self.is_given_up = true;
    }

    /// Whether what was asked last was given up.
    #[must_use]
    pub const fn is_given_up(&self) -> bool {
        self.is_given_up
    }

    /// Forgets what was asked, so that what was given up is asked anew.
    pub fn forget_asked(&mut self) {
        self.asked = None;
    }

    /// Takes what was found.
    pub fn take(&mut self, new: Arc<Hangs>) {
        self.found = Some(new);
    }

    /// What was found last, and whether it answers what is asked now.
    #[must_use]
    pub fn found(&self) -> Option<(&Hangs, bool)> {
        let found = self.found.as_ref()?;
        let is_current = self.asked.as_ref().is_some_and(|a| a.is_same(&found.of));
        Some((found, is_current))
    }
}
