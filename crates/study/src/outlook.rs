//! How long the loop takes to settle, what grows on the way, and which salts that brings out.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::network::LoopRoles;
use dragback_run::clock::Clock;
use dragback_run::preview::{PreviewOptions, run};
use dragback_run::settle::Settled;
use dragback_run::{CameOut, Trace, World};
use dragback_units::constants as unit;

use crate::answers::{Answers, ImpurityAnswer, PrecipitationAnswer};
use crate::case::{Case, StudyError};
use crate::growth::bleed_l_per_h;
use crate::settled::Depth;

/// Longest look ahead, s.
const LOOK_S: f64 = 3.0 * 52.0 * unit::SECONDS_PER_WEEK;
/// A key figure has settled when its daily mean stays within this share of its settled value.
const WITHIN: f64 = 0.05;

/// Fills in days to settle, the impurity outlook and the salts that come out.
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
            let trace = run(&mut world, LOOK_S, &options, watch)?.trace;
            answers.precipitation = precipitation(plant, &world.came_out);
            Some(trace)
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

/// The first time that each tank passes saturation with each salt, at its own temperature or once cooled.
fn precipitation(plant: &Plant, came_out: &[CameOut]) -> Vec<PrecipitationAnswer> {
    let mut first: Vec<&CameOut> = Vec::new();
    for now in came_out {
        if !first
            .iter()
            .any(|c| (c.vessel, c.salt) == (now.vessel, now.salt))
        {
            first.push(now);
        }
    }
    let told = first.into_iter().map(|c| PrecipitationAnswer {
        vessel: plant.network().vessels[c.vessel.index()].name.clone(),
        salt: c.salt.to_owned(),
        days: unit::days(c.t_s),
        once_cooled: c.once_cooled,
    });
    told.collect()
}

/// Means of what `read` finds over stretches of `length_s` counted from Monday midnight, each with its number; what the trace cuts short
/// is left out.
fn stretches(trace: &Trace, length_s: f64, read: impl Fn(&[f64]) -> f64) -> Vec<(usize, f64)> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few thousand, never negative"
    )]
    let number = |t: f64| (t / length_s).floor() as usize;
    let times = trace.times_s();
    let mut sums: Vec<(usize, f64, f64)> = Vec::new();
    for i in 1..trace.len() {
        let (start, end) = (times[i - 1], times[i]);
        let (a, b) = (read(trace.row(i - 1)), read(trace.row(i)));
        let value = |t: f64| a + (b - a) * (t - start) / (end - start);
        let mut from = start;
        while from < end - 1e-6 {
            let n = number(from + 1e-6);
            #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
            let to = end.min(length_s * (n + 1) as f64);
            if sums.last().is_none_or(|s| s.0 != n) {
                sums.push((n, 0.0, 0.0));
            }
            if let Some(sum) = sums.last_mut() {
                sum.1 += 0.5 * (to - from) * (value(from) + value(to));
                sum.2 += to - from;
            }
            from = to;
        }
    }
    let whole = sums.into_iter().filter(|s| s.2 > 0.999 * length_s);
    whole.map(|(n, sum, weight)| (n, sum / weight)).collect()
}

/// When the last key figure has come within 5 % of its settled value for good, days; `None` when one never does.
///
/// Key figures are the strengths of the lead metal in the bath, the holding and the collection tank and the last rinse. Each day's mean is
/// held against the same weekday of the settled week. Where no week repeats, means of four weeks are held against the mean of all.
fn days_to_settle(
    plant: &Plant,
    trace: &Trace,
    settled: &Settled,
    roles: &LoopRoles,
) -> Option<f64> {
    let lead = roles.lead;
    if settled.creeping.iter().any(|(s, _)| *s == lead) {
        return None;
    }
    let (length_s, repeats) = match settled.restless {
        None => (unit::SECONDS_PER_DAY, 7),
        Some(_) => (4.0 * unit::SECONDS_PER_WEEK, 1),
    };
    let tanks = [
        Some(roles.bath),
        roles.holding,
        roles.collection,
        Some(roles.last_film.station),
    ];
    let mut settled_after = 0_usize;
    for v in tanks.into_iter().flatten() {
        let read = |y: &[f64]| plant.concentration(v, lead, y).unwrap_or(0.0);
        let wanted = stretches(&settled.trace, length_s, read);
        let target = |n: usize| -> Option<f64> {
            let same = wanted.iter().filter(|w| w.0 % repeats == n % repeats);
            let (sum, count) = same.fold((0.0, 0.0), |(s, c), w| (s + w.1, c + 1.0));
            (count > 0.0).then(|| sum / count)
        };
        let seen = stretches(trace, length_s, read);
        let is_off = |&(n, mean): &(usize, f64)| {
            target(n).is_none_or(|t| (mean - t).abs() > WITHIN * t.abs())
        };
        match seen.iter().rposition(is_off) {
            Some(i) if i + 1 == seen.len() => return None,
            Some(i) => settled_after = settled_after.max(seen[i].0 + 1),
            None => {}
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
    Some(unit::days(settled_after as f64 * length_s))
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
    Some(ImpurityAnswer {
        species: plant.network().solutes[s.index()].name.clone(),
        vessel: plant.network().vessels[bath.index()].name.clone(),
        now_g_per_l: start,
        growth_g_per_l_per_day: if creep.is_some() { growth } else { 0.0 },
        limit_g_per_l: limit,
        days_to_limit: crossing,
        purge_l_per_h: bleed_l_per_h(limit, crossing, growth * volume),
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
