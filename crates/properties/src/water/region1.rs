//! IAPWS-IF97 region 1 (compressed liquid water), kept as the yardstick for the simpler forms used elsewhere.

/// Specific gas constant of water of IAPWS-IF97, J/(kg·K).
const R: f64 = 461.526;

/// Exponents I and J and coefficient n of equation 7: table 2 of IAPWS R7-97.
const TERMS: [(i32, i32, f64); 34] = [
    (0, -2, 1.463_297_121_316_70e-1),
    (0, -1, -8.454_818_716_911_40e-1),
    (0, 0, -3.756_360_367_204_00),
    (0, 1, 3.385_516_916_838_50),
    (0, 2, -9.579_196_338_787_20e-1),
    (0, 3, 1.577_203_851_322_80e-1),
    (0, 4, -1.661_641_719_950_10e-2),
    (0, 5, 8.121_462_998_356_80e-4),
    (1, -9, 2.831_908_012_380_40e-4),
    (1, -7, -6.070_630_156_587_40e-4),
    (1, -1, -1.899_006_821_841_90e-2),
    (1, 0, -3.252_974_877_050_50e-2),
    (1, 1, -2.184_171_717_541_40e-2),
    (1, 3, -5.283_835_796_993_00e-5),
    (2, -3, -4.718_432_107_326_70e-4),
    (2, 0, -3.000_178_079_302_60e-4),
    (2, 1, 4.766_139_390_698_70e-5),
    (2, 3, -4.414_184_533_084_60e-6),
    (2, 17, -7.269_499_629_759_40e-16),
    (3, -4, -3.167_964_484_505_40e-5),
    (3, 0, -2.827_079_798_531_20e-6),
    (3, 6, -8.520_512_812_010_30e-10),
    (4, -5, -2.242_528_190_800_00e-6),
    (4, -2, -6.517_122_289_560_10e-7),
    (4, 10, -1.434_172_993_792_40e-13),
    (5, -8, -4.051_699_686_011_70e-7),
    (8, -11, -1.273_430_174_164_10e-9),
    (8, -6, -1.742_487_123_063_40e-10),
    (21, -29, -6.876_213_129_553_10e-19),
    (23, -31, 1.447_830_782_852_10e-20),
    (29, -38, 2.633_578_166_279_50e-23),
    (30, -39, -1.194_762_264_007_10e-23),
    (31, -40, 1.822_809_458_140_40e-24),
    (32, -41, -9.353_708_729_245_80e-26),
];

/// Properties of liquid water from IAPWS-IF97 region 1.
///
/// The enthalpy here has the zero of IAPWS-IF97 (internal energy zero at the triple point), not exactly that of the
/// rest of this crate; differences of enthalpy may be compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Region1 {
    /// Specific volume, m³/kg.
    pub volume_m3_per_kg: f64,
    /// Specific enthalpy, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Specific internal energy, J/kg.
    pub internal_energy_j_per_kg: f64,
    /// Specific entropy, J/(kg·K).
    pub entropy_j_per_kg_k: f64,
    /// Specific isobaric heat capacity, J/(kg·K).
    pub cp_j_per_kg_k: f64,
    /// Speed of sound, m/s.
    pub sound_m_per_s: f64,
}

/// Properties of liquid water at `temp_k` in K and `pressure_pa` in Pa.
///
/// # Valid
/// 273.15 to 623.15 K at pressures from saturation to 100 MPa. Outside, the equation is extrapolated.
///
/// # Source
/// IAPWS R7-97 (2012), Industrial Formulation 1997, equation 7 and tables 2 and 3.
///
/// ```
/// # use dragback_properties::water::region1;
/// // IAPWS R7-97, table 5, at 300 K and 3 MPa.
/// assert!((region1(300.0, 3e6).volume_m3_per_kg - 0.100215168e-2).abs() < 1e-11);
/// ```
#[must_use]
pub fn region1(temp_k: f64, pressure_pa: f64) -> Region1 {
    let tau = 1386.0 / temp_k;
    let pi = pressure_pa / 16.53e6;
    let (x, y) = (7.1 - pi, tau - 1.222);
    let (mut g, mut g_pi, mut g_pipi) = (0.0, 0.0, 0.0);
    let (mut g_tau, mut g_tautau, mut g_pitau) = (0.0, 0.0, 0.0);
    for (i, j, n) in TERMS {
        let (fi, fj) = (f64::from(i), f64::from(j));
        let term = n * x.powi(i) * y.powi(j);
        g += term;
        g_pi -= term * fi / x;
        g_pipi += term * fi * (fi - 1.0) / (x * x);
        g_tau += term * fj / y;
        g_tautau += term * fj * (fj - 1.0) / (y * y);
        g_pitau -= term * fi * fj / (x * y);
    }
    let rt = R * temp_k;
    let volume = pi * g_pi * rt / pressure_pa;
    let enthalpy = tau * g_tau * rt;
    let mixed = g_pi - tau * g_pitau;
    Region1 {
        volume_m3_per_kg: volume,
        enthalpy_j_per_kg: enthalpy,
        internal_energy_j_per_kg: enthalpy - pressure_pa * volume,
        entropy_j_per_kg_k: R * (tau * g_tau - g),
        cp_j_per_kg_k: -R * tau * tau * g_tautau,
        sound_m_per_s: (rt * g_pi * g_pi / (mixed * mixed / (tau * tau * g_tautau) - g_pipi))
            .sqrt(),
    }
}
