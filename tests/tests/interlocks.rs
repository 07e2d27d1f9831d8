//! Alarms and interlocks under event lists drawn from a seed: parts fail, probes stick, devices are run by hand,
//! tanks are dumped, water stops.
//!
//! Source: hand derivation from what the interlocks are for. A feed pump never runs without its blower; nothing heats and no feed pump runs below the low
//! alarm; no heat stays on after over-temperature; nothing flows in above the high alarm; the return pump does not draw below its dry-run level. A
//! signal counts by what it truly is; where the probe itself is stuck, by what the relay says, and over-temperature by the independent cut-out.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "helpers of tests; a test stops where its line cannot be, and prints its counts"
)]

#[path = "interlocks/kinds.rs"]
mod kinds;
#[path = "interlocks/line.rs"]
mod line;
#[path = "interlocks/script.rs"]
mod script;

use std::collections::BTreeMap;
use std::sync::Arc;

use dragback_plant::control::{Acts, Condition, Device, DeviceKind, Role};
use dragback_plant::ids::{DeviceId, RelayId, SupplyId, VesselId};
use dragback_plant::network::{Action, Event, Network, Trigger};
use dragback_plant::{Plant, TowerCache};
use dragback_run::exact::{self, ExactOptions};
use dragback_run::{Alarm, AlarmState, Cause, World};
use dragback_scenario::{apply, load, lower};
use dragback_tests::random::Dice;
use dragback_tests::read::run_exact;
use kinds::Kind;
use line::Line;
use script::Script;

const HOUR_S: f64 = 3600.0;
const SPAN_S: f64 = 30.0 * HOUR_S;
/// Every so often the plant is looked at.
const LOOK_S: f64 = 240.0;
/// Arrivals of each alarm and interlock that make the draw worth something.
const ENOUGH: usize = 100;
/// Lists after which an interlock that was taken away must have been missed.
const PATIENCE: u64 = 400;

/// Whether a relay's signal truly stands where it should have closed (opened, for one that lets something run).
fn is_beyond(world: &World, relay: RelayId, acts: Acts) -> bool {
    let r = &world.plant.network().relays[relay.index()];
    let value = world.plant.read(r.signal, &world.y);
    match acts {
        Acts::Above => value >= r.upper,
        Acts::Below => value <= r.lower,
    }
}

/// An alarm stands, by its relay or by what it truly measures.
fn stands(world: &World, relay: RelayId) -> bool {
    let state = world.relays[relay.index()];
    let acts = world.plant.network().relays[relay.index()].acts;
    state.on || (!state.stuck && is_beyond(world, relay, acts))
}

/// What runs and must not, in words.
fn danger(line: &Line, world: &World) -> Option<String> {
    let net = world.plant.network();
    let runs = |d: DeviceId| world.setting.outputs[d.index()] > 0.0;
    let named = |d: DeviceId| net.devices[d.index()].name.clone();
    let stops_all = line.own_device("circulation_pump").is_some();
    let hot = line.alarmed(world, &["over_temperature", "high_limit"]);
    let low = line.alarmed(world, &["electrodes.low_alarm", "low_alarm"]);
    let high = line.alarmed(world, &["electrodes.high_alarm"]);
    for heater in line.heaters().filter(|&d| runs(d)) {
        if hot || low || (high && stops_all) {
            return Some(format!(
                "{}: hot {hot}, low {low}, high {high}",
                named(heater)
            ));
        }
    }
    for tower in net.towers.iter().filter(|t| runs(t.pump)) {
        if !runs(tower.blower) {
            return Some(format!("{} without its blower", named(tower.pump)));
        }
        if low || (high && stops_all) {
            return Some(format!("{}: low {low}, high {high}", named(tower.pump)));
        }
    }
    for path in ["transfer_pump", "circulation_pump"] {
        let pump = line.own_device(path);
        if high && pump.is_some_and(runs) {
            return Some(format!("{path} above the high alarm"));
        }
    }
    let returns = line.own_device("return_pump")?;
    let dry = is_beyond(world, line.relay(&["return.dry_run"]), Acts::Below);
    (dry && runs(returns)).then(|| "return pump runs dry".to_owned())
}

/// The interlocks of a device that hold it back now and without which it would run.
fn at_work(device: &Device, index: usize, world: &World) -> Vec<usize> {
    let on: Vec<bool> = world.relays.iter().map(|r| r.on).collect();
    let (open, outputs) = (&world.setting.open, &world.setting.outputs);
    let interlocks = device.requires.iter().enumerate();
    let broken =
        interlocks.filter(|(_, r)| r.is_interlock && r.condition.share(&on, open, outputs) == 0.0);
    let decisive = broken.filter(|(i, _)| {
        let mut free = device.clone();
        free.requires.remove(*i);
        free.permitted(&on, open, outputs, world.handling(DeviceId(index))) > 0.0
    });
    decisive.map(|(i, _)| i).collect()
}

fn words(net: &Network, device: usize, requirement: usize) -> String {
    let device = &net.devices[device];
    let condition = match &device.requires[requirement].condition {
        Condition::On(r) => format!("on {}", net.relays[r.index()].name),
        Condition::Off(r) => format!("off {}", net.relays[r.index()].name),
        Condition::Runs(d) => format!("runs {}", net.devices[d.index()].name),
        other => format!("{other:?}"),
    };
    format!("{} needs {condition}", device.name)
}

/// An interlock holds back what somebody runs by hand.
const HELD_BY_HAND: &str = "an interlock holds a device by hand";

/// What came of one list.
#[derive(Default)]
struct Tally {
    arrivals: BTreeMap<String, usize>,
    dangers: Vec<String>,
    looks: usize,
}

impl Tally {
    fn count(&mut self, what: String) {
        *self.arrivals.entry(what).or_default() += 1;
    }
}

/// Runs one list; stops at the first danger.
fn try_list(line: &Line, seed: u64, removed: Option<(usize, usize)>, tally: &mut Tally) {
    let mut world = line.drawn(seed, removed);
    let options = ExactOptions {
        sample_s: f64::INFINITY,
        ..ExactOptions::default()
    };
    let devices = world.plant.network().devices.clone();
    let mut before: Vec<Vec<usize>> = vec![vec![]; devices.len()];
    while world.t_s < SPAN_S {
        let (ran, relays, switches) = (
            world.y.clone(),
            world.relays.clone(),
            world.switches.clone(),
        );
        let until = world.t_s + LOOK_S;
        run_exact(&mut world, until, &options);
        tally.looks += 1;
        let since = since_the_last_look(line, &world, &ran, |r: RelayId| {
            relays[r.index()].on && switches[r.index()] == world.switches[r.index()]
        });
        if let Some(what) = danger(line, &world).or(since) {
            let hours = world.t_s / HOUR_S;
            tally
                .dangers
                .push(format!("list {seed}, {hours:.2} h: {what}"));
            return;
        }
        for (i, device) in devices.iter().enumerate() {
            let now = at_work(device, i, &world);
            for &r in now.iter().filter(|r| !before[i].contains(r)) {
                tally.count(words(world.plant.network(), i, r));
                if world.by_hand[i] {
                    tally.count(HELD_BY_HAND.to_owned());
                }
            }
            before[i] = now;
        }
    }
    count_alarms(&mut world, tally);
}

/// Counts the alarms of a list, and those that stand at its end as who looks anew would be told of them.
fn count_alarms(world: &mut World, tally: &mut Tally) {
    for alarm in &world.alarms {
        tally.count(Kind::of(alarm).words());
        if let Cause::Relay(_) = alarm.cause {
            tally.count(format!("alarm {}", alarm.device));
        }
    }
    let of_relays = |alarms: &[Alarm]| -> Vec<RelayId> {
        let stand = alarms.iter().filter(|a| a.state() != AlarmState::Returned);
        let mut relays: Vec<RelayId> = stand
            .filter_map(|a| match a.cause {
                Cause::Relay(relay) => Some(relay),
                _ => None,
            })
            .collect();
        relays.sort_unstable();
        relays
    };
    let stood = of_relays(&world.alarms);
    world.tell_afresh();
    assert_eq!(of_relays(&world.alarms), stood);
    for alarm in &world.alarms {
        tally.count(Kind::of(alarm).words());
    }
}

/// What ran between two looks that must not have: the sums of running time tell.
fn since_the_last_look(
    line: &Line,
    world: &World,
    before: &[f64],
    stood: impl Fn(RelayId) -> bool,
) -> Option<String> {
    let (net, layout) = (world.plant.network(), world.plant.layout());
    let ran = |d: DeviceId| world.y[layout.ran(d)] - before[layout.ran(d)];
    // Sums of a few days of seconds carry 1e-10 s of rounding.
    let rounding_s = 1e-6;
    for tower in &net.towers {
        if ran(tower.pump) > ran(tower.blower) + rounding_s {
            return Some(format!("{} ran longer than its blower", tower.name));
        }
    }
    let cuts = [
        "over_temperature",
        "high_limit",
        "electrodes.low_alarm",
        "low_alarm",
    ];
    let known = cuts.iter().filter_map(|tail| line.find(tail));
    let alarmed = known.into_iter().any(stood);
    let heated = line.heaters().any(|d| ran(d) > rounding_s);
    (alarmed && heated).then(|| "heat while an alarm stood".to_owned())
}

/// Every alarm that relays raise, every kind of alarm that the line can have, and every interlock.
fn expected(line: &Line) -> Vec<String> {
    let net = &line.net;
    let alarms = net.relays.iter().filter(|r| r.role == Role::Alarm);
    let mut all: Vec<String> = alarms.map(|r| format!("alarm {}", r.name)).collect();
    all.extend(interlocks(net).iter().map(|&(d, r)| words(net, d, r)));
    let kinds = Kind::all().filter(|kind| line.is_strong || !kind.is_of_salts());
    all.extend(kinds.map(Kind::words));
    all.push(HELD_BY_HAND.to_owned());
    all
}

fn interlocks(net: &Network) -> Vec<(usize, usize)> {
    let devices = net.devices.iter().enumerate();
    let all = devices.flat_map(|(i, d)| {
        let marked = d
            .requires
            .iter()
            .enumerate()
            .filter(|(_, r)| r.is_interlock);
        marked.map(move |(k, _)| (i, k))
    });
    all.collect()
}

fn stays_safe(line: &Line, lists: u64) {
    let mut tally = Tally::default();
    for seed in 0..lists {
        try_list(line, seed, None, &mut tally);
    }
    println!("{lists} lists, {} looks", tally.looks);
    for (what, n) in &tally.arrivals {
        println!("{n:6} {what}");
    }
    assert!(tally.dangers.is_empty(), "{:#?}", tally.dangers);
    for what in expected(line) {
        let n = tally.arrivals.get(&what).copied().unwrap_or(0);
        assert!(n >= ENOUGH, "{what}: only {n} times");
    }
}

#[test]
fn the_demo_stays_safe() {
    stays_safe(&Line::demo(), 600);
}

#[test]
fn a_line_that_stops_fully_stays_safe() {
    stays_safe(&Line::full_stop(), 600);
}

#[test]
fn a_line_with_a_coil_stays_safe() {
    stays_safe(&Line::with_a_coil(), 600);
}

#[test]
fn a_line_fed_from_the_bath_stays_safe() {
    stays_safe(&Line::fed_from_the_bath(), 600);
}

/// Every kind of alarm that the program has, those of salts that come out among them.
#[test]
fn a_line_with_liquids_too_strong_stays_safe() {
    stays_safe(&Line::too_strong(), 600);
}

fn every_missing_interlock_is_noticed(line: &Line, least: usize) {
    let all = interlocks(&line.net);
    assert!(all.len() >= least, "{} interlocks", all.len());
    for removed in all {
        let what = words(&line.net, removed.0, removed.1);
        let mut tally = Tally::default();
        let mut seed = 0;
        while tally.dangers.is_empty() && seed < PATIENCE {
            try_list(line, seed, Some(removed), &mut tally);
            seed += 1;
        }
        println!("without \"{what}\": {:?}", tally.dangers);
        assert!(!tally.dangers.is_empty(), "nobody missed \"{what}\"");
    }
}

#[test]
fn any_interlock_of_the_demo_is_missed() {
    every_missing_interlock_is_noticed(&Line::demo(), 16);
}

#[test]
fn any_interlock_of_a_line_that_stops_fully_is_missed() {
    every_missing_interlock_is_noticed(&Line::full_stop(), 16);
}

/// The coil's three, the pumps' two and the feed pump's two.
#[test]
fn any_interlock_of_a_line_with_a_coil_is_missed() {
    every_missing_interlock_is_noticed(&Line::with_a_coil(), 7);
}

/// Low alarm and over-temperature of the heater, low alarm and blower of the feed pump.
#[test]
fn any_interlock_of_a_line_fed_from_the_bath_is_missed() {
    every_missing_interlock_is_noticed(&Line::fed_from_the_bath(), 4);
}

/// A dump takes everything unless the scenario says otherwise. Source: `Dump::share`, 100 % by default.
#[test]
fn a_tank_may_be_dumped_to_its_last_drop() {
    let line = Line::demo();
    let names = &line.net.accounts;
    let account = names.iter().position(|a| a.name == "dumped").unwrap();
    let mut stopped = vec![];
    for (v, vessel) in line.net.vessels.iter().enumerate() {
        let dump = Event {
            name: "dump".to_owned(),
            trigger: Trigger::At(3.0 * HOUR_S),
            action: Action::Dump {
                vessel: VesselId(v),
                share: 1.0,
                account: dragback_plant::ids::AccountId(account),
            },
        };
        let mut world = line.world(vec![dump]);
        let options = ExactOptions::default();
        if let Err(why) = exact::run(&mut world, SPAN_S, &options, &mut |_| true) {
            stopped.push(format!("{}: {why}", vessel.name));
        }
    }
    assert!(stopped.is_empty(), "{stopped:#?}");
}
