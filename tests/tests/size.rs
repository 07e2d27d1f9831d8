//! Sizing: the rows of every shipped scenario, settled again from the scenario of each row; the least flow against the closed form of the series.
//!
//! Sources: `dragback_properties::rinse` for the counterflow series (its own checks stand there and in `counterflow.rs`); what a row must keep is read here from
//! the answers and the trace of its own settled week, by none of the code that found it but the plant's film.

#![allow(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

#[path = "size/least.rs"]
mod least;
#[path = "size/turned.rs"]
mod turned;

use std::sync::Arc;

use dragback_plant::climate::AirChoice;
use dragback_plant::{Plant, TowerCache};
use dragback_properties::rinse;
use dragback_run::Trace;
use dragback_run::settle::{settle, settle_near};
use dragback_scenario::{ClosedBy, Scenario, check, load, save, set};
use dragback_study::size::{CLOSINGS, Rinsing, Row, Sizing};
use dragback_study::{
    Case, Clock, Depth, Driver, Hours, LoopAnswer, SettledCase, run_span, settled_answers,
};
use dragback_units::Quantity;

/// The shipped scenarios, each with a usual limit of its last rinse.
const SHIPPED: [(&str, &str); 6] = [
    (include_str!("../../scenarios/demo.ron"), "20 mg/L"),
    (include_str!("../../scenarios/demo-before.ron"), "20 mg/L"),
    (include_str!("../../scenarios/chromium.ron"), "29 mg/L"),
    (include_str!("../../scenarios/teaching.ron"), "50 mg/L"),
    (include_str!("../../scenarios/warm-bath.ron"), "20 mg/L"),
    (include_str!("../../scenarios/zinc-barrel.ron"), "37 mg/L"),
];
const DEMO: &str = SHIPPED[0].0;

fn scenario(text: &str, changes: &[(&str, &str)]) -> Scenario {
    let mut scenario = load(text).0.unwrap();
    for (path, value) in changes {
        set(&mut scenario, path, value).unwrap();
    }
    scenario
}

fn sizing(scenario: &Scenario, limit: &str) -> Sizing {
    let key = scenario.loops.keys().next().unwrap();
    let limit = Quantity::parse(limit).unwrap();
    Sizing::new(scenario, key, limit, &TowerCache::default()).unwrap()
}

fn rows(sizing: &Sizing, rinsing: Rinsing) -> Vec<Row> {
    sizing.rows(rinsing, &mut |_| true).unwrap()
}

fn plain(stages: u32) -> Rinsing {
    Rinsing {
        stages,
        before: None,
        has_free_final: false,
    }
}

fn settled(scenario: Scenario, cache: &TowerCache) -> (Case, SettledCase) {
    settled_in(scenario, AirChoice::Mean, cache)
}

fn settled_in(scenario: Scenario, air: AirChoice, cache: &TowerCache) -> (Case, SettledCase) {
    let case = Case::new(Arc::new(scenario), cache).unwrap();
    let hours = Hours::Calendar;
    let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
    (case, found)
}

/// The strongest film of the first loop that leaves in an hour of work, mg/L.
fn worst_mg_per_l(plant: &Plant, week: &Trace) -> f64 {
    let roles = &plant.network().loops[0];
    let moved = |i: usize| -> f64 {
        let films = roles.lost_on_work.iter();
        films.map(|&t| week.row(i)[plant.layout().moved(t)]).sum()
    };
    let at_work = (1..week.len()).filter(|&i| moved(i) > moved(i - 1));
    let films = at_work.map(|i| 1000.0 * plant.film(&roles.last_film, roles.lead, week.row(i)));
    films.fold(0.0, f64::max)
}

/// The scenario of a row with a share of its rinse flow.
fn at_share(sizing: &Sizing, row: &Row, share: f64) -> Scenario {
    let mut scenario = sizing.scenario(row).unwrap();
    let key = scenario.loops.keys().next().unwrap().to_owned();
    let section = scenario.loops.get(&key).unwrap().sections.keys().next();
    let path = format!("{key}.sections.{}.flow", section.unwrap());
    let flow = dragback_scenario::get(&scenario, &path).unwrap();
    let written = flow.text().unwrap().to_owned();
    let per_h = row.rinse_flow_l_per_h.unwrap();
    let si = flow.si().unwrap();
    assert!(
        (3.6e6 * si / per_h - 1.0).abs() < 1e-9,
        "{written} for {per_h}"
    );
    dragback_scenario::set_si(&mut scenario, &path, share * si).unwrap();
    scenario
}

/// What a row that works promises, settled again.
fn keeps_its_word(
    sizing: &Sizing,
    (n, row): (usize, &Row),
    limit_mg_per_l: f64,
    cache: &TowerCache,
) {
    let what = &row.layout;
    let made = sizing.scenario(row).unwrap();
    assert!(check(&made).is_empty(), "{what}: {:?}", check(&made));
    let (again, problems) = load(&save(&made));
    assert!(problems.is_empty(), "{what}: {problems:?}");
    assert_eq!(again.as_ref(), Some(&made), "{what}: saving changes it");
    let (case, found) = settled(at_share(sizing, row, 1.0), cache);
    let film = worst_mg_per_l(&case.plant, &found.week);
    assert!(film <= limit_mg_per_l, "{what}: {film} mg/L");
    let line = &found.answers.loops[0];
    let share = line.rinse_feed_l_per_h;
    assert!(
        line.over_brim_l_per_h < 1e-3 * share,
        "{what}: over the brim"
    );
    if !row.free_final_rinse && !has_purge(&made) {
        assert!(
            line.to_treatment_l_per_h < 1e-3 * share,
            "{what}: to treatment"
        );
    }
    let spilled = line.lost_by_way.iter().filter(|l| l.way == "over a brim");
    assert!(spilled.map(|l| l.kg_per_day).sum::<f64>() < 1e-9, "{what}");
    for alarm in &found.answers.alarms {
        let is_cooled = alarm.what.contains("when the shop cools");
        assert!(is_cooled, "{what}: {}", alarm.what);
    }
    its_heat_adds_up(row, line);
    let recovered = row.recovered_fraction.unwrap();
    assert!((line.recovered_fraction - recovered).abs() < 1e-9, "{what}");
    // In no month is the film stronger but for 1 %, by which batches and switches move it; a few months of each row, all of them over the rows. In the one in
    // which the row says that it is strongest it keeps the limit.
    let film_in = |air, share| {
        let (case, found) = settled_in(at_share(sizing, row, share), air, cache);
        worst_mg_per_l(&case.plant, &found.week)
    };
    let months = [n % 12, (n + 5) % 12].map(AirChoice::Month);
    for air in months.into_iter().chain([month(row.worst_month)]) {
        let film = film_in(air, 1.0);
        assert!(
            film <= 1.01 * limit_mg_per_l,
            "{what}: {film} mg/L in {air:?}"
        );
    }
    for air in [AirChoice::Mean, month(row.film_month)] {
        let film = film_in(air, 1.0);
        assert!(film <= limit_mg_per_l, "{what}: {film} mg/L in {air:?}");
    }
    let film = film_in(month(row.film_month), 0.98);
    assert!(film > limit_mg_per_l, "{what}: {film} mg/L at 0.98");
    if n.is_multiple_of(7) {
        what_builds_up_is_told(sizing, row, cache);
    }
}

/// The air of a month by its name; the mean air without one.
fn month(name: Option<&str>) -> AirChoice {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let place = name.and_then(|name| MONTHS.iter().position(|m| *m == name));
    place.map_or(AirChoice::Mean, AirChoice::Month)
}

/// What the answers of the row's scenario, which look three years ahead, say of the first year.
fn what_builds_up_is_told(sizing: &Sizing, row: &Row, cache: &TowerCache) {
    let made = Arc::new(sizing.scenario(row).unwrap());
    let case = Case::new(made, cache).unwrap();
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    let found = settled_answers(&case, air, hours, Depth::Full, &mut |_| true).unwrap();
    let first = found.answers.loops[0].first_limit.clone();
    let first = first.filter(|f| f.days <= 364.0);
    assert_eq!(first, row.first_limit, "{}", row.layout);
}

/// The parts of the heat are together what the heaters give, as the answers of the same week tell it; the heaters can give it.
fn its_heat_adds_up(row: &Row, line: &LoopAnswer) {
    let (what, heat) = (&row.layout, row.heat.unwrap());
    let parts = heat.latent_kw + heat.refill_kw + heat.air_kw + heat.losses_kw + heat.others_kw;
    let given = heat.mean_kw;
    assert!(
        (parts - given).abs() < 0.005 * given + 0.02,
        "{what}: {parts} of {given} kW, {heat:?}"
    );
    let told = match row.plan.closed_by {
        ClosedBy::HoldingTank => line.heater_mean_kw,
        _ => line.heater_mean_kw + line.bath_heater_mean_kw.unwrap_or(0.0),
    };
    assert!((given - told).abs() < 1e-5, "{what}: {given} for {told} kW");
    let installed_kw = row.heater_kw.unwrap();
    if row.plan.closed_by == ClosedBy::HoldingTank && installed_kw > 0.0 {
        // Of what they give while the towers work, as the answers of the same scenario tell it.
        let margin = installed_kw / line.heater_at_work_kw.max(line.heater_mean_kw) - 1.0;
        let told = heat.margin_fraction.unwrap();
        assert!((told - margin).abs() < 1e-6, "{what}: {told} for {margin}");
    }
    // Whatever closes it, the heaters keep the reserve that is stated.
    if let Some(margin) = heat.margin_fraction {
        assert!(margin >= 0.15 - 1e-6, "{what}: {margin}");
    }
    let installed = row.heater_kw.unwrap();
    assert!(installed >= given, "{what}: {given} kW of {installed}");
    // A holding tank in which nothing is left to evaporate is not heated.
    if row.plan.closed_by == ClosedBy::HoldingTank && installed < 1e-9 {
        assert_eq!(row.towers, Some(0), "{what}");
    }
}

fn has_purge(scenario: &Scenario) -> bool {
    scenario.loops.values().any(|l| l.bath.purge.is_some())
}

/// Every layout of every shipped scenario with the sizes that it has by itself: its scenario passes the check, and saving keeps it. Site, work, bath
/// recipe and prices are those of the scenario.
#[test]
fn every_layout_is_a_scenario() {
    for (text, limit) in SHIPPED {
        let scenario = scenario(text, &[]);
        let sizing = sizing(&scenario, limit);
        let layouts = sizing.layouts();
        for rinsing in Rinsing::all() {
            for closed_by in CLOSINGS {
                let mut equipment = layouts.usual();
                if closed_by == ClosedBy::Surface {
                    equipment.towers = 0;
                }
                let plan = rinsing.closed(closed_by);
                let made = layouts.scenario(&plan, &equipment);
                assert!(check(&made).is_empty(), "{plan:?}: {:?}", check(&made));
                let (again, problems) = load(&save(&made));
                assert!(problems.is_empty(), "{plan:?}: {problems:?}");
                assert_eq!(again.as_ref(), Some(&made), "{plan:?}");
                let line = made.loops.values().next().unwrap();
                let own = scenario.loops.values().next().unwrap();
                assert!(made.site == scenario.site && made.prices == scenario.prices);
                assert!(line.work == own.work && line.bath.recipe == own.bath.recipe);
                let stages = line.sections.values().next().unwrap().stages.si();
                assert!((stages - f64::from(rinsing.stages)).abs() < 1e-9);
                assert_eq!(line.sections.len(), 1 + usize::from(rinsing.has_free_final));
                assert_eq!(line.towers.len(), equipment.towers);
                let is_holding = closed_by == ClosedBy::HoldingTank;
                assert_eq!(line.holding_tank.is_some(), is_holding);
                assert_eq!(line.collection.is_some(), is_holding);
            }
        }
    }
}

/// Every row of every shipped scenario: it keeps its word, or says what stops it and gives no figures.
fn every_row(place: usize) {
    let (text, limit) = SHIPPED[place];
    let scenario = scenario(text, &[]);
    let sizing = sizing(&scenario, limit);
    let cache = TowerCache::default();
    let limit_mg_per_l: f64 = limit.split(' ').next().unwrap().parse().unwrap();
    let all: Vec<Row> = Rinsing::all()
        .into_iter()
        .flat_map(|r| rows(&sizing, r))
        .collect();
    assert_eq!(all.len(), 6 * 3 * 2 * 3);
    let mut working = 0;
    for (n, row) in all.iter().enumerate() {
        if row.verified {
            working += 1;
            assert!(row.limit.is_none(), "{}: {:?}", row.layout, row.limit);
            keeps_its_word(&sizing, (n, row), limit_mg_per_l, &cache);
        } else {
            let why = row.limit.as_deref().unwrap_or_default();
            assert!(!why.is_empty(), "{} says nothing", row.layout);
            assert!(row.rinse_flow_l_per_h.is_none() && row.yearly_cost.is_none());
            assert!(sizing.scenario(row).is_none());
        }
    }
    assert!(working >= 20, "{working} rows work");
}

#[test]
fn every_row_of_the_demo() {
    every_row(0);
}

#[test]
fn every_row_of_the_line_before_recovery() {
    every_row(1);
}

#[test]
fn every_row_of_chromium() {
    every_row(2);
}

#[test]
fn every_row_of_the_teaching_line() {
    every_row(3);
}

#[test]
fn every_row_of_the_warm_bath() {
    every_row(4);
}

#[test]
fn every_row_of_the_zinc_line() {
    every_row(5);
}

/// A week that is found from one that is near it is the one that is found from anywhere, in half the weeks: the same film, flows and heat, after another flow
/// and after another number of towers. So it is after one of a line that runs over, in which what creeps otherwise has come to its end: then it takes as long.
#[test]
fn a_week_found_from_near_is_the_same() {
    let clock = Clock {
        hours: Hours::Calendar,
        air: AirChoice::Mean,
    };
    let cache = TowerCache::default();
    fn more_towers(scenario: &mut Scenario) {
        let line = scenario.loops.get_mut("loop").unwrap();
        let tower = line.towers.values().next().unwrap().clone();
        line.towers.insert("t2".to_owned(), tower);
    }
    fn less_water(scenario: &mut Scenario) {
        set(scenario, "chrome.sections.recovery.flow", "13 gal/h").unwrap();
    }
    fn as_shipped(scenario: &mut Scenario) {
        set(scenario, "zinc.sections.rinses.flow", "95 L/h").unwrap();
    }
    let over = [("zinc.sections.rinses.flow", "120 L/h")];
    type Change = fn(&mut Scenario);
    let all: [(Scenario, Change, bool); 3] = [
        (scenario(DEMO, &[]), more_towers, true),
        (scenario(SHIPPED[2].0, &[]), less_water, true),
        (scenario(SHIPPED[5].0, &over), as_shipped, false),
    ];
    for (known, change, is_quick) in all {
        let mut changed = known.clone();
        change(&mut changed);
        let case = |scenario| Case::new(Arc::new(scenario), &cache).unwrap();
        let (before, after) = (case(known), case(changed));
        let known = settle(&before.world(), clock, &mut |_| true).unwrap();
        let far = settle(&after.world(), clock, &mut |_| true).unwrap();
        let near = settle_near(&after.world(), Some(&known), clock, &mut |_| true).unwrap();
        assert!(far.restless.is_none() && near.restless.is_none());
        assert!(
            !is_quick || near.weeks < far.weeks,
            "{} {}",
            near.weeks,
            far.weeks
        );
        assert_eq!(near.creeping.len(), far.creeping.len());
        let film = |week: &Trace| worst_mg_per_l(&after.plant, week);
        let (a, b) = (film(&near.trace), film(&far.trace));
        assert!((a / b - 1.0).abs() < 1e-4, "{a} and {b} mg/L");
        let layout = after.plant.layout();
        let gained =
            |week: &Trace, entry: usize| week.row(week.len() - 1)[entry] - week.row(0)[entry];
        for (t, _) in after.plant.network().towers.iter().enumerate() {
            let entry = layout.tower_water(dragback_plant::ids::TowerId(t));
            let (a, b) = (gained(&near.trace, entry), gained(&far.trace, entry));
            assert!((a / b - 1.0).abs() < 1e-4, "{a} and {b} kg");
        }
    }
}

/// Around the clock, with tanks under lids and a bath that additions hold, the least flow is that of the series but for what
/// differs: flows are rounded up to three digits, additions hold the bath within 1 %, and the bath is a little stronger than it was made up, for
/// anodes and additions carry its own volume.
#[test]
fn at_constant_rate_the_least_flow_is_that_of_the_series() {
    let teaching = scenario(SHIPPED[3].0, &[]);
    let sizing = sizing(&teaching, "50 mg/L");
    for stages in 2..=5 {
        let row = rows(&sizing, plain(stages)).pop().unwrap();
        assert!(row.verified, "{}: {:?}", row.layout, row.limit);
        let (case, found) = settled(sizing.scenario(&row).unwrap(), &TowerCache::default());
        let roles = &case.plant.network().loops[0];
        let last = found.week.row(found.week.len() - 1);
        let bath = case
            .plant
            .concentration(roles.bath, roles.lead, last)
            .unwrap();
        // Drag-out is 10 m²/h with 0.1 L/m², 1 L/h.
        let ratio = rinse::counterflow_flow_ratio(bath / 0.050, stages).unwrap();
        let flow = row.rinse_flow_l_per_h.unwrap();
        assert!(
            (flow / ratio - 1.0).abs() < 0.01,
            "{stages} stages: {flow} for {ratio} L/h"
        );
    }
}

/// The exact driver, which switches every pump and heater, on the sized demo: no alarm, nothing over a brim, the film within its limit but for
/// what the drivers may differ by (3 % of a small flow).
#[test]
fn the_exact_driver_agrees_on_a_sized_line() {
    let demo = scenario(DEMO, &[]);
    let sizing = sizing(&demo, "20 mg/L");
    let row = rows(&sizing, plain(3)).pop().unwrap();
    assert!(row.verified && row.plan.closed_by == ClosedBy::HoldingTank);
    let case = Case::new(
        Arc::new(sizing.scenario(&row).unwrap()),
        &TowerCache::default(),
    )
    .unwrap();
    let week_s = 7.0 * 86_400.0;
    let clock = Clock {
        hours: Hours::Calendar,
        air: AirChoice::Mean,
    };
    let found = run_span(&case, 16.0 * week_s, Driver::Exact, clock, &mut |_| true).unwrap();
    let (plant, trace) = (&found.plant, &found.trace);
    let roles = &plant.network().loops[0];
    let (from, last) = (trace.at(8.0 * week_s), trace.len() - 1);
    for &t in roles.to_treatment.iter().chain(&roles.spills) {
        let gone_m3 =
            trace.row(last)[plant.layout().moved(t)] - trace.row(from)[plant.layout().moved(t)];
        let name = &plant.network().transfers[t.index()].name;
        assert!(gone_m3 < 1e-3, "{name}: {gone_m3} m³ in eight weeks");
    }
    let films =
        (from..=last).map(|i| 1000.0 * plant.film(&roles.last_film, roles.lead, trace.row(i)));
    let worst = films.fold(0.0, f64::max);
    assert!((0.9..1.03).contains(&(worst / 20.0)), "{worst} mg/L");
    assert!(found.alarms.is_empty(), "{:?}", found.alarms);
}
