//! What can be asked of the window, one small function for each. Nothing else changes the document, and no other file of this crate opens files.

use std::fs;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::sync_channel;

use dragback_scenario::{MAX_BYTES, Problem};
use dragback_units::System;

use crate::document::{Document, Origin, Setting};
use crate::problems::ProblemList;
use crate::state::State;

/// Something that a panel asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Move a lever, or give it a typed value.
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
    /// Choose a file by the system's dialog.
    OpenDialog,
    /// Open a file.
    OpenPath(PathBuf),
    /// Go back to the built-in scenario.
    OpenDemo,
    /// Show another loop.
    ChooseLoop(String),
    /// Show other units.
    SetSystem(System),
    /// Light or dark.
    SetDark(bool),
    /// Put the list of problems away.
    CloseProblems,
}

/// A file that was read, or what is wrong with it.
pub type Opened = Result<Document, ProblemList>;

/// Does what was asked.
pub fn execute(state: &mut State, command: Command) {
    match command {
        Command::SetLever { path, setting } => set_lever(state, &path, setting),
        Command::RestoreLever { path } => restore_lever(state, &path),
        Command::OpenDialog => open(state, None),
        Command::OpenPath(path) => open(state, Some(path)),
        Command::OpenDemo => open_demo(state),
        Command::ChooseLoop(key) => choose_loop(state, &key),
        Command::SetSystem(system) => state.prefs.system = system,
        Command::SetDark(is_dark) => state.prefs.is_dark = is_dark,
        Command::CloseProblems => state.problems = None,
    }
}

fn set_lever(state: &mut State, path: &str, setting: Setting) {
    let Some(document) = &mut state.document else {
        return;
    };
    match document.change(path, setting) {
        Ok(()) => {
            state.faults.remove(path);
            state.request(Some(path));
        }
        Err(problem) => {
            state.faults.insert(path.to_owned(), problem);
        }
    }
}

fn restore_lever(state: &mut State, path: &str) {
    let Some(document) = &mut state.document else {
        return;
    };
    match document.restore(path) {
        Ok(()) => {
            state.faults.remove(path);
            state.request(Some(path));
        }
        Err(problem) => {
            state.faults.insert(path.to_owned(), problem);
        }
    }
}

fn choose_loop(state: &mut State, key: &str) {
    if let Some(document) = &mut state.document {
        document.choose_loop(key);
        state.request(None);
    }
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
            })
        }
    }
}

/// Opens a file on a thread of its own, after asking for one when none is given: dialogs and disks may take their time.
pub fn open(state: &mut State, path: Option<PathBuf>) {
    if state.opening.is_some() {
        return;
    }
    let id = next_id(state);
    let wake = Arc::clone(&state.wake);
    let (sender, receiver) = sync_channel(1);
    let work = move || {
        let path = path.or_else(ask_for_file);
        // The window may be gone by now; then nobody wants the file.
        let _ = sender.send(path.map(|path| read_document(&path, id)));
        wake();
    };
    let thread = std::thread::Builder::new().name("open file".to_owned());
    if thread.spawn(work).is_ok() {
        state.opening = Some(receiver);
    }
}

/// Takes over a file that has been read meanwhile.
pub fn take_opened(state: &mut State) {
    let Some(receiver) = &state.opening else {
        return;
    };
    let opened = match receiver.try_recv() {
        Ok(opened) => opened,
        Err(std::sync::mpsc::TryRecvError::Empty) => return,
        Err(std::sync::mpsc::TryRecvError::Disconnected) => None,
    };
    state.opening = None;
    match opened {
        Some(Ok(document)) => state.show(document),
        Some(Err(list)) => state.problems = Some(list),
        None => {}
    }
}

fn next_id(state: &mut State) -> u64 {
    state.last_document += 1;
    state.last_document
}

fn ask_for_file() -> Option<PathBuf> {
    rfd::FileDialog::new()
        .set_title("Open a scenario")
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
    let refuse = |problems| ProblemList {
        name: name.clone(),
        path: Some(path.to_owned()),
        problems,
    };
    let text = read_text(path).map_err(|problem| refuse(vec![problem]))?;
    Document::read(&text, origin, id).map_err(refuse)
}

/// Reads no more of a file than a scenario may have.
fn read_text(path: &Path) -> Result<String, Problem> {
    let fault = |message: String, advice: &str| Problem::of_text(None, message, advice);
    let shown = path.display();
    let about = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => fault(
            format!("there is no file {shown}"),
            "check the path; it may be typed in full or from where the program was started",
        ),
        std::io::ErrorKind::PermissionDenied => fault(
            format!("{shown} may not be read"),
            "ask for the right to read it, or copy it",
        ),
        _ => fault(
            format!("{shown} cannot be read: {error}"),
            "copy it to another place and try again",
        ),
    };
    let meta = fs::metadata(path).map_err(about)?;
    if !meta.is_file() {
        return Err(fault(
            format!("{shown} is not a file"),
            "choose a scenario file; its name usually ends in .ron",
        ));
    }
    let mut bytes = Vec::new();
    let limit = u64::try_from(MAX_BYTES)
        .unwrap_or(u64::MAX)
        .saturating_add(1);
    fs::File::open(path)
        .map_err(about)?
        .take(limit)
        .read_to_end(&mut bytes)
        .map_err(about)?;
    if bytes.len() > MAX_BYTES {
        let message = format!(
            "{shown} is longer than the {} kB that a scenario may have",
            MAX_BYTES / 1000
        );
        return Err(fault(message, "choose a scenario file"));
    }
    String::from_utf8(bytes).map_err(|_| {
        fault(
            format!("{shown} is not text"),
            "choose a scenario file, or save it as UTF-8",
        )
    })
}

/// Appends a line to the report that tests ask for.
pub fn append_line(path: &Path, line: &str) -> std::io::Result<()> {
    let mut file = fs::OpenOptions::new()
        .create(true)
        .append(true)
        .open(path)?;
    writeln!(file, "{line}")
}
