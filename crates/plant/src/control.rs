//! Relays and devices: what switches what.
//!
//! A relay turns a measured signal into on or off, with two thresholds so that it cannot chatter. A device runs when its
//! calendar is open, it has not failed and every one of its conditions holds. Interlocks are conditions like any
//! other, marked so that a report can list them and a test can take one away.

use crate::ids::{CalendarId, DeviceId, RelayId, SoluteId, VesselId};

/// What a relay measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signal {
    /// Temperature of a vessel, °C.
    Temperature(VesselId),
    /// Level of a vessel over its bottom, m.
    Level(VesselId),
    /// Concentration of a solute, kg/m³.
    Concentration(VesselId, SoluteId),
    /// Conductivity at 25 °C, S/m (an estimate).
    Conductivity(VesselId),
    /// Density, kg/m³.
    Density(VesselId),
}

impl Signal {
    /// The vessel in which it is measured.
    #[must_use]
    pub const fn vessel(self) -> VesselId {
        match self {
            Self::Temperature(v)
            | Self::Level(v)
            | Self::Concentration(v, _)
            | Self::Conductivity(v)
            | Self::Density(v) => v,
        }
    }

    /// The same instrument in another vessel.
    #[must_use]
    pub const fn moved_to(self, v: VesselId) -> Self {
        match self {
            Self::Temperature(_) => Self::Temperature(v),
            Self::Level(_) => Self::Level(v),
            Self::Concentration(_, s) => Self::Concentration(v, s),
            Self::Conductivity(_) => Self::Conductivity(v),
            Self::Density(_) => Self::Density(v),
        }
    }
}

/// On which side of its band a relay closes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Acts {
    /// On at or below the lower threshold, off at or above the upper one: heating, filling.
    Below,
    /// On at or above the upper threshold, off at or below the lower one: emptying, high alarms.
    Above,
}

/// What a relay is for, which decides how the averaged driver stands in for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Holds its signal within the band by the devices it switches.
    Regulate,
    /// Lets a device run as long as there is something to work on.
    Permit,
    /// Raises an alarm.
    Alarm,
}

/// A switch with two thresholds.
#[derive(Clone, Debug, PartialEq)]
pub struct Relay {
    /// Name that people use; unique in the network.
    pub name: String,
    /// What it measures.
    pub signal: Signal,
    /// Lower threshold, in the signal's unit.
    pub lower: f64,
    /// Upper threshold, in the signal's unit; above the lower one.
    pub upper: f64,
    /// Side on which it closes.
    pub acts: Acts,
    /// Once on, it stays on until reset.
    pub latches: bool,
    /// How long after the signal has come back an operator resets it, s; `None` when only an event does.
    pub operator_reset_s: Option<f64>,
    /// What it is for.
    pub role: Role,
    /// State at time zero when the signal stands within the band.
    pub starts_on: bool,
}

impl Relay {
    /// State after the signal has taken a value, from the state before.
    #[must_use]
    pub fn next(&self, value: f64, was_on: bool) -> bool {
        match self.acts {
            Acts::Below if value <= self.lower => true,
            Acts::Above if value >= self.upper => true,
            _ if self.latches && was_on => true,
            Acts::Below if value >= self.upper => false,
            Acts::Above if value <= self.lower => false,
            _ => was_on,
        }
    }

    /// Whether the signal has come back far enough for a reset.
    #[must_use]
    pub fn may_reset(&self, value: f64) -> bool {
        match self.acts {
            Acts::Below => value >= self.upper,
            Acts::Above => value <= self.lower,
        }
    }

    /// Middle of the band.
    #[must_use]
    pub fn middle(&self) -> f64 {
        0.5 * (self.lower + self.upper)
    }
}

/// A condition for a device to run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Condition {
    /// A relay is on.
    On(RelayId),
    /// A relay is off.
    Off(RelayId),
    /// Another device runs.
    Runs(DeviceId),
    /// A calendar is open.
    Open(CalendarId),
    /// A calendar is shut.
    Shut(CalendarId),
    /// Any of these holds.
    Any(Vec<Condition>),
    /// All of these hold.
    All(Vec<Condition>),
}

/// A condition and whether it protects people or plant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Requirement {
    /// The condition.
    pub condition: Condition,
    /// It is an interlock: it holds in every mode of operation.
    pub is_interlock: bool,
}

/// Kind of a device, for drawing and for the averaged driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeviceKind {
    /// Electric element or coil valve.
    Heater,
    /// Evaporator feed pump.
    FeedPump,
    /// Evaporator blower.
    Blower,
    /// Any other pump.
    Pump,
    /// A valve on a water supply.
    Valve,
    /// A rectifier.
    Rectifier,
}

/// A heater output that falls across a band of temperature instead of switching.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proportional {
    /// Vessel whose temperature is read.
    pub vessel: VesselId,
    /// Middle of the band, °C.
    pub set_c: f64,
    /// Width of the band, K.
    pub band_k: f64,
}

/// Something that runs or rests.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Name that people use; unique in the network.
    pub name: String,
    /// Kind.
    pub kind: DeviceKind,
    /// Hours in which it may run.
    pub calendar: Option<CalendarId>,
    /// Conditions, all of which must hold.
    pub requires: Vec<Requirement>,
    /// Falling output within a band of temperature.
    pub proportional: Option<Proportional>,
}

/// What has been done to a device besides what switches it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Handling {
    /// It has failed and stands, whoever asks for it.
    pub has_failed: bool,
    /// It is run by hand: calendar, levels, thermostats and the like are overridden, interlocks are not.
    pub by_hand: bool,
}

impl Condition {
    /// Whether it holds, given which relays are on, which calendars are open and what share each device runs.
    ///
    /// The result is a share: with relays and devices either on or off and calendars open or shut it is 0 or 1. Calendars that are open by a share
    /// are combined as if one lay within the other; [`crate::calendar::spells`] tells which are open together.
    #[must_use]
    pub fn share(&self, relays_on: &[bool], open: &[f64], outputs: &[f64]) -> f64 {
        let yes = |b: bool| if b { 1.0 } else { 0.0 };
        match self {
            Self::On(r) => yes(relays_on[r.index()]),
            Self::Off(r) => yes(!relays_on[r.index()]),
            Self::Runs(d) => outputs[d.index()],
            Self::Open(c) => open[c.index()],
            Self::Shut(c) => 1.0 - open[c.index()],
            Self::Any(list) => list
                .iter()
                .map(|c| c.share(relays_on, open, outputs))
                .fold(0.0, f64::max),
            Self::All(list) => list
                .iter()
                .map(|c| c.share(relays_on, open, outputs))
                .fold(1.0, f64::min),
        }
    }

    fn visit<'a>(&'a self, see: &mut dyn FnMut(&'a Condition)) {
        see(self);
        if let Self::Any(list) | Self::All(list) = self {
            for c in list {
                c.visit(see);
            }
        }
    }
}

impl Device {
    /// The devices whose running it requires.
    #[must_use]
    pub fn depends_on(&self) -> Vec<DeviceId> {
        let mut found = Vec::new();
        for r in &self.requires {
            r.condition.visit(&mut |c| {
                if let Condition::Runs(d) = c {
                    found.push(*d);
                }
            });
        }
        found
    }

    /// The relays that have a say in it.
    #[must_use]
    pub fn relays(&self) -> Vec<RelayId> {
        let mut found = Vec::new();
        for r in &self.requires {
            r.condition.visit(&mut |c| {
                if let Condition::On(r) | Condition::Off(r) = c {
                    found.push(*r);
                }
            });
        }
        found
    }

    /// Share that calendar, failures and conditions let the device run, 0 to 1; one that is run by hand answers to its interlocks alone.
    #[must_use]
    pub fn permitted(
        &self,
        relays_on: &[bool],
        open: &[f64],
        outputs: &[f64],
        handling: Handling,
    ) -> f64 {
        if handling.has_failed {
            return 0.0;
        }
        let calendar = self.calendar.filter(|_| !handling.by_hand);
        let mut share = calendar.map_or(1.0, |c| open[c.index()]);
        let by_hand = handling.by_hand;
        for r in self.requires.iter().filter(|r| r.is_interlock || !by_hand) {
            share = share.min(r.condition.share(relays_on, open, outputs));
            if share == 0.0 {
                return 0.0;
            }
        }
        share
    }

    /// Output of the device, 0 to 1: what it is permitted, less what a proportional band takes off at a temperature unless it is run by hand.
    #[must_use]
    pub fn output(
        &self,
        relays_on: &[bool],
        open: &[f64],
        outputs: &[f64],
        handling: Handling,
        temp_c: impl Fn(VesselId) -> f64,
    ) -> f64 {
        let share = self.permitted(relays_on, open, outputs, handling);
        match self.proportional.filter(|_| !handling.by_hand) {
            Some(p) if share > 0.0 => share * p.share(temp_c(p.vessel)),
            _ => share,
        }
    }
}

impl Proportional {
    /// Share of the power at a temperature, °C: 1 below the band, 0 above it.
    #[must_use]
    pub fn share(&self, temp_c: f64) -> f64 {
        ((self.set_c + 0.5 * self.band_k - temp_c) / self.band_k).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn relay(acts: Acts, latches: bool) -> Relay {
        Relay {
            name: "r".into(),
            signal: Signal::Temperature(VesselId(0)),
            lower: 1.0,
            upper: 2.0,
            acts,
            latches,
            operator_reset_s: None,
            role: Role::Regulate,
            starts_on: false,
        }
    }

    #[test]
    fn a_relay_keeps_its_state_within_the_band() {
        let r = relay(Acts::Below, false);
        assert!(r.next(0.9, false));
        assert!(r.next(1.5, true));
        assert!(!r.next(1.5, false));
        assert!(!r.next(2.0, true));
    }

    #[test]
    fn a_latched_relay_stays_until_reset() {
        let r = relay(Acts::Above, true);
        assert!(r.next(2.0, false));
        assert!(r.next(0.5, true));
        assert!(r.may_reset(0.5));
        assert!(!r.may_reset(1.5));
    }

    /// Source: hand derivation. By hand a device runs at night, against its thermostat and at full power, but not against an interlock nor once it has failed.
    #[test]
    fn by_hand_only_interlocks_and_failures_stop_a_device() {
        let required = |relay, is_interlock| Requirement {
            condition: Condition::On(RelayId(relay)),
            is_interlock,
        };
        let device = Device {
            name: "d".into(),
            kind: DeviceKind::Heater,
            calendar: Some(CalendarId(0)),
            requires: vec![required(0, false), required(1, true)],
            proportional: Some(Proportional {
                vessel: VesselId(0),
                set_c: 50.0,
                band_k: 2.0,
            }),
        };
        let output =
            |on: [bool; 2], open, handling| device.output(&on, &[open], &[], handling, |_| 50.0);
        let automatic = Handling::default();
        let by_hand = Handling {
            by_hand: true,
            ..automatic
        };
        let failed = Handling {
            has_failed: true,
            ..by_hand
        };
        assert_eq!(output([true, true], 1.0, automatic), 0.5);
        assert_eq!(output([false, true], 1.0, automatic), 0.0);
        assert_eq!(output([true, true], 0.0, automatic), 0.0);
        assert_eq!(output([false, true], 0.0, by_hand), 1.0);
        assert_eq!(output([true, false], 1.0, by_hand), 0.0);
        assert_eq!(output([true, true], 1.0, failed), 0.0);
    }

    #[test]
    fn conditions_combine_as_shares() {
        let c = Condition::All(vec![
            Condition::On(RelayId(0)),
            Condition::Any(vec![
                Condition::Runs(DeviceId(0)),
                Condition::Off(RelayId(1)),
            ]),
        ]);
        assert_eq!(c.share(&[true, true], &[], &[0.25]), 0.25);
        assert_eq!(c.share(&[true, false], &[], &[0.25]), 1.0);
        assert_eq!(c.share(&[false, false], &[], &[1.0]), 0.0);
    }

    #[test]
    fn a_calendar_is_either_open_or_shut() {
        let calendar = CalendarId(0);
        for open in [0.0, 0.25, 1.0] {
            let share = |c: Condition| c.share(&[], &[open], &[]);
            assert_eq!(share(Condition::Open(calendar)), open);
            assert_eq!(share(Condition::Shut(calendar)), 1.0 - open);
        }
    }
}
