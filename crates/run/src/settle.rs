//! The settled week, found directly.
//!
//! One week is a map of the world onto itself. Volumes and temperatures come round within a few weeks; solutes may take years. But once
//! the flows repeat, the map is straight in the solutes and the same for all of them, so the averaged driver carries unit columns
//! along with a week and one small solve gives the state that the map leaves alone.

use std::sync::Arc;

use dragback_plant::climate::AirChoice;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use nalgebra::DVector;

use crate::clock::{Clock, Hours};
use crate::error::RunError;
use crate::exact::name_entry;
use crate::preview::{Preview, PreviewOptions, run_with};
use crate::trace::Trace;
use crate::world::World;

mod jump;
mod near;
mod part;
mod passengers;
mod round;
mod week_map;

pub use near::settle_near;
use part::{Part, parts};
use round::Beat;

pub(crate) use passengers::Passengers;

/// Seconds in a week.
const WEEK_S: f64 = dragback_plant::calendar::WEEK_S;
/// Largest relative change of a week's end state that counts as settled.
const SETTLED: f64 = 1.0e-6;
/// A week that leaves more than this share of the change of the one before comes no nearer to the week that repeats.
const NEARER: f64 = 0.25;
/// Weeks run before the first map is made, in which volumes and temperatures come round; what creeps keeps the inventory that they leave.
const FIRST_WEEKS: usize = 4;
/// Weeks iterated before giving up.
const MAX_WEEKS: usize = 40;
/// Weeks after which tanks that fill are moved ahead.
const DRIFT_WEEKS: usize = 9;
/// Weeks after which levels that still change do so without end.
const BEATING_WEEKS: usize = 18;
/// A tank fills that gains this share of itself in a week.
const FILLS: f64 = 1.0e-4;
/// Weeks over which means are taken when nothing comes round: a latched alarm or a beat between pumps keeps the loop restless.
const LOOSE_WEEKS: usize = 12;
/// A solute that would need longer than this to come round creeps rather than settles, weeks.
const CREEPING_WEEKS: f64 = 52.0 * 8.0;

/// A settled week.
pub struct Settled {
    /// The world at the end of the settled week.
    pub world: World,
    /// The vector at the start of the settled week.
    pub week_start: Vec<f64>,
    /// The settled week, step by step; several weeks where it takes so many to come round, or where nothing does.
    pub trace: Trace,
    /// Weeks in which the line comes round: more than one where batches or pumps beat against the week.
    pub round_weeks: usize,
    /// Weeks simulated to find it.
    pub weeks: usize,
    /// Largest relative change left over the week.
    pub change: f64,
    /// Solutes that would need years to come round, with what they gain in a week, kg per vessel. They are shown at the inventory
    /// that the first four weeks leave (of a week found by [`settle_near`] from one that was known: about that one's), spread as they creep.
    pub creeping: Vec<(SoluteId, Vec<f64>)>,
    /// The balance that keeps moving where nothing comes round (a latched alarm, a beat between pumps that fits no number of weeks); the trace then
    /// spans several weeks, whose means stand for the settled week.
    pub restless: Option<String>,
}

impl Settled {
    /// Whether all that creeps here creeps in another week of the same solutes, too.
    #[must_use]
    pub fn creeps_within(&self, other: &Self) -> bool {
        let creeps_there = |s: SoluteId| other.creeping.iter().any(|c| c.0 == s);
        self.creeping.iter().all(|c| creeps_there(c.0))
    }
}

/// Finds the settled week of a world in the air of `clock`.
///
/// # Errors
/// See [`RunError`].
pub fn settle(
    start: &World,
    clock: Clock,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Settled, RunError> {
    // Under a calendar of months no week repeats: the year's mean air stands for it.
    let air = if clock.air == AirChoice::Calendar {
        AirChoice::Mean
    } else {
        clock.air
    };
    let clock = Clock { air, ..clock };
    match Search::new(start, clock, Pace::FROM_ANYWHERE).by_jumps(watch) {
        // A jump may leave more solids in a tank that is all but dry than any week of the line brings there, and no week can follow that. Then the line is
        // run as it is; one that dries up by itself does so there.
        Err(RunError::Contents { .. } | RunError::Singular { .. }) => {
            Search::new(start, clock, Pace::FROM_ANYWHERE).by_weeks(watch)
        }
        told => told,
    }
}

/// How many weeks a search takes.
#[derive(Clone, Copy)]
struct Pace {
    /// Weeks run before the first map is made.
    first_weeks: usize,
    /// Weeks iterated before giving up.
    max_weeks: usize,
    /// Weeks over which means are taken when no week repeats.
    loose_weeks: usize,
    /// Largest relative change of a week's end state that counts as settled.
    settled: f64,
    /// Whether weeks are taken together that come round together.
    takes_rounds: bool,
    /// Weeks after which it is plain whether levels beat against the week.
    beating_weeks: usize,
    /// Whether what is left of a settled week's change moves once more, and one more week follows.
    moves_rest: bool,
}

impl Pace {
    const FROM_ANYWHERE: Self = Self {
        first_weeks: FIRST_WEEKS,
        max_weeks: MAX_WEEKS,
        loose_weeks: LOOSE_WEEKS,
        settled: SETTLED,
        takes_rounds: true,
        beating_weeks: BEATING_WEEKS,
        moves_rest: true,
    };
}

struct Search {
    pace: Pace,
    world: World,
    driver: Preview,
    options: PreviewOptions,
    weeks: usize,
    /// Weeks that are taken as one, since so many come round together.
    round_weeks: usize,
    /// Weeks after which the search gives up.
    until_weeks: usize,
    /// Volumes and temperatures after each week so far.
    tides: Vec<Vec<f64>>,
    before: Vec<f64>,
    /// The vector after the first weeks, whose inventory of what creeps is kept.
    first: Vec<f64>,
    /// Whether what creeps is brought back to that inventory: weeks of the search in which it did not creep may have washed it out.
    restores: bool,
    /// Parts that settle each by itself.
    parts: Vec<Part>,
    /// Gain in a round per vessel of solutes that creep, kg.
    creep: Vec<Option<DVector<f64>>>,
}

impl Search {
    fn new(start: &World, clock: Clock, pace: Pace) -> Self {
        let mut world = start.clone();
        // A settled week starts on Monday 00:00, without the events of the run.
        world.t_s = 0.0;
        world.done.fill(true);
        world.tell_afresh();
        let mut driver = Preview::new(Arc::clone(&world.plant));
        driver.is_fine = clock.hours != Hours::Calendar;
        let creep = vec![None; world.plant.network().solutes.len()];
        let options = PreviewOptions {
            clock,
            records: false,
            ..PreviewOptions::fine()
        };
        Self {
            pace,
            parts: parts(world.plant.network()),
            before: world.y.clone(),
            first: world.y.clone(),
            restores: false,
            world,
            driver,
            options,
            weeks: 0,
            round_weeks: 1,
            until_weeks: pace.max_weeks,
            tides: Vec::new(),
            creep,
        }
    }

    fn by_jumps(mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
        self.repeat_weeks(self.pace.first_weeks, watch)?;
        self.first.clone_from(&self.world.y);
        self.jump(watch)?;
        let mut drift_due = DRIFT_WEEKS;
        let (mut most, mut is_settled) = (f64::INFINITY, false);
        while self.weeks < self.until_weeks || is_settled {
            self.world.tell_afresh();
            self.options.records = true;
            let (week, maps) = self.mapped_week(watch)?;
            self.options.records = false;
            if is_settled {
                return Ok(self.found(week));
            }
            let change = self.largest_change().0;
            is_settled = change < self.settled_change();
            if is_settled && !self.pace.moves_rest {
                return Ok(self.found(week));
            }
            if is_settled && !self.restores && self.has_washed_out(&self.world.y) {
                (self.restores, is_settled) = (true, false);
                self.until_weeks = self.weeks + self.pace.max_weeks;
            }
            // What is left of a settled week's change moves once more, too: additions are as small as a bath's inventory is large.
            self.move_solutes(&maps);
            if is_settled || change <= most {
                most = NEARER * change;
                continue;
            }
            most = f64::INFINITY;
            let beat = self.take_round();
            if beat == Beat::Endless {
                break;
            }
            let drifts = self.weeks >= drift_due;
            if drifts {
                drift_due = self.weeks + DRIFT_WEEKS;
                self.follow_drift(watch)?;
            }
            if beat == Beat::Round || drifts {
                self.jump(watch)?;
            }
        }
        if self.pace.takes_rounds {
            self.stand_in_at_rest(watch)
        } else {
            self.stand_in(watch)
        }
    }

    /// As many weeks as jumps would take, one after the other from the start.
    fn by_weeks(mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
        while self.weeks < self.until_weeks {
            self.world.tell_afresh();
            self.options.records = true;
            let week = self.week(watch)?;
            if self.largest_change().0 < self.pace.settled {
                return Ok(self.found(week));
            }
        }
        self.stand_in(watch)
    }

    fn week(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Trace, RunError> {
        self.world.open_books();
        self.before.clone_from(&self.world.y);
        if !self.options.records {
            // Nobody sees this week, so salts that come out in it are not looked for; what is told is told afresh before a week that somebody sees.
            self.world.saturation_due_s = f64::INFINITY;
        }
        #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
        let until = self.world.t_s + WEEK_S * self.round_weeks as f64;
        let outcome = run_with(
            &mut self.driver,
            &mut self.world,
            until,
            &self.options,
            watch,
        )?;
        self.weeks += self.round_weeks;
        self.see_tide();
        self.undo_creep();
        Ok(outcome.trace)
    }

    fn repeat_weeks(
        &mut self,
        count: usize,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), RunError> {
        for _ in 0..count {
            self.week(watch)?;
        }
        Ok(())
    }

    /// Takes the week's creep off again, so that what creeps stays at one inventory while the rest settles.
    fn undo_creep(&mut self) {
        for s in 0..self.creep.len() {
            let Some(mut creep) = self.creep[s].take() else {
                continue;
            };
            for (v, kg) in creep.iter_mut().enumerate() {
                *kg = -self.exchange(s, VesselId(v), -*kg);
            }
            self.creep[s] = Some(creep);
        }
    }

    /// Largest relative change over the last week, and where.
    fn largest_change(&self) -> (f64, String) {
        let layout = self.world.plant.layout();
        let (mut largest, mut at) = (0.0_f64, 0);
        for v in (0..self.world.plant.network().vessels.len()).map(VesselId) {
            for j in 0..layout.block_len() {
                let change = self.changed(v, j);
                if change > largest {
                    (largest, at) = (change, layout.vessel(v) + j);
                }
            }
        }
        (largest, name_entry(&self.world.plant, at))
    }

    /// By how much a content of a vessel changed over the last week, as a share of itself or of what counts there.
    fn changed(&self, v: VesselId, j: usize) -> f64 {
        let plant = &self.world.plant;
        let full_m3 = plant.network().vessels[v.index()].full_m3;
        let floor = match j {
            Layout::WATER => 1000.0 * full_m3,
            Layout::ENTHALPY => 4.2e7 * full_m3,
            _ => 1.0e-2 * full_m3,
        };
        let at = plant.layout().vessel(v) + j;
        let scale = self.before[at].abs().max(floor);
        (self.world.y[at] - self.before[at]).abs() / scale
    }

    /// Tanks that fill by the same amount each week are moved most of the way to where that must end. Those that fall are left to it: what they
    /// end as, an outlet run dry or a paste, comes by no straight line.
    fn follow_drift(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), RunError> {
        let plant = Arc::clone(&self.world.plant);
        self.week(watch)?;
        // Tanks that fill, and for how many weeks they can.
        let mut filling = Vec::new();
        let mut weeks_left = f64::INFINITY;
        for (v, vessel) in plant.network().vessels.iter().enumerate() {
            let v = VesselId(v);
            let volume_m3 = plant.holdup(v, &self.world.y).0;
            let gain_m3 = volume_m3 - plant.holdup(v, &self.before).0;
            if gain_m3 > FILLS * vessel.full_m3 && self.has_filled(v) {
                filling.push(v);
                weeks_left = weeks_left.min((vessel.full_m3 - volume_m3).max(0.0) / gain_m3);
            }
        }
        if filling.is_empty() || weeks_left < 2.0 {
            return Ok(());
        }
        let all = self.parts.iter();
        let held_kg: Vec<_> = all.map(|part| self.creeping_kg(part)).collect();
        let layout = plant.layout();
        for v in filling {
            // Each content goes on as in this week.
            let (_, temp, _) = plant.holdup(v, &self.world.y);
            let block = layout.vessel(v)..layout.vessel(v) + layout.block_len();
            for (x, was) in self.world.y[block.clone()]
                .iter_mut()
                .zip(&self.before[block.clone()])
            {
                *x = (*x + (weeks_left - 1.0) * (*x - was)).max(0.0);
            }
            let (_, _, capacity) = plant.holdup(v, &self.world.y);
            self.world.y[block.start + Layout::ENTHALPY] = temp * capacity;
        }
        for (part, held_kg) in self.parts.clone().iter().zip(&held_kg) {
            self.keep_creeping(part, held_kg);
        }
        Ok(())
    }

    /// What the tanks of a part together hold of each solute that creeps, kg; nothing of the others.
    fn creeping_kg(&self, part: &Part) -> Vec<Option<f64>> {
        let layout = self.world.plant.layout();
        let held = |s: usize| -> f64 {
            let at = |v| layout.vessel(v) + layout.solute(SoluteId(s));
            part.vessels().map(|v| self.world.y[at(v)]).sum()
        };
        let creeps = |creep: &DVector<f64>| part.vessels().any(|v| creep[v.index()] != 0.0);
        let all = self.creep.iter().enumerate();
        all.map(|(s, creep)| creep.as_ref().is_some_and(creeps).then(|| held(s)))
            .collect()
    }

    /// Tanks that were filled or drained at the strength they had hold more or less of everything. What is added or washed out comes
    /// right by itself in the weeks that follow; what creeps would keep the difference for years, so it is given back to each tank by its share.
    fn keep_creeping(&mut self, part: &Part, held_kg: &[Option<f64>]) {
        let now_kg = self.creeping_kg(part);
        for (s, (held, now)) in held_kg.iter().zip(now_kg).enumerate() {
            let (Some(held), Some(now)) = (*held, now) else {
                continue;
            };
            if now <= 0.0 {
                continue;
            }
            let plant = Arc::clone(&self.world.plant);
            let layout = plant.layout();
            for v in part.vessels() {
                let at = layout.vessel(v) + layout.solute(SoluteId(s));
                self.exchange(s, v, (held / now - 1.0) * self.world.y[at]);
            }
        }
    }

    /// The week that repeats.
    fn found(mut self, week: Trace) -> Settled {
        let (change, _) = self.largest_change();
        // What creeps was taken off again, to see whether the rest repeats.
        let last = week.len().saturating_sub(1);
        self.world.y.copy_from_slice(week.row(last));
        let week_start = std::mem::take(&mut self.before);
        self.settled(week_start, week, change)
    }

    /// Where no week repeats: a span whose means stand for it.
    fn stand_in(mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
        let (change, restless) = self.largest_change();
        self.options.records = true;
        self.world.tell_afresh();
        self.world.open_books();
        let week_start = self.world.y.clone();
        #[expect(clippy::cast_precision_loss, reason = "a dozen")]
        let until = self.world.t_s + WEEK_S * self.pace.loose_weeks as f64;
        let driver = &mut self.driver;
        let outcome = run_with(driver, &mut self.world, until, &self.options, watch)?;
        self.weeks += self.pace.loose_weeks;
        Ok(Settled {
            restless: Some(restless),
            round_weeks: 1,
            ..self.settled(week_start, outcome.trace, change)
        })
    }

    fn settled(self, week_start: Vec<f64>, trace: Trace, change: f64) -> Settled {
        #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
        let weeks = self.round_weeks as f64;
        let of_week = |gain: &DVector<f64>| (gain / weeks).as_slice().to_vec();
        let creeping = self.creep.iter().enumerate();
        let creeping = creeping.filter_map(|(s, c)| Some((SoluteId(s), of_week(c.as_ref()?))));
        Settled {
            creeping: creeping.collect(),
            change,
            world: self.world,
            week_start,
            trace,
            round_weeks: self.round_weeks,
            weeks: self.weeks,
            restless: None,
        }
    }
}

/// The steady state at constant rate: calendars always open, or open by their share of the week.
///
/// # Errors
/// See [`RunError`].
pub fn constant_rate(
    start: &World,
    clock: Clock,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Settled, RunError> {
    settle(start, clock, watch)
}
