//! Steps from one change of a calendar or event to the next.

use std::sync::Arc;
use std::time::Duration;

use super::strength::is_working;
use super::{Preview, PreviewOptions};
use crate::error::{RunError, closed};
use crate::exact::{Outcome, Statistics};
use crate::trace::Trace;
use crate::world::World;

/// Most moments for which a trace makes room before a run.
const MOST_RESERVED: usize = 20_000;

/// Runs the world until `until_s` in averaged steps.
///
/// # Errors
/// See [`RunError`].
pub fn run(
    world: &mut World,
    until_s: f64,
    options: &PreviewOptions,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Outcome, RunError> {
    let mut preview = Preview::new(Arc::clone(&world.plant));
    run_with(&mut preview, world, until_s, options, watch)
}

/// As [`run`], with a driver that keeps its first guesses.
///
/// # Errors
/// See [`RunError`].
pub fn run_with(
    preview: &mut Preview,
    world: &mut World,
    until_s: f64,
    options: &PreviewOptions,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Outcome, RunError> {
    let start = world.y.clone();
    let mut trace = Trace::new(world.y.len());
    let record = |world: &World, trace: &mut Trace| {
        if options.records {
            trace.push(world.t_s, &world.y);
        }
    };
    if options.records {
        // Enough for most plants, whose work takes about half the time.
        let step =
            Duration::from_secs_f64(0.5 * (options.step_s + options.rest_step_s).clamp(2.0, 1e9));
        let span = Duration::from_secs_f64((until_s - world.t_s).clamp(0.0, 1e9));
        let moments = usize::try_from(span.as_secs() / step.as_secs()).unwrap_or(0);
        trace.reserve(moments.min(MOST_RESERVED));
    }
    record(world, &mut trace);
    let (mut since_s, mut changes_s) = (world.t_s, f64::NEG_INFINITY);
    // What holds until the next boundary is read once, unless an event changes the plant.
    let (mut boundary, mut read_for) = (world.t_s, Arc::clone(&world.plant));
    while world.t_s < until_s - 1e-6 {
        if world.fire_due()? {
            world.follow_alarms()?;
        }
        let is_read = Arc::ptr_eq(&read_for, &world.plant) && world.t_s < boundary - 1e-6;
        if !is_read {
            boundary = options
                .clock
                .read(world.plant.network(), world.t_s, &mut world.setting);
            read_for = Arc::clone(&world.plant);
        }
        let limit = until_s
            .min(boundary)
            .min(world.next_due_s().max(world.t_s + 1.0));
        let span = limit - world.t_s;
        if (boundary - changes_s).abs() > 1.0 {
            (since_s, changes_s) = (world.t_s, boundary);
        }
        let longest = if is_working(world) {
            options.step_s
        } else {
            options.rest_step_s
        };
        // The longer nothing has happened, the slower everything changes.
        let longest = longest.min(options.first_step_s.max(world.t_s - since_s));
        let longest = longest.min(preview.longest_s);
        let pieces = (span / longest).ceil().max(1.0);
        preview.step(world, span / pieces)?;
        if (world.t_s - limit).abs() < 1e-3 {
            // No crumb of a step is left by rounding.
            world.t_s = limit;
        }
        world.follow_alarms()?;
        record(world, &mut trace);
        if !watch(world.t_s) {
            return Err(RunError::Cancelled);
        }
    }
    let ledger = closed(world, &start)?;
    let statistics = Statistics {
        steps: preview.steps(),
        ..Statistics::default()
    };
    Ok(Outcome {
        trace,
        ledger,
        statistics,
    })
}
