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

/// How far ahead a limit counts as one that is met, days: the three years that the settled week looks ahead. What lies beyond is told, but nothing is asked for
/// because of it.
pub(crate) const FORESEEN_D: f64 = 3.0 * 365.0;

/// Growth, kg/m³ per day, below which a solute without a limit is not told.
const LEAST_KG_PER_M3_DAY: f64 = 1.0e-6;

/// Solutes with a limit, and solutes that nobody adds and that grow.
///
/// The growth is that over the second half of the run, when fast changes of the start are over; `days_to_limit` is the day on which the
/// limit was passed in the run, or would be if the growth went on so, straight or ever more slowly. A run shorter than four weeks tells no growth.
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
    let growth = Growth::of(plant, trace, roles, s);
    let per_day = growth.map(|g| g.per_day);
    let grows = per_day.is_some_and(|g| g > LEAST_KG_PER_M3_DAY) && !is_kept_up && s != roles.lead;
    if limit.is_none() && !grows {
        return None;
    }
    let last = trace.len() - 1;
    let start = strength(trace.row(0))?;
    let passed = limit.and_then(|l| {
        let i = (0..trace.len()).find(|&i| strength(trace.row(i)).is_some_and(|c| c > l))?;
        Some(unit::days(trace.times_s()[i]))
    });
    let days_to_limit = passed.or_else(|| growth?.reaches(limit?));
    let (volume_m3, ..) = plant.holdup(roles.bath, trace.row(last));
    Some(ImpurityAnswer {
        species: net.solutes[s.index()].name.clone(),
        vessel: net.vessels[roles.bath.index()].name.clone(),
        now_g_per_l: start,
        growth_g_per_l_per_day: per_day.unwrap_or(f64::NAN),
        limit_g_per_l: limit,
        days_to_limit,
        purge_l_per_h: bleed_l_per_h(limit, days_to_limit, per_day.unwrap_or(0.0) * volume_m3),
    })
}

/// Bleed of bath that holds a solute at its limit (kg/m³), L/h: at that strength it takes away what grows now (kg per day). What does not grow needs none, nor
/// what does not come to its limit within [`FORESEEN_D`].
pub(crate) fn bleed_l_per_h(
    limit_kg_per_m3: Option<f64>,
    days_to_limit: Option<f64>,
    growth_kg_per_day: f64,
) -> Option<f64> {
    let is_near = days_to_limit.is_some_and(|d| d <= FORESEEN_D);
    let limit = limit_kg_per_m3.filter(|_| is_near && growth_kg_per_day > 0.0)?;
    Some(unit::l_per_h(
        growth_kg_per_day / limit / unit::SECONDS_PER_DAY,
    ))
}

/// Growth of a bath's strength over the second half of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Growth {
    /// Mean growth, kg/m³ per day.
    per_day: f64,
    /// Rise over each of two equal stretches one after the other, kg/m³.
    rises: [f64; 2],
    /// Their length, days.
    stretch_d: f64,
    /// When they end, days, and the strength then, kg/m³.
    end_d: f64,
    end: f64,
}

impl Growth {
    /// From the mean of the week around the middle of a run to that of its last week; `None` for a short run.
    fn of(plant: &Plant, trace: &Trace, roles: &LoopRoles, s: SoluteId) -> Option<Self> {
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
        let between_s = 0.5 * (middle_s + end_s);
        let [start, between, end] = [middle_s, between_s, end_s].map(mean);
        Some(Self {
            per_day: (end - start) / unit::days(end_s - middle_s),
            rises: [between - start, end - between],
            stretch_d: unit::days(end_s - between_s),
            end_d: unit::days(end_s),
            end,
        })
    }

    /// The day on which the strength comes to a limit if it goes on so: straight on, or, where growth slows down, ever more slowly towards a strength
    /// that may lie below the limit.
    fn reaches(&self, limit: f64) -> Option<f64> {
        if self.per_day <= 0.0 {
            return None;
        }
        let [before, now] = self.rises;
        let missing = limit - self.end;
        if before <= 0.0 || now >= before {
            return Some(self.end_d + missing / self.per_day);
        }
        // Each stretch brings the same share of the one before.
        let share = (now / before).max(0.0);
        let to_come = now * share / (1.0 - share);
        let left = 1.0 - missing / to_come.max(f64::MIN_POSITIVE);
        (left > 0.0).then(|| self.end_d + self.stretch_d * left.ln() / share.ln())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A strength that comes to 10 g/L and misses less by a factor of e every 20 days, seen from day 45 to day 85.
    fn slowing() -> Growth {
        let strength = |day: f64| 10.0 * (1.0 - (-day / 20.0_f64).exp());
        let [a, b, c] = [45.0, 65.0, 85.0].map(strength);
        Growth {
            per_day: (c - a) / 40.0,
            rises: [b - a, c - b],
            stretch_d: 20.0,
            end_d: 85.0,
            end: c,
        }
    }

    /// Source: hand derivation, `t = −20 d · ln(1 − c / 10 g/L)`.
    #[test]
    fn what_slows_down_comes_to_its_limit_late_or_never() {
        let growth = slowing();
        for limit in [9.9, 9.99, 9.999] {
            let wanted = -20.0 * (1.0_f64 - limit / 10.0).ln();
            let found = growth.reaches(limit);
            assert!(
                found.is_some_and(|d| (d - wanted).abs() < 1e-6),
                "{limit}: {found:?}"
            );
        }
        assert_eq!(growth.reaches(10.01), None);
    }

    /// Source: hand derivation.
    #[test]
    fn what_does_not_slow_down_goes_straight_on() {
        let straight = Growth {
            per_day: 0.1,
            rises: [2.0, 2.0],
            stretch_d: 20.0,
            end_d: 80.0,
            end: 9.0,
        };
        let found = straight.reaches(10.0);
        assert!(found.is_some_and(|d| (d - 90.0).abs() < 1e-9), "{found:?}");
        let shrinks = Growth {
            per_day: -0.1,
            ..straight
        };
        assert_eq!(shrinks.reaches(10.0), None);
    }

    /// 48 g a day at 2 g/L are 24 L a day.
    #[test]
    fn a_bleed_takes_away_what_grows() {
        let bleed = bleed_l_per_h(Some(2.0), Some(300.0), 0.048);
        assert!(bleed.is_some_and(|b| (b - 1.0).abs() < 1e-12), "{bleed:?}");
        assert_eq!(bleed_l_per_h(Some(2.0), None, 0.048), None);
        assert_eq!(bleed_l_per_h(Some(2.0), Some(1096.0), 0.048), None);
        assert_eq!(bleed_l_per_h(Some(2.0), Some(300.0), -0.048), None);
        assert_eq!(bleed_l_per_h(None, None, 0.048), None);
    }
}
