//! What is asked of the editor.

use dragback_scenario::Edit;

use super::closing::{Then, unless_unsaved};
use crate::state::{Notice, State};
use crate::templates::TEMPLATES;

/// Changes parts of the line; what runs then is run, and what does not is kept as a draft.
pub(super) fn edit(state: &mut State, edits: &[Edit], what: &str) {
    let gesture = state.gesture;
    let Some(document) = &mut state.document else {
        return;
    };
    let before = std::sync::Arc::clone(&document.scenario);
    match document.edit(edits, what, gesture) {
        Ok(()) => {
            state.notice = None;
            state.faults.clear();
            if !std::sync::Arc::ptr_eq(&before, &document.scenario) {
                state.request(None);
            }
        }
        Err(problem) => {
            let text = format!("Not changed: {}.", problem.message);
            state.notice = Some(Notice::bad(text));
        }
    }
}

/// Goes back to the last line that could run.
pub(super) fn drop_draft(state: &mut State) {
    let gesture = state.gesture;
    if let Some(document) = &mut state.document {
        document.drop_draft(gesture);
    }
}

/// Begins a line as one of the templates, after asking when that would lose unsaved changes.
pub(super) fn begin(state: &mut State, number: usize) {
    if let Some(template) = TEMPLATES.get(number) {
        unless_unsaved(state, Then::Line(template.text.to_owned()));
    }
}
