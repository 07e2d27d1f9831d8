//! Looking at worlds and traces.

use dragback_plant::Plant;
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

/// Options of the exact driver that record only the ends, with a tolerance.
#[must_use]
pub fn ends_only(relative: f64) -> ExactOptions {
    ExactOptions {
        sample_s: f64::INFINITY,
        relative,
        ..ExactOptions::default()
    }
}

/// Largest relative difference of what the tanks hold, against what matters in that tank, and where.
#[must_use]
pub fn difference(plant: &Plant, got: &[f64], want: &[f64]) -> (f64, usize) {
    let layout = plant.layout();
    let len = layout.block_len();
    let mut worst = (0.0, 0);
    for (i, (a, b)) in got.iter().zip(want).take(layout.state_len()).enumerate() {
        let full = plant.network().vessels[i / len].full_m3;
        let floor = match i % len {
            0 => 1000.0 * full,
            1 => 4.2e7 * full,
            // One milligram per litre of the full tank.
            _ => 1.0e-3 * full,
        };
        let error = (a - b).abs() / b.abs().max(floor);
        // What is no number is the worst of all and stays it.
        if error.is_nan() || error > worst.0 {
            worst = (error, i);
        }
    }
    worst
}
