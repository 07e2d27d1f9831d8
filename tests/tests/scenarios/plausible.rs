//! What must hold of a settled week in any shipped scenario.

use dragback_plant::Plant;
use dragback_plant::ids::VesselId;
use dragback_run::Trace;
use dragback_study::{Answers, Case, LoopAnswer};
use dragback_units::celsius_from_kelvin;

use super::expected::Shipped;
use super::{only_loop, within};

/// Lowest and highest of what `read` finds in a tank over a trace.
pub fn span(trace: &Trace, mut read: impl FnMut(&[f64]) -> f64) -> (f64, f64) {
    (0..trace.len())
        .map(|i| read(trace.row(i)))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
            (low.min(x), high.max(x))
        })
}

fn vessel(plant: &Plant, name: &str) -> Option<VesselId> {
    plant
        .network()
        .vessels
        .iter()
        .position(|v| v.name == name)
        .map(VesselId)
}

fn level_span(plant: &Plant, trace: &Trace, v: VesselId) -> (f64, f64) {
    let shape = plant.network().vessels[v.index()].shape;
    span(trace, |y| shape.level_m(plant.holdup(v, y).0))
}

/// Rinse, heaters, margin and recovery are what the scenario says.
pub fn plausible_loop(one: &Shipped, answer: &LoopAnswer) {
    let name = one.name;
    let is = |what: &str| format!("{name}: {what}");
    let rinse = &answer.final_rinse;
    within(&is("final rinse, mg/L"), rinse.film_mg_per_l, (1.0, 100.0));
    let limit = rinse.limit_mg_per_l.unwrap();
    assert!(
        rinse.film_mg_per_l <= limit,
        "{name}: final rinse above its limit"
    );
    assert!(
        rinse.tank_mg_per_l <= rinse.film_mg_per_l * (1.0 + 1e-6),
        "{name}: film weaker than tank"
    );
    within(&is("heater duty"), answer.heater_duty, one.duty);
    plausible_margin(one, answer);
    within(
        &is("recovered share"),
        answer.recovered_fraction,
        one.recovered,
    );
    let share = answer.to_treatment_l_per_h / answer.rinse_feed_l_per_h;
    within(&is("share to treatment"), share, one.to_treatment);
    assert!(
        answer.days_to_settle.is_some_and(|d| d < 365.0),
        "{name}: {:?}",
        answer.days_to_settle
    );
    let lead = &rinse.species;
    let lost = answer.lost_kg_per_day[lead];
    assert!(lost > 0.0, "{name}: some {lead} is always lost");
}

fn plausible_margin(one: &Shipped, answer: &LoopAnswer) {
    let name = one.name;
    let (margin, storage_l) = (&answer.closure_margin_l_per_h, answer.storage_needed_l);
    let Some(bounds) = one.margin_l_per_h else {
        assert_eq!((margin, storage_l), (&None, None), "{name}");
        return;
    };
    let margin = margin.as_ref().unwrap();
    println!("{name}: {margin:?}, storage {storage_l:?}");
    within(&format!("{name}: margin, L/h"), margin.week, bounds);
    assert_eq!(
        margin.in_shift >= 0.0,
        one.closes_in_shift,
        "{name}: {margin:?}"
    );
    assert!(
        margin.worst_month <= margin.week + 1e-9,
        "{name}: {margin:?}"
    );
    assert_eq!(
        margin.worst_month >= 0.0,
        margin.week >= 0.0,
        "{name}: no month changes the sign"
    );
    // Without an evaporator that rests there is nothing to store; with one that closes over the week there is.
    let must_store = margin.week > 0.0 && margin.in_shift < 0.0;
    assert!(!must_store || storage_l.unwrap() > 0.0, "{name}");
}

/// The bath stands at its set point, at its strength, and nothing spills.
pub fn plausible_bath(one: &Shipped, case: &Case, answers: &Answers) {
    let name = one.name;
    let line = only_loop(&case.scenario);
    let bath = answers.vessels.iter().find(|v| v.name == "bath").unwrap();
    let set_c = celsius_from_kelvin(line.bath.set_point.si());
    within(
        &format!("{name}: bath temperature"),
        bath.temperature_c,
        (set_c - 0.5, set_c + 0.5),
    );
    let start = case.plant.initial();
    let roles = &case.plant.network().loops[0];
    let target = case
        .plant
        .concentration(roles.bath, roles.lead, &start)
        .unwrap();
    let settled = bath.concentration_g_per_l[&answers.loops[0].final_rinse.species];
    within(
        &format!("{name}: bath strength over target"),
        settled / target,
        (0.97, 1.06),
    );
    for stream in answers.streams.iter().filter(|s| s.name.contains("spill")) {
        assert!(stream.mean_flow_l_per_h.abs() < 1e-6, "{name}: {stream:?}");
    }
}

/// Levels between their electrodes, temperatures at their set points, nothing swings from step to step.
pub fn plausible_tanks(name: &str, case: &Case, week: &Trace) {
    let plant = &case.plant;
    let line = only_loop(&case.scenario);
    if let (Some(holding), Some(v)) = (&line.holding_tank, vessel(plant, "holding tank")) {
        let e = &holding.electrodes;
        let (low, high) = level_span(plant, week, v);
        assert!(
            low > e.low_alarm.si(),
            "{name}: holding tank falls to {low} m"
        );
        assert!(
            low > holding.give_back.dry_run_level.si(),
            "{name}: the return pump runs dry"
        );
        assert!(
            high < e.high_alarm.si(),
            "{name}: holding tank rises to {high} m"
        );
        let (cold, hot) = span(week, |y| plant.holdup(v, y).1);
        let set_c = celsius_from_kelvin(holding.set_point.si());
        let half_k = 0.5 * holding.dead_band.si();
        within(
            &format!("{name}: coldest holding tank"),
            cold,
            (set_c - half_k, set_c + half_k),
        );
        within(
            &format!("{name}: hottest holding tank"),
            hot,
            (set_c - half_k, set_c + half_k),
        );
    }
    if let (Some(collection), Some(v)) = (&line.collection, vessel(plant, "collection tank")) {
        let (low, high) = level_span(plant, week, v);
        let brim = collection.tank.volume.si() / collection.tank.footprint.si();
        assert!(
            low > 0.0 && high < 0.95 * brim,
            "{name}: collection tank {low} to {high} m"
        );
    }
    let roles = &plant.network().loops[0];
    for &v in &roles.vessels {
        let strength: Vec<f64> = (0..week.len())
            .map(|i| {
                plant
                    .concentration(v, roles.lead, week.row(i))
                    .unwrap_or(0.0)
            })
            .collect();
        let turns = strength
            .windows(3)
            .filter(|w| (w[1] - w[0]) * (w[2] - w[1]) < 0.0 && (w[1] - w[0]).abs() > 0.01 * w[1]);
        // Shifts begin and end ten times a week.
        let turns = turns.count();
        assert!(
            turns <= 14,
            "{name}: {} swings {turns} times",
            plant.network().vessels[v.index()].name
        );
    }
}
