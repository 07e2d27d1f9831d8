//! Each term of the balance by itself: an hour in which one stream alone runs moves the margin by its flow, and the storage with it. Hand derivation.

use super::*;
use crate::answers::LoopAnswer;
use crate::settled::settled_answers;
use dragback_plant::TowerCache;
use dragback_plant::ids::TowerId;
use dragback_scenario::{ClosedBy, Equipment, Layout as Plan, Layouts, load};

const HOUR_S: f64 = 3600.0;
/// What runs in that hour, L.
const LITRES: f64 = 7.0;

/// The zinc line, whose barrels also pass a dip that drains to treatment before they come to the bath.
fn zinc_with_dip() -> Plant {
    let text = include_str!("../../../../scenarios/zinc-barrel.ron");
    let dip = "sections: {
                \"dip\": (stages: 1, tank: (volume: \"500 L\", footprint: \"1 m²\"), water: \"tap\", flow: \"60 L/h\", feed: while_working, drain: treatment),";
    let text = text
        .replacen("sections: {", dip, 1)
        .replacen("route: [", "route: [(at: \"dip\"),", 1)
        .replacen(
            "(at: \"drag\"),\n                (at: \"bath\")",
            "(at: \"bath\", spray: (flow: \"5 L/h\", water: \"tap\", washed: \"50 %\"))",
            1,
        );
    let (scenario, problems) = load(&text);
    assert!(problems.is_empty(), "{problems:?}");
    let net = dragback_scenario::lower(&scenario.unwrap()).unwrap();
    Plant::new(Arc::new(net), &TowerCache::default()).unwrap()
}

/// Margin, L/h, and storage, L, of an hour in which one entry of the vector rises.
fn hour(plant: &Plant, entry: usize, rise: f64) -> (f64, f64) {
    let mut trace = Trace::new(plant.layout().len());
    let mut y = plant.initial();
    trace.push(0.0, &y);
    y[entry] += rise;
    trace.push(HOUR_S, &y);
    let roles = &plant.network().loops[0];
    (
        margin_l_per_h(plant, roles, &trace),
        storage_l(plant, roles, &trace),
    )
}

fn stream(plant: &Plant, name: &str) -> usize {
    let all = &plant.network().transfers;
    let found = all.iter().position(|t| t.name == name);
    let names: Vec<&String> = all.iter().map(|t| &t.name).collect();
    assert!(found.is_some(), "no {name} among {names:?}");
    plant.layout().moved(TransferId(found.unwrap()))
}

fn moves(plant: &Plant, what: &str, entry: usize, rise: f64, margin: f64) {
    let (got, stored) = hour(plant, entry, rise);
    // Rounding of litres to cubic metres and back.
    assert!((got - margin).abs() < 1e-9, "{what}: {got}, not {margin}");
    // Two such hours in a row, so that what waits is twice the hour's.
    let waits = 2.0 * (-margin).max(0.0);
    assert!((stored - waits).abs() < 1e-9, "{what}: {stored} L stored");
}

#[test]
fn every_stream_counts_by_its_flow() {
    let plant = zinc_with_dip();
    for (name, sign) in [
        ("feed of rinses", -1.0),
        ("refill of drag", -1.0),
        ("spray over bath", -1.0),
        // Spray that clings to the barrels drops off in the still rinse.
        ("film tap to drag", -1.0),
        ("film dip 1 to bath", -1.0),
        // What the barrels carry from the last rinse leaves the loop …
        ("film rinses 3 to out", 1.0),
        // … and so does what clings to them from stations before.
        ("film rinses 2 to out", 1.0),
        // Within the loop.
        ("film bath to drag", 0.0),
        ("transfer to the holding tank", 0.0),
        ("return of concentrate", 0.0),
        // What fills only what is missing, what drains to treatment, and what is too much.
        ("make-up of the bath", 0.0),
        ("feed of dip", 0.0),
        ("overflow dip 1 to treatment", 0.0),
        ("overflow of the collection tank", 0.0),
        ("spill of the bath", 0.0),
    ] {
        let rise = LITRES / 1000.0;
        moves(&plant, name, stream(&plant, name), rise, sign * LITRES);
    }
}

#[test]
fn evaporation_and_the_water_of_additions_count_by_their_mass() {
    let plant = zinc_with_dip();
    let (layout, net) = (plant.layout(), plant.network());
    let kg = LITRES / 1000.0 * TOLD_KG_PER_M3;
    moves(&plant, "tower", layout.tower_water(TowerId(0)), kg, LITRES);
    for (i, vessel) in net.vessels.iter().enumerate() {
        // The dip's water goes to treatment: what it evaporates makes no room.
        let margin = if vessel.name == "dip 1" { 0.0 } else { LITRES };
        let entry = layout.surface_water(VesselId(i));
        moves(&plant, &vessel.name, entry, kg, margin);
    }
    let added = net.accounts.iter().position(|a| a.name == "additions");
    let added = layout.account(dragback_plant::ids::AccountId(added.unwrap())) + Layout::WATER;
    moves(&plant, "additions", added, -kg, -LITRES);
}

/// A rinse that drains to treatment and has no part in the loop, and a bath that only makes up what it loses: there is no margin to speak of.
#[test]
fn a_line_without_evaporator_or_return_has_no_margin() {
    for (text, is_asked) in [
        (include_str!("../../../../scenarios/demo-before.ron"), false),
        (include_str!("../../../../scenarios/warm-bath.ron"), true),
        (include_str!("../../../../scenarios/demo.ron"), true),
    ] {
        let net = dragback_scenario::lower(&load(text).0.unwrap()).unwrap();
        assert_eq!(applies(&net.loops[0]), is_asked, "{}", net.title);
    }
}

/// A bath that feeds its tower and takes the rinses in: each litre of rinse water more is a litre of room less, whether the bath lets it in or not, and what its
/// tower could evaporate does not hang on how much there is. Hand derivation: work runs 80 of 168 hours, so 25 L/h of rinse water are 11.9 L/h of the week.
#[test]
fn rinse_water_that_a_full_bath_holds_back_counts() {
    let demo = load(include_str!("../../../../scenarios/demo.ron"))
        .0
        .unwrap();
    let limit = "20 mg/L".parse().unwrap();
    let layouts = Layouts::new(&demo, "loop", limit).unwrap();
    let plan = Plan {
        stages: 5,
        before: None,
        has_free_final: false,
        closed_by: ClosedBy::BathTower,
    };
    let answer = |l_per_h: f64| {
        let equipment = Equipment {
            rinse_m3_per_s: unit::m3_per_s_from_l_per_h(l_per_h),
            towers: 1,
            heater_w: 80_000.0,
            ..layouts.usual()
        };
        let scenario = Arc::new(layouts.scenario(&plan, &equipment));
        let case = Case::new(scenario, &TowerCache::default()).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        found.answers.loops[0].clone()
    };
    let all = [25.0, 50.0, 75.0, 300.0].map(|flow| (flow, answer(flow)));
    let week = |line: &LoopAnswer| line.closure_margin_l_per_h.as_ref().unwrap().week;
    for pair in all.windows(2) {
        let more = (pair[1].0 - pair[0].0) * 80.0 / 168.0;
        let less = week(&pair[0].1) - week(&pair[1].1);
        // The more cold water, the more surfaces and tower differ by.
        assert!((less / more - 1.0).abs() < 0.15, "{less} for {more}");
    }
    let (first, last) = (&all[0].1, &all[3].1);
    assert!(week(first) > 10.0, "{}", week(first));
    // A full bath lets in far less than what is wanted, and no tank is enough.
    assert!(last.rinse_feed_l_per_h < 0.5 * 300.0 * 80.0 / 168.0);
    assert!(week(last) < -50.0 && last.storage_needed_l.is_none());
}
