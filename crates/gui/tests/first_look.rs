//! What somebody meets who sees the window for the first time: names that stay in sight, values that say whence they come, ways to each thing.

#![allow(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;
#[path = "first_look/questions.rs"]
mod questions;

use dragback_gui::command::{Choice, Command};
use dragback_gui::document::{NewEvent, Setting};
use dragback_gui::page::Page;
use dragback_gui::sweep::{Figure, SweepChoice};
use dragback_gui::{App, State};
use dragback_scenario::{Draft, Edit, Spot};
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{DEMO, TempFile, has_text, opened, press, set_lever, texts, type_into, wait, window};

type Window = Harness<'static, App>;

const RINSE: &str = "loop.sections.rinses.flow";
const SET_POINT: &str = "loop.holding_tank.set_point";

fn set(harness: &mut Window, path: &str, text: &str) {
    set_lever(harness, path, Setting::Text(text.to_owned()));
}

fn write(harness: &mut Window, spot: &[&str], text: &str) {
    harness.state_mut().ask(Command::Edit {
        edits: vec![Edit::Write {
            at: Spot::of(spot),
            text: text.to_owned(),
        }],
        what: "a value".to_owned(),
    });
    wait(harness, |s| s.results.figures_are_current());
}

const FLOW: [&str; 5] = ["loops", "loop", "sections", "rinses", "flow"];

#[test]
fn a_notice_leaves_the_name_in_sight_and_goes_by_itself() {
    let mut harness = window();
    let title = opened(&harness).title().to_owned();
    set(&mut harness, RINSE, "120 L/h");
    let file = TempFile::new("notice.ron", "");
    harness.state_mut().ask(Command::SaveTo(file.0.clone()));
    harness.run_steps(3);
    harness.get_by_label("Saved as notice.ron.");
    harness.get_by_label(&title);
    set(&mut harness, RINSE, "121 L/h");
    assert!(
        has_text(&harness, &format!("● {title}")),
        "{:?}",
        texts(&harness)
    );
    // Eight seconds by the window's clock, which goes a quarter of a second a step.
    harness.run_steps(40);
    assert!(!has_text(&harness, "Saved as notice.ron."));
    // What went wrong stays until it is read.
    let nowhere = file.0.join("x").join("y.ron");
    harness.state_mut().ask(Command::SaveTo(nowhere));
    harness.run_steps(60);
    assert!(has_text(&harness, "was not saved"));
    harness.get_by_label(&format!("● {title}"));
    harness.get_by_label("Close the notice").click();
    harness.run_steps(3);
    assert!(!has_text(&harness, "was not saved"));
}

#[test]
fn a_value_changed_in_the_editor_says_what_the_file_holds_and_goes_back_to_it() {
    let mut harness = window();
    let lever = |h: &Window| {
        h.state()
            .state()
            .document
            .as_ref()
            .unwrap()
            .lever(RINSE)
            .unwrap()
            .clone()
    };
    assert_eq!(lever(&harness).origin_word(), "as in the file");
    let file_si = lever(&harness).si;
    write(&mut harness, &FLOW, "140 L/h");
    assert_eq!(lever(&harness).origin_word(), "changed");
    assert!(has_text(&harness, "changed, file 95.0"));
    assert_eq!(lever(&harness).file_si, file_si);
    let document = opened(&harness);
    assert_eq!(
        document.changed_texts(),
        [(RINSE.to_owned(), "140 L/h".to_owned())]
    );
    press(&mut harness, "Rinse rate as in file");
    wait(&mut harness, |s| s.results.figures_are_current());
    let document = opened(&harness);
    assert!(!document.is_dirty());
    assert_eq!(lever(&harness).si, file_si);
    // A lever that was moved as well goes back to the file too.
    write(&mut harness, &FLOW, "140 L/h");
    set(&mut harness, RINSE, "150 L/h");
    press(&mut harness, "Rinse rate as in file");
    wait(&mut harness, |s| s.results.figures_are_current());
    assert!(!opened(&harness).is_dirty());
    // Once saved, the file says what was typed.
    write(&mut harness, &FLOW, "140 L/h");
    let file = TempFile::new("changed.ron", "");
    harness.state_mut().ask(Command::SaveTo(file.0.clone()));
    harness.run_steps(3);
    assert_eq!(lever(&harness).origin_word(), "as in the file");
}

#[test]
fn a_line_that_is_in_no_file_does_not_speak_of_one() {
    let mut harness = window();
    harness.state_mut().ask(Command::BeginTemplate(0));
    wait(&mut harness, |s| {
        s.document.as_ref().is_some_and(|d| d.is_new()) && s.results.figures_are_current()
    });
    let rinse = |h: &Window| h.state().state().document.as_ref().unwrap().levers[1].clone();
    assert_ne!(rinse(&harness).origin_word(), "as in the file");
    let path = rinse(&harness).path;
    let before = rinse(&harness).si;
    harness.state_mut().ask(Command::SetLever {
        path,
        setting: Setting::Si(1.3 * before),
    });
    harness.run_steps(3);
    assert!(
        has_text(&harness, "changed, begun at"),
        "{:?}",
        texts(&harness)
    );
    press(&mut harness, "Rinse rate as begun");
    harness.run_steps(3);
    assert_eq!(rinse(&harness).si, before);
}

#[test]
fn only_what_takes_part_is_offered_for_a_sweep_and_every_sweep_ends() {
    let mut harness = window();
    // The version of the file, as older preferences may still name it.
    harness.state_mut().ask(Command::SetSweep(Some(SweepChoice {
        figure: Figure::FinalRinse,
        path: Some("version".to_owned()),
    })));
    wait(&mut harness, |s| {
        s.results.sweep().is_some_and(|w| w.is_whole())
    });
    harness.get_by_label("Lever to sweep").click();
    harness.run_steps(3);
    let offered = texts(&harness);
    assert!(
        !offered
            .iter()
            .any(|t| t == "More: version" || t.starts_with("Prices: "))
    );
    assert!(
        offered.iter().any(|t| t == "Rinses: rinses, stages"),
        "{offered:?}"
    );
    type_into(&mut harness, "Find a lever to sweep", "STAGES rinses");
    let found = texts(&harness);
    assert!(found.len() + 20 < offered.len(), "{found:?}");
    harness
        .get_by_label("Rinses: rinses, stages")
        .click_accesskit();
    wait(&mut harness, |s| {
        let sweep = s.results.sweep();
        sweep.is_some_and(|w| w.path.ends_with(".stages") && w.is_whole())
    });
    assert!(!has_text(&harness, "Finding settled weeks"));
    // A figure that this line has not is said to be none, and not looked for any longer.
    let before = TempFile::new(
        "before.ron",
        include_str!("../../../scenarios/demo-before.ron"),
    );
    harness.state_mut().ask(Command::OpenPath(before.0.clone()));
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "before.ron")
    });
    harness.state_mut().ask(Command::SetSweep(Some(SweepChoice {
        figure: Figure::ClosureMargin,
        path: None,
    })));
    let is_swept = |s: &State| s.results.sweep().is_some_and(|w| w.is_whole());
    wait(&mut harness, is_swept);
    // A line that takes no water up has no room for it: what is shown is how clean the work leaves.
    assert!(has_text(&harness, "Final rinse against"));
    harness.state_mut().ask(Command::SetSweep(Some(SweepChoice {
        figure: Figure::TankTemperature,
        path: None,
    })));
    wait(&mut harness, is_swept);
    assert!(has_text(&harness, "No position of the lever gives a value"));
}

#[test]
fn what_is_compared_with_is_named_where_differences_show() {
    let mut harness = window();
    set(&mut harness, RINSE, "120 L/h");
    harness.get_by_label("Pin").click();
    harness.run_steps(3);
    set(&mut harness, RINSE, "95 L/h");
    let names: Vec<String> = texts(&harness);
    let title = opened(&harness).title().to_owned();
    let name = format!("“was” (pale dashes) is pinned: {title}, Rinse rate 120 L/h");
    assert!(names.contains(&name), "{names:?}");
    assert!(has_text(&harness, "of 52.0\u{a0}kW"), "{names:?}");
    // Shares of another power stand with that power, and are not subtracted.
    set(&mut harness, "loop.holding_tank.heat_input", "30 kW");
    let duty = texts(&harness);
    let found = duty.iter().find(|t| t.starts_with("Heater duty: "));
    let (_, was) = found.and_then(|t| t.split_once(" was ")).unwrap();
    assert!(
        was.ends_with("of 52.0\u{a0}kW") && !was.contains('('),
        "{was}"
    );
    // A file is called by its name.
    let file = TempFile::new(
        "other.ron",
        include_str!("../../../scenarios/demo-before.ron"),
    );
    harness.state_mut().ask(Command::Unpin);
    harness
        .state_mut()
        .ask(Command::ReferencePath(file.0.clone()));
    wait(&mut harness, |s| s.pinned.is_some());
    assert!(
        has_text(&harness, "“was” (pale dashes) is other.ron ("),
        "{:?}",
        texts(&harness)
    );
}

#[test]
fn a_new_rinse_section_joins_the_loop_and_one_more_rinse_is_a_stage() {
    let mut harness = window();
    harness
        .state_mut()
        .ask(Command::ShowPage(Some(Page::Editor)));
    harness.run_steps(3);
    harness.get_by_label("Chapter: Route").click();
    harness.run_steps(3);
    press(&mut harness, "One more rinse in rinses");
    let line = |h: &Window| {
        let document = h.state().state().document.as_ref().unwrap();
        document.scenario.loops.get("loop").unwrap().clone()
    };
    assert_eq!(
        line(&harness).sections.get("rinses").unwrap().stages.si(),
        4.0
    );
    press(&mut harness, "Add a rinse section");
    let sections = line(&harness).sections;
    let (old, new) = (
        sections.get("rinses").unwrap(),
        sections.get("rinses-2").unwrap(),
    );
    assert_eq!(
        (new.drain, new.feed, &new.water),
        (old.drain, old.feed, &old.water)
    );
}

#[test]
fn a_selected_tank_leads_to_its_chapter() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.curves().is_some());
    for (tank, chapter) in [
        ("holding tank", "Holding tank"),
        ("collection tank", "Collection tank"),
        ("bath", "Bath"),
    ] {
        harness.get_by_role_and_label(Role::Button, tank).click();
        harness.run_steps(3);
        press(&mut harness, &format!("Edit {tank}"));
        harness.run_steps(3);
        let name = format!("Chapter: {chapter}");
        let found = harness.get_by_label(&name);
        let toggled = found.accesskit_node().toggled();
        assert_eq!(toggled, Some(egui::accesskit::Toggled::True), "{tank}");
        harness.state_mut().ask(Command::ShowPage(None));
        harness.run_steps(3);
    }
}

#[test]
fn devices_run_by_hand_and_waters_that_fail_are_put_on_the_timeline_from_its_list() {
    let mut harness = window();
    harness.state_mut().ask(Command::MoveCursor(Some(10.0)));
    harness.run_steps(2);
    harness.get_by_label("Events").click();
    harness.run_steps(4);
    for (list, words) in [
        ("Device of a new event", "is run by hand"),
        ("Water of a new event", "water fails"),
    ] {
        harness.get_by_label(list).click();
        harness.run_steps(4);
        let scenario = opened(&harness).scenario.clone();
        let name = if list.starts_with("Device") {
            dragback_scenario::called(&dragback_scenario::device_names(&scenario)[0], 1)
        } else {
            scenario.waters.keys().next().unwrap().to_owned()
        };
        harness.get_by_role_and_label(Role::Button, &name).click();
        harness.run_steps(4);
        press(&mut harness, words);
        harness.run_steps(4);
    }
    let document = opened(&harness);
    let told: Vec<String> = document.events().into_iter().map(|e| e.words).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(
        told[0].ends_with("is run by hand") && told[1].ends_with("water fails"),
        "{told:?}"
    );
}

#[test]
fn what_was_put_by_hand_and_shut_off_can_be_taken_back() {
    let mut document = dragback_gui::document::Document::read(DEMO, Default::default(), 1).unwrap();
    let device = dragback_scenario::device_names(&document.scenario)[0].clone();
    let water = document.scenario.waters.keys().next().unwrap().to_owned();
    for (n, (new, words)) in [
        (NewEvent::ByHand(device.clone()), "is run by hand"),
        (NewEvent::Automatic(device), "is back to automatic"),
        (NewEvent::StopWater(water.clone()), "water fails"),
        (NewEvent::RestoreWater(water), "water returns"),
    ]
    .into_iter()
    .enumerate()
    {
        document.add_event(100.0, new, n as u64).unwrap();
        let event = document.events().pop().unwrap();
        assert!(event.words.ends_with(words), "{}", event.words);
    }
}

/// A file that does not run is put right beside what is on the bench, and never overwritten by it.
#[test]
fn a_file_that_does_not_open_is_put_right_in_the_editor() {
    let broken = DEMO.replacen("\"95 L/h\"", "\"95 °C\"", 1);
    assert!(broken != DEMO && Draft::new(broken.as_str()).is_ok());
    let file = TempFile::new("broken-flow.ron", &broken);
    let mut harness = window();
    harness.state_mut().ask(Command::OpenPath(file.0.clone()));
    wait(&mut harness, |s| s.problems.is_some());
    press(&mut harness, "Put it right in the editor…");
    harness.run_steps(3);
    let state = harness.state().state();
    assert_eq!(state.page, Some(Page::Editor));
    let document = state.document.as_ref().unwrap();
    assert_eq!(document.draft_problems().len(), 1);
    assert!(!document.is_dirty() && document.stand_in().is_some());
    assert!(has_text(&harness, "broken-flow.ron (does not run yet)"));
    // It is not saved while it does not run.
    harness.state_mut().ask(Command::Save);
    harness.run_steps(2);
    assert!(harness.state().state().notice.as_ref().unwrap().is_bad);
    assert_eq!(std::fs::read_to_string(&file.0).unwrap(), broken);
    // Left alone, the bench is what it was, under its own name.
    press(&mut harness, "Leave the file as it is");
    harness.run_steps(2);
    let document = opened(&harness);
    assert_eq!(
        (document.origin.path.as_ref(), document.origin.name.as_str()),
        (None, "demo.ron")
    );
    // Put right, it is the file's line, and saved as such.
    harness.state_mut().ask(Command::OpenPath(file.0.clone()));
    wait(&mut harness, |s| s.problems.is_some());
    press(&mut harness, "Put it right in the editor…");
    harness.run_steps(3);
    write(&mut harness, &FLOW, "96 L/h");
    let document = opened(&harness);
    assert!(document.is_dirty() && document.draft_problems().is_empty());
    assert_eq!(document.lever(RINSE).unwrap().text, "96 L/h");
    assert_eq!(
        document.lever(SET_POINT).unwrap().origin_word(),
        "as in the file"
    );
    harness.state_mut().ask(Command::Save);
    wait(&mut harness, |s| {
        s.notice.as_ref().is_some_and(|n| !n.is_bad)
    });
    let saved = std::fs::read_to_string(&file.0).unwrap();
    assert_eq!(saved, DEMO.replacen("\"95 L/h\"", "\"96 L/h\"", 1));
}

/// Unsaved edits of a file that never ran are asked about, as all others.
#[test]
fn edits_of_a_file_that_still_does_not_run_are_not_lost_without_a_question() {
    let broken = DEMO.replacen("\"95 L/h\"", "\"95 °C\"", 1);
    let file = TempFile::new("broken-twice.ron", &broken);
    let mut harness = window();
    harness.state_mut().ask(Command::OpenPath(file.0.clone()));
    wait(&mut harness, |s| s.problems.is_some());
    harness.state_mut().ask(Command::MendFile);
    harness.run_steps(2);
    write(&mut harness, &FLOW, "97 °C");
    assert!(opened(&harness).is_dirty());
    harness.state_mut().ask(Command::OpenDemo);
    harness.run_steps(2);
    assert!(harness.state().state().question.is_some());
    harness.state_mut().ask(Command::Answer(Choice::Discard));
    harness.run_steps(2);
    assert_eq!(opened(&harness).origin.name, "demo.ron");
}
