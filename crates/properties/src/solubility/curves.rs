//! Solubility curves of single salts in water.

/// Temperatures of the tables (°C).
pub const GRID_TEMP_C: [f64; 12] = [
    0.0, 10.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0,
];

/// Solubility of one salt in water against temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolubilityCurve {
    /// Anhydrous formula.
    pub salt: &'static str,
    /// Name in words.
    pub name: &'static str,
    /// Solids in equilibrium, for people.
    pub solids: &'static str,
    /// Species per formula unit, as (key, count).
    pub ions: &'static [(&'static str, f64)],
    /// Anhydrous salt in the saturated solution, per cent by mass, at [`GRID_TEMP_C`].
    pub mass_percent: [f64; 12],
}

impl SolubilityCurve {
    /// Whether this is gypsum, whose ions act as a product.
    #[must_use]
    pub fn is_gypsum(&self) -> bool {
        self.salt == "CaSO4"
    }
}

/// The curves.
///
/// # Source
/// CRC Handbook of Chemistry and Physics, 98th ed. (2017), "Aqueous solubility of inorganic compounds at
/// various temperatures" (mass per cent of anhydrous solute), read at second hand. Na2SO4 at 0 and
/// 10 °C and ZnCl2 at 0 °C are missing there and are from memory. The solids named are from memory.
pub static CURVES: &[SolubilityCurve] = &[
    SolubilityCurve {
        salt: "NiSO4",
        name: "nickel sulfate",
        solids: "NiSO4·7H2O, above 31 °C NiSO4·6H2O",
        ions: &[("Ni", 1.0), ("SO4", 1.0)],
        mass_percent: [
            21.4, 24.4, 27.4, 28.8, 30.3, 32.0, 34.1, 35.8, 37.7, 39.9, 42.3, 44.8,
        ],
    },
    SolubilityCurve {
        salt: "NiCl2",
        name: "nickel chloride",
        solids: "NiCl2·6H2O, above 29 °C NiCl2·4H2O, above 64 °C NiCl2·2H2O",
        ions: &[("Ni", 1.0), ("Cl", 2.0)],
        mass_percent: [
            34.7, 36.1, 38.5, 40.3, 41.7, 42.1, 43.2, 45.0, 46.1, 46.2, 46.4, 46.6,
        ],
    },
    SolubilityCurve {
        salt: "H3BO3",
        name: "boric acid",
        solids: "boric acid",
        ions: &[("B", 1.0)],
        mass_percent: [
            2.61, 3.57, 4.77, 5.48, 6.27, 8.1, 10.3, 12.9, 15.9, 19.3, 23.1, 27.3,
        ],
    },
    SolubilityCurve {
        salt: "CrO3",
        name: "chromium trioxide",
        solids: "chromium trioxide",
        ions: &[("Cr6", 1.0)],
        mass_percent: [
            62.2, 62.3, 62.6, 62.8, 63.0, 63.5, 64.1, 64.7, 65.5, 66.2, 67.1, 67.9,
        ],
    },
    SolubilityCurve {
        salt: "CuSO4",
        name: "copper sulfate",
        solids: "CuSO4·5H2O, above 96 °C CuSO4·3H2O",
        ions: &[("Cu", 1.0), ("SO4", 1.0)],
        mass_percent: [
            12.4, 14.4, 16.7, 18.0, 19.3, 22.2, 25.4, 28.8, 32.4, 36.3, 40.3, 43.5,
        ],
    },
    SolubilityCurve {
        salt: "ZnSO4",
        name: "zinc sulfate",
        solids: "ZnSO4·7H2O, above 39 °C ZnSO4·6H2O, above 60 °C ZnSO4·H2O",
        ions: &[("Zn", 1.0), ("SO4", 1.0)],
        mass_percent: [
            29.1, 32.0, 35.0, 36.6, 38.2, 41.3, 43.0, 42.1, 41.0, 39.9, 38.8, 37.6,
        ],
    },
    SolubilityCurve {
        salt: "ZnCl2",
        name: "zinc chloride",
        solids: "zinc chloride hydrates",
        ions: &[("Zn", 1.0), ("Cl", 2.0)],
        mass_percent: [
            74.0, 76.6, 79.0, 80.3, 81.4, 81.8, 82.4, 83.0, 83.7, 84.4, 85.2, 86.0,
        ],
    },
    SolubilityCurve {
        salt: "KCl",
        name: "potassium chloride",
        solids: "potassium chloride",
        ions: &[("K", 1.0), ("Cl", 1.0)],
        mass_percent: [
            21.74, 23.61, 25.39, 26.22, 27.04, 28.59, 30.04, 31.4, 32.66, 33.86, 34.99, 36.05,
        ],
    },
    SolubilityCurve {
        salt: "NaCl",
        name: "sodium chloride",
        solids: "sodium chloride",
        ions: &[("Na", 1.0), ("Cl", 1.0)],
        mass_percent: [
            26.28, 26.32, 26.41, 26.45, 26.52, 26.67, 26.84, 27.03, 27.25, 27.5, 27.78, 28.05,
        ],
    },
    SolubilityCurve {
        salt: "NH4Cl",
        name: "ammonium chloride",
        solids: "ammonium chloride",
        ions: &[("NH4", 1.0), ("Cl", 1.0)],
        mass_percent: [
            22.92, 25.12, 27.27, 28.34, 29.39, 31.46, 33.5, 35.49, 37.46, 39.4, 41.33, 43.24,
        ],
    },
    SolubilityCurve {
        salt: "Na2SO4",
        name: "sodium sulfate",
        solids: "Na2SO4·10H2O, above 32 °C sodium sulfate",
        ions: &[("Na", 2.0), ("SO4", 1.0)],
        mass_percent: [
            4.3, 8.3, 16.13, 21.94, 29.22, 32.35, 31.55, 30.9, 30.39, 30.02, 29.79, 29.67,
        ],
    },
    SolubilityCurve {
        salt: "K2SO4",
        name: "potassium sulfate",
        solids: "potassium sulfate",
        ions: &[("K", 2.0), ("SO4", 1.0)],
        mass_percent: [
            7.11, 8.46, 9.95, 10.7, 11.4, 12.9, 14.2, 15.5, 16.7, 17.7, 18.6, 19.3,
        ],
    },
    SolubilityCurve {
        salt: "MgSO4",
        name: "magnesium sulfate",
        solids: "magnesium sulfate hydrates",
        ions: &[("Mg", 1.0), ("SO4", 1.0)],
        mass_percent: [
            18.2, 21.7, 25.1, 26.3, 28.2, 30.9, 33.4, 35.6, 36.9, 35.9, 34.7, 33.3,
        ],
    },
    SolubilityCurve {
        salt: "FeSO4",
        name: "iron(II) sulfate",
        solids: "FeSO4·7H2O, above 57 °C lower hydrates",
        ions: &[("Fe", 1.0), ("SO4", 1.0)],
        mass_percent: [
            13.5, 17.0, 20.8, 22.8, 24.8, 28.8, 32.8, 35.5, 33.6, 30.4, 27.1, 24.0,
        ],
    },
    SolubilityCurve {
        salt: "CaSO4",
        name: "gypsum",
        solids: "gypsum, CaSO4·2H2O",
        ions: &[("Ca", 1.0), ("SO4", 1.0)],
        mass_percent: [
            0.174, 0.191, 0.202, 0.205, 0.208, 0.21, 0.207, 0.201, 0.193, 0.184, 0.173, 0.163,
        ],
    },
];
