//! Reports from the window: what is asked of one, and how it is made.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use dragback_report::{
    Data, FindError, Findings, Paper, PdfMaker, Show, Wanted, compose, csv, html,
};

use crate::words::sentence;

/// What a report is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReportKind {
    /// Pages of paper.
    Pdf,
    /// One web page.
    Page,
    /// All its tables for a spreadsheet.
    Sheet,
    /// Everything as data.
    Data,
}

impl ReportKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Pdf, Self::Page, Self::Sheet, Self::Data];

    /// Ending of its file's name.
    #[must_use]
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Pdf => "pdf",
            Self::Page => "html",
            Self::Sheet => "csv",
            Self::Data => "json",
        }
    }
}

/// A report that is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReportAsked {
    /// As what.
    pub kind: ReportKind,
    /// Whether the line is set against the state that is kept, if there is one.
    pub is_against: bool,
    /// Whether layouts are sized.
    pub has_sizes: bool,
}

/// How far a report has come; it may be given up.
#[derive(Default)]
pub struct Tally {
    done: AtomicUsize,
    all: AtomicUsize,
    is_given_up: AtomicBool,
}

impl Tally {
    /// Share of the work that is done, 0 to 1; `None` before the first part.
    #[must_use]
    pub fn share(&self) -> Option<f32> {
        let (done, all) = (&self.done, &self.all);
        let (done, all) = (done.load(Ordering::Relaxed), all.load(Ordering::Relaxed));
        #[expect(clippy::cast_precision_loss, reason = "a few dozen parts")]
        (all > 0).then(|| done as f32 / all as f32)
    }

    /// Gives it up; nothing is written then.
    pub fn give_up(&self) {
        self.is_given_up.store(true, Ordering::Relaxed);
    }

    /// Whether it was given up.
    #[must_use]
    pub fn is_given_up(&self) -> bool {
        self.is_given_up.load(Ordering::Relaxed)
    }

    /// Notes how many parts of all are done; whether anything new came of it.
    fn note(&self, done: usize, all: usize) -> bool {
        self.all.store(all, Ordering::Relaxed);
        self.done.swap(done, Ordering::Relaxed) != done
    }
}

/// Everything that the making of a report needs.
pub(crate) struct Making {
    pub wanted: Wanted,
    pub kind: ReportKind,
    pub show: Show,
    pub pdf: Option<PdfMaker>,
    pub tally: Arc<Tally>,
    /// Called whenever the tally has moved.
    pub wake: Arc<dyn Fn() + Send + Sync>,
}

impl Making {
    /// Works everything out and makes the bytes of the file; in words, why it cannot.
    pub(crate) fn make(&self) -> Result<Vec<u8>, String> {
        let findings = Findings::of(&self.wanted, |done, all| {
            if self.tally.note(done, all) {
                (self.wake)();
            }
            !self.tally.is_given_up()
        });
        let findings = findings.map_err(|why| {
            let words = sentence(&why.to_string());
            match (why, &self.wanted.before) {
                (FindError::Before(_), Some(before)) => format!("“{}”: {words}", before.title),
                _ => words,
            }
        })?;
        let document = compose(&findings, self.show);
        match self.kind {
            ReportKind::Page => Ok(html(&document).into_bytes()),
            ReportKind::Sheet => csv(&document).map_err(|e| e.to_string()),
            ReportKind::Data => {
                let data = Data::of(&findings, &document);
                serde_json::to_vec_pretty(&data).map_err(|e| e.to_string())
            }
            ReportKind::Pdf => {
                let make = self.pdf.ok_or(
                    "this program was built without PDF files; write a web page and print it",
                )?;
                make(&document, Paper::of(self.show.system))
            }
        }
    }
}
