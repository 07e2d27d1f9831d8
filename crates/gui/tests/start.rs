//! The ways to begin: a line from ten answers, and drag-out from a measurement.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use dragback_gui::command::{Choice, Command};
use dragback_gui::document::Setting;
use dragback_gui::page::Page;
use dragback_gui::{App, State};
use dragback_properties::film::{MeasuredRise, RelativeUncertainty};
use dragback_scenario::{BATHS, Origin, QUESTIONS, get, load};
use dragback_units::{Dim, System};
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{has_text, opened, press as click, shown_answer, type_into, wait, window};

const FLOW: &str = "How much rinse water is fed?";
const VOLUME: &str = "How big is the bath?";
const STAGES: &str = "How many rinses follow, one feeding the other?";
const FILM: &str = "loop.work.drag_out.film";

fn text_of(harness: &Harness<'_, App>, path: &str) -> String {
    let document = opened(harness);
    get(&document.scenario, path)
        .unwrap()
        .text()
        .unwrap()
        .to_owned()
}

fn is_on_my_line(state: &State) -> bool {
    let document = state.document.as_ref();
    document.is_some_and(|d| d.origin.name == "my line") && state.results.figures_are_current()
}

#[test]
fn ten_answers_run_at_once_as_an_unsaved_line() {
    let mut harness = window();
    assert_eq!(harness.state().state().page, None, "it opens on the bench");
    click(&mut harness, "New line…");
    for question in &QUESTIONS {
        assert!(has_text(&harness, question.hint), "{}", question.ask);
        harness.get_by_role_and_label(Role::TextInput, question.ask);
    }
    assert!(has_text(&harness, "usual 500–10000 L") && has_text(&harness, "open: 3000 L is taken"));
    type_into(&mut harness, VOLUME, "2000");
    type_into(&mut harness, FLOW, "30 gal/h");
    type_into(&mut harness, STAGES, "4");
    assert!(has_text(&harness, "3 answered, 7 open"));
    click(&mut harness, "Run this line");
    wait(&mut harness, is_on_my_line);
    assert_eq!(text_of(&harness, "loop.bath.tank.volume"), "2000 L");
    assert_eq!(text_of(&harness, "loop.sections.rinses.flow"), "30 gal/h");
    assert_eq!(text_of(&harness, "loop.sections.rinses.stages"), "4");
    let state = harness.state().state();
    let document = state.document.as_ref().unwrap();
    assert!(document.is_dirty() && document.is_new() && !document.title().is_empty());
    assert_eq!((state.page, document.origin.path.as_ref()), (None, None));
    assert!(shown_answer(&harness).final_rinse.film_mg_per_l > 0.0);
    // What would be saved is what runs.
    let again = load(&document.text()).0.unwrap();
    assert_eq!(again, *document.scenario);
    // Undone changes do not make it saved.
    harness.state_mut().ask(Command::OpenDemo);
    harness.run_steps(2);
    assert!(has_text(&harness, "is in no file yet"));
    harness.state_mut().ask(Command::Answer(Choice::Cancel));
    assert!(is_on_my_line(harness.state().state()));
}

#[test]
fn what_is_wrong_stands_beside_its_field_and_keeps_the_button_shut() {
    let mut harness = window();
    click(&mut harness, "New line…");
    for (answer, told) in [
        ("5", "outside of 50–60000 L"),
        ("5 kg", "or leave it open"),
        ("much", "or leave it open"),
    ] {
        type_into(&mut harness, VOLUME, answer);
        assert!(has_text(&harness, told), "{answer}");
        assert!(has_text(&harness, "One answer cannot be taken"), "{answer}");
        let button = harness.get_by_role_and_label(Role::Button, "Run this line");
        assert!(button.accesskit_node().is_disabled(), "{answer}");
        let problem = harness.get_by_label_contains(told).rect();
        let field = harness
            .get_by_role_and_label(Role::TextInput, VOLUME)
            .rect();
        assert!(
            (problem.center().y - field.center().y).abs() < 40.0 && problem.left() > field.right()
        );
    }
    type_into(&mut harness, STAGES, "2.5");
    assert!(has_text(&harness, "2 answers cannot be taken"));
    click(&mut harness, "Leave all open");
    assert!(has_text(&harness, "0 answered, 10 open"));
}

/// A number typed while litres are shown stays litres.
#[test]
fn an_answer_keeps_its_meaning_when_the_units_change() {
    let mut harness = window();
    click(&mut harness, "New line…");
    type_into(&mut harness, VOLUME, "2000");
    harness.state_mut().ask(Command::SetSystem(System::Us));
    harness.run_steps(3);
    assert!(has_text(&harness, "taken as written, that is 528 gal"));
    assert!(has_text(&harness, "usual 132–2640 gal"));
    type_into(&mut harness, "How warm is the room?", "75");
    click(&mut harness, "Run this line");
    wait(&mut harness, is_on_my_line);
    assert_eq!(text_of(&harness, "loop.bath.tank.volume"), "2000 L");
    assert_eq!(text_of(&harness, "site.room.all.temperature"), "75 °F");
}

#[test]
fn the_kind_of_bath_is_chosen_and_unsaved_changes_are_asked_about() {
    let mut harness = window();
    harness.state_mut().ask(Command::SetLever {
        path: FILM.to_owned(),
        setting: Setting::Text("0.2 L/m²".to_owned()),
    });
    click(&mut harness, "New line…");
    harness
        .get_by_role_and_label(Role::ComboBox, "Kind of bath")
        .click();
    harness.run_steps(4);
    harness.get_by_label(BATHS[1].name).click();
    harness.run_steps(4);
    click(&mut harness, "Run this line");
    assert!(has_text(
        &harness,
        "Save the changes before a new line begins?"
    ));
    click(&mut harness, "Cancel");
    assert_eq!(harness.state().state().page, Some(Page::Line));
    assert_eq!(text_of(&harness, FILM), "0.2 L/m²");
    click(&mut harness, "Run this line");
    click(&mut harness, "Go on without saving");
    wait(&mut harness, is_on_my_line);
    let document = opened(&harness);
    let lead = document
        .scenario
        .loops
        .iter()
        .next()
        .unwrap()
        .1
        .lead
        .clone();
    assert_eq!(lead, BATHS[1].lead);
}

#[test]
fn the_ways_to_begin_are_three() {
    let mut harness = window();
    click(&mut harness, "File");
    click(&mut harness, "Start…");
    harness.get_by_role_and_label(Role::Button, "Open a file…");
    click(&mut harness, "My line in ten answers");
    assert_eq!(harness.state().state().page, Some(Page::Line));
    harness.key_press(egui::Key::Escape);
    harness.run_steps(3);
    assert_eq!(harness.state().state().page, None);
    harness
        .state_mut()
        .ask(Command::ShowPage(Some(Page::Start)));
    harness.run_steps(2);
    click(&mut harness, "The demo line");
    assert_eq!(harness.state().state().page, None);
}

/// A shut rinse: the figure is that of the film correlation, and the lever takes it with its range, in one step of undo.
#[test]
fn a_shut_rinse_sets_the_lever_as_measured() {
    let mut harness = window();
    let before = shown_answer(&harness);
    harness.get_by_label("Measure drag-out…").click();
    harness.run_steps(3);
    click(&mut harness, "Shut rinse");
    for (field, text) in [
        ("Liquid in the rinse", "400 L"),
        ("Rinse before the first rack", "200 mg/L"),
        ("Rinse after the last rack", "900"),
        ("Strength of the bath", "75 g/L"),
        ("Racks", "20"),
    ] {
        assert!(
            harness
                .query_by_role_and_label(Role::Button, "Set the lever")
                .is_none()
        );
        type_into(&mut harness, field, text);
    }
    assert!(has_text(
        &harness,
        "With the area of a rack it can set the lever."
    ));
    type_into(&mut harness, "Area of a rack", "1.2");
    let rise = MeasuredRise {
        tank_m3: 0.4,
        start_kg_per_m3: 0.2,
        rise_kg_per_m3: 0.7,
        bath_kg_per_m3: 75.0,
        loads: 20.0,
    };
    let within = RelativeUncertainty {
        rise: 0.05 * 0.9_f64.hypot(0.2) / 0.7,
        ..RelativeUncertainty::default()
    };
    let found = rise.drag_out(&within).unwrap();
    assert!(has_text(
        &harness,
        &format!("known within {}", found.known_within())
    ));
    click(&mut harness, "Set the lever");
    wait(&mut harness, |s| {
        s.page.is_none() && s.results.figures_are_current()
    });
    let document = opened(&harness);
    let film = get(&document.scenario, FILM).unwrap();
    // It is written to four digits.
    let near = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-3, "{a} and {b}");
    near(film.si().unwrap(), found.m3_per_load / 1.2);
    near(film.leaf.spread.low.unwrap(), found.low_m3_per_load / 1.2);
    near(film.leaf.spread.high.unwrap(), found.high_m3_per_load / 1.2);
    assert_eq!(film.leaf.origin, Some(Origin::Measured));
    let after = shown_answer(&harness);
    let grown = after.drag_out_l_per_h / before.drag_out_l_per_h;
    let lever = Dim::Film.parse(&demo_film()).unwrap();
    near(grown, film.si().unwrap() / lever);
    harness.state_mut().ask(Command::Undo);
    wait(&mut harness, |s| s.results.figures_are_current());
    assert_eq!(text_of(&harness, FILM), demo_film());
}

fn demo_film() -> String {
    let scenario = load(common::DEMO).0.unwrap();
    get(&scenario, FILM).unwrap().text().unwrap().to_owned()
}

#[test]
fn a_bucket_gives_volume_over_racks_and_bad_readings_are_told() {
    let mut harness = window();
    harness
        .state_mut()
        .ask(Command::ShowPage(Some(Page::DragOut)));
    harness.run_steps(3);
    type_into(&mut harness, "Liquid in the rinse", "0 L");
    assert!(has_text(&harness, "It must be above 0."));
    type_into(&mut harness, "Liquid in the rinse", "400");
    for (field, text) in [
        ("Rinse after the last rack", "80 g/L"),
        ("Strength of the bath", "75"),
        ("Racks", "20"),
    ] {
        type_into(&mut harness, field, text);
    }
    assert!(has_text(&harness, "a rinse stays below its bath"));
    click(&mut harness, "Bucket test");
    type_into(&mut harness, "Volume caught", "3 L");
    type_into(&mut harness, "Volume caught is known within", "10");
    assert!(has_text(&harness, "0.15 L") && has_text(&harness, "known within ± 10.0 %"));
    type_into(&mut harness, "Volume caught is known within", "200 %");
    assert!(has_text(&harness, "Give 0 to 100 %."));
    assert!(!has_text(&harness, "known within ± 10.0 %"));
}
