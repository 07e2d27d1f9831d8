//! Streams that hold a strength down: water let into a rinse, concentrate returned to the bath.

use dragback_plant::Plant;
use dragback_plant::control::{Acts, Signal};
use dragback_plant::ids::{DeviceId, RelayId, SupplyId, TransferId, VesselId};
use dragback_plant::network::{End, Law};

use super::reaches;

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

/// The water that a device lets into the tank where a strength is measured.
pub(super) fn feed_of(plant: &Plant, device: DeviceId, signal: Signal) -> Option<Feed> {
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
pub(super) fn drawn_off(plant: &Plant, device: DeviceId, relay: RelayId) -> Option<Feed> {
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
