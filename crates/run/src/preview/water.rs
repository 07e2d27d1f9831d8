//! Water in a step: what it gains by warming, and how a tank runs dry.

use dragback_plant::Plant;
use dragback_plant::holdup::DRY;
use dragback_plant::ids::{TransferId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::network::End;
use dragback_plant::water;

use super::Preview;
use crate::world::World;

impl Preview {
    /// Adds to the net volume flows what each vessel gains as its water, and the water that arrives, comes to the vessel's end temperature, and takes off what
    /// removals in proportion to content make room for.
    pub(super) fn add_swelling(&mut self, y: &[f64], h: f64, start_c: &[f64]) {
        let layout = self.plant.layout();
        let net = self.plant.network();
        let water_kg = |v: usize| y[layout.vessel(VesselId(v)) + Layout::WATER];
        let room = |&temp_c: &f64| 1.0 / water::density_kg_per_m3(temp_c);
        if self.sweep == 0 {
            self.room_before.clear();
            self.room_before.extend(start_c.iter().map(room));
        }
        self.room_now.clear();
        self.room_now.extend(self.now.temp_c.iter().map(room));
        for v in 0..start_c.len() {
            let end = self.room_now[v];
            let mut swell = water_kg(v) * (end - self.room_before[v]) / h;
            for t in &self.stand.arriving[v] {
                let flow = self.flows.transfer_m3_per_s[t.index()];
                if flow == 0.0 {
                    continue;
                }
                let (kg_per_m3, before) = match net.transfers[t.index()].from {
                    End::Vessel(s) => {
                        let s = s.index();
                        (
                            water_kg(s) / self.now.volume_m3[s].max(1e-9),
                            self.room_now[s],
                        )
                    }
                    End::Supply(s, _) => {
                        let per_m3 = self.plant.supply_per_m3(s)[Layout::WATER];
                        (per_m3, room(&net.supplies[s.index()].temp_c))
                    }
                    End::Account(_) => continue,
                };
                swell += flow * kg_per_m3 * (end - before);
            }
            self.flows.net_m3_per_s[v] += swell;
        }
        // What removals in proportion to content take is known here alone.
        for &(source, solute, per_s) in &self.stand.removals {
            let v = net.sources[source.index()].vessel;
            let held_kg = y[layout.vessel(v) + layout.solute(solute)].max(0.0);
            let taken_kg_per_s = self.flows.source[source.index()] * per_s * held_kg;
            let room_m3_per_kg = net.solutes[solute.index()].apparent_volume_m3_per_kg;
            self.flows.net_m3_per_s[v.index()] -= taken_kg_per_s * room_m3_per_kg;
        }
    }

    /// Evaporation and sources take no more water from a vessel in a step than it holds and receives.
    pub(super) fn spare_water(&mut self, plant: &Plant, y: &[f64], h: f64) {
        let net = plant.network();
        for v in 0..net.vessels.len() {
            let towers = self.stand.towers_of[v].iter();
            let by_towers: f64 = towers.map(|t| self.flows.tower_kg_per_s[t.index()]).sum();
            let sources = self.stand.sources_of[v].iter();
            let by_sources: f64 = sources
                .map(|&s| (self.flows.source[s] * net.sources[s].water_kg).min(0.0))
                .sum();
            let taken = self.flows.surface_kg_per_s[v].max(0.0) + by_towers.max(0.0) - by_sources;
            let held = y[plant.layout().vessel(VesselId(v)) + Layout::WATER];
            let spare = held - DRY * 1000.0 * net.vessels[v].full_m3;
            if taken * h <= 0.5 * spare {
                continue;
            }
            let brought: f64 = self.stand.arriving[v]
                .iter()
                .map(|&t| self.brought_kg_per_s(t, y))
                .sum();
            let most = (0.9 * spare / h + brought).max(0.0);
            if taken > most {
                self.scale_taking(v, most / taken);
            }
        }
    }

    /// Water that a transfer brings, kg/s, at the strength of its source before the step.
    fn brought_kg_per_s(&self, t: TransferId, y: &[f64]) -> f64 {
        let per_m3 = match self.plant.network().transfers[t.index()].from {
            End::Vessel(s) => {
                let held = y[self.plant.layout().vessel(s) + Layout::WATER];
                held / self.now.volume_m3[s.index()].max(1e-9)
            }
            End::Supply(s, _) => self.plant.supply_per_m3(s)[Layout::WATER],
            End::Account(_) => 0.0,
        };
        self.flows.transfer_m3_per_s[t.index()] * per_m3
    }

    /// Evaporation and withdrawals of a vessel cut to a share.
    fn scale_taking(&mut self, v: usize, share: f64) {
        let net = self.plant.network();
        let density = water::density_kg_per_m3(self.now.temp_c[v]);
        let mut spared = (1.0 - share) * self.flows.surface_kg_per_s[v].max(0.0);
        if self.flows.surface_kg_per_s[v] > 0.0 {
            self.flows.surface_kg_per_s[v] *= share;
        }
        for t in &self.stand.towers_of[v] {
            let t = t.index();
            spared += (1.0 - share) * self.flows.tower_kg_per_s[t];
            self.flows.tower_kg_per_s[t] *= share;
            self.flows.tower_w[t] *= share;
            self.flows.droplets_m3_per_s[t] *= share;
        }
        for &s in &self.stand.sources_of[v] {
            if net.sources[s].water_kg < 0.0 {
                spared -= (1.0 - share) * self.flows.source[s] * net.sources[s].water_kg;
                self.flows.source[s] *= share;
            }
        }
        self.flows.net_m3_per_s[v] += spared / density;
    }

    /// A vessel whose contents cannot be, or whose temperature the sweeps did not find, and why.
    pub(super) fn unsound(&self, world: &World) -> Option<(usize, &'static str)> {
        let leaps = || {
            let v = self.restless.iter().position(|&restless| restless)?;
            Some((v, "its temperature leaps within seconds"))
        };
        // Where a vessel holds enough, the books agree with the plan, so that a glance at both is enough as a rule.
        const ENOUGH: f64 = 200.0;
        let (layout, net) = (self.plant.layout(), self.plant.network());
        let is_plain = self.now.temp_c.iter().enumerate().all(|(v, &temp_c)| {
            let water_kg = world.y[layout.vessel(VesselId(v)) + Layout::WATER];
            (0.0..90.0).contains(&temp_c)
                && (ENOUGH * net.vessels[v].full_m3..f64::INFINITY).contains(&water_kg)
        });
        let unsound = if is_plain { None } else { world.unsound() };
        unsound.or_else(leaps)
    }
}
