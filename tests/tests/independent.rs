//! The demo at constant work by a second, independent model.
//!
//! Source: hand derivation; the equations of the model text written down anew, with a step of five seconds and property formulas of its own.

#[path = "independent/model.rs"]
mod model;

use std::sync::Arc;

use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_plant::ids::{SoluteId, TowerId, VesselId};
use dragback_plant::{Plant, TowerCache};
use dragback_run::World;
use dragback_run::clock::{Clock, Hours};
use dragback_run::exact::ExactOptions;
use dragback_scenario::{get, load, lower};
use dragback_tests::read::{DAY_S, run_exact};

const DAYS: usize = 30;
const NAMES: [&str; 6] = [
    "bath",
    "rinse 1",
    "rinse 2",
    "rinse 3",
    "collection tank",
    "holding tank",
];

#[test]
fn the_demo_agrees_with_a_second_model() {
    let (scenario, problems) = load(include_str!("../../scenarios/demo.ron"));
    assert!(problems.is_empty());
    let scenario = scenario.unwrap();
    let net = lower(&scenario).unwrap();
    let air = net.climates[0].air(MEAN_SLOT);
    let nickel = SoluteId(net.solutes.iter().position(|s| s.name == "Ni").unwrap());
    let metal = net.vessels[0].initial.concentration_kg_per_m3[nickel.index()];
    let figure = |path: &str| {
        get(&scenario, path)
            .ok()
            .and_then(|p| p.si())
            .unwrap_or_else(|| panic!("{path}"))
    };
    let own = model::run(DAYS, air.temp_c, air.humidity_ratio, metal, &figure);

    let plant = Arc::new(Plant::new(Arc::new(net), &TowerCache::default()).unwrap());
    let mut world = World::new(Arc::clone(&plant), TowerCache::default());
    let clock = Clock {
        hours: Hours::AlwaysOpen,
        air: AirChoice::Mean,
    };
    let options = ExactOptions {
        clock,
        sample_s: 60.0,
        ..ExactOptions::default()
    };
    let (mut worst, mut at) = (0.0, String::new());
    for (day, own) in own.iter().enumerate() {
        let outcome = run_exact(&mut world, (day + 1) as f64 * DAY_S, &options);
        let (trace, n) = (&outcome.trace, outcome.trace.len() as f64);
        let tower = trace
            .rate(plant.layout().tower_water(TowerId(0)), 0, trace.len() - 1)
            .unwrap()
            * 3600.0;
        let mut see = |what: String, got: f64, want: f64| {
            let error = (got - want).abs() / want.abs();
            if error > worst {
                (worst, at) = (
                    error,
                    format!(
                        "{what} on day {}: {got} by the second model, {want}",
                        day + 1
                    ),
                );
            }
            if day % 10 == 9 || day == 0 {
                println!(
                    "day {:2} {what:24} {got:10.5} {want:10.5} {:+.3} %",
                    day + 1,
                    100.0 * (got / want - 1.0)
                );
            }
        };
        for (v, name) in NAMES.iter().enumerate() {
            let mean = |read: &dyn Fn(&[f64]) -> f64| {
                (0..trace.len()).map(|i| read(trace.row(i))).sum::<f64>() / n
            };
            let id = VesselId(v);
            see(
                format!("{name} volume"),
                own.tanks[v][0],
                mean(&|y| plant.holdup(id, y).0),
            );
            see(
                format!("{name} temperature"),
                own.tanks[v][1],
                mean(&|y| plant.holdup(id, y).1),
            );
            see(
                format!("{name} nickel"),
                own.tanks[v][2],
                mean(&|y| plant.concentration(id, nickel, y).unwrap()),
            );
        }
        see("tower".into(), own.tower_kg_per_h, tower);
    }
    println!("worst {:.2} %: {at}", 100.0 * worst);
    assert!(
        world.alarms.is_empty(),
        "constant work must not alarm: {:?}",
        world.alarms
    );
    assert!(worst < 0.01, "{:.2} %: {at}", 100.0 * worst);
}
