//! Looking at worlds and traces.

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_run::World;
use dragback_run::exact::{self, ExactOptions, Outcome};
use dragback_run::preview::{self, PreviewOptions};

/// Seconds in a day.
pub const DAY_S: f64 = 86_400.0;
/// Seconds in a week.
pub const WEEK_S: f64 = 7.0 * DAY_S;

/// Concentration of a solute in a tank, kg/m³.
#[must_use]
pub fn concentration(world: &World, v: VesselId, s: SoluteId) -> f64 {
    world
        .plant
        .concentration(v, s, &world.y)
        .expect("a tank that holds something")
}

/// Temperature of a tank, °C.
#[must_use]
pub fn temp_c(world: &World, v: VesselId) -> f64 {
    world.plant.holdup(v, &world.y).1
}

/// Volume in a tank, m³.
#[must_use]
pub fn volume_m3(world: &World, v: VesselId) -> f64 {
    world.plant.holdup(v, &world.y).0
}

/// Runs the exact driver to a time in seconds; a run that cannot go on fails the test.
pub fn run_exact(world: &mut World, until_s: f64, options: &ExactOptions) -> Outcome {
    match exact::run(world, until_s, options, &mut |_| true) {
        Ok(outcome) => outcome,
        Err(why) => panic!("the exact run stopped: {why}"),
    }
}

/// Runs the averaged driver to a time in seconds; a run that cannot go on fails the test.
pub fn run_preview(world: &mut World, until_s: f64, options: &PreviewOptions) -> Outcome {
    match preview::run(world, until_s, options, &mut |_| true) {
        Ok(outcome) => outcome,
        Err(why) => panic!("the averaged run stopped: {why}"),
    }
}

/// Difference over the reference.
#[must_use]
pub fn relative(got: f64, want: f64) -> f64 {
    (got - want).abs() / want.abs()
}
