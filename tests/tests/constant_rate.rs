//! States at constant work: both drivers must come to the same one, however time is stepped.
//!
//! Source: both drivers' own right-hand sides. The averaged driver finds the state at rest directly ([`constant_rate`]), the exact driver runs until nothing moves.
//! They can be compared where nothing switches: a pump or a valve on two electrodes never rests, and neither does who adds salts once a day. So each plant here is one
//! whose tanks stand at their brims, whose heaters hold their set points without a thermostat, and whose salts are dosed by the ampere hour.
//!
//! Of the shipped lines three can work so: the line before recovery, the chromium line and the warm bath. Their baths drink from a valve on two levels, so they are given
//! more water than they evaporate and run over; what leaves them is dosed. The demo, the zinc line and the teaching line cannot: whatever their settings, their holding
//! tanks are filled between two electrodes and their towers stop below a third.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests; prints how far apart the states are"
)]

use std::sync::Arc;

use dragback_plant::ids::SoluteId;
use dragback_plant::network::{End, Gate, Law, Pace, Source};
use dragback_plant::{Plant, TowerCache};
use dragback_run::clock::{Clock, Hours};
use dragback_run::exact::{ExactOptions, name_entry};
use dragback_run::settle::constant_rate;
use dragback_run::{Cause, World};
use dragback_study::AirChoice;
use dragback_tests::read::{DAY_S, concentration, difference, ends_only, relative, run_exact};
use dragback_tests::shipped::{SHIPPED, case};
use dragback_tests::{Sketch, Tank, steady};

/// Work that never stops.
const ALWAYS: Clock = Clock {
    hours: Hours::AlwaysOpen,
    air: AirChoice::Mean,
};

/// What the exact driver comes to.
struct Rest {
    world: World,
    /// Largest relative change of the last ten days.
    moving: (f64, usize),
    /// Relays and weirs that switched in them.
    switches: u64,
}

/// Runs the exact driver for as long as it should take to come to rest.
fn at_rest(mut world: World, days: f64) -> Rest {
    let options = ExactOptions {
        clock: ALWAYS,
        ..ends_only(1e-9)
    };
    run_exact(&mut world, days * DAY_S, &options);
    world.open_books();
    let before = world.y.clone();
    let outcome = run_exact(&mut world, (days + 10.0) * DAY_S, &options);
    let moving = difference(&world.plant, &before, &world.y);
    Rest {
        world,
        moving,
        switches: outcome.statistics.switches,
    }
}

/// Both drivers' states at rest, which must agree to 1e-6; what is wrong with them in words.
fn compare(world: &World, days: f64) -> (Rest, Vec<String>) {
    let plant = &world.plant;
    let settled = constant_rate(world, ALWAYS, &mut |_| true).unwrap();
    let rest = at_rest(world.clone(), days);
    let mut wrong = vec![];
    if let Some(what) = &settled.restless {
        wrong.push(format!("{what} keeps moving in the averaged driver"));
    }
    for (s, kg) in &settled.creeping {
        let name = &plant.network().solutes[s.index()].name;
        wrong.push(format!("{name} creeps by {kg:?} kg a week"));
    }
    let (moving, at) = rest.moving;
    if moving >= 1e-8 {
        let at = name_entry(plant, at);
        wrong.push(format!("{at} moves by {moving:.1e} in the exact driver"));
    }
    if rest.switches > 0 {
        wrong.push(format!("{} switches in ten days", rest.switches));
    }
    let (error, at) = difference(plant, &settled.world.y, &rest.world.y);
    let at = name_entry(plant, at);
    println!("{error:.1e} apart in {at}");
    if error >= 1e-6 {
        wrong.push(format!("{error:.1e} apart in {at}"));
    }
    (rest, wrong)
}

#[test]
fn constant_rate_states_of_both_drivers_agree() {
    let (_, wrong) = compare(&steady::without_switches().world(), 600.0);
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A shipped line at constant work.
struct AtWork {
    name: &'static str,
    /// What its text says, and what it says here.
    text: &'static [(&'static str, &'static str)],
    /// Inputs that are changed.
    inputs: &'static [(&'static str, &'static str)],
}

/// More water than they evaporate, by a spray or by the rinses, and salts by the ampere hour in the place of analyses once a day.
const AT_WORK: [AtWork; 3] = [
    AtWork {
        name: "demo-before",
        text: &[
            (
                "restore: {\"Cl\": \"NiCl2.6H2O\", \"Ni\": \"NiSO4.6H2O\", \"B\": \"H3BO3\"},",
                "",
            ),
            (
                "per_charge: {",
                "per_charge: {\"NiSO4.6H2O\": \"1.2 g/Ah\", \"NiCl2.6H2O\": \"0.2 g/Ah\", \"H3BO3\": \"0.16 g/Ah\", ",
            ),
            (
                "(at: \"bath\"),",
                "(at: \"bath\", spray: (flow: \"30 L/h\", water: \"deionised\", washed: \"50 %\")),",
            ),
        ],
        inputs: &[],
    },
    AtWork {
        name: "chromium",
        text: &[
            (
                "restore: {\"Cr6\": \"CrO3\", \"SO4\": \"H2SO4\"},",
                "per_charge: {\"CrO3\": \"1.5 g/Ah\", \"H2SO4\": \"0.012 g/Ah\"},",
            ),
            (
                "(at: \"bath\"),",
                "(at: \"bath\", spray: (flow: \"40 gal/h\", water: \"reverse_osmosis\", washed: \"50 %\")),",
            ),
        ],
        inputs: &[
            ("chrome.sections.recovery.drain", "treatment"),
            ("chrome.sections.final.feed", "while_working"),
        ],
    },
    AtWork {
        name: "warm-bath",
        text: &[
            (
                "restore: {\"Cl\": \"NiCl2.6H2O\", \"Ni\": \"Ni(SO3NH2)2.4H2O\", \"B\": \"H3BO3\"}",
                "per_charge: {\"Ni(SO3NH2)2.4H2O\": \"0.8 g/Ah\", \"NiCl2.6H2O\": \"0.02 g/Ah\", \"H3BO3\": \"0.08 g/Ah\"}",
            ),
            ("spray: (flow: \"2 L/h\"", "spray: (flow: \"14 L/h\""),
        ],
        inputs: &[
            ("loop.sections.rinses.drain", "treatment"),
            ("loop.sections.rinses.feed", "continuous"),
            ("loop.sections.rinses.flow", "14 L/h"),
        ],
    },
];

#[test]
fn constant_rate_states_of_both_drivers_agree_on_shipped_lines() {
    let mut all = vec![];
    for line in &AT_WORK {
        let (_, text) = SHIPPED.iter().find(|s| s.0 == line.name).unwrap();
        let mut text = (*text).to_owned();
        for (from, to) in line.text {
            assert_eq!(text.matches(from).count(), 1, "{}: {from}", line.name);
            text = text.replace(from, to);
        }
        let case = case(&text, line.inputs);
        let net = case.plant.network();
        assert!(
            net.additions.is_empty(),
            "{}: salts come in lumps",
            line.name
        );
        let (rest, wrong) = compare(&case.world(), 500.0);
        all.extend(wrong.into_iter().map(|w| format!("{}: {w}", line.name)));
        let (bath, lead) = (net.loops[0].bath, net.loops[0].lead);
        // A bath of some strength that runs over, and nothing else out of order.
        let strength = concentration(&rest.world, bath, lead);
        println!("{}: {strength:.1} g/L", line.name);
        assert!(strength > 20.0, "{}: {strength} g/L", line.name);
        let causes: Vec<Cause> = rest.world.alarms.iter().map(|a| a.cause).collect();
        assert_eq!(causes, [Cause::Spills(bath)], "{}", line.name);
    }
    assert!(all.is_empty(), "{all:#?}");
}

/// Seeds of networks that are compared.
const SEEDS: u64 = 60;

#[test]
fn constant_rate_states_of_both_drivers_agree_on_networks_drawn_from_seeds() {
    let cache = TowerCache::default();
    let mut all = vec![];
    let (mut tanks, mut towers, mut solutes) = (0, 0, 0);
    for seed in 0..SEEDS {
        let net = steady::drawn(seed);
        tanks += net.vessels.len();
        towers += net.towers.len();
        solutes += net.solutes.len();
        let plant = Plant::new(Arc::new(net), &cache).unwrap();
        let world = World::new(Arc::new(plant), cache.clone());
        let (_, wrong) = compare(&world, 600.0);
        all.extend(wrong.into_iter().map(|w| format!("network {seed}: {w}")));
    }
    assert!(all.is_empty(), "{all:#?}");
    println!("{tanks} tanks, {solutes} solutes, {towers} towers");
    assert!(tanks > 200 && solutes > 150 && towers > 15);
}

/// Two tanks that exchange liquid and lose nothing, an impurity brought into the first, and purification in either.
///
/// Source: hand derivation. At rest what is brought is what is removed, `s = k1·m1 + k2·m2`, and the exchange carries the difference, `q·(c1 − c2) = k2·m2`.
#[test]
fn purification_holds_an_impurity_that_nothing_else_removes() {
    let (v1, v2, q, brought) = (2.0, 1.0, 20.0e-3 / 3600.0, 3.0e-7);
    for (k1, k2) in [
        (4.0e-7, 0.0),
        (0.0, 2.0e-6),
        (1.0e-5, 3.0e-5),
        (2.0e-3, 0.0),
    ] {
        let mut s = Sketch::new(&["metal", "impurity"]);
        // It takes no room, so that the volumes stay what they are.
        s.net.solutes[1].apparent_volume_m3_per_kg = 0.0;
        let first = s.tank(
            "bath",
            &Tank::full(2.0 * v1, 20.0, &[60.0, 0.5]).filled(0.5),
        );
        let second = s.tank(
            "side tank",
            &Tank::full(2.0 * v2, 20.0, &[60.0, 0.2]).filled(0.5),
        );
        let exchange = || Law::Fixed { flow_m3_per_s: q };
        s.stream(
            "to side tank",
            End::Vessel(first),
            End::Vessel(second),
            exchange(),
        );
        s.stream(
            "to bath",
            End::Vessel(second),
            End::Vessel(first),
            exchange(),
        );
        let (soil, purified) = (s.line_in("work"), s.line_out("purified"));
        let mut source = |name: &str, vessel, rate: f64, pace, account| {
            s.net.sources.push(Source {
                name: name.into(),
                vessel,
                water_kg: 0.0,
                solutes_kg: vec![(SoluteId(1), rate)],
                pace,
                gate: Gate::default(),
                account,
            });
        };
        source("soil", first, brought, Pace::Steady, soil);
        for (vessel, k) in [(first, k1), (second, k2)] {
            if k > 0.0 {
                source("purification", vessel, k, Pace::FirstOrder, purified);
            }
        }
        // c1 = c2·(1 + k2·v2/q), and k1·v1·c1 + k2·v2·c2 = brought.
        let ratio = 1.0 + k2 * v2 / q;
        let c2 = brought / (k1 * v1 * ratio + k2 * v2);
        let settled = constant_rate(&s.world(), ALWAYS, &mut |_| true).unwrap();
        let creeping: Vec<_> = settled
            .creeping
            .iter()
            .filter(|(s, _)| *s == SoluteId(1))
            .collect();
        assert!(creeping.is_empty(), "k1 {k1}, k2 {k2}: {creeping:?}");
        let got = |v| concentration(&settled.world, v, SoluteId(1));
        let (g1, g2) = (got(first), got(second));
        println!("k1 {k1} k2 {k2}: {g1} for {}, {g2} for {c2}", c2 * ratio);
        assert!(
            relative(g1, c2 * ratio) < 1e-5 && relative(g2, c2) < 1e-5,
            "{g1} {g2}"
        );
    }
}
