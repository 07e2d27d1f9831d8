//! The settled week, found directly.
//!
//! One week is a map of the world onto itself. Volumes and temperatures come round within a few weeks; solutes may take years. But once
//! the flows repeat, the map is straight in the solutes and the same for all of them, so the averaged driver carries unit columns
//! along with a week and one small solve gives the state that the map leaves alone.

use std::sync::Arc;

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use dragback_properties::water;
use dragback_solver::TransportMatrix;
use nalgebra::{DMatrix, DVector};

use crate::clock::Clock;
use crate::error::RunError;
use crate::exact::name_entry;
use crate::preview::{Preview, PreviewOptions, run_with};
use crate::trace::Trace;
use crate::world::World;

/// Seconds in a week.
const WEEK_S: f64 = dragback_plant::calendar::WEEK_S;
/// Largest relative change of a week's end state that counts as settled.
const SETTLED: f64 = 1.0e-7;
/// Weeks iterated before giving up.
const MAX_WEEKS: usize = 120;
/// A solute that would need longer than this to come round is growing, not settling, weeks.
const GROWING_WEEKS: f64 = 52.0 * 8.0;

/// Unit columns that ride along with the linear solve of each step.
#[derive(Clone, Debug)]
pub(crate) struct Passengers {
    n: usize,
    /// Column per vessel: where one kg that starts there ends up.
    free: Vec<f64>,
    /// The same, with the vessels whose solute is restored by additions held at their target.
    pinned: Vec<f64>,
    pins: Vec<usize>,
}

impl Passengers {
    fn new(n: usize, pins: Vec<usize>) -> Self {
        let mut unit = vec![0.0; n * n];
        for i in 0..n {
            unit[i * n + i] = 1.0;
        }
        let mut fresh = Self { n, free: unit.clone(), pinned: unit, pins };
        fresh.pin();
        fresh
    }

    pub(crate) fn carry(&mut self, matrix: &TransportMatrix) {
        matrix.solve(&mut self.free, self.n);
        matrix.solve(&mut self.pinned, self.n);
    }

    pub(crate) fn pin(&mut self) {
        for &v in &self.pins {
            self.pinned[v * self.n..(v + 1) * self.n].fill(0.0);
        }
    }

    fn matrix(&self, is_pinned: bool) -> DMatrix<f64> {
        let rows = if is_pinned { &self.pinned } else { &self.free };
        DMatrix::from_row_slice(self.n, self.n, rows)
    }
}

/// A settled week.
pub struct Settled {
    /// The world at the end of the settled week.
    pub world: World,
    /// The vector at the start of the settled week.
    pub week_start: Vec<f64>,
    /// The settled week, step by step.
    pub trace: Trace,
    /// Weeks simulated to find it.
    pub weeks: usize,
    /// Largest relative change left over the week.
    pub change: f64,
    /// Solutes that go on growing: kept at their starting strength here, reported by name.
    pub growing: Vec<SoluteId>,
    /// Largest regulated power over its ceiling while it was asked for, per vessel.
    pub peak_duty: Vec<f64>,
}

/// Finds the settled week of a world in the air of `clock`.
///
/// # Errors
/// See [`RunError`].
pub fn settle(start: &World, clock: Clock, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
    let mut search = Search::new(start, clock);
    search.repeat_weeks(4, watch)?;
    let mut change = f64::INFINITY;
    while search.weeks < MAX_WEEKS {
        search.jump(watch)?;
        change = search.plain_week(watch)?;
        if change < SETTLED {
            return search.finish(watch);
        }
        if search.weeks % 9 == 0 {
            search.follow_drift(watch)?;
        }
    }
    if change < 1.0e-5 {
        return search.finish(watch);
    }
    let (change, what) = search.largest_change();
    Err(RunError::NotSettled { weeks: search.weeks, change, what })
}

struct Search {
    world: World,
    driver: Preview,
    options: PreviewOptions,
    weeks: usize,
    before: Vec<f64>,
    frozen: Vec<bool>,
}

impl Search {
    fn new(start: &World, clock: Clock) -> Self {
        let mut world = start.clone();
        // A settled week starts on Monday 00:00, without the events of the run.
        world.t_s = 0.0;
        world.done.fill(true);
        world.alarms.clear();
        let driver = Preview::new(Arc::clone(&world.plant));
        let frozen = vec![false; world.plant.network().solutes.len()];
        let options = PreviewOptions { clock, records: false, ..PreviewOptions::default() };
        Self { before: world.y.clone(), world, driver, options, weeks: 0, frozen }
    }

    fn week(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Trace, RunError> {
        self.before.clone_from(&self.world.y);
        let until = self.world.t_s + WEEK_S;
        let outcome = run_with(&mut self.driver, &mut self.world, until, &self.options, watch)?;
        self.weeks += 1;
        self.restore_frozen();
        Ok(outcome.trace)
    }

    fn repeat_weeks(&mut self, count: usize, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), RunError> {
        for _ in 0..count {
            self.plain_week(watch)?;
        }
        Ok(())
    }

    fn plain_week(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<f64, RunError> {
        self.week(watch)?;
        Ok(self.largest_change().0)
    }

    /// Growing solutes stay at what they were when they were found to grow, so that the rest can settle.
    fn restore_frozen(&mut self) {
        let layout = self.world.plant.layout().clone();
        for (s, frozen) in self.frozen.iter().enumerate() {
            if *frozen {
                for v in 0..self.world.plant.network().vessels.len() {
                    let place = layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
                    self.world.y[place] = self.before[place];
                }
            }
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
        let mut pins: Vec<usize> = plant.network().additions.iter().map(|a| a.vessel.index()).collect();
        pins.sort_unstable();
        pins.dedup();
        self.driver.passengers = Some(Passengers::new(n, pins));
        let given_before: Vec<f64> = self.added_kg(&self.world.y);
        self.week(watch)?;
        let Some(ridden) = self.driver.passengers.take() else { return Ok(()) };
        let given_after = self.added_kg(&self.world.y);
        let free = DMatrix::identity(n, n) - ridden.matrix(false);
        let held = DMatrix::identity(n, n) - ridden.matrix(true);
        let (free, held) = (free.lu(), held.lu());
        let layout = plant.layout();
        for s in 0..plant.network().solutes.len() {
            if self.frozen[s] {
                continue;
            }
            let place = |v: usize| layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
            let change = DVector::from_fn(n, |v, _| self.world.y[place(v)] - self.before[place(v)]);
            let is_restored = given_after[s] - given_before[s] > 0.0
                && plant.network().additions.iter().any(|a| a.solute.index() == s);
            let step = if is_restored { held.solve(&change) } else { free.solve(&change) };
            let Some(step) = step else {
                self.frozen[s] = true;
                continue;
            };
            if !is_restored && self.grows(s, &change, &step) {
                self.frozen[s] = true;
                for v in 0..n {
                    self.world.y[place(v)] = self.before[place(v)];
                }
                continue;
            }
            self.apply(s, &step);
        }
        Ok(())
    }

    /// A solute grows when its way to rest is longer than [`GROWING_WEEKS`] at its present weekly change.
    fn grows(&self, s: usize, change: &DVector<f64>, step: &DVector<f64>) -> bool {
        let layout = self.world.plant.layout();
        let place = |v: usize| layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
        let held: f64 = (0..change.len()).map(|v| self.before[place(v)]).sum();
        let (weekly, whole) = (change.sum(), step.sum());
        weekly > 1e-9 * held && whole > GROWING_WEEKS * weekly && whole > 0.5 * held
    }

    /// Adds a step to one solute, keeping every vessel's volume and temperature.
    fn apply(&mut self, s: usize, step: &DVector<f64>) {
        let plant = Arc::clone(&self.world.plant);
        let layout = plant.layout();
        let phi = plant.network().solutes[s].apparent_volume_m3_per_kg;
        let cp = plant.network().solutes[s].heat_capacity_j_per_kg_k;
        for (v, wanted) in step.iter().enumerate() {
            let start = layout.vessel(VesselId(v));
            let (_, temp, _) = plant.holdup(VesselId(v), &self.world.y);
            let place = start + layout.solute(SoluteId(s));
            // Never below nothing: the map is straight only as long as contents are.
            let change = (self.before[place] + wanted).max(0.0) - self.world.y[place];
            let change = if wanted.is_finite() { change } else { 0.0 };
            let water_kg = -change * phi * water::density_kg_per_m3(temp);
            self.world.y[place] += change;
            self.world.y[start + Layout::WATER] += water_kg;
            self.world.y[start + Layout::ENTHALPY] += (change * cp + water_kg * water::CP_WATER) * temp;
        }
    }

    fn added_kg(&self, y: &[f64]) -> Vec<f64> {
        let plant = &self.world.plant;
        let layout = plant.layout();
        let mut kg = vec![0.0; plant.network().solutes.len()];
        let mut seen = Vec::new();
        for a in &plant.network().additions {
            if !seen.contains(&a.account) {
                seen.push(a.account);
                for (s, kg) in kg.iter_mut().enumerate() {
                    *kg -= y[layout.account(a.account) + layout.solute(SoluteId(s))];
                }
            }
        }
        kg
    }

    /// Tanks that fill or drain by the same amount each week are moved most of the way to where that must end.
    fn follow_drift(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), RunError> {
        let plant = Arc::clone(&self.world.plant);
        let volumes = |y: &[f64]| -> Vec<f64> {
            (0..plant.network().vessels.len()).map(|v| plant.holdup(VesselId(v), y).0).collect()
        };
        let first = volumes(&self.world.y);
        self.week(watch)?;
        let second = volumes(&self.world.y);
        let mut weeks_left = f64::INFINITY;
        for (v, vessel) in plant.network().vessels.iter().enumerate() {
            let drift = second[v] - first[v];
            if drift.abs() > 1e-4 * vessel.full_m3 {
                let room = if drift > 0.0 { vessel.full_m3 - second[v] } else { second[v] - vessel.dead_m3 };
                weeks_left = weeks_left.min(room.max(0.0) / drift.abs());
            }
        }
        if !weeks_left.is_finite() || weeks_left < 2.0 {
            return Ok(());
        }
        let layout = plant.layout();
        for v in 0..first.len() {
            let drift = second[v] - first[v];
            if drift.abs() > 1e-4 * plant.network().vessels[v].full_m3 {
                let scale = 1.0 + (weeks_left - 1.0) * drift / second[v];
                let start = layout.vessel(VesselId(v));
                for x in &mut self.world.y[start..start + layout.block_len()] {
                    *x *= scale;
                }
            }
        }
        Ok(())
    }

    fn finish(mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
        self.options.records = true;
        self.world.alarms.clear();
        let week_start = self.world.y.clone();
        let mut peak_duty = vec![0.0_f64; self.driver.duty.len()];
        let trace = self.week(watch)?;
        for (peak, duty) in peak_duty.iter_mut().zip(&self.driver.duty) {
            *peak = peak.max(*duty);
        }
        let (change, _) = self.largest_change();
        let growing = self.frozen.iter().enumerate().filter(|(_, f)| **f).map(|(s, _)| SoluteId(s)).collect();
        Ok(Settled { world: self.world, week_start, trace, weeks: self.weeks, change, growing, peak_duty })
    }
}

/// The steady state at constant rate: calendars always open, or open by their share of the week.
///
/// # Errors
/// See [`RunError`].
pub fn constant_rate(start: &World, clock: Clock, watch: &mut dyn FnMut(f64) -> bool) -> Result<Settled, RunError> {
    settle(start, clock, watch)
}
