//! The averaged driver against the exact one on the shipped scenarios.
//!
//! Source of the bounds: what DEVELOPERS promises of the averaged driver where it has no doubts, 1 % of the mean of fifty settled weeks, 3 % of flows below a tenth of the rinse feed.
//! Both the averaged run over those weeks and the settled week are held to them. What creeps is shown in the settled week at one inventory, so the exact driver is held
//! to that inventory as well, from week to week; what it would gain is taken off. (`creeping.rs` holds the inventory itself to a run from the start.) Nothing is left out.
//! What is meant by a percent: a level is read as a share of its tank, so
//! it is one of the full tank; a percent of a Celsius reading means nothing, so temperatures agree to half a kelvin; film and droplets are streams
//! of less than a tenth of the feed, and so is what they carry away. Two figures do not keep the bound; they stand in [`KNOWN`] with what was measured.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests; prints what is compared"
)]

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_study::{Answers, Case, Depth, Driver, run_span, settled_answers};
use dragback_tests::read::WEEK_S;
use dragback_tests::shipped::{CLOCK, SHIPPED, case, from_here};

/// Spans of ten weeks, long enough to be cheap and short enough for a look every quarter of an hour; fifty weeks in all, after ten in which the exact run
/// forgets that it began where the averaged one had settled.
const SPANS: usize = 5;
const SPAN_WEEKS: usize = 10;

/// How a figure is compared.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Measure {
    /// Against a volume, L.
    Within(f64),
    /// In kelvin.
    Temperature,
    /// A flow, L/h.
    Flow,
    /// What small flows carry.
    Carried,
    /// Against itself; less than a watt is none.
    Power,
    /// Against itself.
    Itself,
}

/// Figures that are further apart: the scenario, the figure, how far at most, and why.
const KNOWN: [(&str, &str, f64, &str); 2] = [
    (
        "chromium",
        "heater duty",
        0.004,
        "measured 0.011 and 0.014, 22 % apart: the bath is warmed for minutes only, after a batch of make-up; the answer is doubted for that",
    ),
    (
        "zinc-barrel",
        "returned Fe",
        6e-5,
        "measured 0.00098 kg/day in the settled week, by the exact driver 0.00094 with soft water and 0.00102 with hard: what is left between 0.17 kg/day that circulation takes to the holding tank and brings back, while the bath gains a seventh in a week",
    ),
];

/// What is compared: a name, a mean, and how.
type Row = (String, f64, Measure);

fn rows(plant: &Plant, answers: &Answers) -> Vec<Row> {
    let mut rows: Vec<Row> = vec![];
    for (v, vessel) in answers.vessels.iter().zip(&plant.network().vessels) {
        let mut push =
            |what: &str, x: f64, how: Measure| rows.push((format!("{} {what}", v.name), x, how));
        push("volume", v.volume_l, Measure::Within(1e3 * vessel.full_m3));
        push("temperature", v.temperature_c, Measure::Temperature);
        push("conductivity", v.conductivity_us_per_cm, Measure::Itself);
        push(
            "dissolved solids",
            v.dissolved_solids_g_per_l,
            Measure::Itself,
        );
        for (s, c) in &v.concentration_g_per_l {
            push(s, *c, Measure::Itself);
        }
    }
    for s in &answers.streams {
        let name = format!("stream {}", s.name);
        rows.push((name, s.mean_flow_l_per_h, Measure::Flow));
    }
    for l in &answers.loops {
        let flows = [
            ("evaporation", l.evaporation_l_per_h),
            ("surface evaporation", l.surface_evaporation_l_per_h),
            ("to treatment", l.to_treatment_l_per_h),
            ("over the brim", l.over_brim_l_per_h),
            ("rinse feed", l.rinse_feed_l_per_h),
            ("make-up", l.make_up_l_per_h),
            ("drag-out", l.drag_out_l_per_h),
        ];
        rows.extend(flows.map(|(what, x)| (what.to_owned(), x, Measure::Flow)));
        let others = [
            ("final film", l.final_rinse.film_mg_per_l),
            ("final tank", l.final_rinse.tank_mg_per_l),
            ("dilution ratio", l.final_rinse.dilution_ratio),
            ("final solids", l.final_rinse.dissolved_solids_mg_per_l),
            ("final conductivity", l.final_rinse.conductivity_us_per_cm),
        ];
        rows.extend(others.map(|(what, x)| (what.to_owned(), x, Measure::Itself)));
        let powers = [
            ("heater mean", l.heater_mean_kw),
            ("bath heater mean", l.bath_heater_mean_kw.unwrap_or(0.0)),
            ("bath cooler mean", l.bath_cooler_mean_kw),
        ];
        rows.extend(powers.map(|(what, x)| (what.to_owned(), x, Measure::Power)));
        let shares = [
            ("heater duty", l.heater_duty),
            ("tower share", l.tower_share),
        ];
        rows.extend(shares.map(|(what, x)| (what.to_owned(), x, Measure::Itself)));
        let left = 1.0 - l.recovered_fraction;
        rows.push(("share not recovered".to_owned(), left, Measure::Carried));
        let temp_c = l.evaporation_temperature_c.unwrap_or(0.0);
        rows.push((
            "evaporation temperature".to_owned(),
            temp_c,
            Measure::Temperature,
        ));
        rows.extend(l.stacks.iter().map(|stack| {
            let mg = stack.mg_per_dry_m3.unwrap_or(0.0);
            (format!("stack of {}", stack.tower), mg, Measure::Carried)
        }));
        let carried = [
            ("lost", &l.lost_kg_per_day, Measure::Carried),
            ("returned", &l.returned_kg_per_day, Measure::Itself),
        ];
        for (what, of, how) in carried {
            let told = of.iter();
            rows.extend(told.map(|(s, x)| (format!("{what} {s}"), *x, how)));
        }
    }
    rows
}

/// Settled answers, the case as it stands at the beginning of the settled week, and what creeps.
fn settled(case: &Case) -> (Answers, Case, Vec<SoluteId>) {
    let found = settled_answers(case, CLOCK.air, CLOCK.hours, Depth::Quick, &mut |_| true);
    let found = found.unwrap();
    let mut world = case.world();
    world.y.clone_from(&found.settled.week_start);
    let creeping = found.settled.creeping.iter().map(|c| c.0).collect();
    (found.answers, from_here(case, &world), creeping)
}

/// Answers of spans that follow each other; `between` changes what one leaves to the next.
fn follow(
    start: &Case,
    driver: Driver,
    (count, weeks): (usize, usize),
    between: impl Fn(Case) -> Case,
) -> Vec<Answers> {
    let mut here = start.clone();
    let mut all = vec![];
    for _ in 0..count {
        let span = run_span(&here, weeks as f64 * WEEK_S, driver, CLOCK, &mut |_| true).unwrap();
        let mut world = here.world();
        world.y = span.trace.row(span.trace.len() - 1).to_vec();
        all.push(span.answers());
        here = between(from_here(&here, &world));
    }
    all
}

/// Answers of spans of ten weeks, the first of which is left away.
fn spans(start: &Case, driver: Driver) -> Vec<Answers> {
    follow(start, driver, (1 + SPANS, SPAN_WEEKS), |here| here).split_off(1)
}

/// Mass of a solute in each tank at the start of a case, kg.
fn held_kg(case: &Case, s: SoluteId) -> Vec<f64> {
    let vessels = case.plant.network().vessels.iter();
    let initial = vessels.map(|v| &v.initial);
    initial
        .map(|i| i.volume_m3 * i.concentration_kg_per_m3[s.index()])
        .collect()
}

/// By how much each tank gains of each solute while all together gain a kilogram: ten weeks by the exact driver, after ten others.
fn shapes(start: &Case, creeping: &[SoluteId]) -> Vec<Vec<f64>> {
    let weeks = SPAN_WEEKS as f64 * WEEK_S;
    let run = run_span(start, 2.0 * weeks, Driver::Exact, CLOCK, &mut |_| true).unwrap();
    let (layout, trace) = (start.plant.layout(), &run.trace);
    let (before, after) = (trace.row(trace.at(weeks)), trace.row(trace.len() - 1));
    let vessels = 0..start.plant.network().vessels.len();
    let of_one = |s: &SoluteId| {
        let place = |v: usize| layout.vessel(VesselId(v)) + layout.solute(*s);
        let gained = vessels.clone().map(|v| after[place(v)] - before[place(v)]);
        let gained: Vec<f64> = gained.collect();
        let sum: f64 = gained.iter().sum();
        gained.iter().map(|kg| kg / sum).collect()
    };
    creeping.iter().map(of_one).collect()
}

/// Answers of as many weeks by the exact driver, each of which begins with what the first began with of each solute that creeps: what was gained is taken off the
/// tanks as they gain it.
fn weeks(start: &Case, creeping: &[SoluteId]) -> Vec<Answers> {
    let total = |case: &Case, s: SoluteId| held_kg(case, s).iter().sum::<f64>();
    let wanted: Vec<f64> = creeping.iter().map(|&s| total(start, s)).collect();
    let shapes = shapes(start, creeping);
    let all = follow(
        start,
        Driver::Exact,
        ((1 + SPANS) * SPAN_WEEKS, 1),
        |here| {
            let mut net = here.plant.network().clone();
            for ((&s, wanted_kg), shape) in creeping.iter().zip(&wanted).zip(&shapes) {
                let gained_kg = total(&here, s) - wanted_kg;
                for (vessel, share) in net.vessels.iter_mut().zip(shape) {
                    let initial = &mut vessel.initial;
                    let c = &mut initial.concentration_kg_per_m3[s.index()];
                    *c = (*c - share * gained_kg / initial.volume_m3).max(0.0);
                }
            }
            Case {
                plant: Arc::new(Plant::new(Arc::new(net), &here.cache).unwrap()),
                ..here
            }
        },
    );
    all.into_iter().skip(SPAN_WEEKS).collect()
}

/// Mean over spans of each thing that is compared.
fn means(plant: &Plant, answers: &[Answers]) -> Vec<Row> {
    let mut sum = rows(plant, &answers[0]);
    let others = answers[1..].iter().flat_map(|a| rows(plant, a));
    for row in others.enumerate() {
        let at = row.0 % sum.len();
        sum[at].1 += row.1.1;
    }
    for row in &mut sum {
        row.1 /= answers.len() as f64;
    }
    sum
}

/// Everything that lies outside its bound, in words. A line that grows salty for good is compared in its settled week only.
fn outside(name: &str, text: &str, changes: &[(&str, &str)], grows_salty: bool) -> Vec<String> {
    let (told, here, creeping) = settled(&case(text, changes));
    assert!(told.alarms.is_empty(), "{name}");
    // Where a tower has hours of its own and its tank cools meanwhile, averages are doubted, but at this flow they agree nevertheless.
    let is_doubted = changes == LESS_WATER || name == "chromium";
    assert_eq!(told.refined, !is_doubted, "{name}: {:?}", told.doubts);
    assert!(told.loops.iter().all(|l| l.heater_duty < 0.9), "{name}");
    let plant = &here.plant;
    let feed: f64 = told.loops.iter().map(|l| l.rinse_feed_l_per_h).sum();
    let same = weeks(&here, &creeping);
    let mut found = vec![];
    let mut hold = |by: &str, got: Vec<Row>, exact: &[Answers]| {
        let alarms: Vec<_> = exact.iter().flat_map(|a| &a.alarms).collect();
        assert!(alarms.is_empty(), "{name}: {alarms:?}");
        let wanted = means(plant, exact);
        for (i, (what, want, _)) in wanted.iter().enumerate() {
            let spans = exact.iter().map(|a| rows(plant, a)[i].1);
            let (low, high) = spans.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
                (l.min(x), h.max(x))
            });
            println!("{name} {by}, {what}: exact {want:.6}, spans {low:.6} to {high:.6}");
        }
        found.extend(beside(name, by, got, &wanted, feed));
    };
    hold("settled", rows(plant, &told), &same);
    if !grows_salty {
        let ran = means(plant, &spans(&here, Driver::Preview));
        hold("run", ran, &spans(&here, Driver::Exact));
    }
    found
}

/// What lies outside its bound beside the exact driver, in words.
fn beside(name: &str, by: &str, rows: Vec<Row>, wanted: &[Row], feed: f64) -> Vec<String> {
    let mut found = vec![];
    for ((what, got, how), (_, want, _)) in rows.into_iter().zip(wanted) {
        let want = *want;
        // A spill that never runs is zero in both.
        let itself = want.abs().max(1e-9);
        let bound = match how {
            Measure::Within(full) => 0.01 * full,
            Measure::Temperature => 0.5,
            Measure::Flow if want < 0.1 * feed => 0.03 * itself,
            Measure::Carried => 0.03 * itself,
            Measure::Power => 0.01 * itself.max(0.1),
            Measure::Flow | Measure::Itself => 0.01 * itself,
        };
        let known = KNOWN.iter().find(|k| k.0 == name && k.1 == what);
        // What is no number agrees with nothing.
        let agrees = (got - want).abs() <= known.map_or(bound, |k| k.2.max(bound));
        if !agrees {
            let percent = 100.0 * (got / want - 1.0);
            found.push(format!(
                "{name} {by}, {what}: {got:.6}, exact {want:.6}, {percent:+.2} %"
            ));
        }
    }
    found
}

fn both_drivers_agree(name: &str, changes: &[(&str, &str)]) {
    let (_, text) = SHIPPED.iter().find(|s| s.0 == name).unwrap();
    let found = outside(name, text, changes, false);
    assert!(found.is_empty(), "{} outside: {found:#?}", found.len());
}

#[test]
fn both_drivers_agree_on_the_demo() {
    both_drivers_agree("demo", &[]);
}

#[test]
fn both_drivers_agree_on_the_line_before_recovery() {
    both_drivers_agree("demo-before", &[]);
}

#[test]
fn both_drivers_agree_on_the_chromium_line() {
    both_drivers_agree("chromium", &[]);
}

#[test]
fn both_drivers_agree_on_the_zinc_line() {
    // With its hard water the line grows so salty within a year that its tower evaporates 1.4 % less, and gypsum comes out: no week settles then.
    let soft = ["Ca", "Mg", "Na", "Cl", "SO4", "HCO3"].map(|s| format!("waters.tap.solutes.{s}"));
    let changes: Vec<(&str, &str)> = soft.iter().map(|p| (p.as_str(), "1 mg/L")).collect();
    both_drivers_agree("zinc-barrel", &changes);
}

/// As shipped, at the inventory of its settled week. Left to itself it grows so salty within a year that its tower evaporates 1.4 % less and gypsum comes out.
#[test]
fn both_drivers_agree_on_the_zinc_line_as_shipped() {
    let (name, text) = SHIPPED.iter().find(|s| s.0 == "zinc-barrel").unwrap();
    let found = outside(name, text, &[], true);
    assert!(found.is_empty(), "{} outside: {found:#?}", found.len());
}

/// As shipped, from its start: forty weeks in which it grows salty, and in which gypsum does not come out yet.
#[test]
fn both_drivers_agree_on_the_zinc_line_while_it_grows_salty() {
    let here = case(
        SHIPPED.iter().find(|s| s.0 == "zinc-barrel").unwrap().1,
        &[],
    );
    let [averaged, exact] = [Driver::Preview, Driver::Exact].map(|driver| {
        let span = run_span(&here, 40.0 * WEEK_S, driver, CLOCK, &mut |_| true).unwrap();
        assert!(span.alarms.is_empty(), "{driver:?}: {:?}", span.alarms);
        span.answers()
    });
    let feed = exact.loops.iter().map(|l| l.rinse_feed_l_per_h).sum();
    let wanted = rows(&here.plant, &exact);
    let found = beside(
        "zinc-barrel",
        "from its start",
        rows(&here.plant, &averaged),
        &wanted,
        feed,
    );
    assert!(found.is_empty(), "{} outside: {found:#?}", found.len());
}

#[test]
fn both_drivers_agree_on_the_warm_bath() {
    both_drivers_agree("warm-bath", &[]);
}

#[test]
fn both_drivers_agree_on_the_teaching_line() {
    both_drivers_agree("teaching", &[]);
}

/// The demo whose evaporator works 18 hours a day from Monday to Saturday, and whose holding tank may cool meanwhile.
fn with_setback(control: &str) -> String {
    let nights = "\"tower\": (days: \"Mon-Sat\", from: \"05:00\", to: \"23:00\"),";
    SHIPPED[0]
        .1
        .replacen("calendars: {", &format!("calendars: {{ {nights}"), 1)
        .replacen(
            "fed_from: holding_tank,",
            "fed_from: holding_tank, calendar: \"tower\",",
            1,
        )
        .replacen(
            "set_point: \"58 °C\",",
            &format!("set_point: \"58 °C\", idle_set_point: \"{IDLE_C} °C\", control: {control},"),
            1,
        )
}

/// Set point of a holding tank at rest, °C; it is reached on a Sunday.
const IDLE_C: f64 = 51.0;

/// As much rinse water as 18 hours a day can just evaporate.
///
/// With 97 L/h the collection tank runs over by a percent of what passes it, and that is what two almost equal flows differ by: measured 22 % apart. With the
/// demo's 95 L/h nothing runs over, and the tank that stores the difference of two almost equal flows stands 2.6 % of its volume apart.
/// With 70 L/h the tower waits for water in the morning, which the averaged driver spreads over the day: measured 1.8 % in duty and share of time, 0.4 K in
/// the mean temperature.
const LESS_WATER: [(&str, &str); 1] = [("loop.sections.rinses.flow", "81.5 L/h")];

#[test]
fn both_drivers_agree_where_the_holding_tank_cools_at_night() {
    for control in ["on_off", "proportional"] {
        let found = outside(control, &with_setback(control), &LESS_WATER, false);
        assert!(found.is_empty(), "{} outside: {found:#?}", found.len());
    }
}

/// With an evaporator that always may work, only want of water makes the tank idle.
#[test]
fn both_drivers_agree_where_the_holding_tank_cools_for_want_of_water() {
    for control in ["on_off", "proportional"] {
        let text = with_setback(control).replacen("calendar: \"tower\",", "", 1);
        let found = outside(control, &text, &[], false);
        assert!(found.is_empty(), "{} outside: {found:#?}", found.len());
    }
}

/// Beside the flow for which they agree lie three for which they do not; the averaged driver says so, and doubts the one between as well.
#[test]
fn the_averaged_driver_says_where_a_resting_tank_is_beyond_it() {
    for flow in ["97 L/h", "95 L/h", "81.5 L/h", "70 L/h"] {
        let changes = [("loop.sections.rinses.flow", flow)];
        let (told, _, _) = settled(&case(&with_setback("on_off"), &changes));
        println!("{flow}: {:?}", told.doubts);
        assert!(!told.refined, "{flow}");
        let why = if flow == "97 L/h" { "brim" } else { "waits" };
        assert!(told.doubts[0].contains(why), "{flow}: {:?}", told.doubts);
    }
}

/// Through a settled week the tank stands between its two set points, and comes to both.
#[test]
fn the_holding_tank_comes_to_both_its_set_points() {
    for control in ["on_off", "proportional"] {
        let case = case(&with_setback(control), &LESS_WATER);
        let (_, here, _) = settled(&case);
        let tank = here.plant.network().loops[0].holding.unwrap();
        for driver in [Driver::Preview, Driver::Exact] {
            let ran = run_span(&here, WEEK_S, driver, CLOCK, &mut |_| true).unwrap();
            let temps = (0..ran.trace.len()).map(|i| here.plant.holdup(tank, ran.trace.row(i)).1);
            let (low, high) =
                temps.fold((f64::INFINITY, 0.0_f64), |(l, h), c| (l.min(c), h.max(c)));
            println!("{control} {driver:?}: {low:.2} to {high:.2} °C");
            // Half of the dead band, and half a kelvin.
            assert!((low - IDLE_C).abs() < 1.5, "{control} {driver:?}: {low}");
            assert!((high - 58.0).abs() < 1.5, "{control} {driver:?}: {high}");
        }
    }
}
