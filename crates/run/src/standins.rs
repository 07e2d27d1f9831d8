//! What the averaged driver puts in the place of switching.
//!
//! A relay that regulates a level becomes a flow that holds the middle of its band; one that regulates a temperature becomes a power that holds
//! the middle of its band; one that permits a device as long as a tank stands high enough becomes a floor under that tank.

mod floor;
mod strength;

pub(crate) use floor::{Batches, Floor, Held, Permit, Stock};
pub(crate) use strength::{Cycle, StrengthHold};

use dragback_plant::Plant;
use dragback_plant::control::{Acts, Condition, Device, Relay, Role, Signal};
use dragback_plant::holdup::DRY;
use dragback_plant::ids::{
    DeviceId, HeatId, RelayId, SoluteId, SourceId, TowerId, TransferId, VesselId,
};
use dragback_plant::network::{End, HeatLaw, Law, Pace};

use crate::world::World;

/// A pump or valve that holds a level.
#[derive(Clone, Debug)]
pub(crate) struct LevelHold {
    pub device: DeviceId,
    pub relay: RelayId,
    pub vessel: VesselId,
    /// Middle of its band, m³.
    middle_m3: f64,
    /// Upper end of its band, m³.
    pub upper_m3: f64,
    /// Volume at which an interlock stops what fills the vessel, and a hair more; none where nothing does.
    cut_m3: Option<f64>,
    /// The streams, each with whether it fills the vessel (else it empties it).
    pub transfers: Vec<(TransferId, bool)>,
}

impl LevelHold {
    /// Volume that is held now, m³: the middle of the band; while the device is run by hand what an interlock leaves of it. Nothing holds where the
    /// electrode is stuck or nothing stops the hand.
    pub fn target_m3(&self, world: &World) -> Option<f64> {
        if world.by_hand[self.device.index()] {
            self.cut_m3
        } else if world.relays[self.relay.index()].stuck {
            None
        } else {
            Some(self.middle_m3)
        }
    }
}

/// A pumped stream and the level below which its source gives nothing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drawn {
    pub transfer: TransferId,
    pub source: VesselId,
    pub floor: Floor,
    /// The same while its device is run by hand.
    pub floor_by_hand: Floor,
}

/// Towers that rest when their vessel is low.
#[derive(Clone, Debug)]
pub(crate) struct TowerRest {
    pub vessel: VesselId,
    pub towers: Vec<TowerId>,
    pub floor: Floor,
    /// The same while a feed pump is run by hand.
    pub floor_by_hand: Floor,
}

/// Heat flows that hold the temperature of a vessel.
#[derive(Clone, Debug, Default)]
pub(crate) struct HeatHold {
    pub heats: Vec<HeatId>,
    /// Devices with the relays that regulate them and the middle of each band, °C.
    pub devices: Vec<(DeviceId, Vec<(RelayId, f64)>)>,
    /// Relays that say whether the vessel feeds its tower.
    pub permits: Vec<RelayId>,
    /// What heaters and coolers hold that no relay regulates, °C.
    pub fixed: Option<FixedSet>,
}

/// What the heaters and coolers of a vessel hold by themselves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FixedSet {
    /// Heaters let it fall no lower, °C; minus infinity without any.
    pub heat_c: f64,
    /// Coolers let it rise no higher, °C; infinite without any.
    pub cool_c: f64,
}

impl FixedSet {
    const NONE: Self = Self {
        heat_c: f64::NEG_INFINITY,
        cool_c: f64::INFINITY,
    };

    /// The same with one more heater or cooler, if that is what the law says.
    fn with(mut self, law: &HeatLaw) -> Self {
        match *law {
            HeatLaw::Hold { set_c, .. } => self.heat_c = self.heat_c.max(set_c),
            HeatLaw::Cool { set_c, .. } => self.cool_c = self.cool_c.min(set_c),
            _ => {}
        }
        self
    }
}

/// Everything the averaged driver needs to know of a plant.
#[derive(Clone, Debug, Default)]
pub(crate) struct StandIns {
    pub levels: Vec<LevelHold>,
    pub drawn: Vec<Drawn>,
    pub rests: Vec<TowerRest>,
    /// Per vessel.
    pub heat: Vec<Option<HeatHold>>,
    pub strengths: Vec<StrengthHold>,
    /// Per vessel: its overflow.
    pub overflow: Vec<Option<TransferId>>,
    /// Per vessel: the transfers that leave it.
    pub leaving: Vec<Vec<TransferId>>,
    /// Per vessel: the transfers that arrive in it.
    pub arriving: Vec<Vec<TransferId>>,
    /// Per vessel: its heat flows.
    pub heats_of: Vec<Vec<HeatId>>,
    /// Per vessel: its sources of water.
    pub sources_of: Vec<Vec<usize>>,
    /// Removals in proportion to content: the source, the solute, the share per second.
    pub removals: Vec<(SourceId, SoluteId, f64)>,
    /// Per vessel: the towers it feeds.
    pub towers_of: Vec<Vec<TowerId>>,
}

fn relays_of<'a>(
    plant: &'a Plant,
    device: &'a Device,
    role: Role,
) -> impl Iterator<Item = RelayId> + 'a {
    let net = plant.network();
    device
        .relays()
        .into_iter()
        .filter(move |r| net.relays[r.index()].role == role)
}

impl StandIns {
    /// Share of a tank that a strength-held feed may wash out in one step: more would blur when the valve closes.
    const WASHED: f64 = 0.05;

    /// Longest step that follows the strength-held feeds, s; infinite without any.
    pub(crate) fn longest_step_s(&self, plant: &Plant) -> f64 {
        let feeds = self.strengths.iter().filter_map(|s| s.feed);
        let steps = feeds.map(|f| {
            let full_m3 = plant.network().vessels[f.vessel.index()].full_m3;
            (Self::WASHED * full_m3 / f.capacity_m3_per_s.max(1e-12)).max(900.0)
        });
        steps.fold(f64::INFINITY, f64::min)
    }

    pub(crate) fn of(plant: &Plant) -> Self {
        let net = plant.network();
        let mut all = Self {
            heat: vec![None; net.vessels.len()],
            ..Self::default()
        };
        for (d, device) in net.devices.iter().enumerate() {
            let id = DeviceId(d);
            for r in relays_of(plant, device, Role::Regulate) {
                match net.relays[r.index()].signal {
                    Signal::Level(v) => all.levels.extend(level_hold(plant, id, r, v)),
                    Signal::Temperature(_) => {}
                    signal => all.strengths.push(StrengthHold {
                        device: id,
                        relay: r,
                        feed: strength::feed_of(plant, id, signal)
                            .or_else(|| strength::drawn_off(plant, id, r)),
                    }),
                }
            }
        }
        all.find_neighbours(plant);
        all.find_drawn(plant);
        all.find_rests(plant);
        all.find_heats(plant);
        all
    }

    fn find_neighbours(&mut self, plant: &Plant) {
        let n = plant.network().vessels.len();
        self.overflow = vec![None; n];
        self.leaving = vec![Vec::new(); n];
        self.arriving = vec![Vec::new(); n];
        self.heats_of = vec![Vec::new(); n];
        self.sources_of = vec![Vec::new(); n];
        self.towers_of = vec![Vec::new(); n];
        for (i, heat) in plant.network().heats.iter().enumerate() {
            self.heats_of[heat.vessel.index()].push(HeatId(i));
        }
        for (i, source) in plant.network().sources.iter().enumerate() {
            if source.pace == Pace::FirstOrder {
                let solutes = source.solutes_kg.iter();
                self.removals
                    .extend(solutes.map(|&(s, rate)| (SourceId(i), s, rate.abs())));
            }
            if source.water_kg != 0.0 {
                self.sources_of[source.vessel.index()].push(i);
            }
        }
        for (i, unit) in plant.network().towers.iter().enumerate() {
            self.towers_of[unit.vessel.index()].push(TowerId(i));
        }
        for (i, t) in plant.network().transfers.iter().enumerate() {
            if let End::Vessel(v) = t.from {
                self.leaving[v.index()].push(TransferId(i));
                if matches!(t.law, Law::Overflow { .. }) {
                    self.overflow[v.index()] = Some(TransferId(i));
                }
            }
            if let End::Vessel(v) = t.to {
                self.arriving[v.index()].push(TransferId(i));
            }
        }
    }

    fn find_drawn(&mut self, plant: &Plant) {
        for (i, t) in plant.network().transfers.iter().enumerate() {
            if let (End::Vessel(source), Law::Fixed { .. } | Law::Film { .. }) = (t.from, &t.law) {
                let clinging_m3 = DRY * plant.network().vessels[source.index()].full_m3;
                let floor = |is_by_hand| match t.law {
                    // Work takes film from any depth.
                    Law::Film { .. } => Floor {
                        dead_m3: clinging_m3,
                        permit: None,
                    },
                    _ => {
                        let floor = floor_under(plant, t.gate.device, source, is_by_hand);
                        Floor {
                            dead_m3: floor.dead_m3.max(clinging_m3),
                            ..floor
                        }
                    }
                };
                self.drawn.push(Drawn {
                    transfer: TransferId(i),
                    source,
                    floor: floor(false),
                    floor_by_hand: floor(true),
                });
            }
        }
    }

    fn find_rests(&mut self, plant: &Plant) {
        for (i, unit) in plant.network().towers.iter().enumerate() {
            match self.rests.iter_mut().find(|r| r.vessel == unit.vessel) {
                Some(rest) => rest.towers.push(TowerId(i)),
                None => self.rests.push(TowerRest {
                    vessel: unit.vessel,
                    towers: vec![TowerId(i)],
                    floor: floor_under(plant, Some(unit.pump), unit.vessel, false),
                    floor_by_hand: floor_under(plant, Some(unit.pump), unit.vessel, true),
                }),
            }
        }
    }

    fn find_heats(&mut self, plant: &Plant) {
        let net = plant.network();
        for (i, heat) in net.heats.iter().enumerate() {
            let slot = &mut self.heat[heat.vessel.index()];
            if heat.law.holds_c().is_some() {
                let hold = slot.get_or_insert_with(HeatHold::default);
                hold.heats.push(HeatId(i));
                let fixed = hold.fixed.unwrap_or(FixedSet::NONE);
                hold.fixed = Some(fixed.with(&heat.law));
                continue;
            }
            let Some(d) = heat.gate.device else { continue };
            let device = &net.devices[d.index()];
            let bands: Vec<(RelayId, f64)> = relays_of(plant, device, Role::Regulate)
                .filter(|r| net.relays[r.index()].signal == Signal::Temperature(heat.vessel))
                .map(|r| (r, net.relays[r.index()].middle()))
                .collect();
            let permits: Vec<RelayId> = relays_of(plant, device, Role::Permit)
                .filter(|r| net.relays[r.index()].signal == Signal::Level(heat.vessel))
                .collect();
            let is_banded = device.proportional.is_some_and(|p| p.vessel == heat.vessel);
            if !bands.is_empty() || is_banded {
                let hold = slot.get_or_insert_with(HeatHold::default);
                hold.heats.push(HeatId(i));
                hold.permits.extend(permits);
                if !hold.devices.iter().any(|(known, _)| *known == d) {
                    hold.devices.push((d, bands));
                }
            }
        }
    }
}

/// Share of a volume by which an alarm is passed, so that it trips.
const HAIR: f64 = 1.0e-6;

/// The alarms that stop a device as interlocks.
pub(crate) fn cuts(plant: &Plant, device: DeviceId) -> impl Iterator<Item = (RelayId, &Relay)> {
    let net = plant.network();
    let interlocks = net.devices[device.index()].requires.iter();
    let interlocks = interlocks.filter(|r| r.is_interlock);
    interlocks.filter_map(|r| match r.condition {
        Condition::Off(alarm) => Some((alarm, &net.relays[alarm.index()])),
        _ => None,
    })
}

fn level_hold(plant: &Plant, device: DeviceId, relay: RelayId, v: VesselId) -> Option<LevelHold> {
    let net = plant.network();
    let gated = |t: &dragback_plant::network::Transfer| {
        t.gate.device == Some(device) && !matches!(t.law, Law::Film { .. } | Law::Overflow { .. })
    };
    let transfers: Vec<(TransferId, bool)> = net
        .transfers
        .iter()
        .enumerate()
        .filter(|(_, t)| gated(t))
        .filter_map(|(i, t)| {
            let fills = reaches(plant, t.to, v);
            (fills || t.from == End::Vessel(v)).then_some((TransferId(i), fills))
        })
        .collect();
    let shape = net.vessels[v.index()].shape;
    let middle_m3 = shape.volume_m3(net.relays[relay.index()].middle());
    let cuts = cuts(plant, device).map(|(_, r)| r);
    let cuts = cuts.filter(|r| r.signal == Signal::Level(v));
    let above = cuts.filter(|r| r.acts == Acts::Above).map(|r| r.upper);
    let cut_m3 = above
        .reduce(f64::min)
        .map(|m| shape.volume_m3(m) * (1.0 + HAIR));
    (!transfers.is_empty()).then_some(LevelHold {
        device,
        relay,
        vessel: v,
        middle_m3,
        upper_m3: shape.volume_m3(net.relays[relay.index()].upper),
        cut_m3,
        transfers,
    })
}

/// Whether what enters at `end` comes to `v`, directly or from overflow to overflow.
fn reaches(plant: &Plant, end: End, v: VesselId) -> bool {
    let net = plant.network();
    let mut at = end;
    for _ in 0..=net.vessels.len() {
        match at {
            End::Vessel(here) if here == v => return true,
            End::Vessel(here) => {
                let sheds = |t: &&dragback_plant::network::Transfer| {
                    t.from == End::Vessel(here) && matches!(t.law, Law::Overflow { .. })
                };
                match net.transfers.iter().find(sheds) {
                    Some(t) => at = t.to,
                    None => return false,
                }
            }
            _ => return false,
        }
    }
    false
}

/// How far down a device may draw a vessel: to the highest of the permits that concern both, never below the outlet. By hand only those
/// permits count that are interlocks, and the device draws until a low alarm stops it.
fn floor_under(plant: &Plant, device: Option<DeviceId>, v: VesselId, is_by_hand: bool) -> Floor {
    let net = plant.network();
    let vessel = &net.vessels[v.index()];
    let permits = device
        .into_iter()
        .flat_map(|d| relays_of(plant, &net.devices[d.index()], Role::Permit));
    let is_interlock = |r: &RelayId| {
        let requires = device.iter().flat_map(|d| &net.devices[d.index()].requires);
        let mut interlocks = requires.filter(|q| q.is_interlock);
        interlocks.any(|q| q.condition == Condition::On(*r))
    };
    let permits = permits
        .filter(|r| !is_by_hand || is_interlock(r))
        .filter(|r| net.relays[r.index()].signal == Signal::Level(v))
        .map(|r| {
            let relay = &net.relays[r.index()];
            Permit {
                relay: r,
                low_m3: vessel.shape.volume_m3(relay.lower),
                high_m3: vessel.shape.volume_m3(relay.upper),
            }
        });
    let permit = permits.max_by(|a, b| a.low_m3.total_cmp(&b.low_m3));
    let alarms = device.into_iter().flat_map(|d| cuts(plant, d));
    let alarms = alarms
        .map(|(_, r)| r)
        .filter(|r| is_by_hand && r.signal == Signal::Level(v) && r.acts == Acts::Below)
        .map(|r| vessel.shape.volume_m3(r.lower) * (1.0 - HAIR));
    Floor {
        dead_m3: alarms.fold(vessel.dead_m3, f64::max),
        permit,
    }
}
