//! Exit code 1 stands for a verdict that is an alarm, and for nothing else.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod common;

use std::sync::Arc;

use common::dragback;
use dragback_scenario::{apply, load};
use dragback_study::verdict::{Severity, verdict};
use dragback_study::{
    AirChoice, Answers, Case, Clock, Depth, Driver, Hours, run_span, settled_answers,
};
use dragback_units::constants::seconds_from_days;

type Changes = &'static [(&'static str, &'static str)];

fn file(name: &str) -> String {
    format!("{}/../../scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"))
}

fn case(name: &str, changes: Changes) -> Case {
    let text = std::fs::read_to_string(file(name)).unwrap();
    let mut scenario = load(&text).0.unwrap();
    apply(&mut scenario, changes.iter().copied()).unwrap();
    Case::new(Arc::new(scenario), &Default::default()).unwrap()
}

/// The code of a command on a scenario with changes.
fn code(words: &[&str], name: &str, changes: Changes) -> u8 {
    let mut all: Vec<String> = words.iter().map(|&w| w.to_owned()).collect();
    all.push(file(name));
    for (path, value) in changes {
        all.extend(["--set".to_owned(), format!("{path}={value}")]);
    }
    dragback(&all).code
}

fn worst(answers: &Answers) -> Severity {
    let all = answers.loops.iter().flat_map(|l| verdict(answers, l));
    all.map(|f| f.severity()).max().unwrap()
}

/// What is expected is said by hand: what a supervisor would have to do something about within a year.
#[test]
fn settle_ends_with_1_where_its_verdict_is_an_alarm() {
    const FEED: &str = "loop.sections.rinses.flow";
    let lines: [(&str, Changes, u8); 15] = [
        ("demo", &[], 0),
        // There is no loop that could fail to close.
        ("demo-before", &[], 0),
        ("teaching", &[], 0),
        // Closes with nothing to spare.
        ("warm-bath", &[], 0),
        // Chloride within a year; calcium, iron and gypsum.
        ("chromium", &[], 1),
        ("zinc-barrel", &[], 1),
        // Chloride in the second year; never.
        (
            "chromium",
            &[("chrome.bath.impurity_limits.Cl", "120 mg/L")],
            0,
        ),
        (
            "chromium",
            &[("chrome.bath.impurity_limits.Cl", "400 mg/L")],
            0,
        ),
        // Gypsum alone, within a year.
        (
            "zinc-barrel",
            &[
                ("zinc.bath.impurity_limits.Ca", "20 g/L"),
                ("zinc.bath.impurity_limits.Fe", "20 g/L"),
            ],
            1,
        ),
        // More comes in than evaporates; the tanks are too small for the shifts; just not.
        ("demo", &[(FEED, "140 L/h")], 1),
        ("demo", &[(FEED, "125 L/h")], 1),
        ("demo", &[(FEED, "105 L/h")], 0),
        ("demo", &[("loop.final_limit", "1 mg/L")], 1),
        ("demo-before", &[("loop.final_limit", "1 mg/L")], 1),
        // Too little heat: that is a caution as long as the week closes.
        ("demo", &[("loop.holding_tank.heat_input", "36 kW")], 0),
    ];
    for (name, changes, expected) in lines {
        let (air, hours, depth) = (AirChoice::Mean, Hours::Calendar, Depth::Full);
        let case = case(name, changes);
        let found = settled_answers(&case, air, hours, depth, &mut |_| true);
        let severity = worst(&found.unwrap().answers);
        let code = code(&["settle"], name, changes);
        assert_eq!(code, expected, "{name} {changes:?}: {severity:?}");
        assert_eq!(code == 1, severity == Severity::Alarm, "{name} {changes:?}");
    }
}

#[test]
fn run_ends_with_1_where_its_verdict_is_an_alarm() {
    let lines: [(&str, &str, Changes, u8); 6] = [
        ("demo", "30 d", &[], 0),
        ("demo-before", "30 d", &[], 0),
        // In its first year only iron and calcium pass; chloride of the chromium line later, which a shorter run does not tell.
        ("zinc-barrel", "90 d", &[], 1),
        ("chromium", "200 d", &[], 0),
        (
            "chromium",
            "800 d",
            &[("chrome.bath.impurity_limits.Cl", "120 mg/L")],
            1,
        ),
        (
            "demo",
            "7 d",
            &[("loop.holding_tank.tank.start_temperature", "68 °C")],
            1,
        ),
    ];
    for (name, span, changes, expected) in lines {
        let span_s = seconds_from_days(span.trim_end_matches(" d").parse().unwrap());
        let case = case(name, changes);
        let clock = Clock::default();
        let ran = run_span(&case, span_s, Driver::Preview, clock, &mut |_| true).unwrap();
        let severity = worst(&ran.answers());
        let code = code(&["run", "--for", span], name, changes);
        assert_eq!(code, expected, "{name} for {span}: {severity:?}");
        assert_eq!(code == 1, severity == Severity::Alarm, "{name} for {span}");
    }
}
