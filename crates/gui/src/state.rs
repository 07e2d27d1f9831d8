//! Everything the window works on besides what panels keep for themselves.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::Receiver;

use dragback_scenario::Problem;

use crate::command::{Autosave, Found, Naming, Question, Then, Typing};
use crate::compare::{FoundVariants, Wanted};
use crate::document::Document;
use crate::export::Shot;
use crate::handover::Tally;
use crate::loop_view::Selection;
use crate::money::{HangsKnown, HangsOf};
use crate::options::Options;
use crate::page::Page;
use crate::panels::Help;
use crate::playhead::Playhead;
use crate::prefs::Prefs;
use crate::prefs::Shown;
use crate::problems::ProblemList;
use crate::results::{Asked, Failure, Moved, Pinned, Reference, Results};
use crate::sweep::{SweepRequest, positions, swept, told_figure, way};
use crate::worker::{HangsRequest, Job, Request, Underway, VariantsRequest, Workers};

/// A word about what was done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The word.
    pub text: String,
    /// Whether it went wrong.
    pub is_bad: bool,
    /// When it was first shown, milliseconds of the window's clock.
    since_ms: Option<u64>,
}

/// How long a good notice stays, milliseconds; one that something went wrong stays until it is closed or overtaken.
const NOTICE_MS: u64 = 8000;
/// The last part of that, in which it fades.
const FADE_MS: u64 = 600;

impl Notice {
    /// It was done.
    #[must_use]
    pub const fn good(text: String) -> Self {
        Self {
            text,
            is_bad: false,
            since_ms: None,
        }
    }

    /// It went wrong.
    #[must_use]
    pub const fn bad(text: String) -> Self {
        Self {
            text,
            is_bad: true,
            since_ms: None,
        }
    }

    /// How much of it is left at a time of the window's clock, 1 to 0, and after how many milliseconds that changes.
    pub fn left(&mut self, now_ms: u64) -> Option<(f32, u64)> {
        let since = *self.since_ms.get_or_insert(now_ms);
        if self.is_bad {
            return Some((1.0, u64::MAX));
        }
        let left = (since + NOTICE_MS).checked_sub(now_ms).filter(|l| *l > 0)?;
        if left > FADE_MS {
            return Some((1.0, left - FADE_MS));
        }
        #[expect(clippy::cast_precision_loss, reason = "some hundreds")]
        let share = left as f32 / FADE_MS as f32;
        Some((share, 16))
    }
}

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
    /// A file that is being opened, or a name that is being asked for.
    pub opening: Option<Receiver<Found>>,
    /// How far the report has come that is being written, if one is.
    pub tally: Option<Arc<Tally>>,
    /// What waits until a name has been given and the scenario is saved.
    pub after_save: Option<Then>,
    /// A path that the window itself asks for.
    pub typing: Option<Typing>,
    /// A name for a variant that is asked for.
    pub naming: Option<Naming>,
    /// What was found of variants.
    pub variants: FoundVariants,
    /// What was found of what the answer in money hangs on.
    pub hangs: HangsKnown,
    /// Name of the variant from which differences are told; `None` from the line itself.
    pub against: Option<String>,
    /// A scenario that was read and is not shown yet.
    pub read: Option<Document>,
    /// A picture that waits to be taken, and its file.
    pub picture: Option<Shot>,
    /// A question that must be answered first.
    pub question: Option<Question>,
    /// The page that lies over the bench.
    pub page: Option<Page>,
    /// Path of the part at which the editor was opened last, and by which gesture.
    pub edited_part: Option<(u64, String)>,
    /// The lesson that is under way.
    pub lesson: Option<crate::lessons::Standing>,
    /// Which page of help is open.
    pub help: Option<Help>,
    /// Keeps unsaved changes for a restart.
    pub autosave: Autosave,
    /// What came of the last saving.
    pub notice: Option<Notice>,
    /// Whether the window may close: nothing is unsaved, or nobody minds.
    pub may_close: bool,
    /// A state that is kept to compare with.
    pub pinned: Option<Pinned>,
    /// Document number and name of a scenario that is being run to compare with.
    pub reference: Option<(u64, String)>,
    /// Where in time the window stands.
    pub playhead: Playhead,
    /// What is selected in the drawing.
    pub selection: Selection,
    /// Number of the gesture under way; what is changed by one gesture is one step of undo.
    pub gesture: u64,
    /// Number of the last sweep that was asked for.
    pub last_sweep: u64,
    /// Number of the last table of layouts that was asked for.
    pub last_sizing: u64,
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
    /// What was told of a change that is taken back is no news any more.
    pub(crate) fn forget_good_news(&mut self) {
        self.notice = self.notice.take().filter(|notice| notice.is_bad);
    }

    /// Asks the workers about the document as it stands; `moved` is the path of the lever that was moved.
    pub fn request(&mut self, moved: Option<&str>) {
        let (Some(document), Some(workers)) = (&self.document, &self.workers) else {
            return;
        };
        let generation = self.results.ask();
        let lever = moved.and_then(|path| document.lever(path));
        let moved = lever.map(|l| Moved {
            path: l.path.clone(),
            si: l.si,
            changes: document.changed_texts(),
        });
        let asked = Asked {
            generation,
            document: document.id,
            loop_key: document.loop_key.clone(),
            moved,
        };
        workers.ask(Request {
            asked,
            scenario: Arc::clone(&document.scenario),
        });
        self.request_sweep();
    }

    /// Gives up all work that has gone on for long.
    pub fn give_up_long(&mut self) {
        let Some(workers) = &self.workers else { return };
        for Underway { job, .. } in workers.underway() {
            workers.give_up(job);
            self.results.give_up(job);
            match job {
                Job::Reference => self.reference = None,
                Job::Variants => self.variants.give_up(),
                Job::Hangs => self.hangs.give_up(),
                _ => {}
            }
        }
    }

    /// Asks for what is not known yet of the variants, while they are looked at. They are asked about once: a lever of the line does not change them.
    pub fn follow_variants(&mut self) {
        let (Some(document), Some(workers)) = (&self.document, &self.workers) else {
            return;
        };
        if self.prefs.shown != Shown::Compare {
            return;
        }
        let each = document.variants().iter().map(|(_, line)| Wanted {
            line: Arc::clone(line),
            loop_key: document.loop_key.clone(),
        });
        if let Some(lines) = self.variants.ask(each.collect()) {
            let number = self.variants.number;
            workers.ask_variants(VariantsRequest { number, lines });
        }
    }

    /// Asks what the answer in money hangs on, while money is looked at and a change is to be judged.
    pub fn follow_money(&mut self) {
        let (Some(document), Some(workers)) = (&self.document, &self.workers) else {
            return;
        };
        let (Some(now), Some(pinned)) = (self.results.figures(), &self.pinned) else {
            return;
        };
        if self.prefs.shown != Shown::Money || !self.results.figures_are_current() {
            return;
        }
        let of = HangsOf {
            line: Arc::clone(&document.scenario),
            now: Arc::clone(now),
            before: Arc::clone(&pinned.figures),
            years: self.prefs.within_years,
        };
        if self.hangs.ask(of.clone()) {
            let number = self.hangs.number;
            workers.ask_hangs(HangsRequest { number, of });
        }
    }

    /// Asks for the settled answer against the chosen lever, if that plot is out.
    pub fn request_sweep(&mut self) {
        let (Some(document), Some(workers)) = (&self.document, &self.workers) else {
            return;
        };
        let Some(choice) = &self.prefs.sweep else {
            return;
        };
        let Some(lever) = swept(document, choice) else {
            return;
        };
        self.last_sweep += 1;
        let asked = Asked {
            generation: self.results.requested,
            document: document.id,
            loop_key: document.loop_key.clone(),
            moved: None,
        };
        workers.ask_sweep(SweepRequest {
            number: self.last_sweep,
            asked,
            scenario: Arc::clone(&document.scenario),
            path: lever.path.clone(),
            positions: positions(lever),
            present: lever.si,
            figure: told_figure(choice.figure, self.results.figures().and_then(|f| f.line())),
            rail: way(lever),
        });
    }

    /// Runs a scenario to compare with.
    pub fn compare_with(&mut self, document: &Document) {
        let Some(workers) = &self.workers else {
            return;
        };
        let asked = Asked {
            generation: document.id,
            document: document.id,
            loop_key: document.loop_key.clone(),
            moved: None,
        };
        let name = format!("{} ({})", document.origin.name, document.title());
        self.reference = Some((document.id, name));
        workers.ask_reference(Request {
            asked,
            scenario: Arc::clone(&document.scenario),
        });
    }

    /// Takes what was run to compare with, unless it is no longer wanted.
    pub fn take_reference(&mut self, found: Reference) {
        let is_wanted = |(id, _): &(u64, String)| *id == found.figures.asked.document;
        if let Some((_, name)) = self.reference.take_if(|r| is_wanted(r)) {
            self.pinned = Some(Pinned {
                name,
                since: std::time::SystemTime::now(),
                curves: Some(found.curves),
                full: Some(Arc::clone(&found.figures)),
                figures: found.figures,
            });
        }
    }

    /// Takes a failure; that of a scenario to compare with is told at once.
    pub fn fail(&mut self, failure: Failure) {
        let is_reference = |r: &mut (u64, String)| r.0 == failure.asked.document;
        match self.reference.take_if(is_reference) {
            Some((_, name)) => {
                let text = format!(
                    "“{name}” gives no answer to compare with. {}",
                    failure.words(self.prefs.system)
                );
                self.notice = Some(Notice::bad(text));
            }
            None => self.results.take_failure(failure),
        }
    }

    /// Takes a document that was read.
    pub fn show(&mut self, document: Document) {
        if let Some(workers) = &self.workers {
            // A table of another line is of no use.
            workers.give_up(Job::Sizing);
        }
        self.results.begin(document.id);
        self.playhead.put(None);
        self.selection = Selection::None;
        self.problems = None;
        self.page = None;
        self.faults.clear();
        self.against = None;
        // What was predicted was said of another line.
        self.lesson = self.lesson.map(crate::lessons::Standing::anew);
        self.document = Some(document);
        self.request(None);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_good_notice_fades_and_a_bad_one_stays() {
        let mut good = Notice::good("Saved.".to_owned());
        assert_eq!(good.left(5000), Some((1.0, NOTICE_MS - FADE_MS)));
        let (share, _) = good.left(5000 + NOTICE_MS - FADE_MS / 2).unwrap();
        assert!((share - 0.5).abs() < 1e-6);
        assert_eq!(good.left(5000 + NOTICE_MS), None);
        let mut bad = Notice::bad("Not saved.".to_owned());
        assert_eq!(bad.left(0).map(|l| l.0), Some(1.0));
        assert_eq!(bad.left(10 * NOTICE_MS).map(|l| l.0), Some(1.0));
    }
}
