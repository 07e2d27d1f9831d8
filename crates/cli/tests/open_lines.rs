//! Lines without an evaporator: what is no question is not answered by a failure.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod common;

use common::{Folder, at, dragback};
use serde_json::Value;

/// A shipped scenario settled: its text and its JSON.
fn settled(name: &str) -> (String, Value) {
    let file = format!("{}/../../scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    let text = dragback(&["settle", &file]).out;
    let json = dragback(&["settle", &file, "--json", "-"]).out;
    (text, serde_json::from_str(&json).unwrap())
}

/// The line of a table that begins with a label.
fn row<'t>(text: &'t str, label: &str) -> Option<&'t str> {
    text.lines().find(|l| l.trim_start().starts_with(label))
}

#[test]
fn an_open_line_has_no_margin() {
    let (text, json) = settled("demo-before");
    assert!(at(&json, "loops.0.closure_margin_l_per_h").is_null());
    assert!(at(&json, "loops.0.storage_needed_l").is_null());
    let margin = row(&text, "Closure margin").unwrap();
    assert!(margin.contains("does not apply: no evaporator"), "{text}");
    assert!(
        row(&text, "Evaporated by towers")
            .unwrap()
            .contains("no evaporator"),
        "{text}"
    );
    assert_eq!(row(&text, "Storage needed"), None, "{text}");
    assert!(!text.contains("while evaporating"), "{text}");
    assert!(!text.contains("short: goes to treatment"), "{text}");
}

#[test]
fn a_bath_closed_by_its_surface_has_a_margin_and_no_evaporator() {
    let (text, json) = settled("warm-bath");
    assert!(at(&json, "loops.0.closure_margin_l_per_h.week").is_number());
    assert!(at(&json, "loops.0.storage_needed_l").is_number());
    assert!(
        row(&text, "Closure margin, week")
            .unwrap()
            .contains("to spare"),
        "{text}"
    );
    assert!(
        row(&text, "Evaporated by towers")
            .unwrap()
            .contains("no evaporator"),
        "{text}"
    );
    assert!(
        row(&text, "Heaters").unwrap().contains("of their power"),
        "{text}"
    );
    assert!(!text.contains("while evaporating"), "{text}");
}

/// A bath that nothing restores has nothing left to lose once it has run down. That nothing is lost then says nothing of the line, so no number is told.
#[test]
fn a_bath_that_runs_down_is_not_told_to_lose_nothing() {
    let file = format!(
        "{}/../../scenarios/demo-before.ron",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(file).unwrap();
    let restored = "restore: {\"Cl\": \"NiCl2.6H2O\", \"Ni\": \"NiSO4.6H2O\", \"B\": \"H3BO3\"},";
    assert_eq!(text.matches(restored).count(), 1);
    let folder = Folder::new();
    let spent = folder.file("spent.ron");
    std::fs::write(&spent, text.replace(restored, "")).unwrap();
    let told = dragback(&["settle", &spent]);
    assert_eq!(told.code, 1, "{}", told.err);
    let lost = row(&told.out, "Lost for good").unwrap();
    assert!(lost.contains("\u{2013} of Ni"), "{lost}");
    assert_eq!(row(&told.out, "Worth"), None, "{}", told.out);
    let json = dragback(&["settle", &spent, "--json", "-"]).out;
    let json: Value = serde_json::from_str(&json).unwrap();
    assert!(at(&json, "loops.0.lost_worth").is_null());
}
