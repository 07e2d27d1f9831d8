//! The demo at work that never stops, against a second, independent model.
//!
//! Source: hand derivation (see `independent/model.rs`, which uses nothing of the program).

#[path = "independent/model.rs"]
mod model;

use std::sync::Arc;

use dragback_plant::climate::{AirChoice, MEAN_SLOT};
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

#[test]
fn the_demo_agrees_with_a_second_model_over_thirty_days() {
    let (scenario, _) = load(include_str!("../../scenarios/demo.ron"));
    let net = lower(&scenario.unwrap()).unwrap();
    let room = net.climates[0].air(MEAN_SLOT);
    let nickel = SoluteId(net.solutes.iter().position(|s| s.name == "Ni").unwrap());
    let metal = net.vessels[0].initial.concentration_kg_per_m3[nickel.index()];
    let start_c = net.vessels[1].initial.temp_c;
    let air = model::Air {
        t: room.temp_c,
        w: room.humidity_ratio,
        p: 101_325.0 * (1.0 - 2.25577e-5 * 240.0_f64).powf(5.2559),
    };
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
