//! What happens to unsaved changes when something else is to be shown, or nothing.

use std::path::PathBuf;
use std::time::SystemTime;

use super::{autosave, opening, saving, variants};
use crate::state::State;

/// What waits for the fate of unsaved changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Then {
    /// Show the scenario that has been read.
    ShowRead,
    /// Go back to the built-in scenario.
    Demo,
    /// Begin a line that has no file yet: its text.
    Line(String),
    /// Put a file right that does not run.
    Mend,
    /// Close the window.
    Close,
}

/// A question that must be answered first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Question {
    /// There are unsaved changes.
    Unsaved {
        /// What waits.
        then: Then,
    },
    /// A window that did not close left unsaved changes.
    Restore {
        /// Name of their scenario.
        name: String,
        /// When they were kept.
        at: SystemTime,
    },
    /// A variant is to become the line, which is not kept yet.
    TakeUp {
        /// The variant.
        name: String,
        /// A name under which the line can be kept.
        keep_as: String,
    },
    /// The file to be written holds comments, which will be lost.
    Comments {
        /// The file.
        path: PathBuf,
        /// What waits.
        then: Option<Then>,
    },
}

/// Answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// Save, also over comments.
    Save,
    /// Save under another name.
    SaveAs,
    /// Take up what was left.
    Restore,
    /// Go on without saving.
    Discard,
    /// Leave everything as it is.
    Cancel,
}

/// Goes on at once, or asks first when there are unsaved changes.
pub(super) fn unless_unsaved(state: &mut State, then: Then) {
    let is_dirty = state.document.as_ref().is_some_and(|d| d.is_dirty());
    if is_dirty {
        state.question = Some(Question::Unsaved { then });
    } else {
        go_on(state, then);
    }
}

/// Does what waited.
pub(super) fn go_on(state: &mut State, then: Then) {
    match then {
        Then::ShowRead => opening::show_read(state),
        Then::Demo => opening::open_demo(state),
        Then::Line(text) => opening::open_line(state, &text),
        Then::Mend => opening::mend(state),
        Then::Close => state.may_close = true,
    }
}

/// Answers the open question.
pub(super) fn answer(state: &mut State, choice: Choice) {
    let Some(question) = state.question.take() else {
        return;
    };
    if choice == Choice::Cancel {
        // What was read to take the place of the document is not wanted any more.
        state.read = None;
    }
    match (question, choice) {
        (Question::Unsaved { then }, Choice::Save) => saving::save(state, Some(then)),
        (Question::Unsaved { then }, Choice::SaveAs) => saving::save_as(state, Some(then)),
        (Question::Unsaved { then }, Choice::Discard) => go_on(state, then),
        (Question::Comments { path, then }, Choice::Save) => saving::write(state, path, then),
        (Question::Comments { then, .. }, Choice::SaveAs) => saving::save_as(state, then),
        (Question::TakeUp { name, keep_as }, Choice::Save) => {
            variants::exchange(state, &name, Some(&keep_as));
        }
        (Question::TakeUp { name, .. }, Choice::Discard) => variants::exchange(state, &name, None),
        (Question::Restore { .. }, Choice::Restore) => autosave::restore(state),
        (Question::Restore { .. }, Choice::Discard) => autosave::discard(state),
        (Question::Restore { .. }, _) => autosave::leave(state),
        (Question::TakeUp { .. }, _)
        | (Question::Comments { .. }, Choice::Discard)
        | (_, Choice::Cancel | Choice::Restore) => {}
    }
}
