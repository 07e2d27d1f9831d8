//! What would help is told under the verdict, and a button does it.

mod common;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::panels::proposal_words;
use dragback_study::Counted;
use dragback_study::advice::{Goal, Limit};
use dragback_units::System;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{has_text, shown_answer, texts, wait, window};

const HEAT: &str = "loop.holding_tank.heat_input";

fn with_heat(text: &str) -> Harness<'static, App> {
    let mut harness = window();
    harness.state_mut().ask(Command::SetLever {
        path: HEAT.to_owned(),
        setting: Setting::Text(text.to_owned()),
    });
    wait(&mut harness, |s| {
        s.results.figures_are_current() && s.results.advice().is_some()
    });
    harness
}

#[test]
fn a_loop_short_of_heat_is_told_what_closes_it_and_the_button_does_it() {
    let mut harness = with_heat("20 kW");
    assert!(
        shown_answer(&harness)
            .closure_margin_l_per_h
            .as_ref()
            .unwrap()
            .week
            < 0.0
    );
    assert!(has_text(&harness, "The loop does not close"));
    let state = harness.state().state();
    let advice = state.results.advice().unwrap().clone();
    assert_eq!(advice.limit, Limit::Heat);
    let document = state.document.as_ref().unwrap();
    let first = &advice.proposals[0];
    let lead = Counted::Metal.told(&[], "Ni");
    let words = proposal_words(document, &advice.now, first, System::Metric, &lead).unwrap();
    assert!(words.contains("closes the loop"), "{words}");
    harness.get_by_label(&format!("Apply: {words}")).click();
    harness.run_steps(3);
    wait(&mut harness, |s| s.results.figures_are_current());
    let now = shown_answer(&harness);
    assert!(first.goal == Goal::Closes && now.closure_margin_l_per_h.as_ref().unwrap().week >= 0.0);
    assert_eq!(now, first.after, "what was said is what came of it");
    harness.state_mut().ask(Command::Undo);
    wait(&mut harness, |s| s.results.figures_are_current());
    assert!(
        shown_answer(&harness)
            .closure_margin_l_per_h
            .as_ref()
            .unwrap()
            .week
            < 0.0
    );
}

#[test]
fn advice_on_an_earlier_position_is_not_shown() {
    let mut harness = with_heat("20 kW");
    harness.state_mut().ask(Command::SetLever {
        path: HEAT.to_owned(),
        setting: Setting::Text("52 kW".to_owned()),
    });
    harness.run_steps(1);
    assert!(harness.state().state().results.advice().is_none());
    harness.run_steps(1);
    assert!(
        has_text(&harness, "Looking for what would help"),
        "{:?}",
        texts(&harness)
    );
    wait(&mut harness, |s| s.results.advice().is_some());
    assert!(has_text(&harness, "would do ("), "{:?}", texts(&harness));
}

/// The bath of a line that nothing restores runs down; that is said, and nothing is advised on figures of an empty bath.
#[test]
fn a_bath_that_nothing_restores_is_told_so_everywhere() {
    let least = dragback_gui::templates::TEMPLATES[0].text;
    let (from, to) = (
        least.find("additions: (").unwrap(),
        least.find("make_up: (").unwrap(),
    );
    let file = common::TempFile::new("spent.ron", &[&least[..from], &least[to..]].concat());
    let mut harness = window();
    harness.state_mut().ask(Command::OpenPath(file.0.clone()));
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "spent.ron")
    });
    wait(&mut harness, |s| {
        s.results.figures_are_current()
            && s.results.advice().is_some()
            && s.results.standing() == dragback_gui::results::Standing::Exact
    });
    for part in [
        "Nickel falls from",
        "Nickel lost for good: –",
        "First let additions restore its nickel",
        "no simulated ratio, since nothing restores the bath",
        "■ Spent bath",
        "Open the editor",
    ] {
        assert!(has_text(&harness, part), "{part}: {:?}", texts(&harness));
    }
    harness.get_by_label("Open the editor").click();
    harness.run_steps(3);
    assert!(has_text(&harness, "Back to the line"));
    assert!(
        has_text(&harness, "since nothing restores the bath: settled"),
        "the verdict stands in the editor, too"
    );
}
