//! Strengths of lead solutes as such, or as the salt that a bath is made up with.

use dragback_properties::recipe;
use dragback_scenario::{Loop, Scenario, salt_yields};
use serde::{Deserialize, Serialize};

use crate::answers::{SaltAnswer, SoluteAnswer};

/// As what the strength of a lead solute is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Counted {
    /// As the solute itself: the metal, or CrO₃ of chromium baths.
    #[default]
    Metal,
    /// As the salt that brings most of it to the bath.
    Salt,
}

/// A lead solute, and how its strengths are told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToldAs<'a> {
    /// Key of the solute.
    pub solute: &'a str,
    /// The salt as which it is told; `None` for the solute itself.
    pub salt: Option<&'a SaltAnswer>,
}

impl Counted {
    /// How the strengths of a solute are told; as the solute itself where it has no salt.
    #[must_use]
    pub fn told<'a>(self, solutes: &'a [SoluteAnswer], name: &'a str) -> ToldAs<'a> {
        let found = solutes.iter().find(|s| s.name == name);
        let salt = found.and_then(|s| s.salt.as_ref());
        ToldAs {
            solute: name,
            salt: salt.filter(|_| self == Self::Salt),
        }
    }
}

impl ToldAs<'_> {
    /// A strength of the solute as it is told, in the same unit.
    #[must_use]
    pub fn strength(&self, of_solute: f64) -> f64 {
        of_solute * self.salt.map_or(1.0, |s| s.per_solute)
    }

    /// What goes behind a strength: `of Ni`, or `as NiSO4·6H2O`.
    #[must_use]
    pub fn behind(&self) -> String {
        self.as_salt()
            .unwrap_or_else(|| format!("of {}", self.solute))
    }

    /// `as NiSO4·6H2O`; `None` for the solute itself.
    #[must_use]
    pub fn as_salt(&self) -> Option<String> {
        self.salt.map(|s| format!("as {}", s.formula))
    }
}

/// The salt that stands for a solute which is the lead of a loop: of the first such loop the one whose amount in the recipe brings most of it,
/// else the one with which additions restore it.
pub(crate) fn lead_salt(scenario: &Scenario, lead: &str) -> Option<SaltAnswer> {
    let lines = scenario.loops.values().filter(|line| line.lead == lead);
    let mut keys = lines.filter_map(|line| key_of(scenario, line));
    let (key, of_solute) = keys.next()?;
    let built_in = recipe::salt(key).filter(|_| scenario.salts.get(key).is_none());
    Some(SaltAnswer {
        formula: built_in.map_or(key, |s| s.key).replace('.', "·"),
        per_solute: 1.0 / of_solute,
    })
}

/// Key of a loop's salt, and mass of the lead solute in a unit mass of it.
fn key_of<'s>(scenario: &'s Scenario, line: &'s Loop) -> Option<(&'s str, f64)> {
    let share = |salt: &str| {
        let parts = salt_yields(scenario, salt)?;
        let lead = parts.iter().find(|(key, _)| *key == line.lead)?;
        (lead.1 > 0.0).then_some(lead.1)
    };
    let of_recipe = line.bath.recipe.iter();
    let brought = of_recipe.filter_map(|(salt, amount)| {
        let of_solute = share(salt)?;
        Some((salt, of_solute, of_solute * amount.si()))
    });
    let most = brought
        .filter(|(_, _, kg_per_m3)| *kg_per_m3 > 0.0)
        // The first of those that bring alike.
        .reduce(|a, b| if b.2 > a.2 { b } else { a });
    if let Some((salt, of_solute, _)) = most {
        return Some((salt, of_solute));
    }
    let additions = line.bath.additions.as_ref()?;
    let salt = additions.restore.get(&line.lead)?;
    Some((salt, share(salt)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn salt_of(text: &str, lead: &str) -> Option<SaltAnswer> {
        lead_salt(&dragback_scenario::load(text).0.unwrap(), lead)
    }

    const DEMO: &str = include_str!("../../../scenarios/demo.ron");

    /// Metal fractions by stoichiometry (hand derivation, four digits): NiSO4·6H2O 0.2233, CrO3 as itself.
    #[test]
    fn the_salt_that_brings_most_of_the_lead_stands_for_it() {
        let nickel = salt_of(DEMO, "Ni").unwrap();
        assert_eq!(nickel.formula, "NiSO4·6H2O");
        assert!((1.0 / nickel.per_solute - 0.2233).abs() < 5e-5);
        // Boric acid leads no loop.
        assert_eq!(salt_of(DEMO, "B"), None);
        let chromium = include_str!("../../../scenarios/chromium.ron");
        let chromium = salt_of(chromium, "Cr6").unwrap();
        assert_eq!(chromium.formula, "CrO3");
        assert!((chromium.per_solute - 1.0).abs() < 1e-12);
    }

    /// 300 g/L of the sulfate hold 67 g/L of nickel, 300 g/L of the chloride hold 74 g/L (hand derivation from 0.2233 and 0.2469).
    #[test]
    fn of_two_salts_it_is_not_the_heavier_but_the_one_with_more_of_the_lead() {
        let mut scenario = dragback_scenario::load(DEMO).0.unwrap();
        for salt in ["NiSO4.6H2O", "NiCl2.6H2O"] {
            let path = format!("loop.bath.recipe.{salt}");
            dragback_scenario::set(&mut scenario, &path, "300 g/L").unwrap();
        }
        let found = lead_salt(&scenario, "Ni").unwrap();
        assert_eq!(found.formula, "NiCl2·6H2O");
        assert!((1.0 / found.per_solute - 0.2469).abs() < 5e-5);
    }
}
