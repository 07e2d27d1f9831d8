//! What can be asked of the window, one small function for each. Nothing else changes the document, and no other part of this crate opens files.

mod autosave;
mod closing;
mod editing;
mod exporting;
mod files;
mod opening;
mod page;
mod prefs;
mod saving;
mod sizing;
mod timeline;
mod typing;
mod variants;

use std::path::PathBuf;

use dragback_scenario::{Edit, Layout, Outline, Problem};
use dragback_study::Counted;
use dragback_study::curves::Kind;
use dragback_units::System;

use crate::document::{NewEvent, Setting};
use crate::export::Export;
use crate::lessons::Standing;
use crate::loop_view::Selection;
use crate::measured::Measured;
use crate::page::Page;
use crate::panels::Help;
use crate::playhead::{ActsFrom, Speed};
use crate::prefs::Shown;
use crate::prefs::ThemeChoice;
use crate::results::Pinned;
use crate::state::State;
use crate::sweep::SweepChoice;

pub use autosave::{Autosave, EVERY as AUTOSAVE_EVERY, Kept, Left, follow as keep_unsaved};
pub use closing::{Choice, Question, Then};
pub use exporting::take_picture;
pub use files::append_line;
pub use opening::{Found, Opened, open, open_demo, take_found};
pub use prefs::{prefs_path, read_prefs, write_prefs};
pub use typing::{Purpose, Typing};
pub use variants::{NameFor, Naming, VariantCommand};

/// Something that a panel asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Move a lever, or give an input a typed value.
    SetLever {
        /// Path of its input.
        path: String,
        /// The value.
        setting: Setting,
    },
    /// Put a lever back to what the file says.
    RestoreLever {
        /// Path of its input.
        path: String,
    },
    /// A value that was refused has been given up.
    ForgetFault(String),
    /// Take the last change back.
    Undo,
    /// Bring the last undone change back.
    Redo,
    /// Choose a file by the system's dialog.
    OpenDialog,
    /// Open a file.
    OpenPath(PathBuf),
    /// Go back to the built-in scenario.
    OpenDemo,
    /// Save under the name that the scenario has, or ask for one.
    Save,
    /// Choose a name by the system's dialog and save.
    SaveAs,
    /// Save under a name.
    SaveTo(PathBuf),
    /// Choose a name by the system's dialog and write something down.
    Export(Export),
    /// Write something down under a name.
    ExportTo(Export, PathBuf),
    /// Take a path that was typed for want of a dialog.
    TakePath(String),
    /// Close the field for a path.
    GiveUpPath,
    /// Answer the question that is open.
    Answer(Choice),
    /// Put the notice away.
    CloseNotice,
    /// The window is to be closed.
    CloseWindow,
    /// Keep the present state to compare with.
    Pin,
    /// Let the kept state go.
    Unpin,
    /// Give up what the threads have been at for long.
    GiveUpLong,
    /// Choose a scenario to compare with.
    ReferenceDialog,
    /// Compare with the scenario of a file.
    ReferencePath(PathBuf),
    /// Show another loop.
    ChooseLoop(String),
    /// Show other units.
    SetSystem(System),
    /// Shows strengths of lead solutes as such or as the bath's salt.
    SetCounted(Counted),
    /// Light, dark, or as the system has it.
    SetTheme(ThemeChoice),
    /// Size of text, as a multiple.
    SetScale(f32),
    /// Which plots are shown; `None` as many as there is room for.
    ShowPlots(Option<Vec<Kind>>),
    /// In which order plots stand.
    ArrangePlots(Vec<Kind>),
    /// Name of what has the whole sheet to itself; `None` shows all again.
    Enlarge(Option<String>),
    /// What the plot of settled answers shows; `None` puts it away.
    SetSweep(Option<SweepChoice>),
    /// What the middle of the window shows.
    Show(Shown),
    /// A line of the head of reports: its field in the scenario, and its text.
    SetHead(&'static str, String),
    /// Years within which a change is to pay.
    SetWithin(f64),
    /// Something about variants.
    Variant(VariantCommand),
    /// Size the layouts of the loop for a final rinse, as written with its unit.
    SizeLayouts(String),
    /// Give sizing up; the rows that were found stay.
    GiveUpSizing,
    /// Give up the report that is being worked out; nothing is written.
    GiveUpReport,
    /// Make a row of the table the present line.
    TakeLayout(Layout),
    /// Open a page of help; `None` closes it.
    ShowHelp(Option<Help>),
    /// Put the file right that was not opened, in the editor.
    MendFile,
    /// Put the list of problems away.
    CloseProblems,
    /// Put the cursor at a day of the run; `None` goes back to the settled week.
    MoveCursor(Option<f64>),
    /// Move the cursor by so many days.
    StepCursor(f64),
    /// Start or stop time.
    TogglePlay,
    /// How fast time plays.
    SetSpeed(Speed),
    /// From when on moved levers act.
    SetActs(ActsFrom),
    /// Bring a tank or stream forward.
    Select(Selection),
    /// How much of the sheet the drawing takes, 0 to 1.
    SetDrawingShare(f32),
    /// Give an input a new value from a time on.
    SetStep {
        /// Path of the input.
        path: String,
        /// Hours from the start.
        at_h: f64,
        /// The value.
        setting: Setting,
    },
    /// Put something new on the timeline.
    AddEvent {
        /// Hours from the start.
        at_h: f64,
        /// What happens.
        new: NewEvent,
    },
    /// Move an event to another time.
    MoveEvent {
        /// Its number in the scenario's list.
        index: usize,
        /// Hours from the start.
        at_h: f64,
    },
    /// Give a step change another value.
    EditEvent {
        /// Its number in the scenario's list.
        index: usize,
        /// The value as typed.
        value: String,
    },
    /// Take an event away.
    RemoveEvent(usize),
    /// Lay a page over the bench; `None` puts it away.
    ShowPage(Option<Page>),
    /// Open the editor at the chapter of an input or of what holds it, by its path.
    EditPart(String),
    /// Change parts of the line, as one step of undo.
    Edit {
        /// The changes, one upon the other.
        edits: Vec<Edit>,
        /// What is changed, for people.
        what: String,
    },
    /// Let edits go that left faults.
    DropDraft,
    /// Begin a line as one of [`crate::templates::TEMPLATES`].
    BeginTemplate(usize),
    /// Begin a line from what was answered.
    BeginLine(Outline),
    /// Begin a lesson, by its number in [`crate::lessons::LESSONS`]; `None` leaves the one that is under way.
    BeginLesson(Option<usize>),
    /// Say what will come of a lesson's step.
    Predict(usize),
    /// Go on with the lesson.
    NextStep,
    /// Give the drag-out lever what was measured.
    TakeDragOut(Measured),
}

/// Does what was asked.
pub fn execute(state: &mut State, command: Command) {
    match command {
        Command::SetLever { path, setting } => set_lever(state, &path, setting),
        Command::RestoreLever { path } => restore_lever(state, &path),
        Command::ForgetFault(path) => {
            state.faults.remove(&path);
        }
        Command::Undo => undo(state),
        Command::Redo => redo(state),
        Command::OpenDialog => opening::open(state, None),
        Command::OpenPath(path) => opening::open(state, Some(path)),
        Command::OpenDemo => closing::unless_unsaved(state, Then::Demo),
        Command::CloseWindow => closing::unless_unsaved(state, Then::Close),
        Command::Save => saving::save(state, None),
        Command::SaveAs => saving::save_as(state, None),
        Command::SaveTo(path) => saving::save_to(state, path, None),
        Command::Export(what) => exporting::ask(state, what),
        Command::ExportTo(what, path) => exporting::write(state, what, path),
        Command::TakePath(text) => typing::take(state, &text),
        Command::GiveUpPath => typing::give_up(state),
        Command::Answer(choice) => closing::answer(state, choice),
        Command::CloseNotice => state.notice = None,
        Command::Pin => pin(state),
        Command::Unpin => unpin(state),
        Command::GiveUpLong => state.give_up_long(),
        Command::ReferenceDialog => opening::open_reference(state, None),
        Command::ReferencePath(path) => opening::open_reference(state, Some(path)),
        Command::ChooseLoop(key) => choose_loop(state, &key),
        Command::SetSystem(system) => state.prefs.system = system,
        Command::SetCounted(counted) => state.prefs.counted = counted,
        Command::SetTheme(theme) => state.prefs.theme = theme,
        Command::SetScale(scale) => state.prefs.set_scale(scale),
        Command::ShowPlots(kinds) => state.prefs.set_plots(kinds.as_deref()),
        Command::ArrangePlots(kinds) => state.prefs.arrange_plots(&kinds),
        Command::Enlarge(name) => state.prefs.large = name,
        Command::SetSweep(choice) => set_sweep(state, choice),
        Command::Show(shown) => show(state, shown),
        Command::SetWithin(years) => state.prefs.set_within(years),
        Command::Variant(command) => variants::execute(state, command),
        Command::SizeLayouts(limit) => sizing::begin(state, &limit),
        Command::GiveUpSizing => sizing::give_up(state),
        Command::GiveUpReport => {
            if let Some(tally) = &state.tally {
                tally.give_up();
            }
        }
        Command::TakeLayout(plan) => sizing::take(state, plan),
        Command::ShowHelp(page) => state.help = page,
        Command::MendFile => closing::unless_unsaved(state, Then::Mend),
        Command::CloseProblems => state.problems = None,
        Command::MoveCursor(day) => state.playhead.put(day),
        Command::StepCursor(days) => state.playhead.step(days),
        Command::TogglePlay => state.playhead.toggle(),
        Command::SetSpeed(speed) => state.playhead.speed = speed,
        Command::SetActs(acts) => state.playhead.acts = acts,
        Command::Select(selection) => state.selection = selection,
        Command::SetDrawingShare(share) => state.prefs.set_drawing_share(share),
        Command::SetStep {
            path,
            at_h,
            setting,
        } => timeline::set_step(state, &path, at_h, &setting),
        Command::AddEvent { at_h, new } => timeline::add(state, at_h, new),
        Command::MoveEvent { index, at_h } => timeline::put(state, index, at_h),
        Command::EditEvent { index, value } => timeline::set_value(state, index, &value),
        Command::RemoveEvent(index) => timeline::remove(state, index),
        Command::ShowPage(page) => state.page = page,
        Command::EditPart(path) => editing::go_to(state, path),
        Command::Edit { edits, what } => editing::edit(state, &edits, &what),
        Command::DropDraft => editing::drop_draft(state),
        Command::BeginTemplate(number) => editing::begin(state, number),
        Command::BeginLine(answers) => page::begin_line(state, &answers),
        Command::BeginLesson(number) => page::begin_lesson(state, number),
        Command::Predict(choice) => page::predict(state, choice),
        Command::NextStep => state.lesson = state.lesson.and_then(Standing::next),
        Command::SetHead(field, text) => page::set_head(state, field, &text),
        Command::TakeDragOut(measured) => page::take_drag_out(state, &measured),
    }
}

/// Notes what came of a change to an input.
fn note(state: &mut State, path: &str, outcome: Result<(), Problem>) {
    match outcome {
        Ok(()) => {
            // What was refused before was never taken over; the document is sound, and nothing that was said of it holds any more.
            state.faults.clear();
            state.request(Some(path));
        }
        Err(problem) => {
            state.faults.insert(path.to_owned(), problem);
        }
    }
}

fn set_lever(state: &mut State, path: &str, setting: Setting) {
    let gesture = state.gesture;
    if let Some(document) = &mut state.document {
        let outcome = document.change(path, setting, gesture);
        note(state, path, outcome);
    }
}

fn restore_lever(state: &mut State, path: &str) {
    let gesture = state.gesture;
    if let Some(document) = &mut state.document {
        let outcome = document.restore(path, gesture);
        note(state, path, outcome);
    }
}

fn undo(state: &mut State) {
    let document = state.document.as_mut();
    if document.and_then(crate::document::Document::undo).is_some() {
        state.faults.clear();
        state.forget_good_news();
        state.request(None);
    }
}

fn redo(state: &mut State) {
    let document = state.document.as_mut();
    if document.and_then(crate::document::Document::redo).is_some() {
        state.faults.clear();
        state.forget_good_news();
        state.request(None);
    }
}

fn choose_loop(state: &mut State, key: &str) {
    if let Some(document) = &mut state.document {
        document.choose_loop(key);
        state.request(None);
    }
}

fn pin(state: &mut State) {
    let Some(document) = &state.document else {
        return;
    };
    let title = document.title();
    let changed = document.changed_texts();
    let each = changed.iter().map(|(path, text)| {
        let name = document.name_of(path);
        format!("{name} {text}")
    });
    let name = match changed.len() {
        0 => format!("pinned: {title}"),
        1 | 2 => format!("pinned: {title}, {}", each.collect::<Vec<_>>().join(", ")),
        n => format!("pinned: {title}, {n} changes"),
    };
    state.pinned = Pinned::of(&state.results, name);
}

fn unpin(state: &mut State) {
    state.pinned = None;
    state.reference = None;
}

fn set_sweep(state: &mut State, choice: Option<SweepChoice>) {
    state.prefs.sweep = choice;
    state.request_sweep();
}

/// Shows something in the middle of the window.
fn show(state: &mut State, shown: Shown) {
    state.prefs.shown = shown;
    // What was given up is worth another try when somebody looks again.
    state.variants.forget_asked();
    state.hangs.forget_asked();
}
