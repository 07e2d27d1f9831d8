//! Money in the window: what a year costs, whether a change pays, and prices that are dragged.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use std::sync::Arc;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::export::money_table;
use dragback_gui::money::HangsParts;
use dragback_gui::number::three;
use dragback_gui::prefs::Shown;
use dragback_gui::results::Standing;
use dragback_plant::TowerCache;
use dragback_study::money::{
    Payback, Plan, input_break_even, price_break_evens, tornado, work_inputs,
};
use dragback_units::System;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{TempFile, click, has_text, texts, wait, window};

type Window = Harness<'static, App>;

const BEFORE: &str = include_str!("../../../scenarios/demo-before.ron");
const RATE: &str = "prices.electricity.rate";

/// The demo with the line before recovery to compare with, money out.
fn compared() -> Window {
    let mut harness = window();
    let file = TempFile::new("shop.ron", BEFORE);
    harness
        .state_mut()
        .ask(Command::ReferencePath(file.0.clone()));
    wait(&mut harness, |s| s.pinned.is_some());
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.state_mut().ask(Command::Show(Shown::Money));
    harness.run_steps(3);
    harness
}

/// The two lines before and after recovery, some inputs set.
fn plans(set: &[&str]) -> (Plan, Plan) {
    let scenario = |name: &str| format!("{}/../../scenarios/{name}", env!("CARGO_MANIFEST_DIR"));
    let load = |name: &str| {
        let text = std::fs::read_to_string(scenario(name)).unwrap();
        let mut scenario = dragback_scenario::load(&text).0.unwrap();
        for change in set {
            let (path, value) = change.split_once('=').unwrap();
            drop(dragback_scenario::set(&mut scenario, path, value));
        }
        let (scenario, cache) = (Arc::new(scenario), TowerCache::default());
        Plan::settled(scenario, &cache, &mut |_| true).unwrap()
    };
    (load("demo-before.ron"), load("demo.ron"))
}

/// What the change from one to the other brings.
fn elsewhere(set: &[&str]) -> Payback {
    let (before, after) = plans(set);
    Payback::of(&before, &after).unwrap()
}

/// The sentence with the answer.
fn answer(harness: &Window) -> String {
    let all = texts(harness);
    let found = all
        .iter()
        .find(|t| t.starts_with("It saves") || t.starts_with("It costs"));
    found.cloned().unwrap_or_else(|| panic!("{all:?}"))
}

fn saving(answer: &str) -> f64 {
    let digits: String = answer
        .chars()
        .take_while(|c| *c != '\u{a0}')
        .filter(char::is_ascii_digit)
        .collect();
    digits.parse().unwrap()
}

#[test]
fn the_answer_is_that_of_the_same_two_lines_elsewhere() {
    let harness = compared();
    let found = elsewhere(&[]);
    let told = answer(&harness);
    let wanted = found.saving_per_year;
    assert!((saving(&told) - wanted).abs() <= 0.5, "{told} {wanted}");
    let years = found.simple.number().unwrap();
    assert!(
        told.contains(&format!("are back in {years:.2} years")),
        "{told} {years}"
    );
    assert!(has_text(&harness, "NiSO4·6H2O: −"), "{:?}", texts(&harness));
    assert!(has_text(&harness, "Net present value, 10 years"));
    assert!(has_text(&harness, "Internal rate of return"));
}

/// A price that is moved counts in the next frame, before anything is run again.
#[test]
fn a_dragged_price_moves_the_answer_at_once() {
    let mut harness = compared();
    let first = saving(&answer(&harness));
    let number = harness
        .state()
        .state()
        .results
        .figures()
        .unwrap()
        .asked
        .generation;
    harness.state_mut().ask(Command::SetLever {
        path: RATE.to_owned(),
        setting: Setting::Text("0.15 EUR/kWh".to_owned()),
    });
    harness.run_steps(1);
    assert!(!harness.state().state().results.figures_are_current());
    let told = saving(&answer(&harness));
    let wanted = elsewhere(&["prices.electricity.rate=0.15 EUR/kWh"]).saving_per_year;
    assert!(
        told < first && (told - wanted).abs() <= 0.5,
        "{told} {wanted}"
    );
    let asked = harness.state().state().results.requested;
    assert!(asked > number, "the lever asks for a new week all the same");
}

/// A lever that changes amounts counts once the week has settled anew.
#[test]
fn a_moved_lever_moves_the_answer_with_the_week() {
    let mut harness = compared();
    let first = saving(&answer(&harness));
    harness.state_mut().ask(Command::SetLever {
        path: "loop.holding_tank.heat_input".to_owned(),
        setting: Setting::Text("20 kW".to_owned()),
    });
    harness.run_steps(1);
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.run_steps(1);
    let told = saving(&answer(&harness));
    let wanted = elsewhere(&["loop.holding_tank.heat_input=20 kW"]).saving_per_year;
    assert!(
        (told - first).abs() > 1.0 && (told - wanted).abs() <= 0.5,
        "{first} {told} {wanted}"
    );
}

#[test]
fn without_something_to_compare_with_the_cost_stands_alone() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.state_mut().ask(Command::Show(Shown::Money));
    harness.run_steps(3);
    assert!(
        has_text(&harness, "This line costs "),
        "{:?}",
        texts(&harness)
    );
    harness.get_by_label("Pin this line").click();
    harness.run_steps(3);
    assert!(has_text(&harness, "It saves nothing; nothing is laid out."));
    // Back and forth by the keyboard; the ledger takes its place.
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::M);
    harness.run_steps(2);
    assert!(!has_text(&harness, "It saves nothing"));
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::M);
    harness.run_steps(2);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::L);
    harness.run_steps(2);
    assert_eq!(harness.state().state().prefs.shown, Shown::Ledger);
}

#[test]
fn what_cannot_be_counted_is_said() {
    let mut harness = window();
    let text = include_str!("../../../scenarios/chromium.ron");
    let file = TempFile::new("dollars.ron", text);
    harness
        .state_mut()
        .ask(Command::ReferencePath(file.0.clone()));
    wait(&mut harness, |s| s.pinned.is_some());
    harness.state_mut().ask(Command::Show(Shown::Money));
    harness.run_steps(3);
    assert!(
        has_text(&harness, "prices in USD, the other in EUR"),
        "{:?}",
        texts(&harness)
    );
    harness.state_mut().ask(Command::SetSystem(System::Us));
    harness.state_mut().ask(Command::Unpin);
    harness.run_steps(3);
    assert!(has_text(&harness, "This line costs "));
}

/// The table that is written holds every line, and its sums.
#[test]
fn money_is_written_line_by_line() {
    let (before, after) = plans(&[]);
    let payback = Payback::of(&before, &after).unwrap();
    let table = money_table(Some(&before), &after).unwrap();
    let number = |cell: &str| cell.parse::<f64>().unwrap();
    let all = table.rows.iter().find(|r| r[0] == "all").unwrap();
    let lines = table.rows.iter().take_while(|r| r[0] != "all");
    let sum: f64 = lines.map(|r| number(&r[4])).sum();
    assert!((sum - number(&all[4])).abs() < 0.01, "{sum} {all:?}");
    assert!((number(&all[4]) + payback.saving_per_year).abs() < 0.01);
    assert_eq!(all[5], "EUR/year");
    let alone = money_table(None, &after).unwrap();
    let all = alone.rows.last().unwrap();
    assert!(
        (number(&all[3]) - payback.cost_after).abs() < 0.01,
        "{all:?}"
    );
}

/// The conditions are those of the same two lines elsewhere; prices at once, the rest from the threads.
#[test]
fn when_it_pays_is_told_in_sentences() {
    let mut harness = compared();
    click(&mut harness, "When it pays");
    let (before, after) = plans(&[]);
    let payback = Payback::of(&before, &after).unwrap();
    let salt = |years: f64| {
        let all = price_break_evens(&payback, years);
        let found = all.iter().find(|b| b.path == "prices.chemicals.NiSO4.6H2O");
        found.unwrap().value.unwrap()
    };
    let told = |si: f64| format!("NiSO4·6H2O costs more than {}\u{a0}EUR/kg", three(si, 4));
    assert!(
        has_text(&harness, &told(salt(2.0))),
        "{:?}",
        texts(&harness)
    );
    // Another number of years counts in the next frame.
    harness.state_mut().ask(Command::SetWithin(1.5));
    harness.run_steps(2);
    assert!(
        has_text(&harness, &told(salt(1.5))),
        "{:?}",
        texts(&harness)
    );
    harness.state_mut().ask(Command::SetWithin(2.0));
    harness.run_steps(2);
    wait(&mut harness, |s| {
        s.hangs
            .found()
            .is_some_and(|(h, is_current)| is_current && h.share >= 1.0)
    });
    let state = harness.state().state();
    let (found, _) = state.hangs.found().unwrap();
    let (cache, scenarios) = (TowerCache::default(), (&*before.scenario, &*after.scenario));
    for (about, path, name) in work_inputs(&after.scenario) {
        let of = (about, path.as_str(), name.as_str());
        let wanted = input_break_even(scenarios, of, 2.0, &cache, &mut |_| true).unwrap();
        assert!(found.parts.break_evens.contains(&wanted.unwrap()), "{path}");
    }
    for part in [
        "drag-out exceeds 0.142\u{a0}L/m²",
        "work exceeds 47.1\u{a0}m²/h",
        "weekly hours exceed ",
    ] {
        assert!(has_text(&harness, part), "{part}: {:?}", texts(&harness));
    }
    // The field takes the years from the keyboard.
    let field = "Years within which it must pay";
    harness.get_by_label(field).focus();
    harness.run_steps(2);
    harness.key_press(egui::Key::ArrowUp);
    harness.run_steps(2);
    let years = harness.state().state().prefs.within_years;
    assert!(years > 2.0, "{years}");
}

/// What was found last of what the payback hangs on.
fn hangs(harness: &Window) -> HangsParts {
    let found = harness.state().state().hangs.found().unwrap();
    found.0.parts.clone()
}

/// The ten inputs that move the payback most, as elsewhere; what is stale is told as such, and a lever makes them anew.
#[test]
fn what_moves_the_payback_is_worked_out_on_the_threads() {
    let mut harness = compared();
    click(&mut harness, "What moves it most");
    let is_whole = |s: &dragback_gui::State| {
        s.hangs
            .found()
            .is_some_and(|(h, is_current)| is_current && h.share >= 1.0)
    };
    wait(&mut harness, is_whole);
    let (before, after) = plans(&[]);
    let wanted = tornado(&before, &after, &TowerCache::default(), &mut |_| true).unwrap();
    let found = hangs(&harness);
    assert_eq!(found.swings, wanted.swings);
    assert_eq!(found.swings_stopped, wanted.stopped);
    let film = has_text(
        &harness,
        "4.74 years at 0.0900\u{a0}L/m², 2.64 years at 0.120\u{a0}L/m² (likely), 1.66 years at 0.160\u{a0}L/m²",
    );
    assert!(film, "{:?}", texts(&harness));
    harness.state_mut().ask(Command::SetLever {
        path: RATE.to_owned(),
        setting: Setting::Text("0.15 EUR/kWh".to_owned()),
    });
    harness.run_steps(1);
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.run_steps(1);
    assert!(
        has_text(&harness, "As before the last change"),
        "{:?}",
        texts(&harness)
    );
    wait(&mut harness, is_whole);
    assert_ne!(hangs(&harness).swings, wanted.swings);
    assert!(has_text(&harness, "ten at most"));
}

/// Against a line that does other work with less equipment the answer takes several lines, and what stands below makes room for all of them.
#[test]
fn a_long_answer_stands_above_the_rest() {
    let mut harness = window();
    let teaching = include_str!("../../../scenarios/teaching.ron");
    let (line, before) = (
        TempFile::new("teaching.ron", teaching),
        TempFile::new("shop.ron", BEFORE),
    );
    harness.state_mut().ask(Command::OpenPath(line.0.clone()));
    wait(&mut harness, |s| {
        let title = s.document.as_ref().map(|d| d.scenario.title.clone());
        title.is_some_and(|t| t.starts_with("Teaching")) && s.results.figures_are_current()
    });
    harness
        .state_mut()
        .ask(Command::ReferencePath(before.0.clone()));
    wait(&mut harness, |s| s.pinned.is_some());
    harness.state_mut().ask(Command::Show(Shown::Money));
    harness.run_steps(3);
    let told = answer(&harness);
    assert!(
        told.contains("do not do the same work") && told.contains("prices.capital"),
        "{told}"
    );
    let words = harness.get_by_label(&told).rect();
    let below = harness.get_by_label("Where it comes from").rect();
    assert!(
        words.bottom() <= below.top() && words.height() > 40.0,
        "{words:?} and {below:?}"
    );
    assert!(words.right() <= 1280.0, "{words:?}");
}
