//! Files: saved, dropped, asked about, and what becomes of their comments.

mod common;

use std::sync::Arc;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_scenario::{Spot, load, set};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{DEMO, TempFile, click, has_text, is_dirty, opened, type_into, wait, window};

type Window = Harness<'static, App>;

const RINSE: &str = "loop.sections.rinses.flow";

#[test]
fn unsaved_changes_are_asked_about_and_saved() {
    let mut harness = window();
    let file = TempFile::new("saved.ron", "");
    type_into(&mut harness, "Rinse rate", "120 L/h");
    click(&mut harness, "File");
    click(&mut harness, "Demo");
    assert!(has_text(
        &harness,
        "Save the changes before the demo is opened?"
    ));
    click(&mut harness, "Cancel");
    assert!(is_dirty(&harness));
    harness.state_mut().ask(Command::SaveTo(file.0.clone()));
    harness.run_steps(3);
    assert!(!is_dirty(&harness));
    assert!(has_text(&harness, "Saved as saved.ron."));
    let saved = load(&std::fs::read_to_string(&file.0).unwrap()).0.unwrap();
    let mut direct = load(DEMO).0.unwrap();
    set(&mut direct, RINSE, "120 L/h").unwrap();
    assert_eq!(saved, direct);
    type_into(&mut harness, "Rinse rate", "130 L/h");
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::S);
    harness.run_steps(3);
    let text = std::fs::read_to_string(&file.0).unwrap();
    assert!(text.contains("\"130 L/h\""));
    // Without changes the demo opens at once.
    click(&mut harness, "File");
    click(&mut harness, "Demo");
    harness.run_steps(2);
    let origin = &opened(&harness).origin;
    assert_eq!(origin.name, "demo.ron");
    // The saved file is remembered, and opens from the list.
    click(&mut harness, "File");
    harness.get_by_label_contains("Recent").click();
    harness.run_steps(4);
    click(&mut harness, "saved.ron");
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "saved.ron")
    });
}

#[test]
fn comments_of_a_file_are_kept_and_nothing_is_asked() {
    let mut harness = window();
    let file = TempFile::new("comments.ron", &format!("// Kept by hand.\n{DEMO}"));
    harness.state_mut().ask(Command::OpenPath(file.0.clone()));
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "comments.ron")
    });
    type_into(&mut harness, "Rinse rate", "120 L/h");
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::S);
    harness.run_steps(3);
    let text = std::fs::read_to_string(&file.0).unwrap();
    assert!(text.starts_with("// Kept by hand.\n") && text.contains("\"120 L/h\""));
    assert!(!is_dirty(&harness));
}

#[test]
fn a_place_that_cannot_be_written_is_told_and_nothing_is_lost() {
    let mut harness = window();
    type_into(&mut harness, "Rinse rate", "120 L/h");
    let folder = std::env::temp_dir();
    harness.state_mut().ask(Command::SaveTo(folder));
    harness.run_steps(3);
    assert!(has_text(&harness, "was not saved"));
    assert!(is_dirty(&harness));
}

#[derive(Debug)]
struct Dropped(std::path::PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &std::path::Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|e| e.to_string())
    }
}

#[test]
fn a_dropped_file_is_opened_after_the_question() {
    let mut harness = window();
    let file = TempFile::new("dropped.ron", DEMO);
    let is_open = |s: &dragback_gui::State| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "dropped.ron")
    };
    type_into(&mut harness, "Rinse rate", "120 L/h");
    let dropped = Arc::new(Dropped(file.0.clone()));
    harness.input_mut().dropped_files.push(dropped);
    // It is read first: what cannot be opened asks nothing.
    let question = "Save the changes before another scenario is opened?";
    for _ in 0..400 {
        harness.run_steps(1);
        if has_text(&harness, question) {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert!(has_text(&harness, question));
    assert!(!is_open(harness.state().state()));
    click(&mut harness, "Go on without saving");
    wait(&mut harness, is_open);
    assert!(!is_dirty(&harness));
}

/// The window's own button for closing is pressed; says whether it would close.
fn closes(harness: &mut Window) -> bool {
    let root = harness.input().viewport_id;
    let viewport = harness.input_mut().viewports.entry(root).or_default();
    viewport.events.push(egui::ViewportEvent::Close);
    harness.run_steps(1);
    let sent = harness.output().viewport_output.get(&root);
    let is_kept = sent.is_some_and(|v| v.commands.contains(&egui::ViewportCommand::CancelClose));
    let events = &mut harness
        .input_mut()
        .viewports
        .entry(root)
        .or_default()
        .events;
    events.clear();
    harness.run_steps(3);
    !is_kept
}

#[test]
fn a_window_with_unsaved_changes_asks_before_it_closes() {
    let mut harness = window();
    assert!(closes(&mut harness));
    let mut harness = window();
    type_into(&mut harness, "Rinse rate", "120 L/h");
    assert!(!closes(&mut harness));
    assert!(has_text(
        &harness,
        "Save the changes before the window closes?"
    ));
    click(&mut harness, "Cancel");
    assert!(!has_text(&harness, "Save the changes"));
    assert!(!closes(&mut harness));
    click(&mut harness, "Go on without saving");
    assert!(harness.state().state().may_close);
}

/// Comments go with what they stand beside; before a file loses one, it is asked.
#[test]
fn a_file_that_would_lose_a_comment_is_overwritten_only_after_a_question() {
    let from = "air_speed: \"0.1 m/s\",";
    let text = DEMO.replacen(from, &format!("{from} // by anemometer"), 1);
    assert!(text.contains("anemometer"));
    let file = TempFile::new("remarked.ron", &text);
    let read = || std::fs::read_to_string(&file.0).unwrap();
    let mut harness = window();
    harness.state_mut().ask(Command::OpenPath(file.0.clone()));
    wait(&mut harness, |s| {
        let document = s.document.as_ref();
        document.is_some_and(|d| d.origin.name == "remarked.ron")
    });
    let at = Spot::of(&["site", "air_speed"]);
    let write = dragback_scenario::Edit::Write {
        at: at.clone(),
        text: "0.2 m/s".to_owned(),
    };
    for (edit, is_asked) in [
        (write, false),
        (dragback_scenario::Edit::Remove { at }, true),
    ] {
        harness.state_mut().ask(Command::Edit {
            edits: vec![edit],
            what: "air".to_owned(),
        });
        harness.state_mut().ask(Command::Save);
        harness.run_steps(3);
        let asked = has_text(&harness, "Overwrite a file with comments?");
        assert_eq!(asked, is_asked);
        assert_eq!(
            read(),
            text.replacen("0.1 m/s\", // by", "0.2 m/s\", // by", 1)
        );
    }
    click(&mut harness, "Overwrite");
    assert!(!read().contains("anemometer") && !read().contains("air_speed"));
    assert!(!is_dirty(&harness));
}

/// Comments of another file stand in nothing that is written over it; comments of the own one do, by whatever path it is reached.
#[test]
fn another_file_with_comments_is_overwritten_only_after_a_question() {
    let mut harness = window();
    let (plain, other) = (
        TempFile::new("plain.ron", DEMO),
        TempFile::new("theirs.ron", &format!("// Measured in spring.\n{DEMO}")),
    );
    let asked = |h: &Harness<'_, App>| has_text(h, "Overwrite a file with comments?");
    harness.state_mut().ask(Command::SaveTo(plain.0.clone()));
    harness.run_steps(3);
    assert!(!asked(&harness), "there is none to lose");
    harness.state_mut().ask(Command::SaveTo(other.0.clone()));
    harness.run_steps(3);
    assert!(asked(&harness));
    let text = std::fs::read_to_string(&other.0).unwrap();
    assert!(text.contains("Measured in spring"), "not before the answer");
    click(&mut harness, "Do not save");
    let text = std::fs::read_to_string(&other.0).unwrap();
    assert!(text.contains("Measured in spring"));
    // Its own comments it keeps, and a way round to the same file is no other file.
    harness.state_mut().ask(Command::OpenPath(other.0.clone()));
    wait(&mut harness, |s| {
        let document = s.document.as_ref();
        document.is_some_and(|d| d.origin.name == "theirs.ron")
    });
    let folder = other.0.parent().unwrap();
    let around = folder
        .join("..")
        .join(folder.file_name().unwrap())
        .join("theirs.ron");
    harness.state_mut().ask(Command::SaveTo(around));
    harness.run_steps(3);
    assert!(!asked(&harness));
    let text = std::fs::read_to_string(&other.0).unwrap();
    assert!(text.contains("Measured in spring"));
}
