//! Jumps of the solutes to where the map of a week leaves them alone.

use std::sync::Arc;

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{Addition, Pace};
use dragback_plant::water;
use nalgebra::{DMatrix, DVector};

use super::part::Part;
use super::passengers::Passengers;
use super::round::GAINS;
use super::week_map::WeekMap;
use super::{CREEPING_WEEKS, Search};
use crate::error::RunError;
use crate::trace::Trace;

/// What has not come to creep yet is moved ahead by no more than this, weeks of its growth.
const AHEAD_WEEKS: f64 = 52.0;

/// What a week with passengers tells of the weeks that follow.
pub(super) struct Maps {
    ridden: Passengers,
    parts: Vec<PartMaps>,
}

/// The maps of one part.
struct PartMaps {
    part: Part,
    /// The map of a solute that nothing restores or purifies.
    free: WeekMap,
    /// The maps of solutes that are purified, by solute.
    own: Vec<Option<WeekMap>>,
}

impl PartMaps {
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
        let additions = plant.network().additions.iter();
        let restored = additions.map(|a| (a.solute, a.vessel));
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
        let of_part = |part: &Part| {
            let solutes = 0..plant.network().solutes.len();
            let map = |rows: Vec<f64>| WeekMap::new(part.cut(n, &rows));
            PartMaps {
                part: part.clone(),
                free: map(ridden.free()),
                own: solutes
                    .map(|s| ridden.purified_rows(SoluteId(s)).map(map))
                    .collect(),
            }
        };
        let parts = self.parts.iter().map(of_part).collect();
        Ok((week, Maps { ridden, parts }))
    }

    /// Moves all solutes, counted from the start of the week just run.
    pub(super) fn move_solutes(&mut self, maps: &Maps) {
        let plant = Arc::clone(&self.world.plant);
        let (n, all) = (plant.network().vessels.len(), self.creep.len());
        let mut creep = vec![None; all];
        for of in &maps.parts {
            let mut brought = vec![DVector::zeros(of.part.len()); all];
            let mut is_held = vec![false; all];
            for addition in &plant.network().additions {
                let s = addition.solute.index();
                if let Some(bath) = of.part.place(addition.vessel)
                    && let Some(held) = maps.ridden.held_rows(addition.solute, addition.vessel)
                    && !std::mem::replace(&mut is_held[s], true)
                {
                    let held = of.part.cut(n, &held);
                    self.jump_held((addition, bath), &held, of, &mut brought);
                }
            }
            for s in (0..all).filter(|&s| !is_held[s]) {
                if let Some(gain) = self.jump_solute(s, of, &maps.ridden, &brought[s]) {
                    let gains = creep[s].get_or_insert_with(|| DVector::zeros(n));
                    of.part.put(&gain, gains);
                }
            }
        }
        self.creep = creep;
    }

    /// What a week changed of a solute, kg per vessel of a part, with what was taken off again.
    fn change(&self, s: usize, part: &Part) -> DVector<f64> {
        let layout = self.world.plant.layout();
        part.each(|v| {
            let place = layout.vessel(v) + layout.solute(SoluteId(s));
            let taken_off = self.creep[s].as_ref().map_or(0.0, |c| c[v.index()]);
            self.world.y[place] - self.before[place] + taken_off
        })
    }

    /// Moves a solute that additions restore in a bath, the place of which among the vessels of the part stands beside, and counts what else the
    /// salt will bring once they only make up for losses.
    fn jump_held(
        &mut self,
        (addition, bath): (&Addition, usize),
        held: &DMatrix<f64>,
        of: &PartMaps,
        brought: &mut [DVector<f64>],
    ) {
        let (s, n) = (addition.solute.index(), held.nrows());
        let change = self.change(s, &of.part);
        let Some(step) = (DMatrix::identity(n, n) - held).lu().solve(&change) else {
            return;
        };
        let given = addition.yields.iter().find(|y| y.0.index() == s);
        if let Some(&(_, per_kg)) = given {
            // Additions of a week must make up for what a week loses there, and no longer fill what is now full.
            let more_kg = of.of(s).lost(&step) - change.sum() - brought[s].sum();
            for &(other, yielded) in addition.yields.iter().filter(|y| y.0.index() != s) {
                brought[other.index()][bath] += more_kg * yielded / per_kg;
            }
        }
        self.apply(s, &of.part, &step);
    }

    /// Moves one solute to where the week leaves it alone, or, when that is years away, to the shape in which it creeps; then that is what it
    /// gains in a week, kg per vessel. `brought` is what the salts for other solutes will bring in a week beyond what they brought in this one.
    fn jump_solute(
        &mut self,
        s: usize,
        of: &PartMaps,
        ridden: &Passengers,
        brought: &DVector<f64>,
    ) -> Option<DVector<f64>> {
        let plant = Arc::clone(&self.world.plant);
        let layout = plant.layout();
        let (part, map) = (&of.part, of.of(s));
        let held = part.each(|v| self.before[layout.vessel(v) + layout.solute(SoluteId(s))]);
        let change = self.change(s, part) + brought;
        let step = map.free.solve(&change);
        let weekly = change.sum();
        #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
        let weeks = self.round_weeks as f64;
        let is_slow = step.as_ref().is_none_or(|x| {
            x.sum().abs() > CREEPING_WEEKS / weeks * weekly.abs()
                && x.sum().abs() > 1e-6 * held.abs().sum()
        });
        let additions = plant.network().additions.iter();
        let mut restoring = additions
            .filter(|a| a.solute.index() == s)
            .filter_map(|a| Some((a, part.place(a.vessel)?)));
        if let Some((addition, bath)) = restoring.next()
            && let Some(least) = ridden.least(SoluteId(s), addition.vessel)
        {
            let (volume, _, _) = plant.holdup(addition.vessel, &self.world.y);
            let target = addition.mean_kg_per_m3() * volume;
            let falls = step.as_ref().is_none_or(|x| held[bath] + x[bath] < target);
            if falls && (weekly < 0.0 || !is_slow) {
                // It would sink until additions begin, which then make good what a week loses: to where the least strength of the week would miss the target
                // by that much.
                let (mut shift, per_round) = map.creeping(&change);
                let excess = (least - 1.0) * target / map.slow[bath].max(1e-3);
                shift -= &map.slow * (excess - per_round.min(0.0));
                self.apply(s, part, &shift);
                return None;
            }
        }
        if is_slow {
            let (mut step, per_round) = map.creeping(&change);
            if self.restores {
                let first = |v| self.first[layout.vessel(v) + layout.solute(SoluteId(s))];
                let first_kg = part.each(first).sum();
                if per_round > GAINS * first_kg {
                    step += &map.slow * (first_kg - held.sum());
                }
            }
            // So little that the shape would leave less than nothing somewhere has not come to creep yet: what it gains takes it to where it does.
            let missing = held.iter().zip(&step).zip(&map.slow);
            let missing = missing.map(|((held, step), slow)| -(held + step) / slow.max(1e-9));
            let more = missing.fold(0.0, f64::max);
            if more <= AHEAD_WEEKS / weeks * per_round {
                step += &map.slow * more;
            }
            self.apply(s, part, &step);
            return Some(&map.slow * per_round);
        }
        self.apply(s, part, &step?);
        None
    }

    /// Adds a step to one solute of a part, counted from the week's start.
    fn apply(&mut self, s: usize, part: &Part, step: &DVector<f64>) {
        let layout = self.world.plant.layout().clone();
        for (v, wanted) in part.vessels().zip(step.iter()) {
            let place = layout.vessel(v) + layout.solute(SoluteId(s));
            // Never below nothing: the map is straight only as long as contents are.
            let change = (self.before[place] + wanted).max(0.0) - self.world.y[place];
            if wanted.is_finite() {
                self.exchange(s, v, change);
            }
        }
    }

    /// Exchanges solute for water in a vessel, keeping its volume and temperature; says how much came in, which is less where the vessel does not hold so
    /// much of the one or the other.
    pub(super) fn exchange(&mut self, s: usize, v: VesselId, kg: f64) -> f64 {
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
        kg
    }
}
