//! Prices: of known solutes, and in one currency.

use dragback_units::currency_of;

use super::Findings;
use crate::schema::Scenario;

pub(super) fn check(scenario: &Scenario, found: &mut Findings) {
    let Some(prices) = &scenario.prices else {
        return;
    };
    found.species_map(scenario, "prices.solutes", prices.solutes.keys());
    for (key, price) in prices.solutes.iter() {
        let text = price.quantity().text();
        let Some(currency) = currency_of(text) else {
            continue;
        };
        let all = prices.currency.as_deref();
        if all != Some(currency) {
            let all = all.map_or_else(|| "not given".to_owned(), |c| format!("\"{c}\""));
            found.add_about(
                format!("prices.solutes.{key}"),
                &["prices.currency".to_owned()],
                format!("\"{text}\" is in {currency}, but the currency of the prices is {all}"),
                "give all prices in one currency, and write it under `currency`",
            );
        }
    }
}
