//! Lines that come round in several weeks: where batches or pumps beat against the week, their levels repeat every second or third week.

use dragback_plant::ids::{SoluteId, VesselId};
use nalgebra::DVector;

use super::{FILLS, Search, Settled};
use crate::error::RunError;

/// Most weeks that are taken for a round.
const MOST_WEEKS: usize = 8;
/// Weeks seen before a round is looked for: the first ones come from far.
const SEEN_WEEKS: usize = 10;
/// Weeks in which a tank that fills has gained.
const FILLING_WEEKS: usize = 6;
/// States a round apart are this much nearer to each other than states a week apart, or it is none.
const ALIKE: f64 = 0.1;
/// Weeks that differ by no more repeat, as share of a tank or of 100 °C.
const SAME: f64 = 1.0e-4;
/// Weeks in which a beat shows.
const LATELY: usize = 5;
/// Weeks whose levels change by more than this share of a tank each, and …
const BEATS: f64 = 1.0e-3;
/// … by more than this share of what they changed by lately, do not come to rest.
const STILL: f64 = 0.2;
/// Rounds in which one that was found must settle.
const ROUNDS: usize = 8;
/// What gains less than this share of its first inventory in a week is not brought back: it was there and leaves for good.
pub(super) const GAINS: f64 = 1.0e-7;
/// Share of its first inventory of which less is left where a solute was washed out; a part may well have left in the first weeks.
const LEFT: f64 = 0.5;
/// A solute that moves by no more than this share in weeks that stand for the settled one is at rest there.
const STILL_MOVES: f64 = 0.02;
/// A round settles within this many times the change of a week: what the sweeps leave open adds up along the beat.
const ROUGHER: f64 = 10.0;

/// What the weeks so far show of a beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beat {
    /// Nothing yet, or that weeks are taken as one already.
    Unknown,
    /// So many weeks come round together: they are taken as one.
    Round,
    /// No number of weeks will come round.
    Endless,
}

impl Search {
    /// Notes how full and how warm the tanks are at the end of a week: that makes the beat, while solutes, which jump, follow it.
    pub(super) fn see_tide(&mut self) {
        if self.round_weeks > 1 {
            return;
        }
        let plant = &self.world.plant;
        let vessels = plant.network().vessels.iter().enumerate();
        let each = vessels.flat_map(|(v, vessel)| {
            let (volume_m3, temp_c, _) = plant.holdup(VesselId(v), &self.world.y);
            [volume_m3 / vessel.full_m3, temp_c / 100.0]
        });
        self.tides.push(each.collect());
    }

    /// Whether a tank gained in each of the last weeks: one that beats against the week falls again.
    pub(super) fn has_filled(&self, v: VesselId) -> bool {
        let last = &self.tides[self.tides.len().saturating_sub(FILLING_WEEKS + 1)..];
        let share = |tide: &Vec<f64>| tide[2 * v.index()];
        self.round_weeks > 1 || last.windows(2).all(|w| share(&w[1]) - share(&w[0]) > FILLS)
    }

    /// From now on takes so many weeks as one as come round together, if the weeks so far show such a number.
    pub(super) fn take_round(&mut self) -> Beat {
        if self.round_weeks > 1 {
            return Beat::Unknown;
        }
        if self.pace.takes_rounds
            && self.tides.len() >= SEEN_WEEKS
            && let Some(weeks) = round(&self.tides)
        {
            self.take_weeks_as_one(weeks);
            self.until_weeks = self.weeks + ROUNDS * weeks;
            return Beat::Round;
        }
        if self.weeks >= self.pace.beating_weeks && beats(&self.tides) {
            return Beat::Endless;
        }
        Beat::Unknown
    }

    /// Largest relative change of the end state that counts as settled.
    pub(super) fn settled_change(&self) -> f64 {
        match self.round_weeks {
            1 => self.pace.settled,
            _ => ROUGHER * self.pace.settled,
        }
    }

    /// From now on weeks are taken together.
    pub(super) fn take_weeks_as_one(&mut self, weeks: usize) {
        self.round_weeks = weeks;
        // What creeps was gained in a week.
        self.creep.fill(None);
    }

    /// Where nothing comes round: as many weeks as stand for the settled one tell by their map where solutes would come to rest, were all weeks like them. The
    /// weeks after that stand for it, if less moves in them; else those themselves.
    pub(super) fn stand_in_at_rest(
        mut self,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Settled, RunError> {
        let (change, restless) = self.largest_change();
        self.take_weeks_as_one(self.pace.loose_weeks);
        self.options.records = true;
        self.world.tell_afresh();
        let (trace, maps) = self.mapped_week(watch)?;
        let was = (self.world.clone(), self.before.clone(), trace);
        let moved = self.moved();
        self.restores = true;
        self.move_solutes(&maps);
        let creep = self.creep.clone();
        let had_washed_out = self.has_washed_out(&was.0.y);
        // What is shown is not taken off again.
        self.creep.fill(None);
        self.world.tell_afresh();
        let after = match self.week(watch) {
            Err(RunError::Cancelled) => return Err(RunError::Cancelled),
            // It was moved to what no week can follow.
            Err(_) => None,
            Ok(trace) => {
                let now = self.moved();
                let mut others = (0..creep.len()).filter(|&s| creep[s].is_none());
                let settles = |s: usize| now[s] <= moved[s].max(STILL_MOVES);
                let is_better = had_washed_out || others.all(settles);
                is_better.then_some(trace)
            }
        };
        let trace = after.unwrap_or_else(|| {
            (self.world, self.before) = (was.0, was.1);
            was.2
        });
        self.creep = creep;
        let week_start = self.before.clone();
        Ok(Settled {
            restless: Some(restless),
            round_weeks: 1,
            ..self.settled(week_start, trace, change)
        })
    }

    /// Whether less than a good part is left of the inventory that the first weeks left of something that creeps.
    pub(super) fn has_washed_out(&self, y: &[f64]) -> bool {
        let layout = self.world.plant.layout();
        self.parts.iter().any(|part| {
            self.creep.iter().enumerate().any(|(s, gained)| {
                let at = |v| layout.vessel(v) + layout.solute(SoluteId(s));
                let held_kg = |y: &[f64]| part.vessels().map(|v| y[at(v)]).sum::<f64>();
                let (first_kg, gained) = (held_kg(&self.first), gained.as_ref());
                let gained_kg =
                    |c: &DVector<f64>| part.vessels().map(|v| c[v.index()]).sum::<f64>();
                gained.is_some_and(|c| gained_kg(c) > GAINS * first_kg)
                    && held_kg(y) < LEFT * first_kg
            })
        })
    }

    /// Largest relative change of each solute in any tank.
    fn moved(&self) -> Vec<f64> {
        let plant = &self.world.plant;
        let layout = plant.layout();
        let vessels = 0..plant.network().vessels.len();
        let of = |s: usize| {
            let j = layout.solute(SoluteId(s));
            let each = vessels.clone().map(|v| self.changed(VesselId(v), j));
            each.fold(0.0, f64::max)
        };
        (0..plant.network().solutes.len()).map(of).collect()
    }
}

/// Whether a level or a temperature goes up and down by as much in the last weeks as in those before: what only rises or only falls comes to an end.
fn beats(tides: &[Vec<f64>]) -> bool {
    let last = &tides[tides.len().saturating_sub(LATELY + 1)..];
    let weeks: Vec<Vec<f64>> = last
        .windows(2)
        .map(|w| w[1].iter().zip(&w[0]).map(|(a, b)| a - b).collect())
        .collect();
    let each = 0..weeks.first().map_or(0, Vec::len);
    each.into_iter().any(|i| {
        let moved: Vec<f64> = weeks.iter().map(|week| week[i]).collect();
        let most = moved.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
        let goes_on = |x: &f64| x.abs() > BEATS && x.abs() > STILL * most;
        let (up, down) = (
            moved.iter().any(|x| *x > BEATS),
            moved.iter().any(|x| *x < -BEATS),
        );
        moved.len() > 1 && up && down && moved.iter().rev().take(2).any(goes_on)
    })
}

/// In how many weeks the last of `tides` come round; `None` where they repeat each week, or in no such number.
fn round(tides: &[Vec<f64>]) -> Option<usize> {
    let apart = |i: usize, weeks: usize| {
        let (now, then) = (&tides[i], &tides[i - weeks]);
        let each = now.iter().zip(then).map(|(a, b)| (a - b).abs());
        each.fold(0.0, f64::max)
    };
    let fits = |weeks: &usize| {
        let ends = tides.len().checked_sub(*weeks).filter(|from| from >= weeks);
        ends.is_some_and(|from| {
            let over = |weeks: usize| (from..tides.len()).map(move |i| apart(i, weeks));
            let beat = over(1).fold(0.0, f64::max);
            beat > SAME && over(*weeks).fold(0.0, f64::max) < ALIKE * beat
        })
    };
    (2..=MOST_WEEKS).find(fits)
}

#[cfg(test)]
mod tests {
    use super::round;

    fn tides(of: impl Fn(f64) -> f64) -> Vec<Vec<f64>> {
        (0..17).map(|week| vec![0.5, of(f64::from(week))]).collect()
    }

    #[test]
    fn a_round_is_told_from_what_repeats_or_drifts() {
        let beat = |weeks: f64| move |week: f64| 0.3 + 0.01 * (week % weeks);
        for weeks in [2_u32, 3, 4, 5, 6, 8] {
            let found = round(&tides(beat(f64::from(weeks))));
            assert_eq!(found, Some(weeks as usize), "{weeks}");
        }
        // A beat that has not come to its end yet, …
        let ends = |week: f64| beat(3.0)(week) + 0.1 * (-week).exp();
        assert_eq!(round(&tides(ends)), Some(3));
        // … the same week always, what fills, what comes nearer and nearer, and a beat that fits no number of weeks.
        for none in [
            tides(|_| 0.3),
            tides(|week| 0.3 + 0.01 * week),
            tides(|week| 0.3 + 0.1 * (-0.2 * week).exp()),
            tides(|week| 0.3 + 0.01 * (2.0 * week).sin()),
            tides(beat(9.0)),
        ] {
            assert_eq!(round(&none), None, "{none:?}");
        }
        assert_eq!(round(&tides(beat(2.0))[..3]), None);
    }
}
