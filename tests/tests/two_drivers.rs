//! The averaged driver against the exact one on the shipped scenarios.
//!
//! Source of the bounds: what DEVELOPERS promises of the averaged driver where it has no doubts, 1 % of the mean of fifty settled weeks, 3 % of flows below a tenth of the rinse feed.
//! Both the averaged run over those weeks and the settled week are held to them. What is meant by a percent: a level is read as a share of its tank, so
//! it is one of the full tank; a percent of a Celsius reading means nothing, so temperatures agree to half a kelvin; film and droplets are streams
//! of less than a tenth of the feed, and so is what they carry away. One figure does not keep the bound; it stands in [`KNOWN`] with what was measured.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests; prints what is compared"
)]

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::{AccountId, SoluteId, VesselId};
use dragback_plant::network::{Action, Event, Initial, Trigger};
use dragback_run::{Alarm, World};
use dragback_study::{AlarmAnswer, Answers, Case, Depth, Driver, run_span, settled_answers};
use dragback_tests::read::WEEK_S;
use dragback_tests::shipped::{CLOCK, SHIPPED, case};

/// Spans of ten weeks, long enough to be cheap and short enough for a look every quarter of an hour; fifty weeks in all, after ten in which the exact run
/// forgets that it began where the averaged one had settled.
const SPANS: usize = 5;
const SPAN_S: f64 = 10.0 * WEEK_S;

/// The case with its tanks as they stand in a world, and without its events.
fn from_here(case: &Case, world: &World) -> Case {
    let mut net = case.plant.network().clone();
    net.events.clear();
    for (v, vessel) in net.vessels.iter_mut().enumerate() {
        let id = VesselId(v);
        let (volume_m3, temp_c, _) = case.plant.holdup(id, &world.y);
        let strengths = (0..case.plant.network().solutes.len())
            .map(|s| case.plant.concentration(id, SoluteId(s), &world.y).unwrap());
        vessel.initial = Initial {
            volume_m3,
            temp_c,
            concentration_kg_per_m3: strengths.collect(),
        };
    }
    Case {
        plant: Arc::new(Plant::new(Arc::new(net), &case.cache).unwrap()),
        ..case.clone()
    }
}

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

/// Figures that are further apart: the scenario, the figure, how far at most, and why. The answer of that scenario is doubted for the same reason.
const KNOWN: [(&str, &str, f64, &str); 1] = [(
    "chromium",
    "heater duty",
    0.004,
    "measured 0.011 and 0.014, 22 % apart: the bath is warmed for minutes only, after a batch of make-up",
)];

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
            ("rinse feed", l.rinse_feed_l_per_h),
            ("make-up", l.make_up_l_per_h),
            ("drag-out", l.drag_out_l_per_h),
        ];
        rows.extend(flows.map(|(what, x)| (what.to_owned(), x, Measure::Flow)));
        let others = [
            ("final film", l.final_rinse.film_mg_per_l),
            ("final tank", l.final_rinse.tank_mg_per_l),
            ("dilution ratio", l.final_rinse.dilution_ratio),
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

/// Settled answers, and the case as it stands then.
fn settled(case: &Case) -> (Answers, Case, Vec<SoluteId>) {
    let found = settled_answers(case, CLOCK.air, CLOCK.hours, Depth::Quick, &mut |_| true);
    let found = found.unwrap();
    let here = from_here(case, &found.settled.world);
    let creeping = found.settled.creeping.iter().map(|c| c.0).collect();
    (found.answers, here, creeping)
}

/// Answers of spans that follow each other, the first of which is left away.
fn spans(start: &Case, driver: Driver) -> Vec<Answers> {
    let mut here = start.clone();
    let mut all = vec![];
    for _ in 0..=SPANS {
        let span = run_span(&here, SPAN_S, driver, CLOCK, &mut |_| true).unwrap();
        let mut world = here.world();
        world.y = span.trace.row(span.trace.len() - 1).to_vec();
        all.push(span.answers());
        here = from_here(&here, &world);
    }
    all.split_off(1)
}

/// Mean over spans of each thing that is compared, with its name and whether it is a flow.
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

/// Everything that lies outside its bound, in words.
fn outside(name: &str, text: &str, changes: &[(&str, &str)]) -> Vec<String> {
    let (told, here, creeping) = settled(&case(text, changes));
    assert!(told.alarms.is_empty(), "{name}");
    // Where a tower has hours of its own and its tank cools meanwhile, averages are doubted, but at this flow they agree nevertheless.
    let is_doubted = changes == LESS_WATER || KNOWN.iter().any(|k| k.0 == name);
    assert_eq!(told.refined, !is_doubted, "{name}: {:?}", told.doubts);
    assert!(told.loops.iter().all(|l| l.heater_duty < 0.9), "{name}");
    let exact = spans(&here, Driver::Exact);
    // Hard water brings the zinc line gypsum within a year. Neither driver takes out what would come out, so both go on alike.
    let about_salts = |a: &AlarmAnswer| a.what.contains("crystals");
    let mut alarms = exact.iter().flat_map(|a| &a.alarms);
    assert!(alarms.all(about_salts), "{name}");
    let feed: f64 = exact[0].loops.iter().map(|l| l.rinse_feed_l_per_h).sum();
    let plant = &here.plant;
    let wanted = means(plant, &exact);
    let ran = means(plant, &spans(&here, Driver::Preview));
    // What grows for years is told at the strength of the start, and what it does to a conductivity with it.
    let grows = |what: &str| {
        let mut names = creeping
            .iter()
            .map(|s| &plant.network().solutes[s.index()].name);
        what.ends_with("conductivity") || names.any(|n| what.ends_with(&format!(" {n}")))
    };
    let mut told = rows(plant, &told);
    for (row, want) in told.iter_mut().zip(&wanted) {
        if !creeping.is_empty() && grows(&row.0) {
            row.1 = want.1;
        }
    }
    for (i, (what, want, _)) in wanted.iter().enumerate() {
        let spans = exact.iter().map(|a| rows(plant, a)[i].1);
        let (low, high) = spans.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
            (l.min(x), h.max(x))
        });
        println!("{name}, {what}: exact {want:.6}, spans of ten weeks {low:.6} to {high:.6}");
    }
    let mut found = beside(name, "run", ran, &wanted, feed);
    found.extend(beside(name, "settled", told, &wanted, feed));
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
        let agrees = (got - want).abs() <= known.map_or(bound, |k| k.2);
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
    let found = outside(name, text, changes);
    println!("{}", found.join("\n"));
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
        let found = outside(control, &with_setback(control), &LESS_WATER);
        assert!(found.is_empty(), "{} outside: {found:#?}", found.len());
    }
}

/// With an evaporator that always may work, only want of water makes the tank idle.
#[test]
fn both_drivers_agree_where_the_holding_tank_cools_for_want_of_water() {
    for control in ["on_off", "proportional"] {
        let text = with_setback(control).replacen("calendar: \"tower\",", "", 1);
        let found = outside(control, &text, &[]);
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

/// Where heaters work above nine tenths of their power while the tower works, the averaged answer says that it is not refined, and the exact one never does.
#[test]
fn the_averaged_driver_says_where_it_is_not_sure() {
    for (kilowatts, is_sure) in [
        ("60 kW", true),
        ("52 kW", true),
        ("43 kW", false),
        ("36 kW", false),
    ] {
        let case = case(SHIPPED[0].1, &[("loop.holding_tank.heat_input", kilowatts)]);
        let (told, here, _) = settled(&case);
        let duty = told.loops[0].heater_duty;
        println!("{kilowatts}: duty {duty:.3}, refined {}", told.refined);
        assert_eq!(duty < 0.9, is_sure, "{kilowatts}: {duty}");
        assert_eq!(told.refined, is_sure, "{kilowatts}: {duty}");
        for driver in [Driver::Preview, Driver::Exact] {
            let ran = run_span(&here, WEEK_S, driver, CLOCK, &mut |_| true).unwrap();
            let sure = is_sure || driver == Driver::Exact;
            assert_eq!(ran.answers().refined, sure, "{kilowatts}, {driver:?}");
        }
    }
}

/// The demo whose holding tank, and perhaps its collection tank, is dumped after an hour.
fn dumped(tanks: &[&str]) -> Case {
    let mut case = case(SHIPPED[0].1, &[]);
    let mut net = case.plant.network().clone();
    let account = net
        .accounts
        .iter()
        .position(|a| a.name == "dumped")
        .unwrap();
    for name in tanks {
        let vessel = net.vessels.iter().position(|v| v.name == *name).unwrap();
        net.events.push(Event {
            name: format!("{name} is dumped"),
            trigger: Trigger::At(3600.0),
            action: Action::Dump {
                vessel: VesselId(vessel),
                share: 0.9,
                account: AccountId(account),
            },
        });
    }
    case.plant = Arc::new(Plant::new(Arc::new(net), &case.cache).unwrap());
    case
}

fn is_unsure_after_an_alarm(case: &Case) {
    for (driver, is_sure) in [(Driver::Exact, true), (Driver::Preview, false)] {
        let ran = run_span(case, WEEK_S, driver, CLOCK, &mut |_| true).unwrap();
        let words: Vec<String> = ran.alarms.iter().map(Alarm::words).collect();
        println!("{driver:?}: {words:?}");
        assert!(words.iter().any(|w| w.contains("low_alarm")), "{driver:?}");
        assert_eq!(ran.answers().refined, is_sure, "{driver:?}");
    }
}

/// The same where an alarm fires: there is no water to fill the holding tank again until work begins.
#[test]
fn the_averaged_driver_is_not_sure_when_an_alarm_fires() {
    is_unsure_after_an_alarm(&dumped(&["holding tank", "collection tank"]));
}

/// The same where the alarm lasts for minutes: the collection tank fills the holding tank again.
#[test]
fn the_averaged_driver_is_not_sure_when_an_alarm_fires_for_a_while() {
    is_unsure_after_an_alarm(&dumped(&["holding tank"]));
}
