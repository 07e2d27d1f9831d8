//! Open tanks and walls against the published table of heat losses, and the laws the formulas must keep.
//!
//! Table: engineeringtoolbox.com, "Heat loss from open water tanks" (values as in the older heater handbooks), still air of
//! 60 °F, Btu/(h·ft²). Relative humidity is not stated there; 50 % is taken.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper that fails fails its test"
)]

use dragback_properties::air::AirState;
use dragback_properties::surface::wall_loss_w_per_m2;
use dragback_properties::surface::{RoomAir, open_surface, sparged_area_m2};
use dragback_properties::water::latent_heat_j_per_kg;

/// 1 Btu/(h·ft²) in W/m².
const BTU: f64 = 3.154_59;
const ROOM_C: f64 = (60.0 - 32.0) / 1.8;

/// °F, then Btu/(h·ft²): evaporation, radiation, total, bare wall, 1, 2 and 3 inches of insulation.
const TABLE: [[f64; 8]; 13] = [
    [90.0, 80.0, 50.0, 130.0, 50.0, 12.0, 5.0, 4.0],
    [100.0, 160.0, 70.0, 230.0, 70.0, 15.0, 8.0, 6.0],
    [110.0, 240.0, 90.0, 330.0, 90.0, 19.0, 10.0, 7.0],
    [120.0, 360.0, 110.0, 470.0, 110.0, 23.0, 12.0, 9.0],
    [130.0, 480.0, 135.0, 615.0, 135.0, 27.0, 14.0, 10.0],
    [140.0, 660.0, 160.0, 820.0, 160.0, 31.0, 16.0, 12.0],
    [150.0, 860.0, 180.0, 1040.0, 180.0, 34.0, 18.0, 13.0],
    [160.0, 1100.0, 210.0, 1310.0, 210.0, 38.0, 21.0, 15.0],
    [170.0, 1380.0, 235.0, 1615.0, 235.0, 42.0, 23.0, 16.0],
    [180.0, 1740.0, 260.0, 2000.0, 260.0, 46.0, 25.0, 17.0],
    [190.0, 2160.0, 290.0, 2450.0, 290.0, 50.0, 27.0, 19.0],
    [200.0, 2680.0, 320.0, 3000.0, 320.0, 53.0, 29.0, 20.0],
    [210.0, 3240.0, 360.0, 3600.0, 360.0, 57.0, 31.0, 22.0],
];

fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

fn room() -> AirState {
    AirState::from_relative_humidity(ROOM_C, 0.5, 101_325.0).unwrap()
}

#[test]
fn open_tank_table() {
    let mut checked = 0;
    for [f, evaporation, _, total, ..] in TABLE {
        let t_c = celsius(f);
        let flux = open_surface(t_c, 1.0, &room(), 0.0).unwrap();
        let latent = flux.evaporation_kg_per_m2_s * latent_heat_j_per_kg(t_c) / BTU;
        let all = latent + (flux.convection_w_per_m2 + flux.radiation_w_per_m2) / BTU;
        println!(
            "{t_c:5.1} °C: evaporation {latent:6.0} / {evaporation:6.0} ({:+.1} %), total {all:6.0} / {total:6.0} ({:+.1} %)",
            100.0 * (latent / evaporation - 1.0),
            100.0 * (all / total - 1.0)
        );
        // Below 43 °C the table falls off faster than any source says, above 71 °C Stefan flow would count.
        if (43.0..72.0).contains(&t_c) {
            checked += 1;
            assert!(
                (latent / evaporation - 1.0).abs() < 0.15,
                "{f} °F evaporation"
            );
            assert!((all / total - 1.0).abs() < 0.15, "{f} °F total");
        }
    }
    assert_eq!(checked, 6);
}

#[test]
fn wall_table() {
    for [f, .., bare, one, two, three] in TABLE {
        let t_c = celsius(f);
        for (inches, listed) in [(0.0, bare), (1.0, one), (2.0, two), (3.0, three)] {
            let found = wall_loss_w_per_m2(t_c, ROOM_C, 0.0254 * inches) / BTU;
            let error = found / listed - 1.0;
            println!(
                "{f} °F, {inches} in: {found:.1} / {listed} ({:+.1} %)",
                100.0 * error
            );
            // The bare column is predicted, the insulated ones fit the one conductivity. Rounded to units of 1
            // (insulated) and 5 or 10 (bare). "5" at 90 °F and 2 inches breaks the column's own trend
            // (8 at 100 °F) and is taken as a slip of the page.
            if f == 90.0 && inches == 2.0 {
                continue;
            }
            let (rounding, share) = if inches == 0.0 {
                (5.0, 0.02)
            } else {
                (0.5, 0.08)
            };
            assert!(
                (found - listed).abs() < rounding + share * listed,
                "{f} °F, {inches} in: {found}"
            );
        }
    }
    // Worked example of the same page: 150 °F, 10 ft² surface, 50 ft² bare wall, 19,400 Btu/h.
    let flux = open_surface(celsius(150.0), 1.0, &room(), 0.0).unwrap();
    let surface = flux.evaporation_kg_per_m2_s * latent_heat_j_per_kg(celsius(150.0))
        + flux.convection_w_per_m2
        + flux.radiation_w_per_m2;
    let loss = 10.0 * surface / BTU + 50.0 * wall_loss_w_per_m2(celsius(150.0), ROOM_C, 0.0) / BTU;
    assert!((loss / 19_400.0 - 1.0).abs() < 0.1, "{loss} Btu/h");
}

#[test]
fn forced_part_is_the_pool_equation() {
    // ASHRAE pool equation, wind term: 0.425 lb·ft²/(h·in.Hg) per ft/min over Btu/lb (ASHRAE Transactions 104, 1998, abstract),
    // which is 0.0782 in kPa, m/s and kJ/kg.
    let still = open_surface(50.0, 1.0, &room(), 0.0).unwrap();
    let windy = open_surface(50.0, 1.0, &room(), 1.0).unwrap();
    let added = windy.evaporation_kg_per_m2_s - still.evaporation_kg_per_m2_s;
    let inch_hg_pa = 3386.39;
    let driving = (12_351.27 - room().vapour_pressure_pa()) / inch_hg_pa;
    let feet_per_minute = 1.0 / 0.3048 * 60.0;
    let pounds = 0.425 * feet_per_minute * driving / (latent_heat_j_per_kg(50.0) / 2326.0);
    let wanted = pounds * 0.453_592_37 / 3600.0 / 0.092_903_04;
    assert!(
        (added / wanted - 1.0).abs() < 5e-3,
        "{added} against {wanted}"
    );
}

#[test]
fn nothing_condenses_and_stable_air_is_still() {
    let humid = AirState::from_relative_humidity(30.0, 0.9, 101_325.0).unwrap();
    for speed in [0.0, 0.5] {
        let flux = open_surface(15.0, 1.0, &humid, speed).unwrap();
        assert_eq!(flux.evaporation_kg_per_m2_s, 0.0);
        assert!(flux.convection_w_per_m2 <= 0.0 && flux.radiation_w_per_m2 < 0.0);
    }
    // Cool surface under warm dry air: heavier than the room's air, so still, whatever the vapour pressure wants.
    let dry = AirState::from_relative_humidity(30.0, 0.1, 101_325.0).unwrap();
    let flux = open_surface(15.0, 1.0, &dry, 0.0).unwrap();
    assert_eq!(flux.evaporation_kg_per_m2_s, 0.0);
}

#[test]
fn slope_is_finite_and_the_curve_is_continuous() {
    let prepared = RoomAir::new(&room(), 0.0).unwrap();
    let mut before = prepared.open_surface(0.0, 0.97);
    for i in 1..=9500 {
        let now = prepared.open_surface(0.01 * f64::from(i), 0.97);
        let step = now.evaporation_kg_per_m2_s - before.evaporation_kg_per_m2_s;
        assert!((0.0..3e-6).contains(&step), "at {i}: {step}");
        assert!(now.convection_w_per_m2.is_finite() && now.radiation_w_per_m2.is_finite());
        before = now;
    }
}

#[test]
fn a_sparge_pipe_counts_as_a_strip_of_surface() {
    // Metal Finishing Guidebook (2011–12), immersion heater chapter, page 668: 3 ft × 4 ft with two 4 ft pipes counts 16 ft².
    let square_foot = 0.092_903_04;
    let area = sparged_area_m2(12.0 * square_foot, 8.0 * 0.3048);
    assert!((area / square_foot - 16.0).abs() < 1e-9);
}
