//! Work spread evenly over the week, where the evaporators have hours of their own and the holding tank cools outside of them.
//!
//! Source: hand derivation. Two evaporators of which one works while the other rests leave no hour between them, whatever the larger of their
//! shares says; and the heaters of a tank below both its set points are on whatever the hour.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::load;
use dragback_study::{AirChoice, Answers, Case, Clock, Driver, Hours, run_span};
use dragback_tests::read::WEEK_S;

const DEMO: &str = include_str!("../../scenarios/demo.ron");
/// Elements of the holding tank.
const ELEMENTS: f64 = 4.0;
/// Set point of the holding tank at rest, °C.
const IDLE_C: f64 = 51.0;

/// The demo with an evaporator from six to two and one from two to ten, a holding tank that may cool at rest, and elements of some power each.
fn two_towers(element_kw: f64, control: &str) -> Case {
    let (before, after) = DEMO.split_once("\"t1\": (").unwrap();
    let end = after.find("ceiling: \"70 °C\",").unwrap();
    let (tower, rest) = after.split_at(end);
    let one = |key: &str, hours: &str| {
        format!("\"{key}\": (calendar: \"{hours}\", {tower} ceiling: \"70 °C\"),")
    };
    let rest = rest.strip_prefix("ceiling: \"70 °C\",").unwrap();
    let rest = rest.trim_start().strip_prefix("),").unwrap();
    let towers = one("t1", "early") + &one("t2", "late");
    let calendars = "calendars: {
        \"early\": (days: \"Mon-Fri\", from: \"06:00\", to: \"14:00\"),
        \"late\": (days: \"Mon-Fri\", from: \"14:00\", to: \"22:00\"),";
    let idle =
        format!("set_point: \"58 °C\", idle_set_point: \"{IDLE_C} °C\", control: {control},");
    let text = format!("{before}{towers}{rest}")
        .replacen("calendars: {", calendars, 1)
        .replacen("set_point: \"58 °C\",", &idle, 1)
        .replace(
            "(power: \"13 kW\")",
            &format!("(power: \"{element_kw} kW\")"),
        );
    let (scenario, problems) = load(&text);
    assert!(problems.is_empty(), "{problems:?}");
    Case::new(Arc::new(scenario.unwrap()), &TowerCache::default()).unwrap()
}

/// Answers of four weeks.
fn weeks(case: &Case, driver: Driver, hours: Hours) -> Answers {
    let clock = Clock {
        hours,
        air: AirChoice::Mean,
    };
    let ran = run_span(case, 4.0 * WEEK_S, driver, clock, &mut |_| true).unwrap();
    ran.answers()
}

fn holding_c(answers: &Answers) -> f64 {
    let mut vessels = answers.vessels.iter();
    vessels
        .find(|v| v.name == "holding tank")
        .unwrap()
        .temperature_c
}

/// Two evaporators that take turns keep the tank at its set point all day, and 16 hours a day on five days of the week are 10 of 21; the remaining 11 of 21
/// the heaters answer to the idle set point. Below both, all are on.
///
/// Bound: what the averaged driver promises, 1 % of itself; the temperature within half a kelvin. A thermostat holds the exact driver within its dead band.
#[test]
fn both_drivers_agree_where_the_holding_tank_may_cool() {
    for control in ["on_off", "proportional"] {
        for element_kw in [2.0, 6.0, 9.0, 13.0] {
            let case = two_towers(element_kw, control);
            let [averaged, exact] =
                [Driver::Preview, Driver::Exact].map(|d| weeks(&case, d, Hours::WeekMean));
            let kw = [&averaged, &exact].map(|a| a.loops[0].heater_mean_kw);
            let temp_c = [&averaged, &exact].map(holding_c);
            assert!((kw[0] / kw[1] - 1.0).abs() < 0.01, "{control}: {kw:?} kW");
            assert!(
                (temp_c[0] - temp_c[1]).abs() < 0.5,
                "{control}: {temp_c:?} °C"
            );
            if holding_c(&averaged) < IDLE_C - 2.0 {
                let all_kw = ELEMENTS * element_kw;
                assert!(
                    (kw[0] - all_kw).abs() < 1e-6 * all_kw,
                    "{control}: {kw:?} kW"
                );
            }
        }
    }
}

/// The mean is taken at one temperature, which the week does not know: the answer says so, and only there.
#[test]
fn the_averaged_driver_says_that_no_hour_is_left_to_cool_in() {
    let case = two_towers(13.0, "on_off");
    let says = |driver, hours| {
        let told = weeks(&case, driver, hours);
        told.doubts.iter().any(|d| d.contains("no hours of rest"))
    };
    assert!(says(Driver::Preview, Hours::WeekMean));
    assert!(!says(Driver::Preview, Hours::Calendar));
    assert!(!says(Driver::Exact, Hours::WeekMean));
}
