//! What is asked of the timeline.

use dragback_scenario::Problem;

use crate::document::{Document, NewEvent, Setting};
use crate::state::{Notice, State};

/// Changes events and runs anew; what is wrong is told in the bar.
fn edit(state: &mut State, change: impl FnOnce(&mut Document, u64) -> Result<(), Problem>) {
    let gesture = state.gesture;
    let Some(document) = &mut state.document else {
        return;
    };
    match change(document, gesture) {
        Ok(()) => {
            state.notice = None;
            state.request(None);
        }
        Err(problem) => {
            let advice = if problem.advice.is_empty() {
                String::new()
            } else {
                format!(": {}", problem.advice)
            };
            let text = format!("Not changed, {}{advice}.", problem.message);
            state.notice = Some(Notice::bad(text));
        }
    }
}

pub(super) fn set_step(state: &mut State, path: &str, at_h: f64, setting: &Setting) {
    let gesture = state.gesture;
    let Some(document) = &mut state.document else {
        return;
    };
    let outcome = document.set_step(path, at_h, setting, gesture);
    super::note(state, path, outcome);
}

pub(super) fn add(state: &mut State, at_h: f64, new: NewEvent) {
    edit(state, |document, gesture| {
        document.add_event(at_h, new, gesture)
    });
}

pub(super) fn put(state: &mut State, index: usize, at_h: f64) {
    edit(state, |document, gesture| {
        document.move_event(index, at_h, gesture)
    });
}

pub(super) fn set_value(state: &mut State, index: usize, value: &str) {
    edit(state, |document, gesture| {
        document.edit_event(index, value, gesture)
    });
}

pub(super) fn remove(state: &mut State, index: usize) {
    edit(state, |document, gesture| {
        document.remove_event(index, gesture)
    });
}
