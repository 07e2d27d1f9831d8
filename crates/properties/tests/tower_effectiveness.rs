//! How far the effectiveness form of the tower (Braun, Klein and Mitchell, 1989) is from the film equations.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper that fails fails its test"
)]

use dragback_properties::air::{AirState, pressure_at_altitude_pa};
use dragback_properties::tower::{
    DEFAULT_FLOW_EXPONENT, FanPosition, Feed, LewisFactor, Tower, TowerDesign, Transfer,
    effectiveness_point,
};

fn tower(ntu: f64, feed_kg_per_s: f64) -> Tower {
    Tower::new(TowerDesign {
        air_flow_m3_per_s: 1.0,
        fan: FanPosition::Before,
        feed_kg_per_s,
        transfer: Transfer::Units {
            ntu,
            air_flow_m3_per_s: 1.0,
            feed_kg_per_s,
        },
        flow_exponent: DEFAULT_FLOW_EXPONENT,
        lewis: LewisFactor::Unity,
        carry_over_fraction: 0.0,
    })
    .unwrap()
}

#[test]
fn agrees_where_it_was_made_for() {
    // A cooling tower's own range: water of 30 to 40 °C, air of 20 to 30 °C, 0.5 to 2 transfer units. The form was made for
    // it, and there it is the textbook's cross-check of the film equations: heat within 5 %.
    let mut worst = (0.0_f64, 0.0_f64);
    for t_c in [30.0, 35.0, 40.0] {
        for air_c in [20.0, 25.0, 30.0] {
            for ntu in [0.5, 1.0, 2.0] {
                let air = AirState::from_relative_humidity(air_c, 0.5, 101_325.0).unwrap();
                let feed = Feed::water(t_c, 1.4);
                let exact = tower(ntu, 1.4).point(&feed, &air).unwrap();
                let form = effectiveness_point(&feed, &air, exact.dry_air_kg_per_s, exact.ntu);
                let heat = form.heat_w / exact.heat_w - 1.0;
                let evaporation = form.evaporation_kg_per_s / exact.evaporation_kg_per_s - 1.0;
                worst = (worst.0.max(heat.abs()), worst.1.max(evaporation.abs()));
            }
        }
    }
    println!(
        "cooling-tower range: heat {:.1} %, evaporation {:.1} %",
        100.0 * worst.0,
        100.0 * worst.1
    );
    assert!(worst.0 < 0.05 && worst.1 < 0.06);
}

#[test]
fn is_too_coarse_for_hot_solution() {
    // The working range of an evaporator, 2,000 Sobol points: why the form is only a first guess here.
    let (mut heat, mut evaporation) = (0.0_f64, 0.0_f64);
    let mut relative: Vec<f64> = Vec::new();
    for i in 0..2000 {
        let s = |d| f64::from(sobol_burley::sample(i, d, 11));
        let pressure_pa = pressure_at_altitude_pa(2000.0 * s(3));
        let air_c = -10.0 + 50.0 * s(1);
        let air = AirState::from_relative_humidity(air_c, 0.1 + 0.85 * s(2), pressure_pa).unwrap();
        let feed_kg = 1.2 * (0.8 + 2.2 * s(4));
        let feed = Feed::water(45.0 + 30.0 * s(0), feed_kg * (0.5 + s(5)));
        let tower = tower(0.5 + 2.0 * s(6), feed_kg);
        let exact = tower.point_at(&feed, &air, 0.5 + s(7)).unwrap();
        let form = effectiveness_point(&feed, &air, exact.dry_air_kg_per_s, exact.ntu);
        let e = (form.evaporation_kg_per_s / exact.evaporation_kg_per_s - 1.0).abs();
        let q = (form.heat_w / exact.heat_w - 1.0).abs();
        (heat, evaporation) = (heat.max(q), evaporation.max(e));
        relative.push(e);
    }
    relative.sort_by(f64::total_cmp);
    println!(
        "evaporator range: evaporation off by {:.1} % in the middle case, {:.0} % at most; heat {:.0} % at most",
        100.0 * relative[1000],
        100.0 * evaporation,
        100.0 * heat
    );
    // Off, but never so far that it would mislead the iteration that starts from it.
    assert!(
        evaporation > 0.05 && heat > 0.05,
        "the doc comment says otherwise"
    );
    assert!(evaporation < 0.6 && heat < 0.6);
}
