//! Work that takes longer than half a second says how far it is, and can be given up.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;
#[path = "loop_view/lines.rs"]
#[allow(dead_code, reason = "each test file uses its own part")]
mod lines;

use std::time::{Duration, Instant};

use dragback_gui::results::Standing;
use dragback_gui::worker::{Job, Underway};
use dragback_gui::{App, Options, State};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{has_text, options, type_into, wait, window_with};

fn hall() -> Harness<'static, App> {
    window_with(Options {
        demo_text: Box::leak(lines::hall().into_boxed_str()),
        ..options()
    })
}

fn underway(state: &State) -> Vec<Underway> {
    state.workers.as_ref().unwrap().underway()
}

fn is_at(state: &State, job: Job) -> bool {
    underway(state).iter().any(|work| work.job == job)
}

#[test]
fn an_exact_run_of_many_lines_says_how_far_it_is_and_is_given_up() {
    let mut harness = hall();
    wait(&mut harness, |s| {
        let long = underway(s);
        let exact = long.iter().find(|work| work.job == Job::Exact);
        exact.is_some_and(|work| work.share.unwrap() > 0.0)
    });
    assert!(has_text(&harness, "Exact run"));
    harness.get_by_label("Cancel").click();
    harness.run_steps(2);
    let asked = Instant::now();
    while is_at(harness.state().state(), Job::Exact) {
        assert!(asked.elapsed() < Duration::from_secs(2), "it goes on");
        harness.run_steps(1);
    }
    // Nothing comes of it later either.
    std::thread::sleep(Duration::from_millis(300));
    harness.run_steps(2);
    let results = &harness.state().state().results;
    assert!(results.has_given_up(Job::Exact));
    assert_eq!(results.standing(), Standing::Preview);
    assert!(!has_text(&harness, "Exact run"));
    // The next change begins it anew.
    type_into(&mut harness, "Rinse rate", "120 L/h");
    assert!(!harness.state().state().results.has_given_up(Job::Exact));
    wait(&mut harness, |s| is_at(s, Job::Exact));
}
