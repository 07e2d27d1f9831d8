//! How long the loop takes to settle, and what grows on the way.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::network::LoopRoles;
use dragback_run::clock::Clock;
use dragback_run::preview::{PreviewOptions, run};
use dragback_run::settle::Settled;
use dragback_run::{Trace, World};
use dragback_units::constants as unit;

use crate::answers::{Answers, ImpurityAnswer};
use crate::case::{Case, StudyError};
use crate::settled::Depth;

/// Longest look ahead, s.
const LOOK_S: f64 = 3.0 * 52.0 * unit::SECONDS_PER_WEEK;
/// A key figure has settled when its four-week mean stays within this share of its settled value.
const WITHIN: f64 = 0.05;

/// Fills in days to settle and the impurity outlook.
pub(crate) fn outlook(
    case: &Case,
    settled: &Settled,
    clock: Clock,
    depth: Depth,
    answers: &mut Answers,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<(), StudyError> {
    let plant = &case.plant;
    let ahead = match depth {
        Depth::Quick => None,
        Depth::Full => {
            let mut world = World::new(Arc::clone(plant), case.cache.clone());
            world.done.fill(true);
            let options = PreviewOptions {
                clock,
                ..PreviewOptions::default()
            };
            Some(run(&mut world, LOOK_S, &options, watch)?.trace)
        }
    };
    for (roles, answer) in plant.network().loops.iter().zip(&mut answers.loops) {
        answer.days_to_settle = ahead
            .as_ref()
            .and_then(|trace| days_to_settle(plant, trace, settled, roles));
        let told = (0..plant.network().solutes.len())
            .filter_map(|s| impurity(plant, settled, ahead.as_ref(), roles, SoluteId(s)));
        answers.impurities.extend(told);
    }
    Ok(())
}

/// Weekly means of what `read` finds, counted from the start of the trace.
fn weekly(trace: &Trace, mut read: impl FnMut(&[f64]) -> f64) -> Vec<f64> {
    let times = trace.times_s();
    let mut means = Vec::new();
    let start = times.first().copied().unwrap_or(0.0);
    let (mut sum, mut weight, mut week_end) = (0.0, 0.0, start + unit::SECONDS_PER_WEEK);
    for i in 1..trace.len() {
        let dt = times[i] - times[i - 1];
        sum += dt * read(trace.row(i));
        weight += dt;
        if times[i] >= week_end - 1.0 {
            means.push(sum / weight);
            (sum, weight) = (0.0, 0.0);
            week_end += unit::SECONDS_PER_WEEK;
        }
    }
    means
}

/// The last time that any key figure's four-week mean is off by more than 5 %, days; `None` when it never stays within.
fn days_to_settle(
    plant: &Plant,
    trace: &Trace,
    settled: &Settled,
    roles: &LoopRoles,
) -> Option<f64> {
    let creeps = settled.creeping.iter().any(|(s, _)| *s == roles.lead);
    if creeps {
        return None;
    }
    let lead = roles.lead;
    let tanks = [
        Some(roles.bath),
        roles.holding,
        roles.collection,
        Some(roles.last_film.station),
    ];
    let mut last_off_week = 0_usize;
    for v in tanks.into_iter().flatten() {
        let read = |y: &[f64]| plant.concentration(v, lead, y).unwrap_or(0.0);
        let target = weekly(&settled.trace, read).first().copied()?;
        let means = weekly(trace, read);
        let running: Vec<f64> = means
            .windows(4)
            .map(|w| w.iter().sum::<f64>() / 4.0)
            .collect();
        // Window `i` covers weeks i to i + 3 and is known at the end of week i + 3.
        let off = running
            .iter()
            .rposition(|m| (m - target).abs() > WITHIN * target.abs());
        if off == Some(running.len().checked_sub(1)?) {
            return None;
        }
        if let Some(i) = off {
            last_off_week = last_off_week.max(i + 4);
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a few hundred weeks")]
    Some(7.0 * last_off_week as f64)
}

/// What grows in the bath and when it meets its limit; `None` for solutes that neither grow nor pass a limit.
fn impurity(
    plant: &Plant,
    settled: &Settled,
    ahead: Option<&Trace>,
    roles: &LoopRoles,
    s: SoluteId,
) -> Option<ImpurityAnswer> {
    let bath = roles.bath;
    let limit = roles
        .impurity_limits
        .iter()
        .find(|(x, _)| *x == s)
        .map(|x| x.1);
    let creep = settled.creeping.iter().find(|(x, _)| *x == s);
    let end = plant.concentration(bath, s, &settled.world.y)?;
    let start = plant
        .concentration(bath, s, &plant.initial())
        .unwrap_or(0.0);
    let (volume, _, _) = plant.holdup(bath, &settled.world.y);
    let weekly_kg: f64 = match creep {
        Some((_, kg)) => kg[bath.index()],
        None => early_growth_kg(plant, ahead?, bath, s)?,
    };
    let growth = weekly_kg / volume / 7.0;
    let grows = creep.is_some_and(|(_, kg)| kg.iter().sum::<f64>() > 0.0) && growth > 1e-9;
    let passes = limit.is_some_and(|l| end > l || start > l);
    if !(grows || passes || limit.is_some()) {
        return None;
    }
    let crossing = limit.and_then(|l| {
        if start >= l {
            return Some(0.0);
        }
        let seen = ahead.and_then(|trace| {
            let i = (0..trace.len())
                .find(|&i| plant.concentration(bath, s, trace.row(i)).unwrap_or(0.0) >= l)?;
            Some(unit::days(trace.times_s()[i]))
        });
        seen.or_else(|| (grows && growth > 0.0).then(|| (l - start) / growth))
    });
    let purge = limit.filter(|_| crossing.is_some() && growth > 0.0);
    Some(ImpurityAnswer {
        species: plant.network().solutes[s.index()].name.clone(),
        vessel: plant.network().vessels[bath.index()].name.clone(),
        now_g_per_l: start,
        growth_g_per_l_per_day: growth,
        limit_g_per_l: limit,
        days_to_limit: crossing,
        purge_l_per_h: purge.map(|l| unit::l_per_h(growth * volume / l / unit::SECONDS_PER_DAY)),
    })
}

/// Growth of a solute in the bath over the fourth to eighth week of a look ahead, kg per week.
fn early_growth_kg(plant: &Plant, trace: &Trace, bath: VesselId, s: SoluteId) -> Option<f64> {
    let place = plant.layout().vessel(bath) + plant.layout().solute(s);
    let (a, b) = (
        trace.at(4.0 * unit::SECONDS_PER_WEEK),
        trace.at(8.0 * unit::SECONDS_PER_WEEK),
    );
    (b > a).then(|| (trace.row(b)[place] - trace.row(a)[place]) / 4.0)
}
