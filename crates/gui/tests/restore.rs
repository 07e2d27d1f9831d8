//! Unsaved changes survive a window that does not close, and only then; help opens and closes by the keyboard.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use std::path::{Path, PathBuf};

use dragback_gui::App;
use dragback_gui::command::{Choice, Command, Kept, Question};
use dragback_gui::document::Setting;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{has_text, opened, options, wait, window};

const RINSE: &str = "loop.sections.rinses.flow";

/// A folder of its own for one test, gone when the test is.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("dragback-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn kept(&self) -> Vec<PathBuf> {
        let each = std::fs::read_dir(&self.0).unwrap().flatten();
        let mut found: Vec<PathBuf> = each
            .map(|e| e.path())
            .filter(|p| p.extension().is_some_and(|e| e == "json"))
            .filter(|p| p.file_name().is_some_and(|n| n != "window.json"))
            .collect();
        found.sort();
        found
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn start(folder: &Folder) -> Harness<'static, App> {
    let prefs = folder.0.join("window.json");
    Harness::builder()
        .with_size([1280.0, 720.0])
        .build_eframe(move |cc| App::with_prefs(&cc.egui_ctx, options(), Some(prefs)))
}

fn change(harness: &mut Harness<'_, App>, text: &str) {
    harness.state_mut().ask(Command::SetLever {
        path: RINSE.to_owned(),
        setting: Setting::Text(text.to_owned()),
    });
}

fn rinse(harness: &Harness<'_, App>) -> String {
    let document = opened(harness);
    document.lever(RINSE).unwrap().text.clone()
}

fn is_dirty(harness: &Harness<'_, App>) -> bool {
    let document = harness.state().state().document.as_ref();
    document.is_some_and(|d| d.is_dirty())
}

fn wait_kept(harness: &mut Harness<'_, App>, path: &Path, text: &str) {
    wait(harness, |_| {
        let read = std::fs::read_to_string(path).unwrap_or_default();
        let kept: Option<Kept> = serde_json::from_str(&read).ok();
        kept.is_some_and(|k| k.text.contains(text))
    });
}

fn asks(harness: &Harness<'_, App>) -> bool {
    matches!(
        harness.state().state().question,
        Some(Question::Restore { .. })
    )
}

#[test]
fn after_a_crash_changes_are_offered_and_come_back_whole() {
    let folder = Folder::new("crash");
    let mut harness = start(&folder);
    harness.run_steps(3);
    assert!(!asks(&harness) && folder.kept().is_empty());
    change(&mut harness, "123 L/h");
    let path = harness.state().state().autosave.path().unwrap().to_owned();
    wait_kept(&mut harness, &path, "123 L/h");
    // The window goes without a word, as when the system ends it.
    drop(harness);
    assert_eq!(folder.kept(), vec![path.clone()]);

    let mut harness = start(&folder);
    harness.run_steps(3);
    assert!(asks(&harness) && has_text(&harness, "Bring unsaved changes back?"));
    assert_ne!(harness.state().state().autosave.path().unwrap(), path);
    harness.get_by_label("Ask again next time").click();
    harness.run_steps(3);
    assert!(!asks(&harness) && !is_dirty(&harness) && path.exists());
    drop(harness);

    let mut harness = start(&folder);
    harness.run_steps(3);
    harness.get_by_label("Bring them back").click();
    harness.run_steps(3);
    assert!(is_dirty(&harness));
    assert_eq!(rinse(&harness), "123 L/h");
    // They are kept anew at once, under the slot of this window alone.
    let own = harness.state().state().autosave.path().unwrap().to_owned();
    assert_eq!(folder.kept(), vec![own]);
    harness.state_mut().ask(Command::Undo);
    assert!(!is_dirty(&harness));
    harness.run_steps(3);
    assert!(folder.kept().is_empty());
}

#[test]
fn a_window_that_closes_leaves_nothing_and_a_second_one_is_no_crash() {
    let folder = Folder::new("close");
    let mut first = start(&folder);
    change(&mut first, "123 L/h");
    let path = first.state().state().autosave.path().unwrap().to_owned();
    wait_kept(&mut first, &path, "123 L/h");
    let mut second = start(&folder);
    second.run_steps(3);
    assert!(!asks(&second));
    assert_ne!(second.state().state().autosave.path().unwrap(), path);
    first.state_mut().ask(Command::CloseWindow);
    first.run_steps(2);
    assert!(path.exists(), "the question about unsaved changes is open");
    first.state_mut().ask(Command::Answer(Choice::Discard));
    first.run_steps(3);
    assert!(folder.kept().is_empty());
}

#[test]
fn saving_takes_away_what_was_kept() {
    let folder = Folder::new("save");
    let mut harness = start(&folder);
    change(&mut harness, "123 L/h");
    let path = harness.state().state().autosave.path().unwrap().to_owned();
    wait_kept(&mut harness, &path, "123 L/h");
    let file = folder.0.join("line.ron");
    harness.state_mut().ask(Command::SaveTo(file));
    harness.run_steps(3);
    assert!(!is_dirty(&harness) && folder.kept().is_empty());
}

#[test]
fn what_is_thrown_away_is_gone() {
    let folder = Folder::new("discard");
    let mut harness = start(&folder);
    change(&mut harness, "123 L/h");
    let path = harness.state().state().autosave.path().unwrap().to_owned();
    wait_kept(&mut harness, &path, "123 L/h");
    drop(harness);
    let mut harness = start(&folder);
    harness.run_steps(3);
    harness.get_by_label("Throw them away").click();
    harness.run_steps(3);
    assert!(!asks(&harness) && !is_dirty(&harness) && folder.kept().is_empty());
}

#[test]
fn what_is_broken_does_no_harm_and_is_not_lost() {
    for (name, text) in [
        ("half", "{\"name\":\"demo.ron\",\"pa"),
        ("empty", ""),
        (
            "no-scenario",
            "{\"name\":\"x\",\"path\":null,\"has_comments\":false,\"saved\":\"\",\"text\":\"(\"}",
        ),
    ] {
        let folder = Folder::new(name);
        let path = folder.0.join("unsaved-0.json");
        std::fs::write(&path, text).unwrap();
        let mut harness = start(&folder);
        harness.run_steps(3);
        assert!(!asks(&harness) && harness.state().state().document.is_some());
        let aside = folder.0.join("unsaved-0.broken");
        assert_eq!(std::fs::read_to_string(aside).unwrap(), text);
        change(&mut harness, "123 L/h");
        wait_kept(&mut harness, &path, "123 L/h");
    }
}

#[test]
fn help_opens_and_closes_by_the_keyboard() {
    let mut harness = window();
    harness.key_press(egui::Key::F1);
    harness.run_steps(4);
    for words in [
        "Ctrl+Shift+Z or Ctrl+Y",
        "Ctrl+L",
        "F1",
        "Play time, or stop it",
    ] {
        assert!(has_text(&harness, words), "{words}");
    }
    harness.key_press(egui::Key::Escape);
    harness.run_steps(4);
    assert!(!has_text(&harness, "Ctrl+Shift+Z or Ctrl+Y"));
    harness.get_by_label("Help").click();
    harness.run_steps(3);
    harness.get_by_label("About Dragback").click();
    harness.run_steps(4);
    let version = format!(
        "Version {}. Licence: MIT OR Apache-2.0.",
        env!("CARGO_PKG_VERSION")
    );
    for words in [
        version.as_str(),
        "Hot solution, chromic acid and nickel, electricity and exhaust air",
        "Limits of validity",
        "no pH, cyanide or carbonate chemistry",
    ] {
        assert!(has_text(&harness, words), "{words}");
    }
    harness.get_by_label("Close").click();
    harness.run_steps(3);
    assert!(!has_text(&harness, "Limits of validity"));
}
