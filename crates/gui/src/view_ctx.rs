//! What a panel may see, and how it asks for something.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

use dragback_scenario::Problem;
use dragback_study::{LoopAnswer, ToldAs};
use egui::Rect;

use crate::command::{Command, Naming, Question, Typing};
use crate::compare::FoundVariants;
use crate::document::Document;
use crate::handover::Tally;
use crate::loop_view::{Scene, Selection};
use crate::money::HangsKnown;
use crate::page::Page;
use crate::panels::Help;
use crate::playhead::Playhead;
use crate::prefs::Prefs;
use crate::problems::ProblemList;
use crate::results::{Pinned, Results};
use crate::selected::Selected;
use crate::state::Notice;
use crate::theme::Palette;
use crate::worker::Underway;

/// Read-only view of everything for one frame.
pub struct ViewCtx<'a> {
    /// The scenario under the hand; `None` when not even the built-in one could be read.
    pub document: Option<&'a Document>,
    /// Preferences.
    pub prefs: &'a Prefs,
    /// What the workers found.
    pub results: &'a Results,
    /// Problems of the last file that could not be opened.
    pub problems: Option<&'a ProblemList>,
    /// What is wrong with the value last given to a lever, by path.
    pub faults: &'a BTreeMap<String, Problem>,
    /// A question that must be answered first.
    pub question: Option<&'a Question>,
    /// A path that is asked for.
    pub typing: Option<&'a Typing>,
    /// A name for a variant that is asked for.
    pub naming: Option<&'a Naming>,
    /// What was found of what the answer in money hangs on.
    pub hangs: &'a HangsKnown,
    /// What was found of variants.
    pub variants: &'a FoundVariants,
    /// Name of the variant from which differences are told; `None` from the line itself.
    pub against: Option<&'a str>,
    /// The page that lies over the bench.
    pub page: Option<Page>,
    /// Path of the part at which the editor was opened last, and by which gesture.
    pub edited_part: Option<&'a (u64, String)>,
    /// The lesson that is under way.
    pub lesson: Option<&'a crate::lessons::Standing>,
    /// Which page of help is open.
    pub help: Option<Help>,
    /// What came of the last saving.
    pub notice: Option<&'a Notice>,
    /// A state that is kept to compare with.
    pub pinned: Option<&'a Pinned>,
    /// Name of a scenario that is being run to compare with.
    pub reference: Option<&'a str>,
    /// Whether a file is being opened.
    pub is_opening: bool,
    /// How far the report has come that is being written, if one is.
    pub tally: Option<&'a Tally>,
    /// Whether the program makes PDF files.
    pub makes_pdf: bool,
    /// Whether there are threads to compute with.
    pub has_workers: bool,
    /// What the threads have been at for long.
    pub underway: &'a [Underway],
    /// Where in time the window stands.
    pub playhead: &'a Playhead,
    /// The answers of the day before the cursor; `None` while the settled week is shown.
    pub line_at_cursor: Option<&'a LoopAnswer>,
    /// The answers of the same day in the state that is kept; `None` while the settled week is shown.
    pub was_at_cursor: Option<&'a LoopAnswer>,
    /// What is drawn of the moment that is shown.
    pub scene: Option<&'a Scene>,
    /// What is selected in the drawing.
    pub selection: Selection,
    /// The same in words, with what belongs to it.
    pub selected: Option<&'a Selected>,
    /// Whether the window is too small for everything, so that the wheel moves the whole of it.
    pub is_cramped: Cell<bool>,
    /// Colours.
    pub palette: &'static Palette,
    /// Where things stand that the check of the real window uses.
    pub places: &'a RefCell<Vec<(&'static str, Rect)>>,
    /// Commands asked for in this frame.
    pub commands: &'a RefCell<Vec<Command>>,
}

impl ViewCtx<'_> {
    /// Names of curves that have been brought forward.
    #[must_use]
    pub fn forward(&self) -> &[String] {
        self.selected.map_or(&[], |s| s.curves.as_slice())
    }

    /// How strengths of a loop's lead solute are told.
    #[must_use]
    pub fn lead_told<'l>(&'l self, line: &'l LoopAnswer) -> ToldAs<'l> {
        let figures = self.results.figures();
        let solutes = figures.map_or(&[][..], |f| &f.answers.solutes);
        self.prefs.counted.told(solutes, &line.final_rinse.species)
    }

    /// Notes where something stands.
    pub fn saw(&self, name: &'static str, rect: Rect) {
        self.places.borrow_mut().push((name, rect));
    }

    /// Asks for something; it is done after the frame is drawn.
    pub fn ask(&self, command: Command) {
        self.commands.borrow_mut().push(command);
    }
}
