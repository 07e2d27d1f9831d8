//! Solutes as species: ions and neutral molecules, not salts.
//!
//! A vessel holds water and species. Salts exist only where chemicals are bought (`recipe`), where
//! water activity and saturation need pairs of ions (`osmotic`, `solubility`), and for display.
//!
//! # Apparent volumes and heat capacities: what the numbers mean
//! Volume is additive, `V = W/ρw(T) + Σ m_i·φ_i`, and so is heat capacity,
//! `C = W·cp_w(T) + Σ m_i·cp_i`. Only sums over a neutral salt can be measured, so one ion must be
//! fixed by convention: here **Ni²⁺ has φ = 0 and cp = 0**. With that choice nearly every other
//! apparent volume comes out positive, so that a composition which is not quite neutral does not get
//! a negative volume.
//! The remaining ions are one least-squares fit to the densities (20–60 °C, 3–25 % by mass) and heat
//! capacities of 22 and 16 salts given by the equations of Laliberté, M., "A model for calculating
//! the heat capacity of aqueous solutions, with updated density and viscosity data", J. Chem. Eng.
//! Data 54 (2009) 1725, nickel salts weighted most. `data/fit_apparent_properties.py` repeats it.
//! Worst deviation in density: NiSO4 0.4 %, NiCl2 0.3 %, CuSO4 0.4 %, NaCl 0.5 %, KCl 0.5 %,
//! ZnCl2 1.1 %, Na2SO4 0.9 %, H2SO4 1.2 %, ZnSO4 2.0 %, HCl 2.5 %; in heat capacity 2–5 %. Laliberté's
//! own nickel and copper heat capacities rest on few points at one temperature.

use std::borrow::Cow;

use thiserror::Error;

/// Standard atomic masses (kg/mol), the conventional values of IUPAC (Meija et al., "Atomic weights
/// of the elements 2013", Pure Appl. Chem. 88 (2016) 265).
pub mod atomic {
    /// Hydrogen (kg/mol).
    pub const H: f64 = 1.008e-3;
    /// Boron (kg/mol).
    pub const B: f64 = 10.81e-3;
    /// Carbon (kg/mol).
    pub const C: f64 = 12.011e-3;
    /// Nitrogen (kg/mol).
    pub const N: f64 = 14.007e-3;
    /// Oxygen (kg/mol).
    pub const O: f64 = 15.999e-3;
    /// Sodium (kg/mol).
    pub const NA: f64 = 22.989_77e-3;
    /// Magnesium (kg/mol).
    pub const MG: f64 = 24.305e-3;
    /// Sulfur (kg/mol).
    pub const S: f64 = 32.06e-3;
    /// Chlorine (kg/mol).
    pub const CL: f64 = 35.45e-3;
    /// Potassium (kg/mol).
    pub const K: f64 = 39.0983e-3;
    /// Calcium (kg/mol).
    pub const CA: f64 = 40.078e-3;
    /// Chromium (kg/mol).
    pub const CR: f64 = 51.9961e-3;
    /// Iron (kg/mol).
    pub const FE: f64 = 55.845e-3;
    /// Nickel (kg/mol).
    pub const NI: f64 = 58.6934e-3;
    /// Copper (kg/mol).
    pub const CU: f64 = 63.546e-3;
    /// Zinc (kg/mol).
    pub const ZN: f64 = 65.38e-3;
    /// Tin (kg/mol).
    pub const SN: f64 = 118.710e-3;
    /// Water, H2O (kg/mol).
    pub const WATER: f64 = 2.0 * H + O;
    /// Chromium trioxide, CrO3 (kg/mol).
    pub const CRO3: f64 = CR + 3.0 * O;
    /// Sulfate, SO4 (kg/mol).
    pub const SO4: f64 = S + 4.0 * O;
    /// Sulfamate, NH2SO3 (kg/mol).
    pub const SULFAMATE: f64 = N + 2.0 * H + S + 3.0 * O;
    /// Boric acid, H3BO3 (kg/mol).
    pub const BORIC: f64 = 3.0 * H + B + 3.0 * O;
    /// Ammonium, NH4 (kg/mol).
    pub const NH4: f64 = N + 4.0 * H;
    /// Hydroxide, OH (kg/mol).
    pub const OH: f64 = O + H;
    /// Hydrogencarbonate, HCO3 (kg/mol).
    pub const HCO3: f64 = H + C + 3.0 * O;
    /// Nitrate, NO3 (kg/mol).
    pub const NO3: f64 = N + 3.0 * O;
}

/// A dissolved species with the constants that every balance and property needs.
///
/// All fields are public: a scenario may define its own. [`Species::check`] refuses values that no
/// solute can have.
#[derive(Debug, Clone, PartialEq)]
pub struct Species {
    /// Short ASCII key, e.g. `"Ni"`, `"SO4"`, `"Cr6"`.
    pub key: Cow<'static, str>,
    /// Name for people, e.g. `"Ni²⁺"`, `"boric acid"`.
    pub name: Cow<'static, str>,
    /// Molar mass (kg/mol), > 0.
    pub molar_mass_kg_per_mol: f64,
    /// Charge number; 0 for a neutral molecule. Range −4 to 4.
    pub charge: i32,
    /// Apparent volume (m³/kg); see the module text for the convention. May be slightly negative.
    pub apparent_volume_m3_per_kg: f64,
    /// Apparent heat capacity (J/(kg·K)); see the module text for the convention. May be negative.
    pub heat_capacity_j_per_kg_k: f64,
    /// Limiting molar conductivity at 25 °C (S·m²/mol) (per mole, not per equivalent), if the species
    /// conducts. For Cr(VI) it is that of the ions one mole of CrO3 makes.
    pub ionic_conductivity_s_m2_per_mol: Option<f64>,
    /// What the quantity is shown as when a person asks for metal, e.g. `"Cr"` for CrO3.
    pub shown_as: Cow<'static, str>,
    /// Mass of [`shown_as`](Self::shown_as) per mass of species (kg/kg), 0 < x ≤ 1: CrO3 → 0.52 Cr.
    pub metal_fraction: f64,
}

/// Why a species cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SpeciesError {
    /// A constant lies outside what any solute can have.
    #[error("species {key}: {field} is {value} {unit}, allowed is {min} to {max}")]
    OutOfRange {
        /// Key of the species.
        key: String,
        /// Field at fault.
        field: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Smallest allowed value.
        min: f64,
        /// Largest allowed value.
        max: f64,
    },
    /// The key is empty or not short ASCII.
    #[error("species key {key:?} must be 1 to 24 ASCII letters, digits, '_' or '-'")]
    BadKey {
        /// The key as given.
        key: String,
    },
}

impl Species {
    /// Checks that the constants are finite and possible.
    ///
    /// # Errors
    /// The first field outside its range (molar mass 0.001–10 kg/mol, charge −4 to 4, apparent volume
    /// −0.001 to 0.02 m³/kg, heat capacity −5,000 to 100,000 J/(kg·K) — a proton is light —, metal
    /// fraction 1e-6 to 1, conductivity 0 to 0.1 S·m²/mol), or a key that is not short ASCII.
    pub fn check(&self) -> Result<(), SpeciesError> {
        let key_ok = (1..=24).contains(&self.key.len())
            && self
                .key
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-');
        if !key_ok {
            return Err(SpeciesError::BadKey {
                key: self.key.to_string(),
            });
        }
        let conductivity = self.ionic_conductivity_s_m2_per_mol.unwrap_or(0.0);
        for (field, value, unit, min, max) in [
            (
                "molar mass",
                self.molar_mass_kg_per_mol,
                "kg/mol",
                0.001,
                10.0,
            ),
            ("charge", f64::from(self.charge), "", -4.0, 4.0),
            (
                "apparent volume",
                self.apparent_volume_m3_per_kg,
                "m³/kg",
                -0.001,
                0.02,
            ),
            (
                "heat capacity",
                self.heat_capacity_j_per_kg_k,
                "J/(kg·K)",
                -5e3,
                1e5,
            ),
            ("metal fraction", self.metal_fraction, "kg/kg", 1e-6, 1.0),
            ("ionic conductivity", conductivity, "S·m²/mol", 0.0, 0.1),
        ] {
            if !(min..=max).contains(&value) {
                let key = self.key.to_string();
                return Err(SpeciesError::OutOfRange {
                    key,
                    field,
                    value,
                    unit,
                    min,
                    max,
                });
            }
        }
        Ok(())
    }

    /// Equivalents of charge per kilogram (mol/kg), always ≥ 0: `|z|/M`.
    #[must_use]
    pub fn equivalents_mol_per_kg(&self) -> f64 {
        f64::from(self.charge.abs()) / self.molar_mass_kg_per_mol
    }

    /// Mass of metal (or of whatever the species is shown as) in a mass of species, same unit.
    #[must_use]
    pub fn as_metal(&self, species_mass: f64) -> f64 {
        species_mass * self.metal_fraction
    }

    /// Mass of species that holds a mass of metal, same unit. The inverse of [`Self::as_metal`].
    #[must_use]
    pub fn from_metal(&self, metal_mass: f64) -> f64 {
        metal_mass / self.metal_fraction
    }
}

/// One row of the built-in table; volumes in L/kg, conductivity in 1e-4 S·m²/mol, for readability.
#[expect(clippy::too_many_arguments, reason = "a table row")]
const fn row(
    key: &'static str,
    name: &'static str,
    molar_mass_kg_per_mol: f64,
    charge: i32,
    volume_l_per_kg: f64,
    heat_capacity_j_per_kg_k: f64,
    conductivity_cm2: f64,
    shown: (&'static str, f64),
) -> Species {
    Species {
        key: Cow::Borrowed(key),
        name: Cow::Borrowed(name),
        molar_mass_kg_per_mol,
        charge,
        apparent_volume_m3_per_kg: volume_l_per_kg * 1e-3,
        heat_capacity_j_per_kg_k,
        ionic_conductivity_s_m2_per_mol: if conductivity_cm2 > 0.0 {
            Some(conductivity_cm2 * 1e-4)
        } else {
            None
        },
        shown_as: Cow::Borrowed(shown.0),
        metal_fraction: shown.1,
    }
}

/// Heat capacity where nothing published was found (J/(kg·K)); from memory.
pub const DEFAULT_HEAT_CAPACITY_J_PER_KG_K: f64 = 200.0;
const CP0: f64 = DEFAULT_HEAT_CAPACITY_J_PER_KG_K;

/// The species the program knows.
///
/// Limiting conductivities: CRC Handbook of Chemistry and Physics, "Ionic conductivity and diffusion
/// at infinite dilution" (25 °C), times the charge. Cr(VI): H⁺ of that table plus 40e-4 for HCrO4⁻,
/// from memory. Apparent volume of Cr(VI): fitted to the published Baumé table of chromic acid; of
/// boric acid: 39.2 cm³/mol (Ward and Millero 1974, from memory); of HCO3⁻, NO3⁻, sulfamate and the
/// additive: from memory. Heat capacities of Zn²⁺, Cr(VI), Cr³⁺, boric acid, HCO3⁻, NO3⁻, sulfamate
/// and the additive: 200 J/(kg·K), from memory.
#[rustfmt::skip]
pub const BUILTIN: &[Species] = &[
    row("Ni", "Ni²⁺", atomic::NI, 2, 0.0, 0.0, 99.2, ("Ni", 1.0)),
    row("Zn", "Zn²⁺", atomic::ZN, 2, 0.2225, CP0, 105.6, ("Zn", 1.0)),
    row("Cu", "Cu²⁺", atomic::CU, 2, 0.0598, 1932.0, 107.2, ("Cu", 1.0)),
    row("Cr6", "Cr(VI) as CrO₃", atomic::CRO3, 0, 0.300, CP0, 389.65, ("Cr", CR_IN_CRO3)),
    row("Cr3", "Cr³⁺", atomic::CR, 3, -0.0052, CP0, 201.0, ("Cr", 1.0)),
    row("Fe", "Fe²⁺", atomic::FE, 2, 0.1021, 679.0, 108.0, ("Fe", 1.0)),
    row("Na", "Na⁺", atomic::NA, 1, 0.5834, 3903.0, 50.08, ("Na", 1.0)),
    row("K", "K⁺", atomic::K, 1, 0.5870, 718.0, 73.48, ("K", 1.0)),
    row("NH4", "NH₄⁺", atomic::NH4, 1, 1.6971, 3068.0, 73.5, ("NH4", 1.0)),
    row("Ca", "Ca²⁺", atomic::CA, 2, 0.2933, 965.0, 118.94, ("Ca", 1.0)),
    row("Mg", "Mg²⁺", atomic::MG, 2, 0.2972, 1740.0, 106.0, ("Mg", 1.0)),
    row("H", "H⁺", atomic::H, 1, 16.202, 64_893.0, 349.65, ("H", 1.0)),
    row("SO4", "SO₄²⁻", atomic::SO4, -2, 0.0469, -699.0, 160.0, ("SO4", 1.0)),
    row("Cl", "Cl⁻", atomic::CL, -1, 0.2209, -1923.0, 76.31, ("Cl", 1.0)),
    row("OH", "OH⁻", atomic::OH, -1, -0.5743, -1979.0, 198.0, ("OH", 1.0)),
    row("HCO3", "HCO₃⁻", atomic::HCO3, -1, 0.21, CP0, 44.5, ("HCO3", 1.0)),
    row("NO3", "NO₃⁻", atomic::NO3, -1, 0.29, CP0, 71.42, ("NO3", 1.0)),
    row("Sulfamate", "sulfamate", atomic::SULFAMATE, -1, 0.31, CP0, 48.3, ("sulfamate", 1.0)),
    row("B", "boric acid", atomic::BORIC, 0, 0.634, CP0, 0.0, ("boric acid", 1.0)),
    row("Additive", "additive", 0.2, 0, 0.8, CP0, 0.0, ("additive", 1.0)),
];

/// Mass fraction of chromium in CrO3.
const CR_IN_CRO3: f64 = atomic::CR / atomic::CRO3;

/// The built-in species with this key (case matters), or `None`.
#[must_use]
pub fn builtin(key: &str) -> Option<&'static Species> {
    // A `const` table is inlined at each use; this `static` gives it one address.
    static TABLE: &[Species] = BUILTIN;
    TABLE.iter().find(|species| species.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn builtin_species_pass_their_own_check_and_keys_are_unique() {
        for (i, species) in BUILTIN.iter().enumerate() {
            species.check().unwrap();
            assert!(
                BUILTIN[..i].iter().all(|other| other.key != species.key),
                "{}",
                species.key
            );
        }
        assert!(builtin("ni").is_none());
    }

    #[test]
    fn chromic_acid_is_shown_as_chromium() {
        let cr6 = builtin("Cr6").unwrap();
        assert!((cr6.metal_fraction - 0.5200).abs() < 5e-5);
        assert!((cr6.from_metal(cr6.as_metal(3.0)) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn impossible_constants_are_named() {
        let mut bad = builtin("Ni").unwrap().clone();
        bad.molar_mass_kg_per_mol = f64::NAN;
        let text = bad.check().unwrap_err().to_string();
        assert!(text.contains("Ni") && text.contains("molar mass"), "{text}");
        bad.key = "Ni²⁺".into();
        assert!(matches!(bad.check(), Err(SpeciesError::BadKey { .. })));
    }
}
