//! Water against IAPWS-IF97 and its check tables.
//!
//! Published: IAPWS R7-97 (Revised Release on the Industrial Formulation 1997), tables 5, 35 and 36; IAPWS R14-08, check
//! value for the sublimation pressure. Tolerances are the last printed digit unless a reason stands beside them.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper that fails fails its test"
)]

use dragback_properties::water::{
    CP_WATER, density_and_slope, density_kg_per_m3, enthalpy_liquid_j_per_kg,
    enthalpy_vapour_j_per_kg, latent_heat_j_per_kg, region1, saturation_pressure_and_slope_fast,
    saturation_pressure_fast_pa, saturation_pressure_pa, saturation_temperature_c,
};

#[track_caller]
fn close(found: f64, wanted: f64, relative: f64) {
    let error = (found / wanted - 1.0).abs();
    assert!(
        error <= relative,
        "{found} against {wanted}: {error:e} > {relative:e}"
    );
}

#[test]
fn region_1_check_table() {
    // IAPWS R7-97, table 5: (T K, p MPa), v m³/kg, h, u kJ/kg, s, cp kJ/(kg·K), w m/s.
    let table = [
        (
            (300.0, 3.0),
            [
                0.100215168e-2,
                0.115331273e3,
                0.112324818e3,
                0.392294792,
                0.417301218e1,
                0.150773921e4,
            ],
        ),
        (
            (300.0, 80.0),
            [
                0.971180894e-3,
                0.184142828e3,
                0.106448356e3,
                0.368563852,
                0.401008987e1,
                0.163469054e4,
            ],
        ),
        (
            (500.0, 3.0),
            [
                0.120241800e-2,
                0.975542239e3,
                0.971934985e3,
                0.258041912e1,
                0.465580682e1,
                0.124071337e4,
            ],
        ),
    ];
    for ((t_k, p_mpa), wanted) in table {
        let w = region1(t_k, p_mpa * 1e6);
        let found = [
            w.volume_m3_per_kg,
            w.enthalpy_j_per_kg / 1e3,
            w.internal_energy_j_per_kg / 1e3,
            w.entropy_j_per_kg_k / 1e3,
            w.cp_j_per_kg_k / 1e3,
            w.sound_m_per_s,
        ];
        for (f, want) in found.into_iter().zip(wanted) {
            close(f, want, 6e-9);
        }
    }
}

#[test]
fn saturation_check_tables() {
    // IAPWS R7-97, table 35.
    for (t_k, p_mpa) in [
        (300.0, 0.353658941e-2),
        (500.0, 0.263889776e1),
        (600.0, 0.123443146e2),
    ] {
        close(saturation_pressure_pa(t_k - 273.15), p_mpa * 1e6, 3e-9);
    }
    // IAPWS R7-97, table 36.
    for (p_mpa, t_k) in [
        (0.1, 0.372755919e3),
        (1.0, 0.453035632e3),
        (10.0, 0.584149488e3),
    ] {
        close(saturation_temperature_c(p_mpa * 1e6) + 273.15, t_k, 3e-9);
    }
    // IAPWS R14-08, check value: 8.94735 Pa over ice at 230 K.
    close(saturation_pressure_pa(230.0 - 273.15), 8.94735, 1e-6);
    // ASHRAE Handbook: Fundamentals (2017), chapter 1, table 3, Pa; it uses Hyland and Wexler below and IAPWS above, so the
    // last digits differ from IF97.
    for (t_c, p_pa) in [
        (5.0, 872.6),
        (25.0, 3169.7),
        (50.0, 12351.3),
        (100.0, 101418.0),
        (150.0, 476101.4),
    ] {
        close(saturation_pressure_pa(t_c), p_pa, 6e-5);
    }
}

#[test]
fn fast_saturation_follows_the_formulation() {
    let mut worst = 0.0_f64;
    for i in 0..=36_000 {
        let t_c = -60.0 + 0.005 * f64::from(i);
        let exact = saturation_pressure_pa(t_c);
        worst = worst.max((saturation_pressure_fast_pa(t_c) / exact - 1.0).abs());
    }
    println!("worst relative error of the fast saturation pressure: {worst:e}");
    assert!(worst < 5e-7);
}

#[test]
fn fast_saturation_slope_is_its_derivative() {
    for t_c in [-75.0, -40.0, -1.0, 0.5, 20.0, 60.0, 99.0, 119.0, 130.0] {
        let (_, slope) = saturation_pressure_and_slope_fast(t_c);
        let step = 1e-3;
        let by_difference = (saturation_pressure_fast_pa(t_c + step)
            - saturation_pressure_fast_pa(t_c - step))
            / (2.0 * step);
        close(slope, by_difference, 1e-6);
    }
}

#[test]
fn density_follows_if97() {
    let mut worst = 0.0_f64;
    for i in 0..=990 {
        let t_c = 0.1 * f64::from(i);
        let exact = 1.0 / region1(t_c + 273.15, 101_325.0).volume_m3_per_kg;
        worst = worst.max((density_kg_per_m3(t_c) - exact).abs());
    }
    println!("worst error of the density: {worst} kg/m³");
    assert!(worst < 0.002);
    // Continued along the tangent outside.
    for t_c in (0..=1000).map(|i| 0.1 * f64::from(i)) {
        // Two ways to one polynomial.
        close(density_kg_per_m3(t_c), density_and_slope(t_c).0, 1e-12);
    }
    let (at_edge, slope) = density_and_slope(100.0);
    close(density_kg_per_m3(110.0), at_edge + 10.0 * slope, 1e-12);
    for t_c in [3.0, 25.0, 77.0] {
        let by_difference = (density_kg_per_m3(t_c + 1e-3) - density_kg_per_m3(t_c - 1e-3)) / 2e-3;
        assert!((density_and_slope(t_c).1 - by_difference).abs() < 1e-6);
    }
}

#[test]
fn constant_heat_capacity_stays_near_if97() {
    for i in 15..=99 {
        let t_c = f64::from(i);
        let exact = region1(t_c + 273.15, 101_325.0);
        let cp_error = CP_WATER / exact.cp_j_per_kg_k - 1.0;
        assert!(
            cp_error.abs() < if i <= 80 { 2.5e-3 } else { 7.5e-3 },
            "{t_c} °C: {cp_error}"
        );
        let from_zero = exact.enthalpy_j_per_kg - region1(273.15, 101_325.0).enthalpy_j_per_kg;
        let h_error = enthalpy_liquid_j_per_kg(t_c) - from_zero;
        assert!(h_error.abs() < 500.0, "{t_c} °C: {h_error} J/kg");
        if i >= 20 {
            assert!(
                (h_error / from_zero).abs() < 3.6e-3,
                "{t_c} °C: {h_error} of {from_zero}"
            );
        }
    }
}

#[test]
fn latent_heat_stays_near_if97() {
    // Saturated water by IF97, kJ/kg: latent heat and enthalpy of steam (computed with the Python package iapws 1.5.5).
    let table = [
        (20.0, 2453.55, 2537.47),
        (25.0, 2441.71, 2546.54),
        (30.0, 2429.84, 2555.58),
        (40.0, 2406.00, 2573.54),
        (50.0, 2381.97, 2591.31),
        (60.0, 2357.69, 2608.85),
        (70.0, 2333.08, 2626.10),
        (80.0, 2308.07, 2643.01),
        (90.0, 2282.56, 2659.53),
        (100.0, 2256.47, 2675.57),
    ];
    for (t_c, latent, steam) in table {
        close(latent_heat_j_per_kg(t_c), latent * 1e3, 6e-3);
        close(enthalpy_vapour_j_per_kg(t_c), steam * 1e3, 5e-3);
    }
}
