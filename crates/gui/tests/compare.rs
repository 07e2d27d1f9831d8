//! Variants in the window: kept, renamed, deleted, taken up, read from a file; the sheet that sets them side by side.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use std::sync::Arc;

use dragback_gui::App;
use dragback_gui::command::{Choice, Command, NameFor, VariantCommand};
use dragback_gui::document::{Document, Origin, Setting};
use dragback_gui::export::Export;
use dragback_gui::prefs::Shown;
use dragback_gui::results::Standing;
use dragback_scenario::MAX_VARIANTS;
use dragback_units::System;
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{
    TempFile, choose, click, has_text, opened, press, set_lever, shown_answer, texts, type_into,
    wait, window,
};

type Window = Harness<'static, App>;

const FLOW: &str = "loop.sections.rinses.flow";
const KEEP: &str = "Keep as a variant…";
const NAME: &str = "Name of the variant";

fn ask(window: &mut Window, command: VariantCommand) {
    window.state_mut().ask(Command::Variant(command));
    window.run_steps(3);
}

fn keep(window: &mut Window, name: &str) {
    ask(window, VariantCommand::AskName(NameFor::Keep));
    ask(window, VariantCommand::TakeName(name.to_owned()));
}

fn flow(window: &mut Window, text: &str) {
    set_lever(window, FLOW, Setting::Text(text.to_owned()));
}

fn names(window: &Window) -> Vec<String> {
    let all = opened(window).variants().iter();
    all.map(|(name, _)| name.to_owned()).collect()
}

/// Waits until something is known of every variant.
fn known(window: &mut Window) {
    wait(window, |s| {
        let document = s.document.as_ref().unwrap();
        let mut all = document.variants().iter();
        all.all(|(_, line)| s.variants.get(line, &document.loop_key).is_some())
    });
    window.run_steps(3);
}

/// The demo with two variants, all of them out.
fn compared() -> Window {
    let mut window = window();
    keep(&mut window, "as it is");
    flow(&mut window, "60 L/h");
    keep(&mut window, "less water");
    flow(&mut window, "120 L/h");
    window.state_mut().ask(Command::Show(Shown::Compare));
    known(&mut window);
    window
}

/// What a row of the sheet says.
fn row(window: &Window, name: &str) -> String {
    let head = format!("{name}: ");
    let all = texts(window);
    let found = all
        .iter()
        .find(|t| t.starts_with(&head) && t.contains("The line "));
    found.cloned().unwrap_or_else(|| panic!("{name}: {all:?}"))
}

#[test]
fn a_line_is_kept_under_a_name_that_is_proposed() {
    let mut window = window();
    window.key_press_modifiers(Modifiers::COMMAND, Key::K);
    window.run_steps(3);
    assert!(has_text(&window, "No variants yet"));
    flow(&mut window, "60 L/h");
    click(&mut window, "Keep the line as a variant…");
    let field = window.get_by_role_and_label(Role::TextInput, NAME);
    assert_eq!(
        field.accesskit_node().value().as_deref(),
        Some("Rinse rate 60 L/h")
    );
    type_into(&mut window, NAME, "less water");
    assert_eq!(names(&window), ["less water"]);
    assert!(has_text(&window, "“less water” stands among the variants."));
    // The same name again is refused where it is typed.
    press(&mut window, KEEP);
    type_into(&mut window, NAME, "less water");
    assert!(
        has_text(&window, "is the name of another variant"),
        "{:?}",
        texts(&window)
    );
    window.key_press(Key::Escape);
    window.run_steps(3);
    assert_eq!(names(&window), ["less water"]);
    // Undo and redo by their keys.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run_steps(3);
    assert!(names(&window).is_empty());
    window.key_press_modifiers(Modifiers::COMMAND, Key::Y);
    window.run_steps(3);
    assert_eq!(names(&window), ["less water"]);
    window.key_press_modifiers(Modifiers::COMMAND, Key::K);
    window.run_steps(3);
    assert!(!has_text(&window, "Inputs that differ"));
}

/// Each column holds the settled week of its own line, and differences are from the line that is chosen.
#[test]
fn figures_stand_side_by_side_with_their_differences() {
    let mut window = compared();
    let film = |text: &str| -> f64 {
        let mut elsewhere = common::window();
        flow(&mut elsewhere, text);
        wait(&mut elsewhere, |s| s.results.full_is_current());
        shown_answer(&elsewhere).final_rinse.film_mg_per_l
    };
    let told = |value: f64| format!("{}\u{a0}mg/L", dragback_gui::number::three(value, 4));
    let (line, kept, less) = (film("120 L/h"), film("95 L/h"), film("60 L/h"));
    let found = row(&window, "Film on the work");
    for part in [
        format!("The line {}", told(line)),
        format!("as it is {}, +{}", told(kept), told(kept - line)),
        format!("less water {}, +{}", told(less), told(less - line)),
    ] {
        assert!(found.contains(&part), "{part} in {found}");
    }
    ask(
        &mut window,
        VariantCommand::Against(Some("less water".to_owned())),
    );
    let found = row(&window, "Film on the work");
    let part = format!("as it is {}, −{}", told(kept), told(less - kept));
    assert!(found.contains(&part), "{part} in {found}");
    let list = "Line that all are compared with";
    choose(&mut window, list, "The line");
    assert!(row(&window, "Film on the work").contains("as it is"));
    assert_eq!(window.state().state().against, None);
    // Which inputs differ, in the units shown.
    let found = row(&window, "Rinses: rinses, flow");
    assert!(
        found.contains("The line 120\u{a0}L/h; as it is 95.0\u{a0}L/h; less water 60.0\u{a0}L/h"),
        "{found}"
    );
    window.state_mut().ask(Command::SetSystem(System::Us));
    window.run_steps(3);
    assert!(row(&window, "Rinses: rinses, flow").contains("25.1\u{a0}gal/h"));
    assert!(
        row(&window, "Payback").contains("at once")
            || row(&window, "Payback").contains("costs more")
    );
}

/// A lever of the line moves its own column alone: nothing of a variant is worked out anew.
#[test]
fn variants_are_worked_out_once() {
    let mut window = compared();
    let known_of = |window: &Window| -> Vec<*const ()> {
        let state = window.state().state();
        let document = state.document.as_ref().unwrap();
        let each = document.variants().iter().map(|(_, line)| {
            let found = state.variants.get(line, &document.loop_key).unwrap();
            let answers = found.outcome.as_ref().unwrap();
            Arc::as_ptr(&answers.figures).cast()
        });
        each.collect()
    };
    let before = (known_of(&window), row(&window, "Film on the work"));
    let number = window.state().state().variants.number;
    flow(&mut window, "80 L/h");
    window.run_steps(3);
    let after = (known_of(&window), row(&window, "Film on the work"));
    assert_eq!(before.0, after.0);
    assert_ne!(before.1, after.1);
    assert_eq!(
        window.state().state().variants.number,
        number,
        "nothing is asked"
    );
    // A price counts at once, and only in the line itself.
    let cost = row(&window, "Running cost a year");
    window.state_mut().ask(Command::SetLever {
        path: "prices.electricity.rate".to_owned(),
        setting: Setting::Text("0.4 EUR/kWh".to_owned()),
    });
    window.run_steps(2);
    let dearer = row(&window, "Running cost a year");
    assert_ne!(cost, dearer);
    assert!(
        row(&window, "Prices: electricity, rate").contains("0.400\u{a0}EUR/kWh"),
        "{:?}",
        texts(&window)
    );
}

#[test]
fn a_variant_becomes_the_line_and_the_old_one_can_stay() {
    let mut window = compared();
    click(&mut window, "What to do with less water");
    click(&mut window, "Make it the line");
    assert!(
        has_text(&window, "Keep the line as it stands, too?"),
        "{:?}",
        texts(&window)
    );
    press(&mut window, "Keep both");
    assert_eq!(names(&window), ["as it is", "Rinse rate 120 L/h"]);
    let text = |w: &Window| opened(w).lever(FLOW).unwrap().text.clone();
    assert_eq!(text(&window), "60 L/h");
    wait(&mut window, |s| s.results.figures_are_current());
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run_steps(3);
    assert_eq!(
        (text(&window).as_str(), names(&window).len()),
        ("120 L/h", 2)
    );
    // Let go, and stay as it is.
    ask(&mut window, VariantCommand::TakeUp("as it is".to_owned()));
    window.state_mut().ask(Command::Answer(Choice::Cancel));
    window.run_steps(2);
    assert_eq!(text(&window), "120 L/h");
    ask(&mut window, VariantCommand::TakeUp("as it is".to_owned()));
    window.state_mut().ask(Command::Answer(Choice::Discard));
    window.run_steps(2);
    assert_eq!(
        (text(&window).as_str(), names(&window)),
        ("95 L/h", vec!["less water".to_owned()])
    );
    // A line that is kept already is not asked about.
    keep(&mut window, "again");
    ask(&mut window, VariantCommand::TakeUp("less water".to_owned()));
    assert!(window.state().state().question.is_none());
    assert_eq!(
        (text(&window).as_str(), names(&window)),
        ("60 L/h", vec!["again".to_owned()])
    );
}

#[test]
fn a_variant_is_renamed_and_deleted() {
    let mut window = compared();
    ask(
        &mut window,
        VariantCommand::Against(Some("less water".to_owned())),
    );
    click(&mut window, "What to do with less water");
    click(&mut window, "Rename…");
    type_into(&mut window, NAME, "60 litres");
    assert_eq!(names(&window), ["as it is", "60 litres"]);
    assert_eq!(window.state().state().against.as_deref(), Some("60 litres"));
    click(&mut window, "What to do with 60 litres");
    click(&mut window, "Delete");
    assert_eq!(names(&window), ["as it is"]);
    assert!(has_text(&window, "Undo brings it back"));
    // What is compared with is gone: the line stands for it.
    assert!(row(&window, "Film on the work").contains("The line"));
}

/// A line from a file becomes a variant; one that lacks a tower is told so, and one that cannot be read is listed.
#[test]
fn a_line_of_a_file_becomes_a_variant() {
    let mut window = window();
    let before = include_str!("../../../scenarios/demo-before.ron");
    let file = TempFile::new("before-variant.ron", before);
    ask(&mut window, VariantCommand::File(file.0.clone()));
    wait(&mut window, |s| s.naming.is_some());
    type_into(&mut window, NAME, "before");
    window.state_mut().ask(Command::Show(Shown::Compare));
    known(&mut window);
    assert!(
        row(&window, "Holding tank").contains("The line there; before not there"),
        "{:?}",
        texts(&window)
    );
    // Payback is told from the line that is chosen.
    ask(
        &mut window,
        VariantCommand::Against(Some("before".to_owned())),
    );
    let found = row(&window, "Payback");
    assert!(found.contains(" years"), "{found}");
    let broken = TempFile::new(
        "broken-variant.ron",
        &before.replacen("\"150 L/h\"", "\"150 °C\"", 1),
    );
    ask(&mut window, VariantCommand::File(broken.0.clone()));
    wait(&mut window, |s| s.problems.is_some());
    assert!(has_text(&window, "was not opened"));
}

/// One curve of each line, over one another; those that a variant has not are not drawn.
#[test]
fn a_curve_of_each_line_is_laid_over_the_others() {
    let mut window = compared();
    wait(&mut window, |s| s.results.standing() == Standing::Exact);
    let said = |window: &Window| -> String {
        let is_plot = |n: &egui_kittest::kittest::AccessKitNode<'_>| n.role() == Role::Canvas;
        let all = window.root().query_all_by(is_plot);
        let found = all.filter_map(|n| n.accesskit_node().description());
        found.collect::<Vec<_>>().join("\n")
    };
    let film = said(&window);
    let week = shown_answer(&window).final_rinse.film_mg_per_l;
    let number = |name: &str| -> f64 {
        let rest = film
            .split(&format!("{name}: "))
            .nth(1)
            .unwrap_or_else(|| panic!("{name}: {film}"));
        rest.split('\u{a0}').next().unwrap().parse().unwrap()
    };
    // Ninety days on the line has all but settled.
    assert!(
        (number("The line") / week - 1.0).abs() < 0.03,
        "{film} {week}"
    );
    assert!(
        number("less water") > number("as it is") && number("as it is") > number("The line"),
        "{film}"
    );
    choose(&mut window, "Curve of each line", "Levels: holding tank");
    let level = said(&window);
    assert!(
        level.contains("less water") && level.contains('m') && level != film,
        "{level}"
    );
}

#[test]
fn the_file_keeps_them_and_the_comparison_is_written() {
    let mut window = compared();
    let file = TempFile::new("kept-variants.ron", "");
    std::fs::remove_file(&file.0).unwrap();
    window.state_mut().ask(Command::SaveTo(file.0.clone()));
    window.run_steps(2);
    let text = std::fs::read_to_string(&file.0).unwrap();
    let back = Document::read(&text, Origin::default(), 9).unwrap();
    assert_eq!(back.scenario, opened(&window).scenario);
    assert!(!common::is_dirty(&window));
    let table = TempFile::new("comparison.csv", "");
    window
        .state_mut()
        .ask(Command::ExportTo(Export::Comparison, table.0.clone()));
    wait(&mut window, |s| s.opening.is_none());
    let text = std::fs::read_to_string(&table.0).unwrap();
    let head = text.lines().next().unwrap();
    assert_eq!(
        head,
        "what,path,unit,the line,as it is,less water,as it is less the line,less water less the line"
    );
    let film = text
        .lines()
        .find(|l| l.starts_with("film on the work"))
        .unwrap();
    let cells: Vec<f64> = film
        .split(',')
        .skip(3)
        .map(|c| c.parse().unwrap())
        .collect();
    assert!((cells[3] - (cells[1] - cells[0])).abs() < 1e-6, "{film}");
    assert!(
        text.contains(&format!("input,{FLOW},,120 L/h,95 L/h,60 L/h")),
        "{text}"
    );
    assert!(text.contains("running cost,,EUR/year,"), "{text}");
}

/// Those for which there is no room can be paged to.
#[test]
fn all_of_many_variants_can_be_seen() {
    let mut window = window();
    for i in 0..12 {
        keep(&mut window, &format!("number {i}"));
    }
    window.state_mut().ask(Command::Show(Shown::Compare));
    known(&mut window);
    assert!(has_text(&window, "of 12 variants"), "{:?}", texts(&window));
    assert!(!has_text(&window, "What to do with number 11"));
    for _ in 0..12 {
        if window
            .get_by_label("Later variants")
            .accesskit_node()
            .is_disabled()
        {
            break;
        }
        click(&mut window, "Later variants");
    }
    assert!(has_text(&window, "What to do with number 11"));
    click(&mut window, "Earlier variants");
}

#[test]
fn there_is_an_end_to_variants() {
    let mut window = window();
    for i in 0..MAX_VARIANTS {
        keep(&mut window, &format!("number {i}"));
    }
    window.state_mut().ask(Command::Show(Shown::Compare));
    window.run_steps(2);
    let button = window.get_by_role_and_label(Role::Button, KEEP);
    assert!(button.accesskit_node().is_disabled());
    ask(&mut window, VariantCommand::AskName(NameFor::Keep));
    ask(&mut window, VariantCommand::TakeName("one more".to_owned()));
    let told = format!("There are {MAX_VARIANTS} variants already");
    assert!(has_text(&window, &told), "{:?}", texts(&window));
}

/// The field that asks for a name holds a proposal; what is typed takes its place.
#[test]
fn a_name_that_is_typed_replaces_the_proposed_one() {
    let mut window = window();
    flow(&mut window, "60 L/h");
    ask(&mut window, VariantCommand::AskName(NameFor::Keep));
    window.event(egui::Event::Text("less water".to_owned()));
    window.run_steps(1);
    window.key_press(egui::Key::Enter);
    window.run_steps(3);
    assert_eq!(names(&window), ["less water"]);
}
