//! End temperatures of a step, and the power that holds them.

mod balance;

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::control::{Proportional, Signal};
use dragback_plant::ids::{DeviceId, TowerId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{End, Heat, HeatLaw};
use dragback_plant::water;

use super::{Preview, RESTLESS_K};
use crate::standins::{HeatHold, cuts};
use crate::world::World;
use balance::Hold;
pub(super) use balance::{HeatBalance, Target};

/// Passes over the straightened balances within a sweep.
const MAX_PASSES: usize = 12;
/// Passes end when no temperature moves by more than this share of what a sweep must find.
const PASS_SHARE: f64 = 0.05;
/// … or of what the first pass moved.
const FAR_SHARE: f64 = 3.0e-3;
/// By how much heat by hand, or by a thermostat stuck on, passes the alarm that cuts it, so that the alarm trips, K.
const PASSED_K: f64 = 0.05;

impl Preview {
    /// One sweep over the end temperatures: every balance is straightened around the present guess, and all are solved together.
    ///
    /// Returns the largest move, K.
    pub(super) fn warm(&mut self, world: &mut World, h: f64, start_c: &[f64], done_k: f64) -> f64 {
        let plant = Arc::clone(&self.plant);
        let mut balances = std::mem::take(&mut self.balances);
        balances.resize_with(start_c.len(), HeatBalance::default);
        for (v, balance) in balances.iter_mut().enumerate() {
            self.straighten(&plant, world, (v, h), start_c, balance);
            balance.hold = self.limits(&plant, world, v);
        }
        let mut first = 0.0;
        for pass in 0..MAX_PASSES {
            let mut largest = 0.0_f64;
            for k in 0..balances.len() {
                // What flows between vessels goes up the list in some and down in others.
                let v = if pass % 2 == 0 {
                    k
                } else {
                    balances.len() - 1 - k
                };
                let given_w = balances[v].given_w(&self.now.temp_c);
                let (temp, heat_w, cool_w) = balances[v].solve(given_w);
                // Far from the answer the slope is a guess; a bounded move keeps the sweep from leaping.
                let temp = balances[v].at_c + (temp - balances[v].at_c).clamp(-15.0, 15.0);
                (balances[v].heat_w, balances[v].cool_w) = (heat_w, cool_w);
                largest = largest.max((temp - self.now.temp_c[v]).abs());
                self.now.temp_c[v] = temp;
            }
            if pass == 0 {
                first = largest;
            }
            // A sweep that moves far is followed by another one.
            if largest <= (PASS_SHARE * done_k).max(FAR_SHARE * first) {
                break;
            }
        }
        let mut largest = 0.0_f64;
        for (v, balance) in balances.iter().enumerate() {
            let moved = (self.now.temp_c[v] - balance.at_c).abs();
            largest = largest.max(moved);
            self.restless[v] = moved > RESTLESS_K;
            self.share_power(v, balance, world);
        }
        self.balances = balances;
        largest
    }

    /// The vessel's heat balance over the step as a straight line around the present guess.
    fn straighten(
        &mut self,
        plant: &Plant,
        world: &World,
        (v, h): (usize, f64),
        start_c: &[f64],
        to: &mut HeatBalance,
    ) {
        let net = plant.network();
        let held = self.now.heat_capacity_j_per_k[v];
        let per_m3 = held / self.now.volume_m3[v].max(1e-9);
        let (mut gain_w, mut out_w_per_k, mut growth) = (0.0, 0.0, 0.0);
        to.gain_w_per_k.clear();
        for t in &self.stand.leaving[v] {
            let flow = self.flows.transfer_m3_per_s[t.index()];
            out_w_per_k += flow * per_m3;
            growth -= flow * per_m3;
        }
        // Streams take part of the temperature of the step's beginning along.
        gain_w -= (1.0 - self.end_weight[v]) * out_w_per_k * start_c[v];
        out_w_per_k *= self.end_weight[v];
        for t in &self.stand.arriving[v] {
            let flow = self.flows.transfer_m3_per_s[t.index()];
            if flow != 0.0 {
                let from = net.transfers[t.index()].from;
                let (heat_w, heat_w_per_k) = self.arriving(from, flow);
                gain_w += heat_w;
                growth += heat_w_per_k;
                if let End::Vessel(from) = from {
                    let (from, at_c) = (from.index(), self.now.temp_c[from.index()]);
                    let late = self.end_weight[from];
                    gain_w -= (1.0 - late) * heat_w_per_k * (at_c - start_c[from]);
                    to.gain_w_per_k.push((from, late * heat_w_per_k, at_c));
                }
            }
        }
        let temp = self.now.temp_c[v];
        let (mut loss_w, mut slope) = (0.0, 0.0);
        for &t in &self.stand.towers_of[v] {
            let drawn = self.flows.tower_w[t.index()];
            loss_w += drawn;
            slope += self.tower_slope(t, temp, drawn, world.setting.air_slot);
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
        for &i in &self.stand.heats_of[v] {
            let is_regulated = self.stand.heat[v]
                .as_ref()
                .is_some_and(|r| r.heats.contains(&i));
            if is_regulated {
                continue;
            }
            gain_w += self.flows.heat_w[i.index()];
            if let HeatLaw::Work {
                work,
                from,
                heat_capacity_j_per_m2_k,
            } = net.heats[i.index()].law
            {
                let rate = plant.area_rate(&world.setting, work);
                let w_per_k = self.now.wet[v] * rate * heat_capacity_j_per_m2_k;
                slope += w_per_k;
                if let Some(from) = from {
                    let (from, at_c) = (from.index(), self.now.temp_c[from.index()]);
                    to.gain_w_per_k.push((from, w_per_k, at_c));
                }
            }
        }
        to.slope_w_per_k = ((held + h * growth) / h + out_w_per_k + slope).max(1e-9);
        to.kelvin_per_w = 1.0 / to.slope_w_per_k;
        to.fixed_w = held * start_c[v] / h + gain_w - loss_w + slope * temp;
        to.at_c = temp;
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
            ((loss_w - last_w) / moved)
                .max(0.2 * plausible)
                .min(5.0 * plausible)
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

    /// What the regulated heats of a vessel hold, and with how much power; finds what each of them could give.
    fn limits(&mut self, plant: &Plant, world: &World, v: usize) -> Hold {
        let Some(hold) = self.stand.heat[v].take() else {
            return Hold::default();
        };
        let net = plant.network();
        let feeds = self.may_feed(world, &hold, v);
        if self.sweep == 0 || self.targets[v].1 != feeds {
            self.targets[v] = (self.target(plant, world, &hold, feeds), feeds);
        }
        let mut target = self.targets[v].0;
        let asks_for_all = target.is_some_and(|t| t.set_c == f64::MAX);
        let (mut most_w, mut least_w, mut hand_w) = (0.0, 0.0, 0.0);
        let mut ceiling_c = f64::INFINITY;
        for h in &hold.heats {
            let heat = &net.heats[h.index()];
            let on = heat.gate.device.map_or(1.0, |d| self.base[d.index()]);
            let hours = heat
                .gate
                .calendar
                .map_or(1.0, |c| world.setting.open[c.index()]);
            let by_hand = is_by_hand(heat, world);
            // What heats whatever the temperature gives what it can at the present one.
            let held_c = target
                .map(|t| t.set_c)
                .filter(|&c| c < f64::MAX && !by_hand);
            let at = held_c.unwrap_or(self.now.temp_c[v]);
            let (up, down) = match heat.law {
                HeatLaw::Power { power_w } => (power_w, 0.0),
                HeatLaw::Coil {
                    ua_w_per_k,
                    supply_c,
                    cap_w,
                } => ((ua_w_per_k * (supply_c - at)).max(0.0).min(cap_w), 0.0),
                HeatLaw::Hold { power_w, .. } => (power_w, 0.0),
                HeatLaw::Cool { power_w, .. } => (0.0, -power_w),
                HeatLaw::Work { .. } => (0.0, 0.0),
            };
            self.held_w[h.index()] = (up + down) * on * hours;
            most_w += up * on * hours;
            least_w += down * on * hours;
            if by_hand {
                hand_w += up * on * hours;
            }
            if let (true, Some(d)) = (by_hand || asks_for_all, heat.gate.device) {
                let alarms = cuts(plant, d).filter(|(r, _)| !world.relays[r.index()].stuck);
                let hot = alarms.filter(|(_, r)| r.signal == Signal::Temperature(heat.vessel));
                ceiling_c = hot.fold(ceiling_c, |c, (_, r)| c.min(r.upper + PASSED_K));
            }
        }
        if let (true, Some(target)) = (asks_for_all, &mut target) {
            // A thermostat stuck on heats until an alarm cuts it.
            target.set_c = ceiling_c;
        }
        self.stand.heat[v] = Some(hold);
        Hold {
            target,
            least_w,
            most_w,
            hand_w,
            ceiling_c,
        }
    }

    /// Splits what heats and cools a vessel over its heats in proportion to what each could do, and sets the outputs of their devices.
    fn share_power(&mut self, v: usize, balance: &HeatBalance, world: &mut World) {
        let Some(hold) = self.stand.heat[v].take() else {
            return;
        };
        let (heat_w, most_w) = (balance.heat_w, balance.hold.most_w);
        self.duty[v] = if most_w > 0.0 { heat_w / most_w } else { 0.0 };
        let net = self.plant.network();
        // What is run by hand comes first.
        let hand_w = balance.hold.hand_w;
        let by_hand_w = heat_w.min(hand_w);
        for h in &hold.heats {
            let could = self.held_w[h.index()];
            let (given, most) = if could < 0.0 {
                (balance.cool_w, balance.hold.least_w)
            } else if is_by_hand(&net.heats[h.index()], world) {
                (by_hand_w, hand_w)
            } else {
                (heat_w - by_hand_w, most_w - hand_w)
            };
            let part = if most == 0.0 {
                0.0
            } else {
                (given / most).clamp(0.0, 1.0)
            };
            self.flows.heat_w[h.index()] = part * could;
            if let Some(d) = net.heats[h.index()].gate.device {
                world.setting.outputs[d.index()] = self.base[d.index()] * part;
            }
        }
        self.stand.heat[v] = Some(hold);
    }

    /// Whether a vessel may feed its tower, by what its relays say of its level.
    ///
    /// While the tower's pump could run, that is whether it does; a relay that takes turns lets it run for a share of the time.
    fn may_feed(&self, world: &World, hold: &HeatHold, v: usize) -> bool {
        let towers = &self.plant.network().towers;
        let could_run = |t: &TowerId| self.base[towers[t.index()].pump.index()] > 0.0;
        if self.stand.towers_of[v].iter().any(could_run) {
            return self.tower_share[v] > 1e-3;
        }
        let mut permits = hold.permits.iter();
        permits.all(|r| world.relays[r.index()].on)
    }

    /// The set point in force: the highest whose relay alone would let a device run, while the vessel may feed its tower or may not.
    fn target(
        &mut self,
        plant: &Plant,
        world: &World,
        hold: &HeatHold,
        feeds: bool,
    ) -> Option<Target> {
        let net = plant.network();
        for permit in &hold.permits {
            let state = world.relays[permit.index()];
            self.all_on[permit.index()] = if state.stuck { state.on } else { feeds };
        }
        let mut best = hold.fixed.map(|fixed| Target {
            set_c: fixed.heat_c,
            cool_c: fixed.cool_c,
            band_k: None,
            share: 1.0,
            all_at_c: None,
        });
        let cool_c = hold.fixed.map_or(f64::INFINITY, |fixed| fixed.cool_c);
        let mut offer = |target: Target| target.join(&mut best);
        for (d, bands) in &hold.devices {
            if world.by_hand[d.index()] {
                continue;
            }
            let device = &net.devices[d.index()];
            let across = |p: Proportional, share: f64| Target {
                set_c: p.set_c,
                cool_c,
                band_k: Some(p.band_k),
                share,
                all_at_c: None,
            };
            let base = self.base[d.index()];
            if let (Some(p), true) = (device.proportional, bands.is_empty()) {
                if base > 0.0 {
                    offer(across(p, 1.0));
                }
                continue;
            }
            for (relay, middle_c) in bands {
                let state = world.relays[relay.index()];
                if state.stuck && !state.on {
                    continue;
                }
                for (other, _) in bands {
                    self.all_on[other.index()] = other == relay;
                }
                let (setting, handling) = (&world.setting, world.handling(*d));
                let permitted = setting.mean_over_spells(|open| {
                    device.permitted(&self.all_on, open, &setting.outputs, handling)
                });
                if permitted <= 0.0 {
                    continue;
                }
                let share = if base > permitted {
                    permitted / base
                } else {
                    1.0
                };
                // A thermostat that opens at the upper end of a band leaves the holding to the band, and one stuck on does so too.
                let opens_c = net.relays[relay.index()].upper;
                let leaves_it =
                    |p: &Proportional| state.stuck || opens_c >= p.set_c + 0.5 * p.band_k - 1e-9;
                offer(match device.proportional.filter(leaves_it) {
                    Some(p) => across(p, share),
                    None => Target {
                        // Without a band, a thermostat stuck on asks for all there is.
                        set_c: if state.stuck { f64::MAX } else { *middle_c },
                        cool_c,
                        band_k: None,
                        share,
                        all_at_c: None,
                    },
                });
            }
            for (other, _) in bands {
                self.all_on[other.index()] = true;
            }
        }
        for permit in &hold.permits {
            let state = world.relays[permit.index()];
            self.all_on[permit.index()] = state.on || !state.stuck;
        }
        best
    }
}

/// Whether a heat is run by hand.
fn is_by_hand(heat: &Heat, world: &World) -> bool {
    let by_hand = |d: DeviceId| world.by_hand[d.index()];
    heat.gate.device.is_some_and(by_hand)
}
