//! Alarms and events in the order in which they came.

use dragback_study::{AlarmAnswer, Answers};

use crate::{Facts, NO_NUMBER, Show};

/// Events of the scenario that happened, each behind its moment.
#[must_use]
pub fn events(answers: &Answers) -> Facts {
    let mut facts = Facts::default();
    for event in &answers.events {
        facts.push(&moment(event.at_h), event.words.clone());
    }
    facts
}

/// Alarms in the order in which they were first raised, each behind that moment.
#[must_use]
pub fn alarms(answers: &Answers, show: Show) -> Facts {
    let mut facts = Facts::default();
    for alarm in &answers.alarms {
        let what = alarm.words(&show);
        let what = format!("{what}; {}{}", again(alarm), ending(alarm));
        facts.push(&moment(alarm.at_h), what);
    }
    facts
}

/// How often it came: `27 times, last day 83 02:00; `, or nothing for once.
fn again(alarm: &AlarmAnswer) -> String {
    if alarm.times < 2 {
        return String::new();
    }
    format!("{} times, last {}; ", alarm.times, moment(alarm.last_h))
}

/// How an alarm ended: `active`, `normal day 3 04:12, latched`, `normal day 3 04:12, reset day 3 06:12`.
fn ending(alarm: &AlarmAnswer) -> String {
    match (alarm.returned_h, alarm.reset_h) {
        (None, _) => alarm.state.to_owned(),
        (Some(returned_h), Some(reset_h)) => {
            let (returned, reset) = (moment(returned_h), moment(reset_h));
            format!("normal {returned}, reset {reset}")
        }
        (Some(returned_h), None) if alarm.state == "latched" => {
            format!("normal {}, latched", moment(returned_h))
        }
        (Some(returned_h), None) => format!("normal {}", moment(returned_h)),
    }
}

/// `day 3 04:12`, counted from the start: day 0 is a Monday.
#[must_use]
pub fn moment(at_h: f64) -> String {
    if !at_h.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let minutes = (at_h * 60.0).round();
    let day = (minutes / (24.0 * 60.0)).floor();
    let in_day = minutes - day * 24.0 * 60.0;
    format!(
        "day {day:.0} {:02.0}:{:02.0}",
        (in_day / 60.0).floor(),
        in_day % 60.0
    )
}

#[cfg(test)]
mod tests {
    use dragback_plant::ids::VesselId;
    use dragback_run::{Cause, Told};

    use super::*;

    #[test]
    fn an_alarm_tells_how_it_ended() {
        let told = |returned_h, reset_h, state| {
            ending(&AlarmAnswer {
                at_h: 76.0,
                times: 1,
                last_h: 76.0,
                device: "d".to_owned(),
                called: "d".to_owned(),
                vessel: "t".to_owned(),
                cause: Cause::Spills(VesselId(0)),
                what: "w".to_owned(),
                told: Told::Spills,
                returned_h,
                reset_h,
                state,
            })
        };
        assert_eq!(told(None, None, "active"), "active");
        assert_eq!(
            told(Some(76.2), None, "latched"),
            "normal day 3 04:12, latched"
        );
        assert_eq!(
            told(Some(76.2), None, "returned to normal"),
            "normal day 3 04:12"
        );
        assert_eq!(
            told(Some(76.2), Some(78.2), "returned to normal"),
            "normal day 3 04:12, reset day 3 06:12"
        );
    }

    #[test]
    fn moments_are_days_and_clock() {
        assert_eq!(moment(0.0), "day 0 00:00");
        assert_eq!(moment(76.2), "day 3 04:12");
        assert_eq!(moment(23.9999), "day 1 00:00");
        assert_eq!(moment(f64::NAN), NO_NUMBER);
    }
}
