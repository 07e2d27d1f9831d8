//! What grows in the baths over a run.

use dragback_plant::Plant;
use dragback_plant::ids::SoluteId;
use dragback_plant::network::LoopRoles;
use dragback_run::Trace;
use dragback_units::constants as unit;

use crate::answers::ImpurityAnswer;
use crate::figures::Means;

/// Shortest run whose growth says something, s: daily additions and shifts make a strength go up and down within a week.
const SHORTEST_S: f64 = 4.0 * unit::SECONDS_PER_WEEK;

/// Growth, kg/m³ per day, below which a solute without a limit is not told.
const LEAST_KG_PER_M3_DAY: f64 = 1.0e-6;

/// Solutes with a limit, and solutes that nobody adds and that grow.
///
/// The growth is that over the second half of the run, when fast changes of the start are over; `days_to_limit` is the day on which the
/// limit was passed in the run, or would be if the growth went on so. A run shorter than four weeks tells no growth.
pub(crate) fn impurities_of_run(plant: &Plant, trace: &Trace) -> Vec<ImpurityAnswer> {
    if trace.len() < 2 {
        return Vec::new();
    }
    let loops = plant.network().loops.iter();
    loops
        .flat_map(|roles| {
            let solutes = 0..plant.network().solutes.len();
            solutes.filter_map(move |s| impurity(plant, trace, roles, SoluteId(s)))
        })
        .collect()
}

fn impurity(
    plant: &Plant,
    trace: &Trace,
    roles: &LoopRoles,
    s: SoluteId,
) -> Option<ImpurityAnswer> {
    let net = plant.network();
    let limit = roles.impurity_limits.iter().find(|x| x.0 == s).map(|x| x.1);
    let is_kept_up = net
        .additions
        .iter()
        .any(|a| a.vessel == roles.bath && a.solute == s);
    let strength = |y: &[f64]| plant.concentration(roles.bath, s, y);
    let growth = growth_per_day(plant, trace, roles, s);
    let grows = growth.is_some_and(|g| g > LEAST_KG_PER_M3_DAY) && !is_kept_up && s != roles.lead;
    if limit.is_none() && !grows {
        return None;
    }
    let last = trace.len() - 1;
    let (start, end) = (strength(trace.row(0))?, strength(trace.row(last))?);
    let passed = limit.and_then(|l| {
        let i = (0..trace.len()).find(|&i| strength(trace.row(i)).is_some_and(|c| c > l))?;
        Some(unit::days(trace.times_s()[i]))
    });
    let rising = growth.filter(|&g| g > 0.0);
    let ahead = || Some(unit::days(trace.times_s()[last]) + (limit? - end) / rising?);
    let days_to_limit = passed.or_else(ahead);
    let (volume_m3, ..) = plant.holdup(roles.bath, trace.row(last));
    let purge = limit.zip(rising).filter(|_| days_to_limit.is_some());
    Some(ImpurityAnswer {
        species: net.solutes[s.index()].name.clone(),
        vessel: net.vessels[roles.bath.index()].name.clone(),
        now_g_per_l: start,
        growth_g_per_l_per_day: growth.unwrap_or(f64::NAN),
        limit_g_per_l: limit,
        days_to_limit,
        purge_l_per_h: purge.map(|(l, g)| unit::l_per_h(g * volume_m3 / l / unit::SECONDS_PER_DAY)),
    })
}

/// Growth of a bath's strength, kg/m³ per day, from the mean of the week around the middle to that of the last week; `None` for a short run.
fn growth_per_day(plant: &Plant, trace: &Trace, roles: &LoopRoles, s: SoluteId) -> Option<f64> {
    let (first_s, last_s) = (*trace.times_s().first()?, *trace.times_s().last()?);
    if last_s - first_s < SHORTEST_S - 1.0 {
        return None;
    }
    let half_week = 0.5 * unit::SECONDS_PER_WEEK;
    let mean = |middle_s: f64| {
        let (from, to) = (
            trace.at(middle_s - half_week),
            trace.at(middle_s + half_week),
        );
        let week = Means::between(plant, trace, from, to);
        week.mean(|y| plant.concentration(roles.bath, s, y).unwrap_or(0.0))
    };
    let (middle_s, end_s) = (0.5 * (first_s + last_s), last_s - half_week);
    Some((mean(end_s) - mean(middle_s)) / unit::days(end_s - middle_s))
}
