//! The one place where a balance is written: every flux leaves one block and enters another.

use dragback_properties::water;

use crate::flows::{Flows, Setting, gate};
use crate::holdup::Holdups;
use crate::ids::{AdditionId, DeviceId, HeatId, SourceId, SupplyId, TowerId, TransferId, VesselId};
use crate::layout::Layout;
use crate::network::{End, HeatLaw, Law, Pace};
use crate::plant::Plant;

/// A deliberate fault in the bookkeeping, so that tests can see the audit catch it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// A share of what a transfer carries never arrives.
    DropAtDestination(TransferId, f64),
    /// A heat flow is booked with the wrong sign in the vessel.
    FlipHeat(HeatId),
    /// The heat that a tower draws is booked with the wrong sign in its vessel.
    FlipTowerHeat(TowerId),
    /// The heat that vapour carries off a surface is booked with the wrong sign in the vessel.
    FlipVapourHeat(VesselId),
    /// The heat lost through walls and to the air over the surface is booked with the wrong sign in the vessel.
    FlipLoss(VesselId),
    /// The crystal water of an addition is not booked in the vessel.
    LoseCrystalWater(AdditionId),
}

/// Adds `amount` of every quantity of `from` to `to` and takes it from `from`, scaled; both are block starts.
#[inline]
fn carry(y: &[f64], dy: &mut [f64], from: usize, to: usize, len: usize, per_s: f64) {
    for j in 0..len {
        let x = per_s * y[from + j];
        dy[from + j] -= x;
        dy[to + j] += x;
    }
}

/// Time in which heaters and coolers bring a vessel back to their set point, s; an explicit step may take no more than twice that.
///
/// A cold batch is met that long before it has brought the vessel there, so it must not be long beside the minutes that a batch takes.
pub const HOLDS_S: f64 = 300.0;

impl Plant {
    /// Rates of change of the whole vector from the flows.
    ///
    /// `dy` is overwritten. Set-point-holding heats and the overflows of ideal weirs are found here, because they answer to everything else:
    /// a full tank also sheds what it gains by warming, and keeps what it loses by cooling.
    pub fn accumulate(
        &self,
        y: &[f64],
        now: &Holdups,
        flows: &mut Flows,
        set: &Setting,
        dy: &mut [f64],
    ) {
        dy.fill(0.0);
        for &t in self
            .plain_transfers()
            .iter()
            .chain(self.matched_transfers())
        {
            self.add_transfer(t, y, now, flows, dy);
        }
        for i in 0..self.network().towers.len() {
            self.add_tower(TowerId(i), y, now, flows, dy);
        }
        for i in 0..self.network().vessels.len() {
            self.add_surface(VesselId(i), now, flows, dy);
        }
        for i in 0..self.network().sources.len() {
            self.add_source(SourceId(i), y, now, flows, dy);
        }
        for &h in self.plain_heats() {
            self.add_heat(h, flows, dy);
        }
        for &t in self.overflows() {
            if let End::Vessel(v) = self.network().transfers[t.index()].from {
                // Heat first: what a tank sheds is as warm as the tank, so it changes the volume and not the temperature.
                self.add_holding_heats(Some(v), now, flows, set, dy);
                let by_head = flows.transfer_m3_per_s[t.index()];
                flows.transfer_m3_per_s[t.index()] =
                    self.overflow_m3_per_s(t, by_head, (y, dy), now, set);
                self.add_transfer(t, y, now, flows, dy);
            }
        }
        self.add_holding_heats(None, now, flows, set, dy);
        for (i, output) in set.outputs.iter().enumerate() {
            dy[self.layout().ran(DeviceId(i))] = *output;
        }
    }

    /// Adds the set-point-holding heats of one vessel, or with `None` those of all vessels that have no overflow.
    fn add_holding_heats(
        &self,
        of: Option<VesselId>,
        now: &Holdups,
        flows: &mut Flows,
        set: &Setting,
        dy: &mut [f64],
    ) {
        for &h in self.holding_heats() {
            let v = self.network().heats[h.index()].vessel;
            let is_wanted = of.map_or_else(|| !self.has_overflow(v), |wanted| wanted == v);
            if is_wanted {
                flows.heat_w[h.index()] = self.holding_power_w(h, now, set, dy);
                self.add_heat(h, flows, dy);
            }
        }
    }

    /// What an overflow sheds, m³/s: at an ideal weir everything that `dy` says its vessel would gain in volume, and nothing when that is not full; a sharp
    /// weir knows its flow from the head, which `by_head` holds.
    fn overflow_m3_per_s(
        &self,
        t: TransferId,
        by_head: f64,
        (y, dy): (&[f64], &[f64]),
        now: &Holdups,
        set: &Setting,
    ) -> f64 {
        let transfer = &self.network().transfers[t.index()];
        let (End::Vessel(v), Law::Overflow { weir_width_m }) = (transfer.from, &transfer.law)
        else {
            return 0.0;
        };
        if weir_width_m.is_some() && !set.ideal_weirs {
            return by_head;
        }
        if !set.full[v.index()] {
            return 0.0;
        }
        let over_m3 = now.volume_m3[v.index()] - self.network().vessels[v.index()].full_m3;
        (self.swelling_m3_per_s(v, y, now, dy) + over_m3 / set.relax_s).max(0.0)
    }

    /// Rate of change of a vessel's volume that the rates of its contents mean, m³/s: water and solutes at their volumes, and the
    /// expansion of the water held.
    fn swelling_m3_per_s(&self, v: VesselId, y: &[f64], now: &Holdups, dy: &[f64]) -> f64 {
        let start = self.layout().vessel(v);
        let block = &dy[start..start + self.layout().block_len()];
        let temp = now.temp_c[v.index()];
        let capacity_rate = self.weights().heat_of(block[Layout::WATER], &block[2..]);
        let warming_k_per_s = (block[Layout::ENTHALPY] - temp * capacity_rate)
            / now.heat_capacity_j_per_k[v.index()].max(1e-9);
        let (density, slope) = water::density_and_slope(temp);
        let thinning = y[start + Layout::WATER] * slope / density * warming_k_per_s;
        (block[Layout::WATER] - thinning) / density + self.weights().volume_of(&block[2..])
    }

    fn add_transfer(&self, t: TransferId, y: &[f64], now: &Holdups, flows: &Flows, dy: &mut [f64]) {
        let flow = flows.transfer_m3_per_s[t.index()];
        if flow == 0.0 {
            return;
        }
        let layout = self.layout();
        let len = layout.block_len();
        let transfer = &self.network().transfers[t.index()];
        let to = match transfer.to {
            End::Vessel(v) => layout.vessel(v),
            End::Account(a) | End::Supply(_, a) => layout.account(a),
        };
        dy[layout.moved(t)] += flow;
        match transfer.from {
            End::Vessel(v) => {
                let from = layout.vessel(v);
                let per_s = flow / now.volume_m3[v.index()];
                carry(y, dy, from, to, len, per_s);
                if let Some(meter) = layout.meter(t) {
                    for j in 0..len {
                        dy[meter + j] += per_s * y[from + j];
                    }
                }
                if let Some(Fault::DropAtDestination(f, share)) = self.fault()
                    && f == t
                {
                    for j in 0..len {
                        dy[to + j] -= share * per_s * y[from + j];
                    }
                }
            }
            End::Supply(s, a) => {
                let from = layout.account(a);
                for (j, amount) in self.supply_block(s).iter().enumerate() {
                    let x = flow * amount;
                    dy[from + j] -= x;
                    dy[to + j] += x;
                    if let Some(meter) = layout.meter(t) {
                        dy[meter + j] += x;
                    }
                    if let Some(Fault::DropAtDestination(f, share)) = self.fault()
                        && f == t
                    {
                        dy[to + j] -= share * x;
                    }
                }
            }
            End::Account(_) => {}
        }
    }

    fn add_tower(&self, t: TowerId, y: &[f64], now: &Holdups, flows: &Flows, dy: &mut [f64]) {
        let layout = self.layout();
        let unit = &self.network().towers[t.index()];
        let vessel = layout.vessel(unit.vessel);
        let air = layout.account(unit.air_account);
        let (kg_per_s, heat_w) = (flows.tower_kg_per_s[t.index()], flows.tower_w[t.index()]);
        dy[vessel + Layout::WATER] -= kg_per_s;
        dy[air + Layout::WATER] += kg_per_s;
        dy[vessel + Layout::ENTHALPY] -= self.sign(Fault::FlipTowerHeat(t)) * heat_w;
        dy[air + Layout::ENTHALPY] += heat_w;
        dy[layout.tower_water(t)] += kg_per_s;
        dy[layout.tower_heat(t)] += heat_w;
        let droplets = flows.droplets_m3_per_s[t.index()];
        if droplets > 0.0 {
            let per_s = droplets / now.volume_m3[unit.vessel.index()];
            carry(
                y,
                dy,
                vessel,
                layout.account(unit.stack_account),
                layout.block_len(),
                per_s,
            );
        }
    }

    fn add_surface(&self, v: VesselId, now: &Holdups, flows: &Flows, dy: &mut [f64]) {
        let layout = self.layout();
        let vessel = layout.vessel(v);
        let kg_per_s = flows.surface_kg_per_s[v.index()];
        if kg_per_s != 0.0 {
            let air = layout.account(self.network().surface_account);
            let carried_w = kg_per_s * water::enthalpy_vapour_j_per_kg(now.temp_c[v.index()]);
            dy[vessel + Layout::WATER] -= kg_per_s;
            dy[air + Layout::WATER] += kg_per_s;
            dy[vessel + Layout::ENTHALPY] -= self.sign(Fault::FlipVapourHeat(v)) * carried_w;
            dy[air + Layout::ENTHALPY] += carried_w;
            dy[layout.surface_water(v)] += kg_per_s;
        }
        let loss_w = flows.loss_w[v.index()];
        dy[vessel + Layout::ENTHALPY] -= self.sign(Fault::FlipLoss(v)) * loss_w;
        dy[layout.account(self.network().loss_account) + Layout::ENTHALPY] += loss_w;
    }

    fn add_source(&self, s: SourceId, y: &[f64], now: &Holdups, flows: &Flows, dy: &mut [f64]) {
        let factor = flows.source[s.index()];
        if factor == 0.0 {
            return;
        }
        let layout = self.layout();
        let source = &self.network().sources[s.index()];
        let vessel = layout.vessel(source.vessel);
        let account = layout.account(source.account);
        let mut book = |j: usize, x: f64| {
            dy[vessel + j] += x;
            dy[account + j] -= x;
        };
        let temp = now.temp_c[source.vessel.index()];
        let mut water_kg_per_s = factor * source.water_kg;
        if water_kg_per_s < 0.0 {
            // A tank that runs dry gives no more.
            water_kg_per_s *= now.wet[source.vessel.index()];
        }
        book(Layout::WATER, water_kg_per_s);
        let mut enthalpy_w = water_kg_per_s * water::CP_WATER * temp;
        for &(solute, rate) in &source.solutes_kg {
            let held = y[vessel + layout.solute(solute)];
            let x = match source.pace {
                Pace::FirstOrder => -factor * rate.abs() * held,
                _ if rate < 0.0 => factor * rate * self.scarcity(source.vessel, held),
                _ => factor * rate,
            };
            book(layout.solute(solute), x);
            enthalpy_w +=
                x * self.network().solutes[solute.index()].heat_capacity_j_per_kg_k * temp;
        }
        book(Layout::ENTHALPY, enthalpy_w);
    }

    /// Share of a withdrawal that a nearly spent solute still allows: falls to nothing below 1 mg/L of the full vessel.
    pub(crate) fn scarcity(&self, v: VesselId, held_kg: f64) -> f64 {
        let enough = 1.0e-3 * self.network().vessels[v.index()].full_m3;
        (held_kg / enough).clamp(0.0, 1.0)
    }

    fn add_heat(&self, h: HeatId, flows: &Flows, dy: &mut [f64]) {
        let layout = self.layout();
        let heat = &self.network().heats[h.index()];
        let power_w = flows.heat_w[h.index()];
        dy[layout.vessel(heat.vessel) + Layout::ENTHALPY] +=
            self.sign(Fault::FlipHeat(h)) * power_w;
        dy[layout.account(heat.account) + Layout::ENTHALPY] -= power_w;
        dy[layout.delivered(h)] += power_w;
    }

    /// Power that keeps a vessel at its set point against everything in `dy`, within the capacity, W: the part of the need that a heater can
    /// give, or a cooler take. A heater that is run by hand gives all it has.
    ///
    /// Where a vessel has both, what the one has booked stands in `dy` when the other is asked, so they never work against each other.
    fn holding_power_w(&self, h: HeatId, now: &Holdups, set: &Setting, dy: &[f64]) -> f64 {
        let heat = &self.network().heats[h.index()];
        let (set_c, power_w) = match heat.law {
            HeatLaw::Hold { set_c, power_w } => (set_c, power_w),
            HeatLaw::Cool { set_c, power_w } => (set_c, -power_w),
            _ => return 0.0,
        };
        let v = heat.vessel;
        let block = &dy[self.layout().vessel(v)..][..self.layout().block_len()];
        let temp = now.temp_c[v.index()];
        let capacity_rate = self.weights().heat_of(block[Layout::WATER], &block[2..]);
        let rest_w = block[Layout::ENTHALPY] - temp * capacity_rate;
        let pull_w =
            now.heat_capacity_j_per_k[v.index()] * (set_c - temp) / set.relax_s.min(HOLDS_S);
        let most_w = power_w * gate(set, heat.gate) * now.wet[v.index()];
        let is_by_hand = |d: DeviceId| set.by_hand.get(d.index()).is_some_and(|by_hand| *by_hand);
        if heat.gate.device.is_some_and(is_by_hand) {
            return most_w;
        }
        (pull_w - rest_w).max(most_w.min(0.0)).min(most_w.max(0.0))
    }

    /// Books an addition of salt into the vector at once; returns the mass of salt, kg.
    ///
    /// An analysis adds up to the target, and nothing while the solute stands above its dead band. On average (`held_steady`) the strength is
    /// kept at the middle of the dead band.
    pub fn add_salt(&self, a: AdditionId, y: &mut [f64], held_steady: bool) -> f64 {
        let layout = self.layout();
        let addition = &self.network().additions[a.index()];
        let start = layout.vessel(addition.vessel);
        let (volume, temp, _) = self.weights().derive(&y[start..start + layout.block_len()]);
        let held = y[start + layout.solute(addition.solute)];
        let target = addition.target_kg_per_m3;
        let (least, goal) = if held_steady {
            (addition.mean_kg_per_m3(), addition.mean_kg_per_m3())
        } else {
            (target * (1.0 - addition.dead_band), target)
        };
        if held >= least * volume {
            return 0.0;
        }
        let yield_ = addition
            .yields
            .iter()
            .find(|(s, _)| *s == addition.solute)
            .map_or(0.0, |y| y.1);
        if yield_ <= 0.0 {
            return 0.0;
        }
        let swell = self.addition_volume_m3_per_kg(a, temp);
        let salt = (goal * volume - held) / (yield_ - goal * swell).max(1e-3 * yield_);
        self.book_salt(a, y, salt);
        salt
    }

    /// Books `salt` kg of an addition into the vector, at the temperature of the vessel's room.
    pub fn book_salt(&self, a: AdditionId, y: &mut [f64], salt: f64) {
        let layout = self.layout();
        let addition = &self.network().additions[a.index()];
        let vessel = layout.vessel(addition.vessel);
        let account = layout.account(addition.account);
        let climate = self.network().vessels[addition.vessel.index()].climate;
        let temp = self.network().climates[climate.index()].mean().temp_c;
        let water_kg = salt * addition.crystal_water;
        let lost = self.fault() == Some(Fault::LoseCrystalWater(a));
        y[vessel + Layout::WATER] += if lost { 0.0 } else { water_kg };
        y[account + Layout::WATER] -= water_kg;
        let mut heat = water_kg * water::CP_WATER;
        for &(solute, share) in &addition.yields {
            let x = salt * share;
            y[vessel + layout.solute(solute)] += x;
            y[account + layout.solute(solute)] -= x;
            heat += x * self.network().solutes[solute.index()].heat_capacity_j_per_kg_k;
        }
        y[vessel + Layout::ENTHALPY] += heat * temp;
        y[account + Layout::ENTHALPY] -= heat * temp;
    }

    /// Takes a share of a vessel out at once and books it.
    pub fn dump(&self, v: VesselId, share: f64, account: crate::ids::AccountId, y: &mut [f64]) {
        let (from, to) = (self.layout().vessel(v), self.layout().account(account));
        for j in 0..self.layout().block_len() {
            let x = share.clamp(0.0, 1.0) * y[from + j];
            y[from + j] -= x;
            y[to + j] += x;
        }
    }

    /// A supply's block per m³: water, enthalpy, solutes.
    pub(crate) fn supply_block(&self, s: SupplyId) -> &[f64] {
        &self.supply_blocks()[s.index()]
    }
}
