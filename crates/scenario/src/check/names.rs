//! What keys mean: calendars, waters, species, salts, stations.

use dragback_properties::{recipe, species};

use super::Findings;
use crate::problem::nearest;
use crate::schema::{Loop, Scenario};

/// Names that people write where the key of a species is expected.
const TRADE_NAMES: [(&str, &str); 19] = [
    ("nickel", "Ni"),
    ("zinc", "Zn"),
    ("copper", "Cu"),
    ("chromium", "Cr6"),
    ("chrome", "Cr6"),
    ("hexavalent chromium", "Cr6"),
    ("trivalent chromium", "Cr3"),
    ("iron", "Fe"),
    ("sodium", "Na"),
    ("potassium", "K"),
    ("ammonium", "NH4"),
    ("calcium", "Ca"),
    ("magnesium", "Mg"),
    ("sulfate", "SO4"),
    ("chloride", "Cl"),
    ("bicarbonate", "HCO3"),
    ("nitrate", "NO3"),
    ("boric acid", "B"),
    ("boron", "B"),
];

/// Names near to those above that mean something which is not built in.
const OTHER_NAMES: [&str; 14] = [
    "tin",
    "cadmium",
    "cobalt",
    "silver",
    "gold",
    "lead",
    "manganese",
    "aluminium",
    "aluminum",
    "lithium",
    "fluoride",
    "sulfite",
    "nitrite",
    "bromide",
];

/// The built-in calendar that never closes.
pub const ALWAYS: &str = "always";

/// A station of a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Station<'s> {
    /// The process bath.
    Bath,
    /// A still rinse.
    Still(&'s str),
    /// Every stage of a section, in order.
    Section(&'s str),
    /// One stage of a section, from 1.
    Stage(&'s str, usize),
}

/// What a route means by a name.
pub fn station<'s>(line: &Loop, at: &'s str) -> Option<Station<'s>> {
    if at == "bath" {
        return Some(Station::Bath);
    }
    if line.stills.contains_key(at) {
        return Some(Station::Still(at));
    }
    if line.sections.contains_key(at) {
        return Some(Station::Section(at));
    }
    let (key, stage) = stage_of(at)?;
    let stages = line.sections.get(key)?.stages.si();
    #[expect(clippy::cast_precision_loss, reason = "a handful")]
    let is_there = stage >= 1 && stage as f64 <= stages;
    is_there.then_some(Station::Stage(key, stage))
}

/// Splits `rinses/2` into key and stage.
pub fn stage_of(at: &str) -> Option<(&str, usize)> {
    let (key, stage) = at.split_once('/')?;
    Some((key, stage.parse().ok()?))
}

/// Whether there is such a species.
pub fn has_species(scenario: &Scenario, key: &str) -> bool {
    scenario.species.contains_key(key) || species::builtin(key).is_some()
}

/// Whether there is such a salt.
pub fn has_salt(scenario: &Scenario, key: &str) -> bool {
    scenario.salts.contains_key(key) || recipe::salt(key).is_some()
}

/// Mass of a species that a kilogram of a salt becomes.
pub fn yield_of(scenario: &Scenario, salt: &str, species: &str) -> f64 {
    if let Some(own) = scenario.salts.get(salt) {
        return own
            .yields
            .get(species)
            .map_or(0.0, crate::record::Input::si);
    }
    recipe::salt(salt).map_or(0.0, |s| s.yield_of(species))
}

impl Findings {
    /// The key of a calendar.
    pub fn calendar(&mut self, scenario: &Scenario, path: String, key: &str) {
        if key != ALWAYS && !scenario.calendars.contains_key(key) {
            let known = scenario.calendars.keys().chain(std::iter::once(ALWAYS));
            self.unknown((path, "calendars"), "calendar", key, known);
        }
    }

    /// The key of a water supply.
    pub fn water(&mut self, scenario: &Scenario, path: String, key: &str) {
        if !scenario.waters.contains_key(key) {
            self.unknown((path, "waters"), "water", key, scenario.waters.keys());
        }
    }

    /// The key of a species.
    pub fn species(&mut self, scenario: &Scenario, path: String, key: &str) {
        if !has_species(scenario, key) {
            let built_in = species::BUILTIN.iter().map(|s| s.key.as_ref());
            self.unknown(
                (path, "species"),
                "species",
                key,
                scenario.species.keys().chain(built_in),
            );
            let names = TRADE_NAMES.iter().map(|(name, _)| *name);
            let meant = nearest(key, names.chain(OTHER_NAMES));
            let symbol = TRADE_NAMES.iter().find(|(name, _)| Some(*name) == meant);
            let advice = match (symbol, meant) {
                (Some((name, symbol)), _) => format!("write `{symbol}` for {name}"),
                (None, Some(name)) => {
                    format!("{name} is not built in: describe it under `species` first")
                }
                (None, None) => return,
            };
            if let Some(last) = self.0.last_mut() {
                last.problem.advice = advice;
            }
        }
    }

    /// The key of a salt.
    pub fn salt(&mut self, scenario: &Scenario, path: String, key: &str) {
        if !has_salt(scenario, key) {
            let built_in = recipe::SALTS.iter().map(|s| s.key);
            self.unknown(
                (path, "salts"),
                "salt",
                key,
                scenario.salts.keys().chain(built_in),
            );
        }
    }

    /// The key of a salt, or of a species dosed as it is.
    pub fn dosed(&mut self, scenario: &Scenario, path: String, key: &str) {
        if !has_species(scenario, key) {
            self.salt(scenario, path, key);
        }
    }

    /// The keys of a map of species.
    pub fn species_map<'k>(
        &mut self,
        scenario: &Scenario,
        path: &str,
        keys: impl Iterator<Item = &'k str>,
    ) {
        for key in keys {
            self.species(scenario, format!("{path}.{key}"), key);
        }
    }
}
