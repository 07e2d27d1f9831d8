//! Figures that are common practice in the trade, put to the model from the scenario file to the run.
//!
//! Source of every figure here: common practice, no source. They are rules of thumb, so that they are met within the ranges named beside each
//! and not to a decimal. Bounds that come from a balance (the first law) say so.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops where its line cannot be"
)]

use std::sync::Arc;

use dragback_plant::control::Acts;
use dragback_plant::flows::Flows;
use dragback_plant::holdup::Holdups;
use dragback_plant::ids::{DeviceId, RelayId, TowerId, VesselId};
use dragback_plant::network::Network;
use dragback_plant::{Plant, TowerCache};
use dragback_properties::air::{AirState, pressure_at_altitude_pa};
use dragback_properties::tower::{Feed, TowerPoint};
use dragback_properties::water;
use dragback_run::clock::{Clock, Hours};
use dragback_run::exact::ExactOptions;
use dragback_run::{Trace, World};
use dragback_scenario::{Scenario, apply, get, load, lower};
use dragback_tests::read::{DAY_S, WEEK_S, run_exact};

const DEMO: &str = include_str!("../../scenarios/demo.ron");
const GALLON_M3: f64 = 3.785_411_784e-3;
/// Pure water at 20 °C, by which rated volumes are told, kg/m³.
const RATED_KG_PER_M3: f64 = 998.2;
/// A US gallon of it per hour, kg/s.
const GAL_PER_H: f64 = GALLON_M3 * RATED_KG_PER_M3 / 3600.0;
/// Heat that is called enough for a gallon per hour, W.
const ENOUGH_W_PER_GAL_H: f64 = 2_700.0;

fn c_of(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

fn loaded(text: &str) -> Scenario {
    let (scenario, problems) = load(text);
    assert!(problems.is_empty(), "{problems:#?}");
    scenario.unwrap()
}

fn with(scenario: &mut Scenario, changes: &[(&str, &str)]) {
    apply(scenario, changes.iter().copied()).unwrap_or_else(|why| panic!("{why:#?}"));
}

/// The demo's parts in the sizes of the rule: 216 kW on the holding tank, room air of 70 °F and 50 %, water of 70 °F, a tower of 45 gal/min whose rating and
/// air are given, and more rinse water than it can take.
fn hot_line(rated: &str, air_flow: &str) -> Scenario {
    let mut scenario = loaded(DEMO);
    let months = [
        "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
    ];
    let air: Vec<[String; 2]> = months
        .iter()
        .map(|m| ["temperature", "relative_humidity"].map(|what| format!("site.room.{m}.{what}")))
        .collect();
    let mut changes: Vec<(&str, &str)> = air
        .iter()
        .flat_map(|[t, rh]| [(t.as_str(), "70 °F"), (rh.as_str(), "50 %")])
        .collect();
    changes.extend([
        ("site.altitude", "0 m"),
        ("waters.deionised.temperature", "70 °F"),
        ("loop.holding_tank.elements.e1.power", "54 kW"),
        ("loop.holding_tank.elements.e2.power", "54 kW"),
        ("loop.holding_tank.elements.e3.power", "54 kW"),
        ("loop.holding_tank.elements.e4.power", "54 kW"),
        ("loop.holding_tank.ceiling", "160 °F"),
        ("loop.holding_tank.set_point", "160 °F"),
        ("loop.holding_tank.high_limit", "190 °F"),
        ("loop.towers.t1.ceiling", "160 °F"),
        ("loop.towers.t1.air_flow", air_flow),
        ("loop.towers.t1.feed", "45 gal/min"),
        ("loop.towers.t1.transfer.air_flow", air_flow),
        ("loop.towers.t1.transfer.feed", "45 gal/min"),
        ("loop.towers.t1.transfer.rated.evaporation", rated),
        ("loop.towers.t1.transfer.rated.solution", "160 °F"),
        ("loop.towers.t1.transfer.rated.air_temperature", "70 °F"),
        ("loop.towers.t1.transfer.rated.relative_humidity", "50 %"),
        ("loop.sections.rinses.flow", "500 L/h"),
    ]);
    with(&mut scenario, &changes);
    scenario
}

fn plant_of(net: Network) -> Arc<Plant> {
    Arc::new(Plant::new(Arc::new(net), &TowerCache::default()).unwrap())
}

fn never_resting() -> ExactOptions {
    ExactOptions {
        clock: Clock {
            hours: Hours::AlwaysOpen,
            ..Clock::default()
        },
        sample_s: 60.0,
        ..ExactOptions::default()
    }
}

fn vessel(plant: &Plant, name: &str) -> VesselId {
    let found = plant.network().vessels.iter().position(|v| v.name == name);
    VesselId(found.unwrap_or_else(|| panic!("no {name}")))
}

fn device(net: &Network, name: &str) -> DeviceId {
    let found = net.devices.iter().position(|d| d.name == name);
    DeviceId(found.unwrap_or_else(|| panic!("no {name}")))
}

fn relay(net: &Network, name: &str) -> RelayId {
    let found = net.relays.iter().position(|r| r.name == name);
    RelayId(found.unwrap_or_else(|| panic!("no {name}")))
}

/// What the holding tank and its tower did over a trace.
#[derive(Debug)]
struct Evaporation {
    gal_per_h: f64,
    heater_w: f64,
    /// Through surface and walls of the holding tank.
    lost_w: f64,
    temp_c: f64,
    /// Share of the time that the tower's pump ran.
    pumped: f64,
}

fn evaporation(plant: &Plant, world: &World, trace: &Trace) -> Evaporation {
    let (net, layout) = (plant.network(), plant.layout());
    let holding = vessel(plant, "holding tank");
    let rate = |entry: usize| trace.rate(entry, 0, trace.len() - 1).unwrap();
    let heaters = &net.loops[0].heaters;
    let n = trace.len() as f64;
    let mut now = Holdups::sized(net.vessels.len());
    let mut flows = Flows::sized(plant);
    let (mut lost_w, mut temp_c) = (0.0, 0.0);
    for i in 0..trace.len() {
        now.refresh(plant, trace.row(i));
        now.refresh_activity(plant, trace.row(i));
        flows.evaluate(plant, &now, &world.setting);
        let warm = now.temp_c[holding.index()];
        let vapour = water::enthalpy_vapour_j_per_kg(warm);
        lost_w +=
            (flows.loss_w[holding.index()] + flows.surface_kg_per_s[holding.index()] * vapour) / n;
        temp_c += warm / n;
    }
    Evaporation {
        gal_per_h: rate(layout.tower_water(TowerId(0))) / GAL_PER_H,
        heater_w: heaters.iter().map(|&h| rate(layout.delivered(h))).sum(),
        lost_w,
        temp_c,
        pumped: rate(layout.ran(net.towers[0].pump)),
    }
}

/// Runs a line until it is at rest, and then a day that is measured.
fn a_day_at_rest(plant: &Arc<Plant>, fail: Option<DeviceId>) -> (Evaporation, World) {
    let mut world = World::new(Arc::clone(plant), TowerCache::default());
    if let Some(d) = fail {
        world.failed[d.index()] = true;
    }
    run_exact(&mut world, 2.0 * DAY_S, &never_resting());
    let outcome = run_exact(&mut world, 3.0 * DAY_S, &never_resting());
    let seen = evaporation(plant, &world, &outcome.trace);
    (seen, world)
}

/// 216 kW is called enough for 80 US gal/h from solution of 160 °F, 2.7 kW for each gallon per hour. That is latent heat and warming of the refill and no
/// heating of air, so that with real air, limited by heat and net of the tank's losses, 75 to 100 % of it evaporates.
#[test]
fn two_kilowatts_and_seven_tenths_for_a_gallon_per_hour() {
    for (rated, air_flow) in [
        ("82 gal/h", "1000 m³/h"),
        ("84 gal/h", "1400 m³/h"),
        ("84 gal/h", "2000 m³/h"),
        ("90 gal/h", "1700 m³/h"),
    ] {
        let plant = plant_of(lower(&hot_line(rated, air_flow)).unwrap());
        let (seen, world) = a_day_at_rest(&plant, None);
        let called = (seen.heater_w - seen.lost_w) / ENOUGH_W_PER_GAL_H;
        println!(
            "{rated}, {air_flow}: {seen:?}, {:.1} %",
            100.0 * seen.gal_per_h / called
        );
        assert!(world.alarms.is_empty(), "{:?}", world.alarms);
        assert!(
            (seen.heater_w - 216e3).abs() < 1.0 && seen.temp_c < c_of(158.0),
            "the heat must be the limit: {seen:?}"
        );
        assert!(seen.temp_c > c_of(140.0), "hot solution is meant: {seen:?}");
        assert!(seen.pumped > 0.999, "the tower must never rest: {seen:?}");
        let share = seen.gal_per_h / called;
        assert!(
            (0.75..=1.0).contains(&share),
            "{share} of what is called enough"
        );
    }
}

fn room_air() -> AirState {
    AirState::from_relative_humidity(c_of(70.0), 0.5, pressure_at_altitude_pa(0.0)).unwrap()
}

/// The tower of the line with 45 gal/min of water, in room air.
fn point(net: &Network, solution_c: f64) -> TowerPoint {
    let feed_kg_per_s = 45.0 * 60.0 * GAL_PER_H;
    let feed = Feed::water(solution_c, feed_kg_per_s);
    net.towers[0].tower.point(&feed, &room_air()).unwrap()
}

/// 45 US gal/min of 160 °F solution over a tower that evaporates 40 gal/h cool by 15 to 17 °F.
///
/// The first law gives the same: 40 gal/h of 2.3 to 2.8 MJ/kg off 45·60 gal/h of 4.19 kJ/kg·K are 15 to 18 °F, the more the more air is warmed.
#[test]
fn forty_gallons_an_hour_cool_the_feed_by_sixteen_degrees() {
    for air_flow in ["450 m³/h", "550 m³/h", "700 m³/h", "900 m³/h"] {
        let net = lower(&hot_line("40 gal/h", air_flow)).unwrap();
        let seen = point(&net, c_of(160.0));
        let drop_f = 1.8 * (c_of(160.0) - seen.solution_out_c);
        let gal_per_h = seen.evaporation_kg_per_s / GAL_PER_H;
        println!(
            "{air_flow}: {gal_per_h:.1} gal/h, {drop_f:.2} °F, NTU {:.2}",
            seen.ntu
        );
        assert!((gal_per_h - 40.0).abs() < 0.04, "{gal_per_h}");
        assert!((15.0..=17.0).contains(&drop_f), "{air_flow}: {drop_f} °F");
    }
}

/// Air leaves a hot tower close to saturation or beyond it: at least 95 % with its fog.
#[test]
fn air_leaves_a_hot_tower_close_to_saturation() {
    for (rated, air_flow) in [
        ("40 gal/h", "550 m³/h"),
        ("40 gal/h", "900 m³/h"),
        ("82 gal/h", "1000 m³/h"),
        ("84 gal/h", "2000 m³/h"),
    ] {
        let net = lower(&hot_line(rated, air_flow)).unwrap();
        for fahrenheit in [130.0, 140.0, 150.0, 160.0] {
            let seen = point(&net, c_of(fahrenheit));
            println!(
                "{rated}, {air_flow}, {fahrenheit} °F: {:.3}, NTU {:.2}",
                seen.air_saturation, seen.ntu
            );
            assert!(seen.air_saturation >= 0.95, "{seen:?}");
        }
    }
}

/// The demo with nothing said of what its plastic stands, and a cut-out that leaves room above.
fn silent_on_ceilings() -> Scenario {
    let line = "ceiling: \"70 °C\",";
    assert!(DEMO.matches(line).count() == 2);
    let mut scenario = loaded(&DEMO.replace(line, ""));
    with(&mut scenario, &[("loop.holding_tank.high_limit", "190 °F")]);
    scenario
}

/// 160 °F is the usual ceiling of plastic tanks and towers: it holds where a scenario says nothing, and no set point may pass it.
#[test]
fn plastic_stands_no_more_than_160_fahrenheit() {
    let mut scenario = silent_on_ceilings();
    for path in ["loop.holding_tank.ceiling", "loop.towers.t1.ceiling"] {
        let ceiling = get(&scenario, path).unwrap();
        assert!(!ceiling.leaf.is_given, "{path}");
        let kelvin = ceiling.si().unwrap();
        assert!(
            (kelvin - 273.15 - c_of(160.0)).abs() < 0.05,
            "{path}: {kelvin} K"
        );
    }
    with(
        &mut scenario,
        &[("loop.holding_tank.set_point", "159.9 °F")],
    );
    let refused = apply(&mut scenario, [("loop.holding_tank.set_point", "160.1 °F")]).unwrap_err();
    let about: Vec<&str> = refused.iter().map(|p| p.path.as_str()).collect();
    assert_eq!(
        about,
        ["loop.holding_tank.set_point", "loop.towers.t1.ceiling"]
    );
}

/// The figure itself is a set point that plastic stands.
#[test]
fn plastic_stands_160_fahrenheit() {
    with(
        &mut silent_on_ceilings(),
        &[("loop.holding_tank.set_point", "160 °F")],
    );
}

/// The over-temperature alarm stands 3 to 5 °F above the set point: that is the default, lies within the usual range, and is where the alarm trips.
#[test]
fn over_temperature_trips_three_to_five_fahrenheit_above_the_set_point() {
    let line = "over_temperature_offset: \"2.4 K\",";
    assert!(DEMO.contains(line));
    let scenario = loaded(&DEMO.replace(line, ""));
    let offset = get(&scenario, "loop.holding_tank.over_temperature_offset").unwrap();
    let kelvin = offset.si().unwrap();
    assert!(!offset.leaf.is_given);
    assert!((3.0..=5.0).contains(&(1.8 * kelvin)), "{kelvin} K");
    let (least, most) = offset.meta.usual.unwrap();
    assert!(
        least <= 3.0 / 1.8 && most >= 5.0 / 1.8,
        "{least} to {most} K"
    );
    let net = lower(&scenario).unwrap();
    let name = "loop.holding_tank.over_temperature";
    let trips = relay(&net, name);
    assert_eq!(net.relays[trips.index()].acts, Acts::Above);
    // A thermostat that sticks while it heats, and the tower at rest: the tank warms until the alarm cuts the heat.
    let plant = plant_of(net);
    let mut world = World::new(Arc::clone(&plant), TowerCache::default());
    let thermostat = relay(plant.network(), "loop.holding_tank.thermostat");
    world.relays[thermostat.index()].on = true;
    world.relays[thermostat.index()].stuck = true;
    world.failed[plant.network().towers[0].blower.index()] = true;
    let outcome = run_exact(&mut world, DAY_S, &never_resting());
    let alarm = world.alarms.first().expect("it trips");
    assert_eq!(alarm.device, name);
    let at = outcome.trace.at(alarm.t_s);
    let temp_c = plant
        .holdup(vessel(&plant, "holding tank"), outcome.trace.row(at))
        .1;
    println!("tripped at {temp_c:.2} °C");
    assert!((temp_c - 58.0 - kelvin).abs() < 0.1, "{temp_c} °C");
    let hottest = outcome
        .trace
        .temperatures(&plant, vessel(&plant, "holding tank"))
        .fold(0.0, f64::max);
    assert!(hottest < 58.0 + kelvin + 0.1, "{hottest} °C");
}

/// With one element out, evaporation goes on and falls by 0.9 to 1.2 times the element's share of the net heat.
#[test]
fn evaporation_goes_on_with_one_element_out() {
    for (rated, air_flow) in [("82 gal/h", "1000 m³/h"), ("84 gal/h", "1700 m³/h")] {
        let plant = plant_of(lower(&hot_line(rated, air_flow)).unwrap());
        let element = device(plant.network(), "loop.holding_tank.elements.e2");
        let (all, _) = a_day_at_rest(&plant, None);
        let (fewer, world) = a_day_at_rest(&plant, Some(element));
        println!("{all:?}\n{fewer:?}");
        assert!(world.alarms.is_empty(), "{:?}", world.alarms);
        assert!(fewer.pumped > 0.999, "evaporation must go on: {fewer:?}");
        let share = 54e3 / (all.heater_w - all.lost_w);
        let fall = 1.0 - fewer.gal_per_h / all.gal_per_h;
        println!(
            "falls by {fall:.3}, {:.3} of its share {share:.3}",
            fall / share
        );
        assert!(
            (0.9..=1.2).contains(&(fall / share)),
            "{} times its share",
            fall / share
        );
    }
}

/// The transfer pump runs from its start to its stop electrode, and rests when rinse water runs out, without an alarm.
#[test]
fn the_transfer_pump_runs_between_its_electrodes_and_rests_without_water() {
    let plant = plant_of(lower(&loaded(DEMO)).unwrap());
    let net = plant.network();
    let holding = vessel(&plant, "holding tank");
    let collection = vessel(&plant, "collection tank");
    let pump = plant
        .layout()
        .ran(device(net, "loop.holding_tank.transfer_pump"));
    let (start_m, stop_m) = (0.74, 0.77);
    let dry = &net.relays[relay(net, "loop.collection.dry_run").index()];
    let mut world = World::new(Arc::clone(&plant), TowerCache::default());
    let options = ExactOptions {
        sample_s: 15.0,
        ..ExactOptions::default()
    };
    run_exact(&mut world, WEEK_S, &ExactOptions::default());
    let outcome = run_exact(&mut world, 2.0 * WEEK_S, &options);
    let trace = &outcome.trace;
    let level = |v: VesselId, i: usize| {
        let volume = plant.holdup(v, trace.row(i)).0;
        net.vessels[v.index()].shape.level_m(volume)
    };
    let runs = |i: usize| trace.row(i)[pump] - trace.row(i - 1)[pump];
    let (mut starts, mut full_stops, mut dry_stops, mut rest_s) = (0, 0, 0, 0.0);
    for i in 2..trace.len() {
        let (before, now) = (runs(i - 1) > 0.0, runs(i) > 0.0);
        // Both as they stood when the stretch of 15 s began: a stretch moves the holding tank by 2 mm, the collection tank by 3 mm.
        let (level_m, water_m) = (level(holding, i - 1), level(collection, i - 1));
        if now && !before {
            starts += 1;
            assert!(level_m < start_m + 3e-3, "it starts at {level_m} m");
        }
        if before && !now && level_m > stop_m - 3e-3 {
            full_stops += 1;
        } else if before && !now {
            dry_stops += 1;
            assert!(
                water_m < dry.lower + 3e-3,
                "it stops at {level_m} m with {water_m} m of water"
            );
        }
        if !now && level_m < start_m - 3e-3 {
            rest_s += trace.times_s()[i] - trace.times_s()[i - 1];
            assert!(
                water_m < dry.upper + 3e-3,
                "it rests with {water_m} m of water"
            );
        }
        assert!(level_m < stop_m + 3e-3, "{level_m} m");
    }
    let rest_h = rest_s / 3600.0;
    println!(
        "{starts} starts, {full_stops} stops at the electrode, {dry_stops} without water, {rest_h:.1} h at rest for want of it"
    );
    assert!(full_stops > 20 && dry_stops > 20 && rest_h > 24.0);
    assert!(world.alarms.is_empty(), "{:?}", world.alarms);
}
