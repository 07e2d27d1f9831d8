//! Electrical conductivity at 25 °C, as an estimate from limiting ionic conductivities.
//!
//! `κ = κ_w + f·Σ c_i·λ°_i`, `f = 1/(1 + k·√I/(1 + b·√I))`, with c in mol/m³, λ° the limiting molar
//! conductivity of the ion and I the ionic strength in mol/L. `k` and `b` depend on the mean product p
//! of the charges that meet: `k = 0.63 + 0.22·(p−1) + 0.33·(p−1)²`, `b = 0.85 − 0.15·p` (at least
//! 0.1), chosen to suit KCl (p = 1), CaCl2 and Na2SO4 (p = 2) and CaSO4 and CuSO4 (p = 4) between 0.001
//! and 0.1 equivalents per litre; in dilute KCl the form comes close to Onsager's limiting law.
//!
//! It is an **estimate**; the tests print what it does: 1:1 salts within 2 % to 0.1 mol/L, 2:1 and 1:2 salts
//! within 5 %, 2:2 within 4 %, all to 0.1 equivalents per litre. Nothing was compared at bath strength, where viscosity and complexes count.
//! Weak acids (boric) do not conduct. Hydrogen sulfate is counted as H⁺ and SO4²⁻, so sulfuric acid comes out
//! too high, by a fifth at 0.005 mol/L.

/// Conductivity of pure water at 25 °C (S/m): 0.055 µS/cm (from memory; ASTM D1193 type I: 0.056 at most).
pub const PURE_WATER_S_PER_M: f64 = 5.5e-6;

/// An estimated conductivity. It never claims to be more than an estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConductivityEstimate {
    /// Conductivity at 25 °C (S/m); 1 S/m = 10,000 µS/cm.
    pub s_per_m: f64,
}

impl ConductivityEstimate {
    /// The same in µS/cm, as instruments show it.
    #[must_use]
    pub fn us_per_cm(&self) -> f64 {
        self.s_per_m * 1e4
    }
}

/// One kind of ion in a solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ion {
    /// Concentration (mol/m³); negative and NaN count as 0.
    pub mol_per_m3: f64,
    /// Charge number; 0 for what is counted as a neutral molecule but conducts as a 1:1 electrolyte (chromic acid).
    pub charge: i32,
    /// Limiting molar conductivity at 25 °C (S·m²/mol), 0 for what does not conduct.
    pub ionic_conductivity_s_m2_per_mol: f64,
}

/// Sums of equivalents and of equivalents times charge of one sign, mol/m³.
#[derive(Default)]
struct Side {
    equivalents: f64,
    charged: f64,
}

impl Side {
    fn add(&mut self, equivalents: f64, charge: f64) {
        self.equivalents += equivalents;
        self.charged += equivalents * charge;
    }

    fn mean_charge(&self) -> f64 {
        if self.equivalents > 0.0 {
            self.charged / self.equivalents
        } else {
            1.0
        }
    }
}

/// Estimates the conductivity at 25 °C of a solution of these ions.
///
/// Cr(VI), though counted as neutral CrO3, conducts as H⁺ and HCrO4⁻ and adds to the ionic strength as a 1:1
/// electrolyte. What does not conduct adds nothing.
#[must_use]
pub fn conductivity_25c(ions: impl IntoIterator<Item = Ion>) -> ConductivityEstimate {
    let (mut strength, mut limiting) = (0.0, 0.0);
    let (mut cations, mut anions) = (Side::default(), Side::default());
    for ion in ions {
        if ion.ionic_conductivity_s_m2_per_mol <= 0.0 {
            continue;
        }
        let mol_per_m3 = ion.mol_per_m3.max(0.0);
        limiting += mol_per_m3 * ion.ionic_conductivity_s_m2_per_mol;
        let z = f64::from(ion.charge.abs());
        strength += 0.5e-3 * mol_per_m3 * if ion.charge == 0 { 2.0 } else { z * z };
        if ion.charge >= 0 {
            cations.add(mol_per_m3 * z.max(1.0), z.max(1.0));
        }
        if ion.charge <= 0 {
            anions.add(mol_per_m3 * z.max(1.0), z.max(1.0));
        }
    }
    let product = (cations.mean_charge() * anions.mean_charge()).clamp(1.0, 5.0);
    let over = product - 1.0;
    let k = 0.63 + 0.22 * over + 0.33 * over * over;
    let b = (0.85 - 0.15 * product).max(0.1);
    let root = strength.sqrt();
    let factor = 1.0 / (1.0 + k * root / (1.0 + b * root));
    ConductivityEstimate {
        s_per_m: PURE_WATER_S_PER_M + factor * limiting,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::species::{Species, builtin};

    fn of(species: &[Species], kg_per_m3: &[f64]) -> ConductivityEstimate {
        conductivity_25c(species.iter().zip(kg_per_m3).map(|(s, c)| Ion {
            mol_per_m3: c / s.molar_mass_kg_per_mol,
            charge: s.charge,
            ionic_conductivity_s_m2_per_mol: s.ionic_conductivity_s_m2_per_mol.unwrap_or(0.0),
        }))
    }

    /// Conductivity of a salt at `mol_per_l` (mS/cm).
    fn salt(parts: &[(&str, f64)], mol_per_l: f64) -> f64 {
        let list: Vec<Species> = parts
            .iter()
            .map(|(k, _)| builtin(k).unwrap().clone())
            .collect();
        let c: Vec<f64> = parts
            .iter()
            .zip(&list)
            .map(|((_, n), s)| 1e3 * n * mol_per_l * s.molar_mass_kg_per_mol)
            .collect();
        of(&list, &c).us_per_cm() / 1e3
    }

    /// KCl calibration standards at 25 °C: 0.01 demal 1.413, 0.1 mol/L 12.88, 1 demal 111.3 mS/cm (OIML R 56;
    /// from memory). One demal is 1 mol in a cubic decimetre.
    #[test]
    fn potassium_chloride_standards() {
        let kcl = [("K", 1.0), ("Cl", 1.0)];
        for (c, published, bound) in [(0.01, 1.413, 0.01), (0.1, 12.88, 0.01), (1.0, 111.3, 0.03)] {
            let got = salt(&kcl, c);
            println!(
                "KCl {c} mol/L: {got:.4} mS/cm, published {published}, {:+.1} %",
                100.0 * (got / published - 1.0)
            );
            assert!((got / published - 1.0).abs() < bound, "{c}: {got}");
        }
    }

    /// Equivalent conductivities (S·cm²/eq) at 25 °C against equivalents per litre.
    ///
    /// All but CuSO4: equation and coefficients of McCleskey, R. B., "Electrical conductivity of electrolytes
    /// found in natural waters from (5 to 90) °C", J. Chem. Eng. Data 56 (2011) 317 (as in `chemicals` 1.5.2,
    /// molality taken as mol/L). CuSO4: CRC Handbook, from memory.
    #[test]
    fn other_salts() {
        const NA_CL: [(&str, f64); 2] = [("Na", 1.0), ("Cl", 1.0)];
        const CA_CL2: [(&str, f64); 2] = [("Ca", 0.5), ("Cl", 1.0)];
        const NA2_SO4: [(&str, f64); 2] = [("Na", 1.0), ("SO4", 0.5)];
        const K2_SO4: [(&str, f64); 2] = [("K", 1.0), ("SO4", 0.5)];
        const CA_SO4: [(&str, f64); 2] = [("Ca", 0.5), ("SO4", 0.5)];
        const CU_SO4: [(&str, f64); 2] = [("Cu", 0.5), ("SO4", 0.5)];
        let table = [
            (NA_CL, 0.005, 121.50, 0.02),
            (NA_CL, 0.1, 106.66, 0.03),
            ([("NH4", 1.0), ("Cl", 1.0)], 0.1, 131.27, 0.03),
            (CA_CL2, 0.001, 129.63, 0.02),
            (CA_CL2, 0.01, 120.50, 0.02),
            (CA_CL2, 0.1, 103.58, 0.06),
            ([("Mg", 0.5), ("Cl", 1.0)], 0.1, 96.70, 0.06),
            (NA2_SO4, 0.001, 124.83, 0.02),
            (NA2_SO4, 0.01, 114.34, 0.02),
            (NA2_SO4, 0.1, 91.00, 0.06),
            (K2_SO4, 0.1, 108.29, 0.06),
            (CA_SO4, 0.001, 121.12, 0.04),
            (CA_SO4, 0.01, 90.56, 0.04),
            (CU_SO4, 0.001, 115.20, 0.04),
            (CU_SO4, 0.01, 83.08, 0.04),
            (CU_SO4, 0.1, 50.55, 0.04),
        ];
        for (parts, eq_per_l, published, bound) in table {
            let got = salt(&parts, eq_per_l) / eq_per_l;
            let (name, relative) = (
                format!("{}–{}", parts[0].0, parts[1].0),
                got / published - 1.0,
            );
            println!(
                "{name} {eq_per_l} eq/L: {got:.1}, published {published}, {:+.1} %",
                100.0 * relative
            );
            assert!(
                relative.abs() < bound,
                "{name} {eq_per_l}: {got} against {published}"
            );
        }
    }

    /// Sulfuric acid at 0.005 mol/L: 319.5 S·cm²/eq (McCleskey 2011). Ours ignores HSO4⁻ and is 18 % higher.
    #[test]
    fn sulfuric_acid_is_overestimated() {
        let got = salt(&[("H", 1.0), ("SO4", 0.5)], 0.01) / 0.01;
        println!(
            "H2SO4 0.01 eq/L: {got:.1}, published 319.5, {:+.1} %",
            100.0 * (got / 319.5 - 1.0)
        );
        assert!((0.15..0.32).contains(&(got / 319.5 - 1.0)), "{got}");
    }

    #[test]
    fn pure_water_and_strong_baths_are_finite() {
        let list: Vec<Species> = crate::species::BUILTIN.to_vec();
        let zero = of(&list, &vec![0.0; list.len()]);
        assert!((zero.us_per_cm() - 0.055).abs() < 1e-9);
        let strong = of(&list, &vec![1000.0; list.len()]);
        assert!(strong.s_per_m.is_finite() && strong.s_per_m > 0.0);
        let bad = of(&list, &vec![f64::NAN; list.len()]);
        assert!((bad.s_per_m - PURE_WATER_S_PER_M).abs() < 1e-12);
    }

    /// Conductivity must rise with strength for every salt type (a set point needs one answer).
    #[test]
    fn rises_with_strength_in_rinse_water() {
        for parts in [[("Ni", 1.0), ("SO4", 1.0)], [("Na", 1.0), ("Cl", 1.0)]] {
            let mut previous = 0.0;
            for i in 1..400 {
                let got = salt(&parts, 1e-6 * 1.04_f64.powi(i));
                assert!(got > previous);
                previous = got;
            }
        }
    }
}
