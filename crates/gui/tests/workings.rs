//! Each key figure can be asked where it comes from: its formula with the present numbers makes the figure.

mod common;

use std::path::Path;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::workings::Formula;
use dragback_units::System;
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{figures, has_text, wait, window};

/// The window on a shipped scenario, with its settled answer.
fn on(name: &str) -> Harness<'static, App> {
    let mut harness = window();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    let file = path.join(name);
    harness.state_mut().ask(Command::OpenPath(file));
    wait(&mut harness, |s| {
        let document = s.document.as_ref();
        document.is_some_and(|d| d.origin.name == name) && s.results.figures_are_current()
    });
    harness
}

/// Hand derivation: a sum, a difference or a quotient of numbers that stand elsewhere in the same answer.
#[test]
fn the_terms_make_the_figure() {
    let near = |a: f64, b: f64, within: f64| (a - b).abs() <= within * b.abs();
    let mut formulas = 0;
    for name in [
        "demo.ron",
        "demo-before.ron",
        "chromium.ron",
        "zinc-barrel.ron",
        "warm-bath.ron",
        "teaching.ron",
    ] {
        let harness = on(name);
        let figures = figures(&harness);
        let line = figures.line().unwrap();
        let counted = harness.state().state().prefs.counted;
        let lead = counted.told(&figures.answers.solutes, &line.final_rinse.species);
        let value = |formula: Formula| {
            let workings = formula.of(line, &lead, System::Metric);
            workings.map(|w| (w.value(), w.words()))
        };
        let lost = line.lost_kg_per_day[&line.final_rinse.species];
        let week = line.closure_margin_l_per_h.as_ref().map(|m| m.week);
        let duty = figures
            .heaters_w()
            .map(|rated_w| (Formula::Duty { rated_w }, line.heater_duty));
        let all = [
            Some((Formula::Lost, lost)),
            Some((Formula::FinalRinse, line.final_rinse.film_mg_per_l)),
            Some((Formula::Dilution, line.final_rinse.dilution_ratio)),
            week.map(|week| (Formula::Margin, week)),
            line.thermostat_c
                .and(line.evaporation_temperature_c)
                .map(|c| (Formula::Temperature, c)),
            duty,
        ];
        for (formula, told) in all.into_iter().flatten() {
            let (made, words) = value(formula).unwrap();
            // Ways of less than a millionth are no terms.
            assert!(
                near(made, told, 1e-5),
                "{name}: {words} = {made}, not {told}"
            );
            formulas += 1;
        }
    }
    assert!(formulas >= 27, "{formulas}");
}

#[test]
fn a_figure_that_is_pressed_shows_its_formula_by_pointer_and_by_key() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.full_is_current());
    for (figure, formula) in [
        ("Nickel lost for good:", "= on the work + up the stack"),
        (
            "Final rinse at work:",
            "= Nickel that leaves on the work ÷ film that leaves",
        ),
        ("Closure margin:", "= what could evaporate − what runs in"),
        (
            "Tank temperature:",
            "= what the thermostat keeps − what is missing",
        ),
        ("Time to settle:", "= the last day on which a strength"),
        (
            "Heater duty:",
            "= given while the evaporator works ÷ power installed",
        ),
    ] {
        assert!(!has_text(&harness, formula), "{formula}");
        let is_it = |n: &egui_kittest::Node<'_>| {
            let label = n.accesskit_node().label().unwrap_or_default();
            label.starts_with(figure)
        };
        let all = harness.query_all_by_role(Role::Button);
        let button = all.into_iter().find(|n| is_it(n)).unwrap();
        button.focus();
        harness.run_steps(2);
        harness.key_press(Key::Enter);
        harness.run_steps(4);
        assert!(has_text(&harness, formula), "{formula}");
        harness.key_press(Key::Escape);
        harness.run_steps(4);
        assert!(!has_text(&harness, formula), "{formula} stays");
    }
}

/// What is shown comes out for somebody who works it out by hand: the numbers of a difference are told to as many decimals as that takes.
#[test]
fn a_difference_comes_out_by_hand() {
    for name in ["demo.ron", "zinc-barrel.ron", "teaching.ron"] {
        let harness = on(name);
        let figures = figures(&harness);
        let line = figures.line().unwrap();
        let counted = harness.state().state().prefs.counted;
        let lead = counted.told(&figures.answers.solutes, &line.final_rinse.species);
        for system in [System::Metric, System::Us] {
            for formula in [Formula::Margin, Formula::Temperature] {
                let Some(workings) = formula.of(line, &lead, system) else {
                    continue;
                };
                let numbers = workings.numbers().replace('\u{a0}', " ").replace('−', "-");
                let words: Vec<&str> = numbers.split_whitespace().collect();
                let told: Vec<f64> = words.iter().filter_map(|w| w.parse().ok()).collect();
                let [a, b, c] = told[..] else {
                    panic!("{numbers}");
                };
                assert!((a - b - c).abs() < 1e-9, "{name}: {numbers}");
            }
        }
    }
}
