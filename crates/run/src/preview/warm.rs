//! End temperatures of a step, and the power that holds them.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::TowerId;
use dragback_plant::layout::Layout;
use dragback_plant::network::{End, HeatLaw};
use dragback_properties::water;

use super::{Preview, RESTLESS_K};
use crate::standins::HeatHold;
use crate::world::World;

impl Preview {
    /// One sweep over the end temperatures; returns the largest move, K.
    pub(super) fn warm(&mut self, world: &mut World, h: f64, start_c: &[f64]) -> f64 {
        let plant = Arc::clone(&self.plant);
        let mut largest = 0.0_f64;
        for v in 0..start_c.len() {
            let balance = self.heat_balance(v, h, start_c[v], world.setting.air_slot);
            let old = self.now.temp_c[v];
            let hold = self.stand.heat[v].take();
            let new = match &hold {
                Some(hold) => self.held_temperature(&plant, world, hold, v, &balance),
                None => balance.free_temperature(0.0, 0.0),
            };
            self.stand.heat[v] = hold;
            // Far from the answer the slope is a guess; a bounded move keeps the sweep from leaping.
            let new = old + (new - old).clamp(-15.0, 15.0);
            largest = largest.max((new - old).abs());
            self.restless[v] = (new - old).abs() > RESTLESS_K;
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
        let evaporates = self.tower_share[v] > 1e-3;
        if self.sweep == 0 || self.targets[v].1 != evaporates {
            self.targets[v] = (self.target_c(plant, world, hold, v), evaporates);
        }
        let target = self.targets[v].0;
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
            (None, _) => (balance.free_temperature(0.0, 0.0), 0.0),
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
    fn target_c(&mut self, plant: &Plant, world: &World, hold: &HeatHold, v: usize) -> Option<f64> {
        let net = plant.network();
        if let Some(set) = hold.fixed_set_c {
            return Some(set);
        }
        let mut best: Option<f64> = None;
        let evaporates = self.tower_share[v] > 1e-3;
        for permit in &hold.permits {
            self.all_on[permit.index()] = evaporates;
        }
        for (d, bands) in &hold.devices {
            if let Some(p) = net.devices[d.index()].proportional {
                if self.base[d.index()] > 0.0 {
                    best = Some(best.map_or(p.set_c, |b: f64| b.max(p.set_c)));
                }
                continue;
            }
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
        for permit in &hold.permits {
            self.all_on[permit.index()] = true;
        }
        best
    }
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
    fn free_temperature(&self, power_w: f64, per_k: f64) -> f64 {
        let slope =
            (self.end_j_per_k / self.h + self.out_w_per_k + self.slope_w_per_k - per_k).max(1e-9);
        (self.start_j / self.h + self.gain_w + power_w - self.loss_w
            + self.slope_w_per_k * self.at_c)
            / slope
    }

    /// End temperature and power when a set point is held within limits.
    fn held(&self, set_c: f64, least_w: f64, most_w: f64) -> (f64, f64) {
        let power = self.power_for(set_c.min(200.0)).clamp(least_w, most_w);
        (self.free_temperature(power, 0.0), power)
    }

    /// End temperature and power when the power falls across a band.
    fn banded(&self, set_c: f64, band_k: f64, most_w: f64) -> (f64, f64) {
        let per_k = -most_w / band_k;
        let inside = self.free_temperature(most_w * (0.5 + set_c / band_k), per_k);
        let power = (most_w * (0.5 + (set_c - inside) / band_k)).clamp(0.0, most_w);
        (self.free_temperature(power, 0.0), power)
    }
}
