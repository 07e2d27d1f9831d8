//! Unsaved changes are kept beside the preferences every few seconds, and offered after a crash.
//!
//! Each running window has a slot: a lock file, held for as long as it runs, and next to it what it keeps. A slot whose lock is free but that holds
//! something was left by a window that did not close.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::JoinHandle;
use std::time::{Duration, Instant, SystemTime};

use dragback_scenario::{Draft, Scenario};
use serde::{Deserialize, Serialize};

use super::closing::Question;
use super::files::{read_text, write_whole};
use crate::document::{Document, Origin};
use crate::state::{Notice, State};

/// Changes are kept at most this long after they were made.
pub const EVERY: Duration = Duration::from_secs(3);

/// Windows that can be open at once, or have been left, and still keep their changes.
const SLOTS: usize = 16;

/// What is kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kept {
    /// Name of the scenario's file.
    pub name: String,
    /// The file; none for a built-in scenario.
    pub path: Option<PathBuf>,
    /// The scenario as it was last read or saved.
    pub saved: String,
    /// The scenario with its changes.
    pub text: String,
    /// An edited text with faults beside it.
    #[serde(default)]
    pub draft: Option<String>,
    /// Whether that text never ran, and the scenario only stands in for it.
    #[serde(default)]
    pub stands_in: bool,
}

/// Something that a window left when it did not close.
pub struct Left {
    /// What it kept.
    pub kept: Kept,
    /// When.
    pub at: SystemTime,
    path: PathBuf,
    /// Held until the question is answered, so that no other window asks it too.
    _lock: File,
}

/// Keeps the changes of this window.
#[derive(Default)]
pub struct Autosave {
    path: Option<PathBuf>,
    _lock: Option<File>,
    /// What a window left, until it has been offered and answered.
    left: Option<Left>,
    /// What was last kept.
    kept: Option<(Arc<Scenario>, Option<Arc<Draft>>)>,
    /// Since when something is not kept.
    waiting_since: Option<Instant>,
    writing: Option<JoinHandle<std::io::Result<()>>>,
    has_complained: bool,
}

impl Autosave {
    /// Takes a slot in a folder, and looks for what another window left there. Without a folder nothing is kept.
    #[must_use]
    pub fn in_folder(folder: Option<&Path>) -> Self {
        let mut found = Self::default();
        let Some(folder) = folder else { return found };
        if fs::create_dir_all(folder).is_err() {
            return found;
        }
        for slot in 0..SLOTS {
            let Some(lock) = try_lock(&folder.join(format!("window-{slot}.lock"))) else {
                continue;
            };
            let path = folder.join(format!("unsaved-{slot}.json"));
            match read_left(&path, lock) {
                Ok(left) if found.left.as_ref().is_none_or(|other| other.at < left.at) => {
                    found.left = Some(left);
                }
                Ok(_) => {}
                Err(lock) if found.path.is_none() => {
                    found.path = Some(path);
                    found._lock = Some(lock);
                }
                Err(_) => {}
            }
        }
        found
    }

    /// What a window left, if it has not been answered yet.
    #[must_use]
    pub const fn left(&self) -> Option<&Left> {
        self.left.as_ref()
    }

    /// The file in which this window keeps its changes.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Forgets what is kept: everything is saved, or nobody minds.
    fn clear(&mut self) {
        self.finish();
        self.waiting_since = None;
        if self.kept.take().is_some()
            && let Some(path) = &self.path
        {
            // What cannot be taken away is offered once too often; that does no harm.
            let _ = fs::remove_file(path);
        }
    }

    /// Waits for the file that is being written.
    fn finish(&mut self) -> Option<std::io::Result<()>> {
        self.writing.take().and_then(|thread| thread.join().ok())
    }

    /// Keeps a document.
    fn keep(&mut self, document: &Document) {
        let Some(path) = self.path.clone() else {
            return;
        };
        self.finish();
        let kept = Kept {
            name: document.origin.name.clone(),
            path: document.origin.path.clone(),
            saved: document.saved_text(),
            text: document.text(),
            draft: document.faulty().map(|d| d.text().to_owned()),
            stands_in: document.stand_in().is_some(),
        };
        let write = move || {
            let text = serde_json::to_string(&kept)?;
            write_whole(&path, &text)
        };
        let thread = std::thread::Builder::new().name("autosave".to_owned());
        self.writing = thread.spawn(write).ok();
        self.kept = Some((Arc::clone(&document.scenario), document.faulty().cloned()));
        self.waiting_since = None;
    }
}

/// The lock of a slot, if no other window holds it.
fn try_lock(path: &Path) -> Option<File> {
    let mut options = File::options();
    let file = options.create(true).write(true).truncate(false).open(path);
    let file = file.ok()?;
    file.try_lock().ok()?;
    Some(file)
}

/// What a slot holds. What cannot be read is put aside, so that it is neither lost nor in the way.
fn read_left(path: &Path, lock: File) -> Result<Left, File> {
    let Ok(meta) = fs::metadata(path) else {
        return Err(lock);
    };
    let kept = read_kept(path);
    match kept {
        Some(kept) => Ok(Left {
            kept,
            at: meta.modified().unwrap_or(SystemTime::UNIX_EPOCH),
            path: path.to_owned(),
            _lock: lock,
        }),
        None => {
            let _ = fs::rename(path, path.with_extension("broken"));
            Err(lock)
        }
    }
}

fn read_kept(path: &Path) -> Option<Kept> {
    let text = read_text(path).ok()?;
    let kept: Kept = serde_json::from_str(&text).ok()?;
    Document::read(&kept.text, Origin::default(), 0).ok()?;
    Some(kept)
}

/// Keeps what has changed, takes away what is no longer needed, and offers what was left. Returns after how long it wants to be called again.
pub fn follow(state: &mut State) -> Option<Duration> {
    if let Some(left) = &state.autosave.left
        && state.question.is_none()
        && state.opening.is_none()
    {
        state.question = Some(Question::Restore {
            name: left.kept.name.clone(),
            at: left.at,
        });
    }
    if state
        .autosave
        .writing
        .as_ref()
        .is_some_and(JoinHandle::is_finished)
    {
        let outcome = state.autosave.finish();
        if let Some(Err(error)) = outcome
            && !std::mem::replace(&mut state.autosave.has_complained, true)
        {
            let text = format!(
                "Unsaved changes cannot be kept for a restart: {error}. Save them by hand."
            );
            state.notice = Some(Notice::bad(text));
        }
    }
    let autosave = &mut state.autosave;
    if state.may_close {
        autosave.clear();
        return None;
    }
    let document = state.document.as_ref().filter(|d| d.is_dirty());
    let Some(document) = document else {
        autosave.clear();
        return None;
    };
    let is_kept = |(scenario, draft): &(Arc<Scenario>, Option<Arc<Draft>>)| {
        let is_same_draft = match (draft, document.faulty()) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (a, b) => a.is_none() && b.is_none(),
        };
        Arc::ptr_eq(scenario, &document.scenario) && is_same_draft
    };
    if autosave.path.is_none() || autosave.kept.as_ref().is_some_and(is_kept) {
        return autosave.writing.is_some().then_some(EVERY);
    }
    let since = *autosave.waiting_since.get_or_insert_with(Instant::now);
    let waited = since.elapsed();
    if waited < EVERY {
        return Some(EVERY - waited);
    }
    autosave.keep(document);
    Some(EVERY)
}

/// Takes up what was left.
pub(super) fn restore(state: &mut State) {
    let Some(left) = state.autosave.left.take() else {
        return;
    };
    state.last_document += 1;
    let id = state.last_document;
    let Kept {
        name,
        path,
        saved,
        text,
        draft,
        stands_in,
    } = &left.kept;
    let origin = Origin {
        name: name.clone(),
        path: path.clone(),
    };
    let of_mending = || {
        let draft = draft.as_deref().filter(|_| *stands_in)?;
        let on_bench = state.document.as_ref()?;
        on_bench.to_mend(draft, origin.clone(), id)
    };
    let back = match of_mending() {
        Some(document) => Ok(document),
        None => Document::restored(saved, text, origin, id).map(|mut document| {
            if let Some(draft) = draft {
                document.take_up(draft);
            }
            document
        }),
    };
    match back {
        Ok(mut document) => {
            if !document.is_dirty() {
                // It was in no file, or its file never ran: nothing else tells that it is not saved.
                document.note_unsaved();
            }
            state.notice = Some(Notice::good(format!("The changes to {name} are back.")));
            // The old file goes only after the new one is there.
            state.autosave.keep(&document);
            let is_kept = matches!(state.autosave.finish(), Some(Ok(())));
            state.show(document);
            if is_kept {
                let _ = fs::remove_file(&left.path);
            }
        }
        Err(_) => {
            let aside = left.path.with_extension("broken");
            let _ = fs::rename(&left.path, &aside);
            let text = format!(
                "The changes to {name} cannot be read any more; they lie in {}.",
                aside.display()
            );
            state.notice = Some(Notice::bad(text));
        }
    }
}

/// Throws away what was left.
pub(super) fn discard(state: &mut State) {
    if let Some(left) = state.autosave.left.take() {
        let _ = fs::remove_file(&left.path);
    }
}

/// Leaves it where it is, for the next start.
pub(super) fn leave(state: &mut State) {
    state.autosave.left = None;
}
