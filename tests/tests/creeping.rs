//! What would take years to settle is shown at the inventory of the first four weeks: not at one that the search for the week made up.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_run::settle::settle;
use dragback_study::{AirChoice, Case, Clock, Depth, Driver, run_span, settled_answers};
use dragback_tests::shipped::{CLOCK, SHIPPED, case};
use dragback_units::constants::{SECONDS_PER_WEEK, seconds_from_days};

/// Mass of each solute in all tanks, kg.
fn held_kg(plant: &Plant, y: &[f64]) -> Vec<f64> {
    let layout = plant.layout();
    let (tanks, solutes) = (plant.network().vessels.len(), plant.network().solutes.len());
    let at = |v: usize, s: usize| layout.vessel(VesselId(v)) + layout.solute(SoluteId(s));
    (0..solutes)
        .map(|s| (0..tanks).map(|v| y[at(v, s)]).sum())
        .collect()
}

/// Compares the settled week with a plain run of four weeks; returns how many solutes were compared.
fn compare(case: &Case, air: AirChoice, about: &str) -> usize {
    let clock = Clock { air, ..CLOCK };
    let found = settled_answers(case, air, CLOCK.hours, Depth::Quick, &mut |_| true).unwrap();
    let month = 4.0 * SECONDS_PER_WEEK;
    let run = run_span(case, month, Driver::Preview, clock, &mut |_| true).unwrap();
    let trace = &run.trace;
    let wanted = held_kg(&case.plant, trace.row(trace.len() - 1));
    let shown = held_kg(&case.plant, &found.settled.week_start);
    let mut count = 0;
    for (s, solute) in found.answers.solutes.iter().enumerate() {
        if solute.as_of_day.is_none() || wanted[s] < 1e-3 {
            continue;
        }
        count += 1;
        let off = shown[s] / wanted[s] - 1.0;
        // Only spread anew over the tanks, within what the search for the week takes for settled.
        assert!(
            off.abs() < 0.02,
            "{about}, {}: {} kg, {} kg after four weeks",
            solute.name,
            shown[s],
            wanted[s]
        );
    }
    count
}

#[test]
fn what_creeps_keeps_its_inventory_in_every_month() {
    let mut count = 0;
    // The teaching line's events are no part of a settled week.
    for (name, text) in SHIPPED.into_iter().filter(|s| s.0 != "teaching") {
        let case = case(text, &[]);
        count += compare(&case, AirChoice::Mean, name);
        for month in 0..12 {
            count += compare(
                &case,
                AirChoice::Month(month),
                &format!("{name}, month {month}"),
            );
        }
    }
    assert!(count > 100, "{count}");
}

/// From the line's own start, by the exact driver: what it holds after four weeks, to a percent, and as the week begins in whose middle is the day of which the answer says
/// that it tells, within a day of growth. That day is told by growth in a straight line.
#[test]
fn what_creeps_is_held_at_what_the_exact_driver_comes_to() {
    let mut count = 0;
    for (name, text) in SHIPPED.into_iter().filter(|s| s.0 != "teaching") {
        let case = case(text, &[]);
        let (air, hours) = (CLOCK.air, CLOCK.hours);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let shown = held_kg(&case.plant, &found.settled.week_start);
        let days = found.answers.solutes.iter().filter_map(|s| s.as_of_day);
        let span_s = seconds_from_days(days.fold(28.0, f64::max) + 1.0);
        let run = run_span(&case, span_s, Driver::Exact, CLOCK, &mut |_| true).unwrap();
        let on_day = |day: f64| {
            let moment = run.trace.at(seconds_from_days(day));
            held_kg(&case.plant, run.trace.row(moment))
        };
        for (s, solute) in found.answers.solutes.iter().enumerate() {
            let Some(day) = solute.as_of_day else {
                continue;
            };
            let day = day - 3.5;
            count += 1;
            let (what, shown) = (format!("{name}, {}", solute.name), shown[s]);
            let (in_all, on_its_day) = (on_day(28.0)[s], on_day(day)[s]);
            let a_day = (on_day(day + 0.5)[s] - on_day(day - 0.5)[s]).abs();
            println!(
                "{what}: {shown} kg, {in_all} after four weeks, {on_its_day} on day {day:.1}, ± {a_day}"
            );
            assert!((shown / in_all - 1.0).abs() < 0.01, "{what}");
            let bound = a_day.max(0.01 * on_its_day);
            assert!((shown - on_its_day).abs() <= bound, "{what}, day {day}");
        }
    }
    assert!(count >= 10, "{count}");
}

/// Near the edge where the loop just closes, tanks drift for many weeks.
#[test]
fn what_creeps_keeps_its_inventory_where_tanks_drift() {
    let mut count = 0;
    for flow in [
        "90 L/h", "99 L/h", "100 L/h", "101 L/h", "102 L/h", "110 L/h",
    ] {
        let case = case(SHIPPED[0].1, &[("loop.sections.rinses.flow", flow)]);
        count += compare(&case, AirChoice::Mean, flow);
    }
    assert!(count >= 6, "{count}");
}

/// Every shipped line has a week that repeats in the air of every month.
#[test]
fn every_month_of_every_line_has_a_week_that_repeats() {
    let mut found = Vec::new();
    for (name, text) in SHIPPED {
        let case = case(text, &[]);
        for month in 0..12 {
            let clock = Clock {
                air: AirChoice::Month(month),
                ..CLOCK
            };
            let settled = settle(&case.world(), clock, &mut |_| true).unwrap();
            if settled.restless.is_some() || settled.round_weeks > 1 {
                found.push((name, month, settled.round_weeks, settled.restless));
            }
        }
    }
    assert!(found.is_empty(), "{found:?}");
}
