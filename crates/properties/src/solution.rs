//! Volume, density and heat capacity of a solution, and the composition of a bath made from a recipe.
//!
//! Volume and heat capacity are additive over water and species (see [`crate::species`] for the convention
//! and the deviations from published densities):
//! `V = W/ρw(T) + Σ m_i·φ_i`, `C = W·cp_w + Σ m_i·cp_i`, `c_i = m_i/V`.

use thiserror::Error;

use crate::recipe::{self, Salt};
use crate::species::{self, Species};
use crate::water::{self, CP_WATER};

/// Volume (m³) of `water_kg` of water with `masses_kg` of the species, at `temp_c`.
///
/// # Valid
/// 10–70 °C and to about 25 % by mass; there within 0.5 % for nickel baths (2 % for zinc sulfate).
#[must_use]
pub fn volume_m3(temp_c: f64, water_kg: f64, species: &[Species], masses_kg: &[f64]) -> f64 {
    water_kg / water::density_kg_per_m3(temp_c)
        + species
            .iter()
            .zip(masses_kg)
            .map(|(s, m)| m * s.apparent_volume_m3_per_kg)
            .sum::<f64>()
}

/// Heat capacity (J/K) of `water_kg` of water with `masses_kg` of the species.
///
/// # Valid
/// As [`volume_m3`]; within about 3 % where published heat capacities were found.
#[must_use]
pub fn heat_capacity_j_per_k(water_kg: f64, species: &[Species], masses_kg: &[f64]) -> f64 {
    water_kg * CP_WATER
        + species
            .iter()
            .zip(masses_kg)
            .map(|(s, m)| m * s.heat_capacity_j_per_kg_k)
            .sum::<f64>()
}

/// Density (kg/m³) of `water_kg` of water with `masses_kg` of the species, at `temp_c`.
#[must_use]
pub fn density_kg_per_m3(
    temp_c: f64,
    water_kg: f64,
    species: &[Species],
    masses_kg: &[f64],
) -> f64 {
    (water_kg + masses_kg.iter().sum::<f64>()) / volume_m3(temp_c, water_kg, species, masses_kg)
}

/// Water (kg per m³ of solution) that fills a solution of these concentrations up to one cubic metre.
///
/// `ρw(T)·(1 − Σ c_i·φ_i)`. Negative when the species alone exceed the volume.
#[must_use]
pub fn water_kg_per_m3(temp_c: f64, species: &[Species], kg_per_m3: &[f64]) -> f64 {
    let taken: f64 = species
        .iter()
        .zip(kg_per_m3)
        .map(|(s, c)| c * s.apparent_volume_m3_per_kg)
        .sum();
    water::density_kg_per_m3(temp_c) * (1.0 - taken)
}

/// A solution as concentrations of species and water.
#[derive(Debug, Clone, PartialEq)]
pub struct Bath {
    /// The species present, each once.
    pub species: Vec<Species>,
    /// Concentration of each (kg/m³ = g/L), in the same order.
    pub kg_per_m3: Vec<f64>,
    /// Water, crystal water included (kg/m³).
    pub water_kg_per_m3: f64,
    /// Crystal water that came with the salts (kg/m³); a part of [`Self::water_kg_per_m3`].
    pub crystal_water_kg_per_m3: f64,
    /// Temperature at which the solution was made up to volume (°C).
    pub temp_c: f64,
}

/// Why a recipe cannot be made up.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum RecipeError {
    /// No such salt.
    #[error(
        "no salt is called {name:?}; write the formula with its crystal water, e.g. NiSO4.6H2O"
    )]
    UnknownSalt {
        /// The name as given.
        name: String,
    },
    /// A concentration is negative or not a number.
    #[error("{salt}: {grams_per_litre} g/L is not a concentration; give 0 or more")]
    BadConcentration {
        /// The salt.
        salt: String,
        /// The value as given (g/L).
        grams_per_litre: f64,
    },
    /// The salts leave no room for water.
    #[error(
        "the salts need {needed_kg_per_m3:.0} kg/m³ of water beyond what fits; lower the recipe"
    )]
    NoRoomForWater {
        /// By how much the water falls short (kg/m³).
        needed_kg_per_m3: f64,
    },
}

/// Makes up a bath: each salt by name with its concentration (g of salt as bought per litre of bath), filled
/// to volume with water at `temp_c`.
///
/// # Errors
/// An unknown salt, a concentration below zero or not finite, or salts that leave no room for water.
pub fn bath_from_recipe(recipe: &[(&str, f64)], temp_c: f64) -> Result<Bath, RecipeError> {
    let mut parts: Vec<(&'static Salt, f64)> = Vec::with_capacity(recipe.len());
    for &(name, grams_per_litre) in recipe {
        let salt = recipe::salt(name).ok_or_else(|| RecipeError::UnknownSalt {
            name: name.to_owned(),
        })?;
        if !(grams_per_litre >= 0.0 && grams_per_litre.is_finite()) {
            let salt = salt.key.to_owned();
            return Err(RecipeError::BadConcentration {
                salt,
                grams_per_litre,
            });
        }
        parts.push((salt, grams_per_litre));
    }
    let mut bath = Bath {
        species: Vec::new(),
        kg_per_m3: Vec::new(),
        water_kg_per_m3: 0.0,
        crystal_water_kg_per_m3: 0.0,
        temp_c,
    };
    for (salt, kg_per_m3) in parts {
        bath.crystal_water_kg_per_m3 += kg_per_m3 * salt.crystal_water_kg_per_kg;
        for &(key, per_kg) in salt.yields {
            if let Some(species) = species::builtin(key) {
                bath.add(species, kg_per_m3 * per_kg);
            }
        }
    }
    bath.water_kg_per_m3 = water_kg_per_m3(temp_c, &bath.species, &bath.kg_per_m3);
    let short = bath.crystal_water_kg_per_m3 - bath.water_kg_per_m3;
    if bath.water_kg_per_m3 <= 0.0 || short > 0.0 {
        return Err(RecipeError::NoRoomForWater {
            needed_kg_per_m3: short,
        });
    }
    Ok(bath)
}

impl Bath {
    fn add(&mut self, species: &Species, kg_per_m3: f64) {
        if let Some(i) = self.species.iter().position(|s| s.key == species.key) {
            self.kg_per_m3[i] += kg_per_m3;
        } else {
            self.species.push(species.clone());
            self.kg_per_m3.push(kg_per_m3);
        }
    }

    /// Concentration of one species (kg/m³ = g/L); 0 when absent.
    #[must_use]
    pub fn concentration_kg_per_m3(&self, key: &str) -> f64 {
        self.species
            .iter()
            .position(|s| s.key == key)
            .map_or(0.0, |i| self.kg_per_m3[i])
    }

    /// Density (kg/m³).
    #[must_use]
    pub fn density_kg_per_m3(&self) -> f64 {
        self.water_kg_per_m3 + self.kg_per_m3.iter().sum::<f64>()
    }

    /// Mass of each species per mass of water (kg/kg), in the order of [`Self::species`].
    #[must_use]
    pub fn kg_per_kg_water(&self) -> Vec<f64> {
        self.kg_per_m3
            .iter()
            .map(|c| c / self.water_kg_per_m3)
            .collect()
    }

    /// Specific heat capacity (J/(kg·K)) of the solution.
    #[must_use]
    pub fn heat_capacity_j_per_kg_k(&self) -> f64 {
        heat_capacity_j_per_k(self.water_kg_per_m3, &self.species, &self.kg_per_m3)
            / self.density_kg_per_m3()
    }
}

#[cfg(test)]
mod tests;
