//! The ledger on screen: its figures are those of the run, its stretches end at the cursor, and the keyboard brings it out and puts it away.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::ledger::{Back, Sheet, told};
use dragback_gui::number::joined;
use dragback_gui::results::Standing;
use dragback_study::{LedgerAnswer, Way};
use dragback_units::System;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{choose, figures, has_text, texts, wait, window};

fn open_ledger() -> Harness<'static, App> {
    let mut harness = window();
    harness.get_by_label("Ledger").click();
    harness.run_steps(3);
    harness
}

/// The drawing told in words.
fn said(harness: &Harness<'_, App>) -> String {
    let all = texts(harness);
    all.into_iter()
        .find(|t| t.contains("Out and held:"))
        .unwrap()
}

#[test]
fn each_line_of_the_settled_week_is_told_with_its_amount() {
    let mut harness = open_ledger();
    let books = figures(&harness).answers.ledger.clone();
    for (key, name) in [("water", "Water"), ("Ni", "Nickel"), ("energy", "Energy")] {
        choose(&mut harness, "Quantity of the ledger", name);
        let sheet = Sheet::of(&books, key, "Ni").unwrap();
        let count = match &books[key] {
            LedgerAnswer::Mass { lines, .. } => lines.len(),
            LedgerAnswer::Energy { lines, .. } => lines.len(),
        };
        let lines: Vec<_> = sheet.left.iter().chain(&sheet.right).collect();
        assert_eq!(lines.iter().filter(|l| !l.is_held).count(), count);
        assert!(count >= 3, "{key}");
        let said = said(&harness);
        assert!(
            said.starts_with(&format!("{name}, the settled week.")),
            "{said}"
        );
        for line in lines {
            let amount = joined(sheet.told(line.amount, System::Metric));
            assert!(said.contains(&format!("{} {amount}", line.name)), "{said}");
            assert!(line.is_held || has_text(&harness, &amount), "{amount}");
        }
        assert!(has_text(&harness, "closes"));
    }
}

#[test]
fn a_stretch_ends_at_the_cursor_and_begins_where_it_is_put() {
    let mut harness = open_ledger();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.state_mut().ask(Command::MoveCursor(Some(30.0)));
    harness.run_steps(2);
    choose(
        &mut harness,
        "Stretch of the ledger",
        "Week before the cursor",
    );
    let week = said(&harness);
    assert!(
        week.contains("day 23, 00:00") && week.contains("day 30, 00:00"),
        "{week}"
    );
    choose(
        &mut harness,
        "Stretch of the ledger",
        "From a day to the cursor",
    );
    let name = "Beginning of the stretch, days";
    let slider = harness.get_by_role_and_label(Role::Slider, name);
    slider.set_value_accesskit(23.0);
    harness.run_steps(3);
    let chosen = said(&harness);
    assert_eq!(week, chosen);
    harness
        .get_by_role_and_label(Role::Slider, name)
        .set_value_accesskit(40.0);
    harness.run_steps(3);
    assert!(has_text(&harness, "The stretch is empty"));
}

#[test]
fn the_day_of_work_brings_more_water_than_the_sunday() {
    let mut harness = open_ledger();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    let came = |harness: &Harness<'_, App>, day: f64| {
        let results = &harness.state().state().results;
        let books = told(results, Back::Day, Some(day)).unwrap();
        let sheet = Sheet::of(&books.entries, "water", "Ni").unwrap();
        let LedgerAnswer::Mass { lines, in_kg, .. } = &books.entries["water"] else {
            unreachable!("water is a mass")
        };
        let sum: f64 = lines
            .iter()
            .filter(|l| l.side == Way::In)
            .map(|l| l.kg)
            .sum();
        assert!((sum - in_kg).abs() <= 1e-9 * in_kg);
        assert!(sheet.closes());
        sheet.came
    };
    // Runs begin on a Monday and the demo works from Monday to Friday: day 17 is a Wednesday, day 21 a Sunday.
    assert!(came(&harness, 17.0) > 2.0 * came(&harness, 21.0));
}

#[test]
fn the_keyboard_brings_it_out_and_puts_it_away() {
    let mut harness = window();
    for is_out in [true, false] {
        harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::L);
        harness.run_steps(3);
        assert_eq!(has_text(&harness, "Closure error"), is_out);
        assert_eq!(harness.query_by_label("Settled answers").is_some(), !is_out);
    }
}

#[test]
fn another_scenario_falls_back_to_water_where_the_solute_is_unknown() {
    let mut harness = open_ledger();
    choose(&mut harness, "Quantity of the ledger", "Nickel");
    assert!(said(&harness).starts_with("Nickel"));
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios");
    let path = std::path::Path::new(folder).join("chromium.ron");
    harness.state_mut().ask(Command::OpenPath(path));
    wait(&mut harness, |s| {
        let is_open = s
            .document
            .as_ref()
            .is_some_and(|d| d.origin.name == "chromium.ron");
        is_open && s.results.figures_are_current()
    });
    let said = said(&harness);
    assert!(said.starts_with("Water"), "{said}");
    let combo = harness.get_by_role_and_label(Role::ComboBox, "Quantity of the ledger");
    assert_eq!(combo.accesskit_node().value().as_deref(), Some("Water"));
}
