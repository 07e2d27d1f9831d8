//! The settled week, drawn as the window shows it at rest.

use dragback_plant::Plant;
use dragback_plant::climate::MEAN_SLOT;
use dragback_run::Trace;
use dragback_run::clock::{Clock, Hours};
use dragback_study::{AirChoice, Answers, Counted, SettledCase};

use crate::compile::scene_counted;
use crate::moment::{Circumstances, Moment};
use crate::scene::Scene;
use crate::svg::{Page, svg};

/// The scene of a settled week in an air, as its answers tell it: means of the week, and what its standing alarms cut.
///
/// A week without a row is drawn as the plant begins.
#[must_use]
pub fn settled_scene(
    plant: &Plant,
    week: &Trace,
    answers: &Answers,
    air: AirChoice,
    counted: Counted,
) -> Scene {
    let clock = Clock {
        hours: Hours::WeekMean,
        air,
    };
    let last = week.len().saturating_sub(1);
    let (t_s, y) = match week.times_s().get(last) {
        Some(t_s) => (*t_s, week.row(last).to_vec()),
        None => (0.0, plant.initial()),
    };
    let mut around = Circumstances::at(plant, clock, t_s, &y, &[]).with_standing(&answers.alarms);
    // The settled week knows no events.
    around.failed.fill(false);
    let moment = Moment::mean_of(plant, week, around).told_by(&answers.vessels);
    Scene {
        is_mean: true,
        ..scene_counted(plant, &moment, &answers.solutes, counted)
    }
}

/// The drawing of a settled week as a picture for paper: an SVG document, the same bytes for the same week.
///
/// Strengths of lead solutes are told as `counted` says; units, size and title are those of the page.
#[must_use]
pub fn settled_svg(settled: &SettledCase, counted: Counted, page: &Page<'_>) -> String {
    let world = &settled.settled.world;
    let air = match world.setting.air_slot {
        MEAN_SLOT => AirChoice::Mean,
        month => AirChoice::Month(month),
    };
    let scene = settled_scene(&world.plant, &settled.week, &settled.answers, air, counted);
    svg(&scene, page)
}
