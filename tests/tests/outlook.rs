//! How long a loop takes to settle, against a closed form.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::AirChoice;
use dragback_scenario::load;
use dragback_study::{Case, Depth, Hours, settled_answers};

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
    let (scenario, problems) = load(&text);
    assert!(problems.is_empty(), "{problems:?}");
    Case::new(Arc::new(scenario.unwrap()), &TowerCache::default()).unwrap()
}

/// Days after which the daily mean of a rinse that starts clean stays within 5 %.
///
/// Hand derivation: the bath is strong from the start and the rinse comes up as `1 − e^(−t/τ)`, `τ = V/q_out`. What day `n` misses of its
/// mean is `τ/24 h · e^(−24n/τ) · (1 − e^(−24/τ))`.
fn expected_days(tau_h: f64) -> f64 {
    let missed = |n: f64| tau_h / 24.0 * (-24.0 * n / tau_h).exp() * (1.0 - (-24.0 / tau_h).exp());
    let mut n = 0.0;
    while missed(n) > 0.05 {
        n += 1.0;
    }
    n
}

#[test]
fn a_clean_rinse_settles_as_its_flow_tells() {
    let mut seen = Vec::new();
    for flow in [20.0, 40.0, 120.0] {
        let case = one_rinse(flow);
        let found = settled_answers(
            &case,
            AirChoice::Mean,
            Hours::AlwaysOpen,
            Depth::Full,
            &mut |_| true,
        )
        .unwrap()
        .answers;
        // What leaves the rinse with metal in it: overflow and the film on the work.
        let line = &found.loops[0];
        let out_l_per_h = line.to_treatment_l_per_h + line.drag_out_l_per_h;
        let rinse = found
            .vessels
            .iter()
            .find(|v| v.name == line.final_rinse.vessel);
        let expected = expected_days(rinse.unwrap().volume_l / out_l_per_h);
        seen.push((line.days_to_settle, expected));
    }
    for (found, expected) in &seen {
        assert_eq!(*found, Some(*expected), "{seen:?}");
    }
    assert!(
        seen[0].1 > seen[2].1,
        "three flows, three answers: {seen:?}"
    );
}

/// With the rinse valve all but shut the loop still has a settled week, strong rinses and all; what cannot be worked out is not a number.
#[test]
fn a_shut_rinse_valve_has_an_answer() {
    const DEMO: &str = include_str!("../../scenarios/demo.ron");
    for flow in ["0 L/h", "1 L/h", "2 L/h"] {
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
    }
}
