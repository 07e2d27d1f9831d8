//! What a loop loses, in money.

use std::collections::BTreeMap;

use dragback_scenario::Scenario;
use serde::Serialize;

/// Days of a year of such weeks.
const DAYS_A_YEAR: f64 = 365.0;

/// What solutes that are lost for good are worth at the prices of a scenario.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worth {
    /// The currency, three letters; empty where the scenario does not say.
    pub currency: String,
    /// Worth of a day's loss.
    pub per_day: f64,
    /// The same over a year of such days.
    pub per_year: f64,
    /// The solutes that have a price and are counted in it, in the order of their names.
    pub of: Vec<String>,
}

impl Worth {
    /// The worth of what is lost, kg/day by solute; `None` where no solute of the loop has a price, or where an amount is not known.
    #[must_use]
    pub fn of_losses(scenario: &Scenario, lost_kg_per_day: &BTreeMap<String, f64>) -> Option<Self> {
        let prices = scenario.prices.as_ref()?;
        let priced = || {
            let lost = lost_kg_per_day.iter();
            lost.filter_map(|(name, kg)| Some((name, kg * prices.solutes.get(name)?.si())))
        };
        let per_day: f64 = priced().map(|(_, worth)| worth).sum();
        let of: Vec<String> = priced().map(|(name, _)| name.clone()).collect();
        (!of.is_empty() && per_day.is_finite()).then(|| Self {
            currency: prices.currency.clone().unwrap_or_default(),
            // Not below zero where nothing is lost.
            per_day: 0.0 + per_day,
            per_year: 0.0 + DAYS_A_YEAR * per_day,
            of,
        })
    }
}
