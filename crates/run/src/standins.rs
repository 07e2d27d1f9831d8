//! What the averaged driver puts in the place of switching.
//!
//! A relay that regulates a level becomes a flow that holds the middle of its band; one that regulates a temperature becomes a power that holds
//! the middle of its band; one that permits a device as long as a tank stands high enough becomes a floor under that tank.

use dragback_plant::Plant;
use dragback_plant::control::{Acts, Device, Role, Signal};
use dragback_plant::holdup::DRY;
use dragback_plant::ids::{
    DeviceId, HeatId, RelayId, SoluteId, SourceId, SupplyId, TowerId, TransferId, VesselId,
};
use dragback_plant::network::{End, HeatLaw, Law, Pace};

/// A pump or valve that holds a level.
#[derive(Clone, Debug)]
pub(crate) struct LevelHold {
    pub device: DeviceId,
    pub relay: RelayId,
    pub vessel: VesselId,
    pub target_m3: f64,
    /// The streams, each with whether it fills the vessel (else it empties it).
    pub transfers: Vec<(TransferId, bool)>,
}

/// A relay that lets a device draw from a vessel as long as there is enough in it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Permit {
    pub relay: RelayId,
    /// Volume at which it closes the device down, m³.
    pub low_m3: f64,
    /// Volume at which it lets the device run again, m³.
    pub high_m3: f64,
}

/// How far down a vessel may be drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Floor {
    pub dead_m3: f64,
    pub permit: Option<Permit>,
}

/// A relay whose vessel fills across its band within this time takes turns so often that only its average counts, s.
///
/// It is a day, so that what a working day repeats is averaged, and the phase in which a relay happens to be when the shift ends does not
/// make one week differ from the next.
const OFTEN_S: f64 = 24.0 * dragback_plant::calendar::HOUR_S;

impl Floor {
    /// Volume below which nothing is drawn during a step of `h` seconds, m³, where `arrives_m3_per_s` comes in; and whether the relay takes
    /// turns, which it `did` in the step before.
    ///
    /// As long as enough arrives for the relay to take turns, the vessel stands at the middle of its band on average, and is left there when
    /// nothing arrives any more, since a pump is mostly off. Else the relay keeps its state: on, the vessel is drawn to the lower threshold;
    /// off, it is left alone until it reaches the upper one.
    pub(crate) fn volume_m3(
        &self,
        (start_m3, arrives_m3_per_s): (f64, f64),
        h: f64,
        did: bool,
        is_on: impl Fn(RelayId) -> bool,
    ) -> (f64, bool) {
        let Some(permit) = self.permit else {
            return (self.dead_m3, false);
        };
        let band_m3 = permit.high_m3 - permit.low_m3;
        let (floor_m3, takes_turns) = if arrives_m3_per_s * h.max(OFTEN_S) >= band_m3 {
            (permit.low_m3 + 0.5 * band_m3, true)
        } else if start_m3 >= permit.high_m3 || (is_on(permit.relay) && !did) {
            (permit.low_m3, false)
        } else {
            let full_m3 = start_m3 + h * arrives_m3_per_s.max(0.0);
            (full_m3.min(permit.high_m3), did)
        };
        (floor_m3.max(self.dead_m3), takes_turns)
    }
}

impl Permit {
    /// Mean volume of a vessel that is filled by batches and emptied in between for `share` of the time, m³.
    ///
    /// The device waits at the lower threshold until as many batches as reach the upper one have come, and then works the vessel
    /// down again.
    pub(crate) fn batched_m3(&self, batch_m3: f64, share: f64) -> f64 {
        let batches = ((self.high_m3 - self.low_m3) / batch_m3).ceil().max(1.0);
        let rises = (1.0 - share) * (batches - 1.0) / batches;
        self.low_m3 + 0.5 * batches * batch_m3 * (share + rises)
    }
}

/// A pumped stream and the level below which its source gives nothing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drawn {
    pub transfer: TransferId,
    pub source: VesselId,
    pub floor: Floor,
}

/// Towers that rest when their vessel is low.
#[derive(Clone, Debug)]
pub(crate) struct TowerRest {
    pub vessel: VesselId,
    pub towers: Vec<TowerId>,
    pub floor: Floor,
}

/// Heat flows that hold the temperature of a vessel.
#[derive(Clone, Debug, Default)]
pub(crate) struct HeatHold {
    pub heats: Vec<HeatId>,
    /// Devices with the relays that regulate them and the middle of each band, °C.
    pub devices: Vec<(DeviceId, Vec<(RelayId, f64)>)>,
    /// Relays that say whether the vessel feeds its tower.
    pub permits: Vec<RelayId>,
    /// Set point when no relay regulates, °C.
    pub fixed_set_c: Option<f64>,
}

/// A device whose output follows a strength within its band.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StrengthHold {
    pub device: DeviceId,
    pub relay: RelayId,
    /// What the device does to the tank where the strength is measured.
    pub feed: Option<Feed>,
}

/// A stream that holds a strength down: water let in, or strong liquid pumped out and made up by weaker one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Feed {
    pub transfer: TransferId,
    pub vessel: VesselId,
    pub capacity_m3_per_s: f64,
    /// Reading of plain water.
    pub reading: f64,
    /// The tank from which what is pumped out is made up, whose reading counts instead; none where water is let in.
    pub refill: Option<VesselId>,
}

/// A tank whose strength rises with a load and falls while water is let in, between two thresholds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cycle {
    /// What comes in, in units of the strength times m³/s.
    pub load: f64,
    pub volume_m3: f64,
    /// Water while it is let in, m³/s.
    pub flow_m3_per_s: f64,
    /// Strengths, less that of the water, at which it is shut off and let in.
    pub band: (f64, f64),
    /// Water runs.
    pub is_on: bool,
}

/// Switches followed within one step before its rest is taken at the share found so far.
const MOST_SWITCHES: usize = 64;

impl Cycle {
    /// Share of `h` seconds for which water runs, from a strength `now`; leaves the relay as it stands at the end.
    pub(crate) fn share_of(&mut self, h: f64, now: f64) -> f64 {
        let (mut strength, mut left, mut ran) = (now, h, 0.0);
        for _ in 0..MOST_SWITCHES {
            let wait = self.time_to_switch_s(strength);
            let span = wait.min(left);
            if self.is_on {
                ran += span;
            }
            left -= span;
            if wait >= left + span {
                return ran / h;
            }
            strength = if self.is_on { self.band.0 } else { self.band.1 };
            self.is_on = !self.is_on;
        }
        ran / (h - left)
    }

    fn time_to_switch_s(&self, strength: f64) -> f64 {
        let (lower, upper) = self.band;
        if !self.is_on {
            let rise = self.load / self.volume_m3;
            return if rise > 0.0 {
                ((upper - strength) / rise).max(0.0)
            } else {
                f64::INFINITY
            };
        }
        if self.flow_m3_per_s <= 0.0 {
            return f64::INFINITY;
        }
        let rests_at = self.load / self.flow_m3_per_s;
        if rests_at >= lower {
            return f64::INFINITY;
        }
        let fall = ((strength - rests_at) / (lower - rests_at)).ln();
        self.volume_m3 / self.flow_m3_per_s * fall.max(0.0)
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
                        feed: feed_of(plant, id, signal).or_else(|| drawn_off(plant, id, r)),
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
                let floor = match t.law {
                    // Work takes film from any depth.
                    Law::Film { .. } => Floor {
                        dead_m3: clinging_m3,
                        permit: None,
                    },
                    _ => {
                        let floor = floor_under(plant, t.gate.device, source);
                        Floor {
                            dead_m3: floor.dead_m3.max(clinging_m3),
                            ..floor
                        }
                    }
                };
                self.drawn.push(Drawn {
                    transfer: TransferId(i),
                    source,
                    floor,
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
                    floor: floor_under(plant, Some(unit.pump), unit.vessel),
                }),
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

/// The water that a device lets into the tank where a strength is measured.
fn feed_of(plant: &Plant, device: DeviceId, signal: Signal) -> Option<Feed> {
    let net = plant.network();
    let vessel = signal.vessel();
    let feeds = |t: &&dragback_plant::network::Transfer| {
        t.gate.device == Some(device) && reaches(plant, t.to, vessel)
    };
    let at = net.transfers.iter().position(|t| feeds(&t))?;
    let transfer = &net.transfers[at];
    match (transfer.from, &transfer.law) {
        (End::Supply(s, _), Law::Fixed { flow_m3_per_s }) => Some(Feed {
            transfer: TransferId(at),
            vessel,
            capacity_m3_per_s: *flow_m3_per_s,
            reading: plant.read_supply(signal, s),
            refill: None,
        }),
        _ => None,
    }
}

/// The strong liquid that a device pumps out of the tank where a strength is measured, where a weaker one is pumped in instead.
fn drawn_off(plant: &Plant, device: DeviceId, relay: RelayId) -> Option<Feed> {
    let net = plant.network();
    let relay = &net.relays[relay.index()];
    let vessel = relay.signal.vessel();
    if relay.acts != Acts::Above {
        return None;
    }
    let draws = |t: &&dragback_plant::network::Transfer| {
        t.gate.device == Some(device) && t.from == End::Vessel(vessel)
    };
    let at = net.transfers.iter().position(|t| draws(&t))?;
    let Law::Fixed { flow_m3_per_s } = net.transfers[at].law else {
        return None;
    };
    let pumped_in = net.transfers.iter().find_map(|t| match (t.from, &t.law) {
        (End::Vessel(from), Law::Fixed { .. }) if t.to == End::Vessel(vessel) => Some(from),
        _ => None,
    });
    Some(Feed {
        transfer: TransferId(at),
        vessel,
        capacity_m3_per_s: flow_m3_per_s,
        reading: plant.read_supply(relay.signal, SupplyId(0)),
        refill: Some(pumped_in?),
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

/// How far down a device may draw a vessel: to the highest of the permits that concern both, never below the outlet.
fn floor_under(plant: &Plant, device: Option<DeviceId>, v: VesselId) -> Floor {
    let net = plant.network();
    let vessel = &net.vessels[v.index()];
    let permits = device
        .into_iter()
        .flat_map(|d| relays_of(plant, &net.devices[d.index()], Role::Permit));
    let permits = permits
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
    Floor {
        dead_m3: vessel.dead_m3,
        permit,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cycle(load: f64, is_on: bool) -> Cycle {
        Cycle {
            load,
            volume_m3: 1.0,
            flow_m3_per_s: 1e-3,
            band: (1.0, 2.0),
            is_on,
        }
    }

    #[test]
    fn without_load_an_open_valve_runs_until_the_lower_threshold() {
        // Hand derivation: from 2 to 1 in V/q·ln 2 = 693 s.
        let mut c = cycle(0.0, true);
        assert!((c.share_of(1000.0, 2.0) - std::f64::consts::LN_2).abs() < 1e-5);
        assert!(!c.is_on);
    }

    #[test]
    fn over_many_cycles_the_share_carries_the_load() {
        // Water carries off share·q·(mean strength while it runs), which must be the load.
        let load = 0.5e-3;
        let mut c = cycle(load, false);
        let share = c.share_of(60_000.0, 1.5);
        assert!((share * 1e-3 * 1.45 - load).abs() < 0.05 * load, "{share}");
    }

    #[test]
    fn too_weak_a_flow_runs_for_ever() {
        let mut c = cycle(5e-3, true);
        assert_eq!(c.share_of(3000.0, 1.8), 1.0);
    }
}
