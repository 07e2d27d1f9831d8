//! Kinds of bath that a line can be sketched for.

use dragback_properties::recipe;

/// A kind of bath with what is usual for it.
///
/// Make-up, temperature and current are within the ranges that handbooks print for such baths (from memory); charge per area is what a usual
/// deposit needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BathKind {
    /// Name for people.
    pub name: &'static str,
    /// Species by which it is told.
    pub lead: &'static str,
    /// How the strength of it is counted.
    pub counted: &'static str,
    pub(super) recipe: &'static [(&'static str, f64)],
    pub(super) restore: &'static str,
    pub(super) contaminants: &'static str,
    pub(super) limits: &'static str,
    pub(super) set_point_c: f64,
    pub(super) final_limit_mg_per_l: f64,
    pub(super) charge_ah_per_m2: f64,
    pub(super) voltage_v: f64,
    pub(super) cathode_efficiency: f64,
    pub(super) is_soluble: bool,
    pub(super) caution: &'static str,
}

impl BathKind {
    /// Strength of the lead species in the usual make-up, kg/m³.
    #[must_use]
    pub fn strength_kg_per_m3(&self) -> f64 {
        let salts = self.recipe.iter();
        salts
            .filter_map(|(key, g_per_l)| Some(recipe::salt(key)?.yield_of(self.lead) * g_per_l))
            .sum()
    }
}

/// The kinds that can be chosen.
pub const BATHS: [BathKind; 4] = [
    BathKind {
        name: "bright nickel",
        lead: "Ni",
        counted: "nickel metal",
        recipe: &[("NiSO4.6H2O", 280.0), ("NiCl2.6H2O", 50.0), ("H3BO3", 40.0)],
        restore: r#""Cl": "NiCl2.6H2O", "Ni": "NiSO4.6H2O", "B": "H3BO3""#,
        contaminants: r#""Fe": "10 mg/L""#,
        limits: r#""Fe": "60 mg/L""#,
        set_point_c: 55.0,
        final_limit_mg_per_l: 20.0,
        charge_ah_per_m2: 100.0,
        voltage_v: 5.5,
        cathode_efficiency: 96.5,
        is_soluble: true,
        caution: "nickel salts are toxic and sensitise skin and lungs; air from tower and tanks belongs into an exhaust.",
    },
    BathKind {
        name: "acid copper",
        lead: "Cu",
        counted: "copper metal",
        recipe: &[("CuSO4.5H2O", 200.0), ("H2SO4", 50.0)],
        restore: r#""Cu": "CuSO4.5H2O", "SO4": "H2SO4""#,
        contaminants: r#""Cl": "60 mg/L""#,
        limits: r#""Cl": "120 mg/L""#,
        set_point_c: 25.0,
        final_limit_mg_per_l: 50.0,
        charge_ah_per_m2: 150.0,
        voltage_v: 2.5,
        cathode_efficiency: 100.0,
        is_soluble: true,
        caution: "the bath is corrosive and harms eyes and skin; droplets from the tower must be held back.",
    },
    BathKind {
        name: "chloride zinc",
        lead: "Zn",
        counted: "zinc metal",
        recipe: &[("ZnCl2", 65.0), ("KCl", 210.0), ("H3BO3", 30.0)],
        restore: r#""Zn": "ZnCl2", "K": "KCl", "B": "H3BO3""#,
        contaminants: r#""Fe": "20 mg/L""#,
        limits: r#""Fe": "100 mg/L""#,
        set_point_c: 28.0,
        final_limit_mg_per_l: 37.0,
        charge_ah_per_m2: 50.0,
        voltage_v: 5.0,
        cathode_efficiency: 96.0,
        is_soluble: true,
        caution: "the bath is acid and irritates; its vapour needs the exhaust.",
    },
    BathKind {
        name: "decorative chromium",
        lead: "Cr6",
        counted: "chromic acid as CrO3",
        recipe: &[("CrO3", 250.0), ("H2SO4", 2.5)],
        restore: r#""Cr6": "CrO3", "SO4": "H2SO4""#,
        contaminants: r#""Cr3": "2 g/L", "Fe": "1 g/L""#,
        limits: r#""Cr3": "8 g/L", "Fe": "4 g/L""#,
        set_point_c: 42.0,
        final_limit_mg_per_l: 29.0,
        charge_ah_per_m2: 40.0,
        voltage_v: 5.0,
        cathode_efficiency: 12.0,
        is_soluble: false,
        caution: "hexavalent chromium causes cancer; air from tower and bath goes outdoors through a mist eliminator, and rules on chromium emissions apply that this program does not check.",
    },
];
