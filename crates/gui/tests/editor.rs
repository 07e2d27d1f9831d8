//! The editor: every part of a line is built and changed in the window, what is wrong stands beside its field, and the last line that could run stays.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use std::collections::BTreeSet;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::page::Page;
use dragback_gui::templates::TEMPLATES;
use dragback_scenario::{Spot, get};
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{TempFile, has_text, opened, press as click, shown_answer, type_into, wait, window};

const MAXIMAL: &str = include_str!("../../scenario/tests/data/maximal.ron");

fn text_of(harness: &Harness<'_, App>, path: &str) -> String {
    let parameter = get(&opened(harness).scenario, path).unwrap();
    parameter.text().unwrap().to_owned()
}

fn editor() -> Harness<'static, App> {
    let mut harness = window();
    harness.set_size(egui::vec2(1280.0, 3000.0));
    harness
        .get_by_role_and_label(Role::Button, "Edit the line…")
        .click();
    harness.run_steps(4);
    assert_eq!(harness.state().state().page, Some(Page::Editor));
    harness
}

fn open(harness: &mut Harness<'_, App>, chapter: &str) {
    click(harness, &format!("Chapter: {chapter}"));
}

fn choose(harness: &mut Harness<'_, App>, list: &str, word: &str) {
    // A list that was left open by an assistive tool closes first.
    for _ in 0..2 {
        if harness.query_all_by_label(word).next().is_none() {
            harness.get_by_role_and_label(Role::ComboBox, list).click();
            harness.run_steps(4);
        }
    }
    let words = harness.query_all_by_label(word);
    // A long list is scrolled; a word from an assistive tool reaches all of it.
    words.last().unwrap().click_accesskit();
    harness.run_steps(4);
}

fn settle(harness: &mut Harness<'_, App>) {
    wait(harness, |s| {
        s.results.figures_are_current() && s.results.full_is_current()
    });
}

#[test]
fn a_station_is_added_and_removed_and_the_run_follows() {
    let mut harness = editor();
    settle(&mut harness);
    let before = shown_answer(&harness).final_rinse.film_mg_per_l;
    open(&mut harness, "Route");
    click(&mut harness, "Add a rinse section");
    settle(&mut harness);
    assert_eq!(
        opened(&harness)
            .scenario
            .loops
            .get("loop")
            .unwrap()
            .route
            .len(),
        3
    );
    assert_eq!(
        opened(&harness).undo_name().as_deref(),
        Some("Add a rinse section")
    );
    // One more rinse, with water of its own, leaves a small part of what was left.
    let after = shown_answer(&harness).final_rinse.film_mg_per_l;
    assert!(after < 0.2 * before, "{before} {after}");
    open(&mut harness, "Rinse sections");
    click(&mut harness, "Remove: Sections, rinses-2");
    settle(&mut harness);
    let line = opened(&harness).scenario.loops.get("loop").unwrap().clone();
    assert_eq!((line.route.len(), line.sections.len()), (2, 1));
    assert!((shown_answer(&harness).final_rinse.film_mg_per_l / before - 1.0).abs() < 1e-9);
    for (visits, key) in [(3, egui::Key::Z), (2, egui::Key::Z), (3, egui::Key::Y)] {
        harness.key_press_modifiers(egui::Modifiers::COMMAND, key);
        harness.run_steps(3);
        let line = opened(&harness).scenario.loops.get("loop").unwrap();
        assert_eq!(line.route.len(), visits);
    }
    // So it is where the sections themselves are listed.
    open(&mut harness, "Rinse sections");
    click(&mut harness, "Remove: Sections, rinses-2");
    settle(&mut harness);
    click(&mut harness, "Add: Sections");
    settle(&mut harness);
    let line = opened(&harness).scenario.loops.get("loop").unwrap();
    let visits: Vec<&str> = line.route.iter().map(|v| v.at.as_str()).collect();
    assert_eq!(visits, ["bath", "rinses", "rinses-2"]);
    // A visit goes up before the bath and is taken away.
    open(&mut harness, "Route");
    click(&mut harness, "Up: Route, 3");
    let at = |h: &Harness<'_, App>, i: usize| {
        opened(h).scenario.loops.get("loop").unwrap().route[i]
            .at
            .clone()
    };
    assert_eq!(
        (at(&harness, 1), at(&harness, 2)),
        ("rinses-2".to_owned(), "rinses".to_owned())
    );
    choose(&mut harness, "Route, 2, at", "rinses/3");
    assert_eq!(at(&harness, 1), "rinses/3");
}

#[test]
fn elements_stages_and_a_station_key_are_changed() {
    let mut harness = editor();
    settle(&mut harness);
    let before = shown_answer(&harness);
    let count = |h: &Harness<'_, App>| {
        let line = opened(h).scenario.loops.get("loop").unwrap();
        line.holding_tank.as_ref().unwrap().elements.len()
    };
    let elements = count(&harness);
    open(&mut harness, "Holding tank");
    click(&mut harness, "Add: Holding tank, elements");
    settle(&mut harness);
    assert_eq!(count(&harness), elements + 1);
    assert!(has_text(
        &harness,
        &format!("{} heating elements", elements + 1)
    ));
    let more = shown_answer(&harness).heater_duty;
    assert!(
        more < before.heater_duty,
        "more heaters work a smaller share"
    );
    open(&mut harness, "Rinse sections");
    type_into(&mut harness, "Sections, rinses, stages", "4");
    settle(&mut harness);
    assert_eq!(text_of(&harness, "loop.sections.rinses.stages"), "4");
    let after = shown_answer(&harness).final_rinse.film_mg_per_l;
    assert!(after < 0.5 * before.final_rinse.film_mg_per_l);
    // A new key is followed by the route.
    type_into(&mut harness, "Key of Sections, rinses", "counterflow");
    settle(&mut harness);
    let line = opened(&harness).scenario.loops.get("loop").unwrap();
    assert_eq!(line.route[1].at, "counterflow");
    type_into(&mut harness, "Key of Sections, counterflow", "counter flow");
    assert!(has_text(&harness, "cannot be a key"));
}

#[test]
fn a_species_and_a_recipe_are_added() {
    let mut harness = editor();
    open(&mut harness, "Species");
    type_into(&mut harness, "Key of a new species: Species", "Wetter");
    settle(&mut harness);
    type_into(&mut harness, "Species, Wetter, molar mass", "290");
    assert_eq!(text_of(&harness, "species.Wetter.molar_mass"), "290 g/mol");
    open(&mut harness, "Bath");
    choose(&mut harness, "Add: Bath, recipe", "NaCl");
    type_into(&mut harness, "Bath, recipe, NaCl", "2");
    settle(&mut harness);
    assert_eq!(text_of(&harness, "loop.bath.recipe.NaCl"), "2 g/L");
    choose(&mut harness, "Add: Bath, contaminants", "Wetter");
    type_into(&mut harness, "Bath, contaminants, Wetter", "0.3 g/L");
    settle(&mut harness);
    assert_eq!(
        text_of(&harness, "loop.bath.contaminants.Wetter"),
        "0.3 g/L"
    );
    choose(
        &mut harness,
        "Origin: Bath, contaminants, Wetter",
        "measured",
    );
    click(&mut harness, "More: Bath, contaminants, Wetter");
    type_into(&mut harness, "Bath, contaminants, Wetter, low", "0.2");
    type_into(
        &mut harness,
        "Bath, contaminants, Wetter, notes",
        "by titration",
    );
    let parameter = get(&opened(&harness).scenario, "loop.bath.contaminants.Wetter").unwrap();
    assert_eq!(
        parameter.leaf.origin,
        Some(dragback_scenario::Origin::Measured)
    );
    assert_eq!(parameter.leaf.notes.as_deref(), Some("by titration"));
    assert!((parameter.leaf.spread.low.unwrap() - 0.2).abs() < 1e-12);
    click(&mut harness, "Remove: Bath, contaminants, Wetter");
    assert!(get(&opened(&harness).scenario, "loop.bath.contaminants.Wetter").is_err());
}

#[test]
fn a_calendar_and_a_month_are_changed() {
    let mut harness = editor();
    settle(&mut harness);
    let before = shown_answer(&harness);
    open(&mut harness, "Calendars");
    click(&mut harness, "Calendars, shifts: Sat");
    assert_eq!(text_of(&harness, "calendars.shifts.days"), "Mon-Sat");
    click(&mut harness, "Calendars, shifts: Wed");
    assert_eq!(
        text_of(&harness, "calendars.shifts.days"),
        "Mon, Tue, Thu-Sat"
    );
    click(&mut harness, "Calendars, shifts: Wed");
    settle(&mut harness);
    // Means over the week: six days carry out what five did, and a fifth more.
    let grown = shown_answer(&harness).drag_out_l_per_h / before.drag_out_l_per_h;
    assert!((grown - 1.2).abs() < 1e-6, "{grown}");
    click(&mut harness, "Add: Calendars, shifts, shutdowns");
    assert_eq!(
        opened(&harness)
            .scenario
            .calendars
            .get("shifts")
            .unwrap()
            .shutdowns
            .len(),
        1
    );
    open(&mut harness, "Air and site");
    type_into(&mut harness, "Site, room, Jul, temperature", "31");
    assert_eq!(text_of(&harness, "site.room.Jul.temperature"), "31 °C");
    assert_eq!(text_of(&harness, "site.room.Jun.temperature"), "25 °C");
    click(&mut harness, "Same all year: Site, room");
    assert_eq!(text_of(&harness, "site.room.all.temperature"), "18 °C");
    click(&mut harness, "Month by month: Site, room");
    assert_eq!(text_of(&harness, "site.room.Jul.temperature"), "18 °C");
}

#[test]
fn what_is_wrong_stands_beside_its_field_and_the_last_run_stays() {
    const FLOW: &str = "Sections, rinses, flow";
    let mut harness = editor();
    settle(&mut harness);
    let before = shown_answer(&harness);
    let scenario = std::sync::Arc::clone(&opened(&harness).scenario);
    open(&mut harness, "Rinse sections");
    // At once, while it is being typed.
    harness.get_by_role_and_label(Role::TextInput, FLOW).focus();
    harness.run_steps(2);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run_steps(1);
    harness
        .get_by_role_and_label(Role::TextInput, FLOW)
        .type_text("95 °C");
    harness.run_steps(3);
    let told = "is a temperature";
    let beside = |h: &Harness<'_, App>| {
        let field = h.get_by_role_and_label(Role::TextInput, FLOW).rect();
        let all = h.query_all_by_label_contains("°C");
        let found = all.filter(|n| {
            let at = n.rect();
            at.top() >= field.top()
                && at.top() - field.bottom() < 12.0
                && at.left() >= field.left() - 4.0
        });
        found.count()
    };
    assert!(beside(&harness) > 0, "{told}");
    harness.key_press(egui::Key::Enter);
    harness.run_steps(4);
    assert!(beside(&harness) > 0);
    assert_eq!(opened(&harness).scenario, scenario);
    assert_eq!(shown_answer(&harness), before);
    assert!(has_text(
        &harness,
        "Figures and curves are of the last line that could run"
    ));
    assert!(has_text(&harness, "Rinse sections (1 wrong)"));
    // On the bench the curves stay, and it is said of which line they are.
    harness.key_press(egui::Key::Escape);
    harness.run_steps(4);
    assert_eq!(harness.state().state().page, None);
    assert!(has_text(
        &harness,
        "The curves are of the last line that could run"
    ));
    assert!(harness.state().state().results.curves().is_some());
    // It is not saved with its fault.
    harness
        .state_mut()
        .ask(Command::SaveTo(std::env::temp_dir().join("never.ron")));
    harness.run_steps(2);
    assert!(has_text(&harness, "Not saved"));
    click(&mut harness, "Put it right…");
    assert_eq!(harness.state().state().page, Some(Page::Editor));
    type_into(&mut harness, FLOW, "96");
    settle(&mut harness);
    assert_eq!(text_of(&harness, "loop.sections.rinses.flow"), "96 L/h");
    assert!(!has_text(&harness, "last line that could run"));
    // Undo leads back through the fault; dropping it is a step too.
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    harness.run_steps(4);
    assert!(has_text(&harness, "last line that could run"));
    click(&mut harness, "Drop these edits");
    assert!(!has_text(&harness, "last line that could run"));
    assert!(!opened(&harness).is_dirty());
    // What is taken away although it is needed is a fault too, and a link leads to it.
    harness.get_by_role_and_label(Role::TextInput, FLOW).focus();
    harness.run_steps(2);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.key_press(egui::Key::Delete);
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(3);
    assert!(has_text(&harness, "is missing"));
    open(&mut harness, "Prices");
    harness
        .get_by_label_contains("Sections, rinses, flow: is missing")
        .click();
    harness.run_steps(4);
    harness.get_by_role_and_label(Role::TextInput, FLOW);
}

#[test]
fn a_line_begins_as_a_template() {
    let mut harness = window();
    for template in TEMPLATES {
        harness
            .state_mut()
            .ask(Command::ShowPage(Some(Page::Start)));
        harness.run_steps(3);
        click(&mut harness, template.name);
        if has_text(&harness, "Go on without saving") {
            click(&mut harness, "Go on without saving");
        }
        wait(&mut harness, |s| s.results.figures_are_current());
        let wanted = dragback_scenario::load(template.text).0.unwrap();
        assert_eq!(*opened(&harness).scenario, wanted, "{}", template.name);
        assert!(opened(&harness).is_new());
        assert!(
            harness.state().state().results.failure().is_none(),
            "{}",
            template.name
        );
    }
}

/// Every input of every record that a scenario can hold has a field of its own in one of the chapters.
#[test]
fn every_field_of_the_registry_can_be_reached() {
    let file = TempFile::new("every-field.ron", MAXIMAL);
    let mut harness = window();
    harness.set_size(egui::vec2(1280.0, 16_000.0));
    harness.state_mut().ask(Command::OpenPath(file.0.clone()));
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "every-field.ron")
    });
    harness
        .state_mut()
        .ask(Command::ShowPage(Some(Page::Editor)));
    harness.run_steps(3);
    harness.get_by_label("Show what is left out, too").click();
    harness.run_steps(3);
    let mut missing = Vec::new();
    let mut seen = 0;
    let draft = std::sync::Arc::clone(opened(&harness).draft().unwrap());
    for key in ["a", "b", "c", "d", "e"] {
        harness.state_mut().ask(Command::ChooseLoop(key.to_owned()));
        harness.run_steps(2);
        let mut found = BTreeSet::new();
        let chapters: Vec<String> = harness
            .query_all(
                egui_kittest::kittest::By::new()
                    .predicate(|n| n.label().is_some_and(|l| l.starts_with("Chapter: "))),
            )
            .map(|n| n.accesskit_node().label().unwrap())
            .collect();
        assert_eq!(chapters.len(), 17);
        for chapter in chapters {
            click(&mut harness, &chapter);
            let is_field = |role| {
                matches!(
                    role,
                    Role::TextInput | Role::MultilineTextInput | Role::ComboBox
                )
            };
            let all = harness.root().query_all_by(|n| is_field(n.role()));
            found.extend(all.filter_map(|n| n.accesskit_node().label()));
        }
        draft.root().walk(&mut |part| {
            let segments = part.spot.segments();
            let is_here = segments[..segments.len().min(2)] == ["loops".to_owned(), key.to_owned()];
            let is_common = key == "a" && segments.first().is_some_and(|s| s != "loops");
            if part.leaf().is_none() || !(is_here || is_common) {
                return;
            }
            let skip = if is_here { 2 } else { 0 };
            let words: Vec<String> = segments[skip..]
                .iter()
                .map(|s| s.replace('_', " "))
                .collect();
            let words = words.join(", ");
            let (first, rest) = words.split_at(1);
            let name = format!("{}{rest}", first.to_uppercase());
            seen += 1;
            if !found.contains(&name) {
                missing.push(name);
            }
        });
    }
    assert!(missing.is_empty(), "{missing:?}");
    assert!(seen > 600, "{seen}");
    assert!(draft.part(&Spot::of(&["version"])).is_some());
}

/// Chooses from a menu within the list of events.
fn pick(harness: &mut Harness<'_, App>, menu: &str, word: &str) {
    click(harness, menu);
    harness.run_steps(4);
    // A tank of the drawing may have the same name and keeps it as its value; an entry of a menu has none.
    let entry = harness
        .get_all_by_role_and_label(Role::Button, word)
        .find(|n| n.accesskit_node().value().is_none());
    entry.unwrap().click();
    harness.run_steps(6);
}

/// What fails, sticks or is pumped out is put on the timeline where the cursor stands.
#[test]
fn a_probe_sticks_and_a_tank_is_pumped_out() {
    let mut harness = window();
    harness.state_mut().ask(Command::MoveCursor(Some(20.0)));
    harness.run_steps(3);
    harness.get_by_label("Events").click();
    harness.run_steps(8);
    pick(
        &mut harness,
        "Probe or alarm of a new event",
        "transfer electrode of the holding tank",
    );
    click(&mut harness, "sticks");
    pick(&mut harness, "Tank of a new event", "rinses 1");
    harness
        .get_by_role_and_label(Role::SpinButton, "Share pumped out")
        .set_value_accesskit(50.0);
    harness.run_steps(3);
    click(&mut harness, "is pumped out");
    let words: Vec<String> = opened(&harness)
        .events()
        .into_iter()
        .map(|e| e.words)
        .collect();
    assert_eq!(
        words,
        [
            "transfer electrode of the holding tank sticks",
            "50 % of rinses 1 is pumped out"
        ]
    );
    let event = &opened(&harness).scenario.events[1];
    assert!((event.act.dump.as_ref().unwrap().share.si() - 0.5).abs() < 1e-12);
    wait(&mut harness, |s| s.results.figures_are_current());
}
