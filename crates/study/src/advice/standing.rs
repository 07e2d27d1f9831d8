//! How a loop stands, and what is asked of a change before it is proposed.

use dragback_plant::climate::AirChoice;

use crate::answers::{AlarmAnswer, Answers, ImpurityAnswer, LoopAnswer, SoluteAnswer};
use crate::balance::{closes, is_clean, is_short_of_room};
use crate::growth::FORESEEN_D;
use crate::names::month_air;

use super::Goal;

/// A saving leaves the final rinse at this share of its limit, and the heaters at this duty, at most, or no worse than they are.
const RESERVE_FILM: f64 = 0.8;
const RESERVE_DUTY: f64 = 0.9;
/// A saving costs no more than this of what work drags out.
const TRIFLE: f64 = 1e-3;
/// What a saving changes by less than this share has not changed.
const SAME: f64 = 0.01;
/// A saving does not cool the bath by more, K.
const COOLER_K: f64 = 0.3;
/// An impurity that settles at this share of its limit is held: shifts and analyses make it go up and down a little.
const HELD: f64 = 0.95;

/// The settled answers of one loop, in the year's mean air and in the month that is worst for the loop as it was found.
#[derive(Clone, Debug)]
pub struct Standing {
    loop_key: String,
    mean: Answers,
    month: Option<Answers>,
}

/// Air of the month in which a loop has least room; `None` where every month is alike, or was not looked at.
pub(super) fn worst_air(line: &LoopAnswer) -> Option<AirChoice> {
    month_air(&line.closure_margin_l_per_h.as_ref()?.month)
}

impl Standing {
    /// A loop among answers in the mean air, and in the worst month's; `None` where there is no such loop.
    #[must_use]
    pub fn new(loop_key: &str, mean: Answers, month: Option<Answers>) -> Option<Self> {
        let found = Self {
            loop_key: loop_key.to_owned(),
            mean,
            month,
        };
        let _ = found.find(&found.mean)?;
        Some(found)
    }

    fn find<'a>(&self, answers: &'a Answers) -> Option<&'a LoopAnswer> {
        answers.loops.iter().find(|l| l.name == self.loop_key)
    }

    /// The loop in the mean air.
    #[must_use]
    pub fn line(&self) -> &LoopAnswer {
        // `new` has found it.
        self.find(&self.mean).unwrap_or(&self.mean.loops[0])
    }

    /// The loop in the worst month's air.
    #[must_use]
    pub fn in_worst_month(&self) -> Option<&LoopAnswer> {
        self.find(self.month.as_ref()?)
    }

    /// All answers in the mean air.
    #[must_use]
    pub const fn answers(&self) -> &Answers {
        &self.mean
    }

    /// Whether nothing rings here that did not ring before.
    fn rings_no_more_than(&self, now: &Self) -> bool {
        let of = |a: &AlarmAnswer| (a.device.clone(), std::mem::discriminant(&a.cause));
        let before: Vec<_> = now.mean.alarms.iter().map(of).collect();
        self.mean.alarms.iter().all(|a| before.contains(&of(a)))
    }

    /// What is told of an impurity of this loop's bath.
    fn impurity(&self, species: &str) -> Option<&ImpurityAnswer> {
        let tanks = &self.line().tanks;
        let mut all = self.mean.impurities.iter();
        all.find(|i| i.species == species && tanks.contains(&i.vessel))
    }

    /// Whether an impurity that passes its limit `now` settles below it, or keeps it for as long as is looked ahead.
    fn holds(&self, species: &str, now: &Self) -> bool {
        let Some((vessel, limit)) = now
            .impurity(species)
            .and_then(|i| Some((&i.vessel, i.limit_g_per_l?)))
        else {
            return false;
        };
        let creeps = |s: &SoluteAnswer| s.name == species && s.creeps;
        if self.mean.solutes.iter().any(creeps) {
            // What would take years to settle need not: it keeps its limit for as long as is looked ahead.
            let told = self.impurity(species);
            return told.is_none_or(|i| i.days_to_limit.is_none_or(|d| d > FORESEEN_D));
        }
        let bath = self.mean.vessels.iter().find(|v| v.name == *vessel);
        let settled = bath.and_then(|v| v.concentration_g_per_l.get(species).copied());
        settled.is_some_and(|c| c <= HELD * limit)
    }

    /// Whether a saving leaves a loop as good as it is `now`, but for a trifle and with a reserve.
    fn spares(&self, now: &Self) -> bool {
        let of_month = match (self.in_worst_month(), now.in_worst_month()) {
            (Some(line), Some(now)) => keeps(line, now),
            (None, None) => true,
            _ => false,
        };
        of_month && keeps(self.line(), now.line())
    }
}

fn keeps(line: &LoopAnswer, now: &LoopAnswer) -> bool {
    let loses_no_more = line.recovered_fraction.is_nan()
        || line.recovered_fraction >= now.recovered_fraction - TRIFLE;
    let most = |reserve: f64, now: f64, full: f64| (now * (1.0 + SAME)).clamp(reserve, full);
    let is_warm = line.bath.temperature_c >= now.bath.temperature_c - COOLER_K;
    let film = line.final_rinse.film_mg_per_l;
    let is_rinsed = line.final_rinse.limit_mg_per_l.is_none_or(|limit| {
        film <= most(RESERVE_FILM * limit, now.final_rinse.film_mg_per_l, limit)
    });
    let has_heat = line.heater_duty <= most(RESERVE_DUTY, now.heater_duty, 1.0);
    // A bath is to be warm in its hardest hour, too, when all its water runs in at once.
    let in_hardest_hour = line
        .heater_hardest
        .is_none_or(|share| share <= most(RESERVE_DUTY, now.heater_hardest.unwrap_or(0.0), 1.0));
    (closes(line) || !closes(now))
        && loses_no_more
        && is_warm
        && is_rinsed
        && has_heat
        && in_hardest_hour
}

impl Goal {
    /// Whether an answer reaches it. No change may raise an alarm that is silent `now`; a saving must not lose what the loop has, and what holds an
    /// impurity neither the balance nor the final rinse.
    #[must_use]
    pub fn is_met(&self, after: &Standing, now: &Standing) -> bool {
        let line = after.line();
        let is_there = match self {
            Self::Closes => closes(line),
            Self::CleanRinse => is_clean(line),
            Self::Saves => after.spares(now),
            Self::Holds(species) => {
                species.iter().all(|s| after.holds(s, now))
                    && (closes(line) || !closes(now.line()))
                    && (is_clean(line) || !is_clean(now.line()))
            }
        };
        is_there && after.rings_no_more_than(now)
    }
}

/// Why nothing can be spared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tight {
    /// The final rinse is at this share of its limit.
    FinalRinse(f64),
    /// There is no limit of the final rinse to judge by.
    NoLimit,
    /// The heaters work at this share of their power.
    Heat(f64),
    /// Less would cost the loop, or metal.
    Loop,
}

/// Whether the heaters have more power than they need.
pub(super) fn has_heat_to_spare(line: &LoopAnswer) -> bool {
    line.heater_duty < RESERVE_DUTY
}

/// What stands against any saving in a loop as it is.
pub(super) fn tight(line: &LoopAnswer) -> Vec<Tight> {
    let near = |share: f64, reserve: f64| share > (1.0 - 0.1) * reserve;
    let mut found = Vec::new();
    match line.final_rinse.limit_mg_per_l {
        None => found.push(Tight::NoLimit),
        Some(limit) => {
            let share = line.final_rinse.film_mg_per_l / limit;
            if near(share, RESERVE_FILM) {
                found.push(Tight::FinalRinse(share));
            }
        }
    }
    if near(line.heater_duty, RESERVE_DUTY) {
        found.push(Tight::Heat(line.heater_duty));
    }
    if found.is_empty() && !is_short_of_room(line) {
        found.push(Tight::Loop);
    }
    found
}
