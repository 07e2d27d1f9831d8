//! Water: the common enthalpy reference, vapour pressure and density.
//!
//! All enthalpies of this crate share one reference state: liquid water at 0 °C and dry air at 0 °C have none.
//! Liquid water has the constant heat capacity [`CP_WATER`], steam the constant [`CP_VAPOUR`], and the latent heat
//! is the difference of the two enthalpies. One reference makes the energy balances of tank, tower and open surface
//! close to rounding, which is worth more here than the last parts in a thousand of the heat capacity.
//!
//! Vapour pressure comes in two forms: [`saturation_pressure_pa`] is the published formulation, and
//! [`saturation_pressure_fast_pa`] a polynomial fitted to it for inner loops. Below the triple point both give the
//! pressure over ice, as weather records and handbooks of moist air do.

mod region1;

pub use region1::{Region1, region1};

/// Specific heat capacity of liquid water, J/(kg·K), taken as constant.
///
/// Against IAPWS-IF97 at 101.325 kPa the heat capacity itself is within 0.18 % from 15 to 80 °C and 0.5 % at
/// 0–100 °C (the true one falls to 4,179 J/(kg·K) at 37 °C and rises to 4,205 at 90 °C); the enthalpy above 0 °C is
/// within 0.36 % from 20 to 100 °C and, in absolute terms, within 0.5 kJ/kg from 0 to 100 °C.
pub const CP_WATER: f64 = 4186.0;

/// Specific heat capacity of water vapour, J/(kg·K), the constant of the usual moist-air formula.
pub const CP_VAPOUR: f64 = 1860.0;

/// Latent heat of water at 0 °C, J/kg, the constant of the usual moist-air formula.
pub const LATENT_HEAT_0C: f64 = 2.501e6;

/// Temperature of 0 °C in kelvin.
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// Molar mass of water, kg/mol (IAPWS R6-95: 18.015268 g/mol).
pub const MOLAR_MASS_WATER: f64 = 0.018_015_268;

/// Temperature of the triple point of water, °C.
pub const TRIPLE_POINT_C: f64 = 0.01;

/// Specific enthalpy of liquid water, J/kg: `4186·T`.
///
/// `temp_c` in °C; compared with IAPWS-IF97 under [`CP_WATER`].
#[inline]
#[must_use]
pub fn enthalpy_liquid_j_per_kg(temp_c: f64) -> f64 {
    CP_WATER * temp_c
}

/// Specific enthalpy of water vapour, J/kg: `2.501e6 + 1860·T`.
///
/// `temp_c` in °C.
///
/// # Valid
/// −20 to 100 °C; against saturated steam of IAPWS-IF97 within 0.5 % (the formula treats steam as an ideal gas).
///
/// # Source
/// ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 30.
#[inline]
#[must_use]
pub fn enthalpy_vapour_j_per_kg(temp_c: f64) -> f64 {
    LATENT_HEAT_0C + CP_VAPOUR * temp_c
}

/// Latent heat of evaporation, J/kg: vapour enthalpy less liquid enthalpy at the same temperature.
///
/// `temp_c` in °C. Against IAPWS-IF97 within 0.6 % from 0 to 100 °C.
#[inline]
#[must_use]
pub fn latent_heat_j_per_kg(temp_c: f64) -> f64 {
    enthalpy_vapour_j_per_kg(temp_c) - enthalpy_liquid_j_per_kg(temp_c)
}

/// Coefficients n1 to n10 of the IAPWS-IF97 saturation equation (region 4), table 34 of IAPWS R7-97.
const REGION4: [f64; 10] = [
    0.116_705_214_527_67e4,
    -0.724_213_167_032_06e6,
    -0.170_738_469_400_92e2,
    0.120_208_247_024_70e5,
    -0.323_255_503_223_33e7,
    0.149_151_086_135_30e2,
    -0.482_326_573_615_91e4,
    0.405_113_405_420_57e6,
    -0.238_555_575_678_49,
    0.650_175_348_447_98e3,
];

/// Saturation pressure of water, Pa, at `temp_c` in °C: over liquid by IAPWS-IF97 (region 4), over ice below 0.01 °C.
///
/// # Valid
/// −100 to 373.9 °C. Below and above, the temperature is held at that limit.
///
/// # Source
/// Liquid: IAPWS R7-97 (2012), Industrial Formulation 1997, equation 30. Ice: IAPWS R14-08 (2011), pressure along
/// the melting and sublimation curves, equation 6 (Wagner and others, 2011). Both give 611.657 Pa at the triple point.
///
/// ```
/// # use dragback_properties::water::saturation_pressure_pa;
/// // IAPWS R7-97, table 35: 0.353658941e-2 MPa at 300 K.
/// assert!((saturation_pressure_pa(26.85) - 3536.58941).abs() < 1e-5);
/// ```
#[must_use]
pub fn saturation_pressure_pa(temp_c: f64) -> f64 {
    if temp_c < TRIPLE_POINT_C {
        return sublimation_pressure_pa(temp_c.max(-100.0));
    }
    let n = &REGION4;
    let t_k = temp_c.min(373.945) + ZERO_CELSIUS_K;
    let theta = t_k + n[8] / (t_k - n[9]);
    let a = theta * theta + n[0] * theta + n[1];
    let b = n[2] * theta * theta + n[3] * theta + n[4];
    let c = n[5] * theta * theta + n[6] * theta + n[7];
    let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
    (2.0 * c / (root - b)).powi(4) * 1e6
}

/// Pressure over ice, Pa, below the triple point (IAPWS R14-08, equation 6).
fn sublimation_pressure_pa(temp_c: f64) -> f64 {
    const TRIPLE_K: f64 = 273.16;
    const TRIPLE_PA: f64 = 611.657;
    let theta = (temp_c + ZERO_CELSIUS_K) / TRIPLE_K;
    let sum = -0.212_144_006e2 * theta.powf(0.333_333_333e-2)
        + 0.273_203_819e2 * theta.powf(0.120_666_667e1)
        - 0.610_598_130e1 * theta.powf(0.170_333_333e1);
    TRIPLE_PA * (sum / theta).exp()
}

/// Saturation temperature of liquid water, °C, at `pressure_pa` in Pa.
///
/// # Valid
/// 611.213 Pa (0 °C) to 22.064 MPa; outside, the pressure is held at that limit.
///
/// # Source
/// IAPWS R7-97 (2012), equation 31 (the exact inverse of equation 30).
///
/// ```
/// # use dragback_properties::water::saturation_temperature_c;
/// // IAPWS R7-97, table 36: 372.755919 K at 0.1 MPa.
/// assert!((saturation_temperature_c(1e5) - (372.755919 - 273.15)).abs() < 1e-6);
/// ```
#[must_use]
pub fn saturation_temperature_c(pressure_pa: f64) -> f64 {
    let n = &REGION4;
    let beta = (pressure_pa.clamp(611.213, 22.064e6) * 1e-6).sqrt().sqrt();
    let e = beta * beta + n[2] * beta + n[5];
    let f = n[0] * beta * beta + n[3] * beta + n[6];
    let g = n[1] * beta * beta + n[4] * beta + n[7];
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).max(0.0).sqrt());
    let sum = n[9] + d;
    let t_k = 0.5 * (sum - (sum * sum - 4.0 * (n[8] + n[9] * d)).max(0.0).sqrt());
    t_k - ZERO_CELSIUS_K
}

/// `ln(p/Pa)` over liquid, in powers of `(T − 60 °C)/60 K`, fitted to IAPWS-IF97 from 0 to 120 °C.
const LN_P_LIQUID: [f64; 8] = [
    9.900_774_091_383_67,
    2.776_950_554_117_249_7,
    -5.725_695_497_206_775e-1,
    1.110_761_708_283_365_1e-1,
    -1.991_115_901_528_638_5e-2,
    3.760_936_176_852_783e-3,
    -8.821_695_066_630_588e-4,
    1.785_449_853_936_764_5e-4,
];

/// `ln(p/Pa)` over ice, in powers of `(T + 29.99 °C)/30.01 K`, fitted to IAPWS R14-08 from −60 to 0.02 °C.
const LN_P_ICE: [f64; 7] = [
    3.638_761_839_837_625,
    3.122_200_667_502_438,
    -3.854_074_821_867_61e-1,
    4.648_003_564_267_716_4e-2,
    -5.664_926_259_306_876e-3,
    7.127_119_972_727_473e-4,
    -8.784_554_551_364_276e-5,
];

/// Evaluates a polynomial and its derivative; coefficients run from the constant term upwards.
#[inline]
fn poly_and_slope<const N: usize>(c: &[f64; N], x: f64) -> (f64, f64) {
    let mut value = c[N - 1];
    let mut slope = 0.0;
    for &coefficient in c[..N - 1].iter().rev() {
        slope = slope * x + value;
        value = value * x + coefficient;
    }
    (value, slope)
}

/// Saturation pressure, Pa, and its slope, Pa/K, at `temp_c` in °C: the fast form for inner loops.
///
/// A polynomial for the logarithm of [`saturation_pressure_pa`], with the relative error of
/// [`saturation_pressure_fast_pa`]. The slope is the exact derivative of the value returned.
///
/// # Valid
/// As [`saturation_pressure_fast_pa`].
#[inline]
#[must_use]
pub fn saturation_pressure_and_slope_fast(temp_c: f64) -> (f64, f64) {
    // Outside the fitted range the logarithm continues along its tangent.
    let held_c = temp_c.clamp(-60.0, 120.0);
    let (ln_p, slope) = if temp_c >= TRIPLE_POINT_C {
        let (value, slope) = poly_and_slope(&LN_P_LIQUID, (held_c - 60.0) * (1.0 / 60.0));
        (value, slope * (1.0 / 60.0))
    } else {
        let (value, slope) = poly_and_slope(&LN_P_ICE, (held_c + 29.99) * (1.0 / 30.01));
        (value, slope * (1.0 / 30.01))
    };
    let p = (ln_p + slope * (temp_c - held_c)).exp();
    (p, p * slope)
}

/// Saturation pressure, Pa, at `temp_c` in °C: [`saturation_pressure_pa`] for inner loops.
///
/// # Valid
/// −60 to 120 °C, with a relative error below 5e-7 against [`saturation_pressure_pa`]; outside, the logarithm
/// continues along its tangent, so that an iteration that strays meets no wall.
///
/// # Source
/// Least-squares fit at Chebyshev points to IAPWS R7-97 equation 30 and IAPWS R14-08 equation 6.
#[inline]
#[must_use]
pub fn saturation_pressure_fast_pa(temp_c: f64) -> f64 {
    saturation_pressure_and_slope_fast(temp_c).0
}

/// Density of water, kg/m³, in powers of `(T − 50 °C)/50 K`.
const DENSITY: [f64; 7] = [
    988.047_775_763_719_5,
    -22.588_319_683_573_495,
    -8.236_874_758_128_451,
    1.496_723_471_712_189_3,
    -5.389_224_422_674_018e-1,
    3.451_626_498_670_867e-1,
    -1.723_778_698_831_903e-1,
];

/// Density of water at atmospheric pressure, kg/m³, and its slope, kg/(m³·K), at `temp_c` in °C.
///
/// # Valid
/// As [`density_kg_per_m3`].
#[inline]
#[must_use]
pub fn density_and_slope(temp_c: f64) -> (f64, f64) {
    let held_c = temp_c.clamp(0.0, 100.0);
    let (value, slope) = poly_and_slope(&DENSITY, (held_c - 50.0) * 0.02);
    let slope = slope * 0.02;
    (value + slope * (temp_c - held_c), slope)
}

/// Density of water at atmospheric pressure, kg/m³, at `temp_c` in °C.
///
/// # Valid
/// 0 to 100 °C, within 0.002 kg/m³ of IAPWS-IF97; outside, it continues along the tangent.
///
/// # Source
/// Least-squares fit at Chebyshev points to IAPWS R7-97 region 1 at 101.325 kPa.
///
/// ```
/// # use dragback_properties::water::density_kg_per_m3;
/// assert!((density_kg_per_m3(20.0) - 998.21).abs() < 0.01);
/// ```
#[inline]
#[must_use]
pub fn density_kg_per_m3(temp_c: f64) -> f64 {
    if (0.0..=100.0).contains(&temp_c) {
        // Where no tangent is needed, neither is the slope: this stands in the innermost loops.
        let x = (temp_c - 50.0) * 0.02;
        // In pairs (Estrin), which the processor works on side by side.
        let [c0, c1, c2, c3, c4, c5, c6] = DENSITY;
        let x2 = x * x;
        return (c0 + c1 * x + (c2 + c3 * x) * x2) + (c4 + c5 * x + c6 * x2) * (x2 * x2);
    }
    density_and_slope(temp_c).0
}
