//! Osmotic coefficients of single salts in water at 25 °C.

use super::DEBYE_HUCKEL_SLOPE;
use crate::water::MOLAR_MASS_WATER;

/// Pitzer parameters of one salt in water at 25 °C.
///
/// `φ − 1 = −|z_c·z_a|·A·√I/(1 + 1.2·√I) + m·(2·ν_c·ν_a/ν)·B + m²·(2·(ν_c·ν_a)^1.5/ν)·C`, with
/// `B = β0 + β1·exp(−α1·√I) + β2·exp(−α2·√I)`; α1 = 2 and β2 = 0, except for 2:2 salts, where α1 = 1.4 and
/// α2 = 12 (Pitzer and Mayorga, J. Phys. Chem. 77 (1973) 2300; 78 (1974) 2698).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BinarySalt {
    /// Key of the cation.
    pub cation: &'static str,
    /// Key of the anion.
    pub anion: &'static str,
    /// Charge numbers of cation and anion, both positive.
    pub charges: (u32, u32),
    /// β0, β1, β2 and Cφ (kg/mol; the last kg²/mol²).
    pub parameters: [f64; 4],
    /// Highest molality of the data behind the parameters (mol/kg).
    pub max_molality: f64,
    /// Molality up to which the equation is used as it stands (mol/kg); φ bends over above it. Usually
    /// [`Self::max_molality`], more where a warm solution can be stronger than the data.
    pub bend_molality: f64,
    /// Whether the parameters belong to another, similar salt.
    pub is_borrowed: bool,
}

const fn salt(
    (cation, z_c): (&'static str, u32),
    (anion, z_a): (&'static str, u32),
    parameters: [f64; 4],
    max_molality: f64,
) -> BinarySalt {
    BinarySalt {
        cation,
        anion,
        charges: (z_c, z_a),
        parameters,
        max_molality,
        bend_molality: max_molality,
        is_borrowed: false,
    }
}

const fn used_to(mut s: BinarySalt, bend_molality: f64) -> BinarySalt {
    s.bend_molality = bend_molality;
    s
}

const fn borrowed(mut s: BinarySalt) -> BinarySalt {
    s.is_borrowed = true;
    s
}

/// The salts with published parameters.
///
/// # Source
/// May, P. M., Rowland, D., Hefter, G. and Königsberger, E., "A generic and updatable Pitzer
/// characterization of aqueous binary electrolyte solutions at 1 bar and 25 °C", J. Chem. Eng. Data 56
/// (2011) 5066, tables, as collected in the database of pyEQL 1.7.0; except:
/// - FeSO4: `pitzer.dat` of PHREEQC 3.8.6 (after Reardon and Beckie 1987; range from memory).
/// - CaSO4: Harvie, Møller and Weare, Geochim. Cosmochim. Acta 48 (1984) 723, which holds to saturation
///   (0.02 mol/kg); in mixtures it is used up to 2 mol/kg and is marked as borrowed.
/// - NaHCO3, KHCO3, Ca(HCO3)2, Mg(HCO3)2: the same paper, from memory; ranges from memory.
/// - H2SO4: fitted (water activity within 0.0007, 0.1–6 mol/kg) to PHREEQC 3.8.6 with `pitzer.dat`, which
///   has HSO4⁻ as a species; at 1, 2 and 3 mol/kg that gives 0.9617, 0.9129 and 0.8514 (the tables of
///   Robinson and Stokes: 0.962, 0.913, 0.851, from memory). It holds H⁺ and SO4²⁻ as separate ions.
/// - Cr2(SO4)3: those of Al2(SO4)3 without β2; sulfamates: those of the nitrates. Marked as borrowed.
#[rustfmt::skip]
pub static BINARY_SALTS: &[BinarySalt] = &[
    salt(("Ni", 2), ("SO4", 2), [0.1594, 2.944, -50.94, 0.040_78], 2.5),
    salt(("Ni", 2), ("Cl", 1), [0.3692, 1.441, 0.0, -0.011_09], 4.0),
    used_to(salt(("Cu", 2), ("SO4", 2), [0.2281, 2.505, -50.28, 0.005_787], 1.42), 2.5),
    salt(("Cu", 2), ("Cl", 1), [0.277, 1.496, 0.0, -0.028_06], 3.75),
    salt(("Zn", 2), ("SO4", 2), [0.1991, 2.63, -37.74, 0.028_92], 3.5),
    salt(("Zn", 2), ("Cl", 1), [0.1872, 1.766, 0.0, -0.036_25], 2.101),
    salt(("Fe", 2), ("SO4", 2), [0.2568, 3.063, -42.0, 0.0209], 2.0),
    salt(("Fe", 2), ("Cl", 1), [0.3516, 1.432, 0.0, -0.0156], 2.05),
    salt(("Cr3", 3), ("Cl", 1), [0.7592, 4.752, 0.0, -0.057_13], 1.2),
    borrowed(salt(("Cr3", 3), ("SO4", 2), [0.822, 21.12, 0.0, -0.0799], 1.1)),
    salt(("Na", 1), ("Cl", 1), [0.078_31, 0.2677, 0.0, 0.000_864], 6.148),
    salt(("Na", 1), ("SO4", 2), [0.019_59, 1.049, 0.0, 0.005_416], 5.0),
    salt(("Na", 1), ("OH", 1), [0.092_26, 0.2424, 0.0, 0.003_343], 11.5),
    salt(("Na", 1), ("HCO3", 1), [0.0277, 0.0411, 0.0, 0.0], 1.0),
    salt(("Na", 1), ("NO3", 1), [0.003_614, 0.2062, 0.0, -5.18e-5], 10.75),
    used_to(salt(("K", 1), ("Cl", 1), [0.048_74, 0.2215, 0.0, -0.000_98], 5.0), 6.0),
    salt(("K", 1), ("SO4", 2), [0.074_24, 0.5188, 0.0, -0.010_57], 2.0),
    salt(("K", 1), ("OH", 1), [0.1611, 0.137, 0.0, -0.001_38], 14.0),
    salt(("K", 1), ("HCO3", 1), [0.0296, -0.013, 0.0, -0.008], 1.0),
    salt(("K", 1), ("NO3", 1), [-0.077_33, 0.049_25, 0.0, 0.005_547], 3.8),
    salt(("NH4", 1), ("Cl", 1), [0.050_94, 0.2068, 0.0, -0.002_85], 7.405),
    salt(("NH4", 1), ("SO4", 2), [0.042_11, 0.582, 0.0, -0.001_34], 5.5),
    salt(("NH4", 1), ("NO3", 1), [-0.017_09, 0.091_98, 0.0, 0.000_419], 20.0),
    salt(("Ca", 2), ("Cl", 1), [0.31, 1.618, 0.0, -0.001_25], 5.0),
    borrowed(salt(("Ca", 2), ("SO4", 2), [0.20, 3.1973, -54.24, 0.0], 2.0)),
    salt(("Ca", 2), ("HCO3", 1), [0.4, 2.977, 0.0, 0.0], 0.1),
    salt(("Ca", 2), ("NO3", 1), [0.1683, 1.65, 0.0, -0.006_87], 6.0),
    salt(("Mg", 2), ("Cl", 1), [0.3553, 1.644, 0.0, 0.005_098], 5.925),
    salt(("Mg", 2), ("SO4", 2), [0.2153, 3.29, -40.15, 0.027_94], 3.618),
    salt(("Mg", 2), ("HCO3", 1), [0.329, 0.6072, 0.0, 0.0], 0.1),
    salt(("Mg", 2), ("NO3", 1), [0.3405, 1.672, 0.0, -0.009_01], 4.0),
    salt(("H", 1), ("Cl", 1), [0.1876, 0.2501, 0.0, -0.001_54], 10.5),
    salt(("H", 1), ("SO4", 2), [0.133_12, -0.550_29, 0.0, -0.001_194], 6.0),
    salt(("H", 1), ("NO3", 1), [0.111, 0.3805, 0.0, -0.004_24], 11.0),
    salt(("Ni", 2), ("NO3", 1), [0.315, 2.195, 0.0, -0.0049], 5.51),
    salt(("Cu", 2), ("NO3", 1), [0.281, 1.683, 0.0, -0.008_45], 7.84),
    salt(("Zn", 2), ("NO3", 1), [0.3248, 1.864, 0.0, -0.008_27], 7.103),
    borrowed(salt(("Ni", 2), ("Sulfamate", 1), [0.315, 2.195, 0.0, -0.0049], 5.51)),
    borrowed(salt(("H", 1), ("Sulfamate", 1), [0.111, 0.3805, 0.0, -0.004_24], 11.0)),
    borrowed(salt(("Na", 1), ("Sulfamate", 1), [0.003_614, 0.2062, 0.0, -5.18e-5], 10.75)),
];

/// The salt of these two ions, if it has an entry.
#[must_use]
pub fn binary(cation: &str, anion: &str) -> Option<&'static BinarySalt> {
    BINARY_SALTS
        .iter()
        .find(|s| s.cation == cation && s.anion == anion)
}

/// The salt of these two ions, or one of the same charge type: KCl, Na2SO4, NiCl2, NiSO4, CrCl3 or
/// Al2(SO4)3; anything else is treated as the 3:2 type.
pub(super) fn binary_or_similar(cation: &str, anion: &str, charges: (u32, u32)) -> BinarySalt {
    if let Some(found) = binary(cation, anion) {
        // A scenario may give one of our keys another charge; then the entry is not that salt.
        if found.charges == charges {
            return *found;
        }
    }
    let (charges, parameters, max_molality) = match charges {
        (1, 1) => ((1, 1), [0.048_74, 0.2215, 0.0, -0.000_98], 5.0),
        (1, 2) => ((1, 2), [0.019_59, 1.049, 0.0, 0.005_416], 5.0),
        (2, 1) => ((2, 1), [0.3692, 1.441, 0.0, -0.011_09], 4.0),
        (2, 2) => ((2, 2), [0.1594, 2.944, -50.94, 0.040_78], 2.5),
        (3.., 1) => ((3, 1), [0.7592, 4.752, 0.0, -0.057_13], 1.2),
        (1, 3..) => ((1, 3), [0.7592, 4.752, 0.0, -0.057_13], 1.2),
        (c, a) => ((c.min(3), a.min(3)), [0.822, 21.12, 0.0, -0.0799], 1.1),
    };
    BinarySalt {
        cation: "",
        anion: "",
        charges,
        parameters,
        max_molality,
        bend_molality: max_molality,
        is_borrowed: true,
    }
}

impl BinarySalt {
    /// Osmotic coefficient (–) at molality `m` (mol of salt per kg of water), `m` ≥ 0.
    ///
    /// Follows the equation to [`bend_molality`](Self::bend_molality) and bends over smoothly above it.
    #[must_use]
    pub fn osmotic_coefficient(&self, m: f64) -> f64 {
        let class = ChargeClass::new(self.charges.0, self.charges.1);
        let equivalents = (m.max(0.0) * class.eq_per_salt).min(1e4);
        let terms = class.terms(equivalents, equivalents.sqrt());
        Curve::new(*self, class).phi(equivalents, &terms)
    }

    /// Ions per formula unit, ν.
    #[must_use]
    pub fn ions(&self) -> f64 {
        let class = ChargeClass::new(self.charges.0, self.charges.1);
        class.nu_c + class.nu_a
    }

    /// Water activity (–) of the salt alone at molality `m` (mol/kg).
    #[must_use]
    pub fn water_activity(&self, m: f64) -> f64 {
        let m = m.max(0.0);
        (-MOLAR_MASS_WATER * self.ions() * m * self.osmotic_coefficient(m)).exp()
    }
}

/// What all salts of one charge type share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ChargeClass {
    nu_c: f64,
    nu_a: f64,
    eq_per_salt: f64,
    /// √(ionic strength per equivalent).
    root_strength: f64,
    debye: f64,
    alpha1: f64,
    alpha2: f64,
}

/// Values of one class at one composition: Debye–Hückel term and the two exponentials.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct ClassTerms {
    debye: f64,
    exp1: f64,
    exp2: f64,
}

impl ChargeClass {
    pub(super) fn new(z_c: u32, z_a: u32) -> Self {
        let common = if z_c == z_a { z_c } else { 1 };
        let (nu_c, nu_a) = (f64::from(z_a / common), f64::from(z_c / common));
        let (z_c, z_a) = (f64::from(z_c), f64::from(z_a));
        let is_two_two = z_c > 1.5 && z_a > 1.5 && z_c < 2.5 && z_a < 2.5;
        Self {
            nu_c,
            nu_a,
            eq_per_salt: nu_c * z_c,
            root_strength: (0.5 * (z_c + z_a)).sqrt(),
            debye: z_c * z_a * DEBYE_HUCKEL_SLOPE,
            alpha1: if is_two_two { 1.4 } else { 2.0 },
            alpha2: if is_two_two { 12.0 } else { 0.0 },
        }
    }

    /// The terms at `equivalents` (mol/kg), whose square root is `root`.
    pub(super) fn terms(&self, equivalents: f64, root: f64) -> ClassTerms {
        debug_assert!((root * root - equivalents).abs() <= 1e-9 * (1.0 + equivalents));
        let strength = self.root_strength * root;
        ClassTerms {
            debye: self.debye * strength / (1.0 + 1.2 * strength),
            exp1: (-self.alpha1 * strength).exp(),
            exp2: if self.alpha2 > 0.0 {
                (-self.alpha2 * strength).exp()
            } else {
                0.0
            },
        }
    }
}

/// Pitzer's equation of one salt as a function of equivalents per kilogram of water, with its extension.
#[derive(Debug, Clone, Copy)]
pub(super) struct Curve {
    b0: f64,
    b1: f64,
    b2: f64,
    c: f64,
    max_equivalents: f64,
    bend_equivalents: f64,
    phi_at_bend: f64,
    slope_at_bend: f64,
    /// Length over which the slope dies out above the bend (mol/kg).
    span: f64,
    is_borrowed: bool,
}

impl Curve {
    pub(super) fn new(salt: BinarySalt, class: ChargeClass) -> Self {
        let nu = class.nu_c + class.nu_a;
        let product = class.nu_c * class.nu_a;
        let per_eq = 1.0 / class.eq_per_salt;
        let b = 2.0 * product / nu * per_eq;
        let [beta0, beta1, beta2, c] = salt.parameters;
        let mut curve = Self {
            b0: b * beta0,
            b1: b * beta1,
            b2: b * beta2,
            c: 2.0 * product.powf(1.5) / nu * c * per_eq * per_eq,
            max_equivalents: salt.max_molality * class.eq_per_salt,
            bend_equivalents: f64::INFINITY,
            phi_at_bend: 0.0,
            slope_at_bend: 0.0,
            span: 1.0,
            is_borrowed: salt.is_borrowed,
        };
        let bend = salt.bend_molality * class.eq_per_salt;
        let phi = |e: f64| curve.phi(e, &class.terms(e, e.sqrt()));
        let step = 1e-4 * bend;
        let slope = (phi(bend + step) - phi(bend - step)) / (2.0 * step);
        let at_bend = phi(bend);
        curve.phi_at_bend = at_bend;
        curve.slope_at_bend = slope;
        // φ may rise or fall by no more than half its last value, and over no more than the data's range;
        // then `m·φ` keeps rising wherever it rises at the bend.
        curve.span = bend.min(0.5 * at_bend / slope.abs().max(1e-9));
        curve.bend_equivalents = bend;
        curve
    }

    /// Osmotic coefficient (–) at `equivalents` (mol/kg), given the class terms there.
    pub(super) fn phi(&self, equivalents: f64, terms: &ClassTerms) -> f64 {
        let beyond = equivalents - self.bend_equivalents;
        if beyond > 0.0 {
            let share = beyond / (beyond + self.span);
            return self.phi_at_bend + self.slope_at_bend * self.span * share;
        }
        let second = self.b0 + self.b1 * terms.exp1 + self.b2 * terms.exp2;
        1.0 - terms.debye + equivalents * (second + equivalents * self.c)
    }

    /// Whether the data reach to `equivalents`, and belong to this salt.
    pub(super) fn covers(&self, equivalents: f64) -> bool {
        equivalents <= self.max_equivalents && !self.is_borrowed
    }
}
