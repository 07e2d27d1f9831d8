//! The averaged driver: steps of an hour or two in place of thousands of switches.
//!
//! Each step first finds what the devices do on average: the power that holds each set point or falls short of it, the flow that holds each level
//! or runs out of water, the share of time that each tower works, the overflow of each full tank, all at the step's end
//! (backward Euler). With the flows known every balance is linear in its contents, so water, heat and all solutes are solved
//! at once; one matrix serves them all. The matrix keeps contents and never turns one negative.
//!
//! Backward Euler is first order in time, but the area under a step response is exact, which is what means are made of.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::control::Role;
use dragback_plant::flows::{Flows, plain_flow};
use dragback_plant::holdup::Holdups;
use dragback_plant::ids::{
    AdditionId, DeviceId, HeatId, SourceId, SupplyId, TowerId, TransferId, VesselId,
};
use dragback_plant::layout::Layout;
use dragback_plant::ledger::{CLOSURE_BOUND, Ledger};
use dragback_plant::network::{End, HeatLaw, Pace};
use dragback_properties::water;
use dragback_solver::TransportMatrix;

use crate::clock::Clock;
use crate::error::RunError;
use crate::exact::{Outcome, Statistics};
use crate::standins::{HeatHold, StandIns};
use crate::trace::Trace;
use crate::world::World;

/// How to run.
#[derive(Clone, Debug, PartialEq)]
pub struct PreviewOptions {
    /// Calendars and air.
    pub clock: Clock,
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
            step_s: 7_200.0,
            rest_step_s: 14_400.0,
            records: true,
        }
    }
}

/// Sweeps over flows and temperatures within a step before the last answer is taken.
const MAX_SWEEPS: usize = 16;
/// Sweeps end when no temperature moved by more than this, K, …
const TEMP_DONE_K: f64 = 1.0e-4;
/// … and no flow by more than this share of the vessel in a step.
const FLOW_DONE: f64 = 1.0e-8;

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
    /// Whether a level regulates each transfer now; a stuck electrode regulates nothing.
    level_held: Vec<bool>,
    /// Volumes at the step's end, m³.
    volume_end: Vec<f64>,
    /// Power found for each heat that holds a temperature, W.
    held_w: Vec<f64>,
    /// Regulated power over its ceiling at the last step, per vessel.
    pub duty: Vec<f64>,
    /// Base output of each device before stand-ins.
    base: Vec<f64>,
    all_on: Vec<bool>,
    /// Temperature, loss and slope at the last guess, per vessel.
    last_loss: Vec<(f64, f64, f64)>,
    steps: u64,
    /// Columns that the linear solve carries along, to learn the map of a week.
    pub(crate) passengers: Option<crate::settle::Passengers>,
}

impl Preview {
    /// Prepares the driver for a plant.
    #[must_use]
    pub fn new(plant: Arc<Plant>) -> Self {
        let net = plant.network();
        let n = net.vessels.len();
        Self {
            stand: StandIns::of(&plant),
            now: Holdups::sized(n),
            flows: Flows::sized(&plant),
            matrix: TransportMatrix::identity(n),
            before: Vec::new(),
            tower_share: vec![1.0; n],
            held: vec![0.0; net.transfers.len()],
            level_held: vec![false; net.transfers.len()],
            volume_end: vec![0.0; n],
            held_w: vec![0.0; net.heats.len()],
            duty: vec![0.0; n],
            base: vec![0.0; net.devices.len()],
            all_on: Vec::new(),
            last_loss: vec![(f64::NAN, 0.0, 0.0); n],
            steps: 0,
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
        }
    }

    /// Takes one step of `h` seconds within which calendars do not change.
    ///
    /// # Errors
    /// A matrix without an answer, or an event that makes the plant impossible.
    pub fn step(&mut self, world: &mut World, h: f64) -> Result<(), RunError> {
        self.follow_plant(world);
        let plant = Arc::clone(&self.plant);
        self.now.refresh(&plant, &world.y);
        self.now.refresh_activity(&plant, &world.y);
        self.base_outputs(world);
        world.setting.relax_s = h;
        self.plan(world, h);
        self.solve(world, h)?;
        // Twice, since one salt may dilute or bring what another restores.
        for _ in 0..2 {
            for (a, addition) in plant.network().additions.iter().enumerate() {
                let given = plant.add_salt(AdditionId(a), &mut world.y, true);
                if let (Some(passengers), true) = (&mut self.passengers, given > 0.0) {
                    passengers.pin(addition.solute, addition.vessel);
                }
            }
        }
        if let Some(passengers) = &mut self.passengers {
            for addition in &plant.network().additions {
                let strength = plant.concentration(addition.vessel, addition.solute, &world.y);
                passengers.see(
                    addition.solute,
                    strength.unwrap_or(0.0) / addition.target_kg_per_m3,
                );
            }
        }
        world.t_s += h;
        self.steps += 1;
        Ok(())
    }

    /// Outputs with every regulating and permitting relay taken as on: what the devices could do.
    fn base_outputs(&mut self, world: &mut World) {
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
            for t in &level.transfers {
                self.level_held[t.index()] = !world.relays[level.relay.index()].stuck;
            }
        }
        for (i, device) in net.devices.iter().enumerate() {
            let setting = &mut world.setting;
            setting.outputs[i] = device.permitted(
                &self.all_on,
                &setting.open,
                &setting.outputs,
                world.failed[i],
            );
        }
        for strength in &self.stand.strengths {
            let relay = &net.relays[strength.relay.index()];
            let value = plant.read(relay.signal, &world.y);
            let rise = ((value - relay.lower) / (relay.upper - relay.lower)).clamp(0.0, 1.0);
            let share = if relay.acts == dragback_plant::control::Acts::Above {
                rise
            } else {
                1.0 - rise
            };
            world.setting.outputs[strength.device.index()] *= share;
        }
        self.base.clone_from(&world.setting.outputs);
        world.setting.full.fill(true);
        world.setting.ideal_weirs = true;
    }

    /// Finds flows, powers and end temperatures that fit together.
    fn plan(&mut self, world: &mut World, h: f64) {
        let plant = Arc::clone(&self.plant);
        let start_temp = self.now.temp_c.clone();
        let start_volume = self.now.volume_m3.clone();
        for _ in 0..MAX_SWEEPS {
            self.apply_tower_shares(world);
            self.flows
                .evaluate_losses(&plant, &self.now, &world.setting);
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
            let mut moved = self.limit_drawn(h, &start_volume);
            moved = moved.max(self.hold_levels(world, h, &start_volume));
            moved = moved.max(self.rest_towers(h, &start_volume));
            let warmed = self.warm(world, h, &start_temp);
            if moved <= FLOW_DONE && warmed <= TEMP_DONE_K {
                break;
            }
        }
        for v in 0..start_volume.len() {
            let end = start_volume[v] + h * self.flows.net_m3_per_s[v];
            let least = 1.0e-4 * plant.network().vessels[v].full_m3;
            self.volume_end[v] = end.max(least);
        }
    }

    fn is_level_held(&self, t: TransferId) -> bool {
        self.level_held[t.index()]
    }

    fn apply_tower_shares(&mut self, world: &mut World) {
        for unit in &self.plant.network().towers {
            let share = self.tower_share[unit.vessel.index()];
            let pump = unit.pump.index();
            world.setting.outputs[pump] = self.base[pump] * share;
        }
    }

    /// Flow of a transfer replaced; the change as a share of the larger vessel.
    fn replace(&mut self, t: TransferId, flow: f64, h: f64) -> f64 {
        let plant = Arc::clone(&self.plant);
        let old = self.flows.transfer_m3_per_s[t.index()];
        let change = flow - old;
        if change == 0.0 {
            return 0.0;
        }
        self.flows.transfer_m3_per_s[t.index()] = flow;
        let transfer = &plant.network().transfers[t.index()];
        let mut share = 0.0_f64;
        for (end, sign) in [(transfer.from, -1.0), (transfer.to, 1.0)] {
            if let End::Vessel(v) = end {
                self.flows.net_m3_per_s[v.index()] += sign * change;
                share = share.max(change.abs() * h / plant.network().vessels[v.index()].full_m3);
            }
        }
        share
    }

    /// What a vessel can give to one stream during the step, m³/s, leaving `floor_m3`; overflow yields to the pump.
    fn available(&self, source: VesselId, floor_m3: f64, own: f64, h: f64, start: &[f64]) -> f64 {
        let v = source.index();
        let overflow = self.overflow_of(source);
        ((start[v] - floor_m3) / h + self.flows.net_m3_per_s[v] + own + overflow).max(0.0)
    }

    fn overflow_of(&self, v: VesselId) -> f64 {
        let mine = self.stand.overflow[v.index()];
        mine.map_or(0.0, |t| self.flows.transfer_m3_per_s[t.index()])
    }

    /// Pumped streams that no level regulates take no more than is there.
    fn limit_drawn(&mut self, h: f64, start: &[f64]) -> f64 {
        let mut moved = 0.0_f64;
        for i in 0..self.stand.drawn.len() {
            let drawn = self.stand.drawn[i];
            if self.is_level_held(drawn.transfer) {
                continue;
            }
            let own = self.flows.transfer_m3_per_s[drawn.transfer.index()];
            let most = self.available(drawn.source, drawn.floor_m3, own, h, start);
            if own > most {
                moved = moved.max(self.replace(drawn.transfer, most, h));
            }
        }
        moved
    }

    /// Pumps and valves hold the middles of their level bands as far as capacity and water allow.
    fn hold_levels(&mut self, world: &World, h: f64, start: &[f64]) -> f64 {
        let plant = Arc::clone(&self.plant);
        let mut moved = 0.0_f64;
        for i in 0..self.stand.levels.len() {
            let (v, target, count) = {
                let l = &self.stand.levels[i];
                (l.vessel, l.target_m3, l.transfers.len())
            };
            if world.relays[self.stand.levels[i].relay.index()].stuck {
                continue;
            }
            for k in 0..count {
                let (t, device) = (
                    self.stand.levels[i].transfers[k],
                    self.stand.levels[i].device,
                );
                let transfer = &plant.network().transfers[t.index()];
                let dragback_plant::network::Law::Fixed { flow_m3_per_s } = transfer.law else {
                    continue;
                };
                let hours = transfer
                    .gate
                    .calendar
                    .map_or(1.0, |c| world.setting.open[c.index()]);
                let capacity = flow_m3_per_s * self.base[device.index()] * hours;
                let own = self.held[t.index()];
                let fills = transfer.to == End::Vessel(v);
                let others = self.flows.net_m3_per_s[v.index()] - if fills { own } else { -own };
                let gap = (target - start[v.index()]) / h - others;
                let wanted = if fills { gap } else { -gap };
                let mut flow = wanted.clamp(0.0, capacity);
                if let Some(drawn) = self.stand.drawn.iter().find(|d| d.transfer == t) {
                    flow = flow.min(self.available(drawn.source, drawn.floor_m3, own, h, start));
                }
                self.held[t.index()] = flow;
                moved = moved.max(self.replace(t, flow, h));
            }
        }
        moved
    }

    /// Towers work the share of time for which their vessel has water above its floor.
    fn rest_towers(&mut self, h: f64, start: &[f64]) -> f64 {
        let plant = Arc::clone(&self.plant);
        let mut moved = 0.0_f64;
        for i in 0..self.stand.rests.len() {
            let v = self.stand.rests[i].vessel;
            let density = water::density_kg_per_m3(self.now.temp_c[v.index()]);
            let towers = self.stand.rests[i].towers.iter();
            let taken: f64 = towers
                .map(|t| self.flows.tower_kg_per_s[t.index()] / density)
                .sum();
            let share = self.tower_share[v.index()];
            let full = if share > 1e-12 { taken / share } else { 0.0 };
            let others = self.flows.net_m3_per_s[v.index()] + taken;
            let room = (start[v.index()] - self.stand.rests[i].floor_m3) / h + others;
            let next = if share <= 1e-12 {
                // Nothing is known of the full rate while resting: try again when water has come.
                if room > 0.0 { 1.0e-3 } else { 0.0 }
            } else if full <= 0.0 {
                1.0
            } else {
                (room / full).clamp(0.0, 1.0)
            };
            let full_m3 = plant.network().vessels[v.index()].full_m3;
            moved = moved.max((next - share).abs() * full.abs() * h / full_m3);
            if share <= 1e-12 && next > 0.0 {
                moved = 1.0;
            }
            let scale = if share > 1e-12 { next / share } else { 0.0 };
            for k in 0..self.stand.rests[i].towers.len() {
                let t = self.stand.rests[i].towers[k].index();
                self.flows.tower_kg_per_s[t] *= scale;
                self.flows.tower_w[t] *= scale;
                self.flows.droplets_m3_per_s[t] *= scale;
            }
            self.flows.net_m3_per_s[v.index()] += taken * (1.0 - scale);
            self.tower_share[v.index()] = next;
        }
        moved
    }

    /// One sweep over the end temperatures; returns the largest move, K.
    fn warm(&mut self, world: &mut World, h: f64, start_c: &[f64]) -> f64 {
        let plant = Arc::clone(&self.plant);
        let mut largest = 0.0_f64;
        for v in 0..start_c.len() {
            let balance = self.heat_balance(v, h, start_c[v], world.setting.air_slot);
            let old = self.now.temp_c[v];
            let hold = self.stand.heat[v].take();
            let new = match &hold {
                Some(hold) => self.held_temperature(&plant, world, hold, v, &balance),
                None => balance.free_temperature(old, 0.0, 0.0),
            };
            self.stand.heat[v] = hold;
            // Far from the answer the slope is a guess; a bounded move keeps the sweep from leaping.
            let new = old + (new - old).clamp(-15.0, 15.0);
            largest = largest.max((new - old).abs());
            self.now.temp_c[v] = new;
        }
        largest
    }

    /// The vessel's heat balance over the step as a straight line around the present guess.
    fn heat_balance(&mut self, v: usize, h: f64, start_c: f64, air_slot: usize) -> HeatBalance {
        let plant = Arc::clone(&self.plant);
        let net = plant.network();
        let held = self.now.heat_capacity_j_per_k[v];
        let per_m3 = held / self.now.volume_m3[v].max(1e-9);
        let (mut gain_w, mut out_w_per_k, mut growth) = (0.0, 0.0, 0.0);
        for t in &self.stand.leaving[v] {
            let flow = self.flows.transfer_m3_per_s[t.index()];
            out_w_per_k += flow * per_m3;
            growth -= flow * per_m3;
        }
        for t in &self.stand.arriving[v] {
            let flow = self.flows.transfer_m3_per_s[t.index()];
            if flow != 0.0 {
                let (heat_w, heat_w_per_k) = self.arriving(net.transfers[t.index()].from, flow);
                gain_w += heat_w;
                growth += heat_w_per_k;
            }
        }
        let temp = self.now.temp_c[v];
        let (mut loss_w, mut slope) = (0.0, 0.0);
        for &t in &self.stand.towers_of[v] {
            let drawn = self.flows.tower_w[t.index()];
            loss_w += drawn;
            slope += self.tower_slope(t, temp, drawn, air_slot);
            growth -= self.flows.tower_kg_per_s[t.index()] * water::CP_WATER;
        }
        let surface = self.flows.surface_kg_per_s[v];
        let carried = surface * water::enthalpy_vapour_j_per_kg(temp);
        loss_w += carried + self.flows.loss_w[v];
        slope += self.surface_slope(v, temp, carried + self.flows.loss_w[v]);
        growth -= surface * water::CP_WATER;
        for &i in &self.stand.sources_of[v] {
            let heat = self.flows.source[i] * net.sources[i].water_kg * water::CP_WATER;
            gain_w += heat * temp;
            growth += heat;
        }
        HeatBalance {
            h,
            start_j: held * start_c,
            end_j_per_k: held + h * growth,
            out_w_per_k,
            gain_w: gain_w + self.free_heat_w(v),
            loss_w,
            slope_w_per_k: slope,
            at_c: temp,
        }
    }

    /// Change of a tower's draught with temperature, W/K, at the share of time it works.
    fn tower_slope(&self, t: TowerId, temp_c: f64, drawn_w: f64, air_slot: usize) -> f64 {
        let v = self.plant.network().towers[t.index()].vessel.index();
        let table = self.plant.tower_table(t, air_slot);
        table.map_or(0.0, |table| {
            let [_, heat_w, _, slope] = table.with_slopes(temp_c, self.now.activity[v]);
            if heat_w.abs() > 1.0 {
                slope * drawn_w / heat_w
            } else {
                0.0
            }
        })
    }

    /// Change of a vessel's loss to the air with temperature, W/K: the secant of the last two guesses, near a plausible value.
    fn surface_slope(&mut self, v: usize, temp_c: f64, loss_w: f64) -> f64 {
        let vessel = &self.plant.network().vessels[v];
        let area = vessel.surface.map_or(0.0, |s| s.area_m2);
        let plausible = vessel.wall_w_per_k + area * 12.0 + 0.06 * loss_w.max(0.0);
        let (last_c, last_w, last_slope) = self.last_loss[v];
        let moved = temp_c - last_c;
        let slope = if moved.abs() > 1e-3 {
            ((loss_w - last_w) / moved).clamp(0.2 * plausible, 5.0 * plausible)
        } else if last_slope > 0.0 {
            last_slope
        } else {
            plausible
        };
        self.last_loss[v] = (temp_c, loss_w, slope);
        slope
    }

    fn arriving(&self, from: End, flow: f64) -> (f64, f64) {
        match from {
            End::Vessel(s) => {
                let s = s.index();
                let per_m3 = self.now.heat_capacity_j_per_k[s] / self.now.volume_m3[s].max(1e-9);
                (flow * per_m3 * self.now.temp_c[s], flow * per_m3)
            }
            End::Supply(s, _) => {
                let block = self.plant.supply_per_m3(s);
                let temp = self.plant.network().supplies[s.index()].temp_c;
                let heat = flow * block[Layout::ENTHALPY];
                (heat, if temp.abs() > 1e-9 { heat / temp } else { 0.0 })
            }
            End::Account(_) => (0.0, 0.0),
        }
    }

    /// Heat flows that no set point regulates, W.
    fn free_heat_w(&self, v: usize) -> f64 {
        let regulated = self.stand.heat[v].as_ref();
        let free = self.stand.heats_of[v]
            .iter()
            .filter(|h| !regulated.is_some_and(|r| r.heats.contains(h)));
        free.map(|h| self.flows.heat_w[h.index()]).sum()
    }

    /// End temperature of a vessel with regulated heat; sets the power of each of its heats.
    fn held_temperature(
        &mut self,
        plant: &Plant,
        world: &mut World,
        hold: &HeatHold,
        v: usize,
        balance: &HeatBalance,
    ) -> f64 {
        let net = plant.network();
        let target = self.target_c(plant, world, hold);
        let (mut most, mut least) = (0.0, 0.0);
        for h in &hold.heats {
            let heat = &net.heats[h.index()];
            let on = heat.gate.device.map_or(1.0, |d| self.base[d.index()]);
            let hours = heat
                .gate
                .calendar
                .map_or(1.0, |c| world.setting.open[c.index()]);
            let at = target.unwrap_or(self.now.temp_c[v]);
            let (up, down) = match heat.law {
                HeatLaw::Power { power_w } => (power_w, 0.0),
                HeatLaw::Coil {
                    ua_w_per_k,
                    supply_c,
                    cap_w,
                } => ((ua_w_per_k * (supply_c - at)).clamp(0.0, cap_w), 0.0),
                HeatLaw::Hold { heat_w, cool_w, .. } => (heat_w, cool_w),
                HeatLaw::Work { .. } => (0.0, 0.0),
            };
            self.held_w[h.index()] = up * on * hours;
            most += up * on * hours;
            least -= down * on * hours;
        }
        let band = hold
            .devices
            .iter()
            .find_map(|(d, _)| net.devices[d.index()].proportional);
        let (temp, power) = match (target, band) {
            (None, _) => (balance.free_temperature(self.now.temp_c[v], 0.0, 0.0), 0.0),
            (Some(_), Some(p)) => balance.banded(p.set_c, p.band_k, most),
            (Some(set), None) => balance.held(set, least, most),
        };
        self.duty[v] = if most > 0.0 {
            (power / most).max(0.0)
        } else {
            0.0
        };
        self.share_power(hold, power, most, world);
        temp
    }

    /// Splits the power over the heats in proportion to what each could give, and sets the outputs of their devices.
    fn share_power(&mut self, hold: &HeatHold, power: f64, most: f64, world: &mut World) {
        let plant = Arc::clone(&self.plant);
        for h in &hold.heats {
            let could = self.held_w[h.index()];
            let share = if power >= 0.0 {
                if most > 0.0 {
                    power * could / most
                } else {
                    0.0
                }
            } else {
                power / f64::from(u32::try_from(hold.heats.len()).unwrap_or(1))
            };
            self.flows.heat_w[h.index()] = share;
            if let Some(d) = plant.network().heats[h.index()].gate.device {
                let part = if could > 0.0 {
                    (share / could).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                world.setting.outputs[d.index()] = self.base[d.index()] * part;
            }
        }
    }

    /// The set point in force: the highest band middle whose relay alone would let a device run.
    fn target_c(&mut self, plant: &Plant, world: &World, hold: &HeatHold) -> Option<f64> {
        let net = plant.network();
        if let Some(set) = hold.fixed_set_c {
            return Some(set);
        }
        let mut best: Option<f64> = None;
        for (d, bands) in &hold.devices {
            for (relay, middle) in bands {
                let state = world.relays[relay.index()];
                if state.stuck && !state.on {
                    continue;
                }
                // A thermostat stuck on asks for all there is.
                let middle = if state.stuck { &f64::MAX } else { middle };
                for (other, _) in bands {
                    self.all_on[other.index()] = other == relay;
                }
                let (setting, failed) = (&world.setting, world.failed[d.index()]);
                let device = &net.devices[d.index()];
                if device.permitted(&self.all_on, &setting.open, &setting.outputs, failed) > 0.0 {
                    best = Some(best.map_or(*middle, |b: f64| b.max(*middle)));
                }
            }
            for (other, _) in bands {
                self.all_on[other.index()] = true;
            }
        }
        best
    }

    /// Moves all contents with the planned flows, and books them.
    fn solve(&mut self, world: &mut World, h: f64) -> Result<(), RunError> {
        let plant = Arc::clone(&self.plant);
        let layout = plant.layout();
        let (len, states) = (layout.block_len(), layout.state_len());
        self.before.clear();
        self.before.extend_from_slice(&world.y[..states]);
        self.fill_matrix(&plant, h);
        self.matrix.factor().map_err(|source| RunError::Singular {
            vessel: plant.network().vessels[source.row].name.clone(),
            hours: world.t_s / dragback_plant::calendar::HOUR_S,
            source,
        })?;
        self.book_entering(&plant, world, h);
        self.matrix.solve(&mut world.y[..states], len);
        if let Some(passengers) = &mut self.passengers {
            passengers.carry(&self.matrix);
        }
        self.book_carried(&plant, world, h);
        Ok(())
    }

    fn share_of(&self, source: VesselId, flow: f64, h: f64) -> f64 {
        h * flow / self.volume_end[source.index()]
    }

    fn fill_matrix(&mut self, plant: &Plant, h: f64) {
        self.matrix.reset();
        for (i, t) in plant.network().transfers.iter().enumerate() {
            let flow = self.flows.transfer_m3_per_s[i];
            if let (End::Vessel(v), true) = (t.from, flow != 0.0) {
                let to = match t.to {
                    End::Vessel(to) => Some(to.index()),
                    _ => None,
                };
                let share = self.share_of(v, flow, h);
                self.matrix.carry(v.index(), to, share);
            }
        }
        for (i, unit) in plant.network().towers.iter().enumerate() {
            let share = self.share_of(unit.vessel, self.flows.droplets_m3_per_s[i], h);
            self.matrix.carry(unit.vessel.index(), None, share);
        }
    }

    /// Everything that does not depend on the end contents enters the right-hand side, and the ledger.
    fn book_entering(&self, plant: &Plant, world: &mut World, h: f64) {
        let layout = plant.layout();
        let net = plant.network();
        let y = &mut world.y;
        for (i, t) in net.transfers.iter().enumerate() {
            let moved = h * self.flows.transfer_m3_per_s[i];
            y[layout.moved(TransferId(i))] += moved;
            if let (End::Supply(s, a), true) = (t.from, moved != 0.0) {
                self.book_supply(plant, y, (TransferId(i), s), layout.account(a), moved);
            }
        }
        for (i, unit) in net.towers.iter().enumerate() {
            let (water_kg, heat_j) = (h * self.flows.tower_kg_per_s[i], h * self.flows.tower_w[i]);
            let (v, a) = (layout.vessel(unit.vessel), layout.account(unit.air_account));
            move_one(y, v, a, Layout::WATER, water_kg);
            move_one(y, v, a, Layout::ENTHALPY, heat_j);
            y[layout.tower_water(TowerId(i))] += water_kg;
            y[layout.tower_heat(TowerId(i))] += heat_j;
        }
        for v in 0..net.vessels.len() {
            let start = layout.vessel(VesselId(v));
            let water_kg = h * self.flows.surface_kg_per_s[v];
            let air = layout.account(net.surface_account);
            move_one(y, start, air, Layout::WATER, water_kg);
            let carried = water_kg * water::enthalpy_vapour_j_per_kg(self.now.temp_c[v]);
            move_one(y, start, air, Layout::ENTHALPY, carried);
            let losses = layout.account(net.loss_account);
            move_one(y, start, losses, Layout::ENTHALPY, h * self.flows.loss_w[v]);
            y[layout.surface_water(VesselId(v))] += water_kg;
        }
        for s in 0..net.sources.len() {
            self.book_source(plant, y, SourceId(s), h);
        }
        for (i, heat) in net.heats.iter().enumerate() {
            let joules = h * self.flows.heat_w[i];
            move_one(
                y,
                layout.account(heat.account),
                layout.vessel(heat.vessel),
                Layout::ENTHALPY,
                joules,
            );
            y[layout.delivered(HeatId(i))] += joules;
        }
        for (i, output) in world.setting.outputs.iter().enumerate() {
            y[layout.ran(DeviceId(i))] += h * output;
        }
    }

    fn book_supply(
        &self,
        plant: &Plant,
        y: &mut [f64],
        what: (TransferId, SupplyId),
        account: usize,
        moved: f64,
    ) {
        let layout = plant.layout();
        let (t, s) = what;
        let to = match plant.network().transfers[t.index()].to {
            End::Vessel(v) => layout.vessel(v),
            End::Account(a) | End::Supply(_, a) => layout.account(a),
        };
        let meter = layout.meter(t);
        for (j, amount) in plant.supply_per_m3(s).iter().enumerate() {
            move_one(y, account, to, j, moved * amount);
            if let Some(meter) = meter {
                y[meter + j] += moved * amount;
            }
        }
    }

    fn book_source(&self, plant: &Plant, y: &mut [f64], s: SourceId, h: f64) {
        let factor = h * self.flows.source[s.index()];
        if factor == 0.0 {
            return;
        }
        let layout = plant.layout();
        let source = &plant.network().sources[s.index()];
        let (v, a) = (layout.vessel(source.vessel), layout.account(source.account));
        let temp = self.now.temp_c[source.vessel.index()];
        move_one(y, a, v, Layout::WATER, factor * source.water_kg);
        let mut heat = factor * source.water_kg * water::CP_WATER * temp;
        for &(solute, rate) in &source.solutes_kg {
            let place = layout.solute(solute);
            let held = y[v + place].max(0.0);
            let x = match source.pace {
                // Backward Euler here too, so that what is removed is the rate times the mean that the trace shows.
                Pace::FirstOrder => -held * factor * rate.abs() / (1.0 + factor * rate.abs()),
                _ => (factor * rate).max(-0.9 * held),
            };
            move_one(y, a, v, place, x);
            heat += x * plant.network().solutes[solute.index()].heat_capacity_j_per_kg_k * temp;
        }
        move_one(y, a, v, Layout::ENTHALPY, heat);
    }

    /// What the solved contents carry over the boundary, and through the meters.
    fn book_carried(&self, plant: &Plant, world: &mut World, h: f64) {
        let layout = plant.layout();
        let net = plant.network();
        let len = layout.block_len();
        for (i, t) in net.transfers.iter().enumerate() {
            let End::Vessel(v) = t.from else { continue };
            let flow = self.flows.transfer_m3_per_s[i];
            if flow == 0.0 {
                continue;
            }
            let share = self.share_of(v, flow, h);
            let from = layout.vessel(v);
            let account = match t.to {
                End::Account(a) => Some(layout.account(a)),
                _ => None,
            };
            for to in account.into_iter().chain(layout.meter(TransferId(i))) {
                for j in 0..len {
                    let x = share * world.y[from + j];
                    world.y[to + j] += x;
                }
            }
        }
        for (i, unit) in net.towers.iter().enumerate() {
            let share = self.share_of(unit.vessel, self.flows.droplets_m3_per_s[i], h);
            let (from, to) = (
                layout.vessel(unit.vessel),
                layout.account(unit.stack_account),
            );
            for j in 0..len {
                let x = share * world.y[from + j];
                world.y[to + j] += x;
            }
        }
    }
}

#[inline]
fn move_one(y: &mut [f64], from: usize, to: usize, j: usize, x: f64) {
    y[from + j] -= x;
    y[to + j] += x;
}

/// A vessel's heat balance over a step, straightened around one temperature.
struct HeatBalance {
    h: f64,
    start_j: f64,
    end_j_per_k: f64,
    out_w_per_k: f64,
    gain_w: f64,
    loss_w: f64,
    slope_w_per_k: f64,
    at_c: f64,
}

impl HeatBalance {
    /// Power that a temperature at the end would need, W.
    fn power_for(&self, temp_c: f64) -> f64 {
        let loss_w = self.loss_w + self.slope_w_per_k * (temp_c - self.at_c);
        ((self.end_j_per_k + self.h * self.out_w_per_k) * temp_c - self.start_j) / self.h
            - self.gain_w
            + loss_w
    }

    /// End temperature at a power of `power_w + per_k·T`.
    fn free_temperature(&self, _guess: f64, power_w: f64, per_k: f64) -> f64 {
        let slope =
            (self.end_j_per_k / self.h + self.out_w_per_k + self.slope_w_per_k - per_k).max(1e-9);
        (self.start_j / self.h + self.gain_w + power_w - self.loss_w
            + self.slope_w_per_k * self.at_c)
            / slope
    }

    /// End temperature and power when a set point is held within limits.
    fn held(&self, set_c: f64, least_w: f64, most_w: f64) -> (f64, f64) {
        let power = self.power_for(set_c.min(200.0)).clamp(least_w, most_w);
        (self.free_temperature(set_c, power, 0.0), power)
    }

    /// End temperature and power when the power falls across a band.
    fn banded(&self, set_c: f64, band_k: f64, most_w: f64) -> (f64, f64) {
        let per_k = -most_w / band_k;
        let inside = self.free_temperature(set_c, most_w * (0.5 + set_c / band_k), per_k);
        let power = (most_w * (0.5 + (set_c - inside) / band_k)).clamp(0.0, most_w);
        (self.free_temperature(set_c, power, 0.0), power)
    }
}

/// Runs the world until `until_s` in averaged steps.
///
/// # Errors
/// See [`RunError`].
pub fn run(
    world: &mut World,
    until_s: f64,
    options: &PreviewOptions,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Outcome, RunError> {
    let mut preview = Preview::new(Arc::clone(&world.plant));
    run_with(&mut preview, world, until_s, options, watch)
}

/// As [`run`], with a driver that keeps its first guesses.
///
/// # Errors
/// See [`RunError`].
pub fn run_with(
    preview: &mut Preview,
    world: &mut World,
    until_s: f64,
    options: &PreviewOptions,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Outcome, RunError> {
    let start = world.y.clone();
    let mut trace = Trace::new(world.y.len());
    let record = |world: &World, trace: &mut Trace| {
        if options.records {
            trace.push(world.t_s, &world.y);
        }
    };
    record(world, &mut trace);
    while world.t_s < until_s - 1e-6 {
        world.fire_due()?;
        let boundary = options
            .clock
            .read(world.plant.network(), world.t_s, &mut world.setting);
        let limit = until_s
            .min(boundary)
            .min(world.next_due_s().max(world.t_s + 1.0));
        let span = limit - world.t_s;
        let works =
            |w: &dragback_plant::network::Work| world.setting.open[w.calendar.index()] > 0.0;
        let is_working = world.plant.network().works.iter().any(works);
        let longest = if is_working {
            options.step_s
        } else {
            options.rest_step_s
        };
        let pieces = (span / longest).ceil().max(1.0);
        preview.step(world, span / pieces)?;
        world.follow_alarms()?;
        record(world, &mut trace);
        if !watch(world.t_s) {
            return Err(RunError::Cancelled);
        }
    }
    let ledger = Ledger::between(&world.plant, &start, &world.y);
    if let Some((what, error)) = ledger.worst()
        && error > CLOSURE_BOUND
    {
        return Err(RunError::Ledger {
            what: what.to_owned(),
            error,
            bound: CLOSURE_BOUND,
        });
    }
    let statistics = Statistics {
        steps: preview.steps(),
        ..Statistics::default()
    };
    Ok(Outcome {
        trace,
        ledger,
        statistics,
    })
}
