//! What is asked of sizing.

use std::sync::Arc;

use dragback_scenario::Layout;
use dragback_study::size::wanted;

use crate::loop_view::Selection;
use crate::prefs::Shown;
use crate::sizing::{
    OnBench, SizingRequest, SizingTable, Taken, closed_words, on_bench, rinses_words,
};
use crate::state::{Notice, State};
use crate::worker::Job;

/// Begins a table for a final rinse.
pub(super) fn begin(state: &mut State, limit: &str) {
    let (Some(document), Some(workers)) = (&state.document, &state.workers) else {
        return;
    };
    let limit = match wanted(&document.scenario, &document.loop_key, limit) {
        Ok(limit) => limit,
        Err(problem) => {
            let text = format!("Not sized: {}; {}.", problem.message, problem.advice);
            state.notice = Some(Notice::bad(text));
            return;
        }
    };
    state.last_sizing += 1;
    let request = SizingRequest {
        number: state.last_sizing,
        document: document.id,
        loop_key: document.loop_key.clone(),
        scenario: Arc::clone(&document.scenario),
        limit,
    };
    state
        .results
        .begin_sizing(SizingTable::begun(request.clone()));
    workers.ask_sizing(request);
}

/// Gives a table up.
pub(super) fn give_up(state: &mut State) {
    if let Some(workers) = &state.workers {
        workers.give_up(Job::Sizing);
    }
    state.results.give_up(Job::Sizing);
}

/// Makes a row the present line, as one step of undo, and shows it on the bench. Nothing that was changed since the table is lost: a table of another
/// line is refused.
pub(super) fn take(state: &mut State, plan: Layout) {
    let gesture = state.gesture;
    let (Some(document), Some(table)) = (&mut state.document, state.results.sizing()) else {
        return;
    };
    let stands = on_bench(table, state.results.taken.as_ref(), document);
    let may_take = matches!(stands, OnBench::Sized | OnBench::Row(_));
    let Some(made) = table.scenario(plan).filter(|_| may_take) else {
        let text = "The table is of another line than the present one. Size anew first.";
        state.notice = Some(Notice::bad(text.to_owned()));
        return;
    };
    if document.faulty().is_some() {
        let text = "Edits that do not run are under way. Put them right or let them go first.";
        state.notice = Some(Notice::bad(text.to_owned()));
        return;
    }
    let words = format!("{}, {}", rinses_words(&plan), closed_words(plan.closed_by));
    let lost = document
        .scenario
        .events
        .len()
        .saturating_sub(made.events.len());
    let what = format!("layout {words}");
    if let Err(problem) = document.take_line(made, &what, gesture) {
        let text = format!("Not taken: {}; {}.", problem.message, problem.advice);
        state.notice = Some(Notice::bad(text));
        return;
    }
    state.results.taken = Some(Taken {
        number: table.of.number,
        plan,
        scenario: Arc::clone(&document.scenario),
    });
    let events = match lost {
        0 => String::new(),
        1 => " The event of the line before is left out.".to_owned(),
        n => format!(" The {n} events of the line before are left out."),
    };
    let text = format!("Now the line: {words}.{events} Undo brings the line before back.");
    state.notice = Some(Notice::good(text));
    state.faults.clear();
    // What was selected may be gone.
    state.selection = Selection::None;
    state.prefs.shown = Shown::Loop;
    state.request(None);
}
