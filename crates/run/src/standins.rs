//! What the averaged driver puts in the place of switching.
//!
//! A relay that regulates a level becomes a flow that holds the middle of its band; one that regulates a temperature becomes a power that holds
//! the middle of its band; one that permits a device as long as a tank stands high enough becomes a floor under that tank.

use dragback_plant::Plant;
use dragback_plant::control::{Device, Role, Signal};
use dragback_plant::ids::{DeviceId, HeatId, RelayId, TowerId, TransferId, VesselId};
use dragback_plant::network::{End, HeatLaw, Law};

/// A pump or valve that holds a level.
#[derive(Clone, Debug)]
pub(crate) struct LevelHold {
    pub device: DeviceId,
    pub relay: RelayId,
    pub vessel: VesselId,
    pub target_m3: f64,
    pub transfers: Vec<TransferId>,
}

/// A pumped stream and the level below which its source gives nothing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drawn {
    pub transfer: TransferId,
    pub source: VesselId,
    pub floor_m3: f64,
}

/// Towers that rest when their vessel is low.
#[derive(Clone, Debug)]
pub(crate) struct TowerRest {
    pub vessel: VesselId,
    pub towers: Vec<TowerId>,
    pub floor_m3: f64,
}

/// Heat flows that hold the temperature of a vessel.
#[derive(Clone, Debug, Default)]
pub(crate) struct HeatHold {
    pub heats: Vec<HeatId>,
    /// Devices with the relays that regulate them and the middle of each band, °C.
    pub devices: Vec<(DeviceId, Vec<(RelayId, f64)>)>,
    /// Set point when no relay regulates, °C.
    pub fixed_set_c: Option<f64>,
}

/// A device whose output follows a strength within its band.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StrengthHold {
    pub device: DeviceId,
    pub relay: RelayId,
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
                    _ => all.strengths.push(StrengthHold {
                        device: id,
                        relay: r,
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
            if let (End::Vessel(v), Law::Fixed { .. }) = (t.from, &t.law) {
                let vessel = &plant.network().vessels[v.index()];
                let floor = t.gate.device.map_or(0.0, |d| permit_floor_m3(plant, d, v));
                self.drawn.push(Drawn {
                    transfer: TransferId(i),
                    source: v,
                    floor_m3: floor.max(vessel.dead_m3),
                });
            }
        }
    }

    fn find_rests(&mut self, plant: &Plant) {
        for (i, unit) in plant.network().towers.iter().enumerate() {
            let dead = plant.network().vessels[unit.vessel.index()].dead_m3;
            let floor_m3 = permit_floor_m3(plant, unit.pump, unit.vessel).max(dead);
            match self.rests.iter_mut().find(|r| r.vessel == unit.vessel) {
                Some(rest) => {
                    rest.towers.push(TowerId(i));
                    rest.floor_m3 = rest.floor_m3.max(floor_m3);
                }
                None => {
                    self.rests.push(TowerRest {
                        vessel: unit.vessel,
                        towers: vec![TowerId(i)],
                        floor_m3,
                    });
                }
            }
        }
    }

    fn find_heats(&mut self, plant: &Plant) {
        let net = plant.network();
        for (i, heat) in net.heats.iter().enumerate() {
            let slot = &mut self.heat[heat.vessel.index()];
            if let HeatLaw::Hold { set_c, .. } = heat.law {
                let hold = slot.get_or_insert_with(HeatHold::default);
                hold.heats.push(HeatId(i));
                hold.fixed_set_c = Some(set_c);
                continue;
            }
            let Some(d) = heat.gate.device else { continue };
            let device = &net.devices[d.index()];
            let bands: Vec<(RelayId, f64)> = relays_of(plant, device, Role::Regulate)
                .filter(|r| net.relays[r.index()].signal == Signal::Temperature(heat.vessel))
                .map(|r| (r, net.relays[r.index()].middle()))
                .collect();
            if !bands.is_empty() {
                let hold = slot.get_or_insert_with(HeatHold::default);
                hold.heats.push(HeatId(i));
                if !hold.devices.iter().any(|(known, _)| *known == d) {
                    hold.devices.push((d, bands));
                }
            }
        }
    }
}

fn level_hold(plant: &Plant, device: DeviceId, relay: RelayId, v: VesselId) -> Option<LevelHold> {
    let net = plant.network();
    let gated = |t: &dragback_plant::network::Transfer| {
        t.gate.device == Some(device) && matches!(t.law, Law::Fixed { .. })
    };
    let transfers: Vec<TransferId> = net
        .transfers
        .iter()
        .enumerate()
        .filter(|(_, t)| gated(t) && (t.to == End::Vessel(v) || t.from == End::Vessel(v)))
        .map(|(i, _)| TransferId(i))
        .collect();
    let target_m3 = net.vessels[v.index()]
        .shape
        .volume_m3(net.relays[relay.index()].middle());
    (!transfers.is_empty()).then_some(LevelHold {
        device,
        relay,
        vessel: v,
        target_m3,
        transfers,
    })
}

/// Volume of `v` below which a permit stops the device, m³; zero when none does.
fn permit_floor_m3(plant: &Plant, device: DeviceId, v: VesselId) -> f64 {
    let net = plant.network();
    let permits = relays_of(plant, &net.devices[device.index()], Role::Permit);
    permits
        .filter(|r| net.relays[r.index()].signal == Signal::Level(v))
        .map(|r| {
            net.vessels[v.index()]
                .shape
                .volume_m3(net.relays[r.index()].middle())
        })
        .fold(0.0, f64::max)
}
