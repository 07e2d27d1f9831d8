//! Alarms: when they were raised, when their condition returned to normal, and when they were reset.
//!
//! The words are those of ANSI/ISA-18.2. Its states also tell whether an operator has acknowledged an alarm; nobody sits at a panel in a
//! simulation, so that acknowledgement is left out and three states remain.

use std::sync::Arc;

use dragback_plant::control::Role;
use dragback_plant::ids::{RelayId, VesselId};

use crate::saturation::Saturated;
use crate::told::{Reading, Told};
use crate::world::World;

/// What an alarm watches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// An alarm of the plant: an electrode or a thermostat that raises one.
    Relay(RelayId),
    /// A tank that runs down to its outlet.
    RunsLow(VesselId),
    /// A tank that spills over its brim.
    Spills(VesselId),
    /// A tank from which a salt comes out.
    Saturated(VesselId),
    /// A tank from which a salt would come out once it has cooled to its room.
    OnceCooled(VesselId),
}

/// State of an alarm (ANSI/ISA-18.2, without acknowledgement, which a simulation does not have).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AlarmState {
    /// The condition holds.
    Active,
    /// The condition has returned to normal, but the alarm latches and nobody has reset it: what it cuts stays cut.
    Latched,
    /// The condition has returned to normal, and a latch has been reset.
    Returned,
}

impl AlarmState {
    /// The word for it: `active`, `latched` or `returned to normal`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Active => "active",
            Self::Latched => "latched",
            Self::Returned => "returned to normal",
        }
    }
}

/// An alarm or limit that was met.
#[derive(Clone, Debug, PartialEq)]
pub struct Alarm {
    /// When, s.
    pub t_s: f64,
    /// Which instrument, tank or event.
    pub device: String,
    /// What happened.
    pub told: Told,
    /// What it watches.
    pub cause: Cause,
    /// It stays until somebody resets it.
    pub latches: bool,
    /// When the condition returned to normal, its dead band behind it, s; `None` while it holds. The averaged driver tells the end of the step
    /// in which that was. A condition that comes again before a reset clears it.
    pub returned_s: Option<f64>,
    /// When a latched alarm was reset, s; `None` for one that does not latch or was not reset.
    pub reset_s: Option<f64>,
}

impl Alarm {
    /// Where it stands at the end of the run.
    #[must_use]
    pub const fn state(&self) -> AlarmState {
        match (self.returned_s, self.latches, self.reset_s) {
            (None, ..) => AlarmState::Active,
            (Some(_), true, None) => AlarmState::Latched,
            (Some(_), ..) => AlarmState::Returned,
        }
    }

    /// What happened in words, in metric units.
    #[must_use]
    pub fn words(&self) -> String {
        self.told.words(&self.device, |reading| reading.to_string())
    }

    /// The same alarm counted from another time, s.
    #[must_use]
    pub fn since(&self, zero_s: f64) -> Self {
        Self {
            t_s: self.t_s - zero_s,
            returned_s: self.returned_s.map(|t| t - zero_s),
            reset_s: self.reset_s.map(|t| t - zero_s),
            ..self.clone()
        }
    }
}

impl World {
    pub(crate) fn raise(&mut self, cause: Cause, device: &str, told: Told) {
        let latches = match cause {
            Cause::Relay(r) => self.plant.network().relays[r.index()].latches,
            _ => false,
        };
        self.alarms.push(Alarm {
            t_s: self.t_s,
            device: device.to_owned(),
            told,
            cause,
            latches,
            returned_s: None,
            reset_s: None,
        });
    }

    pub(crate) fn raise_relay(&mut self, i: usize) {
        let plant = Arc::clone(&self.plant);
        let relay = &plant.network().relays[i];
        let read = Reading::of(relay.signal, plant.read(relay.signal, &self.y));
        self.raise(Cause::Relay(RelayId(i)), &relay.name, Told::Tripped(read));
    }

    /// The last alarm of a cause, unless it is over.
    fn standing(&mut self, cause: Cause) -> Option<&mut Alarm> {
        let last = self.alarms.iter_mut().rev().find(|a| a.cause == cause)?;
        (last.state() != AlarmState::Returned).then_some(last)
    }

    /// The condition of a cause has returned to normal.
    pub(crate) fn returned(&mut self, cause: Cause) {
        let now = self.t_s;
        if let Some(alarm) = self.standing(cause) {
            alarm.returned_s.get_or_insert(now);
        }
    }

    /// The condition of a cause holds again before a reset.
    pub(crate) fn came_again(&mut self, cause: Cause) {
        if let Some(alarm) = self.standing(cause) {
            alarm.returned_s = None;
        }
    }

    /// A relay has opened: its alarm is over.
    pub(crate) fn cleared(&mut self, relay: RelayId) {
        let now = self.t_s;
        if let Some(alarm) = self.standing(Cause::Relay(relay)) {
            alarm.returned_s.get_or_insert(now);
            alarm.reset_s = alarm.latches.then_some(now);
        }
    }

    /// Forgets what has been told, and tells again what stands on: alarms that are on now, and from the next step on tanks that are low,
    /// spill or are saturated.
    pub fn tell_afresh(&mut self) {
        self.alarms.clear();
        self.low.fill(false);
        self.spilled.fill(false);
        self.saturated.fill(Saturated::default());
        self.saturation_due_s = f64::NEG_INFINITY;
        let plant = Arc::clone(&self.plant);
        for (i, relay) in plant.network().relays.iter().enumerate() {
            if self.relays[i].on && relay.role == Role::Alarm {
                let read = Reading::of(relay.signal, plant.read(relay.signal, &self.y));
                self.raise(Cause::Relay(RelayId(i)), &relay.name, Told::StandsOn(read));
                if self.relays[i].came_back_s.is_some() {
                    self.returned(Cause::Relay(RelayId(i)));
                }
            }
        }
    }

    /// Notes tanks that run low, spill or hold more of a salt than stays dissolved.
    pub fn note_limits(&mut self, is_full: impl Fn(usize, f64) -> bool) {
        let plant = Arc::clone(&self.plant);
        let net = plant.network();
        for (i, vessel) in net.vessels.iter().enumerate() {
            let (volume, _, _) = plant.holdup(VesselId(i), &self.y);
            let margin = volume - vessel.dead_m3;
            let runs_low = Cause::RunsLow(VesselId(i));
            if !self.low[i] && margin < 0.005 * vessel.full_m3 {
                self.low[i] = true;
                self.raise(runs_low, &vessel.name, Told::RanDown);
            } else if self.low[i] && margin > 0.02 * vessel.full_m3 {
                self.low[i] = false;
                self.returned(runs_low);
            }
            let spills = is_full(i, volume) && plant.spills(i);
            let spilled = std::mem::replace(&mut self.spilled[i], spills);
            if spills && !spilled {
                self.raise(Cause::Spills(VesselId(i)), &vessel.name, Told::Spills);
            } else if spilled && !spills {
                self.returned(Cause::Spills(VesselId(i)));
            }
        }
        self.note_saturation();
    }
}
