//! Whether what is paid for is there.

use dragback_scenario::{Prices, Scenario};

/// Whether one scenario has more towers, tanks or rinses than another.
#[expect(clippy::cast_precision_loss, reason = "a handful")]
pub(super) fn has_more(before: &Scenario, after: &Scenario) -> bool {
    let counts = |scenario: &Scenario| {
        let mut all = [0.0; 5];
        for line in scenario.loops.values() {
            let stages = line.sections.values().map(|s| s.stages.si());
            all[0] += line.towers.values().count() as f64;
            all[1] += f64::from(u8::from(line.holding_tank.is_some()));
            all[2] += f64::from(u8::from(line.collection.is_some()));
            all[3] += line.stills.values().count() as f64;
            all[4] += stages.sum::<f64>();
        }
        all
    };
    let (old, new) = (counts(before), counts(after));
    old.iter().zip(new).any(|(old, new)| new > old + 0.5)
}

/// Names of equipment that is bought for a scenario and that it, by words of the trade in them, does not have: a layout was changed, and what is paid for stayed.
pub(super) fn missing(own: &Prices, scenario: &Scenario) -> Vec<String> {
    let lines = || scenario.loops.values();
    let has_tower = lines().any(|line| line.towers.values().next().is_some());
    let has_holding = lines().any(|line| line.holding_tank.is_some());
    let has_collection = lines().any(|line| line.collection.is_some());
    let gone: Vec<&str> = [
        (!has_tower, ["evaporator", "tower"].as_slice()),
        (!has_holding, &["holding tank", "holding_tank"]),
        (!has_collection, &["collection"]),
    ]
    .into_iter()
    .filter(|(is_gone, _)| *is_gone)
    .flat_map(|(_, words)| words.iter().copied())
    .collect();
    let prices = scenario.prices.iter();
    let capital = prices.flat_map(|prices| prices.capital.iter());
    let bought = capital.filter(|(key, _)| own.capital.get(key).is_none());
    let named = bought.map(|(key, item)| {
        let title = item.title.clone().unwrap_or_else(|| key.to_owned());
        (format!("{key} {title}").to_lowercase(), title)
    });
    let is_gone = |words: &str| gone.iter().any(|gone| words.contains(gone));
    named
        .filter(|(words, _)| is_gone(words))
        .map(|(_, title)| title)
        .collect()
}
