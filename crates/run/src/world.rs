//! Everything that changes while a plant runs.

use std::sync::Arc;

use dragback_plant::control::{Handling, Relay, Role};
use dragback_plant::flows::Setting;
use dragback_plant::ids::{AdditionId, DeviceId, RelayId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{Action, Trigger};
use dragback_plant::water;
use dragback_plant::{NetworkError, Plant, TowerCache};

use crate::alarm::{Alarm, Cause};
use crate::error::RunError;
use crate::saturation::{CameOut, Saturated};

/// State of one relay beyond on and off.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RelayState {
    /// On.
    pub on: bool,
    /// Keeps its state whatever the signal does.
    pub stuck: bool,
    /// When the signal of a latched relay came back, s.
    pub came_back_s: Option<f64>,
}

/// Everything that changes while a plant runs.
#[derive(Clone)]
pub struct World {
    /// The plant in force; events that change inputs replace it.
    pub plant: Arc<Plant>,
    /// Tables shared between plants.
    pub cache: TowerCache,
    /// Time, s; zero is a Monday at 00:00.
    pub t_s: f64,
    /// The vector (see [`dragback_plant::layout`]).
    pub y: Vec<f64>,
    /// Relays.
    pub relays: Vec<RelayState>,
    /// Devices that have failed.
    pub failed: Vec<bool>,
    /// Devices that are run by hand.
    pub by_hand: Vec<bool>,
    /// Next analysis of each addition, s.
    pub next_analysis_s: Vec<f64>,
    /// Events done.
    pub done: Vec<bool>,
    /// Events in the order in which they happened: when, s, and their number in the list.
    pub happened: Vec<(f64, usize)>,
    /// Calendars, supplies, full flags and outputs in force.
    pub setting: Setting,
    /// Alarms so far.
    pub alarms: Vec<Alarm>,
    /// Tanks that have reported running low and not yet recovered.
    pub low: Vec<bool>,
    /// Tanks that spill now.
    pub spilled: Vec<bool>,
    /// What has been told of each tank's saturation.
    pub saturated: Vec<Saturated>,
    /// Each time that a tank passed saturation.
    pub came_out: Vec<CameOut>,
    /// When saturation is looked at next, s.
    pub saturation_due_s: f64,
    /// Times each relay has switched.
    pub switches: Vec<u64>,
}

/// Temperatures beyond which the balances of a liquid mean nothing, °C.
const HOTTEST_C: f64 = 120.0;
const COLDEST_C: f64 = -30.0;
/// A solution whose heat capacity has fallen to this share of that of its water alone is none any more.
const PASTE: f64 = 0.1;
/// Water below nothing that rounding may leave, kg.
const LEAST_WATER_KG: f64 = 1.0e-9;
/// Solute below nothing that rounding and the integrator's tolerance may leave, kg per m³ of full tank: a microgram for each litre, sixty
/// times what random networks may leave.
const LEAST_SOLUTE_KG_PER_M3: f64 = 1.0e-6;

impl World {
    /// The world at time zero.
    #[must_use]
    pub fn new(plant: Arc<Plant>, cache: TowerCache) -> Self {
        let net = plant.network();
        let y = plant.initial();
        let relays: Vec<RelayState> = net
            .relays
            .iter()
            .map(|r| RelayState {
                on: r.next(plant.read(r.signal, &y), r.starts_on),
                ..RelayState::default()
            })
            .collect();
        let setting = Setting {
            outputs: vec![0.0; net.devices.len()],
            below_band: vec![1.0; net.devices.len()],
            by_hand: vec![false; net.devices.len()],
            open: vec![1.0; net.calendars.len()],
            spells: Vec::new(),
            supplied: vec![true; net.supplies.len()],
            full: vec![false; net.vessels.len()],
            ideal_weirs: false,
            relax_s: 60.0,
            air_slot: 0,
        };
        let mut world = Self {
            t_s: 0.0,
            relays,
            failed: vec![false; net.devices.len()],
            by_hand: vec![false; net.devices.len()],
            next_analysis_s: net.additions.iter().map(|a| a.interval_s).collect(),
            done: vec![false; net.events.len()],
            happened: Vec::new(),
            setting,
            alarms: Vec::new(),
            low: vec![false; net.vessels.len()],
            spilled: vec![false; net.vessels.len()],
            saturated: vec![Saturated::default(); net.vessels.len()],
            came_out: Vec::new(),
            saturation_due_s: f64::NEG_INFINITY,
            switches: vec![0; net.relays.len()],
            y,
            cache,
            plant,
        };
        for i in 0..world.relays.len() {
            if world.relays[i].on && world.plant.network().relays[i].role == Role::Alarm {
                world.raise_relay(i);
            }
        }
        world
    }

    /// Lets the lines of the ledger count from here.
    ///
    /// What is smaller than the last digit of a line's sum leaves a tank and does not show in the line, so a stretch in which next to nothing of a
    /// solute passes should not be counted on top of years in which much did.
    pub fn open_books(&mut self) {
        let lines = self.plant.layout().accounts();
        self.y[lines].fill(0.0);
    }

    /// Sets a relay, counts the switch, logs an alarm and fires the events that wait for it.
    ///
    /// # Errors
    /// An event that makes the plant impossible.
    pub fn switch(&mut self, i: usize, on: bool) -> Result<(), RunError> {
        if self.relays[i].on == on {
            return Ok(());
        }
        self.relays[i].on = on;
        self.relays[i].came_back_s = None;
        self.switches[i] += 1;
        if self.plant.network().relays[i].role == Role::Alarm {
            if on {
                self.raise_relay(i);
            } else {
                self.cleared(RelayId(i));
            }
        }
        if on {
            let waiting: Vec<usize> = (0..self.done.len())
                .filter(|&e| !self.done[e])
                .filter(|&e| self.plant.network().events[e].trigger == Trigger::When(RelayId(i)))
                .collect();
            for e in waiting {
                self.fire(e)?;
            }
        }
        Ok(())
    }

    /// Takes over what the instruments say: relays that their signals switch, and resets that have fallen due.
    ///
    /// # Errors
    /// An event that makes the plant impossible.
    pub fn follow_signals(&mut self) -> Result<bool, RunError> {
        self.follow(|_| true)
    }

    fn follow(&mut self, concerns: impl Fn(&Relay) -> bool) -> Result<bool, RunError> {
        if let Some(fault) = RunError::tower(self) {
            return Err(fault);
        }
        let mut changed = false;
        for i in 0..self.relays.len() {
            // An event that a relay fires may put another plant in force.
            let plant = Arc::clone(&self.plant);
            let state = self.relays[i];
            let relay = &plant.network().relays[i];
            if state.stuck || !concerns(relay) {
                continue;
            }
            let value = self.plant.read(relay.signal, &self.y);
            let mut on = relay.next(value, state.on);
            if relay.latches && state.on && relay.may_reset(value) {
                let back = *self.relays[i].came_back_s.get_or_insert(self.t_s);
                if relay
                    .operator_reset_s
                    .is_some_and(|wait| self.t_s >= back + wait - 1e-6)
                {
                    on = false;
                }
                self.returned(Cause::Relay(RelayId(i)));
            } else if relay.latches && state.on {
                self.relays[i].came_back_s = None;
                // Within its dead band a condition that has returned stays so.
                if relay.next(value, false) {
                    self.came_again(Cause::Relay(RelayId(i)));
                }
            }
            if on != state.on {
                self.switch(i, on)?;
                changed = true;
            }
        }
        Ok(changed)
    }

    /// Computes every device's output from relays, calendars and failures.
    pub fn set_outputs(&mut self) {
        let plant = Arc::clone(&self.plant);
        let on: Vec<bool> = self.relays.iter().map(|r| r.on).collect();
        let handling = |i: usize| Handling {
            has_failed: self.failed[i],
            by_hand: self.by_hand[i],
        };
        let y = &self.y;
        self.setting.set_outputs_by(|setting| {
            for (i, device) in plant.network().devices.iter().enumerate() {
                let (open, outputs) = (&setting.open, &setting.outputs);
                let temp_c = |v| plant.holdup(v, y).1;
                setting.outputs[i] = device.output(&on, open, outputs, handling(i), temp_c);
            }
        });
        for (i, device) in plant.network().devices.iter().enumerate() {
            if device.proportional.is_some() {
                let outputs = &self.setting.outputs;
                self.setting.below_band[i] = self
                    .setting
                    .mean_over_spells(|open| device.permitted(&on, open, outputs, handling(i)));
            }
        }
        self.setting.by_hand.clone_from(&self.by_hand);
    }

    /// Whether a device has failed or is run by hand.
    #[must_use]
    pub fn handling(&self, d: DeviceId) -> Handling {
        Handling {
            has_failed: self.failed[d.index()],
            by_hand: self.by_hand[d.index()],
        }
    }

    /// Next time at which something is due regardless of the holdups, s.
    #[must_use]
    pub fn next_due_s(&self) -> f64 {
        let net = self.plant.network();
        let events = net
            .events
            .iter()
            .enumerate()
            .filter(|(i, _)| !self.done[*i]);
        let events = events.filter_map(|(_, e)| match e.trigger {
            Trigger::At(t) => Some(t.max(self.t_s)),
            Trigger::When(_) => None,
        });
        let resets = self
            .relays
            .iter()
            .zip(&net.relays)
            .filter_map(|(state, relay)| Some(state.came_back_s? + relay.operator_reset_s?));
        let resets = resets.filter(|&t| t > self.t_s);
        events.chain(resets).fold(f64::INFINITY, f64::min)
    }

    /// Fires every timed event that is due.
    ///
    /// # Errors
    /// An event that makes the plant impossible.
    pub fn fire_due(&mut self) -> Result<bool, RunError> {
        let mut fired = false;
        for e in 0..self.done.len() {
            let due = match self.plant.network().events[e].trigger {
                Trigger::At(t) => t <= self.t_s + 1e-6,
                Trigger::When(_) => false,
            };
            if due && !self.done[e] {
                self.fire(e)?;
                fired = true;
            }
        }
        Ok(fired)
    }

    fn fire(&mut self, e: usize) -> Result<(), RunError> {
        self.done[e] = true;
        self.happened.push((self.t_s, e));
        let event = self.plant.network().events[e].clone();
        match event.action {
            Action::Fail(d) => self.failed[d.index()] = true,
            Action::Restore(d) => self.failed[d.index()] = false,
            Action::RunByHand(d) => self.by_hand[d.index()] = true,
            Action::BackToAutomatic(d) => self.by_hand[d.index()] = false,
            Action::Stick(r) => self.relays[r.index()].stuck = true,
            Action::Free(r) => self.relays[r.index()].stuck = false,
            Action::Reset(r) => {
                let relay = &self.plant.network().relays[r.index()];
                if relay.may_reset(self.plant.read(relay.signal, &self.y)) {
                    self.switch(r.index(), false)?;
                }
            }
            Action::Dump {
                vessel,
                share,
                account,
            } => {
                self.plant.clone().dump(vessel, share, account, &mut self.y);
            }
            Action::CutSupply(s) => self.setting.supplied[s.index()] = false,
            Action::RestoreSupply(s) => self.setting.supplied[s.index()] = true,
            Action::Become(net) => {
                let named = |source: NetworkError| RunError::Event {
                    event: event.name.clone(),
                    source,
                };
                let plant = Plant::new(net, &self.cache).map_err(named)?;
                let (old, new) = (self.plant.layout(), plant.layout());
                let same_events = plant.network().events.len() == self.done.len();
                if old != new || !same_events || plant.network().relays.len() != self.relays.len() {
                    return Err(RunError::Shape { event: event.name });
                }
                self.plant = Arc::new(plant);
            }
        }
        Ok(())
    }

    /// Analyses that are due add their salts.
    pub fn analyse_due(&mut self) -> bool {
        let mut added = false;
        for a in 0..self.next_analysis_s.len() {
            if self.next_analysis_s[a] <= self.t_s + 1e-6 {
                added |= self
                    .plant
                    .clone()
                    .add_salt(AdditionId(a), &mut self.y, false)
                    > 0.0;
                let interval = self.plant.network().additions[a].interval_s;
                self.next_analysis_s[a] += interval.max(60.0);
            }
        }
        added
    }

    /// Alarms and permits take over what their signals say; regulating relays are left to their stand-ins.
    ///
    /// # Errors
    /// An event that makes the plant impossible.
    pub fn follow_alarms(&mut self) -> Result<(), RunError> {
        let plant = Arc::clone(&self.plant);
        self.follow(|relay| relay.role != Role::Regulate)?;
        self.note_limits(|i, volume_m3| {
            volume_m3 >= plant.network().vessels[i].full_m3 * (1.0 - 1e-6)
        });
        Ok(())
    }

    /// A vessel whose contents cannot be, and why: below nothing, not a number, far from any temperature of a liquid, or so little
    /// water among so many solids that the heat capacities of solutions no longer hold.
    #[must_use]
    pub fn unsound(&self) -> Option<(usize, &'static str)> {
        let layout = self.plant.layout();
        (0..self.plant.network().vessels.len()).find_map(|v| {
            let id = dragback_plant::ids::VesselId(v);
            let (volume, temp_c, heat_j_per_k) = self.plant.holdup(id, &self.y);
            let block = &self.y[layout.vessel(id)..][..layout.block_len()];
            let (water_kg, solids_kg) = (block[Layout::WATER], block[2..].iter().sum::<f64>());
            let full_m3 = self.plant.network().vessels[v].full_m3;
            let least_kg = -LEAST_SOLUTE_KG_PER_M3 * full_m3;
            let dries_up = solids_kg > water_kg.max(LEAST_WATER_KG)
                && heat_j_per_k <= PASTE * water::CP_WATER * water_kg.max(0.0);
            let what = if dries_up {
                "it dries up to a paste"
            } else if self.y[layout.vessel(id) + Layout::WATER] < -LEAST_WATER_KG {
                "it runs dry"
            } else if block[2..].iter().any(|&kg| kg < least_kg) {
                "it would hold less than nothing of what is dissolved"
            } else if temp_c > HOTTEST_C {
                "it would boil"
            } else if temp_c < COLDEST_C {
                "it would freeze"
            } else if !volume.is_finite() || !temp_c.is_finite() {
                "its contents come out as no number"
            } else {
                return None;
            };
            Some((v, what))
        })
    }
}
