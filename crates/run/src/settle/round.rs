//! Lines that come round in several weeks: where batches or pumps beat against the week, their levels repeat every second or third week.

use dragback_plant::ids::VesselId;

use super::{FILLS, Search};
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
/// Weeks whose levels change by more than this share of a tank each, and …
const BEATS: f64 = 1.0e-3;
/// … by more than this share of what they changed by lately, do not come to rest.
const STILL: f64 = 0.2;
/// Rounds in which one that was found must settle.
const ROUNDS: usize = 8;
/// A round settles within this many times the change of a week: what the sweeps leave open adds up along the beat.
const ROUGHER: f64 = 10.0;

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

    /// From now on takes so many weeks as one as come round together, if the weeks so far show such a number, and says whether it does; gives up where they
    /// show that no such number will come.
    pub(super) fn take_round(&mut self) -> bool {
        if self.round_weeks > 1 {
            return false;
        }
        if self.pace.takes_rounds
            && self.tides.len() >= SEEN_WEEKS
            && let Some(weeks) = round(&self.tides)
        {
            self.take_weeks_as_one(weeks);
            self.until_weeks = self.weeks + ROUNDS * weeks;
            return true;
        }
        if self.weeks >= self.pace.beating_weeks && beats(&self.tides) {
            self.until_weeks = 0;
        }
        false
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

    /// Where nothing came round, solutes jump once more, by the map of as many weeks as stand for the settled one.
    pub(super) fn jump_at_loose_ends(
        &mut self,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), RunError> {
        if !self.pace.takes_rounds {
            return Ok(());
        }
        self.take_weeks_as_one(self.pace.loose_weeks);
        self.jump(watch)
    }
}

/// Whether the last weeks go on changing as much as those before.
fn beats(tides: &[Vec<f64>]) -> bool {
    let moved = |w: &[Vec<f64>]| {
        let each = w[0].iter().zip(&w[1]).map(|(a, b)| (a - b).abs());
        each.fold(0.0, f64::max)
    };
    let weeks: Vec<f64> = tides.windows(2).rev().take(5).map(moved).collect();
    let most = weeks.iter().copied().fold(0.0, f64::max);
    let goes_on = |moved: &f64| *moved > BEATS && *moved > STILL * most;
    weeks.len() > 1 && weeks.iter().take(3).all(goes_on)
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
