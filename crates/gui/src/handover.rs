//! Reports from the window: what is asked of one, and how it is made.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_report::{Data, Findings, Paper, PdfMaker, Show, compose, csv, html};
use dragback_scenario::Scenario;

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

/// Everything that the making of a report needs.
pub(crate) struct Making {
    pub scenario: Arc<Scenario>,
    pub before: Option<Arc<Scenario>>,
    pub asked: ReportAsked,
    /// Years within which a change is to pay.
    pub within_years: f64,
    pub show: Show,
    pub pdf: Option<PdfMaker>,
}

impl Making {
    /// Works everything out and makes the bytes of the file; in words, why it cannot.
    pub(crate) fn make(self) -> Result<Vec<u8>, String> {
        let cache = TowerCache::default();
        let asked = (self.within_years, self.asked.has_sizes);
        let go_on = &mut |_: f64| true;
        let findings = Findings::of(&self.scenario, self.before.as_ref(), asked, &cache, go_on);
        let findings = findings.map_err(|why| sentence(&why.to_string()))?;
        let document = compose(&findings, self.show);
        match self.asked.kind {
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
