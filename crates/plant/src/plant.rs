//! A network that has been checked and prepared: orders, tables and layout are found once.

use std::sync::{Arc, Mutex, OnceLock};

use dragback_properties::air::AirState;
use dragback_properties::surface::RoomAir;
use dragback_properties::tower::{TableSpec, Tower, TowerError, TowerTable};
use dragback_properties::water;

use crate::balance::Fault;
use crate::check::{NetworkError, check};
use crate::climate::MEAN_SLOT;
use crate::control::DeviceKind;
use crate::flows::Setting;
use crate::holdup::Weights;
use crate::ids::{
    AdditionId, CalendarId, ClimateId, HeatId, SupplyId, TowerId, TransferId, VesselId, WorkId,
};
use crate::layout::Layout;
use crate::network::{End, HeatLaw, Law, Network, Pace};

/// Tables of towers already computed, shared between plants so that a lever that does not touch the tower costs nothing.
#[derive(Clone, Default)]
pub struct TowerCache(Arc<Mutex<Vec<CacheEntry>>>);

struct CacheEntry {
    tower: Arc<Tower>,
    air: AirState,
    table: Arc<TowerTable>,
}

/// Entries kept before the oldest is forgotten: two towers in thirteen airs, twice over.
const CACHE_LEN: usize = 52;

impl TowerCache {
    fn table(&self, tower: &Arc<Tower>, air: AirState) -> Result<Arc<TowerTable>, TowerError> {
        let found =
            |e: &&CacheEntry| e.air == air && (Arc::ptr_eq(&e.tower, tower) || *e.tower == **tower);
        let known = self
            .0
            .lock()
            .ok()
            .and_then(|list| list.iter().find(found).map(|e| e.table.clone()));
        if let Some(table) = known {
            return Ok(table);
        }
        let table = Arc::new(TowerTable::build_for(
            tower,
            &air,
            &TableSpec::normal(tower),
        )?);
        if let Ok(mut list) = self.0.lock() {
            if list.len() >= CACHE_LEN {
                list.remove(0);
            }
            list.push(CacheEntry {
                tower: tower.clone(),
                air,
                table: table.clone(),
            });
        }
        Ok(table)
    }
}

/// A tower's table, or why there is none.
type TriedTable = Result<Arc<TowerTable>, TowerError>;

/// A network ready to run.
pub struct Plant {
    net: Arc<Network>,
    layout: Layout,
    weights: Weights,
    supply_blocks: Vec<Vec<f64>>,
    source_volumes_m3: Vec<f64>,
    plain_transfers: Vec<TransferId>,
    matched_transfers: Vec<TransferId>,
    overflows: Vec<TransferId>,
    plain_heats: Vec<HeatId>,
    holding_heats: Vec<HeatId>,
    /// Air of each climate, slot by slot.
    rooms: Vec<Vec<AirState>>,
    /// Air over each vessel, slot by slot, prepared for the surface law.
    over: Vec<Vec<RoomAir>>,
    tables: Vec<Vec<OnceLock<TriedTable>>>,
    cache: TowerCache,
    /// Whether each vessel has an overflow, and whether that is a spill.
    overflowing: Vec<bool>,
    spilling: Vec<bool>,
    /// Vessels that something heats around the clock.
    kept_warm: Vec<bool>,
    fault: Option<Fault>,
}

impl Plant {
    /// Checks and prepares a network.
    ///
    /// # Errors
    /// The first thing that makes the network impossible: a reference out of range, a cycle of overflows, a volume that is not positive.
    pub fn new(net: Arc<Network>, cache: &TowerCache) -> Result<Self, NetworkError> {
        check(&net)?;
        let weights = Weights::of(&net);
        let supply_blocks = net.supplies.iter().map(|s| {
            let heat = weights.heat_of(s.water_kg_per_m3, &s.solute_kg_per_m3);
            let mut block = vec![s.water_kg_per_m3, heat * s.temp_c];
            block.extend_from_slice(&s.solute_kg_per_m3);
            block
        });
        let supply_blocks = supply_blocks.collect();
        let source_volumes_m3 = net.sources.iter().map(|s| source_volume(&net, s)).collect();
        let transfers = |keep: fn(&Law) -> bool| -> Vec<TransferId> {
            let all = net.transfers.iter().enumerate();
            all.filter(|(_, t)| keep(&t.law))
                .map(|(i, _)| TransferId(i))
                .collect()
        };
        let heats = |hold: bool| -> Vec<HeatId> {
            let all = net.heats.iter().enumerate();
            let wanted = all.filter(|(_, h)| h.law.holds_c().is_some() == hold);
            wanted.map(|(i, _)| HeatId(i)).collect()
        };
        let rooms: Vec<Vec<AirState>> = net
            .climates
            .iter()
            .map(|c| (0..=MEAN_SLOT).map(|slot| c.air(slot)).collect())
            .collect();
        let mut over = Vec::with_capacity(net.vessels.len());
        for vessel in &net.vessels {
            let speed = vessel.surface.map_or(0.0, |s| s.air_speed_m_per_s);
            let airs = rooms[vessel.climate.index()]
                .iter()
                .map(|air| RoomAir::new(air, speed));
            over.push(airs.collect::<Result<Vec<_>, _>>()?);
        }
        let plant = Self {
            layout: Layout::of(&net),
            supply_blocks,
            source_volumes_m3,
            plain_transfers: transfers(|l| matches!(l, Law::Fixed { .. } | Law::Film { .. })),
            matched_transfers: transfers(|l| matches!(l, Law::Matched { .. })),
            overflows: overflow_order(&net)?,
            plain_heats: heats(false),
            holding_heats: heats(true),
            rooms,
            over,
            tables: net
                .towers
                .iter()
                .map(|_| (0..=MEAN_SLOT).map(|_| OnceLock::new()).collect())
                .collect(),
            cache: cache.clone(),
            overflowing: overflowing(&net),
            spilling: spilling(&net),
            kept_warm: kept_warm(&net),
            fault: None,
            weights,
            net,
        };
        for (i, unit) in plant.net.towers.iter().enumerate() {
            let air = plant.tower_air(TowerId(i), MEAN_SLOT);
            cache
                .table(&unit.tower, air)
                .map_err(|source| NetworkError::Tower {
                    name: unit.name.clone(),
                    source,
                })?;
        }
        Ok(plant)
    }

    /// The same plant with a deliberate bookkeeping fault, for tests of the audit.
    #[doc(hidden)]
    #[must_use]
    pub fn with_fault(mut self, fault: Fault) -> Self {
        self.fault = Some(fault);
        self
    }

    /// The network as data.
    #[must_use]
    pub fn network(&self) -> &Network {
        &self.net
    }

    /// Where each balance lives.
    #[must_use]
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// The vector at time zero.
    #[must_use]
    pub fn initial(&self) -> Vec<f64> {
        let mut y = vec![0.0; self.layout.len()];
        for (i, vessel) in self.net.vessels.iter().enumerate() {
            let start = self.layout.vessel(VesselId(i));
            let held = &vessel.initial;
            let solutes: Vec<f64> = held
                .concentration_kg_per_m3
                .iter()
                .map(|c| c * held.volume_m3)
                .collect();
            let free = held.volume_m3 - self.weights.volume_of(&solutes);
            let water_kg = free.max(0.0) * water::density_kg_per_m3(held.temp_c);
            y[start + Layout::WATER] = water_kg;
            y[start + Layout::ENTHALPY] = self.weights.heat_of(water_kg, &solutes) * held.temp_c;
            y[start + 2..start + self.layout.block_len()].copy_from_slice(&solutes);
        }
        y
    }

    /// Volume (m³), temperature (°C) and heat capacity (J/K) of one vessel in a vector.
    #[must_use]
    pub fn holdup(&self, v: VesselId, y: &[f64]) -> (f64, f64, f64) {
        let start = self.layout.vessel(v);
        self.weights
            .derive(&y[start..start + self.layout.block_len()])
    }

    pub(crate) fn weights(&self) -> &Weights {
        &self.weights
    }

    pub(crate) fn supply_blocks(&self) -> &[Vec<f64>] {
        &self.supply_blocks
    }

    /// Water (kg), enthalpy (J) and solutes (kg) in one m³ of a supply.
    #[must_use]
    pub fn supply_per_m3(&self, s: SupplyId) -> &[f64] {
        &self.supply_blocks[s.index()]
    }

    pub(crate) fn fault(&self) -> Option<Fault> {
        self.fault
    }

    /// Share of a transfer that a deliberate fault loses on the way; zero outside tests of the audit.
    #[doc(hidden)]
    #[must_use]
    pub fn lost_share(&self, t: TransferId) -> f64 {
        match self.fault {
            Some(Fault::DropAtDestination(at, share)) if at == t => share,
            _ => 0.0,
        }
    }

    /// Sign with which a flow of heat is booked in its vessel; negative only under the deliberate fault that flips it.
    #[doc(hidden)]
    #[must_use]
    pub fn sign(&self, flip: Fault) -> f64 {
        if self.fault == Some(flip) { -1.0 } else { 1.0 }
    }

    /// Transfers that depend on nothing but their own law.
    #[must_use]
    pub fn plain_transfers(&self) -> &[TransferId] {
        &self.plain_transfers
    }

    pub(crate) fn matched_transfers(&self) -> &[TransferId] {
        &self.matched_transfers
    }

    /// Overflows, each after those that feed the vessel it leaves.
    #[must_use]
    pub fn overflows(&self) -> &[TransferId] {
        &self.overflows
    }

    /// Whether a vessel has an overflow at all.
    pub(crate) fn has_overflow(&self, v: VesselId) -> bool {
        self.overflowing[v.index()]
    }

    pub(crate) fn plain_heats(&self) -> &[HeatId] {
        &self.plain_heats
    }

    /// Heats that hold a set point within their capacity.
    #[must_use]
    pub fn holding_heats(&self) -> &[HeatId] {
        &self.holding_heats
    }

    pub(crate) fn source_volume_m3(&self, source: usize) -> f64 {
        self.source_volumes_m3[source]
    }

    pub(crate) fn addition_volume_m3_per_kg(&self, a: AdditionId, temp_c: f64) -> f64 {
        let addition = &self.net.additions[a.index()];
        let solutes: f64 = addition
            .yields
            .iter()
            .map(|&(s, y)| y * self.net.solutes[s.index()].apparent_volume_m3_per_kg)
            .sum();
        solutes + addition.crystal_water / water::density_kg_per_m3(temp_c)
    }

    /// Air of a climate.
    #[must_use]
    pub fn room(&self, climate: ClimateId, slot: usize) -> &AirState {
        &self.rooms[climate.index()][slot]
    }

    /// Air over a vessel, prepared for the surface law.
    #[must_use]
    pub fn air_over(&self, v: VesselId, slot: usize) -> &RoomAir {
        &self.over[v.index()][slot]
    }

    /// The fast table of a tower in the air of a slot, computed on first use; `None` when that air allows none, which
    /// [`Plant::tower_fault`] then tells.
    #[must_use]
    pub fn tower_table(&self, t: TowerId, slot: usize) -> Option<&TowerTable> {
        let unit = &self.net.towers[t.index()];
        let build = || self.cache.table(&unit.tower, self.tower_air(t, slot));
        let table = self.tables[t.index()][slot].get_or_init(build);
        table.as_deref().ok()
    }

    /// A tower that could not be worked out in the air of a slot, among those asked for so far, and why.
    #[must_use]
    pub fn tower_fault(&self, slot: usize) -> Option<(TowerId, &TowerError)> {
        let tried = self.tables.iter().enumerate();
        tried
            .filter_map(|(t, slots)| Some((TowerId(t), slots.get(slot)?.get()?)))
            .find_map(|(t, table)| Some((t, table.as_ref().err()?)))
    }

    /// Air that enters a tower, warmed by its fan where that stands before the contact.
    #[must_use]
    pub fn tower_air(&self, t: TowerId, slot: usize) -> AirState {
        let unit = &self.net.towers[t.index()];
        let mut air = self.net.climates[unit.climate.index()].air(slot);
        let dry_air = unit.tower.design().air_flow_m3_per_s / air.specific_volume_m3_per_kg_da();
        air.temp_c += unit.fan_heat_w / (dry_air * (1006.0 + 1860.0 * air.humidity_ratio));
        air
    }

    /// Area of work per time now, m²/s.
    #[must_use]
    pub fn area_rate(&self, set: &Setting, work: WorkId) -> f64 {
        let work = &self.net.works[work.index()];
        work.area_m2_per_s * set.open[work.calendar.index()]
    }
}

fn overflowing(net: &Network) -> Vec<bool> {
    let mut overflows = vec![false; net.vessels.len()];
    for t in &net.transfers {
        if let (End::Vessel(v), Law::Overflow { .. }) = (t.from, &t.law) {
            overflows[v.index()] = true;
        }
    }
    overflows
}

fn spilling(net: &Network) -> Vec<bool> {
    let mut spills = vec![false; net.vessels.len()];
    for t in &net.transfers {
        if let (End::Vessel(v), End::Account(a), Law::Overflow { .. }) = (t.from, t.to, &t.law) {
            spills[v.index()] = Some(a) == net.spill_account;
        }
    }
    spills
}

fn kept_warm(net: &Network) -> Vec<bool> {
    let never_shuts = |c: &CalendarId| net.calendars[c.index()].is_always();
    let mut warm = vec![false; net.vessels.len()];
    for heat in &net.heats {
        let device = heat.gate.device.map(|d| &net.devices[d.index()]);
        let is_heater = device.is_some_and(|d| d.kind == DeviceKind::Heater);
        let heats = match heat.law {
            HeatLaw::Hold { power_w, .. } => power_w > 0.0,
            HeatLaw::Power { power_w } => is_heater && power_w > 0.0,
            HeatLaw::Coil { cap_w, .. } => is_heater && cap_w > 0.0,
            HeatLaw::Cool { .. } | HeatLaw::Work { .. } => false,
        };
        let hours = [heat.gate.calendar, device.and_then(|d| d.calendar)];
        if heats && hours.iter().flatten().all(never_shuts) {
            warm[heat.vessel.index()] = true;
        }
    }
    warm
}

/// Volume of the solutes of a source, m³ for each unit of its pace.
fn source_volume(net: &Network, source: &crate::network::Source) -> f64 {
    if source.pace == Pace::FirstOrder {
        return 0.0;
    }
    let solutes = source.solutes_kg.iter();
    solutes
        .map(|&(s, kg)| kg * net.solutes[s.index()].apparent_volume_m3_per_kg)
        .sum()
}

/// Overflows sorted so that each comes after those that run into the vessel it leaves.
fn overflow_order(net: &Network) -> Result<Vec<TransferId>, NetworkError> {
    let overflows = net.transfers.iter().enumerate();
    let mut waiting: Vec<usize> = overflows
        .filter(|(_, t)| matches!(t.law, Law::Overflow { .. }))
        .map(|(i, _)| i)
        .collect();
    let mut order = Vec::with_capacity(waiting.len());
    while !waiting.is_empty() {
        let feeds = |t: usize, v: End| net.transfers[t].to == v;
        let ready = waiting.iter().position(|&t| {
            waiting
                .iter()
                .all(|&o| o == t || !feeds(o, net.transfers[t].from))
        });
        match ready {
            Some(place) => order.push(TransferId(waiting.remove(place))),
            None => {
                let names = waiting
                    .iter()
                    .map(|&t| net.transfers[t].name.clone())
                    .collect();
                return Err(NetworkError::OverflowCycle { names });
            }
        }
    }
    Ok(order)
}

impl Plant {
    /// Whether a vessel's overflow is a spill over the brim.
    #[must_use]
    pub fn spills(&self, vessel: usize) -> bool {
        self.spilling[vessel]
    }

    /// Whether a heater that follows no calendar keeps a vessel warm through nights and weekends.
    #[must_use]
    pub fn is_kept_warm(&self, v: VesselId) -> bool {
        self.kept_warm[v.index()]
    }
}
