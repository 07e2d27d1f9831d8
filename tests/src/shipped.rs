//! The shipped scenarios as cases.

use std::sync::Arc;

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::network::Initial;
use dragback_plant::{Plant, TowerCache};
use dragback_run::World;
use dragback_scenario::{apply, load};
use dragback_study::{AirChoice, Case, Clock, Hours};

/// Each by its name, with its text.
pub const SHIPPED: [(&str, &str); 6] = [
    ("demo", include_str!("../../scenarios/demo.ron")),
    (
        "demo-before",
        include_str!("../../scenarios/demo-before.ron"),
    ),
    ("chromium", include_str!("../../scenarios/chromium.ron")),
    (
        "zinc-barrel",
        include_str!("../../scenarios/zinc-barrel.ron"),
    ),
    ("warm-bath", include_str!("../../scenarios/warm-bath.ron")),
    ("teaching", include_str!("../../scenarios/teaching.ron")),
];

/// Hours by the calendars, in the year's mean air.
pub const CLOCK: Clock = Clock {
    hours: Hours::Calendar,
    air: AirChoice::Mean,
};

/// The case of a scenario's text with some inputs changed: path and value.
#[must_use]
pub fn case(text: &str, changes: &[(&str, &str)]) -> Case {
    let (scenario, problems) = load(text);
    assert!(problems.is_empty(), "{problems:?}");
    let mut scenario = scenario.expect("a scenario without problems is there");
    apply(&mut scenario, changes.iter().copied())
        .expect("the inputs that a test changes are there");
    Case::new(Arc::new(scenario), &TowerCache::default()).expect("the plant can be built")
}

/// The case with its tanks as they stand in a world, and without its events.
#[must_use]
pub fn from_here(case: &Case, world: &World) -> Case {
    let mut net = case.plant.network().clone();
    net.events.clear();
    for (v, vessel) in net.vessels.iter_mut().enumerate() {
        let id = VesselId(v);
        let (volume_m3, temp_c, _) = case.plant.holdup(id, &world.y);
        let strengths = (0..case.plant.network().solutes.len()).map(|s| {
            case.plant
                .concentration(id, SoluteId(s), &world.y)
                .expect("no tank is dry")
        });
        vessel.initial = Initial {
            volume_m3,
            temp_c,
            concentration_kg_per_m3: strengths.collect(),
        };
    }
    Case {
        plant: Arc::new(
            Plant::new(Arc::new(net), &case.cache).expect("a plant that ran can be built"),
        ),
        ..case.clone()
    }
}
