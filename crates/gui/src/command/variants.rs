//! What is asked of the variants of the line.

use std::path::PathBuf;
use std::sync::Arc;

use dragback_scenario::{Problem, Scenario};

use super::closing::Question;
use super::opening::{self, Opened};
use crate::state::{Notice, State};

/// What a name is wanted for.
#[derive(Clone, Debug, PartialEq)]
pub enum NameFor {
    /// The line as it stands.
    Keep,
    /// A variant that has this name now.
    Rename(String),
    /// A line that was read from a file.
    Line(Arc<Scenario>),
}

/// A name that is being asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Naming {
    /// What for.
    pub of: NameFor,
    /// What stands in the field at first.
    pub start: String,
    /// Why the name that was given cannot be one.
    pub fault: Option<String>,
}

/// What is asked of variants.
#[derive(Clone, Debug, PartialEq)]
pub enum VariantCommand {
    /// Ask for a name.
    AskName(NameFor),
    /// Take a name that was typed.
    TakeName(String),
    /// Close the field for a name.
    GiveUpName,
    /// Take a variant away.
    Delete(String),
    /// Make a variant the line.
    TakeUp(String),
    /// Choose a file whose line becomes a variant.
    FileDialog,
    /// Take the line of a file as a variant.
    File(PathBuf),
    /// From which variant differences are told; `None` from the line itself.
    Against(Option<String>),
}

/// Does what was asked.
pub(super) fn execute(state: &mut State, command: VariantCommand) {
    match command {
        VariantCommand::AskName(of) => ask_name(state, of),
        VariantCommand::TakeName(name) => take_name(state, &name),
        VariantCommand::GiveUpName => state.naming = None,
        VariantCommand::Delete(name) => {
            let gesture = state.gesture;
            let outcome = change(state, |d| d.delete_variant(&name, gesture));
            tell(
                state,
                outcome,
                format!("“{name}” is deleted; Undo brings it back."),
            );
        }
        VariantCommand::TakeUp(name) => take_up(state, name),
        VariantCommand::FileDialog => opening::open_variant(state, None),
        VariantCommand::File(path) => opening::open_variant(state, Some(path)),
        VariantCommand::Against(name) => state.against = name,
    }
}

fn change(
    state: &mut State,
    change: impl FnOnce(&mut crate::document::Document) -> Result<(), Problem>,
) -> Result<(), Problem> {
    state.document.as_mut().map_or(Ok(()), change)
}

fn tell(state: &mut State, outcome: Result<(), Problem>, done: String) {
    state.notice = Some(match outcome {
        Ok(()) => Notice::good(done),
        Err(problem) => Notice::bad(told(&problem)),
    });
}

/// A problem as a sentence.
fn told(problem: &Problem) -> String {
    crate::words::sentence(&format!("{}; {}", problem.message, problem.advice))
}

fn ask_name(state: &mut State, of: NameFor) {
    let Some(document) = &state.document else {
        return;
    };
    let start = match &of {
        NameFor::Keep => document.proposed_name(),
        NameFor::Rename(name) => name.clone(),
        NameFor::Line(line) => document.free_name(&line.title),
    };
    state.naming = Some(Naming {
        of,
        start,
        fault: None,
    });
}

fn take_name(state: &mut State, name: &str) {
    let Some(mut naming) = state.naming.take() else {
        return;
    };
    let (name, gesture) = (name.trim().to_owned(), state.gesture);
    let outcome = change(state, |document| match &naming.of {
        NameFor::Keep => document.keep_variant(&name, gesture),
        NameFor::Rename(old) => document.rename_variant(old, &name, gesture),
        NameFor::Line(line) => document.add_variant(&name, line, gesture),
    });
    if let Err(problem) = outcome {
        naming.fault = Some(told(&problem));
        naming.start = name;
        state.naming = Some(naming);
        return;
    }
    let text = match &naming.of {
        NameFor::Rename(old) => {
            if state.against.as_ref() == Some(old) {
                state.against = Some(name.clone());
            }
            format!("The variant is called “{name}” now.")
        }
        NameFor::Line(line) if !line.variants.is_empty() => {
            format!("“{name}” stands among the variants; those in its own file stay there.")
        }
        NameFor::Keep | NameFor::Line(_) => format!("“{name}” stands among the variants."),
    };
    state.notice = Some(Notice::good(text));
}

/// Makes a variant the line, after asking whether the line as it stands is to be kept; one that is kept already is not asked about.
fn take_up(state: &mut State, name: String) {
    let Some(document) = &state.document else {
        return;
    };
    if document.is_kept_as_variant() {
        exchange(state, &name, None);
    } else {
        let keep_as = document.proposed_name();
        state.question = Some(Question::TakeUp { name, keep_as });
    }
}

/// Makes a variant the line; the line as it stands is kept under a name, or let go.
pub(super) fn exchange(state: &mut State, name: &str, keep_as: Option<&str>) {
    let gesture = state.gesture;
    let outcome = change(state, |d| d.take_up_variant(name, keep_as, gesture));
    let is_done = outcome.is_ok();
    tell(
        state,
        outcome,
        format!("The line is “{name}” now; Undo takes that back."),
    );
    if is_done {
        state.faults.clear();
        state.request(None);
    }
}

/// Takes what was read from a file: it waits for a name.
pub(super) fn take_read(state: &mut State, opened: Opened) {
    match opened {
        Ok(document) => {
            let line: Arc<Scenario> = document.scenario;
            ask_name(state, NameFor::Line(line));
        }
        Err(list) => state.problems = Some(list),
    }
}
