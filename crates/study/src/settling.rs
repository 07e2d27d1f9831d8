//! How long a loop takes to settle.

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::network::LoopRoles;
use dragback_run::Trace;
use dragback_run::settle::Settled;
use dragback_units::constants as unit;

/// A key figure has settled when its running mean stays within this share of its settled value.
const WITHIN: f64 = 0.05;
/// Half of the four weeks of a running mean, days.
const HALF_D: usize = 14;
/// What was off within so many days before the end of the look ahead, a quarter of a year, has not been seen to stay.
const STAYS_D: usize = 91;

/// When the last key figure has come within 5 % of its settled value for good, days; or why that is not known.
///
/// Key figures are the strengths of the lead metal in the bath, the holding and the collection tank and the last rinse. The mean of four weeks
/// around a day is held against the mean of the same weekdays of the settled week; near the start, of as many days before as after.
pub(crate) fn days_to_settle(
    plant: &Plant,
    trace: &Trace,
    settled: &Settled,
    roles: &LoopRoles,
) -> Result<f64, String> {
    let lead = roles.lead;
    let name = &plant.network().solutes[lead.index()].name;
    let creeps = |weekly: &[f64]| key_tanks(roles).any(|v| weekly[v.index()] != 0.0);
    let mut creeping = settled.creeping.iter();
    if creeping.any(|(s, weekly)| *s == lead && creeps(weekly)) {
        return Err(format!("{name} itself would take years to settle"));
    }
    let mut last = None;
    for v in key_tanks(roles) {
        let tank = Approach::new(plant, trace, settled, (v, lead));
        let Some(day) = tank.last_off() else { continue };
        if day + STAYS_D > tank.last_day() {
            let vessel = &plant.network().vessels[v.index()].name;
            return Err(tank.not_settled(name, vessel, day));
        }
        last = last.max(Some(day));
    }
    #[expect(clippy::cast_precision_loss, reason = "a thousand")]
    Ok(last.map_or(0.0, |day| (day + 1) as f64))
}

fn key_tanks(roles: &LoopRoles) -> impl Iterator<Item = VesselId> {
    let tanks = [
        Some(roles.bath),
        roles.holding,
        roles.collection,
        Some(roles.last_film.station),
    ];
    tanks.into_iter().flatten()
}

/// How a strength comes to where it settles.
struct Approach {
    /// Sums of the daily means seen before each day, and of those of the same weekdays of the settled week.
    seen: Vec<f64>,
    wanted: Vec<f64>,
}

impl Approach {
    fn new(plant: &Plant, trace: &Trace, settled: &Settled, (v, s): (VesselId, SoluteId)) -> Self {
        let read = |y: &[f64]| plant.concentration(v, s, y).unwrap_or(0.0);
        let mut week = [(0.0, 0.0); 7];
        for (day, mean) in days(&settled.trace, read) {
            week[day % 7].0 += mean;
            week[day % 7].1 += 1.0;
        }
        let (mut seen, mut wanted) = (vec![0.0], vec![0.0]);
        for (day, mean) in days(trace, read) {
            let (sum, count) = week[day % 7];
            seen.push(seen[seen.len() - 1] + mean);
            wanted.push(wanted[wanted.len() - 1] + sum / count);
        }
        Self { seen, wanted }
    }

    /// The last day around which there are two weeks.
    fn last_day(&self) -> usize {
        self.seen.len().saturating_sub(1 + HALF_D)
    }

    /// By how much the running mean around the beginning of a day is off its settled value, as a share of that.
    fn off(&self, day: usize) -> f64 {
        let (from, to) = match day.min(HALF_D) {
            0 => (0, 1),
            half => (day - half, day + half),
        };
        let [seen, wanted] = [&self.seen, &self.wanted].map(|sums| sums[to] - sums[from]);
        // Nothing at all is where it settles at nothing.
        if seen == wanted {
            0.0
        } else {
            seen / wanted - 1.0
        }
    }

    /// The last day around which the running mean is off by more than 5 %, or has no number.
    fn last_off(&self) -> Option<usize> {
        let is_off = |&day: &usize| {
            let off = self.off(day).abs();
            off > WITHIN || off.is_nan()
        };
        (0..=self.last_day()).rev().find(is_off)
    }

    /// Why there are no days, where the running mean was off on a late one.
    fn not_settled(&self, solute: &str, vessel: &str, day: usize) -> String {
        let percent = 100.0 * self.off(day).abs();
        let off = if percent.is_finite() {
            format!("{percent:.1} % off")
        } else {
            "off".to_owned()
        };
        let ahead = self.last_day() + HALF_D;
        format!(
            "the four-week mean of {solute} in {vessel} is still {off} on day {day} of the {ahead} days looked ahead"
        )
    }
}

/// The mean of each whole day of a trace of what `read` finds, with the day's number from the first Monday midnight on.
fn days(trace: &Trace, read: impl Fn(&[f64]) -> f64) -> Vec<(usize, f64)> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few thousand, never negative"
    )]
    let number = |t: f64| unit::days(t).floor() as usize;
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
            let to = end.min(unit::SECONDS_PER_DAY * (n + 1) as f64);
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
    let whole = sums
        .into_iter()
        .filter(|s| s.2 > 0.999 * unit::SECONDS_PER_DAY);
    whole.map(|(n, sum, weight)| (n, sum / weight)).collect()
}
