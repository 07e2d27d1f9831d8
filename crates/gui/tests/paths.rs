//! Paths that are typed where the system has no dialog for files, and when unsaved changes are asked about.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use std::path::PathBuf;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::export::Export;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{DEMO, TempFile, has_text, opened, type_into, wait, window};

const RINSE: &str = "loop.sections.rinses.flow";

fn place(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("dragback-paths-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    folder.join(name)
}

fn change(harness: &mut Harness<'_, App>, text: &str) {
    harness.state_mut().ask(Command::SetLever {
        path: RINSE.to_owned(),
        setting: Setting::Text(text.to_owned()),
    });
}

#[test]
fn without_a_dialog_a_scenario_is_saved_and_opened_by_typed_paths() {
    let mut harness = window();
    change(&mut harness, "123 L/h");
    let path = place("typed.ron");
    let _ = std::fs::remove_file(&path);
    harness.state_mut().ask(Command::SaveAs);
    wait(&mut harness, |s| s.typing.is_some());
    type_into(&mut harness, "Path", "/no/such/folder/line.ron");
    assert!(has_text(&harness, "There is no folder /no/such/folder"));
    // The usual ending is added.
    let bare = path.with_extension("").display().to_string();
    type_into(&mut harness, "Path", &bare);
    assert!(std::fs::read_to_string(&path).unwrap().contains("123 L/h"));
    assert!(harness.state().state().typing.is_none());

    harness.state_mut().ask(Command::OpenDemo);
    harness.state_mut().ask(Command::OpenDialog);
    wait(&mut harness, |s| s.typing.is_some());
    type_into(&mut harness, "Path", &path.display().to_string());
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "typed.ron")
    });
    std::fs::remove_file(&path).unwrap();
}

#[test]
fn a_file_that_is_there_is_replaced_only_when_it_is_said_twice() {
    let mut harness = window();
    let file = TempFile::new("figures-kept.csv", "mine");
    let path = file.0.display().to_string();
    harness.state_mut().ask(Command::Export(Export::Figures));
    wait(&mut harness, |s| s.typing.is_some());
    type_into(&mut harness, "Path", &path);
    assert!(has_text(&harness, "is there already"));
    assert_eq!(std::fs::read_to_string(&file.0).unwrap(), "mine");
    harness.get_by_label("Replace it").click();
    wait(&mut harness, |s| s.notice.is_some());
    assert!(
        std::fs::read_to_string(&file.0)
            .unwrap()
            .contains("Final rinse")
    );
}

#[test]
fn unsaved_changes_are_asked_about_only_once_a_file_has_turned_out_to_open() {
    let mut harness = window();
    change(&mut harness, "123 L/h");
    let broken = TempFile::new("broken-paths.ron", "(version: 1, nonsense");
    harness.state_mut().ask(Command::OpenPath(broken.0.clone()));
    wait(&mut harness, |s| s.problems.is_some());
    assert!(harness.state().state().question.is_none());
    harness.state_mut().ask(Command::CloseProblems);

    let good = TempFile::new("good-paths.ron", DEMO);
    harness.state_mut().ask(Command::OpenPath(good.0.clone()));
    wait(&mut harness, |s| s.question.is_some());
    let name = |h: &Harness<'_, App>| {
        let document = h.state().state().document.as_ref();
        document.map(|d| d.origin.name.clone())
    };
    assert_eq!(name(&harness).as_deref(), Some("demo.ron"));
    harness.get_by_label("Go on without saving").click();
    wait(&mut harness, |s| s.question.is_none());
    assert_eq!(name(&harness).as_deref(), Some("good-paths.ron"));
}

#[test]
fn what_is_said_of_a_refused_value_goes_when_the_old_one_is_typed_again() {
    let mut harness = window();
    let faults = |h: &Harness<'_, App>| h.state().state().faults.len();
    type_into(&mut harness, "Rinse rate", "-5 L/h");
    assert_eq!(faults(&harness), 1);
    type_into(&mut harness, "Rinse rate", "95.0 L/h");
    assert_eq!(faults(&harness), 0);
    // A number of stages is a whole one.
    let document = opened(&harness);
    let stages = document.lever("loop.sections.rinses.stages").unwrap();
    let told =
        dragback_gui::widgets::value_words(stages, stages.si, dragback_units::System::Metric);
    assert_eq!(told, "3");
}
