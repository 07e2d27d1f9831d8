//! The scenarios that are shipped: they load, settle, are plausible, keep their books, and say what they are.
//!
//! What is plausible: film on the work and final rinse within the range that shops see; bath make-up and temperature within published
//! ranges (named beside each); heaters, closure margin and recovery as the scenario's description says.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test stops where a shipped scenario is not what it should be, and prints its figures"
)]

#[path = "scenarios/expected.rs"]
mod expected;
#[path = "scenarios/plausible.rs"]
mod plausible;
#[path = "scenarios/valve.rs"]
mod valve;

use std::collections::BTreeSet;
use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::{
    Control, Drain, Feed, Loop, Origin, Registry, ReturnRule, Scenario, Weir, load, save,
};
use dragback_study::{
    AirChoice, Answers, Case, Clock, Depth, Driver, Hours, LedgerAnswer, SettledCase, run_span,
    settled_answers,
};
use dragback_tests::read::WEEK_S;
use dragback_units::{Dim, celsius_from_kelvin};
use expected::{SHIPPED, Shipped};
use plausible::{plausible_bath, plausible_loop, plausible_tanks, span};

fn scenario(one: &Shipped) -> Scenario {
    let (scenario, problems) = load(one.text);
    let words: Vec<String> = problems.iter().map(|p| p.in_file(one.name)).collect();
    assert!(words.is_empty(), "{}", words.join("\n"));
    scenario.unwrap()
}

fn named(name: &str) -> Scenario {
    scenario(SHIPPED.iter().find(|s| s.name == name).unwrap())
}

fn only_loop(scenario: &Scenario) -> &Loop {
    assert_eq!(scenario.loops.len(), 1);
    scenario.loops.values().next().unwrap()
}

fn case(scenario: Scenario) -> Case {
    Case::new(Arc::new(scenario), &TowerCache::default()).unwrap()
}

fn settled(case: &Case, depth: Depth) -> SettledCase {
    settled_answers(case, AirChoice::Mean, Hours::Calendar, depth, &mut |_| true).unwrap()
}

fn within(what: &str, value: f64, (low, high): (f64, f64)) {
    assert!(
        (low..=high).contains(&value),
        "{what} is {value}, expected {low} to {high}"
    );
}

/// Every ledger entry closes to 1e-9 of the larger of throughput and holdup.
fn books_close(name: &str, answers: &Answers) {
    assert!(
        answers.ledger.len() > 2,
        "{name}: water, energy and solutes"
    );
    for (what, entry) in &answers.ledger {
        let (LedgerAnswer::Mass { closure_error, .. } | LedgerAnswer::Energy { closure_error, .. }) =
            entry;
        assert!(
            *closure_error <= 1e-9,
            "{name}: the ledger of {what} misses {closure_error:e}"
        );
    }
}

#[test]
fn every_file_in_the_folder_is_listed_here() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../scenarios");
    let found: BTreeSet<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter_map(|name| name.strip_suffix(".ron").map(str::to_owned))
        .collect();
    let listed: BTreeSet<String> = SHIPPED.iter().map(|s| s.name.to_owned()).collect();
    assert_eq!(found, listed);
}

#[test]
fn they_load_and_save_to_the_same() {
    for one in &SHIPPED {
        let first = scenario(one);
        let text = save(&first);
        let (again, problems) = load(&text);
        assert!(problems.is_empty(), "{}: {problems:?}", one.name);
        assert_eq!(again.unwrap(), first, "{}", one.name);
        assert_eq!(save(&first), text, "{}", one.name);
    }
}

#[test]
fn they_say_what_they_are() {
    let mut titles = BTreeSet::new();
    for one in &SHIPPED {
        let scenario = scenario(one);
        let name = one.name;
        assert!(
            titles.insert(scenario.title.clone()),
            "{name} shares its title"
        );
        let words = scenario.description.as_deref().unwrap_or_default();
        assert!(
            words.split_whitespace().count() > 80,
            "{name} hardly describes itself"
        );
        let lower = words.to_lowercase();
        for needed in ["invented", "caution:"] {
            assert!(
                lower.contains(needed),
                "{name}: the description lacks \"{needed}\""
            );
        }
        let registry = Registry::of(&scenario);
        let origins: Vec<Origin> = registry.iter().filter_map(|p| p.leaf.origin).collect();
        assert!(
            !origins.is_empty(),
            "{name} says of no input where it comes from"
        );
        let has_range = registry
            .iter()
            .any(|p| p.leaf.spread.low.is_some() && p.leaf.spread.high.is_some());
        assert!(has_range, "{name} gives no low–likely–high");
        let line = only_loop(&scenario);
        assert!(line.title.is_some() && line.final_limit.is_some(), "{name}");
    }
}

/// Figures that are common practice in the trade must not be mistaken for a shop of our own: no given input repeats them in any unit.
#[test]
fn no_common_practice_figure_is_repeated() {
    const GALLON: f64 = 3.785_411_784e-3;
    let figures = [
        (Dim::Power, 216e3, "216 kW"),
        (Dim::VolumeFlow, 80.0 * GALLON / 3600.0, "80 gal/h"),
        (Dim::VolumeFlow, 40.0 * GALLON / 3600.0, "40 gal/h"),
        (Dim::VolumeFlow, 45.0 * GALLON / 60.0, "45 gal/min"),
        (Dim::Temperature, (160.0 + 459.67) / 1.8, "160 °F"),
    ];
    for one in &SHIPPED {
        let scenario = scenario(one);
        let mut seen = 0;
        for p in Registry::of(&scenario).iter().filter(|p| p.leaf.is_given) {
            let (Some(dim), Some(si)) = (p.dim(), p.si()) else {
                continue;
            };
            seen += 1;
            for (of, figure, words) in figures {
                let is_near = of == dim && (si / figure - 1.0).abs() < 5e-4;
                assert!(!is_near, "{}: {} is {words}", one.name, p.path);
            }
        }
        assert!(
            seen > 20,
            "{}: the registry lists {seen} given inputs",
            one.name
        );
    }
}

#[test]
fn baths_are_made_up_within_published_ranges() {
    for one in &SHIPPED {
        let scenario = scenario(one);
        let bath = &only_loop(&scenario).bath;
        assert_eq!(bath.recipe.len(), one.recipe.len(), "{}", one.name);
        for (salt, low, high) in one.recipe {
            let amount = bath
                .recipe
                .get(salt)
                .unwrap_or_else(|| panic!("{}: no {salt}", one.name));
            within(&format!("{}: {salt}", one.name), amount.si(), (*low, *high));
        }
        let set_c = celsius_from_kelvin(bath.set_point.si());
        within(
            &format!("{}: bath temperature", one.name),
            set_c,
            one.temp_c,
        );
    }
}

/// Film on the work as it leaves the bath, L/m².
fn film_l_per_m2(line: &Loop) -> f64 {
    let out = &line.work.drag_out;
    let film_m = match (&out.film, &out.per_load, &out.loads) {
        (Some(film), ..) => film.si(),
        (None, Some(load), Some(loads)) => load.si() * loads.si() / line.work.area_rate.si(),
        _ => panic!("drag-out is given in another way; teach this test"),
    };
    1e3 * film_m
}

/// The settled week of a scenario, with everything that must hold of it.
fn settled_week_is_plausible(name: &str) {
    let one = SHIPPED.iter().find(|s| s.name == name).unwrap();
    let scenario = scenario(one);
    within(
        &format!("{name}: film"),
        film_l_per_m2(only_loop(&scenario)),
        (0.03, 0.4),
    );
    let case = case(scenario);
    let found = settled(&case, Depth::Full);
    let answers = &found.answers;
    println!("{name}: {:#?}", answers.loops[0]);
    let (change, restless) = (found.settled.change, &found.settled.restless);
    assert!(
        change < 1e-6,
        "{name}: a week still changes by {change:e} ({restless:?})"
    );
    // The chromium line's bath heater works for minutes after a batch of make-up, a hundredth of its power in the mean.
    let is_sure = name != "chromium";
    assert_eq!(answers.refined, is_sure, "{name}: {:?}", answers.doubts);
    let about_batches = |doubt: &String| doubt.contains("after each batch of cold water");
    assert!(
        answers.doubts.iter().all(about_batches),
        "{name}: {:?}",
        answers.doubts
    );
    assert!(answers.alarms.is_empty(), "{name}: {:?}", answers.alarms);
    books_close(name, answers);
    plausible_loop(one, &answers.loops[0]);
    plausible_bath(one, &case, answers);
    plausible_tanks(name, &case, &found.week);
}

#[test]
fn the_demo_settles() {
    settled_week_is_plausible("demo");
}

/// The scenario that the program opens with meets no limit for years.
#[test]
fn nothing_in_the_demo_meets_its_limit() {
    let found = settled(&case(named("demo")), Depth::Full);
    for impurity in found
        .answers
        .impurities
        .iter()
        .filter(|i| i.limit_g_per_l.is_some())
    {
        assert!(
            impurity
                .days_to_limit
                .is_none_or(|days| days > 10.0 * 365.0),
            "{impurity:?}"
        );
    }
}

#[test]
fn the_line_before_recovery_settles() {
    settled_week_is_plausible("demo-before");
}

#[test]
fn the_chromium_line_settles() {
    settled_week_is_plausible("chromium");
}

#[test]
fn the_zinc_line_settles() {
    settled_week_is_plausible("zinc-barrel");
}

#[test]
fn the_warm_bath_settles() {
    settled_week_is_plausible("warm-bath");
}

#[test]
fn the_teaching_line_settles() {
    settled_week_is_plausible("teaching");
}

#[test]
fn the_exact_driver_runs_two_weeks() {
    for one in &SHIPPED {
        let name = one.name;
        let case = case(scenario(one));
        let ran = run_span(
            &case,
            2.0 * WEEK_S,
            Driver::Exact,
            Clock::default(),
            &mut |_| true,
        );
        let ran = ran.unwrap_or_else(|why| panic!("{name}: {why}"));
        let answers = ran.answers();
        books_close(name, &answers);
        assert!(answers.alarms.is_empty(), "{name}: {:?}", answers.alarms);
        assert!(ran.statistics.steps > 100, "{name}: {:?}", ran.statistics);
        for &v in &case.plant.network().loops[0].vessels {
            let full = case.plant.network().vessels[v.index()].full_m3;
            let (low, high) = span(&ran.trace, |y| case.plant.holdup(v, y).0 / full);
            let place = &case.plant.network().vessels[v.index()].name;
            assert!(
                low > 0.01 && high < 1.01,
                "{name}: {place} from {low} to {high} of full"
            );
        }
    }
}

/// Hand derivation: with every surface covered and no evaporation in the rinses, three stages at ten to one make
/// 1 + 10 + 100 + 1000 = 1111; warm bath liquid shrinks a little as it cools.
#[test]
fn the_teaching_line_dilutes_1111_to_one() {
    let case = case(named("teaching"));
    let found = settled(&case, Depth::Quick);
    let ratio = found.answers.loops[0].final_rinse.dilution_ratio;
    assert!((ratio / 1111.0 - 1.0).abs() < 1e-3, "{ratio}");
}

#[test]
fn the_line_before_recovery_is_the_demo_without_its_loop() {
    let (demo, before) = (named("demo"), named("demo-before"));
    assert_eq!(before.site, demo.site);
    assert_eq!(before.calendars, demo.calendars);
    assert_eq!(before.waters, demo.waters);
    let (now, then) = (only_loop(&demo), only_loop(&before));
    assert_eq!(then.work, now.work);
    assert_eq!(then.bath, now.bath);
    assert_eq!(then.route, now.route);
    let rinses = |line: &Loop| line.sections.get("rinses").unwrap().clone();
    assert_eq!(rinses(then).tank, rinses(now).tank);
    assert_eq!(rinses(then).stages, rinses(now).stages);
    assert_eq!(rinses(then).drain, Drain::Treatment);
    assert!(then.collection.is_none() && then.holding_tank.is_none() && then.towers.is_empty());
}

/// Small batches of cold rinse water, so that the averaged driver, which fetches it evenly, stays close to the exact one.
#[test]
fn the_demo_fetches_rinse_water_in_small_batches() {
    let demo = named("demo");
    let holding = only_loop(&demo).holding_tank.as_ref().unwrap();
    let e = &holding.electrodes;
    assert!(e.transfer_stop.si() - e.transfer_start.si() <= 0.040 + 1e-9);
    assert_eq!(holding.elements.len(), 4);
}

#[test]
fn impurities_grow_in_the_zinc_line() {
    let case = case(named("zinc-barrel"));
    let found = settled(&case, Depth::Full);
    for species in ["Ca", "Mg", "Na", "SO4", "Fe"] {
        let one = found
            .answers
            .impurities
            .iter()
            .find(|i| i.species == species);
        let one = one.unwrap_or_else(|| panic!("{species} is not told"));
        assert!(one.growth_g_per_l_per_day > 1e-4, "{one:?}");
    }
    for species in ["Ca", "Fe"] {
        let one = found
            .answers
            .impurities
            .iter()
            .find(|i| i.species == species)
            .unwrap();
        let days = one.days_to_limit.unwrap();
        within(
            &format!("days until {species} meets its limit"),
            days,
            (20.0, 120.0),
        );
    }
}

/// Together the scenarios use every way of feeding, draining, heating and returning that the format knows.
#[test]
fn together_they_exercise_the_format() {
    let all: Vec<(Scenario, &str)> = SHIPPED.iter().map(|s| (scenario(s), s.text)).collect();
    let any = |what: &str, has: &dyn Fn(&Scenario, &Loop) -> bool| {
        let found = all
            .iter()
            .any(|(s, _)| s.loops.values().any(|line| has(s, line)));
        assert!(found, "no scenario has {what}");
    };
    let feeds =
        |feed: Feed| move |_: &Scenario, l: &Loop| l.sections.values().any(|s| s.feed == feed);
    any("a continuous feed", &feeds(Feed::Continuous));
    any("a feed while work runs", &feeds(Feed::WhileWorking));
    any("a feed by conductivity", &feeds(Feed::Conductivity));
    any("a matched feed", &feeds(Feed::Matched));
    let drains =
        |to: Drain| move |_: &Scenario, l: &Loop| l.sections.values().any(|s| s.drain == to);
    any("rinses to treatment", &drains(Drain::Treatment));
    any("rinses to the bath", &drains(Drain::Bath));
    any("rinses to a collection tank", &drains(Drain::Collection));
    any("a sharp weir", &|_, l| {
        l.sections.values().any(|s| s.weir == Weir::Sharp)
    });
    any("a still rinse", &|_, l| !l.stills.is_empty());
    any("a spray", &|_, l| l.route.iter().any(|v| v.spray.is_some()));
    any("a repeated visit", &|_, l| {
        (1..l.route.len()).any(|i| l.route[..i].iter().any(|v| v.at == l.route[i].at))
    });
    any("an efficiency below one", &|_, l| {
        l.route.iter().any(|v| v.efficiency.si() < 1.0)
    });
    any("months of room air", &|s, _| {
        s.site.room.states().len() == 12
    });
    any("months of outside air", &|s, _| {
        s.site
            .outside
            .as_ref()
            .is_some_and(|a| a.states().len() == 12)
    });
    any("events", &|s, _| !s.events.is_empty());
    any("an event that sets an input", &|s, _| {
        s.events.iter().any(|e| e.act.set.is_some())
    });
    let holding = |has: fn(&dragback_scenario::Holding) -> bool| {
        move |_: &Scenario, l: &Loop| l.holding_tank.as_ref().is_some_and(has)
    };
    any("a coil", &holding(|h| h.coil.is_some()));
    any(
        "proportional control",
        &holding(|h| h.control == Control::Proportional),
    );
    any(
        "return by circulation",
        &holding(|h| h.give_back.rule == ReturnRule::Circulation),
    );
    any(
        "return by bath level",
        &holding(|h| h.give_back.rule == ReturnRule::BathLevel),
    );
    let us = all
        .iter()
        .find(|(_, text)| text.contains("gal/1000ft2"))
        .expect("one in US units");
    for unit in ["gal\"", "°F\"", "gal/h\"", "oz/gal\"", "ft²\""] {
        assert!(
            us.1.contains(unit),
            "the scenario in US units has no {unit}"
        );
        assert!(save(&us.0).contains(unit), "{unit} is lost on saving");
    }
}
