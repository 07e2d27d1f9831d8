//! What grows as time goes on, and which salts that brings out.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::network::LoopRoles;
use dragback_run::clock::Clock;
use dragback_run::preview::{Preview, PreviewOptions, run, run_with};
use dragback_run::settle::Settled;
use dragback_run::{CameOut, Trace, World};
use dragback_units::constants as unit;

use crate::answers::{Answers, FirstLimit, ImpurityAnswer, PrecipitationAnswer};
use crate::case::{Case, StudyError};
use crate::figures::loop_tanks;
use crate::growth::bleed_l_per_h;
use crate::settled::Depth;
use crate::settling::days_to_settle;

/// Longest look ahead, s.
const LOOK_S: f64 = 3.0 * 52.0 * unit::SECONDS_PER_WEEK;

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
            let mut world = start(case);
            let trace = run(&mut world, LOOK_S, &options(clock), watch)?.trace;
            answers.precipitation = precipitation(plant, &world.came_out);
            Some(trace)
        }
    };
    for (roles, answer) in plant.network().loops.iter().zip(&mut answers.loops) {
        if let Some(trace) = &ahead {
            match days_to_settle(plant, trace, settled, roles) {
                Ok(days) => answer.days_to_settle = Some(days),
                Err(why) => answer.days_to_settle_not_shown = Some(why),
            }
        }
        let told = (0..plant.network().solutes.len())
            .filter_map(|s| impurity(plant, settled, ahead.as_ref(), roles, SoluteId(s)));
        answers.impurities.extend(told);
    }
    if depth == Depth::Full {
        let (impurities, salts) = (&answers.impurities, &answers.precipitation);
        for line in &mut answers.loops {
            line.first_limit = first_of(&line.tanks, impurities, salts);
        }
    }
    Ok(())
}

/// Stretch after which a look at first limits asks whether there is one, s.
const STRETCH_S: f64 = 13.0 * unit::SECONDS_PER_WEEK;

/// The first limit that a loop comes to within so many stretches of thirteen weeks from its start, seen on the way there; `None` where there is none.
///
/// # Errors
/// When the run fails, or `watch` gives up.
pub(crate) fn first_limit_within(
    case: &Case,
    settled: &Settled,
    place: usize,
    clock: Clock,
    stretches: u32,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<FirstLimit>, StudyError> {
    let plant = &case.plant;
    let roles = &plant.network().loops[place];
    let tanks = loop_tanks(plant, roles);
    let (mut world, mut preview) = (start(case), Preview::new(Arc::clone(plant)));
    for stretch in 1..=stretches {
        let until_s = f64::from(stretch) * STRETCH_S;
        let told = run_with(&mut preview, &mut world, until_s, &options(clock), watch)?;
        let trace = told.trace;
        let solutes = (0..plant.network().solutes.len()).map(SoluteId);
        let impurities = solutes.filter_map(|s| impurity(plant, settled, Some(&trace), roles, s));
        let impurities: Vec<ImpurityAnswer> = impurities.collect();
        let salts = precipitation(plant, &world.came_out);
        let seen_d = unit::days(until_s);
        let first = first_of(&tanks, &impurities, &salts);
        if let Some(first) = first.filter(|limit| limit.days <= seen_d) {
            return Ok(Some(first));
        }
    }
    Ok(None)
}

/// The line as it starts, whose events do not happen.
fn start(case: &Case) -> World {
    let mut world = World::new(Arc::clone(&case.plant), case.cache.clone());
    world.done.fill(true);
    world
}

fn options(clock: Clock) -> PreviewOptions {
    PreviewOptions {
        clock,
        ..PreviewOptions::default()
    }
}

/// The first of what the tanks of a loop come to.
fn first_of(
    tanks: &[String],
    impurities: &[ImpurityAnswer],
    salts: &[PrecipitationAnswer],
) -> Option<FirstLimit> {
    let impurities = impurities
        .iter()
        .filter_map(|i| Some((&i.species, &i.vessel, i.days_to_limit?)));
    let salts = salts.iter().map(|p| (&p.salt, &p.vessel, p.days));
    let all = impurities.chain(salts);
    let of_line = all.filter(|(_, vessel, _)| tanks.contains(vessel));
    let (what, vessel, days) = of_line.min_by(|a, b| a.2.total_cmp(&b.2))?;
    Some(FirstLimit {
        what: what.clone(),
        vessel: vessel.clone(),
        days: days.max(0.0),
    })
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
