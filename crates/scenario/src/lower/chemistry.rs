//! Species in use, compositions, and the water activity model.

use dragback_plant::ids::SoluteId;
use dragback_plant::network::{Beyond, Saturation, Solute, SolutionModel};
use dragback_properties::osmotic::WaterActivity;
use dragback_properties::recipe;
use dragback_properties::solubility::Saturations;
use dragback_properties::species::{self, Species};

use crate::schema::{Loop, Scenario};

/// A species of the scenario or a built-in one.
pub fn species_of(scenario: &Scenario, key: &str) -> Option<Species> {
    let Some(own) = scenario.species.get(key) else {
        return species::builtin(key).cloned();
    };
    #[expect(
        clippy::cast_possible_truncation,
        reason = "checked to be from -4 to 4"
    )]
    let charge = own.charge.si() as i32;
    Some(Species {
        key: key.to_owned().into(),
        name: own.name.clone().into(),
        molar_mass_kg_per_mol: own.molar_mass.si(),
        charge,
        apparent_volume_m3_per_kg: own.apparent_volume.si(),
        heat_capacity_j_per_kg_k: own.heat_capacity.si(),
        ionic_conductivity_s_m2_per_mol: own.ionic_conductivity.as_ref().map(|c| c.si()),
        shown_as: key.to_owned().into(),
        metal_fraction: 1.0,
    })
}

/// What a kilogram of a salt becomes: species, kg/kg; `None` for what is no salt of the scenario or built-in.
#[must_use]
pub fn salt_yields(scenario: &Scenario, key: &str) -> Option<Vec<(String, f64)>> {
    salt_and_water(scenario, key).map(|(parts, _)| parts)
}

fn salt_and_water(scenario: &Scenario, key: &str) -> Option<(Vec<(String, f64)>, f64)> {
    if let Some(own) = scenario.salts.get(key) {
        let parts = own.yields.iter().map(|(k, y)| (k.to_owned(), y.si()));
        return Some((parts.collect(), own.crystal_water.si()));
    }
    let salt = recipe::salt(key)?;
    let parts = salt.yields.iter().map(|&(k, y)| (k.to_owned(), y));
    Some((parts.collect(), salt.crystal_water_kg_per_kg))
}

/// What a kilogram of a salt, or of a species dosed as it is, becomes: species and water, kg/kg.
pub fn yields(scenario: &Scenario, key: &str) -> Option<(Vec<(String, f64)>, f64)> {
    salt_and_water(scenario, key)
        .or_else(|| species_of(scenario, key).map(|_| (vec![(key.to_owned(), 1.0)], 0.0)))
}

/// Species dissolved in the bath at the start, kg/m³, each once.
pub fn bath_concentrations(scenario: &Scenario, line: &Loop) -> Vec<(String, f64)> {
    let mut list: Vec<(String, f64)> = Vec::new();
    let mut add = |key: &str, kg_per_m3: f64| match list.iter_mut().find(|(k, _)| k == key) {
        Some((_, c)) => *c += kg_per_m3,
        None => list.push((key.to_owned(), kg_per_m3)),
    };
    for (salt, amount) in line.bath.recipe.iter() {
        let parts = yields(scenario, salt).map_or_else(Vec::new, |(parts, _)| parts);
        for (key, per_kg) in parts {
            add(&key, per_kg * amount.si());
        }
    }
    for (key, amount) in line.bath.contaminants.iter() {
        add(key, amount.si());
    }
    list
}

/// Keys of the waters that a loop takes in.
fn waters_of(line: &Loop) -> impl Iterator<Item = &str> {
    let rinses = line.sections.values().map(|s| s.water.as_str());
    let stills = line.stills.values().map(|s| s.water.as_str());
    let sprays = line
        .route
        .iter()
        .filter_map(|v| v.spray.as_ref())
        .map(|s| s.water.as_str());
    rinses
        .chain(stills)
        .chain(sprays)
        .chain([line.bath.make_up.water.as_str()])
}

/// Every species that can occur in the plant (a water that no loop takes in brings none): built-in ones first, then its own, in the order of their tables.
pub fn used_species(scenario: &Scenario) -> Vec<Species> {
    let mut used: Vec<String> = Vec::new();
    let mut add = |key: &str| {
        if !used.iter().any(|k| k == key) {
            used.push(key.to_owned());
        }
    };
    for water in scenario.loops.values().flat_map(waters_of) {
        let Some(water) = scenario.waters.get(water) else {
            continue;
        };
        water.solutes.keys().for_each(&mut add);
    }
    for line in scenario.loops.values() {
        add(&line.lead);
        bath_concentrations(scenario, line)
            .iter()
            .for_each(|(k, _)| add(k));
        line.work.soil.keys().for_each(&mut add);
        if let Some(drag_in) = &line.work.drag_in {
            drag_in.solutes.keys().for_each(&mut add);
        }
        line.bath.impurity_limits.keys().for_each(&mut add);
        line.bath.purification.keys().for_each(&mut add);
        if let Some(rectifier) = &line.bath.rectifier {
            add(&rectifier.metal);
            rectifier.anode_impurities.keys().for_each(&mut add);
        }
        if let Some(species) = line
            .holding_tank
            .as_ref()
            .and_then(|h| h.give_back.species.as_ref())
        {
            add(species);
        }
        let Some(additions) = &line.bath.additions else {
            continue;
        };
        let salts = additions
            .restore
            .values()
            .map(String::as_str)
            .chain(additions.per_charge.keys());
        for salt in salts {
            let parts = yields(scenario, salt).map_or_else(Vec::new, |(parts, _)| parts);
            parts.iter().for_each(|(k, _)| add(k));
        }
        additions.restore.keys().for_each(&mut add);
    }
    let built_in = species::BUILTIN.iter().map(|s| s.key.as_ref());
    let order = built_in.chain(scenario.species.keys());
    order
        .filter(|k| used.iter().any(|u| u == k))
        .filter_map(|k| species_of(scenario, k))
        .collect()
}

/// A species as the balances see it.
pub fn solute(species: &Species) -> Solute {
    Solute {
        name: species.key.to_string(),
        molar_mass_kg_per_mol: species.molar_mass_kg_per_mol,
        charge: species.charge,
        apparent_volume_m3_per_kg: species.apparent_volume_m3_per_kg,
        heat_capacity_j_per_kg_k: species.heat_capacity_j_per_kg_k,
        ionic_conductivity_s_m2_per_mol: species.ionic_conductivity_s_m2_per_mol.unwrap_or(0.0),
    }
}

/// Water activity from published osmotic coefficients, saturation from published solubilities.
pub struct PlatingSolution {
    water: WaterActivity,
    salts: Saturations,
}

impl PlatingSolution {
    /// Prepares both for species in the order of the network's solutes.
    pub fn compile(species: &[Species]) -> Self {
        Self {
            water: WaterActivity::compile(species),
            salts: Saturations::compile(species),
        }
    }
}

impl SolutionModel for PlatingSolution {
    fn activity(&self, kg_per_kg_water: &[f64]) -> f64 {
        self.water.at(kg_per_kg_water)
    }

    fn nearest_saturation(&self, kg_per_kg_water: &[f64], temp_c: f64) -> Option<Saturation> {
        let first = self.salts.first(kg_per_kg_water, temp_c)?;
        Some(Saturation {
            salt: first.curve.name,
            index: first.index,
        })
    }

    fn beyond_saturation(&self, kg_per_kg_water: &[f64], temp_c: f64) -> Vec<Beyond> {
        let beyond = self.salts.beyond(kg_per_kg_water, temp_c);
        beyond
            .map(|(found, places)| Beyond {
                saturation: Saturation {
                    salt: found.curve.name,
                    index: found.index,
                },
                solutes: places.map(SoluteId).collect(),
            })
            .collect()
    }
}
