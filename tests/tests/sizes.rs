//! Networks of other sizes than the shipped ones: two baths with a loop each, one, six and forty species, sixty vessels. Each is read from a scenario,
//! runs by both drivers and keeps its books (a run that cannot keep them fails).
//!
//! Source: hand derivation. Loops that share nothing but the room do not know of each other, and solutes that differ in nothing but their strength keep
//! their ratio everywhere.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests; a text that cannot be cut up stops them"
)]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::ids::{SoluteId, TowerId, VesselId};
use dragback_plant::ledger::{CLOSURE_BOUND, Ledger};
use dragback_run::World;
use dragback_run::exact::ExactOptions;
use dragback_run::preview::PreviewOptions;
use dragback_scenario::{Scenario, apply, load};
use dragback_study::{AirChoice, Answers, Case, Depth, Hours, settled_answers};
use dragback_tests::read::{DAY_S, concentration, relative, run_exact, run_preview, volume_m3};

const DEMO: &str = include_str!("../../scenarios/demo.ron");
const TEACHING: &str = include_str!("../../scenarios/teaching.ron");

fn read(text: &str) -> Scenario {
    let (scenario, problems) = load(text);
    assert!(problems.is_empty(), "{problems:#?}");
    scenario.unwrap()
}

fn case(scenario: Scenario) -> Case {
    Case::new(Arc::new(scenario), &TowerCache::default()).unwrap()
}

/// A text with what stands from one mark up to another replaced.
fn cut(text: &str, from: &str, up_to: &str, by: &str) -> String {
    let start = text.find(from).unwrap_or_else(|| panic!("no {from}"));
    let end = start
        + text[start..]
            .find(up_to)
            .unwrap_or_else(|| panic!("no {up_to}"));
    format!("{}{by}{}", &text[..start], &text[end..])
}

/// The demo with its loop several times, under the keys given.
fn with_loops(keys: &[&str]) -> String {
    let (from, up_to) = ("        \"loop\": (", "    },\n    prices:");
    let start = DEMO.find(from).unwrap();
    let end = start + DEMO[start..].find(up_to).unwrap();
    let body = DEMO[start..end].strip_prefix(from).unwrap();
    let loops = keys.iter().map(|key| format!("        \"{key}\": ({body}"));
    cut(DEMO, from, up_to, &loops.collect::<String>())
}

/// Names of tracers.
fn tracers(count: usize) -> Vec<String> {
    (1..=count).map(|i| format!("Tracer{i}")).collect()
}

/// A text with so many tracers in its baths, each a little stronger than the one before.
fn with_tracers(text: &str, count: usize) -> String {
    let define = |name: &String| {
        format!(
            "\"{name}\": (name: \"tracer\", molar_mass: \"60 g/mol\", apparent_volume: \"0.3 L/kg\"), "
        )
    };
    let defined: String = tracers(count).iter().map(define).collect();
    let holds = |(i, name): (usize, &String)| format!("\"{name}\": \"{} mg/L\", ", 40 + i);
    let held: String = tracers(count).iter().enumerate().map(holds).collect();
    let text = if text.contains("    species: {") {
        text.replace("    species: {", &format!("    species: {{{defined}"))
    } else {
        text.replace(
            "    loops: {",
            &format!("    species: {{{defined}}},\n    loops: {{"),
        )
    };
    text.replace("contaminants: {", &format!("contaminants: {{{held}"))
}

/// The worlds after some days, by the exact and by the averaged driver.
fn both(case: &Case, days: f64) -> [World; 2] {
    let (mut exact, mut averaged) = (case.world(), case.world());
    let start = exact.y.clone();
    let options = ExactOptions {
        sample_s: f64::INFINITY,
        ..ExactOptions::default()
    };
    run_exact(&mut exact, days * DAY_S, &options);
    run_preview(&mut averaged, days * DAY_S, &PreviewOptions::default());
    for world in [&exact, &averaged] {
        let ledger = Ledger::between(&world.plant, &start, &world.y);
        assert_eq!(ledger.entries.len(), 2 + case.plant.network().solutes.len());
        let (what, error) = ledger.worst().unwrap();
        assert!(error <= CLOSURE_BOUND, "{what}: {error:.1e}");
        let evaporated = world.y[world.plant.layout().tower_water(TowerId(0))];
        assert!(
            evaporated > 100.0,
            "it must have done something: {evaporated} kg"
        );
        assert!(world.alarms.is_empty(), "{:?}", world.alarms);
    }
    [exact, averaged]
}

/// Tracers keep their ratio in every tank that has any.
fn tracers_keep_their_ratio(world: &World) {
    let net = world.plant.network();
    let is_tracer = |s: &SoluteId| net.solutes[s.index()].name.starts_with("Tracer");
    let ids: Vec<SoluteId> = (0..net.solutes.len())
        .map(SoluteId)
        .filter(is_tracer)
        .collect();
    let number = |s: SoluteId| -> f64 {
        let digits = net.solutes[s.index()].name.strip_prefix("Tracer").unwrap();
        39.0 + digits.parse::<f64>().unwrap()
    };
    for v in (0..net.vessels.len()).map(VesselId) {
        let first = concentration(world, v, ids[0]) / number(ids[0]);
        for &s in &ids[1..] {
            let share = concentration(world, v, s) / number(s);
            assert!(
                (share - first).abs() <= 1e-9 * first,
                "{}",
                net.vessels[v.index()].name
            );
        }
    }
}

#[test]
fn two_baths_with_a_loop_each_do_not_know_of_each_other() {
    let twins = case(read(&with_loops(&["north", "south"])));
    let net = twins.plant.network();
    assert_eq!(
        (net.loops.len(), net.vessels.len(), net.towers.len()),
        (2, 12, 2)
    );
    for world in both(&twins, 15.0) {
        for v in 0..6 {
            let (a, b) = (VesselId(v), VesselId(v + 6));
            assert!(relative(volume_m3(&world, a), volume_m3(&world, b)) < 1e-9);
            for s in (0..net.solutes.len()).map(SoluteId) {
                let (a, b) = (concentration(&world, a, s), concentration(&world, b, s));
                assert!((a - b).abs() <= 1e-9 * b.abs());
            }
        }
    }
    // One of them gets more rinse water; the other does as the demo does by itself.
    let mut uneven = read(&with_loops(&["north", "south"]));
    apply(&mut uneven, [("south.sections.rinses.flow", "110 L/h")]).unwrap();
    let (uneven, alone) = (case(uneven), case(read(DEMO)));
    let water = |w: &World, t: usize| w.y[w.plant.layout().tower_water(TowerId(t))];
    for (two, one) in both(&uneven, 15.0).iter().zip(&both(&alone, 15.0)) {
        let north = relative(water(two, 0), water(one, 0));
        println!(
            "north {north:.1e} off, south {:+.3}",
            water(two, 1) / water(one, 0) - 1.0
        );
        assert!(north < 1e-4, "{north:.1e}");
        assert!(water(two, 1) > 1.05 * water(one, 0));
    }
}

/// Each of two lines settles as it does by itself, what takes years there too; also where the two are not alike.
#[test]
fn two_baths_settle_each_by_itself() {
    let settled = |mut scenario: Scenario, path: &str, flow: &str| {
        apply(&mut scenario, [(path, flow)]).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case(scenario), air, hours, Depth::Full, &mut |_| true);
        found.unwrap().answers
    };
    for flow in ["110 L/h", "60 L/h"] {
        let alone = settled(read(DEMO), "loop.sections.rinses.flow", "95 L/h");
        let other = settled(read(DEMO), "loop.sections.rinses.flow", flow);
        let pair = read(&with_loops(&["north", "south"]));
        let pair = settled(pair, "south.sections.rinses.flow", flow);
        assert!(pair.refined && alone.refined, "{:?}", pair.doubts);
        each_as_alone(&pair, [&alone, &other]);
    }
}

/// Holds a file of two lines to the answers of each by itself.
fn each_as_alone(pair: &Answers, lines: [&Answers; 2]) {
    let tanks = lines[0].vessels.len();
    for (i, one) in lines.into_iter().enumerate() {
        for (two, one) in pair.vessels[i * tanks..].iter().zip(&one.vessels) {
            assert!((two.temperature_c - one.temperature_c).abs() < 0.01);
            assert!(relative(two.volume_l, one.volume_l) < 1e-3, "{}", two.name);
            for (name, strength) in &one.concentration_g_per_l {
                let here = two.concentration_g_per_l[name];
                assert!(
                    relative(here, *strength) < 1e-3,
                    "{name} in {}: {here} for {strength}",
                    two.name
                );
            }
        }
        let days = pair.loops[i].days_to_settle;
        assert!(days.is_some() && days == one.loops[0].days_to_settle);
        let of_line = |told: &Answers, first: usize| -> Vec<(String, f64)> {
            let bath = &told.vessels[first].name;
            let found = told.impurities.iter().filter(|i| &i.vessel == bath);
            found
                .map(|i| (i.species.clone(), i.growth_g_per_l_per_day))
                .collect()
        };
        let (here, alone) = (of_line(pair, i * tanks), of_line(one, 0));
        assert_eq!(here.len(), alone.len());
        for (here, alone) in here.iter().zip(&alone) {
            assert!(here.0 == alone.0 && relative(here.1 + 1e-9, alone.1 + 1e-9) < 0.01);
        }
    }
}

#[test]
fn one_species() {
    let text = cut(TEACHING, "rectifier: (", "make_up:", "");
    let text = text.replace(
        "recipe: {\"CuSO4.5H2O\": \"200 g/L\", \"H2SO4\": \"50 g/L\"}",
        "recipe: {}",
    );
    let text = text.replace(
        "contaminants: {\"Cl\": \"60 mg/L\"}",
        "contaminants: {\"Salt\": \"80 g/L\"}",
    );
    let text = text.replace("lead: \"Cu\"", "lead: \"Salt\"");
    let define =
        "    species: {\"Salt\": (name: \"salt\", molar_mass: \"60 g/mol\")},\n    loops: {";
    let mut scenario = read(&text.replace("    loops: {", define));
    scenario.events.clear();
    let case = case(scenario);
    assert_eq!(case.plant.network().solutes.len(), 1);
    let [exact, averaged] = both(&case, 15.0);
    for v in (0..case.plant.network().vessels.len()).map(VesselId) {
        let held = |w: &World| concentration(w, v, SoluteId(0)) * volume_m3(w, v);
        let name = &case.plant.network().vessels[v.index()].name;
        println!("{name}: {} and {} kg", held(&exact), held(&averaged));
    }
    let held = |w: &World| concentration(w, VesselId(0), SoluteId(0)) * volume_m3(w, VesselId(0));
    assert!(relative(held(&averaged), held(&exact)) < 0.01);
}

#[test]
fn six_species() {
    let mut scenario = read(&with_tracers(TEACHING, 2));
    scenario.events.clear();
    let case = case(scenario);
    assert_eq!(case.plant.network().solutes.len(), 6);
    both(&case, 15.0).iter().for_each(tracers_keep_their_ratio);
}

/// How many species the demo has of its own.
fn own_species() -> usize {
    case(read(DEMO)).plant.network().solutes.len()
}

#[test]
fn forty_species() {
    let text = with_tracers(DEMO, 40 - own_species());
    let case = case(read(&text));
    assert_eq!(case.plant.network().solutes.len(), 40);
    both(&case, 15.0).iter().for_each(tracers_keep_their_ratio);
}

#[test]
fn sixty_vessels_and_forty_species() {
    let keys = ["a", "b", "c", "d", "e", "f"];
    let text = with_tracers(&with_loops(&keys), 40 - own_species());
    let case = case(read(&text.replace("stages: 3", "stages: 7")));
    let net = case.plant.network();
    assert_eq!(
        (net.vessels.len(), net.solutes.len(), net.towers.len()),
        (60, 40, 6)
    );
    both(&case, 8.0).iter().for_each(tracers_keep_their_ratio);
}
