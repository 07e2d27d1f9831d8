//! Work that takes longer than half a second says how far it is, and can be given up.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;
#[path = "loop_view/lines.rs"]
#[allow(dead_code, reason = "each test file uses its own part")]
mod lines;

use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use dragback_gui::command::{Command, NameFor, VariantCommand};
use dragback_gui::document::Setting;
use dragback_gui::export::Export;
use dragback_gui::handover::{ReportAsked, ReportKind};
use dragback_gui::page::Page;
use dragback_gui::prefs::Shown;
use dragback_gui::results::Standing;
use dragback_gui::worker::{Job, Underway};
use dragback_gui::{App, Options, State};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{has_text, options, press, texts, type_into, wait, window_with};

/// One test at a time: what is long is told by the time that it takes.
static ALONE: Mutex<()> = Mutex::new(());

fn alone() -> MutexGuard<'static, ()> {
    ALONE.lock().unwrap_or_else(PoisonError::into_inner)
}

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
    let _alone = alone();
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

/// Waits until a job has gone on for long, presses the button that gives it up, and waits until it has ended.
fn give_up(harness: &mut Harness<'_, App>, job: Job) {
    wait(harness, |s| is_at(s, job));
    // Whatever else is at work is given up by the same button.
    press(harness, "Cancel");
    let asked = Instant::now();
    while is_at(harness.state().state(), job) {
        assert!(asked.elapsed() < Duration::from_secs(2), "{job:?} goes on");
        harness.run_steps(1);
    }
    harness.run_steps(2);
}

/// Variants that were given up say so, and are asked anew when somebody looks again.
#[test]
fn variants_are_given_up_and_asked_anew() {
    let _alone = alone();
    let mut harness = hall();
    for name in ["one", "two", "three"] {
        for keep in [
            VariantCommand::AskName(NameFor::Keep),
            VariantCommand::TakeName(name.to_owned()),
        ] {
            harness.state_mut().ask(Command::Variant(keep));
            harness.run_steps(2);
        }
    }
    harness.state_mut().ask(Command::Show(Shown::Compare));
    harness.run_steps(2);
    give_up(&mut harness, Job::Variants);
    assert!(harness.state().state().variants.is_given_up());
    assert!(has_text(&harness, "given up"));
    harness.state_mut().ask(Command::Show(Shown::Loop));
    harness.run_steps(2);
    harness.state_mut().ask(Command::Show(Shown::Compare));
    wait(&mut harness, |s| is_at(s, Job::Variants));
    assert!(!harness.state().state().variants.is_given_up());
}

/// What the payback hangs on, given up, says so.
#[test]
fn conditions_are_given_up() {
    let _alone = alone();
    let mut harness = hall();
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.state_mut().ask(Command::Pin);
    harness.run_steps(2);
    harness.state_mut().ask(Command::SetLever {
        path: "a.sections.rinses.flow".to_owned(),
        setting: Setting::Text("80 L/h".to_owned()),
    });
    harness.run_steps(2);
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.state_mut().ask(Command::Show(Shown::Money));
    give_up(&mut harness, Job::Hangs);
    assert!(harness.state().state().hangs.is_given_up());
    assert!(has_text(&harness, "iven up"), "{:?}", texts(&harness));
}

/// A report says how far it has come; given up, nothing is written and nothing is claimed.
#[test]
fn a_report_is_given_up_and_nothing_is_written() {
    let _alone = alone();
    let mut harness = hall();
    wait(&mut harness, |s| s.results.figures_are_current());
    harness
        .state_mut()
        .ask(Command::ShowPage(Some(Page::Report)));
    let folder = std::env::temp_dir().join(format!("dragback-given-up-{}", std::process::id()));
    let path = folder.join("report.html");
    let asked = ReportAsked {
        kind: ReportKind::Page,
        is_against: false,
        has_sizes: true,
    };
    let export = Command::ExportTo(Export::Report(asked), path.clone());
    harness.state_mut().ask(export);
    wait(&mut harness, |s| {
        let share = s.tally.as_ref().and_then(|t| t.share());
        share.is_some_and(|share| share > 0.0 && share < 1.0)
    });
    assert!(has_text(&harness, "Working it out…"));
    assert!(!has_text(&harness, "Written to"));
    press(&mut harness, "Give up");
    wait(&mut harness, |s| s.opening.is_none());
    assert!(!path.exists(), "it was written");
    let state = harness.state().state();
    assert!(state.notice.is_none() && state.tally.is_none());
    harness.run_steps(2);
    assert!(!has_text(&harness, "Working it out…"));
}
