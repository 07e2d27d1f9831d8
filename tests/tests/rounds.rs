//! Lines whose levels beat against the week: their settled state comes round in several weeks, and what has only begun to creep keeps its shape.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::{Plant, TowerCache};
use dragback_run::Trace;
use dragback_run::preview::{PreviewOptions, run};
use dragback_run::settle::{Settled, settle};
use dragback_study::size::{Rinsing, Sizing};
use dragback_study::{Case, Depth, Driver, run_span, settled_answers};
use dragback_tests::shipped::{CLOCK, SHIPPED, case};
use dragback_units::constants::SECONDS_PER_WEEK;

/// The vector after each of some more weeks, without any search.
fn weeks_on(settled: &Settled, weeks: u32) -> Vec<Vec<f64>> {
    let mut world = settled.world.clone();
    let options = PreviewOptions {
        clock: CLOCK,
        ..PreviewOptions::fine()
    };
    let mut found = vec![world.y.clone()];
    for _ in 0..weeks {
        let until_s = world.t_s + SECONDS_PER_WEEK;
        run(&mut world, until_s, &options, &mut |_| true).unwrap();
        found.push(world.y.clone());
    }
    found
}

/// Greatest difference of volumes, as share of the tank.
fn apart(plant: &Plant, a: &[f64], b: &[f64]) -> f64 {
    let vessels = plant.network().vessels.iter().enumerate();
    let each = vessels.map(|(v, vessel)| {
        let volume = |y| plant.holdup(VesselId(v), y).0;
        (volume(a) - volume(b)).abs() / vessel.full_m3
    });
    each.fold(0.0, f64::max)
}

/// Its holding tank is too warm for its flow to fit a week: batches come every other day and a bit.
#[test]
fn a_line_comes_round_in_several_weeks() {
    let teaching = SHIPPED[5].1;
    let case = case(teaching, &[("loop.holding_tank.set_point", "47 °C")]);
    let settled = settle(&case.world(), CLOCK, &mut |_| true).unwrap();
    assert!(settled.restless.is_none());
    let weeks = settled.round_weeks;
    assert_eq!(weeks, 3);
    let later = weeks_on(&settled, 12);
    let plant = &case.plant;
    assert!(apart(plant, &later[0], &later[1]) > 1e-3);
    for w in [weeks, 2 * weeks, 4 * weeks] {
        let apart = apart(plant, &later[0], &later[w]);
        assert!(apart < 1e-4, "{apart} after {w} weeks");
    }
    // What is shown are the means of all its weeks, and the next twelve have the same.
    let lead = plant.network().loops[0].lead;
    let bath = plant.network().loops[0].bath;
    let held = |y: &[f64]| y[plant.layout().vessel(bath) + plant.layout().solute(lead)];
    let mean = |ys: &[Vec<f64>]| ys.iter().map(|y| held(y)).sum::<f64>() / ys.len() as f64;
    let (round, year) = (mean(&later[1..=weeks]), mean(&later[1..]));
    assert!((round / year - 1.0).abs() < 1e-4, "{round} {year}");
    let rows = settled.trace.times_s();
    let span_s = rows[rows.len() - 1] - rows[0];
    assert!((span_s / SECONDS_PER_WEEK - weeks as f64).abs() < 1e-9);
    let told = settled_answers(&case, CLOCK.air, CLOCK.hours, Depth::Quick, &mut |_| true).unwrap();
    let says = |doubt: &String| doubt.contains("every 3 weeks");
    assert!(
        told.answers.doubts.iter().any(says),
        "{:?}",
        told.answers.doubts
    );
}

/// Near the edge where a large collection tank just does not run over, some weeks of the search wash the bath's sulfate or chloride out; what is shown has it
/// as a run from the start has, within what it gains in a year.
#[test]
fn what_creeps_is_not_washed_out_by_the_search() {
    let large = ["19000 L", "15 m²"];
    let zinc = ["8000 L", "6.15 m²"];
    for (place, key, flow, [volume, footprint], name) in [
        (0, "loop", "126 L/h", large, "SO4"),
        (0, "loop", "130 L/h", large, "SO4"),
        (3, "zinc", "112 L/h", zinc, "Cl"),
        (3, "zinc", "113 L/h", zinc, "Cl"),
    ] {
        let paths = [
            "sections.rinses.flow",
            "collection.tank.volume",
            "collection.tank.footprint",
        ];
        let paths = paths.map(|path| format!("{key}.{path}"));
        let values = [flow, volume, footprint];
        let changes: Vec<(&str, &str)> = paths.iter().map(String::as_str).zip(values).collect();
        let case = case(SHIPPED[place].1, &changes);
        let settled = settle(&case.world(), CLOCK, &mut |_| true).unwrap();
        let year_s = 52.0 * SECONDS_PER_WEEK;
        let run = run_span(&case, year_s, Driver::Preview, CLOCK, &mut |_| true).unwrap();
        let plant = &case.plant;
        let mut solutes = plant.network().solutes.iter();
        let s = SoluteId(solutes.position(|x| x.name == name).unwrap());
        let bath = plant.network().loops[0].bath;
        let mean = |trace: &Trace| {
            let rows = 0..trace.len();
            let all = rows.map(|i| plant.concentration(bath, s, trace.row(i)).unwrap());
            all.sum::<f64>() / trace.len() as f64
        };
        let (shown, ran) = (mean(&settled.trace), mean(&run.trace));
        assert!(
            (shown / ran - 1.0).abs() < 0.1,
            "{key} {flow}, {name}: {shown} g/L, {ran} in a run"
        );
        assert!(settled.restless.is_some() || settled.change < 1e-4);
    }
}

/// Where rinses exchange little, what has only begun to grow in the bath has not come to the shape in which it creeps: that shape would leave less than
/// nothing in a rinse. It is shown on the day on which it has, and goes on from there as is said.
#[test]
fn what_has_only_begun_to_creep_keeps_its_shape() {
    let warm = SHIPPED[4];
    assert_eq!(warm.0, "warm-bath");
    let base = case(warm.1, &[]);
    let line = base.scenario.loops.get("loop").unwrap();
    let limit = line.final_limit.as_ref().unwrap().quantity().clone();
    let sizing = Sizing::new(&base.scenario, "loop", limit, &TowerCache::default()).unwrap();
    let rinsing = Rinsing {
        stages: 5,
        before: None,
        has_free_final: true,
    };
    let rows = sizing.rows(rinsing, &mut |_| true).unwrap();
    let scenario = sizing.scenario(&rows[0]).unwrap();
    let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
    let settled = settle(&case.world(), CLOCK, &mut |_| true).unwrap();
    assert!(settled.restless.is_none(), "{:?}", settled.restless);
    assert!(!settled.creeping.is_empty());
    let later = weeks_on(&settled, 1);
    let layout = case.plant.layout();
    for (s, weekly) in &settled.creeping {
        let all: f64 = weekly.iter().sum();
        for (v, said) in weekly.iter().enumerate() {
            let at = layout.vessel(VesselId(v)) + layout.solute(*s);
            let gained = later[1][at] - later[0][at];
            let name = &case.plant.network().vessels[v].name;
            assert!(
                (gained - said).abs() < 1e-3 * all.abs() + 1e-9,
                "{name} {s:?}: {gained} kg, {said} said"
            );
            assert!(later[0][at] >= 0.0);
        }
    }
}
