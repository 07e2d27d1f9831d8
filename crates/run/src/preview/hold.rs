//! Flows that devices hold on average: levels, floors under pumps, towers that rest.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::{RelayId, TowerId, TransferId, VesselId};
use dragback_plant::network::{End, Law};
use dragback_plant::water;

use super::Preview;
use crate::standins::{Batches, Stock};
use crate::world::World;

/// Sweeps in which floors still follow what arrives; later ones keep them, lest the two chase each other.
const FLOORS_DECIDED: usize = 2;

impl Preview {
    /// Flow of a transfer replaced; the change as a share of the larger vessel.
    fn replace(&mut self, t: TransferId, flow: f64, h: f64) -> f64 {
        let old = self.flows.transfer_m3_per_s[t.index()];
        let change = flow - old;
        if change == 0.0 {
            return 0.0;
        }
        self.flows.transfer_m3_per_s[t.index()] = flow;
        let net = self.plant.network();
        let transfer = &net.transfers[t.index()];
        let mut share = 0.0_f64;
        for (end, sign) in [(transfer.from, -1.0), (transfer.to, 1.0)] {
            if let End::Vessel(v) = end {
                self.flows.net_m3_per_s[v.index()] += sign * change;
                share = share.max(change.abs() * h / net.vessels[v.index()].full_m3);
            }
        }
        share
    }

    /// What a vessel can give to one stream during the step, m³/s; overflow yields to the pump.
    fn available(
        &mut self,
        world: &World,
        i: usize,
        (own, full): (f64, f64),
        h: f64,
        start: &[f64],
    ) -> f64 {
        let drawn = self.stand.drawn[i];
        let device = self.plant.network().transfers[drawn.transfer.index()]
            .gate
            .device;
        let floor = if device.is_some_and(|d| world.by_hand[d.index()]) {
            drawn.floor_by_hand
        } else {
            drawn.floor
        };
        let v = drawn.source.index();
        let arrives = self.flows.net_m3_per_s[v] + own + self.overflow_of(drawn.source);
        if self.sweep < FLOORS_DECIDED {
            let is_on = |r: RelayId| world.relays[r.index()].on;
            let stock = Stock {
                start_m3: start[v],
                arrives_m3_per_s: arrives,
                full_m3_per_s: full,
                batches: None,
                is_passing: false,
            };
            let (before, now) = &mut self.drawn_held[i];
            *now = floor.held(&stock, h, *before, is_on);
        }
        let floor_m3 = self.drawn_held[i].1.floor_m3;
        ((start[v] - floor_m3) / h + arrives).max(0.0)
    }

    fn overflow_of(&self, v: VesselId) -> f64 {
        let mine = self.stand.overflow[v.index()];
        mine.map_or(0.0, |t| self.flows.transfer_m3_per_s[t.index()])
    }

    /// Pumped streams that no level regulates take no more than is there.
    pub(super) fn limit_drawn(&mut self, world: &World, h: f64, start: &[f64]) -> f64 {
        let mut moved = 0.0_f64;
        for i in 0..self.stand.drawn.len() {
            let drawn = self.stand.drawn[i];
            if self.is_level_held(drawn.transfer) {
                continue;
            }
            let own = self.flows.transfer_m3_per_s[drawn.transfer.index()];
            let most = self.available(world, i, (own, own), h, start);
            if own > most {
                moved = moved.max(self.replace(drawn.transfer, most, h));
            }
        }
        moved
    }

    /// Pumps and valves hold the middles of their level bands as far as capacity and water allow.
    pub(super) fn hold_levels(&mut self, world: &World, h: f64, start: &[f64]) -> f64 {
        let plant = Arc::clone(&self.plant);
        let mut moved = 0.0_f64;
        for i in 0..self.stand.levels.len() {
            let level = &self.stand.levels[i];
            let (v, count, upper_m3) = (level.vessel, level.transfers.len(), level.upper_m3);
            let Some(target) = level.target_m3(world) else {
                continue;
            };
            for k in 0..count {
                let (t, fills) = self.stand.levels[i].transfers[k];
                let device = self.stand.levels[i].device;
                let transfer = &plant.network().transfers[t.index()];
                let flow_m3_per_s = match transfer.law {
                    Law::Fixed { flow_m3_per_s } => flow_m3_per_s,
                    Law::Matched { .. } => {
                        moved = moved.max(self.hold_matched((t, v), target, h, start));
                        continue;
                    }
                    _ => continue,
                };
                let hours = transfer
                    .gate
                    .calendar
                    .map_or(1.0, |c| world.setting.open[c.index()]);
                let capacity = flow_m3_per_s * self.base[device.index()] * hours;
                let own = self.held[t.index()];
                let others = self.flows.net_m3_per_s[v.index()] - if fills { own } else { -own };
                let gap = (target - start[v.index()]) / h - others;
                let wanted = if fills { gap } else { -gap };
                let mut flow = wanted.max(0.0).min(capacity);
                if let Some(d) = self.stand.drawn.iter().position(|d| d.transfer == t) {
                    let most = self.available(world, d, (own, capacity), h, start);
                    let end_m3 = start[v.index()] + h * (others + flow.min(most));
                    self.empties_later(d, flow < most, upper_m3 - end_m3);
                    flow = flow.min(most);
                }
                self.held[t.index()] = flow;
                moved = moved.max(self.replace(t, flow, h));
            }
        }
        moved
    }

    /// A matched feed is shut off for the share of time that keeps the tank it comes to at the middle of its band.
    fn hold_matched(
        &mut self,
        (t, v): (TransferId, VesselId),
        target: f64,
        h: f64,
        start: &[f64],
    ) -> f64 {
        let own = self.flows.transfer_m3_per_s[t.index()];
        let share = self.matched_share[t.index()];
        if share > 1e-9 {
            self.held[t.index()] = own / share;
        }
        let natural = self.held[t.index()];
        let others = self.flows.net_m3_per_s[v.index()] - own;
        let wanted = ((target - start[v.index()]) / h - others)
            .max(0.0)
            .min(natural);
        self.matched_share[t.index()] = if natural > 0.0 { wanted / natural } else { 1.0 };
        self.replace(t, wanted, h)
    }

    /// A pump whose turn a level ends, while there is water, draws the rest of it as soon as the level calls again.
    fn empties_later(&mut self, d: usize, is_held: bool, room_m3: f64) {
        let Some(permit) = self.stand.drawn[d].floor.permit else {
            return;
        };
        let half_band_m3 = 0.5 * (permit.high_m3 - permit.low_m3);
        if is_held || room_m3 < half_band_m3 {
            self.drawn_held[d].1.rest_m3 = Some(permit.low_m3);
        }
    }

    /// What pumps whose relays take turns bring a vessel at a time, and whether others bring it what they find in a store.
    fn batches(&self, v: VesselId) -> (Option<Batches>, bool) {
        let (mut largest, mut is_passing) = (None::<Batches>, false);
        for (drawn, held) in self.stand.drawn.iter().zip(&self.drawn_held) {
            let transfer = &self.plant.network().transfers[drawn.transfer.index()];
            let flow_m3_per_s = self.flows.transfer_m3_per_s[drawn.transfer.index()];
            let (
                Some(permit),
                Law::Fixed {
                    flow_m3_per_s: full,
                },
            ) = (drawn.floor.permit, &transfer.law)
            else {
                continue;
            };
            if transfer.to != End::Vessel(v) || flow_m3_per_s <= 0.0 {
                continue;
            }
            if !held.1.takes_turns {
                is_passing = true;
                continue;
            }
            // What comes while the pump runs goes with it.
            let each_m3 = (permit.high_m3 - permit.low_m3) / (1.0 - flow_m3_per_s / full).max(0.1);
            if largest.is_none_or(|l| l.each_m3 < each_m3) {
                largest = Some(Batches {
                    each_m3,
                    flow_m3_per_s,
                });
            }
        }
        (largest, is_passing)
    }

    /// Towers work the share of time for which their vessel has water above its floor.
    pub(super) fn rest_towers(&mut self, world: &World, h: f64, start: &[f64]) -> f64 {
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
            if share > 1e-12 {
                self.towers_m3_per_s[i] = full;
            }
            let others = self.flows.net_m3_per_s[v.index()] + taken;
            if self.sweep < FLOORS_DECIDED {
                let is_on = |r: RelayId| world.relays[r.index()].on;
                let rest = &self.stand.rests[i];
                let by_hand = |t: &TowerId| draws_by_hand(&plant, world, *t);
                // A tank that one of its towers empties by hand has nothing left for the others, which rest by their permit meanwhile.
                let floor = if rest.towers.iter().any(by_hand) {
                    rest.floor_by_hand
                } else {
                    rest.floor
                };
                let (batches, is_passing) = self.batches(v);
                let stock = Stock {
                    start_m3: start[v.index()],
                    arrives_m3_per_s: others,
                    full_m3_per_s: self.towers_m3_per_s[i],
                    batches,
                    is_passing,
                };
                let (before, now) = &mut self.rests_held[i];
                *now = floor.held(&stock, h, *before, is_on);
            }
            let floor_m3 = self.rests_held[i].1.floor_m3;
            let room = (start[v.index()] - floor_m3) / h + others;
            let known = self.towers_m3_per_s[i];
            let next = if share <= 1e-12 && known > 0.0 {
                (room / known).clamp(0.0, 1.0)
            } else if share <= 1e-12 {
                // Nothing is known of the full rate yet: try when water has come.
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
}

/// Whether a tower empties its tank by hand. Its pump needs the blower, so that one whose blower is automatic rests when the blower does.
pub(super) fn draws_by_hand(plant: &Plant, world: &World, t: TowerId) -> bool {
    let unit = &plant.network().towers[t.index()];
    world.by_hand[unit.pump.index()] && world.by_hand[unit.blower.index()]
}
