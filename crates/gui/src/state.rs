//! Everything the window works on besides what panels keep for themselves.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::Receiver;

use dragback_scenario::Problem;

use crate::command::Opened;
use crate::document::Document;
use crate::options::Options;
use crate::prefs::Prefs;
use crate::problems::ProblemList;
use crate::results::{Asked, Moved, Results};
use crate::worker::{Request, Workers};

/// Document, preferences, results, and what is under way.
pub struct State {
    /// The scenario under the hand.
    pub document: Option<Document>,
    /// Preferences.
    pub prefs: Prefs,
    /// What the workers found.
    pub results: Results,
    /// Why the last file could not be opened.
    pub problems: Option<ProblemList>,
    /// What is wrong with the value last given to a lever, by path.
    pub faults: BTreeMap<String, Problem>,
    /// A file that is being opened.
    pub opening: Option<Receiver<Option<Opened>>>,
    /// How the program was started.
    pub options: Options,
    /// Number of the last document.
    pub last_document: u64,
    /// The threads; `None` when the system gave none.
    pub workers: Option<Workers>,
    /// Asks for a new frame.
    pub wake: Arc<dyn Fn() + Send + Sync>,
}

impl State {
    /// Asks the workers about the document as it stands; `moved` is the path of the lever that was moved.
    pub fn request(&mut self, moved: Option<&str>) {
        let (Some(document), Some(workers)) = (&self.document, &self.workers) else {
            return;
        };
        self.results.requested += 1;
        let lever = moved.and_then(|path| document.levers.iter().find(|l| l.path == path));
        let moved = lever.map(|l| Moved {
            path: l.path.clone(),
            si: l.si,
            changes: document.changed_texts(),
        });
        let asked = Asked {
            generation: self.results.requested,
            document: document.id,
            loop_key: document.loop_key.clone(),
            moved,
        };
        workers.ask(Request {
            asked,
            scenario: Arc::clone(&document.scenario),
        });
    }

    /// Takes a document that was read.
    pub fn show(&mut self, document: Document) {
        self.results.begin(document.id);
        self.problems = None;
        self.faults.clear();
        self.document = Some(document);
        self.request(None);
    }
}
