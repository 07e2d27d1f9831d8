//! Prices: of known things, and in one currency.

use dragback_units::currency_of;

use super::Findings;
use crate::record::{Field as _, Kind, Meta};
use crate::schema::{Electricity, Prices, Scenario};

pub(super) fn check(scenario: &Scenario, found: &mut Findings) {
    let Some(prices) = &scenario.prices else {
        return;
    };
    found.species_map(scenario, "prices.solutes", prices.solutes.keys());
    found.species_map(scenario, "prices.anodes", prices.anodes.keys());
    for key in prices.chemicals.keys() {
        found.dosed(scenario, format!("prices.chemicals.{key}"), key);
    }
    for key in prices.waters.keys() {
        found.water(scenario, format!("prices.waters.{key}"), key);
    }
    if let Some(electricity) = &prices.electricity {
        off_peak(scenario, electricity, found);
    }
    currencies(prices, found);
}

/// A rate of the cheaper hours needs those hours, and the other way round.
fn off_peak(scenario: &Scenario, electricity: &Electricity, found: &mut Findings) {
    let path = |field: &str| format!("prices.electricity.{field}");
    match (&electricity.off_peak_rate, &electricity.off_peak_calendar) {
        (Some(_), None) => found.add(
            path("off_peak_rate"),
            "a rate for cheaper hours is given, but not which hours they are",
            "add off_peak_calendar with the key of a calendar, or take the rate away",
        ),
        (None, Some(_)) => found.add(
            path("off_peak_calendar"),
            "cheaper hours are given, but not their rate",
            "add off_peak_rate, or take the calendar away",
        ),
        (_, Some(key)) => found.calendar(scenario, path("off_peak_calendar"), key),
        (None, None) => {}
    }
}

/// Every price that names a currency names that of all.
fn currencies(prices: &Prices, found: &mut Findings) {
    let all = prices.currency.as_deref();
    let mut path = "prices".to_owned();
    prices.visit(&mut path, &Meta::EMPTY, &mut |path, _, leaf| {
        let is_money = matches!(leaf.kind, Kind::Quantity(dim) if dim.is_money());
        let text = leaf.text.as_deref().filter(|_| is_money);
        let Some((text, currency)) = text.and_then(|t| Some((t, currency_of(t)?))) else {
            return;
        };
        if all != Some(currency) {
            let all = all.map_or_else(|| "not given".to_owned(), |c| format!("\"{c}\""));
            found.add_about(
                path.to_owned(),
                &["prices.currency".to_owned()],
                format!("\"{text}\" is in {currency}, but the currency of the prices is {all}"),
                "give all prices in one currency, and write it under `currency`",
            );
        }
    });
}
