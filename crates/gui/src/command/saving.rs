//! Saving the scenario under the hand.

use std::path::{Path, PathBuf};

use dragback_scenario::has_comments;

use super::closing::{Question, Then, go_on};
use super::files::{read_text, write_whole};
use super::opening::{Found, find};
use super::typing::{Purpose, by_dialog};
use crate::document::Origin;
use crate::state::{Notice, State};

/// Saves under the name that the scenario has, or asks for one; then goes on with what waits.
pub fn save(state: &mut State, then: Option<Then>) {
    let path = state.document.as_ref().and_then(|d| d.origin.path.clone());
    match path {
        Some(path) => save_to(state, path, then),
        None => save_as(state, then),
    }
}

/// Asks for a name by the system's dialog.
pub fn save_as(state: &mut State, then: Option<Then>) {
    let Some(document) = &state.document else {
        return;
    };
    let name = file_name(&document.origin.name);
    state.after_save = then;
    let has_dialogs = !state.options.without_dialogs;
    find(state, "save as", move || {
        let dialog = || {
            rfd::FileDialog::new()
                .set_title("Save the scenario")
                .set_file_name(name)
                .add_filter("Scenario", &["ron"])
                .save_file()
        };
        by_dialog(Purpose::Save, has_dialogs, dialog, Found::SaveTo)
    });
}

/// Saves under a name. A file with comments is overwritten only after a word of warning.
pub fn save_to(state: &mut State, path: PathBuf, then: Option<Then>) {
    let Some(document) = &state.document else {
        return;
    };
    let faults = document.draft_problems().len();
    if faults > 0 {
        let text = format!(
            "Not saved: {}. Put it right in the editor, or drop the edits there.",
            crate::words::faults(faults)
        );
        state.notice = Some(Notice::bad(text));
        return;
    }
    let own = document.origin.path.as_deref();
    let loses_comments = if own.is_some_and(|own| are_same(own, &path)) {
        document.loses_comments()
    } else {
        // Remarks of another file stand in none of the lines that are written.
        read_text(&path).is_ok_and(|text| has_comments(&text))
    };
    if loses_comments {
        state.question = Some(Question::Comments { path, then });
    } else {
        write(state, path, then);
    }
}

/// Whether two paths lead to one file.
fn are_same(a: &Path, b: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().ok();
    a == b || real(a).is_some_and(|a| real(b) == Some(a))
}

/// Writes the file and goes on with what waits.
pub(super) fn write(state: &mut State, path: PathBuf, then: Option<Then>) {
    let Some(document) = &mut state.document else {
        return;
    };
    let name = path
        .file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned();
    match write_whole(&path, &document.text()) {
        Ok(()) => {
            state.prefs.note_recent(&path);
            state.notice = Some(Notice::good(format!("Saved as {name}.")));
            document.note_saved(Origin {
                name,
                path: Some(path),
            });
            if let Some(then) = then {
                go_on(state, then);
            }
        }
        Err(error) => {
            let text = format!(
                "{} was not saved: {error}. Choose another place by “Save as”.",
                path.display()
            );
            state.notice = Some(Notice::bad(text));
        }
    }
}

/// A name for the dialog to begin with.
pub(super) fn file_name(name: &str) -> String {
    if name.ends_with(".ron") {
        name.to_owned()
    } else {
        format!("{name}.ron")
    }
}
