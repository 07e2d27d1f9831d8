//! What holds in every view: each control has a name, each figure means the same in either system of units, and the keyboard alone is enough.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop where a value is missing"
)]

#[path = "comfort/amounts.rs"]
mod amounts;
mod common;
#[path = "legible/seen.rs"]
#[allow(dead_code, reason = "each test file uses its own part")]
mod seen;
#[path = "common/views.rs"]
mod views;

use std::collections::BTreeMap;

use dragback_gui::Options;
use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::results::Standing;
use dragback_units::System;
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use amounts::{Amount, agree, amounts};
use common::{DEMO, has_text, opened, options, shown_answer, texts, wait, window, window_with};
use views::{Window, visit};

/// What a person can act on.
const CONTROLS: [Role; 10] = [
    Role::Button,
    Role::CheckBox,
    Role::ComboBox,
    Role::Link,
    Role::MenuItem,
    Role::RadioButton,
    Role::Slider,
    Role::SpinButton,
    Role::TextInput,
    Role::Switch,
];

/// Controls without a name, and how many there are in all.
fn nameless<S>(harness: &Harness<'_, S>) -> (Vec<String>, usize) {
    let mut count = 0;
    let mut found = Vec::new();
    for node in harness.root().query_all_by(|_| true) {
        let node = node.accesskit_node();
        if !CONTROLS.contains(&node.role()) {
            continue;
        }
        count += 1;
        // A number is no name.
        let has_name = |name: String| name.chars().any(char::is_alphabetic);
        if !node.label().is_some_and(has_name) {
            found.push(format!(
                "{:?} {:?} {:?}",
                node.role(),
                node.value(),
                node.bounding_box()
            ));
        }
        if node.role() == Role::Slider && node.numeric_value().is_none() && node.value().is_none() {
            found.push(format!("{:?} has no value", node.label()));
        }
    }
    (found, count)
}

#[test]
fn a_control_without_a_name_or_value_is_found() {
    let mut text = String::new();
    let harness = Harness::builder()
        .with_accessibility_check(false)
        .build_ui(move |ui| {
            let _ = ui.button("Named");
            let _ = ui.text_edit_singleline(&mut text);
            let _ = ui.button("");
            let _ = ui.button("100 %");
        });
    let (found, count) = nameless(&harness);
    assert_eq!((found.len(), count), (3, 4), "{found:?}");
}

/// The window on a screen with room for much.
fn large() -> Window {
    let mut harness = window();
    harness.set_size(egui::vec2(1920.0, 1400.0));
    harness.run_steps(3);
    harness
}

#[test]
fn every_control_has_a_name() {
    let mut harness = large();
    visit(&mut harness, |harness, view| {
        let (found, count) = nameless(harness);
        assert!(count >= 10, "{view}: only {count} controls were found");
        assert!(
            found.is_empty(),
            "{view}: without a name\n{}",
            found.join("\n")
        );
    });
}

/// Every text of the window; what stands in a field or list is told with its name.
fn told(harness: &Window) -> Vec<String> {
    // A label is told as a whole, not once more row by row.
    let all = harness.root().query_all_by(|n| n.role() != Role::TextRun);
    let words = |n: egui_kittest::Node<'_>| {
        let node = n.accesskit_node();
        match (node.label(), node.value()) {
            (Some(name), Some(value)) if name != value => vec![format!("{name}: {value}"), name],
            (name, value) => name.or(value).into_iter().collect(),
        }
    };
    all.flat_map(words).collect()
}

/// All amounts of the window by the words around them.
fn amounts_by_frame(harness: &Window) -> BTreeMap<String, Vec<Vec<Amount>>> {
    let mut all: BTreeMap<String, Vec<Vec<Amount>>> = BTreeMap::new();
    // What is written in the field before.
    let mut written: Option<Amount> = None;
    for text in told(harness) {
        let (mut frame, mut found) = amounts(&text);
        // A field keeps its text as it was written; where that is another unit than those shown, it is told in them as well.
        let rest = frame.strip_prefix(" = #");
        let rest = rest.filter(|rest| rest.is_empty() || rest.starts_with(" usual"));
        if let Some(rest) = rest
            && let Some(value) = written.take()
        {
            let echo = found.remove(0);
            assert!(agree(&value, &echo), "{text} stands beside {}", value.text);
            frame = rest.to_owned();
        }
        if frame.ends_with(": #") {
            written = found.first().cloned();
        }
        if !found.is_empty() {
            all.entry(frame).or_default().push(found);
        }
    }
    all
}

/// Whether what is told stays as somebody wrote it, whatever units are shown: fields of pages, notes, values that are refused, step changes.
fn is_as_written(place: &str, frame: &str) -> bool {
    let has_fields = [
        "Chapter: ",
        "a field of",
        "some of ten",
        "a measured",
        "a list of problems",
        "the list of events",
    ];
    let has_fields = has_fields.iter().any(|part| place.starts_with(part));
    let is_lone = frame.ends_with(": #") || frame == " #";
    let is_field = is_lone || frame.to_lowercase().contains("notes:");
    let is_quoted = ["the allowed", "→ lower it", "Rinse rate becomes"];
    let is_quoted = is_quoted.iter().any(|part| frame.contains(part));
    // Rinses are told in mg/L, and what leaves them in mg/h and L/h, with either system.
    has_fields && is_field || is_quoted || place.ends_with("final rinse") && frame == " = # ÷ # = #"
}

/// Nothing is told or painted in units of the other system, unless it is as somebody wrote it.
fn check_own_units(
    harness: &Window,
    place: &str,
    system: System,
    all: &BTreeMap<String, Vec<Vec<Amount>>>,
) {
    let told = all
        .iter()
        .map(|(frame, found)| (frame.clone(), found.concat()));
    let painted = seen::texts(&harness.output().shapes);
    // Notes are painted as they stand in the file.
    let is_note = |words: &str| words.len() > 60 && DEMO.contains(words);
    let painted = painted.iter().filter(|text| !is_note(&text.words));
    let painted = painted.map(|text| amounts(&text.words));
    for (frame, found) in told.chain(painted) {
        let foreign = found.iter().find(|a| a.is_foreign_to(system));
        if let Some(amount) = foreign.filter(|_| !is_as_written(place, &frame)) {
            panic!("{place}, {system:?}: {frame}: {}", amount.text);
        }
    }
}

/// What was found when the units were switched.
#[derive(Default)]
struct Switched {
    /// How many numbers became others.
    converted: usize,
    frames: usize,
    /// Words whose like was not found in the other units.
    missing: Vec<String>,
}

impl Switched {
    /// Switches units. Every number with a unit must be found in the other one as the same, to the digits shown.
    fn switch(&mut self, harness: &mut Window, place: &str) {
        let mut seen = |system| {
            harness.state_mut().ask(Command::SetSystem(system));
            harness.run_steps(4);
            let all = amounts_by_frame(harness);
            check_own_units(harness, place, system, &all);
            all
        };
        let (metric, us) = (seen(System::Metric), seen(System::Us));
        seen(System::Metric);
        self.frames += metric.len();
        for (frame, theirs) in &metric {
            let Some(ours) = us.get(frame) else {
                self.missing.push(format!("{place}: {frame}"));
                continue;
            };
            let (theirs, ours) = (theirs.concat(), ours.concat());
            assert_eq!(theirs.len(), ours.len(), "{place}: {frame}");
            for (a, b) in theirs.iter().zip(&ours) {
                let (from, to) = (&a.text, &b.text);
                assert!(agree(a, b), "{place}: {frame}: {from} became {to}");
                self.converted += usize::from(from != to);
            }
        }
    }

    fn check(&self, place: &str, least: usize) {
        let Self {
            converted, frames, ..
        } = self;
        assert!(
            *converted > least,
            "{place}: only {converted} numbers in {frames} frames were converted"
        );
    }
}

/// Moves each main lever, and the set point of the holding tank where the line has one, to a place of the stream of numbers.
fn move_levers(harness: &mut Window, draw: &mut impl FnMut() -> f64) {
    let document = opened(harness);
    let set_point = document.lever("loop.holding_tank.set_point");
    let mut moves: Vec<(String, f64)> = document
        .levers
        .iter()
        .map(|l| (l.path.clone(), l.si * (0.7 + 0.7 * draw())))
        .collect();
    moves.extend(set_point.map(|l| (l.path.clone(), l.si - 3.0 + 4.0 * draw())));
    for (path, si) in moves {
        harness.state_mut().ask(Command::SetLever {
            path,
            setting: Setting::Si(si),
        });
    }
    harness.run_steps(2);
    // How far work is stands on the window, too, and goes on meanwhile.
    wait(harness, |s| {
        let is_whole = s.results.full_is_current() && s.results.advice().is_some();
        s.results.failure().is_some() || is_whole && s.results.standing() == Standing::Exact
    });
}

#[test]
fn no_figure_changes_its_meaning_on_a_unit_switch() {
    // A stream of numbers by a linear congruence (constants of Knuth's MMIX, from memory), the same at each run.
    let mut seed: u64 = 20_261_125;
    let mut draw = || {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(seed >> 33).unwrap()) / f64::from(1_u32 << 31)
    };
    let lines = [
        ("demo", DEMO, 7, 300),
        (
            "zinc",
            include_str!("../../../scenarios/zinc-barrel.ron"),
            2,
            60,
        ),
        (
            "chromium",
            include_str!("../../../scenarios/chromium.ron"),
            2,
            60,
        ),
    ];
    for (name, demo_text, rounds, least) in lines {
        let mut harness = window_with(Options {
            demo_text,
            ..options()
        });
        harness.set_size(egui::vec2(1920.0, 1400.0));
        wait(&mut harness, |s| s.results.figures_are_current());
        let mut switched = Switched::default();
        for _ in 0..rounds {
            move_levers(&mut harness, &mut draw);
            switched.switch(&mut harness, name);
        }
        switched.check(name, least);
        // Advice that has no room in longer words stays away.
        let (frames, missing) = (switched.frames, &switched.missing);
        assert!(
            10 * missing.len() <= frames,
            "{name}: {frames} frames, without a counterpart: {missing:#?}"
        );
    }
}

#[test]
fn no_figure_of_any_view_changes_its_meaning_on_a_unit_switch() {
    let mut harness = large();
    let mut switched = Switched::default();
    visit(&mut harness, |harness, view| switched.switch(harness, view));
    switched.check("all views", 3000);
    assert!(switched.missing.is_empty(), "{:#?}", switched.missing);
}

/// Presses Tab until a control of that name has the keyboard.
fn tab_to(harness: &mut Window, role: Role, name: &str) {
    for _ in 0..150 {
        let there = harness
            .query_all_by_role_and_label(role, name)
            .any(|n| n.accesskit_node().is_focused());
        if there {
            return;
        }
        harness.key_press(Key::Tab);
        harness.run_steps(1);
    }
    panic!("Tab never came to {name}");
}

#[test]
fn the_keyboard_alone_does_the_main_job() {
    let mut harness = window();
    let before = shown_answer(&harness).final_rinse.film_mg_per_l;
    // A quarter less rinse water: what does the work leave with?
    tab_to(&mut harness, Role::TextInput, "Rinse rate");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(1);
    harness.event(egui::Event::Text("71.25 L/h".to_owned()));
    harness.run_steps(1);
    harness.key_press(Key::Enter);
    harness.run_steps(2);
    wait(&mut harness, |s| s.results.figures_are_current());
    let typed = shown_answer(&harness).final_rinse.film_mg_per_l;
    assert!(typed > before * 1.5, "{before} became {typed}");
    // Then by the arrow keys of the lever itself.
    tab_to(&mut harness, Role::Slider, "Rinse rate");
    for _ in 0..10 {
        harness.key_press(Key::ArrowRight);
        harness.run_steps(1);
    }
    wait(&mut harness, |s| s.results.figures_are_current());
    let moved = shown_answer(&harness).final_rinse.film_mg_per_l;
    assert!(moved < typed, "{typed} became {moved}");
    // The settled answers beside it, by a button that has the keyboard.
    tab_to(&mut harness, Role::Button, "Settled answers");
    harness.key_press(Key::Space);
    harness.run_steps(4);
    assert!(
        has_text(&harness, "Settled figure"),
        "{:?}",
        texts(&harness)
    );
    // And back to where it began.
    harness.key_press(Key::Escape);
    harness.run_steps(1);
    while opened(&harness).is_dirty() {
        harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        harness.run_steps(2);
    }
    wait(&mut harness, |s| s.results.figures_are_current());
    let after = shown_answer(&harness).final_rinse.film_mg_per_l;
    assert!(
        (after - before).abs() <= 1e-9 * before,
        "{before} became {after}"
    );
}
