//! What comes in with the work and out of the anodes: hand derivations, both drivers.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::load;
use dragback_study::{
    AirChoice, Answers, Case, Clock, Depth, Driver, Hours, LedgerAnswer, Way, run_span,
    settled_answers,
};
use dragback_units::constants::SECONDS_PER_WEEK;

const DEMO: &str = include_str!("../../scenarios/demo.ron");

fn case(change: (&str, &str)) -> Case {
    assert!(DEMO.contains(change.0), "{}", change.0);
    let (scenario, problems) =
        load(&DEMO.replacen(change.0, &format!("{}{}", change.1, change.0), 1));
    assert!(problems.is_empty(), "{problems:?}");
    Case::new(Arc::new(scenario.unwrap()), &TowerCache::default()).unwrap()
}

fn week(case: &Case, driver: Driver) -> Answers {
    let clock = Clock {
        hours: Hours::Calendar,
        air: AirChoice::Mean,
    };
    let span = run_span(case, SECONDS_PER_WEEK, driver, clock, &mut |_| true).unwrap();
    span.answers()
}

/// Kilograms that came in under a name; the entry must close.
fn came_in(answers: &Answers, what: &str, name: &str) -> f64 {
    let LedgerAnswer::Mass {
        closure_error,
        lines,
        ..
    } = &answers.ledger[what]
    else {
        panic!("{what} is no mass");
    };
    assert!(*closure_error <= 1e-9, "{what}: {closure_error:e}");
    let line = lines.iter().find(|l| l.name == name && l.side == Way::In);
    line.map_or(0.0, |l| l.kg)
}

fn near(what: &str, found: f64, expected: f64, share: f64) {
    assert!(
        (found / expected - 1.0).abs() <= share,
        "{what}: {found}, expected {expected}"
    );
}

/// Hand derivation: the current of the demo flows in 80 hours of a week; each ampere hour brings 0.5 mg of iron.
#[test]
fn anodes_bring_what_their_current_tells() {
    let case = case((
        "metal: \"Ni\"",
        "anode_impurities: {\"Fe\": \"0.5 mg/Ah\"}, ",
    ));
    let line = case.scenario.loops.values().next().unwrap();
    let current_a = line.bath.rectifier.as_ref().unwrap().current.si();
    for driver in [Driver::Preview, Driver::Exact] {
        let kg = came_in(&week(&case, driver), "Fe", "impurities of anodes");
        near("iron", kg, 0.5e-6 * current_a * 80.0, 1e-6);
    }
}

/// Hand derivation: 40 m²/h arrive with 0.1 L/m² in 80 hours of a week, 320 L with 3 g/L of sodium each. Sodium takes next to no room of the
/// water at 0.998 kg/L: within 1 %.
#[test]
fn drag_in_brings_its_water_and_what_is_in_it() {
    let drag_in = "drag_in: (film: \"0.1 L/m²\", solutes: {\"Na\": \"3 g/L\"}), ";
    let changed = case(("drag_out: (", drag_in));
    for driver in [Driver::Preview, Driver::Exact] {
        let answers = week(&changed, driver);
        near("sodium", came_in(&answers, "Na", "drag-in"), 0.96, 1e-6);
        near(
            "water",
            came_in(&answers, "water", "drag-in"),
            320.0 * 0.998,
            0.01,
        );
    }
    // The demo's work comes to the bath first, whose loop has to evaporate it: 320 L in 168 h, 1.90 L/h less to spare. Less concentrate finds
    // room in the bath then, so that the holding tank is stronger and evaporates a little less too: 0.1 L/h.
    let settled = |case: &Case| {
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let answers = found.answers;
        let tank = answers.vessels.iter().find(|v| v.name == "holding tank");
        let margin = answers.loops[0].closure_margin_l_per_h.as_ref();
        (
            margin.unwrap().week,
            tank.unwrap().concentration_g_per_l["Ni"],
        )
    };
    let (dry, weaker) = settled(&case(("drag_out: (", "")));
    let (wet, stronger) = settled(&case(("drag_out: (", "drag_in: (film: \"0.1 L/m²\"), ")));
    let less = dry - wet - 320.0 / 168.0;
    assert!((0.0..0.1).contains(&less), "{dry} and {wet} L/h");
    assert!(stronger > weaker, "{stronger} and {weaker} g/L");
}
