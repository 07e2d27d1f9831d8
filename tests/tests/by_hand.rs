//! Devices that are run by hand: what normally asks for them is overridden, interlocks are not.
//!
//! Source: hand derivation from what interlocks are for.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests; a test stops where its line cannot be"
)]

use std::sync::Arc;

use dragback_plant::ids::{DeviceId, HeatId};
use dragback_plant::{Plant, TowerCache};
use dragback_run::exact::ExactOptions;
use dragback_run::preview::PreviewOptions;
use dragback_run::{Alarm, Reading, Told, World};
use dragback_scenario::{load, lower};
use dragback_tests::read::{run_exact, run_preview};

const DEMO: &str = include_str!("../../scenarios/demo.ron");
const CHROMIUM: &str = include_str!("../../scenarios/chromium.ron");
const HOUR_S: f64 = 3600.0;
/// Saturday, when no work runs, h.
const SATURDAY_H: f64 = 5.0 * 24.0 + 6.0;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Driver {
    Exact,
    Averaged,
}

impl Driver {
    const BOTH: [Self; 2] = [Self::Exact, Self::Averaged];

    fn go(self, world: &mut World, hours: f64) {
        match self {
            Self::Exact => run_exact(world, hours * HOUR_S, &ExactOptions::default()),
            Self::Averaged => run_preview(world, hours * HOUR_S, &PreviewOptions::default()),
        };
    }
}

fn demo(events: &str) -> World {
    line(DEMO, events)
}

fn line(text: &str, events: &str) -> World {
    let text = text.replace("reset_after: \"2 h\",", "");
    let end = text.rfind(')').unwrap();
    let (scenario, problems) = load(&format!("{}events: [{events}],\n)", &text[..end]));
    assert!(problems.is_empty(), "{problems:?}");
    let cache = TowerCache::default();
    let plant = Plant::new(Arc::new(lower(&scenario.unwrap()).unwrap()), &cache).unwrap();
    World::new(Arc::new(plant), cache)
}

fn event(hours: f64, deed: &str, device: &str) -> String {
    format!("(at: \"{hours} h\", do: ({deed}: \"loop.{device}\")),")
}

/// How long a device has run, h.
fn ran_h(world: &World, device: &str) -> f64 {
    let (net, name) = (world.plant.network(), format!("loop.{device}"));
    let at = net.devices.iter().position(|d| d.name == name);
    let d = DeviceId(at.unwrap_or_else(|| panic!("no {name}")));
    world.y[world.plant.layout().ran(d)] / HOUR_S
}

fn alarms<'w>(world: &'w World, tail: &str) -> Vec<&'w Alarm> {
    let of = world.alarms.iter().filter(|a| a.device.ends_with(tail));
    of.collect()
}

/// The temperature at which the only over-temperature alarm tripped, °C.
fn tripped_c(world: &World) -> f64 {
    let told = alarms(world, "over_temperature");
    assert_eq!(told.len(), 1, "{:?}", world.alarms);
    let Told::Tripped(Reading::TemperatureC(tripped_c)) = told[0].told else {
        panic!("{:?}", told[0]);
    };
    tripped_c
}

/// The rectifier stands on a Saturday. By hand it runs until it is put back.
#[test]
fn by_hand_a_device_runs_outside_its_hours() {
    for driver in Driver::BOTH {
        let mut events = event(SATURDAY_H, "by_hand", "bath.rectifier");
        events += &event(SATURDAY_H + 3.0, "automatic", "bath.rectifier");
        let mut world = demo(&events);
        driver.go(&mut world, SATURDAY_H);
        let before = ran_h(&world, "bath.rectifier");
        driver.go(&mut world, SATURDAY_H + 6.0);
        let ran = ran_h(&world, "bath.rectifier") - before;
        assert!((ran - 3.0).abs() < 1e-6, "{driver:?}: {ran} h");
    }
}

/// The transfer pump by hand fills the holding tank to its high alarm and no further: the interlock stops it.
#[test]
fn the_high_alarm_stops_a_pump_that_is_run_by_hand() {
    let high_m = 0.95;
    for driver in Driver::BOTH {
        let mut world = demo(&event(12.0, "by_hand", "holding_tank.transfer_pump"));
        driver.go(&mut world, 40.0);
        let net = world.plant.network();
        let tank = net.loops[0].holding.unwrap();
        assert!(!alarms(&world, "high_alarm").is_empty(), "{driver:?}");
        assert!(
            !world
                .alarms
                .iter()
                .any(|a| a.words() == "holding tank spills over its brim"),
            "{driver:?}: {:?}",
            world.alarms
        );
        let (volume, _, _) = world.plant.holdup(tank, &world.y);
        let level_m = net.vessels[tank.index()].shape.level_m(volume);
        println!("{driver:?}: {level_m:.3} m");
        assert!(level_m < high_m + 0.005, "{driver:?}: {level_m} m");
    }
}

/// All elements by hand heat past their thermostat until over-temperature cuts them, and stay cut while it is latched; the alarm trips at its own temperature.
#[test]
fn over_temperature_stops_heat_that_is_run_by_hand() {
    let trips_c = 58.0 + 2.4;
    for driver in Driver::BOTH {
        let elements = ["e1", "e2", "e3", "e4"].map(|e| format!("holding_tank.elements.{e}"));
        let by_hand = elements.iter().map(|e| event(SATURDAY_H, "by_hand", e));
        let mut world = demo(&by_hand.collect::<String>());
        driver.go(&mut world, SATURDAY_H);
        assert!(alarms(&world, "over_temperature").is_empty(), "{driver:?}");
        driver.go(&mut world, SATURDAY_H + 12.0);
        let tripped_c = tripped_c(&world);
        // The averaged driver passes the threshold by half a tenth.
        assert!(
            (tripped_c - trips_c).abs() < 0.06,
            "{driver:?}: {tripped_c}"
        );
        assert!(alarms(&world, "high_limit").is_empty(), "{driver:?}");
        let cut = elements.iter().map(|e| ran_h(&world, e)).sum::<f64>();
        driver.go(&mut world, SATURDAY_H + 24.0);
        let still = elements.iter().map(|e| ran_h(&world, e)).sum::<f64>();
        assert!((still - cut).abs() < 1e-9, "{driver:?}: {cut} to {still} h");
    }
}

/// A feed pump by hand does not run without its blower, whose failure outlasts the hand; with the blower it empties the tank down to the low alarm, which cuts it.
#[test]
fn a_feed_pump_by_hand_needs_its_blower_and_stops_at_the_low_alarm() {
    for driver in Driver::BOTH {
        let mut events = event(30.0, "fail", "towers.t1.blower");
        events += &event(31.0, "by_hand", "towers.t1.pump");
        events += &event(31.0, "by_hand", "towers.t1.blower");
        events += &event(36.0, "restore", "towers.t1.blower");
        events += &event(36.0, "fail", "holding_tank.transfer_pump");
        let mut world = demo(&events);
        driver.go(&mut world, 31.0);
        let before = ran_h(&world, "towers.t1.pump");
        driver.go(&mut world, 36.0);
        let stood = ran_h(&world, "towers.t1.pump") - before;
        assert!(stood.abs() < 1e-9, "{driver:?}: it ran {stood} h");
        driver.go(&mut world, 96.0);
        let told = alarms(&world, "low_alarm");
        assert_eq!(told.len(), 1, "{driver:?}: {:?}", world.alarms);
        let ran = ran_h(&world, "towers.t1.pump") - before;
        assert!(ran > 1.0, "{driver:?}: {ran} h");
        let stopped = ran_h(&world, "towers.t1.pump");
        driver.go(&mut world, 110.0);
        let still = ran_h(&world, "towers.t1.pump");
        assert!((still - stopped).abs() < 1e-9, "{driver:?}: {still} h");
    }
}

/// A bath heater by hand heats flat out past its set point until the alarm of a bath that feeds a tower cuts it, and no longer.
///
/// Without its cooler the bath warms from 60 °C to 65 °C; the current and the tower rest on a Saturday.
#[test]
fn a_bath_heater_by_hand_heats_flat_out_until_over_temperature() {
    let (set_c, trips_c, power_w) = (60.0, 65.0, 40e3);
    let text = CHROMIUM.replacen("cooler_power: \"30 kW\"", "cooler_power: \"0 kW\"", 1);
    for driver in Driver::BOTH {
        let event = format!("(at: \"{SATURDAY_H} h\", do: (by_hand: \"chrome.bath.heater\")),");
        let mut world = line(&text, &event);
        let net = Arc::clone(&world.plant);
        let heats = net.network().heats.iter();
        let at = heats
            .clone()
            .position(|h| h.name.contains("bath heater"))
            .unwrap();
        let device = net.network().heats[at].gate.device.unwrap();
        let bath = net.network().loops[0].bath;
        let read = |world: &World| {
            let layout = net.layout();
            let given_j = world.y[layout.delivered(HeatId(at))];
            (given_j, world.y[layout.ran(device)])
        };
        let temp_c = |world: &World| net.holdup(bath, &world.y).1;
        driver.go(&mut world, SATURDAY_H);
        assert!(alarms(&world, "over_temperature").is_empty(), "{driver:?}");
        assert!(
            temp_c(&world) < set_c + 1.0,
            "{driver:?}: {}",
            temp_c(&world)
        );
        let before = read(&world);
        driver.go(&mut world, SATURDAY_H + 0.25);
        let after = read(&world);
        // Long before the alarm both work for all of the quarter of an hour.
        let given_w = (after.0 - before.0) / (0.25 * HOUR_S);
        assert!(
            (given_w - power_w).abs() < 1e-6 * power_w,
            "{driver:?}: {given_w} W"
        );
        let ran_s = after.1 - before.1;
        assert!(
            (ran_s - 0.25 * HOUR_S).abs() < 1e-6,
            "{driver:?}: {ran_s} s"
        );
        driver.go(&mut world, SATURDAY_H + 12.0);
        let tripped_c = tripped_c(&world);
        assert!(
            (tripped_c - trips_c).abs() < 0.06,
            "{driver:?}: {tripped_c} °C"
        );
        let cut = read(&world);
        driver.go(&mut world, SATURDAY_H + 24.0);
        assert_eq!(read(&world), cut, "{driver:?}: it heats on");
        assert!(temp_c(&world) < trips_c, "{driver:?}: {}", temp_c(&world));
    }
}

/// Of a tower by hand whose blower is automatic, the blower rests at the evaporation stop and the pump with it: the tank never falls to its low alarm.
#[test]
fn a_feed_pump_by_hand_rests_with_its_automatic_blower() {
    for driver in Driver::BOTH {
        let mut events = event(30.0, "by_hand", "towers.t1.pump");
        events += &event(30.0, "fail", "holding_tank.transfer_pump");
        let mut world = demo(&events);
        driver.go(&mut world, 48.0);
        let pump = ran_h(&world, "towers.t1.pump");
        assert!(pump < 47.0, "{driver:?}: it never rests, {pump} h");
        driver.go(&mut world, 60.0);
        assert!(
            alarms(&world, "low_alarm").is_empty(),
            "{driver:?}: {:?}",
            world.alarms
        );
        let still = ran_h(&world, "towers.t1.pump");
        assert!(
            (still - pump).abs() < 1e-9,
            "{driver:?}: {pump} to {still} h"
        );
    }
}

/// Of two towers on one tank one is run by hand. There is water for that one and for part of the other's time, which its permit gives it: the tank does not fall
/// to its low alarm, and both drivers give the other the same share.
#[test]
fn beside_a_tower_by_hand_another_one_answers_to_its_permit() {
    let (before, after) = DEMO.split_once("\"t1\": (").unwrap();
    let (tower, rest) = after.split_once("ceiling: \"70 °C\",").unwrap();
    let rest = rest.trim_start().strip_prefix("),").unwrap();
    let one = |key: &str| format!("\"{key}\": ({tower} ceiling: \"70 °C\"),");
    let text = format!("{before}{}{}{rest}", one("t1"), one("t2"))
        .replace("(power: \"13 kW\")", "(power: \"30 kW\")")
        .replacen("flow: \"95 L/h\"", "flow: \"75 L/h\"", 1)
        .replacen("feed: while_working", "feed: continuous", 1);
    let hours = Driver::BOTH.map(|driver| {
        let mut events = event(1.0, "by_hand", "towers.t1.pump");
        events += &event(1.0, "by_hand", "towers.t1.blower");
        let mut world = line(&text, &events);
        driver.go(&mut world, 48.0);
        let start = ["towers.t1.pump", "towers.t2.pump"].map(|p| ran_h(&world, p));
        driver.go(&mut world, 168.0);
        let ran = ["towers.t1.pump", "towers.t2.pump"].map(|p| ran_h(&world, p));
        assert!(alarms(&world, "low_alarm").is_empty(), "{driver:?}");
        [ran[0] - start[0], ran[1] - start[1]]
    });
    for [by_hand, other] in hours {
        assert!((by_hand - 120.0).abs() < 1e-6, "{hours:?}");
        assert!(other > 12.0 && other < 108.0, "{hours:?}");
    }
    // Steps of two to six hours against a relay: the last of them may be out by one turn.
    assert!((hours[0][1] - hours[1][1]).abs() < 6.0, "{hours:?}");
}
