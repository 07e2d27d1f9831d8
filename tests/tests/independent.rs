//! The demo at work that never stops, against a second, independent model.
//!
//! Source: hand derivation (see `independent/model.rs`, which uses nothing of the program).

#[path = "independent/model.rs"]
mod model;

use std::sync::Arc;

use dragback_plant::climate::AirChoice;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::{Plant, TowerCache};
use dragback_run::World;
use dragback_run::clock::{Clock, Hours};
use dragback_run::exact::ExactOptions;
use dragback_scenario::{load, lower};
use dragback_tests::read::{DAY_S, run_exact};

/// Means are compared over spans of so many days: salt is added once a day when 1 % is missing, and to add it a day sooner is 1 % of that day's mean.
const SPAN_DAYS: usize = 5;
const SPANS: usize = 6;
const QUANTITIES: [&str; 3] = ["volume", "temperature", "nickel"];

/// The hall's air month by month, °C and share of saturation, as the scenario gives it.
const ROOM: [(f64, f64); 12] = [
    (18.0, 0.38),
    (18.0, 0.38),
    (19.0, 0.41),
    (20.0, 0.44),
    (22.0, 0.48),
    (25.0, 0.52),
    (27.0, 0.54),
    (27.0, 0.55),
    (24.0, 0.53),
    (21.0, 0.49),
    (19.0, 0.43),
    (18.0, 0.39),
];

/// The mean of a year at a height above the sea, m: of temperature and of humidity ratio. Pressure: the standard atmosphere, from memory.
fn air_of_a_year(height_m: f64) -> model::Air {
    let p = 101_325.0 * (1.0 - 2.25577e-5 * height_m).powf(5.2559);
    let ratio = |(t, share): (f64, f64)| {
        let vapour = share * model::psat(t);
        0.622 * vapour / (p - vapour)
    };
    let mean = |of: &dyn Fn((f64, f64)) -> f64| ROOM.iter().map(|m| of(*m)).sum::<f64>() / 12.0;
    model::Air {
        t: mean(&|m| m.0),
        w: mean(&ratio),
        p,
    }
}

#[test]
fn the_demo_agrees_with_a_second_model_over_thirty_days() {
    let (scenario, _) = load(include_str!("../../scenarios/demo.ron"));
    let net = lower(&scenario.unwrap()).unwrap();
    let nickel = SoluteId(net.solutes.iter().position(|s| s.name == "Ni").unwrap());
    let metal = net.vessels[0].initial.concentration_kg_per_m3[nickel.index()];
    let start_c = net.vessels[1].initial.temp_c;
    let air = air_of_a_year(240.0);
    let own = model::run(SPANS, SPAN_DAYS as f64, air, start_c, metal);
    let plant = Arc::new(Plant::new(Arc::new(net), &TowerCache::default()).unwrap());
    let mut world = World::new(Arc::clone(&plant), TowerCache::default());
    let options = ExactOptions {
        clock: Clock {
            hours: Hours::AlwaysOpen,
            air: AirChoice::Mean,
        },
        sample_s: 60.0,
        ..ExactOptions::default()
    };
    let (mut worst, mut at) = (0.0, String::new());
    for (span, own) in own.iter().enumerate() {
        let until_s = ((span + 1) * SPAN_DAYS) as f64 * DAY_S;
        let trace = run_exact(&mut world, until_s, &options).trace;
        for (v, own) in own.iter().enumerate() {
            let (id, name) = (VesselId(v), &plant.network().vessels[v].name);
            let read = |y: &[f64]| {
                let (volume, temp_c, _) = plant.holdup(id, y);
                [volume, temp_c, plant.concentration(id, nickel, y).unwrap()]
            };
            let sum = (0..trace.len()).map(|i| read(trace.row(i)));
            let sum = sum.fold([0.0; 3], |a, b| [0, 1, 2].map(|j| a[j] + b[j]));
            for (j, what) in QUANTITIES.iter().enumerate() {
                let (got, want) = (own[j], sum[j] / trace.len() as f64);
                let error = got / want - 1.0;
                println!(
                    "{span} {name} {what}: {got:.5} {want:.5} {:+.2} %",
                    100.0 * error
                );
                // What is no number is the worst of all and stays it.
                if error.is_nan() || error.abs() > worst {
                    (worst, at) = (error.abs(), format!("{what} of {name}, span {span}"));
                }
            }
        }
    }
    println!("worst {:.2} %: {at}", 100.0 * worst);
    assert!(world.alarms.is_empty(), "{:?}", world.alarms);
    assert!(worst < 0.01, "{:.2} %: {at}", 100.0 * worst);
}

#[test]
fn the_second_model_is_short_and_stands_alone() {
    let text = include_str!("independent/model.rs");
    assert!(text.lines().count() <= 200);
    assert!(!text.contains("dragback") && !text.contains("use "));
}
