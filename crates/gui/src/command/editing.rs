//! What is asked of the editor.

use dragback_scenario::Edit;

use super::closing::{Then, unless_unsaved};
use crate::page::Page;
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

/// Opens the editor at the chapter of a part.
pub(super) fn go_to(state: &mut State, path: String) {
    state.page = Some(Page::Editor);
    state.edited_part = Some((state.gesture, path));
}

/// Goes back to the last line that could run; where the file never could, to what was on the bench before.
pub(super) fn drop_draft(state: &mut State) {
    let gesture = state.gesture;
    let document = state.document.as_ref();
    if let Some(before) = document.and_then(crate::document::Document::stand_in) {
        let before = before.clone();
        state.show(before);
        return;
    }
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
