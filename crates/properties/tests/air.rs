//! Moist air against the ASHRAE tables, against psychrolib and against a table of real moist air by CoolProp.
//!
//! The program's air is ideal: it leaves out the enhancement factor (1.0045 at 20 °C and normal pressure) by which real
//! saturated air holds more vapour, and so the published saturation humidity ratios are not met to their last digit. The
//! ASHRAE text puts the error of ideal air below 0.7 % from −50 to 50 °C at normal pressure; towards boiling it grows,
//! because W = 0.622·p/(P − p) multiplies it by P/(P − p).

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper that fails fails its test"
)]

use dragback_properties::air::{
    AirError, AirState, STANDARD_PRESSURE_PA, enthalpy_j_per_kg_da, fogged_air,
    humidity_ratio_from_vapour_pressure, humidity_ratio_saturated, pressure_at_altitude_pa,
};
use dragback_properties::water::{CP_WATER, saturation_pressure_pa};

#[track_caller]
fn close(found: f64, wanted: f64, relative: f64) {
    let error = (found / wanted - 1.0).abs();
    assert!(
        error <= relative,
        "{found} against {wanted}: {error:e} > {relative:e}"
    );
}

#[track_caller]
fn near(found: f64, wanted: f64, absolute: f64) {
    assert!(
        (found - wanted).abs() <= absolute,
        "{found} against {wanted} ± {absolute}"
    );
}

fn air(temp_c: f64, humidity: f64, pressure_pa: f64) -> AirState {
    AirState::from_relative_humidity(temp_c, humidity, pressure_pa).unwrap()
}

#[test]
fn ashrae_saturation_table() {
    // ASHRAE Handbook: Fundamentals (2017), chapter 1, table 2 (101.325 kPa): saturation humidity ratio, enthalpy J/kg; the
    // last columns say how far ideal air may be below.
    let table = [
        (5.0, 0.005425, 18_639.0, 0.005, 0.0045),
        (25.0, 0.020173, 76_504.0, 0.005, 0.004),
        (50.0, 0.086863, 275_353.0, 0.0065, 0.005),
        (85.0, 0.838105, 2_307_539.0, 0.0125, 0.009),
    ];
    for (t_c, w, h, w_below, h_below) in table {
        let found = humidity_ratio_saturated(t_c, STANDARD_PRESSURE_PA);
        let enthalpy = enthalpy_j_per_kg_da(t_c, found);
        println!(
            "{t_c} °C: W {:+.3} %, h {:+.3} %",
            100.0 * (found / w - 1.0),
            100.0 * (enthalpy / h - 1.0)
        );
        assert!(
            found < w && found > w * (1.0 - w_below),
            "{t_c} °C: {found} against {w}"
        );
        assert!(
            enthalpy < h && enthalpy > h * (1.0 - h_below),
            "{t_c} °C: {enthalpy} against {h}"
        );
        // The whole difference is the enhancement factor: with it the table is met.
        let factor = 1.0044 + 1.2e-5 * t_c;
        let real = humidity_ratio_from_vapour_pressure(
            factor * saturation_pressure_pa(t_c),
            STANDARD_PRESSURE_PA,
        );
        close(real, w, if t_c > 80.0 { 5e-3 } else { 1e-3 });
    }
}

#[test]
fn ideal_saturation_agrees_with_psychrolib() {
    // psychrolib 2.5.0 (ideal mixture, saturation by Hyland and Wexler, which differs from IF97 by up to 2.5e-4 in pressure).
    // °C; W and kJ/kg at 101.325 kPa; W and kJ/kg at 84 kPa.
    let table = [
        (10.0, 0.007630, 29.285, 0.009227, 33.309),
        (20.0, 0.014695, 57.419, 0.017813, 65.332),
        (30.0, 0.027203, 99.732, 0.033112, 114.840),
        (40.0, 0.048883, 166.132, 0.059936, 194.600),
        (50.0, 0.086327, 274.231, 0.107201, 328.378),
        (60.0, 0.152417, 458.566, 0.193641, 566.267),
        (70.0, 0.276689, 798.443, 0.367474, 1037.316),
        (80.0, 0.546940, 1529.763, 0.805923, 2216.014),
    ];
    for (t_c, w, h, w84, h84) in table {
        let found = humidity_ratio_saturated(t_c, 101_325.0);
        close(found, w, 3e-4);
        close(enthalpy_j_per_kg_da(t_c, found), h * 1e3, 3e-4);
        let found = humidity_ratio_saturated(t_c, 84_000.0);
        close(found, w84, 3e-4);
        close(enthalpy_j_per_kg_da(t_c, found), h84 * 1e3, 3e-4);
    }
}

#[test]
fn ashrae_example_and_wet_bulbs() {
    // ASHRAE Handbook: Fundamentals (2017), chapter 1, example 1: 40 °C dry bulb, 20 °C wet bulb, 101.325 kPa, read from the
    // chart: W 0.0065, dew point 7 °C, humidity 14 %, h 56.7 kJ/kg, v 0.896 m³/kg. The formulas put the dew point at 7.4 °C.
    let with = |humidity_ratio| AirState {
        temp_c: 40.0,
        humidity_ratio,
        pressure_pa: 101_325.0,
    };
    let (mut low, mut high) = (0.0, 0.02);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if with(middle).wet_bulb_c() > 20.0 {
            high = middle
        } else {
            low = middle
        }
    }
    let state = with(low);
    near(state.humidity_ratio, 0.0065, 1e-4);
    near(state.dew_point_c(), 7.0, 0.5);
    near(state.relative_humidity(), 0.14, 0.005);
    near(state.enthalpy_j_per_kg_da(), 56.7e3, 50.0);
    near(state.specific_volume_m3_per_kg_da(), 0.896, 5e-4);
    // Check values of psychrolib's tests (a spreadsheet), at 95,461 Pa.
    let wet = AirState {
        temp_c: 30.0,
        humidity_ratio: 0.019_228_1,
        pressure_pa: 95_461.0,
    };
    near(wet.wet_bulb_c(), 25.0, 2e-3);
    let frost = AirState {
        temp_c: -1.0,
        humidity_ratio: 0.001_204,
        pressure_pa: 95_461.0,
    };
    near(frost.wet_bulb_c(), -5.0, 2e-3);
}

#[test]
fn states_agree_with_psychrolib() {
    // psychrolib 2.5.0: °C, humidity, kPa; wet bulb, W, dew point, h kJ/kg, v m³/kg.
    let table = [
        (20.0, 0.5, 101.325, 13.783, 0.007262, 9.272, 38.552, 0.84016),
        (
            25.0, 0.5, 101.325, 17.889, 0.009881, 13.864, 50.322, 0.85804,
        ),
        (
            30.0, 0.3, 101.325, 17.972, 0.007918, 10.548, 50.426, 0.86972,
        ),
        (
            35.0, 0.6, 101.325, 28.175, 0.021441, 26.068, 90.230, 0.90305,
        ),
        (
            15.0, 0.8, 101.325, 12.985, 0.008489, 11.582, 36.558, 0.82744,
        ),
        (25.0, 0.5, 84.0, 17.444, 0.011958, 13.864, 55.613, 1.03842),
        (35.0, 0.2, 84.0, 17.887, 0.008447, 8.707, 56.886, 1.06730),
        (40.0, 0.1, 95.0, 18.106, 0.004872, 2.629, 52.786, 0.95359),
    ];
    for (t_c, humidity, kpa, wet, w, dew, h, v) in table {
        let state = air(t_c, humidity, kpa * 1e3);
        near(state.wet_bulb_c(), wet, 5e-3);
        near(state.dew_point_c(), dew, 6e-3);
        close(state.humidity_ratio, w, 4e-4);
        close(state.enthalpy_j_per_kg_da(), h * 1e3, 3e-4);
        close(state.specific_volume_m3_per_kg_da(), v, 3e-5);
    }
}

#[test]
fn real_moist_air_by_coolprop() {
    let mut rows = 0;
    let mut worst = [0.0_f64; 5];
    for line in include_str!("../data/coolprop_moist_air.csv")
        .lines()
        .skip(2)
    {
        let c: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let [t_c, humidity, pressure_pa, w, h, v, wet, dew] = c[..] else {
            panic!("{line}")
        };
        let state = air(t_c, humidity, pressure_pa);
        rows += 1;
        // Allowed: the enhancement factor (up to 0.65 % here), which W multiplies by P/(P − p).
        let vapour_share = state.vapour_pressure_pa() / pressure_pa;
        let w_error = state.humidity_ratio / w - 1.0;
        assert!(
            w_error.abs() < 0.0065 / (1.0 - vapour_share),
            "{line}: W {w_error}"
        );
        // h: that error at 2.5 MJ/kg, and 60 J/kg for the gas itself.
        let h_error = state.enthalpy_j_per_kg_da() - h;
        let h_allowed = 60.0 + w_error.abs() * w * 2.62e6 + 0.0015 * w * 2.6e6;
        assert!(h_error.abs() < h_allowed, "{line}: h {h_error}");
        let v_error = state.specific_volume_m3_per_kg_da() / v - 1.0;
        // v: air is not quite an ideal gas, by 0.07 % at −10 °C and 0.03 % at 25 °C.
        assert!(
            v_error.abs() < 8e-4 + 2.6e-3 * vapour_share,
            "{line}: v {v_error}"
        );
        let wet_error = state.wet_bulb_c() - wet;
        assert!(wet_error.abs() < 0.035, "{line}: wet bulb {wet_error}");
        let dew_error = state.dew_point_c() - dew;
        // Dew point: the enhancement factor of hot dry air against that of its dew point, 0.2 %.
        assert!(dew_error.abs() < 0.035, "{line}: dew point {dew_error}");
        let errors = [w_error, h_error, v_error, wet_error, dew_error];
        for (most, error) in worst.iter_mut().zip(errors) {
            *most = most.max(error.abs());
        }
    }
    println!("worst of W (rel), h (J/kg), v (rel), wet bulb (K), dew point (K): {worst:?}");
    assert_eq!(rows, 88);
}

#[test]
fn standard_atmosphere() {
    // ASHRAE Handbook: Fundamentals (2017), chapter 1, table 1.
    for (altitude_m, pa) in [
        (0.0, 101_325.0),
        (500.0, 95_461.0),
        (1000.0, 89_875.0),
        (4000.0, 61_640.0),
    ] {
        near(pressure_at_altitude_pa(altitude_m), pa, 15.0);
    }
}

#[test]
fn ceiling_of_saturated_air() {
    // Computed with CoolProp 8.0.0: evaporation, kg/h, per 1,000 m³/h of air at 20 or 25 °C, 50 %, that leaves saturated at
    // 45 or 50 °C, and the rise of its enthalpy, kW. Ideal air holds 0.6 % less.
    let table = [
        (20.0, 45.0, 1190.7, 69.20, 58.06),
        (25.0, 45.0, 1165.8, 64.69, 53.03),
        (25.0, 50.0, 1165.8, 89.69, 72.84),
    ];
    for (in_c, out_c, dry_kg, kg, kw) in table {
        let state = air(in_c, 0.5, 101_325.0);
        let dry_air = 1000.0 / state.specific_volume_m3_per_kg_da();
        close(dry_air, dry_kg, 5e-4);
        let out = humidity_ratio_saturated(out_c, 101_325.0);
        close(dry_air * (out - state.humidity_ratio), kg, 8e-3);
        let rise = enthalpy_j_per_kg_da(out_c, out) - state.enthalpy_j_per_kg_da();
        close(dry_air * rise / 3.6e6, kw, 8e-3);
    }
}

#[test]
fn fog_keeps_enthalpy_and_water() {
    for (t_c, w_more) in [(5.0, 0.001), (25.0, 0.01), (60.0, 0.03), (80.0, 0.2)] {
        let saturated = humidity_ratio_saturated(t_c, 95e3);
        let h = enthalpy_j_per_kg_da(t_c, saturated) + w_more * CP_WATER * t_c;
        let found = fogged_air(h, saturated + w_more, 95e3);
        near(found.temp_c, t_c, 1e-9);
        near(found.fog_ratio, w_more, 1e-11);
        // Just below saturation there is no fog and the plain formula holds.
        let clear = fogged_air(
            enthalpy_j_per_kg_da(t_c, 0.99 * saturated),
            0.99 * saturated,
            95e3,
        );
        near(clear.temp_c, t_c, 1e-9);
        assert!(clear.fog_ratio.abs() < 1e-15);
    }
}

#[test]
fn impossible_air_is_refused() {
    let refused = |t, humidity, p| AirState::from_relative_humidity(t, humidity, p).unwrap_err();
    assert!(matches!(
        refused(20.0, 1.2, 1e5),
        AirError::RelativeHumidity { .. }
    ));
    assert!(matches!(
        refused(20.0, f64::NAN, 1e5),
        AirError::RelativeHumidity { .. }
    ));
    assert!(matches!(refused(20.0, 0.5, 0.0), AirError::Pressure { .. }));
    assert!(matches!(
        refused(f64::NAN, 0.5, 1e5),
        AirError::Temperature { .. }
    ));
    assert!(matches!(
        refused(105.0, 0.95, 1e5),
        AirError::Temperature { .. }
    ));
    let wrong = AirState {
        temp_c: 20.0,
        humidity_ratio: -0.1,
        pressure_pa: 1e5,
    };
    assert!(matches!(wrong.check(), Err(AirError::HumidityRatio { .. })));
}

#[test]
fn humidity_ratio_stays_finite_at_boiling() {
    let mut before = 0.0;
    for i in 0..200 {
        let w = humidity_ratio_from_vapour_pressure(1e3 * f64::from(i), 1e5);
        assert!(w.is_finite() && w >= before);
        before = w;
    }
}
