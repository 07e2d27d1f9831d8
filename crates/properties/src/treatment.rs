//! What waste treatment takes and leaves, by stoichiometry.
//!
//! Metals are brought down as hydroxides with caustic soda; chromium(VI) is reduced first with sodium bisulfite in sulfuric acid:
//!
//! ```text
//! 4 CrO3 + 6 NaHSO3 + 3 H2SO4 → 2 Cr2(SO4)3 + 3 Na2SO4 + 6 H2O
//! Cr2(SO4)3 + 6 NaOH → 2 Cr(OH)3 + 3 Na2SO4
//! M^z+ + z NaOH → M(OH)z + z Na+
//! ```
//!
//! Calcium and magnesium stay dissolved at the pH at which these metals are brought down and take nothing. Iron(II) takes two and is left as Fe(OH)3, which
//! air makes of it. Complexes, co-precipitation and the acid or alkali of the bath beyond its H⁺ are not counted.

use crate::species::{Species, atomic};

/// What a kilogram of a solute takes and leaves, kg/kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Demand {
    /// Caustic soda, as NaOH.
    pub caustic: f64,
    /// Sodium bisulfite, as NaHSO3.
    pub bisulfite: f64,
    /// Sulfuric acid, as H2SO4.
    pub acid: f64,
    /// Dry hydroxide in the sludge.
    pub hydroxide: f64,
}

const CAUSTIC: f64 = atomic::NA + atomic::OH;
const BISULFITE: f64 = atomic::NA + atomic::H + atomic::S + 3.0 * atomic::O;
const ACID: f64 = 2.0 * atomic::H + atomic::SO4;

/// Moles of caustic that a mole takes, and of hydroxide in what it leaves; none leaves nothing solid.
fn moles(species: &Species) -> Option<(f64, Option<f64>)> {
    match species.key.as_ref() {
        "Ca" | "Mg" => None,
        "H" => Some((1.0, None)),
        "Cr6" => Some((3.0, Some(3.0))),
        "Fe" => Some((2.0, Some(3.0))),
        _ if species.charge >= 2 => {
            let charge = f64::from(species.charge);
            Some((charge, Some(charge)))
        }
        _ => None,
    }
}

/// What a kilogram of a solute asks of waste treatment; nothing of what passes through it.
///
/// A species of a scenario's own is taken for a metal where its charge is two or more.
#[must_use]
pub fn demand(species: &Species) -> Demand {
    let molar_mass = species.molar_mass_kg_per_mol;
    let Some((caustic, hydroxide)) = moles(species) else {
        return Demand::default();
    };
    let is_chromium_six = species.key == "Cr6";
    let reduced = |moles: f64, molar: f64| {
        if is_chromium_six {
            moles * molar / molar_mass
        } else {
            0.0
        }
    };
    // Counted as CrO3, but left without its oxygen.
    let metal = if is_chromium_six {
        atomic::CR
    } else {
        molar_mass
    };
    Demand {
        caustic: caustic * CAUSTIC / molar_mass,
        bisulfite: reduced(1.5, BISULFITE),
        acid: reduced(0.75, ACID),
        hydroxide: hydroxide.map_or(0.0, |oh| (metal + oh * atomic::OH) / molar_mass),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::species::builtin;

    /// By hand, with molar masses to two decimals: Ni 58.69, NaOH 40.00, Ni(OH)2 92.71; CrO3 99.99, NaHSO3 104.06, H2SO4 98.08, Cr(OH)3 103.02.
    #[test]
    fn reagents_and_sludge_follow_from_the_reactions() {
        let of = |key: &str| demand(builtin(key).unwrap());
        let nickel = of("Ni");
        assert!((nickel.caustic - 2.0 * 40.00 / 58.69).abs() < 1e-3);
        assert!((nickel.hydroxide - 92.71 / 58.69).abs() < 1e-3);
        assert_eq!((nickel.bisulfite, nickel.acid), (0.0, 0.0));
        let six = of("Cr6");
        assert!((six.bisulfite - 1.5 * 104.06 / 99.99).abs() < 1e-3);
        assert!((six.acid - 0.75 * 98.08 / 99.99).abs() < 1e-3);
        assert!((six.caustic - 3.0 * 40.00 / 99.99).abs() < 1e-3);
        assert!((six.hydroxide - 103.02 / 99.99).abs() < 1e-3);
        // As much hydroxide from either chromium, per chromium.
        let three = of("Cr3");
        let per_chromium = six.hydroxide * 99.99 / 52.00;
        assert!((three.hydroxide - per_chromium).abs() < 1e-3);
        assert!((of("Fe").hydroxide - 106.87 / 55.85).abs() < 1e-3);
        assert!((of("H").caustic - 40.00 / 1.008).abs() < 0.02);
        for key in ["Ca", "Mg", "Na", "SO4", "Cl", "B"] {
            assert_eq!(of(key), Demand::default(), "{key}");
        }
    }
}
