//! Alarms that latch: what trips them, what does not clear them, and what does.
//!
//! Source: hand derivation from what a latch is for. Somebody must have looked before hot solution is heated again.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests; a test stops where its line cannot be"
)]

use std::fmt::Write;
use std::sync::Arc;

use dragback_plant::control::{DeviceKind, Relay};
use dragback_plant::{Plant, TowerCache};
use dragback_run::exact::ExactOptions;
use dragback_run::preview::PreviewOptions;
use dragback_run::{Alarm, AlarmState, Reading, Told, World};
use dragback_scenario::{load, lower};
use dragback_tests::read::{run_exact, run_preview};

const DEMO: &str = include_str!("../../scenarios/demo.ron");
const HOUR_S: f64 = 3600.0;
/// Set point, dead band and over-temperature offset of the demo, °C and K.
const SET_C: f64 = 58.0;
const BAND_K: f64 = 2.0;
const OFFSET_K: f64 = 2.4;
/// What the set point is lowered to, °C.
const LOWERED_C: f64 = 50.0;

/// The demo with events, and with nobody who resets alarms but them.
fn demo(events: &str) -> World {
    line(DEMO, events)
}

/// The same of a text that was changed.
fn line(text: &str, events: &str) -> World {
    for known in [
        "set_point: \"58 °C\"",
        "dead_band: \"2 K\"",
        "over_temperature_offset: \"2.4 K\"",
        "low_alarm: \"0.20 m\"",
        "transfer_start: \"0.74 m\"",
        "reset_after: \"2 h\",",
    ] {
        assert!(DEMO.contains(known), "the demo has no {known} any more");
    }
    let text = text.replace("reset_after: \"2 h\",", "");
    let end = text.rfind(')').unwrap();
    let (scenario, problems) = load(&format!("{}events: [{events}],\n)", &text[..end]));
    assert!(problems.is_empty(), "{problems:?}");
    let cache = TowerCache::default();
    let plant = Plant::new(Arc::new(lower(&scenario.unwrap()).unwrap()), &cache).unwrap();
    World::new(Arc::new(plant), cache)
}

fn set_point(hours: f64, celsius: f64) -> String {
    format!(
        "(at: \"{hours} h\", do: (set: (path: \"loop.holding_tank.set_point\", value: \"{celsius} °C\"))),"
    )
}

fn reset(hours: f64, alarm: &str) -> String {
    format!("(at: \"{hours} h\", do: (reset: \"loop.holding_tank.{alarm}\")),")
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Driver {
    Exact,
    Averaged,
}

impl Driver {
    fn go(self, world: &mut World, hours: f64) {
        match self {
            Self::Exact => run_exact(world, hours * HOUR_S, &ExactOptions::default()),
            Self::Averaged => run_preview(world, hours * HOUR_S, &PreviewOptions::default()),
        };
    }
}

/// Whether the alarm stands.
fn stands(world: &World, alarm: &str) -> bool {
    let name = format!("loop.holding_tank.{alarm}");
    let at = world.plant.network().relays.iter();
    let at = at.clone().position(|r| r.name == name);
    world.relays[at.unwrap_or_else(|| panic!("no {name}"))].on
}

fn holding(world: &World) -> (f64, f64) {
    let net = world.plant.network();
    let v = net.loops[0].holding.unwrap();
    let (volume, temp_c, _) = world.plant.holdup(v, &world.y);
    (net.vessels[v.index()].shape.level_m(volume), temp_c)
}

/// Heat that the holding tank's heaters have given, and running time of the feed pumps, so far: J, s.
fn worked(world: &World) -> (f64, f64) {
    let (net, layout) = (world.plant.network(), world.plant.layout());
    let of = &net.loops[0];
    let heat = of.heaters.iter().map(|h| world.y[layout.delivered(*h)]);
    let pumps = net.towers.iter().map(|t| world.y[layout.ran(t.pump)]);
    (heat.sum::<f64>().abs(), pumps.sum::<f64>().abs())
}

/// Elements that are on now.
fn heating(world: &World) -> usize {
    let (net, tank) = (
        world.plant.network(),
        world.plant.network().loops[0].holding.unwrap(),
    );
    let heats = net.heats.iter().filter(|h| h.vessel == tank);
    let devices = heats.filter_map(|h| h.gate.device);
    devices
        .filter(|d| net.devices[d.index()].kind == DeviceKind::Heater)
        .filter(|d| world.setting.outputs[d.index()] > 0.0)
        .count()
}

/// The set point is lowered below the temperature less the offset: the alarm trips at once, and heat is off. Raising the set point again does not clear it, though
/// the temperature then stands where it belongs; a reset does.
#[test]
fn raising_the_set_point_again_does_not_clear_over_temperature() {
    for driver in [Driver::Exact, Driver::Averaged] {
        let mut events = set_point(3.0, LOWERED_C);
        events += &set_point(3.5, SET_C);
        events += &reset(5.0, "over_temperature");
        let mut world = demo(&events);
        driver.go(&mut world, 2.99);
        let (_, temp_c) = holding(&world);
        assert!(
            temp_c > LOWERED_C + OFFSET_K && !stands(&world, "over_temperature"),
            "{driver:?}: {temp_c} °C"
        );
        driver.go(&mut world, 3.01);
        assert!(
            stands(&world, "over_temperature"),
            "{driver:?}: it must trip"
        );
        let alarm = world.alarms.last().unwrap();
        assert!(
            (alarm.t_s - 3.0 * HOUR_S).abs() < 1.0,
            "{driver:?}: {alarm:?}"
        );
        let (heat, _) = worked(&world);
        driver.go(&mut world, 3.6);
        assert!(
            stands(&world, "over_temperature"),
            "{driver:?}: raised, not cleared"
        );
        driver.go(&mut world, 4.99);
        let (still, _) = worked(&world);
        let (_, temp_c) = holding(&world);
        println!("{driver:?}: {temp_c:.2} °C when it is reset");
        assert!(stands(&world, "over_temperature") && heating(&world) == 0);
        assert!(
            still - heat < 1.0,
            "{driver:?}: {} J while latched",
            still - heat
        );
        assert!(
            temp_c < SET_C - 0.5 * BAND_K,
            "{driver:?}: it would heat if it could"
        );
        driver.go(&mut world, 5.01);
        assert!(!stands(&world, "over_temperature"), "{driver:?}: reset");
        driver.go(&mut world, 6.0);
        let (again, _) = worked(&world);
        assert!(
            again - still > 1e6,
            "{driver:?}: {} J after the reset",
            again - still
        );
    }
}

/// Somebody pushes the button every ten minutes: it clears nothing as long as the tank is hotter than where the alarm trips, and clears it once the tank has
/// come down into the band of the new set point.
#[test]
fn over_temperature_resets_only_after_the_tank_has_come_down() {
    for driver in [Driver::Exact, Driver::Averaged] {
        let pushes: Vec<f64> = (1..=60).map(|k| 3.0 + f64::from(k) / 6.0).collect();
        let mut events = set_point(3.0, LOWERED_C);
        for hours in &pushes {
            write!(events, "{}", reset(*hours, "over_temperature")).unwrap();
        }
        let mut world = demo(&events);
        let (mut in_vain, mut cleared_c) = (0, None);
        for hours in &pushes {
            driver.go(&mut world, hours - 0.001);
            let (_, temp_c) = holding(&world);
            assert!(
                stands(&world, "over_temperature"),
                "{driver:?}: cleared without a push"
            );
            assert_eq!(heating(&world), 0, "{driver:?}");
            driver.go(&mut world, hours + 0.001);
            if stands(&world, "over_temperature") {
                in_vain += 1;
                assert!(
                    temp_c > LOWERED_C + 0.5 * BAND_K,
                    "{driver:?}: not cleared at {temp_c} °C"
                );
            } else {
                cleared_c = Some(temp_c);
                break;
            }
        }
        println!("{driver:?}: {in_vain} pushes in vain, cleared at {cleared_c:?} °C");
        assert!(in_vain > 0, "{driver:?}: it was never tried while hot");
        let cleared_c = cleared_c.expect("it comes down within ten hours");
        assert!(
            cleared_c < LOWERED_C + OFFSET_K,
            "{driver:?}: {cleared_c} °C"
        );
    }
}

/// The holding tank is dumped. The low alarm cuts heat and feed pumps, and no reset clears it before the transfer pump has brought the level back to where
/// it starts (0.74 m).
#[test]
fn the_low_alarm_stands_until_it_is_reset_above_transfer_start() {
    let (alarm_m, start_m) = (0.20, 0.74);
    for driver in [Driver::Exact, Driver::Averaged] {
        let pushes: Vec<f64> = (1..=190).map(|k| 8.0 + f64::from(k) / 6.0).collect();
        let mut events =
            "(at: \"8 h\", do: (dump: (tank: \"loop.holding_tank\", share: \"90 %\"))),".to_owned();
        for hours in &pushes {
            write!(events, "{}", reset(*hours, "electrodes.low_alarm")).unwrap();
        }
        let mut world = demo(&events);
        driver.go(&mut world, 7.99);
        assert!(!stands(&world, "electrodes.low_alarm"));
        driver.go(&mut world, 8.001);
        assert!(stands(&world, "electrodes.low_alarm"), "{driver:?}");
        let before = worked(&world);
        let (mut in_vain, mut above_alarm, mut cleared_m) = (0, 0, None);
        for hours in &pushes {
            driver.go(&mut world, hours - 0.001);
            let (level, _) = holding(&world);
            assert!(
                stands(&world, "electrodes.low_alarm"),
                "{driver:?}: cleared without a push"
            );
            let now = worked(&world);
            assert!(
                now.0 - before.0 < 1.0 && now.1 - before.1 < 1e-3,
                "{driver:?}: {before:?} to {now:?} while latched"
            );
            driver.go(&mut world, hours + 0.001);
            if stands(&world, "electrodes.low_alarm") {
                in_vain += 1;
                above_alarm += usize::from(level > alarm_m + 0.01);
            } else {
                cleared_m = Some(level);
                break;
            }
        }
        println!(
            "{driver:?}: {in_vain} pushes in vain, {above_alarm} of them above the alarm, cleared at {cleared_m:?} m"
        );
        assert!(
            above_alarm > 0,
            "{driver:?}: never tried between alarm and transfer start"
        );
        let cleared = cleared_m.expect("the tank is filled again within thirty hours");
        assert!(cleared >= start_m, "{driver:?}: {cleared} m");
        let end = world.t_s / HOUR_S + 4.0;
        driver.go(&mut world, end);
        let after = worked(&world);
        assert!(
            after.0 - before.0 > 1e6 && after.1 - before.1 > 60.0,
            "{driver:?}: {after:?}"
        );
    }
}

/// The alarms of one device so far.
fn told(world: &World, alarm: &str) -> Vec<Alarm> {
    let name = format!("loop.holding_tank.{alarm}");
    let all = world.alarms.iter().filter(|a| a.device == name);
    all.cloned().collect()
}

/// The dumped holding tank again: its low alarm is active until the level has come back, latched from then on, and over once it is reset. The three times come in
/// this order, and the first two are those of the level.
#[test]
fn a_low_alarm_is_active_then_latched_then_over() {
    let (dumped_h, reset_h) = (8.0, 60.0);
    for driver in [Driver::Exact, Driver::Averaged] {
        let mut events = format!(
            "(at: \"{dumped_h} h\", do: (dump: (tank: \"loop.holding_tank\", share: \"90 %\"))),"
        );
        events += &reset(reset_h, "electrodes.low_alarm");
        let mut world = demo(&events);
        let only = |world: &World| {
            let all = told(world, "electrodes.low_alarm");
            assert_eq!(all.len(), 1, "{driver:?}: {all:?}");
            all[0].clone()
        };
        driver.go(&mut world, dumped_h + 0.001);
        let alarm = only(&world);
        assert!(alarm.latches && alarm.state() == AlarmState::Active);
        assert_eq!((alarm.returned_s, alarm.reset_s), (None, None));
        driver.go(&mut world, reset_h - 0.001);
        let alarm = only(&world);
        let returned_s = alarm.returned_s.expect("the tank has been filled again");
        assert_eq!(alarm.state(), AlarmState::Latched, "{driver:?}");
        assert_eq!(alarm.reset_s, None);
        driver.go(&mut world, reset_h + 0.001);
        let alarm = only(&world);
        assert_eq!(alarm.state(), AlarmState::Returned, "{driver:?}");
        assert_eq!(alarm.returned_s, Some(returned_s), "{driver:?}");
        let pushed_s = alarm.reset_s.expect("it is reset");
        assert!((pushed_s - reset_h * HOUR_S).abs() < 1.0, "{driver:?}");
        assert!(alarm.t_s < returned_s && returned_s < pushed_s, "{alarm:?}");
        // Another world is stopped at the moment that was told: its level has just come to where the transfer pump starts. The averaged driver knows the end of its
        // step alone.
        let mut again = demo(&events);
        driver.go(&mut again, returned_s / HOUR_S);
        let (level_m, _) = holding(&again);
        println!(
            "{driver:?}: returned after {:.2} h at {level_m:.4} m",
            returned_s / HOUR_S
        );
        match driver {
            Driver::Exact => assert!((level_m - 0.74).abs() < 1e-3, "{level_m} m"),
            Driver::Averaged => assert!(level_m >= 0.74, "{level_m} m"),
        }
    }
}

/// The holding tank starts fuller than its high alarm, which does not latch in the demo: the alarm is over as soon as the level has been worked down, and
/// nobody resets it.
#[test]
fn a_high_alarm_returns_by_itself() {
    let (own, filled) = (
        "volume: \"2200 L\",",
        "volume: \"2200 L\", start_volume: \"1950 L\",",
    );
    assert_eq!(DEMO.matches(own).count(), 1);
    for driver in [Driver::Exact, Driver::Averaged] {
        let mut world = line(&DEMO.replace(own, filled), "");
        let alarm = |world: &World| told(world, "electrodes.high_alarm").remove(0);
        assert_eq!(alarm(&world).state(), AlarmState::Active);
        driver.go(&mut world, 48.0);
        let alarm = alarm(&world);
        let returned_s = alarm.returned_s.expect("it is worked down");
        println!("{driver:?}: returned after {:.2} h", returned_s / HOUR_S);
        assert!(returned_s > alarm.t_s && !alarm.latches, "{driver:?}");
        assert_eq!(alarm.reset_s, None, "{driver:?}");
        assert_eq!(alarm.state(), AlarmState::Returned, "{driver:?}");
        assert!(!stands(&world, "electrodes.high_alarm"), "{driver:?}");
    }
}

/// The demo with a steam coil in the place of its elements.
fn with_a_coil() -> String {
    let is_element = |line: &&str| {
        ["e1", "e2", "e3", "e4"]
            .iter()
            .any(|e| line.contains(&format!("\"{e}\": (power")))
    };
    let lines = DEMO.lines().filter(|line| !is_element(line));
    let text: String = lines.map(|line| format!("{line}\n")).collect();
    let coil = "coil: (ua: \"1.5 kW/K\", supply_temperature: \"110 °C\", cap: \"60 kW\"), dead_band: \"2 K\"";
    text.replacen("dead_band: \"2 K\"", coil, 1)
}

/// A thermostat that sticks as it heats, while no tower cools: coil or elements heat on until over-temperature cuts them at its own temperature. The relay of the
/// over-temperature alarm has its own electrode, and what heats stands still from then on.
#[test]
fn over_temperature_cuts_what_a_stuck_thermostat_heats() {
    for text in [with_a_coil(), DEMO.to_owned()] {
        for driver in [Driver::Exact, Driver::Averaged] {
            let mut world = line(&text, "");
            driver.go(&mut world, 30.0);
            let net = Arc::clone(&world.plant);
            let net = net.network();
            let is_it = |r: &Relay| r.name == "loop.holding_tank.thermostat";
            let thermostat = net.relays.iter().position(is_it).unwrap();
            world.relays[thermostat].on = true;
            world.relays[thermostat].stuck = true;
            world.failed[net.towers[0].blower.index()] = true;
            driver.go(&mut world, 40.0);
            assert!(stands(&world, "over_temperature"), "{driver:?}");
            let tripped: Vec<_> = told(&world, "over_temperature");
            assert_eq!(tripped.len(), 1, "{driver:?}: {:?}", world.alarms);
            let Told::Tripped(Reading::TemperatureC(at_c)) = tripped[0].told else {
                panic!("{:?}", tripped[0]);
            };
            assert!(
                (at_c - SET_C - OFFSET_K).abs() < 0.06,
                "{driver:?}: {at_c} °C"
            );
            assert!(told(&world, "high_limit").is_empty(), "{driver:?}");
            let (heat, _) = worked(&world);
            driver.go(&mut world, 48.0);
            assert_eq!(worked(&world).0, heat, "{driver:?}: it heats on");
        }
    }
}
