//! The averaged driver: steps of an hour or two in place of thousands of switches.
//!
//! Each step first finds what the devices do on average: the power that holds each set point or falls short of it, the flow that holds each level
//! or runs out of water, the share of time that each tower works, the overflow of each full tank, all at the step's end
//! (backward Euler). With the flows known every balance is linear in its contents, so water, heat and all solutes are solved
//! at once; one matrix serves them all. The matrix keeps contents and never turns one negative.
//!
//! Backward Euler is first order in time, but the area under a step response is exact, which is what means are made of.

pub(crate) mod book;
mod drive;
mod hold;
mod nearby;
mod strength;
mod warm;
mod water;

pub use drive::{run, run_with};

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::control::{Handling, Role};
use dragback_plant::flows::{Flows, plain_flow};
use dragback_plant::holdup::Holdups;
use dragback_plant::ids::{AdditionId, DeviceId, TowerId, TransferId};
use dragback_plant::network::Law;
use dragback_solver::TransportMatrix;

use crate::clock::Clock;
use crate::error::RunError;
use crate::standins::{Held, StandIns};
use crate::world::World;
use strength::SeenStrength;

/// How to run.
#[derive(Clone, Debug, PartialEq)]
pub struct PreviewOptions {
    /// Calendars and air.
    pub clock: Clock,
    /// Longest step within the first hours after a calendar has changed, s; later ones grow with the time since then.
    pub first_step_s: f64,
    /// Longest step while work runs, s.
    pub step_s: f64,
    /// Longest step while no work runs and everything changes slowly, s.
    pub rest_step_s: f64,
    /// Whether to record every step.
    pub records: bool,
}

impl Default for PreviewOptions {
    fn default() -> Self {
        Self {
            clock: Clock::default(),
            first_step_s: 7200.0,
            step_s: 14400.0,
            rest_step_s: 21600.0,
            records: true,
        }
    }
}

impl PreviewOptions {
    /// Steps for means that are to be trusted within a percent: short ones after each change of a calendar.
    #[must_use]
    pub fn fine() -> Self {
        Self {
            first_step_s: 1_800.0,
            step_s: 7_200.0,
            ..Self::default()
        }
    }
}

/// Sweeps over flows and temperatures within a step before the last answer is taken.
const MAX_SWEEPS: usize = 16;
/// Sweeps end when no temperature moved by more than this, K, …
const TEMP_DONE_K: f64 = 1.0e-3;
/// … and no flow by more than this share of the vessel in a step.
const FLOW_DONE: f64 = 1.0e-5;

/// The same where a state at rest is asked for.
const FINE: (f64, f64, usize) = (1.0e-6, 1.0e-10, 60);

/// Water activities are found anew after this time, s: they change by some 1e-5 in a step.
const ACTIVITY_FRESH_S: f64 = 21_000.0;

/// Sweeps in which the weights of the step's end are found anew; they hardly change later.
const WEIGHED: usize = 2;

/// A temperature that still moves by more than this in the last sweep is not found, K.
const RESTLESS_K: f64 = 0.5;
/// Shortest step in which contents that cannot be are tried again, s.
const SHORTEST_S: f64 = 10.0;

/// The averaged driver's scratch space; the world holds all state.
pub struct Preview {
    plant: Arc<Plant>,
    stand: StandIns,
    now: Holdups,
    /// Flows of the step just planned.
    pub flows: Flows,
    matrix: TransportMatrix,
    before: Vec<f64>,
    /// Shares that towers and level holds run, kept from step to step as a first guess.
    tower_share: Vec<f64>,
    held: Vec<f64>,
    /// Share of the time that a level lets each matched feed run.
    matched_share: Vec<f64>,
    /// Whether a level regulates each transfer now; a stuck electrode regulates nothing.
    level_held: Vec<bool>,
    /// How far the stream out of each vessel takes the strength of the step's end, 0.5 to 1.
    end_weight: Vec<f64>,
    /// Share of its volume that each vessel loses by streams in the step.
    washed: Vec<f64>,
    /// What streams take at the strength of the step's beginning.
    early: Vec<book::Early>,
    /// Volumes at the step's end, m³.
    volume_end: Vec<f64>,
    /// Power found for each heat that holds a temperature, W.
    held_w: Vec<f64>,
    /// Regulated power over its ceiling at the last step, per vessel.
    pub duty: Vec<f64>,
    /// What each strength did in the last step.
    seen_strength: Vec<SeenStrength>,
    /// The same before the step under way.
    seen_before: Vec<SeenStrength>,
    /// Base output of each device before stand-ins.
    base: Vec<f64>,
    all_on: Vec<bool>,
    /// What each surface lost at a temperature nearby.
    nearby: Vec<nearby::Nearby>,
    /// Temperature, loss and slope at the last guess, per vessel.
    last_loss: Vec<(f64, f64, f64)>,
    /// Heat balances of the sweep, straightened.
    balances: Vec<warm::HeatBalance>,
    steps: u64,
    /// When the water activities were found last, s.
    activity_at_s: f64,
    /// Whether the sweeps go on until a state at rest is known to seven digits.
    pub(crate) is_fine: bool,
    /// Set point in force per vessel, and whether it was found while the vessel may feed its tower.
    targets: Vec<(Option<warm::Target>, bool)>,
    /// Sweep under way within a step.
    sweep: usize,
    /// What holds under each drawn stream in the step before and in this one; the same under vessels that feed towers.
    drawn_held: Vec<(Held, Held)>,
    rests_held: Vec<(Held, Held)>,
    /// What the towers of each vessel take together while they run, m³/s, as far as it is known.
    towers_m3_per_s: Vec<f64>,
    /// Volume of a kilogram of water in each vessel before the step and at the present guess, m³.
    room_before: Vec<f64>,
    room_now: Vec<f64>,
    /// The vector before the step.
    saved: Vec<f64>,
    /// Vessels whose temperature the sweeps did not find.
    restless: Vec<bool>,
    /// Longest step that follows the strength-held feeds, s.
    longest_s: f64,
    /// Columns that the linear solve carries along, to learn the map of a week.
    pub(crate) passengers: Option<crate::settle::Passengers>,
}

impl Preview {
    /// Prepares the driver for a plant.
    #[must_use]
    pub fn new(plant: Arc<Plant>) -> Self {
        let net = plant.network();
        let n = net.vessels.len();
        let stand = StandIns::of(&plant);
        Self {
            targets: vec![(None, false); n],
            sweep: 0,
            drawn_held: vec![(Held::default(), Held::default()); stand.drawn.len()],
            rests_held: vec![(Held::default(), Held::default()); stand.rests.len()],
            towers_m3_per_s: vec![0.0; stand.rests.len()],
            longest_s: stand.longest_step_s(&plant),
            seen_strength: vec![SeenStrength::default(); stand.strengths.len()],
            seen_before: Vec::new(),
            stand,
            now: Holdups::sized(n),
            flows: Flows::sized(&plant),
            matrix: TransportMatrix::identity(n),
            before: Vec::new(),
            tower_share: vec![1.0; n],
            held: vec![0.0; net.transfers.len()],
            level_held: vec![false; net.transfers.len()],
            matched_share: vec![1.0; net.transfers.len()],
            end_weight: vec![1.0; n],
            washed: vec![0.0; n],
            early: Vec::new(),
            volume_end: vec![0.0; n],
            held_w: vec![0.0; net.heats.len()],
            duty: vec![0.0; n],
            base: vec![0.0; net.devices.len()],
            all_on: Vec::new(),
            nearby: vec![nearby::Nearby::default(); n],
            last_loss: vec![(f64::NAN, 0.0, 0.0); n],
            balances: Vec::new(),
            steps: 0,
            activity_at_s: f64::NEG_INFINITY,
            is_fine: false,
            room_before: Vec::with_capacity(n),
            room_now: Vec::with_capacity(n),
            saved: Vec::new(),
            restless: vec![false; n],
            passengers: None,
            plant,
        }
    }

    /// Steps taken since creation.
    #[must_use]
    pub fn steps(&self) -> u64 {
        self.steps
    }

    /// Takes over another plant of the same shape.
    fn follow_plant(&mut self, world: &World) {
        if !Arc::ptr_eq(&self.plant, &world.plant) {
            self.plant = Arc::clone(&world.plant);
            self.stand = StandIns::of(&self.plant);
            self.nearby.fill(nearby::Nearby::default());
        }
    }

    /// Takes one step of `h` seconds within which calendars do not change; where a tank runs dry within it, in shorter ones.
    ///
    /// # Errors
    /// A matrix without an answer, contents that cannot be even in short steps, or an event that makes the plant impossible.
    pub fn step(&mut self, world: &mut World, h: f64) -> Result<(), RunError> {
        self.follow_plant(world);
        self.saved.clone_from(&world.y);
        self.seen_before.clone_from(&self.seen_strength);
        if let Some(passengers) = &mut self.passengers {
            passengers.begin();
        }
        let taken = self.attempt(world, h);
        let fault = match taken {
            Ok(()) => match self.unsound(world) {
                None => {
                    world.t_s += h;
                    self.steps += 1;
                    for (before, now) in self.drawn_held.iter_mut().chain(&mut self.rests_held) {
                        *before = *now;
                    }
                    return Ok(());
                }
                Some((vessel, what)) => RunError::contents(world, vessel, what),
            },
            Err(fault) => fault,
        };
        world.y.clone_from(&self.saved);
        self.seen_strength.clone_from(&self.seen_before);
        if let Some(passengers) = &mut self.passengers {
            passengers.undo();
        }
        self.held.fill(0.0);
        self.tower_share.fill(1.0);
        if h < 2.0 * SHORTEST_S {
            return Err(fault);
        }
        self.step(world, 0.5 * h)?;
        self.step(world, 0.5 * h)
    }

    fn attempt(&mut self, world: &mut World, h: f64) -> Result<(), RunError> {
        let plant = Arc::clone(&self.plant);
        self.now.refresh(&plant, &world.y);
        if self.is_fine || (world.t_s - self.activity_at_s).abs() >= ACTIVITY_FRESH_S {
            self.now.refresh_activity(&plant, &world.y);
            self.activity_at_s = world.t_s;
        }
        self.base_outputs(world, h);
        world.setting.relax_s = h;
        self.plan(world, h);
        for (seen, hold) in self.seen_strength.iter_mut().zip(&self.stand.strengths) {
            if let Some(feed) = hold.feed {
                // What truly ran: there may be no water, or no room.
                seen.flow_m3_per_s = self.flows.transfer_m3_per_s[feed.transfer.index()];
            }
        }
        self.solve(world, h)?;
        // Twice, since one salt may dilute or bring what another restores.
        for _ in 0..2 {
            let mut is_given = false;
            for (a, addition) in plant.network().additions.iter().enumerate() {
                let given = plant.add_salt(AdditionId(a), &mut world.y, true);
                is_given |= given > 0.0;
                if let (Some(passengers), true) = (&mut self.passengers, given > 0.0) {
                    passengers.pin(addition.solute, addition.vessel);
                }
            }
            if !is_given {
                break;
            }
        }
        if let Some(passengers) = &mut self.passengers {
            for addition in &plant.network().additions {
                let strength = plant.concentration(addition.vessel, addition.solute, &world.y);
                passengers.see(
                    addition.solute,
                    addition.vessel,
                    strength.unwrap_or(0.0) / addition.mean_kg_per_m3(),
                );
            }
        }
        Ok(())
    }

    /// Outputs with every regulating and permitting relay taken as on: what the devices could do.
    fn base_outputs(&mut self, world: &mut World, h: f64) {
        let plant = Arc::clone(&self.plant);
        let net = plant.network();
        self.all_on.clear();
        self.all_on.extend(
            net.relays
                .iter()
                .zip(&world.relays)
                .map(|(r, s)| s.on || (r.role != Role::Alarm && !s.stuck)),
        );
        self.level_held.fill(false);
        for level in &self.stand.levels {
            for (t, _) in &level.transfers {
                self.level_held[t.index()] = level.target_m3(world).is_some();
            }
        }
        let handling = |i: usize| Handling {
            has_failed: world.failed[i],
            by_hand: world.by_hand[i],
        };
        let beside = self.beside_a_hand(world);
        let as_they_stand: Vec<bool> = match beside.is_empty() {
            true => Vec::new(),
            false => world.relays.iter().map(|s| s.on).collect(),
        };
        let all_on = &self.all_on;
        world.setting.set_outputs_by(|setting| {
            for (i, device) in net.devices.iter().enumerate() {
                let (open, outputs) = (&setting.open, &setting.outputs);
                let on = if beside.contains(&DeviceId(i)) {
                    &as_they_stand
                } else {
                    all_on
                };
                setting.outputs[i] = device.permitted(on, open, outputs, handling(i));
            }
        });
        for i in 0..self.stand.strengths.len() {
            let hold = self.stand.strengths[i];
            let share = self.strength_share(world, &hold, i, h);
            world.setting.outputs[hold.device.index()] *= share;
        }
        self.base.clone_from(&world.setting.outputs);
        world.setting.full.fill(true);
        world.setting.ideal_weirs = true;
    }

    /// Pumps and blowers of towers that are automatic while another one empties their tank by hand: no floor is theirs, and they answer to their permits.
    fn beside_a_hand(&self, world: &World) -> Vec<DeviceId> {
        let towers = &self.plant.network().towers;
        let mut beside = Vec::new();
        for rest in &self.stand.rests {
            let by_hand = |t: &TowerId| hold::draws_by_hand(&self.plant, world, *t);
            if rest.towers.iter().any(by_hand) {
                let others = rest.towers.iter().filter(|t| !by_hand(t));
                beside.extend(others.flat_map(|t| {
                    let unit = &towers[t.index()];
                    [unit.pump, unit.blower]
                }));
            }
        }
        beside
    }

    /// Finds flows, powers and end temperatures that fit together.
    fn plan(&mut self, world: &mut World, h: f64) {
        let plant = Arc::clone(&self.plant);
        let start_temp = self.now.temp_c.clone();
        let start_volume = self.now.volume_m3.clone();
        let (temp_done_k, flow_done, sweeps) = if self.is_fine {
            FINE
        } else {
            (TEMP_DONE_K, FLOW_DONE, MAX_SWEEPS)
        };
        let mut before = (0.0, 0.0);
        for sweep in 0..sweeps {
            self.sweep = sweep;
            self.apply_shares(world);
            let (nearby, slot, is_fine) = (&mut self.nearby, world.setting.air_slot, self.is_fine);
            self.flows.evaluate_losses_by(
                &plant,
                &self.now,
                &world.setting,
                |v, temp_c, activity| {
                    nearby[v.index()].loss(&plant, v, (temp_c, activity, slot), is_fine)
                },
            );
            self.add_swelling(&world.y, h, &start_temp);
            self.flows.evaluate_heats(&plant, &self.now, &world.setting);
            for &t in plant.plain_transfers() {
                let flow = if self.is_level_held(t) {
                    self.held[t.index()]
                } else {
                    plain_flow(&plant, &self.now, &world.setting, t)
                };
                self.flows.assign(&plant, t, flow);
            }
            self.flows
                .evaluate_dependent(&plant, &self.now, &world.setting);
            self.spare_water(&plant, &world.y, h);
            let mut moved = self.limit_drawn(world, h, &start_volume);
            moved = moved.max(self.hold_levels(world, h, &start_volume));
            moved = moved.max(self.rest_towers(world, h, &start_volume));
            if sweep < WEIGHED {
                self.weigh_ends(h, &start_volume, |this, v| {
                    start_volume[v] + h * this.flows.net_m3_per_s[v]
                });
            }
            let warmed = self.warm(world, h, &start_temp, temp_done_k);
            // Each sweep leaves about the same share of the error, so that two moves tell what the next would be.
            let next = |now: f64, before: f64| {
                if before > now {
                    now * now / before
                } else {
                    now
                }
            };
            // One sweep alone lets a small error feed on itself from step to step.
            if sweep > 0
                && next(moved, before.0) <= flow_done
                && next(warmed, before.1) <= temp_done_k
            {
                break;
            }
            before = (moved, warmed);
        }
        for v in 0..start_volume.len() {
            let end = start_volume[v] + h * self.flows.net_m3_per_s[v];
            let least = 1.0e-4 * plant.network().vessels[v].full_m3;
            self.volume_end[v] = end.max(least);
        }
        self.weigh_ends(h, &start_volume, |this, v| this.volume_end[v]);
    }

    fn is_level_held(&self, t: TransferId) -> bool {
        self.level_held[t.index()]
    }

    fn apply_shares(&mut self, world: &mut World) {
        for unit in &self.plant.network().towers {
            let share = self.tower_share[unit.vessel.index()];
            let pump = unit.pump.index();
            world.setting.outputs[pump] = self.base[pump] * share;
        }
        for (t, transfer) in self.plant.network().transfers.iter().enumerate() {
            if let (Law::Matched { .. }, Some(d)) = (&transfer.law, transfer.gate.device) {
                let share = if self.level_held[t] {
                    self.matched_share[t]
                } else {
                    1.0
                };
                world.setting.outputs[d.index()] = self.base[d.index()] * share;
            }
        }
    }
}
