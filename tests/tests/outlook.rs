//! How long a loop takes to settle, against a closed form; when growth brings a salt out, against a run.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests; prints what is compared"
)]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::AirChoice;
use dragback_plant::ids::VesselId;
use dragback_scenario::load;
use dragback_study::{
    Answers, Case, Clock, Depth, Driver, Hours, ImpurityAnswer, run_span, settled_answers,
};
use dragback_units::constants::{SECONDS_PER_DAY, SECONDS_PER_WEEK};

const LINE: &str = include_str!("../../scenarios/demo-before.ron");

/// The open line with one rinse that is fed around the clock, while work never stops.
fn one_rinse(flow_l_per_h: f64) -> Case {
    let text = LINE
        .replacen("stages: 3", "stages: 1", 1)
        .replacen(
            "flow: \"150 L/h\"",
            &format!("flow: \"{flow_l_per_h} L/h\""),
            1,
        )
        .replacen("feed: while_working", "feed: continuous", 1);
    case_of(&text)
}

fn case_of(text: &str) -> Case {
    let (scenario, problems) = load(text);
    assert!(problems.is_empty(), "{problems:?}");
    Case::new(Arc::new(scenario.unwrap()), &TowerCache::default()).unwrap()
}

/// Days after which the four-week mean of a rinse that starts clean stays within 5 %.
///
/// Hand derivation: the bath is strong from the start and the rinse comes up as `1 − e^(−t/τ)`, `τ = V/q_out`. What it misses of its mean over the days
/// from `a` to `b` is `τ/(b − a) · (e^(−a/τ) − e^(−b/τ))`. The mean of day `n` is that of fourteen days before and after, of `n` near the start, of the first
/// day on that.
fn expected_days(tau_d: f64) -> f64 {
    let missed = |n: f64| {
        let (a, b) = if n < 0.5 {
            (0.0, 1.0)
        } else {
            (n - n.min(14.0), n + n.min(14.0))
        };
        tau_d / (b - a) * ((-a / tau_d).exp() - (-b / tau_d).exp())
    };
    let mut n = 0.0;
    while missed(n) > 0.05 {
        n += 1.0;
    }
    n
}

fn settled(case: &Case, air: AirChoice, hours: Hours) -> Answers {
    let found = settled_answers(case, air, hours, Depth::Full, &mut |_| true);
    found.unwrap().answers
}

#[test]
fn a_clean_rinse_settles_as_its_flow_tells() {
    let mut seen = Vec::new();
    for flow in [3.0, 10.0, 20.0, 40.0, 120.0, 400.0] {
        let found = settled(&one_rinse(flow), AirChoice::Mean, Hours::AlwaysOpen);
        // What leaves the rinse with metal in it: overflow and the film on the work.
        let line = &found.loops[0];
        let out_l_per_h = line.to_treatment_l_per_h + line.drag_out_l_per_h;
        let rinse = found
            .vessels
            .iter()
            .find(|v| v.name == line.final_rinse.vessel);
        let expected = expected_days(rinse.unwrap().volume_l / out_l_per_h / 24.0);
        seen.push((line.days_to_settle, expected));
    }
    println!("{seen:?}");
    for (found, expected) in &seen {
        assert_eq!(*found, Some(*expected), "{seen:?}");
    }
    for pair in seen.windows(2) {
        assert!(pair[0].1 > pair[1].1, "six flows, six answers: {seen:?}");
    }
}

/// Days to settle of some lines, one beside the other: they go up and down by a day or two, wherever tanks begin to run over or a week does not repeat.
fn go_evenly(days: &[(String, Option<f64>, Option<String>)]) {
    println!("{days:?}");
    for (what, told, why) in days {
        assert!(told.is_some() && why.is_none(), "{what}: {days:?}");
    }
    for pair in days.windows(2) {
        let moved = pair[1].1.unwrap() - pair[0].1.unwrap();
        assert!(moved.abs() <= 2.0, "{pair:?}");
    }
}

/// Around 107 L/h shifts begin to fill the collection tank to its brim, from 118 L/h on it runs over.
#[test]
fn days_to_settle_follow_the_rinse_feed() {
    const DEMO: &str = include_str!("../../scenarios/demo.ron");
    let days = (100..=120).map(|flow| {
        let flow = format!("flow: \"{flow} L/h\"");
        let case = case_of(&DEMO.replacen("flow: \"95 L/h\"", &flow, 1));
        let line = settled(&case, AirChoice::Mean, Hours::Calendar)
            .loops
            .remove(0);
        (flow, line.days_to_settle, line.days_to_settle_not_shown)
    });
    go_evenly(&days.collect::<Vec<_>>());
}

/// Its calcium and iron grow for years, and make its tower evaporate less in the end; zinc is where it settles within a month all the same.
#[test]
fn days_to_settle_of_the_zinc_line_are_much_the_same_in_every_month() {
    let case = case_of(include_str!("../../scenarios/zinc-barrel.ron"));
    let days = (0..12).map(|month| {
        let line = settled(&case, AirChoice::Month(month), Hours::Calendar)
            .loops
            .remove(0);
        let month = format!("month {}", month + 1);
        (month, line.days_to_settle, line.days_to_settle_not_shown)
    });
    go_evenly(&days.collect::<Vec<_>>());
}

/// A salt is told to come out when a run of three years in the same air shows its tank past saturation. The outlook looks every three hours where
/// a tank is near, and steps take up to six: half a day.
#[test]
fn growth_brings_gypsum_out_when_the_run_does() {
    let told = |text: &str| {
        let case = case_of(text);
        let air = AirChoice::Mean;
        let (hours, depth) = (Hours::Calendar, Depth::Full);
        let found = settled_answers(&case, air, hours, depth, &mut |_| true).unwrap();
        (case, found.answers.precipitation)
    };
    let (case, salts) = told(include_str!("../../scenarios/zinc-barrel.ron"));
    let clock = Clock {
        hours: Hours::Calendar,
        air: AirChoice::Mean,
    };
    let three_years_s = 3.0 * 52.0 * SECONDS_PER_WEEK;
    let span = run_span(&case, three_years_s, Driver::Preview, clock, &mut |_| true).unwrap();
    let is_out = |what: &str| what.contains("gypsum") && what.contains("crystals form");
    let out: Vec<_> = span.alarms.iter().filter(|a| is_out(&a.words())).collect();
    assert!(!out.is_empty());
    for alarm in out {
        // Gypsum dissolves no better in warmer water.
        assert!(alarm.words().ends_with("; thin it with water"), "{alarm:?}");
    }
    let (plant, trace) = (&span.plant, &span.trace);
    for tank in ["holding tank", "bath"] {
        let vessels = &plant.network().vessels;
        let v = VesselId(vessels.iter().position(|v| v.name == tank).unwrap());
        let passed = (0..trace.len()).find(|&i| {
            let y = trace.row(i);
            let nearest = plant
                .nearest_saturation(v, y, plant.holdup(v, y).1)
                .unwrap();
            nearest.salt == "gypsum" && nearest.index >= 1.0
        });
        let days = trace.times_s()[passed.unwrap()] / SECONDS_PER_DAY;
        let of_tank: Vec<_> = salts.iter().filter(|s| s.vessel == tank).collect();
        assert_eq!(of_tank.len(), 1, "{salts:?}");
        assert_eq!(
            (of_tank[0].salt.as_str(), of_tank[0].once_cooled),
            ("gypsum", false)
        );
        assert!((of_tank[0].days - days).abs() <= 0.5, "{days} d: {salts:?}");
        assert!((300.0..430.0).contains(&days), "{tank}: {days} d");
    }
    let (_, none) = told(include_str!("../../scenarios/demo.ron"));
    assert!(none.is_empty(), "{none:?}");
}

/// With the rinse valve all but shut the loop still has an answer, strong rinses and all; what cannot be worked out is not a number.
///
/// Between 2 and 3.5 L/h the collection tank is all but dry most of the time, full of salts, and no tank dries up in a run of three years.
#[test]
fn a_shut_rinse_valve_has_an_answer() {
    const DEMO: &str = include_str!("../../scenarios/demo.ron");
    let all = ["0", "0.5", "1", "2", "2.3", "2.5", "2.7", "3", "3.2", "3.5"];
    for flow in all.map(|flow| format!("{flow} L/h")) {
        let text = DEMO.replacen("flow: \"95 L/h\"", &format!("flow: \"{flow}\""), 1);
        let (scenario, problems) = load(&text);
        assert!(problems.is_empty(), "{problems:?}");
        let case = Case::new(Arc::new(scenario.unwrap()), &TowerCache::default()).unwrap();
        let found = settled_answers(
            &case,
            AirChoice::Mean,
            Hours::Calendar,
            Depth::Full,
            &mut |_| true,
        );
        let line = &found.unwrap().answers.loops[0];
        // Work carries 2.29 L/h of 75 g/L through rinses that nothing thins: they stand nearly as strong as the bath.
        assert!(line.final_rinse.dilution_ratio < 3.0, "{flow}: {line:?}");
        assert!(line.recovered_fraction < 0.5, "{flow}: {line:?}");
        let margin = line.closure_margin_l_per_h.as_ref().unwrap();
        assert!(
            margin.week.is_nan() || margin.week > 0.0,
            "{flow}: {margin:?}"
        );
        let clock = Clock {
            hours: Hours::Calendar,
            air: AirChoice::Mean,
        };
        let three_years_s = 3.0 * 52.0 * SECONDS_PER_WEEK;
        let ran = run_span(&case, three_years_s, Driver::Preview, clock, &mut |_| true);
        assert!(ran.is_ok(), "{flow}");
        // No tank settles where the look ahead ends, or the reason is told.
        assert_eq!(
            line.days_to_settle.is_none(),
            line.days_to_settle_not_shown.is_some(),
            "{flow}: {line:?}"
        );
    }
}

/// The first limit of a line is the one that a run meets first: before that day no solute of the bath is over its limit and no salt comes out.
#[test]
fn the_first_limit_is_the_one_that_a_run_meets_first() {
    let case = case_of(include_str!("../../scenarios/zinc-barrel.ron"));
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    let settled = settled_answers(&case, air, hours, Depth::Full, &mut |_| true).unwrap();
    let line = &settled.answers.loops[0];
    let first = line.first_limit.as_ref().unwrap();
    let span_s = (first.days + 7.0) * SECONDS_PER_DAY;
    let clock = Clock { hours, air };
    let ran = run_span(&case, span_s, Driver::Preview, clock, &mut |_| true).unwrap();
    let ran = ran.answers();
    let crossed = ran
        .impurities
        .iter()
        .filter_map(|i| Some((i.days_to_limit?, &i.species)));
    let mut met: Vec<f64> = crossed
        .map(|(day, _)| day)
        .filter(|d| *d <= first.days + 7.0)
        .collect();
    met.extend(ran.alarms.iter().map(|a| a.at_h / 24.0));
    let earliest = met.iter().copied().fold(f64::INFINITY, f64::min);
    println!("{first:?}, met {met:?}");
    assert!(
        (earliest - first.days).abs() < 1.0,
        "{first:?}, met {met:?}"
    );
    assert!(line.tanks.contains(&first.vessel));
}

/// No tank is large enough for a week that brings more than evaporates; one that closes is told what it must store.
#[test]
fn storage_is_told_only_of_a_week_that_closes() {
    const DEMO: &str = include_str!("../../scenarios/demo.ron");
    for (flow, closes) in [("95 L/h", true), ("140 L/h", false)] {
        let case = case_of(&DEMO.replacen("flow: \"95 L/h\"", &format!("flow: \"{flow}\""), 1));
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let line = &found.answers.loops[0];
        let week = line.closure_margin_l_per_h.as_ref().unwrap().week;
        assert_eq!(week >= 0.0, closes, "{flow}: {week}");
        assert_eq!(line.storage_needed_l.is_some(), closes, "{flow}");
    }
}

/// A bleed is told of the same solutes by a run and by the settled week: of those that come to their limit within three years. Iron of the demo comes to a strength
/// below its limit, however fast it grows at first; a low limit is met.
#[test]
fn a_run_and_the_settled_week_ask_for_the_same_bleed() {
    const LINES: [&str; 4] = [
        include_str!("../../scenarios/demo.ron"),
        LINE,
        include_str!("../../scenarios/chromium.ron"),
        include_str!("../../scenarios/zinc-barrel.ron"),
    ];
    let low = |text: &str| text.replacen("\"Fe\": \"60 mg/L\"", "\"Fe\": \"12 mg/L\"", 1);
    let mut bled = 0;
    for text in LINES.map(str::to_owned).into_iter().chain([low(LINES[0])]) {
        let case = case_of(&text);
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let settled = settled_answers(&case, air, hours, Depth::Full, &mut |_| true).unwrap();
        let clock = Clock { hours, air };
        let year_s = 52.0 * SECONDS_PER_WEEK;
        for span_s in [13.0 * SECONDS_PER_WEEK, year_s] {
            let ran = run_span(&case, span_s, Driver::Preview, clock, &mut |_| true).unwrap();
            let ran = ran.answers();
            let limited = |i: &&ImpurityAnswer| i.limit_g_per_l.is_some();
            for told in ran.impurities.iter().filter(limited) {
                let mut others = settled.answers.impurities.iter();
                let other = others.find(|o| o.species == told.species).unwrap();
                assert_eq!(
                    told.purge_l_per_h.is_some(),
                    other.purge_l_per_h.is_some(),
                    "{}: {told:?}, {other:?}",
                    ran.scenario
                );
                bled += usize::from(told.purge_l_per_h.is_some());
            }
        }
    }
    assert!(bled > 0, "no line needs a bleed");
}
