//! The tabulated tower against the film equations: accuracy over the working range, behaviour outside.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper that fails fails its test"
)]

use dragback_properties::air::{
    AirState, enthalpy_j_per_kg_da, humidity_ratio_from_vapour_pressure, pressure_at_altitude_pa,
};
use dragback_properties::tower::{
    DEFAULT_FLOW_EXPONENT, FanPosition, Feed, LewisFactor, TableSpec, Tower, TowerDesign,
    TowerTable, Transfer,
};
use dragback_properties::water::{CP_WATER, saturation_pressure_pa};

/// One point of the working range.
struct Case {
    tower: Tower,
    feed: Feed,
    air: AirState,
    air_flow_m3_per_s: f64,
}

/// Sobol point `i`: 30–75 °C solution, −10–40 °C air, 10–95 % relative humidity, 0–2,000 m altitude, ±50 % of the rated feed
/// and air; and beyond the range that is promised, water activity 0.9–1, 0.3–3 rated transfer units, rated liquid over gas 0.8–3 and
/// either fan.
fn case(i: u32) -> Case {
    let s = |d| f64::from(sobol_burley::sample(i, d, 7));
    let pressure_pa = pressure_at_altitude_pa(2000.0 * s(3));
    let air =
        AirState::from_relative_humidity(-10.0 + 50.0 * s(1), 0.10 + 0.85 * s(2), pressure_pa)
            .unwrap();
    let rated_feed = 1.2 * (0.8 + 2.2 * s(8));
    let ntu = 0.3 * 10_f64.powf(s(7));
    let fan = if i.is_multiple_of(2) {
        FanPosition::Before
    } else {
        FanPosition::After
    };
    let tower = Tower::new(TowerDesign {
        air_flow_m3_per_s: 1.0,
        fan,
        feed_kg_per_s: rated_feed,
        transfer: Transfer::Units {
            ntu,
            air_flow_m3_per_s: 1.0,
            feed_kg_per_s: rated_feed,
        },
        flow_exponent: DEFAULT_FLOW_EXPONENT,
        lewis: LewisFactor::Unity,
        carry_over_fraction: 0.0,
    })
    .unwrap();
    let feed = Feed {
        temp_c: 30.0 + 45.0 * s(0),
        water_activity: 0.90 + 0.10 * s(6),
        flow_kg_per_s: rated_feed * (0.5 + s(4)),
        cp_j_per_kg_k: CP_WATER,
    };
    Case {
        tower,
        feed,
        air,
        air_flow_m3_per_s: 0.5 + s(5),
    }
}

impl Case {
    fn table(&self) -> TowerTable {
        let spec = TableSpec {
            feed_kg_per_s: self.feed.flow_kg_per_s,
            air_flow_m3_per_s: self.air_flow_m3_per_s,
            ..TableSpec::normal(&self.tower)
        };
        TowerTable::build_for(&self.tower, &self.air, &spec).unwrap()
    }
}

#[test]
fn follows_the_film_equations() {
    // The maximum that the bound of 0.2 % refers to is what the dry air would take up if it left saturated at the feed's
    // temperature: G·(W_s − W_in). Where the air enters within 2 % of that, or moister by as little, 0.2 % of the difference is less than 4e-5 of
    // what such air carries: the tower does nothing there, and G·W_s stands in the place of the difference. Of these points one is such.
    let (mut worst_e, mut worst_q, mut worst_air_k, mut worst_solution_k) = (0.0, 0.0, 0.0, 0.0);
    let (mut where_e, mut where_q) = (String::new(), String::new());
    let mut idle = 0;
    for i in 0..5200 {
        let case = case(i);
        let exact = case
            .tower
            .point_at(&case.feed, &case.air, case.air_flow_m3_per_s)
            .unwrap();
        let fast = case.table().at(case.feed.temp_c, case.feed.water_activity);
        let vapour_pa = case.feed.water_activity * saturation_pressure_pa(case.feed.temp_c);
        let w_s = humidity_ratio_from_vapour_pressure(vapour_pa, case.air.pressure_pa);
        let driven = (w_s - case.air.humidity_ratio).abs();
        let h_s = enthalpy_j_per_kg_da(case.feed.temp_c, w_s);
        let h_driven = (h_s - case.air.enthalpy_j_per_kg_da()).abs();
        let g = exact.dry_air_kg_per_s;
        let does_nothing = driven <= 0.02 * w_s;
        idle += usize::from(does_nothing);
        let (most_e, most_q) = if does_nothing {
            (w_s, h_s)
        } else {
            (driven, h_driven)
        };
        let allowed_e = (0.01 * exact.evaporation_kg_per_s.abs()).max(0.002 * g * most_e);
        let allowed_q = (0.01 * exact.heat_w.abs()).max(0.002 * g * most_q);
        let e = (fast.evaporation_kg_per_s - exact.evaporation_kg_per_s).abs() / allowed_e;
        let q = (fast.heat_w - exact.heat_w).abs() / allowed_q;
        // What is no number is the worst of all and stays it.
        if e.is_nan() || e > worst_e {
            (worst_e, where_e) = (
                e,
                format!("{:?} {:?} N {:.2}", case.feed, case.air, exact.ntu),
            );
        }
        if q.is_nan() || q > worst_q {
            (worst_q, where_q) = (
                q,
                format!("{:?} {:?} N {:.2}", case.feed, case.air, exact.ntu),
            );
        }
        let air_k = (fast.air_out_c - exact.air_out_c).abs();
        let solution_k = (fast.solution_out_c - exact.solution_out_c).abs();
        assert!(air_k.is_finite() && solution_k.is_finite());
        worst_air_k = f64::max(worst_air_k, air_k);
        worst_solution_k = f64::max(worst_solution_k, solution_k);
    }
    println!("evaporation: {worst_e:.3} of the bound, at {where_e}");
    println!("heat: {worst_q:.3} of the bound, at {where_q}");
    println!("air out: {worst_air_k:.3} K, solution out: {worst_solution_k:.4} K");
    assert!(worst_e < 1.0 && worst_q < 1.0);
    assert!(idle < 5, "{idle} points are not held to the bound");
    assert!(worst_air_k < 0.2 && worst_solution_k < 0.2);
}

#[test]
fn point_balances_close() {
    for i in 0..200 {
        let case = case(i);
        let table = case.table();
        for t_c in [3.0, 20.0, 50.0, 74.0] {
            let p = table.at(t_c, 0.96);
            let g = p.dry_air_kg_per_s;
            let water = g * (p.humidity_ratio_out + p.fog_out - case.air.humidity_ratio);
            assert!((water - p.evaporation_kg_per_s).abs() < 1e-9 * g);
            let c_in = case.feed.flow_kg_per_s * case.feed.cp_j_per_kg_k;
            let c_out = c_in - CP_WATER * p.evaporation_kg_per_s;
            assert!((c_in * t_c - c_out * p.solution_out_c - p.heat_w).abs() < 1e-9 * c_in * 100.0);
        }
    }
}

#[test]
fn condenses_below_the_dew_point() {
    // Solution of 12 °C under air of 30 °C and 80 %: inside the table, below the wet bulb of the air.
    let case = case(0);
    let air = AirState::from_relative_humidity(30.0, 0.8, 101_325.0).unwrap();
    let table = TowerTable::build(&case.tower, &air, (10.0, 80.0), (0.9, 1.0)).unwrap();
    let feed_kg_per_s = case.tower.design().feed_kg_per_s;
    for t_c in [11.0, 15.0, 20.0] {
        let feed = Feed {
            water_activity: 0.97,
            ..Feed::water(t_c, feed_kg_per_s)
        };
        let exact = case.tower.point(&feed, &air).unwrap();
        let (e, q) = table.evaporation_and_heat(t_c, 0.97);
        assert!(exact.evaporation_kg_per_s < 0.0 && exact.heat_w < 0.0);
        assert!((e / exact.evaporation_kg_per_s - 1.0).abs() < 0.01);
        assert!((q / exact.heat_w - 1.0).abs() < 0.01);
    }
}

#[test]
fn goes_on_along_its_tangent_and_is_never_nan() {
    for i in 0..50 {
        let table = case(i).table();
        let (low_c, high_c) = table.temp_range_c();
        for (edge_c, outside_c) in [(low_c, low_c - 7.0), (high_c, high_c + 9.0)] {
            let [e, q, e_slope, q_slope] = table.with_slopes(edge_c, 0.97);
            let (e_out, q_out) = table.evaporation_and_heat(outside_c, 0.97);
            assert!((e_out - (e + e_slope * (outside_c - edge_c))).abs() < 1e-12);
            assert!((q_out - (q + q_slope * (outside_c - edge_c))).abs() < 1e-6);
        }
        for t_c in [-50.0, 0.0, 5.0, 90.0, 150.0, 1e4] {
            for a_w in [-1.0, 0.0, 0.5, 0.95, 1.0, 1.2, 50.0] {
                let p = table.at(t_c, a_w);
                let (e, q) = table.evaporation_and_heat(t_c, a_w);
                assert!(e.is_finite() && q.is_finite() && p.solution_out_c.is_finite());
                assert!(p.air_out_c.is_finite() && p.humidity_ratio_out.is_finite());
            }
        }
    }
}

#[test]
fn slopes_are_derivatives() {
    let table = case(3).table();
    for t_c in [12.0, 33.0, 61.0, 79.0, 85.0] {
        let [_, _, e_slope, q_slope] = table.with_slopes(t_c, 0.95);
        let (e_up, q_up) = table.evaporation_and_heat(t_c + 1e-3, 0.95);
        let (e_down, q_down) = table.evaporation_and_heat(t_c - 1e-3, 0.95);
        assert!(((e_up - e_down) / 2e-3 / e_slope - 1.0).abs() < 1e-6);
        assert!(((q_up - q_down) / 2e-3 / q_slope - 1.0).abs() < 1e-6);
    }
}

#[test]
fn a_missing_stream_gives_a_table_of_zeros() {
    let case = case(1);
    for (feed_kg_per_s, air_flow_m3_per_s) in [(0.0, 1.0), (1.0, 0.0), (0.0, 0.0)] {
        let normal = TableSpec::normal(&case.tower);
        let spec = TableSpec {
            feed_kg_per_s,
            air_flow_m3_per_s,
            ..normal
        };
        let table = TowerTable::build_for(&case.tower, &case.air, &spec).unwrap();
        for t_c in [0.0, 30.0, 70.0, 100.0] {
            assert_eq!(table.evaporation_and_heat(t_c, 0.98), (0.0, 0.0));
            let p = table.at(t_c, 0.98);
            assert_eq!(p.solution_out_c, t_c);
            assert!((p.air_out_c - case.air.temp_c).abs() < 1e-9);
        }
    }
}

#[test]
fn empty_ranges_are_refused() {
    let case = case(1);
    for (range_c, activities) in [
        ((50.0, 50.0), (0.9, 1.0)),
        ((10.0, 80.0), (0.95, 0.95)),
        ((f64::NAN, 80.0), (0.9, 1.0)),
    ] {
        assert!(TowerTable::build(&case.tower, &case.air, range_c, activities).is_err());
    }
}
