//! What holds in every view: each control has a name, each figure means the same in either system of units, and the keyboard alone is enough.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop where a value is missing"
)]

mod common;

use std::collections::BTreeMap;

use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::page::Page;
use dragback_gui::results::Standing;
use dragback_gui::{App, Options};
use dragback_units::{Dim, System, Unit};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{
    DEMO, GROUPS, has_text, opened, options, shown_answer, texts, wait, window, window_with,
};

type Window = Harness<'static, App>;

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
        if node.label().is_none_or(|l| l.trim().is_empty()) {
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
        });
    let (found, count) = nameless(&harness);
    assert_eq!((found.len(), count), (2, 3), "{found:?}");
}

#[test]
fn every_control_has_a_name() {
    let mut harness = window();
    harness.set_size(egui::vec2(1920.0, 1400.0));
    harness.run_steps(3);
    let mut views: Vec<(&str, Vec<String>, usize)> = Vec::new();
    let mut look = |harness: &Window, view| {
        let (found, count) = nameless(harness);
        views.push((view, found, count));
    };
    look(&harness, "the bench");
    for group in GROUPS {
        harness.get_by_label(group).click();
        harness.run_steps(6);
        look(&harness, group);
        harness.get_by_label(group).click();
        harness.run_steps(6);
    }
    for view in ["Settled answers", "Ledger", "Events"] {
        harness.get_by_label(view).click();
        harness.run_steps(6);
        look(&harness, view);
    }
    for menu in ["File", "View", "Help"] {
        harness.get_by_label(menu).click();
        harness.run_steps(4);
        look(&harness, menu);
        harness.key_press(Key::Escape);
        harness.run_steps(4);
    }
    for (page, name) in [(Page::Line, "ten answers"), (Page::DragOut, "drag-out")] {
        let state = harness.state_mut();
        state.ask(Command::ShowPage(Some(page)));
        harness.run_steps(4);
        look(&harness, name);
    }
    for (view, found, count) in &views {
        assert!(*count >= 10, "{view}: only {count} controls were found");
        assert!(
            found.is_empty(),
            "{view}: without a name\n{}",
            found.join("\n")
        );
    }
}

/// A number with its unit, as it stands in a text.
#[derive(Debug, Clone)]
struct Amount {
    text: String,
    value: f64,
    /// Half of the last digit shown.
    half: f64,
    units: Vec<(Dim, &'static Unit)>,
}

/// Every dimension that knows a unit, with that unit.
fn units_called(word: &str) -> Vec<(Dim, &'static Unit)> {
    if word.trim().is_empty() {
        return Vec::new();
    }
    let all = Dim::ALL.iter();
    all.filter_map(|&d| d.find_unit(word).map(|u| (d, u)))
        .collect()
}

/// Splits a text into what frames its amounts, and the amounts. Units in the frame, as in the titles of plots, are all the same to it.
fn amounts(text: &str) -> (String, Vec<Amount>) {
    let text = text
        .replace(" a day", "/d")
        .replace(" a week", "/week")
        .replace('−', "-");
    let mut frame = String::new();
    let mut found: Vec<Amount> = Vec::new();
    let words: Vec<&str> = text.split_whitespace().collect();
    let trimmed = |at: usize| {
        let word = words.get(at).copied().unwrap_or_default();
        word.trim_end_matches([',', ';', '.', ':', ')'])
    };
    let mut at = 0;
    while at < words.len() {
        let signed = words[at];
        let number = signed.trim_start_matches('+');
        if let Ok(value) = number.parse::<f64>()
            && number.contains(|c: char| c.is_ascii_digit())
        {
            // Some units are two words.
            let two = format!("{} {}", trimmed(at + 1), trimmed(at + 2));
            let (mut units, mut taken) = (units_called(&two), 3);
            if units.is_empty() || trimmed(at + 2).is_empty() {
                (units, taken) = (units_called(trimmed(at + 1)), 2);
            }
            // A number with a sign but no unit is in that of the one before.
            let is_signed = signed.starts_with(['+', '-']);
            if let (true, true, Some(before)) = (units.is_empty(), is_signed, found.last()) {
                (units, taken) = (before.units.clone(), 1);
            }
            if !units.is_empty() {
                found.push(Amount {
                    text: words[at..at + taken].join(" "),
                    value,
                    half: half_of_last_digit(number),
                    units,
                });
                frame.push_str(" #");
                at += taken;
                continue;
            }
        }
        let is_unit = frame.ends_with(',') && !units_called(trimmed(at)).is_empty();
        frame.push(' ');
        frame.push_str(if is_unit { "§" } else { words[at] });
        at += 1;
    }
    (frame, found)
}

fn half_of_last_digit(number: &str) -> f64 {
    if let Some((_, decimals)) = number.split_once('.') {
        return 0.5 * 10.0_f64.powi(-i32::try_from(decimals.len()).unwrap());
    }
    // Three digits are shown: zeros at the end of a longer number may stand for anything.
    let digits = i32::try_from(number.trim_start_matches('-').len()).unwrap();
    0.5 * 10.0_f64.powi((digits - 3).max(0))
}

/// All amounts of the window by the words around them.
fn amounts_by_frame(harness: &Window) -> BTreeMap<String, Vec<Vec<Amount>>> {
    let mut all: BTreeMap<String, Vec<Vec<Amount>>> = BTreeMap::new();
    for text in texts(harness) {
        let (frame, found) = amounts(&text);
        // A number alone could be any tick of an axis.
        if !found.is_empty() && frame.trim_matches([' ', '#']).len() > 2 {
            all.entry(frame).or_default().push(found);
        }
    }
    all
}

/// Whether two amounts can be the same within the digits shown, in some dimension that has both units.
fn agree(a: &Amount, b: &Amount) -> bool {
    a.units.iter().any(|(dim, unit)| {
        b.units
            .iter()
            .filter(|(other, _)| other == dim)
            .any(|(_, of_b)| {
                let interval = |x: &Amount, u: &Unit| {
                    let ends = [
                        u.to_si(x.value - 1.01 * x.half),
                        u.to_si(x.value + 1.01 * x.half),
                    ];
                    (ends[0].min(ends[1]), ends[0].max(ends[1]))
                };
                let (a, b) = (interval(a, unit), interval(b, of_b));
                a.0 <= b.1 && b.0 <= a.1
            })
    })
}

#[test]
fn amounts_are_the_same_only_within_the_digits_shown() {
    let one = |text: &str| amounts(text).1.remove(0);
    // 1 US gallon is 3.785 412 L; 0 °C is 32 °F (NIST SP 811, tables B.8 and B.11).
    assert!(agree(&one("feed 95.0 L/h"), &one("feed 25.1 gal/h")));
    assert!(!agree(&one("feed 95.0 L/h"), &one("feed 25.2 gal/h")));
    assert!(!agree(&one("feed 95.0 L/h"), &one("feed 25.1 gal")));
    let second = |text: &str| amounts(text).1.remove(1);
    let (a, b) = ("+10.2 L/h in shift −38.6", "+2.69 gal/h in shift −10.2");
    assert!(agree(&second(a), &second(b)) && !agree(&second(a), &one(b)));
    assert!(agree(&one("holds 58.0 °C,"), &one("holds 136 °F,")));
    assert!(!agree(&one("holds 58.0 °C,"), &one("holds 138 °F,")));
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
        let (mut converted, mut frames, mut missing) = (0, 0, Vec::new());
        for _ in 0..rounds {
            move_levers(&mut harness, &mut draw);
            harness.state_mut().ask(Command::SetSystem(System::Metric));
            harness.run_steps(4);
            let metric = amounts_by_frame(&harness);
            harness.state_mut().ask(Command::SetSystem(System::Us));
            harness.run_steps(4);
            let us = amounts_by_frame(&harness);
            frames += metric.len();
            for (frame, theirs) in &metric {
                let Some(ours) = us.get(frame) else {
                    missing.push(frame.clone());
                    continue;
                };
                let (theirs, ours) = (theirs.concat(), ours.concat());
                assert_eq!(theirs.len(), ours.len(), "{name}: {frame}");
                for (a, b) in theirs.iter().zip(&ours) {
                    assert!(agree(a, b), "{name}: {frame}: {} became {}", a.text, b.text);
                    converted += usize::from(a.text != b.text);
                }
            }
        }
        println!(
            "{name}: {converted} converted, {} of {frames} frames missing",
            missing.len()
        );
        // A frame is missing where the words themselves change with the units.
        assert!(
            10 * missing.len() <= frames,
            "{name}: {} of {frames} frames have no counterpart: {missing:#?}",
            missing.len()
        );
        assert!(
            converted > least,
            "{name}: only {converted} numbers were converted"
        );
    }
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
