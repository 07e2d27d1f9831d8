//! The shipped scenarios and what each is expected to show.

/// A salt of a bath and its published range, g/L.
pub type Range = (&'static str, f64, f64);

/// What a scenario is expected to show.
pub struct Shipped {
    /// Name of its file, without the ending.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
    /// Published make-up of its kind of bath.
    pub recipe: &'static [Range],
    /// Published working temperature, °C.
    pub temp_c: (f64, f64),
    /// Duty of the heaters while evaporating (of the bath's heater where nothing evaporates).
    pub duty: (f64, f64),
    /// Closure margin of the week, L/h; `None` where there is no such question.
    pub margin_l_per_h: Option<(f64, f64)>,
    /// Whether the shift alone closes too.
    pub closes_in_shift: bool,
    /// Share of the dragged-out metal that is not lost.
    pub recovered: (f64, f64),
    /// Rinse water sent to treatment, share of what is fed.
    pub to_treatment: (f64, f64),
}

/// Watts nickel: Nickel Institute Plating Handbook (2014), Watts solution; from memory.
const WATTS: &[Range] = &[
    ("NiSO4.6H2O", 240.0, 300.0),
    ("NiCl2.6H2O", 30.0, 90.0),
    ("H3BO3", 30.0, 45.0),
];
/// Sulfamate nickel: Nickel Institute Plating Handbook (2014), conventional sulfamate solution; from memory.
const SULFAMATE: &[Range] = &[
    ("Ni(SO3NH2)2.4H2O", 300.0, 450.0),
    ("NiCl2.6H2O", 0.0, 30.0),
    ("H3BO3", 30.0, 45.0),
];
/// Hard chromium: U.S. EPA, AP-42 (1996), section 12.20, Table 12.20-1; from memory.
const CHROMIUM: &[Range] = &[("CrO3", 225.0, 375.0), ("H2SO4", 2.25, 3.75)];
/// Chloride zinc with potassium: Metal Finishing Guidebook 2011-12, chloride zinc, Tables I and II: zinc 2–6 oz/gal (as chloride 31–94 g/L),
/// potassium chloride 25–30 oz/gal (187–225 g/L), boric acid 3–5 oz/gal.
const ZINC: &[Range] = &[
    ("ZnCl2", 31.0, 94.0),
    ("KCl", 187.0, 225.0),
    ("H3BO3", 22.0, 38.0),
];
/// Acid copper, general purpose: Metal Finishing Guidebook 2013, Table VIII.
const COPPER: &[Range] = &[("CuSO4.5H2O", 195.0, 248.0), ("H2SO4", 30.0, 75.0)];

/// Every shipped scenario.
pub const SHIPPED: [Shipped; 6] = [
    Shipped {
        name: "demo",
        text: include_str!("../../../scenarios/demo.ron"),
        recipe: WATTS,
        temp_c: (40.0, 60.0),
        // Within reach of the kink at full power, with room for a cold month.
        duty: (0.75, 0.9),
        // Closes over the week, not within the shift: tanks and nights do it.
        margin_l_per_h: Some((1.0, 40.0)),
        closes_in_shift: false,
        recovered: (0.999, 1.0),
        to_treatment: (0.0, 1e-6),
    },
    Shipped {
        name: "demo-before",
        text: include_str!("../../../scenarios/demo-before.ron"),
        recipe: WATTS,
        temp_c: (40.0, 60.0),
        duty: (0.05, 0.5),
        // Nothing evaporates rinse water and nothing comes back.
        margin_l_per_h: None,
        closes_in_shift: false,
        recovered: (-0.01, 0.01),
        to_treatment: (0.98, 1.02),
    },
    Shipped {
        name: "chromium",
        text: include_str!("../../../scenarios/chromium.ron"),
        recipe: CHROMIUM,
        temp_c: (49.0, 66.0),
        // The rectifier pays for the evaporation.
        duty: (0.0, 0.2),
        margin_l_per_h: Some((1.0, 15.0)),
        closes_in_shift: true,
        recovered: (0.99, 0.9999),
        // The free final rinse.
        to_treatment: (0.2, 0.7),
    },
    Shipped {
        name: "zinc-barrel",
        text: include_str!("../../../scenarios/zinc-barrel.ron"),
        recipe: ZINC,
        temp_c: (15.0, 55.0),
        duty: (0.6, 0.9),
        margin_l_per_h: Some((5.0, 30.0)),
        closes_in_shift: false,
        recovered: (0.98, 1.0),
        to_treatment: (0.0, 1e-6),
    },
    Shipped {
        name: "warm-bath",
        text: include_str!("../../../scenarios/warm-bath.ron"),
        recipe: SULFAMATE,
        temp_c: (40.0, 60.0),
        duty: (0.05, 0.5),
        // Surfaces alone; the float lets in nearly all that they drive off.
        margin_l_per_h: Some((0.0, 1.0)),
        // In shift the float takes all that they drive off, to the kilogram, so that next to nothing is left.
        closes_in_shift: true,
        recovered: (0.999, 1.0),
        to_treatment: (0.0, 1e-6),
    },
    Shipped {
        name: "teaching",
        text: include_str!("../../../scenarios/teaching.ron"),
        recipe: COPPER,
        // Metal Finishing Guidebook 2013, acid copper: room temperature and somewhat above; from memory.
        temp_c: (18.0, 32.0),
        duty: (0.75, 0.9),
        margin_l_per_h: Some((1.0, 5.0)),
        closes_in_shift: true,
        recovered: (0.999, 1.0),
        to_treatment: (0.0, 1e-6),
    },
];
