//! Every rate of the plant at one moment: the only place where they are computed.
//!
//! Both drivers call this. The exact driver gives device outputs of 0 or 1, the averaged one any share between.

use dragback_properties::water;

use crate::calendar::Spell;
use crate::holdup::{DRY, Holdups};
use crate::ids::{TowerId, TransferId, VesselId};
use crate::network::{End, Gate, HeatLaw, Law, Pace};
use crate::plant::Plant;

/// What decides the rates besides the holdups.
#[derive(Clone, Debug, Default)]
pub struct Setting {
    /// Slot of the air in force (see [`crate::climate::AirChoice::slot`]).
    pub air_slot: usize,
    /// Output of each device, 0 to 1.
    pub outputs: Vec<f64>,
    /// What each device whose output falls across a band of temperature gives below it, 0 to 1.
    pub below_band: Vec<f64>,
    /// Devices that are run by hand: no set point and no band of temperature throttles them.
    pub by_hand: Vec<bool>,
    /// How far each calendar is open: 0 or 1, or its share of the week in a week-mean state.
    pub open: Vec<f64>,
    /// In a week-mean state, which calendars are open together and for how long; else empty.
    pub spells: Vec<Spell>,
    /// Whether each supply runs.
    pub supplied: Vec<bool>,
    /// Whether each vessel stands at its weir and sheds what it receives.
    pub full: Vec<bool>,
    /// Sharp weirs are taken as ideal ones (averaged driver: their head settles within minutes).
    pub ideal_weirs: bool,
    /// Time in which a full vessel returns to its weir, s; at least 60 s, or the step when that is longer. It only corrects drift: the overflow of a
    /// settled vessel does not depend on it.
    pub relax_s: f64,
}

impl Setting {
    /// What follows from the open calendars; in a week-mean state its mean over the spells of the week.
    pub fn mean_over_spells(&self, share: impl Fn(&[f64]) -> f64) -> f64 {
        if self.spells.is_empty() {
            return share(&self.open);
        }
        let each = self.spells.iter();
        each.map(|spell| spell.share * share(&spell.open)).sum()
    }

    /// Sets the outputs by `set`; in a week-mean state to their means over the spells of the week.
    pub fn set_outputs_by(&mut self, mut set: impl FnMut(&mut Self)) {
        if self.spells.is_empty() {
            set(self);
            return;
        }
        let spells = std::mem::take(&mut self.spells);
        let open = std::mem::take(&mut self.open);
        let mut means = vec![0.0; self.outputs.len()];
        for spell in &spells {
            self.open.clone_from(&spell.open);
            set(self);
            for (mean, output) in means.iter_mut().zip(&self.outputs) {
                *mean += spell.share * output;
            }
        }
        (self.spells, self.open, self.outputs) = (spells, open, means);
    }
}

/// Rates at one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flows {
    /// Volume flow of each transfer, m³/s.
    pub transfer_m3_per_s: Vec<f64>,
    /// Water evaporated by each tower, kg/s.
    pub tower_kg_per_s: Vec<f64>,
    /// Heat drawn from the solution by each tower, W.
    pub tower_w: Vec<f64>,
    /// Droplets lost by each tower, m³/s.
    pub droplets_m3_per_s: Vec<f64>,
    /// Water evaporated from each vessel's surface, kg/s.
    pub surface_kg_per_s: Vec<f64>,
    /// Heat that each vessel loses without evaporation (convection, radiation, walls), W.
    pub loss_w: Vec<f64>,
    /// Each heat flow into its vessel, W; those that hold a set point are found in the balance.
    pub heat_w: Vec<f64>,
    /// Factor on each source.
    pub source: Vec<f64>,
    /// Net volume flow into each vessel, m³/s, overflow included.
    pub net_m3_per_s: Vec<f64>,
}

/// What a square metre of an open surface loses.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SurfaceLoss {
    /// Water, kg/(m²·s).
    pub water_kg_per_m2_s: f64,
    /// Heat without evaporation, W/m².
    pub heat_w_per_m2: f64,
}

impl SurfaceLoss {
    /// The loss of a vessel at a temperature (°C) and a water activity.
    #[must_use]
    pub fn of(plant: &Plant, v: VesselId, temp_c: f64, activity: f64, air_slot: usize) -> Self {
        let flux = plant.air_over(v, air_slot).open_surface(temp_c, activity);
        Self {
            water_kg_per_m2_s: flux.evaporation_kg_per_m2_s,
            heat_w_per_m2: flux.convection_w_per_m2 + flux.radiation_w_per_m2,
        }
    }
}

impl Flows {
    /// Room for the flows of a plant, all zero.
    #[must_use]
    pub fn sized(plant: &Plant) -> Self {
        let net = plant.network();
        Self {
            transfer_m3_per_s: vec![0.0; net.transfers.len()],
            tower_kg_per_s: vec![0.0; net.towers.len()],
            tower_w: vec![0.0; net.towers.len()],
            droplets_m3_per_s: vec![0.0; net.towers.len()],
            surface_kg_per_s: vec![0.0; net.vessels.len()],
            loss_w: vec![0.0; net.vessels.len()],
            heat_w: vec![0.0; net.heats.len()],
            source: vec![0.0; net.sources.len()],
            net_m3_per_s: vec![0.0; net.vessels.len()],
        }
    }

    /// Computes every rate.
    pub fn evaluate(&mut self, plant: &Plant, now: &Holdups, set: &Setting) {
        self.evaluate_losses(plant, now, set);
        self.evaluate_heats(plant, now, set);
        for &t in plant.plain_transfers() {
            let flow = plain_flow(plant, now, set, t);
            self.assign(plant, t, flow);
        }
        self.evaluate_dependent(plant, now, set);
    }

    /// Evaporation, surface losses and sources; starts the net volume flows afresh.
    pub fn evaluate_losses(&mut self, plant: &Plant, now: &Holdups, set: &Setting) {
        self.evaluate_losses_by(plant, now, set, |v, temp_c, activity| {
            SurfaceLoss::of(plant, v, temp_c, activity, set.air_slot)
        });
    }

    /// The same with a rule of the caller's for what a square metre of surface loses.
    pub fn evaluate_losses_by(
        &mut self,
        plant: &Plant,
        now: &Holdups,
        set: &Setting,
        surface: impl FnMut(VesselId, f64, f64) -> SurfaceLoss,
    ) {
        self.net_m3_per_s.fill(0.0);
        self.evaluate_towers(plant, now, set);
        self.evaluate_surfaces(plant, now, set, surface);
        self.evaluate_sources(plant, now, set);
    }

    /// Flows that depend on others: matched feeds, then overflows from the top down.
    pub fn evaluate_dependent(&mut self, plant: &Plant, now: &Holdups, set: &Setting) {
        for &t in plant.matched_transfers() {
            let flow = self.matched_flow(plant, now, set, t);
            self.assign(plant, t, flow);
        }
        for &t in plant.overflows() {
            let flow = self.overflow(plant, now, set, t);
            self.assign(plant, t, flow);
        }
    }

    /// Sets a transfer's flow and books it in the net volume flows.
    pub fn assign(&mut self, plant: &Plant, t: TransferId, flow: f64) {
        self.transfer_m3_per_s[t.index()] = flow;
        let transfer = &plant.network().transfers[t.index()];
        if let End::Vessel(v) = transfer.from {
            self.net_m3_per_s[v.index()] -= flow;
        }
        if let End::Vessel(v) = transfer.to {
            self.net_m3_per_s[v.index()] += flow;
        }
    }

    fn evaluate_towers(&mut self, plant: &Plant, now: &Holdups, set: &Setting) {
        for (i, unit) in plant.network().towers.iter().enumerate() {
            let v = unit.vessel.index();
            let vessel = &plant.network().vessels[v];
            let blower = set.outputs[unit.blower.index()];
            let pump = set.outputs[unit.pump.index()];
            let level = vessel.taper(now.volume_m3[v], vessel.dead_m3);
            let duty = blower.min(pump) * level.min(now.wet[v]);
            let (kg_per_s, heat_w) = if duty > 0.0 {
                // A table that cannot be built gives no number, which the driver reports by name.
                plant
                    .tower_table(TowerId(i), set.air_slot)
                    .map_or((f64::NAN, f64::NAN), |table| {
                        table.evaporation_and_heat(now.temp_c[v], now.activity[v])
                    })
            } else {
                (0.0, 0.0)
            };
            self.tower_kg_per_s[i] = duty * kg_per_s;
            self.tower_w[i] = duty * heat_w;
            self.droplets_m3_per_s[i] = duty * unit.carry_over * unit.feed_m3_per_s;
            self.net_m3_per_s[v] -= self.tower_kg_per_s[i]
                / water::density_kg_per_m3(now.temp_c[v])
                + self.droplets_m3_per_s[i];
        }
    }

    fn evaluate_surfaces(
        &mut self,
        plant: &Plant,
        now: &Holdups,
        set: &Setting,
        mut lost_by: impl FnMut(VesselId, f64, f64) -> SurfaceLoss,
    ) {
        for (i, vessel) in plant.network().vessels.iter().enumerate() {
            let temp = now.temp_c[i];
            let room = plant.room(vessel.climate, set.air_slot);
            let wet = now.wet[i];
            let mut loss = wet * vessel.wall_w_per_k * (temp - room.temp_c);
            let mut water_kg_per_s = 0.0;
            if let Some(surface) = vessel.surface {
                let lost = lost_by(VesselId(i), temp, now.activity[i]);
                let area = surface.area_m2 * wet;
                water_kg_per_s = area * lost.water_kg_per_m2_s;
                loss += area * lost.heat_w_per_m2;
            }
            self.surface_kg_per_s[i] = water_kg_per_s;
            self.loss_w[i] = loss;
            self.net_m3_per_s[i] -= water_kg_per_s / water::density_kg_per_m3(temp);
        }
    }

    /// Heat flows that depend on temperatures alone.
    pub fn evaluate_heats(&mut self, plant: &Plant, now: &Holdups, set: &Setting) {
        for (i, heat) in plant.network().heats.iter().enumerate() {
            // A dry vessel takes no heat.
            let wet = now.wet[heat.vessel.index()];
            let open = gate(set, heat.gate) * wet;
            let temp = now.temp_c[heat.vessel.index()];
            self.heat_w[i] = match &heat.law {
                HeatLaw::Power { power_w } => open * power_w,
                HeatLaw::Coil {
                    ua_w_per_k,
                    supply_c,
                    cap_w,
                } => open * (ua_w_per_k * (supply_c - temp)).max(0.0).min(*cap_w),
                HeatLaw::Hold { .. } | HeatLaw::Cool { .. } => 0.0,
                HeatLaw::Work {
                    work,
                    from,
                    heat_capacity_j_per_m2_k,
                } => {
                    let arrives_c = match from {
                        Some(v) => now.temp_c[v.index()],
                        None => {
                            let climate = plant.network().vessels[heat.vessel.index()].climate;
                            plant.room(climate, set.air_slot).temp_c
                        }
                    };
                    wet * plant.area_rate(set, *work)
                        * heat_capacity_j_per_m2_k
                        * (arrives_c - temp)
                }
            };
        }
    }

    fn evaluate_sources(&mut self, plant: &Plant, now: &Holdups, set: &Setting) {
        for (i, source) in plant.network().sources.iter().enumerate() {
            let pace = match source.pace {
                Pace::Steady | Pace::FirstOrder => 1.0,
                Pace::PerArea(work) => plant.area_rate(set, work),
            };
            let factor = gate(set, source.gate) * pace;
            self.source[i] = factor;
            let v = source.vessel.index();
            // Its water comes to the temperature of the vessel, and takes the room that it has there.
            let water_m3 = source.water_kg / water::density_kg_per_m3(now.temp_c[v]);
            self.net_m3_per_s[v] += factor * (plant.source_volume_m3(i) + water_m3);
        }
    }

    fn matched_flow(&self, plant: &Plant, now: &Holdups, set: &Setting, t: TransferId) -> f64 {
        let transfer = &plant.network().transfers[t.index()];
        let Law::Matched {
            max_m3_per_s,
            share,
            towers,
            surfaces,
            less,
            plus,
        } = &transfer.law
        else {
            return 0.0;
        };
        let evaporated_kg_per_s: f64 = towers
            .iter()
            .map(|w| self.tower_kg_per_s[w.index()])
            .chain(surfaces.iter().map(|v| self.surface_kg_per_s[v.index()]))
            .sum();
        // As many kilograms as evaporate: cold water takes less room than the hot water that it replaces.
        let fed_kg_per_m3 = match transfer.from {
            End::Supply(s, _) => plant.network().supplies[s.index()].water_kg_per_m3,
            End::Vessel(v) => water::density_kg_per_m3(now.temp_c[v.index()]),
            End::Account(_) => return 0.0,
        };
        let mut room = evaporated_kg_per_s / fed_kg_per_m3;
        for p in plus {
            room += self.transfer_m3_per_s[p.index()];
        }
        for l in less {
            room -= self.transfer_m3_per_s[l.index()];
        }
        gate(set, transfer.gate)
            * supplied(set, transfer.from)
            * (share * room).max(0.0).min(*max_m3_per_s)
    }

    fn overflow(&self, plant: &Plant, now: &Holdups, set: &Setting, t: TransferId) -> f64 {
        let transfer = &plant.network().transfers[t.index()];
        let (End::Vessel(v), Law::Overflow { weir_width_m }) = (transfer.from, &transfer.law)
        else {
            return 0.0;
        };
        let v = v.index();
        let vessel = &plant.network().vessels[v];
        let over_m3 = now.volume_m3[v] - vessel.full_m3;
        if let (Some(width_m), false) = (weir_width_m, set.ideal_weirs) {
            let head_m = over_m3 / vessel.shape.footprint_m2;
            return sharp_weir_m3_per_s(*width_m, head_m);
        }
        if !set.full[v] {
            return 0.0;
        }
        (self.net_m3_per_s[v] + over_m3 / set.relax_s).max(0.0)
    }
}

/// Flow over a sharp-crested weir, `⅔·C_d·b·√(2g)·h^1.5`, m³/s, for a width and a head in m; nothing at or below the crest.
///
/// Discharge coefficient 0.62 (textbook value for a thin plate, from memory).
#[must_use]
pub fn sharp_weir_m3_per_s(width_m: f64, head_m: f64) -> f64 {
    const DISCHARGE: f64 = 0.62;
    const GRAVITY: f64 = 9.806_65;
    if head_m <= 0.0 {
        return 0.0;
    }
    2.0 / 3.0 * DISCHARGE * width_m * (2.0 * GRAVITY).sqrt() * head_m * head_m.sqrt()
}

/// How far a gate is open, 0 to 1.
#[must_use]
pub(crate) fn gate(set: &Setting, gate: Gate) -> f64 {
    let hours = gate.calendar.map_or(1.0, |c| set.open[c.index()]);
    hours * gate.device.map_or(1.0, |d| set.outputs[d.index()])
}

fn supplied(set: &Setting, from: End) -> f64 {
    match from {
        End::Supply(s, _) if !set.supplied[s.index()] => 0.0,
        _ => 1.0,
    }
}

/// Flow of a transfer that depends on nothing but its own law, m³/s.
#[must_use]
pub fn plain_flow(plant: &Plant, now: &Holdups, set: &Setting, t: TransferId) -> f64 {
    let transfer = &plant.network().transfers[t.index()];
    let (rated, pumped) = match &transfer.law {
        Law::Fixed { flow_m3_per_s } => (*flow_m3_per_s, true),
        Law::Film { work, film_m } => (film_m * plant.area_rate(set, *work), false),
        Law::Overflow { .. } | Law::Matched { .. } => (0.0, false),
    };
    let open = gate(set, transfer.gate) * supplied(set, transfer.from);
    let from = match transfer.from {
        End::Vessel(v) => {
            let vessel = &plant.network().vessels[v.index()];
            let clinging = DRY * vessel.full_m3;
            let floor = if pumped {
                vessel.dead_m3.max(clinging)
            } else {
                clinging
            };
            vessel.taper(now.volume_m3[v.index()], floor)
        }
        _ => 1.0,
    };
    rated * open * from
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sharp_weir_follows_its_formula() {
        // Hand derivation: b = 0.3 m, h = 0.01 m: 2/3·0.62·0.3·√19.6133·0.001 = 5.4916e-4 m³/s.
        let flow = sharp_weir_m3_per_s(0.3, 0.01);
        assert!((flow - 5.491_6e-4).abs() < 1e-7, "{flow}");
        assert_eq!(sharp_weir_m3_per_s(0.3, -0.01), 0.0);
    }
}
