//! Opening scenarios, to work on or to compare with.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{TryRecvError, sync_channel};

use dragback_scenario::Draft;

use super::closing::Then;
use super::files::read_text;
use super::typing::{Purpose, by_dialog};
use super::{closing, exporting, saving, typing};
use crate::document::{Document, Origin};
use crate::export::{Picture, Shot};
use crate::problems::ProblemList;
use crate::state::{Notice, State};

/// A file that was read, or what is wrong with it.
pub type Opened = Result<Document, ProblemList>;

/// What a thread that asks for files brings.
pub enum Found {
    /// A scenario to work on.
    Document(Box<Opened>),
    /// A scenario to compare with.
    Reference(Box<Opened>),
    /// A scenario whose line becomes a variant.
    Variant(Box<Opened>),
    /// A name to save under.
    SaveTo(PathBuf),
    /// Something was written down, or why it was not.
    Exported(Result<PathBuf, String>),
    /// A name for a picture.
    PictureTo(Picture, PathBuf),
    /// The same for a picture of lines and texts.
    DrawingTo(Picture, PathBuf),
    /// The system has no dialog for files.
    NoDialog(Purpose),
    /// The dialog was closed.
    Nothing,
}

/// Reads the built-in scenario.
pub fn open_demo(state: &mut State) {
    let id = next_id(state);
    let name = state.options.demo_name.to_owned();
    let origin = Origin {
        name: name.clone(),
        path: None,
    };
    match Document::read(state.options.demo_text, origin, id) {
        Ok(document) => state.show(document),
        Err(problems) => {
            state.problems = Some(ProblemList {
                name,
                path: None,
                problems,
                text: None,
            })
        }
    }
}

/// Begins a line that has no file yet.
pub(super) fn open_line(state: &mut State, text: &str) {
    let origin = Origin {
        name: "my line".to_owned(),
        path: None,
    };
    let id = next_id(state);
    match Document::read(text, origin, id) {
        Ok(document) => state.show(document.into_unsaved()),
        Err(problems) => {
            state.page = None;
            state.problems = Some(ProblemList {
                name: "my line".to_owned(),
                path: None,
                problems,
                text: None,
            });
        }
    }
}

/// Opens a file on a thread of its own, after asking for one when none is given: dialogs and disks may take their time.
pub fn open(state: &mut State, path: Option<PathBuf>) {
    let id = next_id(state);
    let has_dialogs = !state.options.without_dialogs;
    find(state, "open file", move || {
        let read = |path: PathBuf| Found::Document(Box::new(read_document(&path, id)));
        let dialog = || ask_for_file("Open a scenario");
        match path {
            Some(path) => read(path),
            None => by_dialog(Purpose::Open, has_dialogs, dialog, read),
        }
    });
}

/// Reads a scenario to compare with.
pub fn open_reference(state: &mut State, path: Option<PathBuf>) {
    let id = next_id(state);
    let has_dialogs = !state.options.without_dialogs;
    find(state, "open reference", move || {
        let read = |path: PathBuf| Found::Reference(Box::new(read_document(&path, id)));
        let dialog = || ask_for_file("Open a scenario to compare with");
        match path {
            Some(path) => read(path),
            None => by_dialog(Purpose::Compare, has_dialogs, dialog, read),
        }
    });
}

/// Reads a scenario whose line becomes a variant.
pub(super) fn open_variant(state: &mut State, path: Option<PathBuf>) {
    let id = next_id(state);
    let has_dialogs = !state.options.without_dialogs;
    find(state, "open variant", move || {
        let read = |path: PathBuf| Found::Variant(Box::new(read_document(&path, id)));
        let dialog = || ask_for_file("Add a scenario as a variant");
        match path {
            Some(path) => read(path),
            None => by_dialog(Purpose::Variant, has_dialogs, dialog, read),
        }
    });
}

/// Does something that may take its time on a thread of its own; one thing at a time.
pub(super) fn find(state: &mut State, name: &str, work: impl FnOnce() -> Found + Send + 'static) {
    if state.opening.is_some() {
        return;
    }
    let wake = Arc::clone(&state.wake);
    let (sender, receiver) = sync_channel(1);
    let work = move || {
        // The window may be gone by now; then nobody wants the file.
        let _ = sender.send(work());
        wake();
    };
    let thread = std::thread::Builder::new().name(name.to_owned());
    if thread.spawn(work).is_ok() {
        state.opening = Some(receiver);
    }
}

/// Takes over what a thread has brought meanwhile.
pub fn take_found(state: &mut State) {
    let Some(receiver) = &state.opening else {
        return;
    };
    let found = match receiver.try_recv() {
        Ok(found) => found,
        Err(TryRecvError::Empty) => return,
        Err(TryRecvError::Disconnected) => {
            let text = "This stopped by an error of the program; nothing was read or written.";
            state.notice = Some(Notice::bad(text.to_owned()));
            Found::Nothing
        }
    };
    state.opening = None;
    state.tally = None;
    match found {
        Found::Document(opened) => match *opened {
            Ok(document) => {
                // Nobody is asked about unsaved changes for a file that turns out not to open.
                state.read = Some(document);
                closing::unless_unsaved(state, Then::ShowRead);
            }
            Err(list) => {
                state.page = None;
                state.problems = Some(list);
            }
        },
        Found::Reference(opened) => match *opened {
            Ok(document) => state.compare_with(&document),
            Err(list) => state.problems = Some(list),
        },
        Found::Variant(opened) => super::variants::take_read(state, *opened),
        Found::SaveTo(path) => {
            let then = state.after_save.take();
            saving::save_to(state, path, then);
        }
        Found::Exported(outcome) => exporting::note(state, outcome),
        Found::PictureTo(picture, path) => {
            state.picture = Some(Shot::pixels(picture, path));
        }
        Found::DrawingTo(picture, path) => {
            state.picture = Some(Shot::lines(picture, path));
        }
        Found::NoDialog(purpose) => typing::ask(state, purpose),
        Found::Nothing => state.after_save = None,
    }
}

/// Opens a file that does not run in the editor, beside what is on the bench.
pub(super) fn mend(state: &mut State) {
    let id = next_id(state);
    let Some(list) = &state.problems else { return };
    let (Some(text), Some(document)) = (&list.text, &state.document) else {
        return;
    };
    let origin = Origin {
        name: list.name.clone(),
        path: list.path.clone(),
    };
    if let Some(document) = document.to_mend(text, origin, id) {
        let first = list.problems.iter().find(|p| !p.path.is_empty());
        let first = first.map(|p| p.path.clone()).unwrap_or_default();
        state.show(document);
        super::editing::go_to(state, first);
    }
}

/// Shows the scenario that has been read.
pub(super) fn show_read(state: &mut State) {
    if let Some(document) = state.read.take() {
        if let Some(path) = &document.origin.path {
            state.prefs.note_recent(path);
        }
        state.show(document);
    }
}

fn next_id(state: &mut State) -> u64 {
    state.last_document += 1;
    state.last_document
}

fn ask_for_file(title: &str) -> Option<PathBuf> {
    rfd::FileDialog::new()
        .set_title(title)
        .add_filter("Scenario", &["ron"])
        .add_filter("All files", &["*"])
        .pick_file()
}

fn read_document(path: &Path, id: u64) -> Opened {
    let name = path
        .file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned();
    let origin = Origin {
        name: name.clone(),
        path: Some(path.to_owned()),
    };
    let refuse = |problems, text| ProblemList {
        name: name.clone(),
        path: Some(path.to_owned()),
        problems,
        text,
    };
    let text = read_text(path).map_err(|problem| refuse(vec![problem], None))?;
    Document::read(&text, origin, id).map_err(|problems| {
        let can_be_mended = Draft::new(text.as_str()).is_ok();
        refuse(problems, can_be_mended.then_some(text))
    })
}
