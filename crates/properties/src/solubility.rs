//! How much of each salt a solution can hold, and which one will come out first.
//!
//! Each salt has a published curve of solubility in pure water against temperature. A mixed solution is judged
//! by a **saturation index** per salt: the molality of salt that its scarcer ion could form, over the
//! molality of the saturated solution of that salt alone. 1 means saturated. Salting in and out by the
//! other salts is left out, except for gypsum. So an index above about 0.8 deserves attention.
//!
//! **Gypsum** is sparingly soluble, so its ions act as a product. `index = √(m_Ca·m_SO4/Q)` with
//! `Q = m_sat(T)²·(I/I_sat)^0.9`, where `I_sat = 4·m_sat` is the ionic strength of pure gypsum solution. The
//! exponent was chosen from PHREEQC 3.8.6 (`pitzer.dat`; `data/phreeqc_gypsum.csv`): the index
//! so found at true saturation lies between 0.71 (2 mol/kg NaCl) and 1.30 (1.2 mol/kg sulfate at 50 °C); in
//! sulfate solutions at 25 °C between 0.93 and 1.15. The alarm therefore comes early in hot sulfate baths and
//! late in sodium chloride.

use crate::recipe;
use crate::solution;
use crate::species::{self, Species};

mod curves;
#[cfg(test)]
mod tests;

pub use curves::{CURVES, GRID_TEMP_C, SolubilityCurve};

/// Exponent of the ionic strength in the ion product of gypsum; see the module text.
const GYPSUM_EXPONENT: f64 = 0.9;

/// The curve of a salt, by its anhydrous formula or by the key or alias of any hydrate in [`recipe`].
#[must_use]
pub fn curve(name: &str) -> Option<&'static SolubilityCurve> {
    let key = recipe::salt(name).map_or(name, |salt| salt.key);
    let anhydrous = key.split('.').next().unwrap_or(key);
    CURVES.iter().find(|c| c.salt == anhydrous)
}

impl SolubilityCurve {
    /// Mass of anhydrous salt per mass of water at saturation (kg/kg), at `temp_c`.
    ///
    /// Linear between the table's points in mass per cent; beyond 0–100 °C the end value.
    #[must_use]
    pub fn saturation_kg_per_kg_water(&self, temp_c: f64) -> f64 {
        let percent = interpolate(&GRID_TEMP_C, &self.mass_percent, temp_c);
        percent / (100.0 - percent)
    }

    /// Molality of the saturated solution (mol/kg of water).
    #[must_use]
    pub fn saturation_mol_per_kg(&self, temp_c: f64) -> f64 {
        self.saturation_kg_per_kg_water(temp_c) / self.molar_mass_kg_per_mol()
    }

    /// Molar mass of the anhydrous salt (kg/mol).
    #[must_use]
    pub fn molar_mass_kg_per_mol(&self) -> f64 {
        self.ions
            .iter()
            .filter_map(|(key, n)| species::builtin(key).map(|s| n * s.molar_mass_kg_per_mol))
            .sum()
    }

    /// Mass of anhydrous salt in a cubic metre of saturated solution (kg/m³ = g/L), at `temp_c`.
    ///
    /// The volume is that of [`solution::volume_m3`], which was fitted to 25 % by mass: for salts that
    /// dissolve far beyond that (zinc chloride, chromium trioxide) expect 5–10 % error.
    #[must_use]
    pub fn saturation_kg_per_m3(&self, temp_c: f64) -> f64 {
        let salt = self.saturation_kg_per_kg_water(temp_c);
        let (list, masses): (Vec<Species>, Vec<f64>) = self
            .ions
            .iter()
            .filter_map(|(key, n)| {
                let s = species::builtin(key)?;
                let share = n * s.molar_mass_kg_per_mol / self.molar_mass_kg_per_mol();
                Some((s.clone(), salt * share))
            })
            .unzip();
        salt / solution::volume_m3(temp_c, 1.0, &list, &masses)
    }
}

/// Mass of a salt **as named** (with the crystal water of its name) in a cubic metre of its saturated
/// solution (kg/m³ = g/L), at `temp_c`; `None` without a curve.
#[must_use]
pub fn saturation_kg_per_m3(name: &str, temp_c: f64) -> Option<f64> {
    let anhydrous = curve(name)?.saturation_kg_per_m3(temp_c);
    let water = recipe::salt(name).map_or(0.0, |salt| salt.crystal_water_kg_per_kg);
    Some(anhydrous / (1.0 - water))
}

/// How near a solution is to saturation with one salt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saturation {
    /// The salt.
    pub curve: &'static SolubilityCurve,
    /// Saturation index (–); 1 is saturated.
    pub index: f64,
}

/// The salts that a fixed list of species can form, prepared for repeated checks.
#[derive(Debug, Clone)]
pub struct Saturations {
    salts: Vec<Candidate>,
    /// Index, 1/M and z² of every charged species, for the ionic strength.
    ions: Vec<(usize, f64, f64)>,
}

#[derive(Debug, Clone)]
struct Candidate {
    curve: &'static SolubilityCurve,
    /// (place in the list of species, moles of salt per kilogram of the ion).
    ions: Vec<(usize, f64)>,
}

impl Saturations {
    /// Finds the salts of [`CURVES`] all of whose ions are in the list.
    #[must_use]
    pub fn compile(species: &[Species]) -> Self {
        let place = |key: &str| species.iter().position(|s| s.key == key);
        let salts = CURVES
            .iter()
            .filter_map(|curve| {
                let ions: Option<Vec<(usize, f64)>> = curve
                    .ions
                    .iter()
                    .map(|(key, n)| {
                        let i = place(key)?;
                        Some((i, 1.0 / (n * species[i].molar_mass_kg_per_mol)))
                    })
                    .collect();
                ions.map(|ions| Candidate { curve, ions })
            })
            .collect();
        let ions = species
            .iter()
            .enumerate()
            .filter(|(_, s)| s.charge != 0)
            .map(|(i, s)| {
                (
                    i,
                    1.0 / s.molar_mass_kg_per_mol,
                    f64::from(s.charge).powi(2),
                )
            })
            .collect();
        Self { salts, ions }
    }

    /// Saturation index of every possible salt, at `temp_c`, for masses per mass of water (kg/kg) in the order
    /// of the species. Missing, negative and NaN entries count as 0.
    pub fn all<'a>(
        &'a self,
        kg_per_kg_water: &'a [f64],
        temp_c: f64,
    ) -> impl Iterator<Item = Saturation> + 'a {
        let amount = |i: usize| kg_per_kg_water.get(i).copied().unwrap_or(0.0).max(0.0);
        let strength: f64 = 0.5
            * self
                .ions
                .iter()
                .map(|(i, per_kg, zz)| amount(*i) * per_kg * zz)
                .sum::<f64>();
        self.salts.iter().map(move |salt| {
            let saturated = salt.curve.saturation_mol_per_kg(temp_c);
            let molalities = salt.ions.iter().map(|(i, per_kg)| amount(*i) * per_kg);
            let index = if salt.curve.is_gypsum() {
                let product: f64 = molalities.product();
                let scale = (strength / (4.0 * saturated)).powf(0.5 * GYPSUM_EXPONENT);
                if product > 0.0 {
                    product.sqrt() / (saturated * scale)
                } else {
                    0.0
                }
            } else {
                molalities.fold(f64::INFINITY, f64::min) / saturated
            };
            Saturation {
                curve: salt.curve,
                index,
            }
        })
    }

    /// Salts of which more is held than stays dissolved at `temp_c` (index above 1), each with the places of its ions in the list of species.
    pub fn beyond<'a>(
        &'a self,
        kg_per_kg_water: &'a [f64],
        temp_c: f64,
    ) -> impl Iterator<Item = (Saturation, impl Iterator<Item = usize> + 'a)> + 'a {
        let all = self.all(kg_per_kg_water, temp_c).zip(&self.salts);
        all.filter(|(s, _)| s.index > 1.0)
            .map(|(s, salt)| (s, salt.ions.iter().map(|(place, _)| *place)))
    }

    /// The salt with the highest saturation index at `temp_c`: the one that goes first. `None` when the
    /// species can form no salt with a curve, or none is present.
    #[must_use]
    pub fn first(&self, kg_per_kg_water: &[f64], temp_c: f64) -> Option<Saturation> {
        self.all(kg_per_kg_water, temp_c)
            .filter(|s| s.index > 0.0)
            .max_by(|a, b| a.index.total_cmp(&b.index))
    }
}

/// Linear interpolation, constant beyond the ends.
fn interpolate(x: &[f64], y: &[f64], at: f64) -> f64 {
    // `max` first turns NaN into the lower end.
    let at = at.max(x[0]).min(x[x.len() - 1]);
    let i = x.partition_point(|v| *v <= at).clamp(1, x.len() - 1) - 1;
    y[i] + (y[i + 1] - y[i]) * (at - x[i]) / (x[i + 1] - x[i])
}
