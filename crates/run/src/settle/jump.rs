//! Jumps of the solutes to where the map of a week leaves them alone.

use std::sync::Arc;

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{Addition, Pace};
use dragback_plant::water;
use nalgebra::{DMatrix, DVector};

use super::passengers::Passengers;
use super::week_map::WeekMap;
use super::{CREEPING_WEEKS, Search};
use crate::error::RunError;
use crate::trace::Trace;

/// What a week with passengers tells of the weeks that follow.
pub(super) struct Maps {
    ridden: Passengers,
    /// The map of a solute that nothing restores or purifies.
    free: WeekMap,
    /// The maps of solutes that are purified, by solute.
    own: Vec<Option<WeekMap>>,
}

impl Maps {
    fn of(&self, s: usize) -> &WeekMap {
        self.own[s].as_ref().unwrap_or(&self.free)
    }
}

impl Search {
    /// One week with passengers, then the solutes jump to where the week's map leaves them alone.
    pub(super) fn jump(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), RunError> {
        self.creep.fill(None);
        let (_, maps) = self.mapped_week(watch)?;
        self.move_solutes(&maps);
        Ok(())
    }

    /// One week with passengers, and its maps.
    pub(super) fn mapped_week(
        &mut self,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(Trace, Maps), RunError> {
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
        let boarding = Passengers::new(n, restored, purified.into_iter());
        self.driver.passengers = Some(boarding.clone());
        let week = self.week(watch)?;
        let ridden = self.driver.passengers.take().unwrap_or(boarding);
        let solutes = 0..plant.network().solutes.len();
        let own = solutes.map(|s| Some(WeekMap::new(n, ridden.free_rows(SoluteId(s))?)));
        let maps = Maps {
            free: WeekMap::new(n, &ridden.free),
            own: own.collect(),
            ridden,
        };
        Ok((week, maps))
    }

    /// Moves all solutes, counted from the start of the week just run.
    pub(super) fn move_solutes(&mut self, maps: &Maps) {
        let plant = Arc::clone(&self.world.plant);
        let n = plant.network().vessels.len();
        let mut brought = vec![DVector::zeros(n); maps.own.len()];
        let mut is_held = vec![false; maps.own.len()];
        for addition in &plant.network().additions {
            let s = addition.solute.index();
            if let Some(held) = maps.ridden.held(addition.solute)
                && !std::mem::replace(&mut is_held[s], true)
            {
                self.jump_held(addition, &held, maps.of(s), &mut brought);
            }
        }
        for s in (0..maps.own.len()).filter(|&s| !is_held[s]) {
            self.jump_solute(s, maps.of(s), &maps.ridden, &brought[s]);
        }
    }

    /// What a week changed of a solute, kg per vessel, with what was taken off again.
    fn change(&self, s: usize) -> DVector<f64> {
        let layout = self.world.plant.layout();
        let place = |v: usize| layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
        let n = self.world.plant.network().vessels.len();
        let left = DVector::from_fn(n, |v, _| self.world.y[place(v)] - self.before[place(v)]);
        match &self.creep[s] {
            Some(creep) => left + creep,
            None => left,
        }
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
    pub(super) fn exchange(&mut self, s: usize, v: VesselId, kg: f64) {
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
}
