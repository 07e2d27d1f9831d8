//! Alarms as they are told: one for each cause.

use dragback_plant::Network;
use dragback_run::{Alarm, Cause};
use dragback_scenario::called;
use dragback_units::constants as unit;

use crate::answers::AlarmAnswer;

/// Alarms in the order in which each was raised first. What comes again, such as crystals every cold night, is the same alarm (ANSI/ISA-18.2)
/// and is counted.
#[must_use]
pub fn alarm_answers(net: &Network, alarms: &[Alarm]) -> Vec<AlarmAnswer> {
    let mut found: Vec<(&Alarm, AlarmAnswer)> = Vec::new();
    for alarm in alarms {
        let told = answer(net, alarm);
        let same = |a: &Alarm| (a.cause, &a.device) == (alarm.cause, &alarm.device);
        match found.iter_mut().find(|(a, _)| same(a)) {
            Some((_, before)) => {
                *before = AlarmAnswer {
                    at_h: before.at_h,
                    times: before.times + 1,
                    what: std::mem::take(&mut before.what),
                    told: before.told,
                    ..told
                };
            }
            None => found.push((alarm, told)),
        }
    }
    found.into_iter().map(|(_, told)| told).collect()
}

/// What people call the instrument or tank of an alarm.
#[must_use]
pub fn alarm_called(net: &Network, alarm: &Alarm) -> String {
    match alarm.cause {
        Cause::Relay(_) => called(&alarm.device, net.loops.len()),
        _ => alarm.device.clone(),
    }
}

fn answer(net: &Network, alarm: &Alarm) -> AlarmAnswer {
    let vessel = match alarm.cause {
        Cause::Relay(r) => net.relays.get(r.index()).map(|r| r.signal.vessel()),
        Cause::RunsLow(v) | Cause::Spills(v) | Cause::Saturated(v) | Cause::OnceCooled(v) => {
            Some(v)
        }
    };
    let vessel = vessel.and_then(|v| net.vessels.get(v.index()));
    AlarmAnswer {
        at_h: unit::hours(alarm.t_s),
        times: 1,
        last_h: unit::hours(alarm.t_s),
        device: alarm.device.clone(),
        called: alarm_called(net, alarm),
        vessel: vessel.map_or_else(String::new, |v| v.name.clone()),
        cause: alarm.cause,
        what: alarm.words(),
        told: alarm.told,
        returned_h: alarm.returned_s.map(unit::hours),
        reset_h: alarm.reset_s.map(unit::hours),
        state: alarm.state().word(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use dragback_plant::ids::{RelayId, VesselId};
    use dragback_run::{Reading, Told};

    fn demo() -> Network {
        let text = include_str!("../../../scenarios/demo.ron");
        let scenario = dragback_scenario::load(text).0.unwrap();
        dragback_scenario::lower(&scenario).unwrap()
    }

    fn alarm(hours: f64, cause: Cause, returned_h: Option<f64>) -> Alarm {
        Alarm {
            t_s: unit::SECONDS_PER_HOUR * hours,
            device: "rinses 1".to_owned(),
            told: Told::Tripped(Reading::LevelM(hours)),
            cause,
            latches: matches!(cause, Cause::Relay(_)),
            returned_s: returned_h.map(|h| unit::SECONDS_PER_HOUR * h),
            reset_s: None,
        }
    }

    /// Hand derivation: two nights of crystals and one electrode are two alarms, the first of which stands as its last night left it.
    #[test]
    fn what_comes_again_is_one_alarm_with_a_count() {
        let salt = Cause::Saturated(VesselId(1));
        let told = alarm_answers(
            &demo(),
            &[
                alarm(2.0, salt, Some(10.0)),
                alarm(5.0, Cause::Relay(RelayId(0)), Some(6.0)),
                alarm(26.0, salt, None),
            ],
        );
        assert_eq!(told.len(), 2);
        let (crystals, electrode) = (&told[0], &told[1]);
        assert_eq!(
            (crystals.at_h, crystals.times, crystals.last_h),
            (2.0, 2, 26.0)
        );
        assert_eq!(crystals.what, "rinses 1 tripped at 2.000 m");
        assert_eq!(crystals.told, Told::Tripped(Reading::LevelM(2.0)));
        assert_eq!(crystals.vessel, demo().vessels[1].name);
        assert_eq!((crystals.returned_h, crystals.state), (None, "active"));
        assert_eq!((electrode.times, electrode.state), (1, "latched"));
    }

    /// Each tank is a cause of its own, and so is what only the weekend would bring.
    #[test]
    fn other_tanks_and_other_causes_are_other_alarms() {
        let causes = [
            Cause::Saturated(VesselId(1)),
            Cause::Saturated(VesselId(2)),
            Cause::OnceCooled(VesselId(1)),
        ];
        let alarms: Vec<Alarm> = causes.map(|c| alarm(1.0, c, None)).into();
        assert_eq!(alarm_answers(&demo(), &alarms).len(), 3);
    }
}
