//! How long the correlations take that every step calls, one core, against the limits that a step sets.
//!
//! Prints a table; exits with 1 when any is over three times its limit.

#![expect(
    clippy::print_stdout,
    reason = "a table on the terminal is what this program is for"
)]

use std::hint::black_box;
use std::time::Instant;

use dragback_properties::air::AirState;
use dragback_properties::osmotic::WaterActivity;
use dragback_properties::species::{Species, builtin};
use dragback_properties::surface::RoomAir;
use dragback_properties::tower::{
    DEFAULT_FLOW_EXPONENT, FanPosition, LewisFactor, TableSpec, Tower, TowerDesign, TowerTable,
    Transfer,
};
use dragback_properties::water::saturation_pressure_fast_pa;

/// Times `calls` calls, three times over; the fastest, ns per call.
fn time_ns(calls: u32, mut call: impl FnMut(f64) -> f64) -> f64 {
    let mut fastest = f64::INFINITY;
    for _ in 0..3 {
        let start = Instant::now();
        for i in 0..calls {
            black_box(call(f64::from(i) / f64::from(calls)));
        }
        fastest = fastest.min(1e9 * start.elapsed().as_secs_f64() / f64::from(calls));
    }
    fastest
}

fn tower() -> Result<Tower, Box<dyn std::error::Error>> {
    Ok(Tower::new(TowerDesign {
        air_flow_m3_per_s: 0.5,
        fan: FanPosition::After,
        feed_kg_per_s: 1.0,
        transfer: Transfer::Units {
            ntu: 2.0,
            air_flow_m3_per_s: 0.5,
            feed_kg_per_s: 1.0,
        },
        flow_exponent: DEFAULT_FLOW_EXPONENT,
        lewis: LewisFactor::Unity,
        carry_over_fraction: 0.0,
    })?)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let room = AirState::from_relative_humidity(22.0, 0.5, 101_325.0)?;
    let over_tank = RoomAir::new(&room, 0.1)?;
    let keys = ["Ni", "Zn", "Cu", "Na", "Ca", "SO4", "Cl", "B", "Additive"];
    let species: Vec<Species> = keys.iter().filter_map(|k| builtin(k).cloned()).collect();
    assert_eq!(species.len(), keys.len());
    let activity = WaterActivity::compile(&species);
    let mut held = [0.07, 0.001, 0.001, 0.01, 0.001, 0.1, 0.03, 0.04, 0.001];
    let tower = tower()?;
    let mut last_table = TowerTable::build_for(&tower, &room, &TableSpec::normal(&tower))?;
    let read = last_table.clone();
    let rows = [
        (
            "saturation pressure",
            50.0,
            time_ns(1_000_000, |x| saturation_pressure_fast_pa(5.0 + 80.0 * x)),
        ),
        (
            "open surface",
            100.0,
            time_ns(200_000, |x| {
                let flux = over_tank.open_surface(20.0 + 60.0 * x, 0.97);
                flux.evaporation_kg_per_m2_s + flux.convection_w_per_m2
            }),
        ),
        (
            "water activity, nine species",
            200.0,
            time_ns(200_000, |x| {
                held[0] = 0.07 + 1e-3 * x;
                activity.at(&held)
            }),
        ),
        (
            "tower table, read",
            60.0,
            time_ns(200_000, |x| {
                let (water, heat) = read.evaporation_and_heat(30.0 + 40.0 * x, 0.97);
                water + heat
            }),
        ),
        (
            "tower table, built",
            500_000.0,
            time_ns(50, |_| {
                if let Ok(table) = TowerTable::build_for(&tower, &room, &TableSpec::normal(&tower))
                {
                    last_table = table;
                }
                last_table.evaporation_and_heat(50.0, 0.97).0
            }),
        ),
    ];
    println!("{:32} {:>10} {:>10}", "", "ns", "limit ns");
    for (name, limit_ns, took_ns) in rows {
        println!("{name:32} {took_ns:10.0} {limit_ns:10.0}");
    }
    if rows.iter().any(|(_, limit, took)| *took > 3.0 * limit) {
        return Err("over three times a limit".into());
    }
    Ok(())
}
