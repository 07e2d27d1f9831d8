//! The settled week, found directly.
//!
//! One week is a map of the world onto itself. Volumes and temperatures come round within a few weeks; solutes may take years. But once
//! the flows repeat, the map is straight in the solutes and the same for all of them, so the averaged driver carries unit columns
//! along with a week and one small solve gives the state that the map leaves alone.

use std::sync::Arc;

use dragback_plant::climate::AirChoice;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{Addition, Pace};
use dragback_plant::water;
use nalgebra::{DMatrix, DVector};

use crate::clock::{Clock, Hours};
use crate::error::RunError;
use crate::exact::name_entry;
use crate::preview::{Preview, PreviewOptions, run_with};
use crate::trace::Trace;
use crate::world::World;

mod passengers;
mod week_map;

pub(crate) use passengers::Passengers;
use week_map::WeekMap;

/// Seconds in a week.
const WEEK_S: f64 = dragback_plant::calendar::WEEK_S;
/// Largest relative change of a week's end state that counts as settled.
const SETTLED: f64 = 1.0e-6;
/// Weeks run before the first map is made, in which volumes and temperatures come round; what creeps keeps the inventory that they leave.
const FIRST_WEEKS: usize = 4;
/// Weeks iterated before giving up.
const MAX_WEEKS: usize = 40;
/// Weeks over which means are taken when no week repeats: a latched alarm or a beat between pumps keeps the loop restless.
const LOOSE_WEEKS: usize = 12;
/// A solute that would need longer than this to come round creeps rather than settles, weeks.
const CREEPING_WEEKS: f64 = 52.0 * 8.0;

/// A settled week.
pub struct Settled {
    /// The world at the end of the settled week.
    pub world: World,
    /// The vector at the start of the settled week.
    pub week_start: Vec<f64>,
    /// The settled week, step by step; several weeks when restless.
    pub trace: Trace,
    /// Weeks simulated to find it.
    pub weeks: usize,
    /// Largest relative change left over the week.
    pub change: f64,
    /// Solutes that would need years to come round, with what they gain in a week, kg per vessel. They are shown at the inventory
    /// that the first four weeks leave, spread as they creep.
    pub creeping: Vec<(SoluteId, Vec<f64>)>,
    /// The balance that keeps moving when no week repeats (a latched alarm, a beat between pumps); the trace then spans
    /// several weeks, whose means stand for the settled week.
    pub restless: Option<String>,
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
    match Search::new(start, clock).by_jumps(watch) {
        // A jump may leave more solids in a tank that is all but dry than any week of the line brings there, and no week can follow that. Then the line is
        // run as it is; one that dries up by itself does so there.
        Err(RunError::Contents { .. } | RunError::Singular { .. }) => {
            Search::new(start, clock).by_weeks(watch)
        }
        told => told,
    }
}

struct Search {
    world: World,
    driver: Preview,
    options: PreviewOptions,
    weeks: usize,
    before: Vec<f64>,
    /// Weekly gain per vessel of solutes that creep, kg.
    creep: Vec<Option<DVector<f64>>>,
}

impl Search {
    fn new(start: &World, clock: Clock) -> Self {
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
            before: world.y.clone(),
            world,
            driver,
            options,
            weeks: 0,
            creep,
        }
    }

    fn by_jumps(mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
        self.repeat_weeks(FIRST_WEEKS, watch)?;
        while self.weeks < MAX_WEEKS {
            self.jump(watch)?;
            if self.plain_week(watch)? < SETTLED {
                return self.finish(1, watch);
            }
            if self.weeks.is_multiple_of(9) {
                self.follow_drift(watch)?;
            }
        }
        self.finish(LOOSE_WEEKS, watch)
    }

    /// As many weeks as jumps would take, one after the other from the start.
    fn by_weeks(mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
        while self.weeks < MAX_WEEKS {
            if self.plain_week(watch)? < SETTLED {
                return self.finish(1, watch);
            }
        }
        self.finish(LOOSE_WEEKS, watch)
    }

    fn week(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Trace, RunError> {
        self.world.open_books();
        self.before.clone_from(&self.world.y);
        let until = self.world.t_s + WEEK_S;
        let outcome = run_with(
            &mut self.driver,
            &mut self.world,
            until,
            &self.options,
            watch,
        )?;
        self.weeks += 1;
        self.undo_creep();
        Ok(outcome.trace)
    }

    fn repeat_weeks(
        &mut self,
        count: usize,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), RunError> {
        for _ in 0..count {
            self.plain_week(watch)?;
        }
        Ok(())
    }

    fn plain_week(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<f64, RunError> {
        self.week(watch)?;
        Ok(self.largest_change().0)
    }

    /// Takes the week's creep off again, so that what creeps stays at one inventory while the rest settles.
    fn undo_creep(&mut self) {
        for s in 0..self.creep.len() {
            let Some(creep) = self.creep[s].take() else {
                continue;
            };
            for (v, kg) in creep.iter().enumerate() {
                self.exchange(s, VesselId(v), -kg);
            }
            self.creep[s] = Some(creep);
        }
    }

    /// Largest relative change over the last week, and where.
    fn largest_change(&self) -> (f64, String) {
        let plant = &self.world.plant;
        let layout = plant.layout();
        let len = layout.block_len();
        let (mut largest, mut at) = (0.0_f64, 0);
        for (v, vessel) in plant.network().vessels.iter().enumerate() {
            let start = layout.vessel(VesselId(v));
            for j in 0..len {
                let floor = match j {
                    Layout::WATER => 1000.0 * vessel.full_m3,
                    Layout::ENTHALPY => 4.2e7 * vessel.full_m3,
                    _ => 1.0e-2 * vessel.full_m3,
                };
                let scale = self.before[start + j].abs().max(floor);
                let change = (self.world.y[start + j] - self.before[start + j]).abs() / scale;
                if change > largest {
                    (largest, at) = (change, start + j);
                }
            }
        }
        (largest, name_entry(plant, at))
    }

    /// One week with passengers, then the solutes jump to where the week's map leaves them alone.
    fn jump(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), RunError> {
        let plant = Arc::clone(&self.world.plant);
        let n = plant.network().vessels.len();
        let restored = plant.network().additions.iter().map(|a| a.solute);
        let fading = plant
            .network()
            .sources
            .iter()
            .filter(|s| s.pace == Pace::FirstOrder);
        let mut purified: Vec<SoluteId> = fading
            .flat_map(|s| s.solutes_kg.iter().map(|x| x.0))
            .collect();
        purified.sort_unstable();
        purified.dedup();
        self.driver.passengers = Some(Passengers::new(n, restored, purified.into_iter()));
        self.creep.fill(None);
        self.week(watch)?;
        let Some(ridden) = self.driver.passengers.take() else {
            return Ok(());
        };
        let map = WeekMap::new(n, &ridden.free);
        let own: Vec<Option<WeekMap>> = (0..plant.network().solutes.len())
            .map(|s| Some(WeekMap::new(n, ridden.free_rows(SoluteId(s))?)))
            .collect();
        let map_of = |s: usize| own[s].as_ref().unwrap_or(&map);
        let mut brought = vec![DVector::zeros(n); own.len()];
        let mut is_held = vec![false; own.len()];
        for addition in &plant.network().additions {
            let s = addition.solute.index();
            if let Some(held) = ridden.held(addition.solute)
                && !std::mem::replace(&mut is_held[s], true)
            {
                self.jump_held(addition, &held, map_of(s), &mut brought);
            }
        }
        for s in (0..own.len()).filter(|&s| !is_held[s]) {
            self.jump_solute(s, map_of(s), &ridden, &brought[s]);
        }
        Ok(())
    }

    fn change(&self, s: usize) -> DVector<f64> {
        let layout = self.world.plant.layout();
        let place = |v: usize| layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
        let n = self.world.plant.network().vessels.len();
        DVector::from_fn(n, |v, _| self.world.y[place(v)] - self.before[place(v)])
    }

    /// Moves a solute that additions restore, and counts what else the salt will bring once they only make up for losses.
    fn jump_held(
        &mut self,
        addition: &Addition,
        held: &DMatrix<f64>,
        free: &WeekMap,
        brought: &mut [DVector<f64>],
    ) {
        let (s, n) = (addition.solute.index(), held.nrows());
        let change = self.change(s);
        self.creep[s] = None;
        let Some(step) = (DMatrix::identity(n, n) - held).lu().solve(&change) else {
            return;
        };
        let given = addition.yields.iter().find(|y| y.0.index() == s);
        if let Some(&(_, per_kg)) = given {
            // Additions of a week must make up for what a week loses there, and no longer fill what is now full.
            let more_kg = free.lost(&step) - change.sum() - brought[s].sum();
            for &(other, yielded) in addition.yields.iter().filter(|y| y.0.index() != s) {
                brought[other.index()][addition.vessel.index()] += more_kg * yielded / per_kg;
            }
        }
        self.apply(s, &step);
    }

    /// Moves one solute to where the week leaves it alone, or, when that is years away, to the shape in which it creeps. `brought` is what
    /// the salts for other solutes will bring in a week beyond what they brought in this one, kg per vessel.
    fn jump_solute(
        &mut self,
        s: usize,
        map: &WeekMap,
        ridden: &Passengers,
        brought: &DVector<f64>,
    ) {
        let plant = Arc::clone(&self.world.plant);
        let layout = plant.layout();
        let place = |v: usize| layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
        let n = plant.network().vessels.len();
        let change = self.change(s) + brought;
        let addition = plant
            .network()
            .additions
            .iter()
            .find(|a| a.solute.index() == s);
        let step = map.free.solve(&change);
        let weekly = change.sum();
        let held: f64 = (0..n).map(|v| self.before[place(v)].abs()).sum();
        let is_slow = step.as_ref().is_none_or(|x| {
            x.sum().abs() > CREEPING_WEEKS * weekly.abs() && x.sum().abs() > 1e-6 * held
        });
        if let (Some(addition), Some(least)) = (addition, ridden.least(SoluteId(s))) {
            let bath = addition.vessel.index();
            let (volume, _, _) = plant.holdup(addition.vessel, &self.world.y);
            let target = addition.mean_kg_per_m3() * volume;
            let falls = step
                .as_ref()
                .is_none_or(|x| self.before[place(bath)] + x[bath] < target);
            if falls && (weekly < 0.0 || !is_slow) {
                // It would sink until additions begin: to where the least strength of the week is the target.
                let (mut shift, _) = map.creeping(&change);
                let excess = (least - 1.0) * target;
                shift -= &map.slow * (excess / map.slow[bath].max(1e-3));
                self.creep[s] = None;
                self.apply(s, &shift);
                return;
            }
        }
        if is_slow {
            let (step, per_week) = map.creeping(&change);
            self.creep[s] = Some(&map.slow * per_week);
            self.apply(s, &step);
        } else if let Some(step) = step {
            self.creep[s] = None;
            self.apply(s, &step);
        }
    }

    /// Adds a step to one solute, counted from the week's start.
    fn apply(&mut self, s: usize, step: &DVector<f64>) {
        let layout = self.world.plant.layout().clone();
        for (v, wanted) in step.iter().enumerate() {
            let place = layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
            // Never below nothing: the map is straight only as long as contents are.
            let change = (self.before[place] + wanted).max(0.0) - self.world.y[place];
            if wanted.is_finite() {
                self.exchange(s, VesselId(v), change);
            }
        }
    }

    /// Exchanges solute for water in a vessel, keeping its volume and temperature.
    fn exchange(&mut self, s: usize, v: VesselId, kg: f64) {
        let plant = Arc::clone(&self.world.plant);
        let layout = plant.layout();
        let solute = &plant.network().solutes[s];
        let (_, temp, _) = plant.holdup(v, &self.world.y);
        let start = layout.vessel(v);
        let water_per_kg = solute.apparent_volume_m3_per_kg * water::density_kg_per_m3(temp);
        // A tank that is all but dry gives no more than it holds, and keeps half its water.
        let (solute_kg, held_kg) = (
            self.world.y[start + layout.solute(SoluteId(s))],
            self.world.y[start + Layout::WATER],
        );
        let most_kg = (0.5 * held_kg / water_per_kg.max(1e-9)).max(0.0);
        let kg = kg.min(most_kg).max(-solute_kg.max(0.0));
        let water_kg = -kg * water_per_kg;
        self.world.y[start + layout.solute(SoluteId(s))] += kg;
        self.world.y[start + Layout::WATER] += water_kg;
        self.world.y[start + Layout::ENTHALPY] +=
            (kg * solute.heat_capacity_j_per_kg_k + water_kg * water::CP_WATER) * temp;
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
            if gain_m3 > 1e-4 * vessel.full_m3 {
                filling.push(v);
                weeks_left = weeks_left.min((vessel.full_m3 - volume_m3).max(0.0) / gain_m3);
            }
        }
        if filling.is_empty() || weeks_left < 2.0 {
            return Ok(());
        }
        let held_kg = self.creeping_kg();
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
        self.keep_creeping(&held_kg);
        Ok(())
    }

    /// What all tanks together hold of each solute that creeps, kg; nothing of the others.
    fn creeping_kg(&self) -> Vec<Option<f64>> {
        let layout = self.world.plant.layout();
        let vessels = 0..self.world.plant.network().vessels.len();
        let held = |s: usize| -> f64 {
            let at = |v| layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
            vessels.clone().map(|v| self.world.y[at(v)]).sum()
        };
        let all = self.creep.iter().enumerate();
        all.map(|(s, creep)| creep.is_some().then(|| held(s)))
            .collect()
    }

    /// Tanks that were filled or drained at the strength they had hold more or less of everything. What is added or washed out comes
    /// right by itself in the weeks that follow; what creeps would keep the difference for years, so it is given back to each tank by its share.
    fn keep_creeping(&mut self, held_kg: &[Option<f64>]) {
        let now_kg = self.creeping_kg();
        for (s, (held, now)) in held_kg.iter().zip(now_kg).enumerate() {
            let (Some(held), Some(now)) = (*held, now) else {
                continue;
            };
            if now <= 0.0 {
                continue;
            }
            let plant = Arc::clone(&self.world.plant);
            let layout = plant.layout();
            for v in 0..plant.network().vessels.len() {
                let at = layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
                self.exchange(s, VesselId(v), (held / now - 1.0) * self.world.y[at]);
            }
        }
    }

    /// Records the week that repeats, or the span whose means must stand for it.
    fn finish(
        mut self,
        weeks: usize,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Settled, RunError> {
        let (change, restless) = self.largest_change();
        self.options.records = true;
        self.world.tell_afresh();
        self.world.open_books();
        let week_start = self.world.y.clone();
        #[expect(clippy::cast_precision_loss, reason = "a dozen")]
        let until = self.world.t_s + WEEK_S * weeks as f64;
        let driver = &mut self.driver;
        let outcome = run_with(driver, &mut self.world, until, &self.options, watch)?;
        let creeping = self.creep.iter().enumerate();
        let creeping =
            creeping.filter_map(|(s, c)| Some((SoluteId(s), c.as_ref()?.as_slice().to_vec())));
        Ok(Settled {
            creeping: creeping.collect(),
            world: self.world,
            week_start,
            trace: outcome.trace,
            weeks: self.weeks + weeks,
            change,
            restless: (weeks > 1).then_some(restless),
        })
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
