//! Salts and acids as bought, and the species and crystal water they become in solution.
//!
//! Yields follow from the formula and the atomic masses alone, so the mass of each salt is exactly the
//! mass of its species plus its crystal water. Zinc oxide dissolves in alkali by taking up water
//! (`ZnO + H2O → Zn²⁺ + 2 OH⁻`), so its "crystal water" is negative. Chromium trioxide is counted as
//! CrO3 itself; the water it binds stays in the water ledger.

use crate::species::atomic as a;

/// A chemical as bought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Salt {
    /// Key as written in scenario files, e.g. `"NiSO4.6H2O"`.
    pub key: &'static str,
    /// Name for people.
    pub name: &'static str,
    /// Other names accepted by [`salt`]; the dot, `·` and `*` are equal, and so are subscripts.
    pub aliases: &'static [&'static str],
    /// Molar mass as bought, with its crystal water (kg/mol).
    pub molar_mass_kg_per_mol: f64,
    /// Species made, as (species key, kg per kg of salt).
    pub yields: &'static [(&'static str, f64)],
    /// Water set free on dissolving (kg per kg of salt); negative where water is bound.
    pub crystal_water_kg_per_kg: f64,
    /// The species by which the salt is usually controlled (its metal, or the salt's acid).
    pub lead: &'static str,
}

impl Salt {
    /// Mass of one species made by a kilogram of salt (kg/kg); 0 when the salt does not make it.
    #[must_use]
    pub fn yield_of(&self, species_key: &str) -> f64 {
        self.yields
            .iter()
            .find(|(key, _)| *key == species_key)
            .map_or(0.0, |(_, y)| *y)
    }

    /// Mass fraction of the lead metal (as metal, so Cr for CrO3) in the salt as bought (kg/kg).
    #[must_use]
    pub fn metal_fraction(&self) -> f64 {
        let shown = crate::species::builtin(self.lead).map_or(1.0, |s| s.metal_fraction);
        self.yield_of(self.lead) * shown
    }

    /// Mass of salt that holds a mass of its lead metal, same unit.
    #[must_use]
    pub fn salt_from_metal(&self, metal_mass: f64) -> f64 {
        metal_mass / self.metal_fraction()
    }

    /// Mass of lead metal in a mass of salt, same unit.
    #[must_use]
    pub fn metal_from_salt(&self, salt_mass: f64) -> f64 {
        salt_mass * self.metal_fraction()
    }
}

/// Molar mass of a salt from its parts (key, count, kg/mol) and moles of crystal water (kg/mol).
const fn molar_mass(parts: &[(&'static str, f64, f64)], water: f64) -> f64 {
    let mut sum = water * a::WATER;
    let mut i = 0;
    while i < parts.len() {
        sum += parts[i].1 * parts[i].2;
        i += 1;
    }
    sum
}

/// Mass of each part per mass of salt (kg/kg).
const fn yields<const N: usize>(
    parts: &[(&'static str, f64, f64)],
    water: f64,
) -> [(&'static str, f64); N] {
    let total = molar_mass(parts, water);
    let mut out = [("", 0.0); N];
    let mut i = 0;
    while i < N {
        out[i] = (parts[i].0, parts[i].1 * parts[i].2 / total);
        i += 1;
    }
    out
}

/// One table entry: the parts as (species key, count, kg/mol), the crystal water and the lead species.
macro_rules! salt {
    ($key:literal, $name:literal, $aliases:expr, $water:literal, $lead:literal, $parts:expr) => {{
        const PARTS: &[(&str, f64, f64)] = &$parts;
        const YIELDS: [(&str, f64); PARTS.len()] = yields(PARTS, $water);
        Salt {
            key: $key,
            name: $name,
            aliases: &$aliases,
            molar_mass_kg_per_mol: molar_mass(PARTS, $water),
            yields: &YIELDS,
            crystal_water_kg_per_kg: $water * a::WATER / molar_mass(PARTS, $water),
            lead: $lead,
        }
    }};
}

/// Zinc oxide, which takes up water as it dissolves.
const ZINC_OXIDE: Salt = Salt {
    key: "ZnO",
    name: "zinc oxide",
    aliases: &[],
    molar_mass_kg_per_mol: a::ZN + a::O,
    yields: &[
        ("Zn", a::ZN / (a::ZN + a::O)),
        ("OH", 2.0 * a::OH / (a::ZN + a::O)),
    ],
    crystal_water_kg_per_kg: -a::WATER / (a::ZN + a::O),
    lead: "Zn",
};

/// The salts the program knows.
#[rustfmt::skip]
pub static SALTS: &[Salt] = &[
    salt!("NiSO4.6H2O", "nickel sulfate hexahydrate", ["nickel sulfate"], 6.0, "Ni",
        [("Ni", 1.0, a::NI), ("SO4", 1.0, a::SO4)]),
    salt!("NiSO4.7H2O", "nickel sulfate heptahydrate", [], 7.0, "Ni",
        [("Ni", 1.0, a::NI), ("SO4", 1.0, a::SO4)]),
    salt!("NiCl2.6H2O", "nickel chloride hexahydrate", ["nickel chloride"], 6.0, "Ni",
        [("Ni", 1.0, a::NI), ("Cl", 2.0, a::CL)]),
    salt!("Ni(SO3NH2)2", "nickel sulfamate (anhydrous, as in liquid concentrates)", ["nickel sulfamate", "Ni(NH2SO3)2"], 0.0, "Ni",
        [("Ni", 1.0, a::NI), ("Sulfamate", 2.0, a::SULFAMATE)]),
    salt!("Ni(SO3NH2)2.4H2O", "nickel sulfamate tetrahydrate", ["Ni(NH2SO3)2.4H2O"], 4.0, "Ni",
        [("Ni", 1.0, a::NI), ("Sulfamate", 2.0, a::SULFAMATE)]),
    salt!("H3BO3", "boric acid", ["B(OH)3"], 0.0, "B", [("B", 1.0, a::BORIC)]),
    salt!("CrO3", "chromium trioxide", ["chromic acid", "chromic oxide"], 0.0, "Cr6",
        [("Cr6", 1.0, a::CRO3)]),
    salt!("ZnCl2", "zinc chloride", [], 0.0, "Zn", [("Zn", 1.0, a::ZN), ("Cl", 2.0, a::CL)]),
    salt!("ZnSO4.7H2O", "zinc sulfate heptahydrate", ["zinc sulfate"], 7.0, "Zn",
        [("Zn", 1.0, a::ZN), ("SO4", 1.0, a::SO4)]),
    ZINC_OXIDE,
    salt!("CuSO4.5H2O", "copper sulfate pentahydrate", ["copper sulfate"], 5.0, "Cu",
        [("Cu", 1.0, a::CU), ("SO4", 1.0, a::SO4)]),
    salt!("H2SO4", "sulfuric acid", [], 0.0, "SO4", [("H", 2.0, a::H), ("SO4", 1.0, a::SO4)]),
    salt!("HCl", "hydrochloric acid (as HCl)", [], 0.0, "Cl",
        [("H", 1.0, a::H), ("Cl", 1.0, a::CL)]),
    salt!("NaOH", "sodium hydroxide", ["caustic soda"], 0.0, "Na",
        [("Na", 1.0, a::NA), ("OH", 1.0, a::OH)]),
    salt!("KOH", "potassium hydroxide", [], 0.0, "K", [("K", 1.0, a::K), ("OH", 1.0, a::OH)]),
    salt!("KCl", "potassium chloride", [], 0.0, "K", [("K", 1.0, a::K), ("Cl", 1.0, a::CL)]),
    salt!("NaCl", "sodium chloride", ["common salt"], 0.0, "Na",
        [("Na", 1.0, a::NA), ("Cl", 1.0, a::CL)]),
    salt!("NH4Cl", "ammonium chloride", [], 0.0, "NH4", [("NH4", 1.0, a::NH4), ("Cl", 1.0, a::CL)]),
    salt!("Na2SO4", "sodium sulfate", [], 0.0, "Na", [("Na", 2.0, a::NA), ("SO4", 1.0, a::SO4)]),
    salt!("K2SO4", "potassium sulfate", [], 0.0, "K", [("K", 2.0, a::K), ("SO4", 1.0, a::SO4)]),
    salt!("CaCl2", "calcium chloride", [], 0.0, "Ca", [("Ca", 1.0, a::CA), ("Cl", 2.0, a::CL)]),
    salt!("CaSO4.2H2O", "gypsum", ["gypsum"], 2.0, "Ca",
        [("Ca", 1.0, a::CA), ("SO4", 1.0, a::SO4)]),
    salt!("Ca(HCO3)2", "calcium hydrogencarbonate (hardness of tap water)", ["hardness"], 0.0, "Ca",
        [("Ca", 1.0, a::CA), ("HCO3", 2.0, a::HCO3)]),
    salt!("NaHCO3", "sodium hydrogencarbonate", [], 0.0, "Na",
        [("Na", 1.0, a::NA), ("HCO3", 1.0, a::HCO3)]),
    salt!("MgSO4.7H2O", "magnesium sulfate heptahydrate", ["Epsom salt"], 7.0, "Mg",
        [("Mg", 1.0, a::MG), ("SO4", 1.0, a::SO4)]),
    salt!("MgCl2", "magnesium chloride", [], 0.0, "Mg", [("Mg", 1.0, a::MG), ("Cl", 2.0, a::CL)]),
    salt!("FeSO4.7H2O", "iron(II) sulfate heptahydrate", [], 7.0, "Fe",
        [("Fe", 1.0, a::FE), ("SO4", 1.0, a::SO4)]),
    salt!("Cr2(SO4)3", "chromium(III) sulfate (anhydrous)", [], 0.0, "Cr3",
        [("Cr3", 2.0, a::CR), ("SO4", 3.0, a::SO4)]),
    salt!("NaNO3", "sodium nitrate", [], 0.0, "Na", [("Na", 1.0, a::NA), ("NO3", 1.0, a::NO3)]),
];

/// The salt with this key or alias, or `None`.
///
/// `·`, `•` and `*` count as the dot, subscript digits as digits, and spaces are ignored, so
/// `"NiSO₄ · 6 H₂O"` finds `NiSO4.6H2O`.
#[must_use]
pub fn salt(name: &str) -> Option<&'static Salt> {
    let wanted = plain(name);
    SALTS.iter().find(|salt| {
        plain(salt.key) == wanted || salt.aliases.iter().any(|alias| plain(alias) == wanted)
    })
}

/// A formula or name in plain ASCII without spaces, for comparison.
fn plain(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            '·' | '•' | '*' | '∙' | '⋅' => '.',
            '₀'..='₉' => char::from_digit(c as u32 - '₀' as u32, 10).unwrap_or(c),
            _ => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mass_of_every_salt_closes() {
        for salt in SALTS {
            let sum: f64 =
                salt.yields.iter().map(|(_, y)| y).sum::<f64>() + salt.crystal_water_kg_per_kg;
            assert!((sum - 1.0).abs() < 1e-9, "{}: {sum}", salt.key);
        }
    }

    #[test]
    fn every_salt_is_electrically_neutral_and_made_of_known_species() {
        for salt in SALTS {
            let charge: f64 = salt
                .yields
                .iter()
                .map(|(key, y)| {
                    let s = crate::species::builtin(key).unwrap();
                    y / s.molar_mass_kg_per_mol * f64::from(s.charge)
                })
                .sum();
            assert!(
                charge.abs() < 1e-9,
                "{}: {charge} mol charge per kg",
                salt.key
            );
        }
    }

    /// Metal fractions by stoichiometry (hand derivation, four digits).
    #[test]
    fn metal_fractions() {
        for (key, expected) in [
            ("NiSO4.6H2O", 0.2233),
            ("NiSO4.7H2O", 0.2090),
            ("NiCl2.6H2O", 0.2469),
            ("Ni(SO3NH2)2", 0.2340),
            ("CuSO4.5H2O", 0.2545),
            ("CrO3", 0.5200),
            ("ZnCl2", 0.4797),
            ("ZnO", 0.8034),
        ] {
            let got = salt(key).unwrap().metal_fraction();
            assert!(
                (got - expected).abs() < 6e-5,
                "{key}: {got} against {expected}"
            );
        }
    }

    #[test]
    fn names_are_found_as_people_write_them() {
        for name in [
            "NiSO4·6H2O",
            "NiSO₄ · 6 H₂O",
            "NiSO4*6H2O",
            "nickel sulfate",
        ] {
            assert_eq!(salt(name).unwrap().key, "NiSO4.6H2O", "{name}");
        }
        assert!(salt("NiSO4").is_none(), "the hydrate must be said");
    }

    #[test]
    fn salt_and_metal_convert_both_ways() {
        let s = salt("NiSO4.6H2O").unwrap();
        assert!((s.salt_from_metal(s.metal_from_salt(300.0)) - 300.0).abs() < 1e-9);
    }
}
