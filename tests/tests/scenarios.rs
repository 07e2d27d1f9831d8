//! The scenarios that are shipped: they load, settle, are plausible, keep their books, and say what they are.
//!
//! What is plausible: film on the work and final rinse within the range that shops see; bath make-up and temperature within published
//! ranges (named beside each); heaters, closure margin and recovery as the scenario's description says.

use std::collections::BTreeSet;
use std::sync::Arc;

use dragback_plant::ids::VesselId;
use dragback_plant::{Plant, TowerCache};
use dragback_run::Trace;
use dragback_scenario::{
    Control, Drain, Feed, Loop, Origin, Registry, ReturnRule, Scenario, Weir, load, save,
};
use dragback_study::{
    AirChoice, Answers, Case, Clock, Depth, Driver, Hours, LedgerAnswer, LoopAnswer, SettledCase,
    run_span, settled_answers,
};
use dragback_tests::read::WEEK_S;
use dragback_units::{Dim, celsius_from_kelvin};

/// A salt of a bath and its published range, g/L.
type Range = (&'static str, f64, f64);

/// What a scenario is expected to show.
struct Shipped {
    name: &'static str,
    text: &'static str,
    /// Published make-up of its kind of bath.
    recipe: &'static [Range],
    /// Published working temperature, °C.
    temp_c: (f64, f64),
    /// Duty of the heaters while evaporating (of the bath's heater where nothing evaporates).
    duty: (f64, f64),
    /// Closure margin of the week, L/h.
    margin_l_per_h: (f64, f64),
    /// Whether the shift alone closes too.
    closes_in_shift: bool,
    /// Share of the dragged-out metal that is not lost.
    recovered: (f64, f64),
    /// Rinse water sent to treatment, share of what is fed.
    to_treatment: (f64, f64),
}

/// Watts nickel: Nickel Institute Plating Handbook (2014), Watts solution; from memory.
const WATTS: &[Range] = &[
    ("NiSO4.6H2O", 240.0, 300.0),
    ("NiCl2.6H2O", 30.0, 90.0),
    ("H3BO3", 30.0, 45.0),
];
/// Sulfamate nickel: Nickel Institute Plating Handbook (2014), conventional sulfamate solution; from memory.
const SULFAMATE: &[Range] = &[
    ("Ni(SO3NH2)2.4H2O", 300.0, 450.0),
    ("NiCl2.6H2O", 0.0, 30.0),
    ("H3BO3", 30.0, 45.0),
];
/// Hard chromium: U.S. EPA, AP-42 (1996), section 12.20, Table 12.20-1; from memory.
const CHROMIUM: &[Range] = &[("CrO3", 225.0, 375.0), ("H2SO4", 2.25, 3.75)];
/// Chloride zinc with potassium: Metal Finishing Guidebook 2011-12, chloride zinc, Tables I and II: zinc 2–6 oz/gal (as chloride 31–94 g/L),
/// potassium chloride 25–30 oz/gal (187–225 g/L), boric acid 3–5 oz/gal.
const ZINC: &[Range] = &[
    ("ZnCl2", 31.0, 94.0),
    ("KCl", 187.0, 225.0),
    ("H3BO3", 22.0, 38.0),
];
/// Acid copper, general purpose: Metal Finishing Guidebook 2013, Table VIII.
const COPPER: &[Range] = &[("CuSO4.5H2O", 195.0, 248.0), ("H2SO4", 30.0, 75.0)];

const SHIPPED: [Shipped; 6] = [
    Shipped {
        name: "demo",
        text: include_str!("../../scenarios/demo.ron"),
        recipe: WATTS,
        temp_c: (40.0, 60.0),
        // Within reach of the kink at full power, with room for a cold month.
        duty: (0.75, 0.9),
        // Closes over the week, not within the shift: tanks and nights do it.
        margin_l_per_h: (1.0, 40.0),
        closes_in_shift: false,
        recovered: (0.999, 1.0),
        to_treatment: (0.0, 1e-6),
    },
    Shipped {
        name: "demo-before",
        text: include_str!("../../scenarios/demo-before.ron"),
        recipe: WATTS,
        temp_c: (40.0, 60.0),
        duty: (0.05, 0.5),
        // Nothing comes back: all of the rinse water is too much.
        margin_l_per_h: (-100.0, -30.0),
        closes_in_shift: false,
        recovered: (-0.01, 0.01),
        to_treatment: (0.98, 1.02),
    },
    Shipped {
        name: "chromium",
        text: include_str!("../../scenarios/chromium.ron"),
        recipe: CHROMIUM,
        temp_c: (49.0, 66.0),
        // The rectifier pays for the evaporation.
        duty: (0.0, 0.2),
        margin_l_per_h: (1.0, 15.0),
        closes_in_shift: true,
        recovered: (0.99, 0.9999),
        // The free final rinse.
        to_treatment: (0.2, 0.7),
    },
    Shipped {
        name: "zinc-barrel",
        text: include_str!("../../scenarios/zinc-barrel.ron"),
        recipe: ZINC,
        temp_c: (15.0, 55.0),
        duty: (0.6, 0.9),
        margin_l_per_h: (5.0, 30.0),
        closes_in_shift: false,
        recovered: (0.98, 1.0),
        to_treatment: (0.0, 1e-6),
    },
    Shipped {
        name: "warm-bath",
        text: include_str!("../../scenarios/warm-bath.ron"),
        recipe: SULFAMATE,
        temp_c: (40.0, 60.0),
        duty: (0.05, 0.5),
        // Surfaces alone; the float lets in nearly all that they drive off.
        margin_l_per_h: (0.0, 1.0),
        closes_in_shift: false,
        recovered: (0.999, 1.0),
        to_treatment: (0.0, 1e-6),
    },
    Shipped {
        name: "teaching",
        text: include_str!("../../scenarios/teaching.ron"),
        recipe: COPPER,
        // Metal Finishing Guidebook 2013, acid copper: room temperature and somewhat above; from memory.
        temp_c: (18.0, 32.0),
        duty: (0.75, 0.9),
        margin_l_per_h: (1.0, 5.0),
        closes_in_shift: true,
        recovered: (0.999, 1.0),
        to_treatment: (0.0, 1e-6),
    },
];

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

/// Lowest and highest of what `read` finds in a tank over a trace.
fn span(trace: &Trace, mut read: impl FnMut(&[f64]) -> f64) -> (f64, f64) {
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
    assert!(
        answers.refined,
        "{name} lies where the averaged driver is not sure"
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

fn plausible_loop(one: &Shipped, answer: &LoopAnswer) {
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
    within(
        &is("margin, L/h"),
        answer.closure_margin_l_per_h.week,
        one.margin_l_per_h,
    );
    let margin = &answer.closure_margin_l_per_h;
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
    assert!(!must_store || answer.storage_needed_l > 0.0, "{name}");
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

/// The bath stands at its set point, at its strength, and nothing spills.
fn plausible_bath(one: &Shipped, case: &Case, answers: &Answers) {
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
fn plausible_tanks(name: &str, case: &Case, week: &Trace) {
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
