//! Paths that are typed where no dialog of the system appears.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::opening::{Found, open, open_reference, open_variant};
use super::{exporting, saving};
use crate::export::Export;
use crate::state::State;

/// What a path is wanted for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Purpose {
    /// A scenario to work on.
    Open,
    /// A scenario to compare with.
    Compare,
    /// A scenario whose line becomes a variant.
    Variant,
    /// A name to save the scenario under.
    Save,
    /// A file for something that is written down.
    Export(Export),
}

/// A path that is being asked for in the window itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Typing {
    /// What for.
    pub purpose: Purpose,
    /// What stands in the field at first.
    pub start: String,
    /// What is wrong with what was typed.
    pub fault: Option<String>,
    /// A file that is there already, and is replaced when it is given a second time.
    pub replaces: Option<PathBuf>,
}

/// A dialog that was closed sooner than this was never seen: there is none on this system.
const UNSEEN: Duration = Duration::from_millis(400);

/// Asks by the system's dialog. Where there is none, the window itself is to ask.
pub(super) fn by_dialog(
    purpose: Purpose,
    has_dialogs: bool,
    dialog: impl FnOnce() -> Option<PathBuf>,
    then: impl FnOnce(PathBuf) -> Found,
) -> Found {
    let began = Instant::now();
    match has_dialogs.then(dialog).flatten() {
        Some(path) => then(path),
        None if !has_dialogs || began.elapsed() < UNSEEN => Found::NoDialog(purpose),
        None => Found::Nothing,
    }
}

/// Lets the window ask.
pub(super) fn ask(state: &mut State, purpose: Purpose) {
    let document = state.document.as_ref();
    let own = document.and_then(|d| d.origin.path.as_deref());
    let folder = own.and_then(Path::parent).map(Path::to_owned);
    let folder = folder.or_else(|| std::env::current_dir().ok());
    let name = match purpose {
        Purpose::Open | Purpose::Compare | Purpose::Variant => String::new(),
        Purpose::Save => document.map_or_else(String::new, |d| saving::file_name(&d.origin.name)),
        Purpose::Export(what) => what.file_name(),
    };
    let start = folder.unwrap_or_default().join(name);
    state.typing = Some(Typing {
        purpose,
        start: start.display().to_string(),
        fault: None,
        replaces: None,
    });
}

/// Closes the field without a path.
pub(super) fn give_up(state: &mut State) {
    state.typing = None;
    state.after_save = None;
}

/// Takes a path that was typed.
pub(super) fn take(state: &mut State, text: &str) {
    let Some(mut typing) = state.typing.take() else {
        return;
    };
    let path = PathBuf::from(text.trim().trim_matches('"'));
    let fault = match typing.purpose {
        _ if text.trim().is_empty() => Some("Type the path of a file.".to_owned()),
        Purpose::Open | Purpose::Compare | Purpose::Variant => unreadable(&path),
        Purpose::Save | Purpose::Export(_) => unwritable(&path),
    };
    if let Some(fault) = fault {
        typing.fault = Some(fault);
        typing.replaces = None;
        state.typing = Some(typing);
        return;
    }
    let path = match typing.purpose {
        Purpose::Save => with_ending(path, "ron"),
        Purpose::Export(what) => with_ending(path, what.ending()),
        Purpose::Open | Purpose::Compare | Purpose::Variant => path,
    };
    let own = state.document.as_ref().and_then(|d| d.origin.path.as_ref());
    let is_known = typing.purpose == Purpose::Save && own == Some(&path);
    let is_written = matches!(typing.purpose, Purpose::Save | Purpose::Export(_));
    if is_written && !is_known && path.exists() && typing.replaces.as_ref() != Some(&path) {
        typing.fault = Some(format!("{} is there already.", path.display()));
        typing.replaces = Some(path);
        state.typing = Some(typing);
        return;
    }
    match typing.purpose {
        Purpose::Open => open(state, Some(path)),
        Purpose::Compare => open_reference(state, Some(path)),
        Purpose::Variant => open_variant(state, Some(path)),
        Purpose::Save => {
            let then = state.after_save.take();
            saving::save_to(state, path, then);
        }
        Purpose::Export(what) => exporting::write(state, what, path),
    }
}

fn unreadable(path: &Path) -> Option<String> {
    if path.is_file() {
        None
    } else if path.exists() {
        Some(format!("{} is not a file.", path.display()))
    } else {
        Some(format!("There is no file {}.", path.display()))
    }
}

fn unwritable(path: &Path) -> Option<String> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    match folder {
        _ if path.is_dir() => Some(format!("{} is a folder: add a name.", path.display())),
        Some(folder) if !folder.is_dir() => {
            Some(format!("There is no folder {}.", folder.display()))
        }
        _ => None,
    }
}

/// A name without an ending gets the usual one.
pub(super) fn with_ending(path: PathBuf, ending: &str) -> PathBuf {
    if path.extension().is_some() {
        path
    } else {
        path.with_extension(ending)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_dialog_that_nobody_can_have_seen_leads_to_typing() {
        let found = |wait_ms: u64, has_dialogs: bool| {
            let dialog = || {
                std::thread::sleep(Duration::from_millis(wait_ms));
                None
            };
            by_dialog(Purpose::Open, has_dialogs, dialog, Found::SaveTo)
        };
        assert!(matches!(found(0, true), Found::NoDialog(Purpose::Open)));
        assert!(matches!(found(0, false), Found::NoDialog(Purpose::Open)));
        assert!(matches!(found(600, true), Found::Nothing));
        let chosen = || Some(PathBuf::from("x.ron"));
        let found = by_dialog(Purpose::Save, true, chosen, Found::SaveTo);
        assert!(matches!(found, Found::SaveTo(path) if path == Path::new("x.ron")));
    }
}
