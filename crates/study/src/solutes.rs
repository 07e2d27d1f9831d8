//! What is weighed under the name of a solute, and all that is dissolved together.

use dragback_plant::Network;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_scenario::{Scenario, species_of};

use crate::answers::SoluteAnswer;
use crate::figures::Means;

/// What each solute of a network is counted as.
pub(crate) fn solutes(net: &Network, scenario: &Scenario) -> Vec<SoluteAnswer> {
    let told = net.solutes.iter().map(|solute| {
        let species = species_of(scenario, &solute.name);
        let of = |read: fn(&dragback_properties::species::Species) -> String| {
            species.as_ref().map_or_else(|| solute.name.clone(), read)
        };
        SoluteAnswer {
            name: solute.name.clone(),
            counted_as: of(|s| s.name.to_string()),
            metal: of(|s| s.shown_as.to_string()),
            metal_fraction: metal_fraction(scenario, &solute.name),
        }
    });
    told.collect()
}

/// Mass of metal in a mass of a solute, kg/kg.
pub(crate) fn metal_fraction(scenario: &Scenario, name: &str) -> f64 {
    species_of(scenario, name).map_or(1.0, |s| s.metal_fraction)
}

impl Means<'_> {
    /// All that is dissolved in a vessel at one moment, kg/m³, each solute as it is counted.
    pub(crate) fn dissolved_kg_per_m3(&self, v: VesselId, y: &[f64]) -> f64 {
        let solutes = 0..self.plant.network().solutes.len();
        solutes
            .map(|s| self.plant.concentration(v, SoluteId(s), y).unwrap_or(0.0))
            .sum()
    }
}
