//! A layout that is made the present line begins as it goes on: bath and holding tank stand where a usual day has them, so that nothing grows stronger at first
//! than the settled week says.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::ClosedBy;
use dragback_study::size::{Rinsing, Row, Sizing};
use dragback_study::{AirChoice, Case, Clock, Driver, Span, run_span};
use dragback_tests::shipped::{CLOCK, SHIPPED, case};
use dragback_units::constants::seconds_from_days;

/// By so much a run of a quarter from January may be over what every settled month keeps, as it begins with clean rinses and months follow each other.
const OVER: f64 = 0.03;

/// The table of layouts of a shipped line at its own limit; `None` where it has none.
fn sizing(text: &str) -> Option<Sizing> {
    let base = case(text, &[]);
    let (key, line) = base.scenario.loops.iter().next()?;
    let limit = line.final_limit.as_ref()?.quantity().clone();
    Some(Sizing::new(&base.scenario, key, limit, &TowerCache::default()).unwrap())
}

/// The first 90 days of a row's line, in the air of each month.
fn ninety_days(sizing: &Sizing, row: &Row, driver: Driver) -> Span {
    let made = Arc::new(sizing.scenario(row).unwrap());
    let made = Case::new(made, &TowerCache::default()).unwrap();
    let clock = Clock {
        air: AirChoice::Calendar,
        ..CLOCK
    };
    run_span(&made, seconds_from_days(90.0), driver, clock, &mut |_| true).unwrap()
}

#[test]
fn a_sized_line_keeps_its_limit_from_the_first_day() {
    let mut count = 0;
    for (name, text) in SHIPPED {
        let Some(sizing) = sizing(text) else {
            continue;
        };
        let limit = sizing.layouts().final_limit_kg_per_m3();
        for rinsing in Rinsing::all().into_iter().filter(|r| r.stages % 2 == 0) {
            let rows = sizing.rows(rinsing, &mut |_| true).unwrap();
            for row in rows.iter().filter(|row| row.verified) {
                let run = ninety_days(&sizing, row, Driver::Preview);
                let roles = &run.plant.network().loops[0];
                let films = (0..run.trace.len()).map(|i| {
                    let y = run.trace.row(i);
                    run.plant.film(&roles.last_film, roles.lead, y) / limit
                });
                let most = films.fold(0.0, f64::max);
                assert!(most < 1.0 + OVER, "{name}, {}: {most}", row.layout);
                count += 1;
            }
        }
    }
    assert!(count > 80, "{count}");
}

/// Rows of the demo whose holding tank stands low ride through 90 days with every switch located, or are no rows that work: pumps that work in batches leave it
/// a little lower than the mean that they were sized by.
#[test]
fn a_holding_tank_rides_through_a_quarter_switch_by_switch() {
    let demo = SHIPPED.iter().find(|s| s.0 == "demo").unwrap().1;
    let sizing = sizing(demo).unwrap();
    let mut count = 0;
    let is_asked = |r: &Rinsing| r.stages == 3 && r.has_free_final;
    for rinsing in Rinsing::all().into_iter().filter(is_asked) {
        let rows = sizing.rows(rinsing, &mut |_| true).unwrap();
        let is_held = |row: &&Row| row.verified && row.plan.closed_by == ClosedBy::HoldingTank;
        for row in rows.iter().filter(is_held) {
            let run = ninety_days(&sizing, row, Driver::Exact);
            assert!(run.alarms.is_empty(), "{}: {:?}", row.layout, run.alarms);
            count += 1;
        }
    }
    assert!(count > 0, "no layout has a holding tank");
}
