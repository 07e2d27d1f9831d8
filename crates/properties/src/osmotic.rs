//! Water activity of a mixed solution, from the osmotic coefficients of its salts.
//!
//! `a_w = exp(−M_w·Σ ν·φ(m)·m)`. Vapour pressure over the solution is `a_w·p_sat(T)`.
//!
//! # Single salts
//! Osmotic coefficients φ(m) at 25 °C by Pitzer's equation ([`BinarySalt`], table in `binary`). They are
//! used at every temperature: from 25 to 60 °C PHREEQC 3.8.6 (`pitzer.dat`) moves the water activity of
//! 2 mol/kg NaCl by −0.001, of 3 mol/kg KCl by −0.002, of 1.5 mol/kg MgSO4 by +0.003 and of a magnesium
//! analogue of a Watts bath by +0.004 (0.9550 to 0.9588), of 2.5 mol/kg MgSO4 by +0.008.
//!
//! # Mixtures
//! Ions are paired to salts in proportion to equivalents: of the equivalents `E` per kilogram of water,
//! the salt of cation c and anion a holds `e_ca = E_c·E_a/E`. Each salt's φ is taken at the molality
//! it would have **alone at the mixture's total equivalents** `E`, and the osmoles are added:
//! `−ln a_w = M_w·[Σ e_ca·(1/z_c + 1/z_a)·φ_ca(E) + Σ m_neutral]`.
//! Compared with the full Pitzer equations of PHREEQC 3.8.6 (`pitzer.dat`) for Mg–Na–K–Ca–Cl–SO4 mixtures
//! (`data/phreeqc_mixed_water_activity.csv`) this is closer than mixing at equal ionic strength and
//! about as close as the rule of Zdanovskii, Stokes and Robinson, which needs an iteration.
//! Boric acid and other neutral species count as ideal (φ = 1). Cr(VI) has its own curve.
//!
//! # Outside the data
//! Above a salt's last measured molality its φ bends over smoothly to a bounded value, and a_w below
//! about 0.14 is bent smoothly to stay above 0.0067, so that any composition gives a finite answer;
//! [`WaterActivity::in_range`] says whether it can be trusted. If the charges do not balance, `E_c·E_a/E`
//! becomes `2·E_c·E_a/(E_c+E_a)` and the unpaired ions count as ideal.

mod binary;
#[cfg(test)]
mod tests;

pub use binary::{BINARY_SALTS, BinarySalt, binary};

use crate::species::Species;
use crate::water::MOLAR_MASS_WATER;

/// Debye–Hückel slope of Pitzer's osmotic equation in water at 25 °C ((kg/mol)^½).
///
/// Between 0.391 and 0.392 in the literature; Pitzer and Mayorga (1973) use 0.392.
pub const DEBYE_HUCKEL_SLOPE: f64 = 0.3915;

/// Most distinct (cation charge, anion charge) classes a composition can have: charges 1 to 3 each.
const MAX_CLASSES: usize = 9;

/// Kilograms of a species per kilogram of water above which the composition is no longer told apart.
const MAX_KG_PER_KG: f64 = 100.0;

/// Water activity of any composition of a fixed list of species, prepared for the time step.
///
/// Compile once per list of species, then call [`at`](Self::at); that allocates nothing and costs about
/// 0.1 µs for ten species.
#[derive(Debug, Clone)]
pub struct WaterActivity {
    ions: Vec<Ion>,
    neutrals: Vec<(usize, f64)>,
    chromic: Vec<(usize, f64)>,
    classes: Vec<binary::ChargeClass>,
    pairs: Vec<Pair>,
}

/// An ion of the list: where it stands, its equivalents per kilogram, its osmoles per equivalent.
#[derive(Debug, Clone, Copy)]
struct Ion {
    index: usize,
    is_cation: bool,
    eq_per_kg: f64,
    ions_per_eq: f64,
}

/// A cation–anion pair with everything that does not depend on the composition.
#[derive(Debug, Clone, Copy)]
struct Pair {
    cation: usize,
    anion: usize,
    cation_eq_per_kg: f64,
    anion_eq_per_kg: f64,
    ions_per_eq: f64,
    class: usize,
    curve: binary::Curve,
}

impl WaterActivity {
    /// Prepares the computation for compositions of these species, in this order.
    ///
    /// A species of charge 0 is ideal, except `"Cr6"`. Charges beyond ±3 are treated as ±3. A pair of
    /// ions without published osmotic coefficients borrows those of a salt of its charge type (see
    /// [`binary`]).
    #[must_use]
    pub fn compile(species: &[Species]) -> Self {
        let mut compiled = Self {
            ions: Vec::new(),
            neutrals: Vec::new(),
            chromic: Vec::new(),
            classes: Vec::new(),
            pairs: Vec::new(),
        };
        for (index, s) in species.iter().enumerate() {
            let mol_per_kg = 1.0 / s.molar_mass_kg_per_mol;
            let charge = f64::from(s.charge.abs());
            if s.charge != 0 {
                compiled.ions.push(Ion {
                    index,
                    is_cation: s.charge > 0,
                    eq_per_kg: charge * mol_per_kg,
                    ions_per_eq: 1.0 / charge,
                });
            } else if s.key == "Cr6" {
                compiled.chromic.push((index, mol_per_kg));
            } else {
                compiled.neutrals.push((index, mol_per_kg));
            }
        }
        for (cation, c) in species.iter().enumerate().filter(|(_, s)| s.charge > 0) {
            for (anion, a) in species.iter().enumerate().filter(|(_, s)| s.charge < 0) {
                compiled.add_pair((cation, c), (anion, a));
            }
        }
        compiled
    }

    fn add_pair(&mut self, (cation, c): (usize, &Species), (anion, a): (usize, &Species)) {
        let z = (c.charge.unsigned_abs(), a.charge.unsigned_abs());
        let class = binary::ChargeClass::new(z.0.min(3), z.1.min(3));
        let found = self.classes.iter().position(|known| *known == class);
        let class_index = found.unwrap_or_else(|| {
            self.classes.push(class);
            self.classes.len() - 1
        });
        let salt = binary::binary_or_similar(&c.key, &a.key, z);
        self.pairs.push(Pair {
            cation,
            anion,
            cation_eq_per_kg: c.equivalents_mol_per_kg(),
            anion_eq_per_kg: a.equivalents_mol_per_kg(),
            ions_per_eq: 1.0 / f64::from(z.0) + 1.0 / f64::from(z.1),
            class: class_index,
            curve: binary::Curve::new(salt, class),
        });
    }

    /// Water activity (–), in (0, 1], of a solution with these masses per mass of water.
    ///
    /// `kg_per_kg_water` is in the order of the species given to [`compile`](Self::compile); a missing,
    /// negative or NaN entry counts as 0. Finite and smooth for any composition; see
    /// [`in_range`](Self::in_range) for where it rests on data.
    #[must_use]
    pub fn at(&self, kg_per_kg_water: &[f64]) -> f64 {
        let (osmoles, _) = self.osmoles(kg_per_kg_water, false);
        activity_from_osmoles(osmoles)
    }

    /// The same from masses in a vessel: `masses_kg` in the order of the species, and the water (kg).
    ///
    /// Without water the composition is infinitely strong and the smallest value comes back.
    #[must_use]
    pub fn at_masses(&self, water_kg: f64, masses_kg: &[f64]) -> f64 {
        let per_water = if water_kg > 0.0 { 1.0 / water_kg } else { 1e9 };
        let (osmoles, _) = self.scaled_osmoles(masses_kg, per_water, false);
        activity_from_osmoles(osmoles)
    }

    /// Whether every salt that holds more than 1 % of the equivalents (and Cr(VI)) is within the molality
    /// of its published data, and no pair of ions had to borrow another salt's coefficients.
    #[must_use]
    pub fn in_range(&self, kg_per_kg_water: &[f64]) -> bool {
        self.osmoles(kg_per_kg_water, true).1
    }

    fn osmoles(&self, kg_per_kg_water: &[f64], check: bool) -> (f64, bool) {
        self.scaled_osmoles(kg_per_kg_water, 1.0, check)
    }

    /// Osmoles `Σ ν·φ·m` per kilogram of water, and whether the data reach so far (when asked).
    fn scaled_osmoles(&self, masses: &[f64], scale: f64, check: bool) -> (f64, bool) {
        // `max` first turns NaN into 0.
        let amount =
            |i: usize| (masses.get(i).copied().unwrap_or(0.0).max(0.0) * scale).min(MAX_KG_PER_KG);
        let mut in_range = true;
        let mut osmoles = 0.0;
        for &(i, mol_per_kg) in &self.neutrals {
            osmoles += amount(i) * mol_per_kg;
        }
        for &(i, mol_per_kg) in &self.chromic {
            let m = amount(i) * mol_per_kg;
            osmoles += m * chromic_osmoles_per_mol(m);
            in_range &= m <= CHROMIC_MAX_MOLALITY;
        }
        let (mut cations, mut anions, mut ions) = (0.0, 0.0, 0.0);
        for ion in &self.ions {
            let eq = amount(ion.index) * ion.eq_per_kg;
            if ion.is_cation {
                cations += eq;
            } else {
                anions += eq;
            }
            ions += eq * ion.ions_per_eq;
        }
        let total = cations + anions;
        if total <= 0.0 {
            return (osmoles, in_range);
        }
        osmoles += (cations - anions) * (cations - anions) / total * (ions / total);
        let equivalents = 0.5 * total;
        let root = equivalents.sqrt();
        let mut terms = [binary::ClassTerms::default(); MAX_CLASSES];
        for (term, class) in terms.iter_mut().zip(&self.classes) {
            *term = class.terms(equivalents, root);
        }
        let per_total = 2.0 / total;
        for pair in &self.pairs {
            let paired = amount(pair.cation)
                * pair.cation_eq_per_kg
                * per_total
                * (amount(pair.anion) * pair.anion_eq_per_kg);
            osmoles += paired * pair.ions_per_eq * pair.curve.phi(equivalents, &terms[pair.class]);
            if check && paired > 0.01 * equivalents {
                in_range &= pair.curve.covers(equivalents);
            }
        }
        (osmoles, in_range)
    }
}

/// Highest molality of CrO3 in the curve of [`chromic_osmoles_per_mol`] (mol/kg): saturation at 20 °C.
const CHROMIC_MAX_MOLALITY: f64 = 17.0;

/// Osmoles per mole of CrO3, ν·φ (–), at molality `m` (mol/kg).
///
/// `1.8 + 0.1·m`. Approximate: no measured osmotic coefficients were found. The slope is set by the
/// relative humidity over saturated CrO3 at 20 °C, 35 % (older "constant humidity" tables of the CRC
/// Handbook; from memory) with 16.7 mol/kg at saturation, the intercept by dissociation to H⁺ and
/// HCrO4⁻/½ Cr2O7²⁻ in dilute solution (from memory).
#[must_use]
pub fn chromic_osmoles_per_mol(m: f64) -> f64 {
    let beyond = (m - CHROMIC_MAX_MOLALITY).max(0.0);
    1.8 + 0.1 * (m.min(CHROMIC_MAX_MOLALITY) + 5.0 * beyond / (beyond + 5.0))
}

/// `exp(−M_w·osmoles)`, bent above an exponent of 2 so that it never falls below `exp(−5)`.
fn activity_from_osmoles(osmoles: f64) -> f64 {
    const KNEE: f64 = 2.0;
    const SPAN: f64 = 3.0;
    let exponent = (MOLAR_MASS_WATER * osmoles).max(0.0);
    let beyond = (exponent - KNEE).max(0.0);
    let bent = if beyond > 0.0 {
        KNEE + SPAN * (1.0 - SPAN / (beyond + SPAN))
    } else {
        exponent
    };
    (-bent).exp()
}
