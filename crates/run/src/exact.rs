//! The exact driver: every switch located, relative tolerance 1e-6.
//!
//! Between switches the plant is smooth and an explicit step of third order follows it. After each step every relay and weir is asked
//! whether its threshold was passed; the first passing is located on the step's cubic, the world is set to that moment,
//! and all instruments are asked again, since two may coincide.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::balance::HOLDS_S;
use dragback_plant::control::{Acts, Relay, Signal};
use dragback_plant::flows::{Flows, Setting};
use dragback_plant::holdup::Holdups;
use dragback_plant::ids::VesselId;
use dragback_plant::layout::Layout;
use dragback_plant::ledger::Ledger;
use dragback_solver::{Bs23, System, Tolerance};

use crate::clock::Clock;
use crate::error::{RunError, closed};
use crate::trace::Trace;
use crate::world::World;

/// How to run.
#[derive(Clone, Debug, PartialEq)]
pub struct ExactOptions {
    /// Calendars and air.
    pub clock: Clock,
    /// Time between recorded moments, s; infinite to record only the ends.
    pub sample_s: f64,
    /// Relative tolerance.
    pub relative: f64,
    /// Longest step, s.
    pub longest_s: f64,
}

impl Default for ExactOptions {
    fn default() -> Self {
        Self {
            clock: Clock::default(),
            sample_s: 900.0,
            relative: 1.0e-6,
            longest_s: dragback_plant::calendar::HOUR_S,
        }
    }
}

/// What a run did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Statistics {
    /// Steps accepted.
    pub steps: u64,
    /// Steps rejected.
    pub rejected: u64,
    /// Switches located.
    pub switches: u64,
}

/// Result of a run; the world has moved to its end.
pub struct Outcome {
    /// Recorded moments.
    pub trace: Trace,
    /// The audit of the whole span.
    pub ledger: Ledger,
    /// What it took.
    pub statistics: Statistics,
}

/// A switch located within this time, s.
const LOCATED_S: f64 = 0.25;
/// A full vessel stops overflowing when this share below its weir.
const WEIR_SLACK: f64 = 1.0e-6;
/// Water activities are refreshed after this time, s: in it a bath's changes by some 1e-5.
const ACTIVITY_FRESH_S: f64 = 900.0;
/// Switches of one relay within a minute that count as chatter.
const CHATTER: usize = 20;

/// The right-hand side as the integrator wants it.
struct Rates {
    plant: Arc<Plant>,
    now: Holdups,
    flows: Flows,
    setting: Setting,
    proportional: bool,
}

impl System for Rates {
    fn rates(&mut self, _t: f64, y: &[f64], dy: &mut [f64]) {
        self.now.refresh(&self.plant, y);
        if self.proportional {
            self.refresh_proportional();
        }
        self.flows.evaluate(&self.plant, &self.now, &self.setting);
        self.plant
            .accumulate(y, &self.now, &mut self.flows, &self.setting, dy);
    }
}

impl Rates {
    /// Outputs that fall across a band of temperature follow it within the step.
    fn refresh_proportional(&mut self) {
        for (i, device) in self.plant.network().devices.iter().enumerate() {
            if let Some(p) = device.proportional
                && self.setting.outputs[i] > 0.0
                && !self.setting.by_hand[i]
            {
                // Never quite zero, so that the output can come back within the step.
                let share = p.share(self.now.temp_c[p.vessel.index()]).max(1e-9);
                self.setting.outputs[i] = self.setting.below_band[i] * share;
            }
        }
    }
}

struct Driver {
    rates: Rates,
    rk: Bs23,
    tolerance: Tolerance,
    recent: Vec<Vec<f64>>,
    switches: u64,
    block: Vec<f64>,
    /// When water activities were last refreshed, s.
    activity_at_s: f64,
}

/// Runs the world until `until_s`.
///
/// `watch` is told the time, s, now and then; it stops the run by answering `false`.
///
/// # Errors
/// See [`RunError`]; the world stays at its last good state.
pub fn run(
    world: &mut World,
    until_s: f64,
    options: &ExactOptions,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Outcome, RunError> {
    let start = world.y.clone();
    let mut trace = Trace::new(world.y.len());
    let mut driver = Driver::new(world, options);
    let mut boundary = options
        .clock
        .read(world.plant.network(), world.t_s, &mut world.setting);
    let mut next_sample = world.t_s;
    let mut since_watch = 0_u32;
    world.setting.ideal_weirs = false;
    driver.settle_switches(world)?;
    loop {
        if world.t_s >= next_sample - 1e-6 {
            trace.push(world.t_s, &world.y);
            next_sample = if options.sample_s.is_finite() {
                world.t_s + options.sample_s
            } else {
                until_s
            };
        }
        if world.t_s >= until_s - 1e-6 {
            break;
        }
        let due = world.next_due_s();
        let analysis = world
            .next_analysis_s
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min);
        let limit = until_s
            .min(boundary)
            .min(due.max(world.t_s))
            .min(analysis)
            .min(next_sample);
        if limit > world.t_s {
            driver.advance(world, limit)?;
        }
        let mut changed = false;
        if world.t_s >= boundary - 1e-6 {
            boundary = options
                .clock
                .read(world.plant.network(), world.t_s, &mut world.setting);
            changed = true;
        }
        changed |= world.fire_due()?;
        changed |= world.analyse_due();
        if changed || due <= world.t_s + 1e-6 {
            driver.settle_switches(world)?;
        }
        since_watch += 1;
        if since_watch >= 64 {
            since_watch = 0;
            if !watch(world.t_s) {
                return Err(RunError::Cancelled);
            }
        }
    }
    let ledger = closed(world, &start)?;
    let statistics = Statistics {
        steps: driver.rk.accepted,
        rejected: driver.rk.rejected,
        switches: driver.switches,
    };
    Ok(Outcome {
        trace,
        ledger,
        statistics,
    })
}

/// Absolute tolerance of each state: what matters in that tank.
fn tolerance(plant: &Plant, relative: f64) -> Tolerance {
    let layout = plant.layout();
    let mut absolute = vec![0.0; layout.state_len()];
    for (i, vessel) in plant.network().vessels.iter().enumerate() {
        let start = layout.vessel(VesselId(i));
        absolute[start + Layout::WATER] = relative * 100.0 * vessel.full_m3;
        // Ten kelvin of the full tank.
        absolute[start + Layout::ENTHALPY] = relative * 4.2e7 * vessel.full_m3;
        for j in layout.solutes() {
            // One milligram per litre of the full tank.
            absolute[start + j] = relative * 1.0e-3 * vessel.full_m3;
        }
    }
    Tolerance { relative, absolute }
}

impl Driver {
    fn new(world: &World, options: &ExactOptions) -> Self {
        let plant = Arc::clone(&world.plant);
        let layout = plant.layout();
        let mut rk = Bs23::new(layout.state_len(), layout.len(), 10.0);
        rk.largest_s = if plant.holding_heats().is_empty() {
            options.longest_s
        } else {
            // Longer steps swing about a set point, and every flow that answers to heat with them.
            options.longest_s.min(2.0 * HOLDS_S)
        };
        Self {
            rk,
            tolerance: tolerance(&plant, options.relative),
            recent: vec![Vec::new(); plant.network().relays.len()],
            switches: 0,
            activity_at_s: f64::NEG_INFINITY,
            block: vec![0.0; layout.block_len()],
            rates: Rates {
                now: Holdups::sized(plant.network().vessels.len()),
                flows: Flows::sized(&plant),
                setting: world.setting.clone(),
                proportional: plant
                    .network()
                    .devices
                    .iter()
                    .any(|d| d.proportional.is_some()),
                plant,
            },
        }
    }

    /// Lets relays, full flags and devices agree with the present holdups.
    fn settle_switches(&mut self, world: &mut World) -> Result<(), RunError> {
        if !Arc::ptr_eq(&self.rates.plant, &world.plant) {
            self.rates.plant = Arc::clone(&world.plant);
        }
        world.follow_signals()?;
        self.refresh_full(world);
        world.set_outputs();
        self.rates.setting.clone_from(&world.setting);
        self.rk.restart();
        Ok(())
    }

    fn refresh_full(&self, world: &mut World) {
        let plant = Arc::clone(&world.plant);
        let was = world.setting.full.clone();
        let volumes: Vec<f64> = (0..was.len())
            .map(|i| plant.holdup(VesselId(i), &world.y).0)
            .collect();
        for (i, was) in was.iter().enumerate() {
            let full = plant.network().vessels[i].full_m3;
            world.setting.full[i] = volumes[i]
                >= if *was {
                    full * (1.0 - WEIR_SLACK)
                } else {
                    full
                };
        }
        let full = world.setting.full.clone();
        world.note_limits(|i, _| full[i]);
    }

    /// Moves to `limit`, or to the first switch before it.
    fn advance(&mut self, world: &mut World, limit: f64) -> Result<(), RunError> {
        if world.t_s >= self.activity_at_s + ACTIVITY_FRESH_S {
            self.rates.now.refresh_activity(&world.plant, &world.y);
            if let Some((vessel, what)) = world.unsound() {
                return Err(RunError::contents(world, vessel, what));
            }
            world.note_saturation();
            self.activity_at_s = world.t_s;
            self.rk.restart();
        }
        self.rates.setting.relax_s = self.rk.step_s.clamp(60.0, self.rk.largest_s);
        let taken = self
            .rk
            .propose(&mut self.rates, world.t_s, limit, &world.y, &self.tolerance);
        let h = taken.map_err(|source| self.name_step_error(world, source))?;
        match self.first_passing(world, h) {
            None => {
                self.rk.accept(&mut world.y);
                world.t_s = if (limit - world.t_s - h).abs() < 1e-9 * h.max(1.0) {
                    limit
                } else {
                    world.t_s + h
                };
            }
            Some(theta) => {
                self.rk.accept_part(&mut world.y, h, theta);
                world.t_s += theta * h;
                self.switches += 1;
                let before: Vec<bool> = world.relays.iter().map(|r| r.on).collect();
                self.settle_switches(world)?;
                self.note_chatter(world, &before)?;
            }
        }
        Ok(())
    }

    fn note_chatter(&mut self, world: &World, before: &[bool]) -> Result<(), RunError> {
        for (i, was) in before.iter().enumerate() {
            if world.relays[i].on == *was {
                continue;
            }
            let recent = &mut self.recent[i];
            recent.retain(|t| world.t_s - t < 60.0);
            recent.push(world.t_s);
            if recent.len() > CHATTER {
                let relay = world.plant.network().relays[i].name.clone();
                return Err(RunError::Chatter {
                    relay,
                    count: CHATTER,
                    hours: world.t_s / dragback_plant::calendar::HOUR_S,
                });
            }
        }
        Ok(())
    }

    fn name_step_error(&self, world: &World, source: dragback_solver::StepError) -> RunError {
        if let Some(fault) = RunError::tower(world) {
            return fault;
        }
        let index = match source {
            dragback_solver::StepError::NotFinite { index, .. }
            | dragback_solver::StepError::TooSmall { index, .. } => index,
        };
        let what = name_entry(&world.plant, index);
        RunError::Step {
            what,
            hours: world.t_s / dragback_plant::calendar::HOUR_S,
            source,
        }
    }

    /// Share of the proposed step at which the first threshold is passed.
    fn first_passing(&mut self, world: &World, h: f64) -> Option<f64> {
        let plant = Arc::clone(&world.plant);
        let net = plant.network();
        let mut first: Option<f64> = None;
        for (i, relay) in net.relays.iter().enumerate() {
            let state = world.relays[i];
            if state.stuck {
                continue;
            }
            let value = self.end_reading(&plant, relay.signal);
            // A latched relay stays on, but the moment its signal comes back is told and starts the operator's wait.
            let comes_back =
                relay.latches && state.on && state.came_back_s.is_none() && relay.may_reset(value);
            if relay.next(value, state.on) == state.on && !comes_back {
                continue;
            }
            let threshold = passed_threshold(relay, state.on);
            let rising = value >= threshold;
            let theta = self.locate(&world.y, h, relay.signal.vessel(), |block_y| {
                let x = plant.read(relay.signal, block_y) - threshold;
                if rising { x } else { -x }
            });
            first = Some(first.map_or(theta, |f| f.min(theta)));
        }
        for (i, vessel) in net.vessels.iter().enumerate() {
            let is_full = world.setting.full[i];
            let volume = self.rates.now.volume_m3[i];
            let low = vessel.full_m3 * (1.0 - WEIR_SLACK);
            let passes = if is_full {
                volume < low
            } else {
                volume >= vessel.full_m3
            };
            if !passes {
                continue;
            }
            let v = VesselId(i);
            let theta = self.locate(&world.y, h, v, |y| {
                let volume = plant.holdup(v, y).0;
                if is_full {
                    low - volume - 1e-15
                } else {
                    volume - vessel.full_m3
                }
            });
            first = Some(first.map_or(theta, |f| f.min(theta)));
        }
        first
    }

    fn end_reading(&self, plant: &Plant, signal: Signal) -> f64 {
        match signal {
            Signal::Temperature(v) => self.rates.now.temp_c[v.index()],
            Signal::Level(v) => plant.network().vessels[v.index()]
                .shape
                .level_m(self.rates.now.volume_m3[v.index()]),
            other => plant.read(other, self.rk.proposal()),
        }
    }

    /// Bisects on the step's cubic until the passing is known within [`LOCATED_S`]; the answer is just past it.
    ///
    /// `past` is negative before the passing and not negative after; it sees a vector in which only the vessel's block is filled in.
    fn locate(&mut self, y: &[f64], h: f64, v: VesselId, past: impl Fn(&[f64]) -> f64) -> f64 {
        let layout = self.rates.plant.layout();
        let (start, len) = (layout.vessel(v), layout.block_len());
        let mut probe = vec![0.0; start + len];
        let (mut low, mut high) = (0.0, 1.0);
        while (high - low) * h > LOCATED_S {
            let mid = 0.5 * (low + high);
            self.rk
                .interpolate_range(y, h, mid, start..start + len, &mut self.block);
            probe[start..].copy_from_slice(&self.block);
            if past(&probe) >= 0.0 {
                high = mid
            } else {
                low = mid
            }
        }
        high
    }
}

fn passed_threshold(relay: &Relay, is_on: bool) -> f64 {
    match (relay.acts, is_on) {
        (Acts::Below, false) | (Acts::Above, true) => relay.lower,
        (Acts::Below, true) | (Acts::Above, false) => relay.upper,
    }
}

/// Words for an entry of the vector: `rinses 2: Ni`.
#[must_use]
pub fn name_entry(plant: &Plant, index: usize) -> String {
    let len = plant.layout().block_len();
    let vessel = plant
        .network()
        .vessels
        .get(index / len)
        .map_or("ledger", |v| v.name.as_str());
    let quantity = match index % len {
        Layout::WATER => "water",
        Layout::ENTHALPY => "heat",
        j => plant.network().solutes[j - 2].name.as_str(),
    };
    format!("{vessel}: {quantity}")
}
