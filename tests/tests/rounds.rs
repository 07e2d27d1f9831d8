//! Lines whose levels beat against the week: their settled state comes round in several weeks, and what has only begun to creep keeps its shape.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::ids::VesselId;
use dragback_plant::{Plant, TowerCache};
use dragback_run::preview::{PreviewOptions, run};
use dragback_run::settle::{Settled, settle};
use dragback_study::size::{Rinsing, Sizing};
use dragback_study::{Case, Depth, settled_answers};
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
