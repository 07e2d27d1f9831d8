//! A kilogram of a solute by its several prices: what it is worth where it is lost, and what it costs as bought.
//!
//! Figures of losses count the worth; a year's running cost counts what is bought. The two are given apart and need not agree.

use dragback_scenario::{Scenario, in_words, salt_yields};
use serde::Serialize;

/// A kilogram of a solute as something that is bought.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bought {
    /// The chemical or the anode.
    pub name: String,
    /// The path of its price.
    pub path: String,
    /// Of the solute in a kilogram of it, kg.
    #[serde(rename = "kg_in_a_kg")]
    pub share: f64,
    /// What a kilogram of the solute costs as this, all of its price put on the solute.
    pub per_kg: f64,
}

/// The prices of a kilogram of a solute.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Kilogram {
    /// The solute.
    pub solute: String,
    /// What it is worth where it is lost; `null` where the scenario does not say.
    pub worth_per_kg: Option<f64>,
    /// As what it is bought, the cheapest first.
    pub bought: Vec<Bought>,
}

/// The prices of each solute by which a loop is judged, as far as the scenario gives any.
#[must_use]
pub fn kilograms(scenario: &Scenario) -> Vec<Kilogram> {
    let mut leads: Vec<&str> = Vec::new();
    for line in scenario.loops.values() {
        if !leads.contains(&line.lead.as_str()) {
            leads.push(&line.lead);
        }
    }
    let each = leads.into_iter().filter_map(|lead| one(scenario, lead));
    each.collect()
}

fn one(scenario: &Scenario, solute: &str) -> Option<Kilogram> {
    let prices = scenario.prices.as_ref()?;
    let worth = prices.solutes.get(solute).map(|price| price.si());
    let salts = prices.chemicals.iter().filter_map(|(key, price)| {
        let parts = salt_yields(scenario, key).unwrap_or_else(|| vec![(key.to_owned(), 1.0)]);
        let (_, share) = parts.into_iter().find(|(own, _)| own == solute)?;
        (share > 0.0).then(|| Bought {
            name: in_words(key),
            path: format!("prices.chemicals.{key}"),
            share,
            per_kg: price.si() / share,
        })
    });
    let anode = prices.anodes.get(solute).map(|price| Bought {
        name: format!("{solute} anodes"),
        path: format!("prices.anodes.{solute}"),
        share: 1.0,
        per_kg: price.si(),
    });
    let mut bought: Vec<Bought> = salts.chain(anode).collect();
    bought.sort_by(|a, b| a.per_kg.total_cmp(&b.per_kg));
    (worth.is_some() || !bought.is_empty()).then(|| Kilogram {
        solute: solute.to_owned(),
        worth_per_kg: worth,
        bought,
    })
}

#[cfg(test)]
mod tests {
    use dragback_scenario::load;

    use super::*;

    /// Nickel is 58.69 of the 262.85 of NiSO4·6H2O and of the 237.69 of NiCl2·6H2O (molar masses of IUPAC to two decimals, by hand).
    #[test]
    fn a_kilogram_of_nickel_has_four_prices() {
        let demo = load(include_str!("../../../../scenarios/demo.ron"))
            .0
            .unwrap();
        let found = kilograms(&demo);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].worth_per_kg, Some(17.0));
        let told: Vec<(&str, f64)> = found[0]
            .bought
            .iter()
            .map(|b| (b.name.as_str(), b.per_kg))
            .collect();
        let wanted = [
            ("Ni anodes", 18.0),
            ("NiSO4·6H2O", 5.20 * 262.85 / 58.69),
            ("NiCl2·6H2O", 6.40 * 237.69 / 58.69),
        ];
        assert_eq!(told.len(), wanted.len(), "{told:?}");
        for ((name, price), (own, by_hand)) in told.into_iter().zip(wanted) {
            assert_eq!(name, own);
            assert!(
                (price / by_hand - 1.0).abs() < 2e-4,
                "{name}: {price} {by_hand}"
            );
        }
        let mut bare = demo;
        bare.prices = None;
        assert_eq!(kilograms(&bare), []);
    }
}
