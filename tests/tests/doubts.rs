//! Where the averaged driver is not sure of itself, it says so, and the exact one never does.
//!
//! Source: what DEVELOPERS promises: heaters below 90 % while evaporating and no alarm, or else the answer is marked as not refined.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests; prints what is compared"
)]

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::{AccountId, VesselId};
use dragback_plant::network::{Action, Event, Trigger};
use dragback_run::Alarm;
use dragback_study::{Case, Depth, Driver, run_span, settled_answers};
use dragback_tests::read::WEEK_S;
use dragback_tests::shipped::{CLOCK, SHIPPED, case, from_here};

/// Where heaters work above nine tenths of their power while the tower works, the averaged answer says that it is not refined, and the exact one never does.
#[test]
fn the_averaged_driver_says_where_it_is_not_sure() {
    for (kilowatts, is_sure) in [
        ("60 kW", true),
        ("52 kW", true),
        ("43 kW", false),
        ("36 kW", false),
    ] {
        let case = case(SHIPPED[0].1, &[("loop.holding_tank.heat_input", kilowatts)]);
        let (air, hours) = (CLOCK.air, CLOCK.hours);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let (told, here) = (found.answers, from_here(&case, &found.settled.world));
        let duty = told.loops[0].heater_duty;
        println!("{kilowatts}: duty {duty:.3}, refined {}", told.refined);
        assert_eq!(duty < 0.9, is_sure, "{kilowatts}: {duty}");
        assert_eq!(told.refined, is_sure, "{kilowatts}: {duty}");
        for driver in [Driver::Preview, Driver::Exact] {
            let ran = run_span(&here, WEEK_S, driver, CLOCK, &mut |_| true).unwrap();
            let sure = is_sure || driver == Driver::Exact;
            assert_eq!(ran.answers().refined, sure, "{kilowatts}, {driver:?}");
        }
    }
}

/// The demo whose holding tank, and perhaps its collection tank, is dumped after an hour.
fn dumped(tanks: &[&str]) -> Case {
    let mut case = case(SHIPPED[0].1, &[]);
    let mut net = case.plant.network().clone();
    let account = net
        .accounts
        .iter()
        .position(|a| a.name == "dumped")
        .unwrap();
    for name in tanks {
        let vessel = net.vessels.iter().position(|v| v.name == *name).unwrap();
        net.events.push(Event {
            name: format!("{name} is dumped"),
            trigger: Trigger::At(3600.0),
            action: Action::Dump {
                vessel: VesselId(vessel),
                share: 0.9,
                account: AccountId(account),
            },
        });
    }
    case.plant = Arc::new(Plant::new(Arc::new(net), &case.cache).unwrap());
    case
}

fn is_unsure_after_an_alarm(case: &Case) {
    for (driver, is_sure) in [(Driver::Exact, true), (Driver::Preview, false)] {
        let ran = run_span(case, WEEK_S, driver, CLOCK, &mut |_| true).unwrap();
        let words: Vec<String> = ran.alarms.iter().map(Alarm::words).collect();
        println!("{driver:?}: {words:?}");
        assert!(words.iter().any(|w| w.contains("low_alarm")), "{driver:?}");
        assert_eq!(ran.answers().refined, is_sure, "{driver:?}");
    }
}

/// The same where an alarm fires: there is no water to fill the holding tank again until work begins.
#[test]
fn the_averaged_driver_is_not_sure_when_an_alarm_fires() {
    is_unsure_after_an_alarm(&dumped(&["holding tank", "collection tank"]));
}

/// The same where the alarm lasts for minutes: the collection tank fills the holding tank again.
#[test]
fn the_averaged_driver_is_not_sure_when_an_alarm_fires_for_a_while() {
    is_unsure_after_an_alarm(&dumped(&["holding tank"]));
}
