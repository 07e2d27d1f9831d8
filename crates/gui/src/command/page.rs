//! What is asked of the pages over the bench.

use dragback_scenario::{Edit, Outline, Spot, outline};

use super::closing::{Then, unless_unsaved};
use super::editing;
use crate::lessons::Standing;
use crate::measured::Measured;
use crate::playhead::ActsFrom;
use crate::prefs::Shown;
use crate::state::{Notice, State};

/// Makes the line that was answered the document, after asking when that would lose unsaved changes.
pub(super) fn begin_line(state: &mut State, answers: &Outline) {
    match outline(answers) {
        Ok(text) => unless_unsaved(state, Then::Line(text)),
        Err(problems) => {
            // The page says so beside each field and offers no button then.
            let first = problems.first().map(|p| p.message.as_str());
            let text = format!("No line yet: {}.", first.unwrap_or("an answer is missing"));
            state.notice = Some(Notice::bad(text));
        }
    }
}

/// Writes a line of the head of reports into the scenario; an empty one is taken away.
pub(super) fn set_head(state: &mut State, field: &'static str, text: &str) {
    let Some(document) = &state.document else {
        return;
    };
    let at = Spot::of(&[TITLE_BLOCK, field]);
    let has_block = document.scenario.title_block.is_some();
    let text = text.trim();
    let mut edits = Vec::new();
    if text.is_empty() {
        edits.extend(has_block.then_some(Edit::Remove { at }));
    } else {
        if !has_block {
            let at = Spot::of(&[TITLE_BLOCK]);
            edits.push(Edit::Add { at, key: None });
        }
        let text = text.to_owned();
        edits.push(Edit::Write { at, text });
    }
    editing::edit(state, &edits, "the head of reports");
}

/// Name of the part of a scenario that holds the head of reports.
const TITLE_BLOCK: &str = "title_block";

/// Gives the drag-out lever what was measured, as one step of undo.
pub(super) fn take_drag_out(state: &mut State, measured: &Measured) {
    let (gesture, system) = (state.gesture, state.prefs.system);
    let Some(document) = &mut state.document else {
        return;
    };
    let outcome = document.take_measured(measured, system, gesture);
    let is_taken = outcome.is_ok();
    super::note(state, &measured.path, outcome);
    if is_taken {
        state.page = None;
    }
}

/// Begins a lesson on the line that is there; levers act from the start then, so that the settled week follows them.
pub(super) fn begin_lesson(state: &mut State, number: Option<usize>) {
    state.lesson = number.and_then(Standing::begin);
    if state.lesson.is_some() {
        state.page = None;
        // The loop and its curves are what a lesson looks at.
        state.prefs.shown = Shown::Loop;
        state.playhead.acts = ActsFrom::Start;
        // What it judges is the settled week.
        state.playhead.put(None);
    }
}

/// Notes what somebody thinks will come of a step.
pub(super) fn predict(state: &mut State, choice: usize) {
    let line = state.results.figures().and_then(|f| f.line());
    let (Some(document), Some(line), Some(lesson)) = (&state.document, line, state.lesson) else {
        return;
    };
    match lesson.predict(choice, document, line) {
        Some(next) => state.lesson = Some(next),
        None => {
            let text =
                "This line has not what the lesson is about. Try it on the demo (File, Demo).";
            state.notice = Some(Notice::bad(text.to_owned()));
        }
    }
}
