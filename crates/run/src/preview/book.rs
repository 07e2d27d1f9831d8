//! The linear solve of a step: all contents move with the planned flows, and every way across the boundary is booked.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::balance::Fault;
use dragback_plant::ids::{
    DeviceId, HeatId, SoluteId, SourceId, SupplyId, TowerId, TransferId, VesselId,
};
use dragback_plant::layout::Layout;
use dragback_plant::network::{End, Pace};
use dragback_plant::water;

use super::Preview;
use crate::error::RunError;
use crate::world::World;

impl Preview {
    /// Moves all contents with the planned flows, and books them.
    pub(super) fn solve(&mut self, world: &mut World, h: f64) -> Result<(), RunError> {
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
        // First, so that sources see what is left and take no more.
        self.book_early(&plant, world);
        self.purify_early(&plant, &mut world.y, h);
        self.book_entering(&plant, world, h);
        self.matrix.solve(&mut world.y[..states], len);
        if let Some(passengers) = &mut self.passengers {
            passengers.carry(&self.early, &self.matrix);
        }
        if !self.stand.removals.is_empty() {
            self.purify(&plant, &mut world.y, h);
        }
        self.book_carried(&plant, world, h);
        Ok(())
    }

    /// Finds how far the stream out of each vessel takes the strength of the step's end rather than of its beginning.
    ///
    /// A tank alone that loses the share `z` of its volume in a step falls by `exp(−z)` when the end counts `1/(1 − exp(−z)) − 1/z`: half for a
    /// short step, all for a long one. The rest, at the beginning's strength, never takes more than is there, so nothing turns negative.
    pub(super) fn weigh_ends(&mut self, h: f64, start: &[f64], end: impl Fn(&Self, usize) -> f64) {
        for v in 0..start.len() {
            let streams = self.stand.leaving[v].iter();
            let mut flow: f64 = streams
                .map(|t| self.flows.transfer_m3_per_s[t.index()])
                .sum();
            for t in &self.stand.towers_of[v] {
                flow += self.flows.droplets_m3_per_s[t.index()];
            }
            let least = 1.0e-6 * self.plant.network().vessels[v].full_m3;
            let volume = start[v].min(end(self, v)).max(least);
            self.washed[v] = h * flow / volume;
            self.end_weight[v] = end_weight(self.washed[v]);
        }
    }

    /// Share of a vessel's content at the step's end that a stream takes.
    fn share_of(&self, source: VesselId, flow: f64, h: f64) -> f64 {
        let v = source.index();
        self.end_weight[v] * h * flow / self.volume_end[v]
    }

    /// Share of a vessel's content at the step's beginning that a stream takes.
    fn early_share_of(&self, source: VesselId, flow: f64, h: f64) -> f64 {
        let v = source.index();
        (1.0 - self.end_weight[v]) * h * flow / self.now.volume_m3[v].max(1e-12)
    }

    fn fill_matrix(&mut self, plant: &Plant, h: f64) {
        self.matrix.reset();
        self.early.clear();
        for (i, t) in plant.network().transfers.iter().enumerate() {
            let flow = self.flows.transfer_m3_per_s[i];
            if let (End::Vessel(v), true) = (t.from, flow != 0.0) {
                let to = match t.to {
                    End::Vessel(to) => Some(to.index()),
                    _ => None,
                };
                let share = self.share_of(v, flow, h);
                let early = self.early_share_of(v, flow, h);
                let lost = plant.lost_share(TransferId(i));
                self.early.push(Early {
                    from: v.index(),
                    to,
                    share: early,
                    lost,
                    by: Carrier::Stream(TransferId(i)),
                });
                self.matrix.carry(v.index(), to, (1.0 - lost) * share);
                if lost > 0.0 {
                    self.matrix.carry(v.index(), None, lost * share);
                }
            }
        }
        for (i, unit) in plant.network().towers.iter().enumerate() {
            let share = self.share_of(unit.vessel, self.flows.droplets_m3_per_s[i], h);
            self.matrix.carry(unit.vessel.index(), None, share);
            let early = self.early_share_of(unit.vessel, self.flows.droplets_m3_per_s[i], h);
            if early > 0.0 {
                self.early.push(Early {
                    from: unit.vessel.index(),
                    to: None,
                    share: early,
                    lost: 0.0,
                    by: Carrier::Droplets(TowerId(i)),
                });
            }
        }
    }

    /// What streams take at the strength of the step's beginning.
    fn book_early(&self, plant: &Plant, world: &mut World) {
        let layout = plant.layout();
        let net = plant.network();
        let len = layout.block_len();
        for e in &self.early {
            let from = layout.vessel(VesselId(e.from));
            let (to, meter) = match e.by {
                Carrier::Stream(t) => {
                    let to = match net.transfers[t.index()].to {
                        End::Vessel(v) => layout.vessel(v),
                        End::Account(a) | End::Supply(_, a) => layout.account(a),
                    };
                    (to, layout.meter(t))
                }
                Carrier::Droplets(t) => (layout.account(net.towers[t.index()].stack_account), None),
            };
            for j in 0..len {
                let x = e.share * self.before[from + j];
                // Several streams together take all there is in a long step; rounding must not make it more.
                let x = if j == Layout::ENTHALPY {
                    x
                } else {
                    x.min(world.y[from + j].max(0.0))
                };
                world.y[from + j] -= x;
                world.y[to + j] += (1.0 - e.lost) * x;
                if let Some(meter) = meter {
                    world.y[meter + j] += x;
                }
            }
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
            let sign = plant.sign(Fault::FlipTowerHeat(TowerId(i)));
            move_heat(y, v, a, (heat_j, sign));
            y[layout.tower_water(TowerId(i))] += water_kg;
            y[layout.tower_heat(TowerId(i))] += heat_j;
        }
        for v in 0..net.vessels.len() {
            let start = layout.vessel(VesselId(v));
            let water_kg = h * self.flows.surface_kg_per_s[v];
            let air = layout.account(net.surface_account);
            move_one(y, start, air, Layout::WATER, water_kg);
            let carried = water_kg * water::enthalpy_vapour_j_per_kg(self.now.temp_c[v]);
            let sign = plant.sign(Fault::FlipVapourHeat(VesselId(v)));
            move_heat(y, start, air, (carried, sign));
            let losses = layout.account(net.loss_account);
            let sign = plant.sign(Fault::FlipLoss(VesselId(v)));
            move_heat(y, start, losses, (h * self.flows.loss_w[v], sign));
            y[layout.surface_water(VesselId(v))] += water_kg;
        }
        // What is brought in a step may be taken in it: anodes feed the deposit.
        for brings in [true, false] {
            for s in 0..net.sources.len() {
                self.book_source(plant, y, (SourceId(s), brings), h);
            }
        }
        for (i, heat) in net.heats.iter().enumerate() {
            let joules = h * self.flows.heat_w[i];
            y[layout.account(heat.account) + Layout::ENTHALPY] -= joules;
            let sign = plant.sign(Fault::FlipHeat(HeatId(i)));
            y[layout.vessel(heat.vessel) + Layout::ENTHALPY] += sign * joules;
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
        let (meter, lost) = (layout.meter(t), plant.lost_share(t));
        for (j, amount) in plant.supply_per_m3(s).iter().enumerate() {
            move_one(y, account, to, j, moved * amount);
            y[to + j] -= lost * moved * amount;
            if let Some(meter) = meter {
                y[meter + j] += moved * amount;
            }
        }
    }

    /// Water and what a source brings, or what it takes.
    fn book_source(&self, plant: &Plant, y: &mut [f64], (s, brings): (SourceId, bool), h: f64) {
        let factor = h * self.flows.source[s.index()];
        let source = &plant.network().sources[s.index()];
        if factor == 0.0 || source.pace == Pace::FirstOrder {
            return;
        }
        let layout = plant.layout();
        let (v, a) = (layout.vessel(source.vessel), layout.account(source.account));
        let temp = self.now.temp_c[source.vessel.index()];
        let water_kg = if brings {
            factor * source.water_kg
        } else {
            0.0
        };
        move_one(y, a, v, Layout::WATER, water_kg);
        let mut heat = water_kg * water::CP_WATER * temp;
        let all = source.solutes_kg.iter();
        for &(solute, rate) in all.filter(|x| (x.1 > 0.0) == brings) {
            let place = layout.solute(solute);
            let x = (factor * rate).max(-0.9 * y[v + place].max(0.0));
            move_one(y, a, v, place, x);
            heat += x * plant.network().solutes[solute.index()].heat_capacity_j_per_kg_k * temp;
        }
        move_one(y, a, v, Layout::ENTHALPY, heat);
    }

    /// How far a removal in proportion to content takes that of the step's end, as streams do (see [`Self::weigh_ends`]).
    fn removal_weight(&self, v: VesselId, share: f64) -> f64 {
        end_weight(self.washed[v.index()] + share)
    }

    /// What removals in proportion to content take of that of the step's beginning.
    fn purify_early(&mut self, plant: &Plant, y: &mut [f64], h: f64) {
        for i in 0..self.stand.removals.len() {
            let (s, solute, rate) = self.stand.removals[i];
            let source = &plant.network().sources[s.index()];
            let share = h * self.flows.source[s.index()] * rate;
            if share == 0.0 {
                continue;
            }
            let v = source.vessel;
            let share = (1.0 - self.removal_weight(v, share)) * share;
            let place = plant.layout().vessel(v) + plant.layout().solute(solute);
            let x = (share * self.before[place]).min(y[place].max(0.0));
            let cp = plant.network().solutes[solute.index()].heat_capacity_j_per_kg_k;
            let heat = x * cp * self.now.temp_c[v.index()];
            let account = plant.layout().account(source.account);
            move_one(y, place, account + plant.layout().solute(solute), 0, x);
            let enthalpy = plant.layout().vessel(v) + Layout::ENTHALPY;
            move_one(y, enthalpy, account + Layout::ENTHALPY, 0, heat);
            if let Some(passengers) = &mut self.passengers {
                passengers.purify_early(solute, v, share);
            }
        }
    }

    /// Takes out what removals in proportion to content remove, from the solved contents.
    ///
    /// With the columns that say where a unit in each vessel ends up, the answer is that of one solve with the removals in the matrix
    /// (Sherman and Morrison), so a state at rest is exact and nothing turns negative.
    fn purify(&mut self, plant: &Plant, y: &mut [f64], h: f64) {
        for s in 0..plant.network().solutes.len() {
            let solute = SoluteId(s);
            let removals = self.removals(plant, solute, h);
            let place = plant.layout().solute(solute);
            for removal in &removals {
                let v = removal.vessel.index();
                let held = y[plant.layout().vessel(removal.vessel) + place];
                let taken = removal.share * held / (1.0 + removal.share * removal.column[v]);
                for (u, part) in removal.column.iter().enumerate() {
                    y[plant.layout().vessel(VesselId(u)) + place] -= taken * part;
                }
                if let Some(passengers) = &mut self.passengers {
                    passengers.purify(solute, removal.vessel, removal.share, &removal.column);
                }
            }
            let cp = plant.network().solutes[s].heat_capacity_j_per_kg_k;
            for removal in &removals {
                let v = removal.vessel;
                let taken = removal.share * y[plant.layout().vessel(v) + place];
                let heat = taken * cp * self.now.temp_c[v.index()];
                for (u, part) in removal.plain.iter().enumerate() {
                    y[plant.layout().vessel(VesselId(u)) + Layout::ENTHALPY] -= heat * part;
                }
                y[removal.account + place] += taken;
                y[removal.account + Layout::ENTHALPY] += heat;
            }
        }
    }

    /// The removals of one solute in a step, each with its column after those before it.
    fn removals(&self, plant: &Plant, solute: SoluteId, h: f64) -> Vec<Removal> {
        let mut list: Vec<Removal> = Vec::new();
        for &(s, of, rate) in &self.stand.removals {
            let share = h * self.flows.source[s.index()] * rate;
            if of != solute || share == 0.0 {
                continue;
            }
            let source = &plant.network().sources[s.index()];
            let share = self.removal_weight(source.vessel, share) * share;
            let mut plain = vec![0.0; plant.network().vessels.len()];
            plain[source.vessel.index()] = 1.0;
            self.matrix.solve(&mut plain, 1);
            let mut column = plain.clone();
            for earlier in &list {
                let v = earlier.vessel.index();
                let scale = earlier.share * column[v] / (1.0 + earlier.share * earlier.column[v]);
                for (x, part) in column.iter_mut().zip(&earlier.column) {
                    *x -= scale * part;
                }
            }
            let account = plant.layout().account(source.account);
            list.push(Removal {
                vessel: source.vessel,
                share,
                plain,
                column,
                account,
            });
        }
        list
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
                End::Account(a) => Some((layout.account(a), 1.0 - plant.lost_share(TransferId(i)))),
                _ => None,
            };
            let meter = layout.meter(TransferId(i)).map(|meter| (meter, 1.0));
            for (to, part) in account.into_iter().chain(meter) {
                for j in 0..len {
                    let x = part * share * world.y[from + j];
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

/// A stream's share of its vessel's content at the beginning of a step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Early {
    pub from: usize,
    /// The vessel it goes to; none over the boundary.
    pub to: Option<usize>,
    pub share: f64,
    /// Part that a test makes vanish on the way.
    pub lost: f64,
    by: Carrier,
}

#[derive(Clone, Copy, Debug)]
enum Carrier {
    Stream(TransferId),
    Droplets(TowerId),
}

/// See [`Preview::weigh_ends`].
fn end_weight(z: f64) -> f64 {
    if z < 1e-3 {
        // The series, where the difference of two large numbers would be left.
        0.5 + z / 12.0
    } else {
        -1.0 / (-z).exp_m1() - 1.0 / z
    }
}

/// A removal in proportion to content within a step.
struct Removal {
    vessel: VesselId,
    /// Share of the content at the step's end.
    share: f64,
    /// Where a unit in the vessel ends up, without any removal and with those before this one.
    plain: Vec<f64>,
    column: Vec<f64>,
    account: usize,
}

#[inline]
fn move_one(y: &mut [f64], from: usize, to: usize, j: usize, x: f64) {
    y[from + j] -= x;
    y[to + j] += x;
}

/// Takes heat from one vessel to another place; a deliberate fault takes it with the wrong sign.
#[inline]
fn move_heat(y: &mut [f64], from: usize, to: usize, (joules, sign): (f64, f64)) {
    y[from + Layout::ENTHALPY] -= sign * joules;
    y[to + Layout::ENTHALPY] += joules;
}
