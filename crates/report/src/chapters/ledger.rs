//! The audit.

use dragback_study::LedgerAnswer;

use crate::document::Section;
use crate::findings::Findings;
use crate::show::{NO_NUMBER, Show};
use crate::table::Table;
use crate::told;

/// What crossed the boundary, and how well the books close.
pub(crate) fn ledger(findings: &Findings, show: Show) -> Section {
    let answers = &findings.line.settled.answers;
    let mut section = Section::new("Ledger");
    section.text("Everything that came in and went out in the settled week, by name. What leaves one tank enters another or stands here, so that the books must close; how well they do is the check on everything else.");
    section.table(&told::books_head(answers), told::books(answers, show));
    if let Some(closing) = told::closing(answers) {
        section.text(format!("{closing}."));
    }
    let mut table = Table::new(["what", "closure error, share of what passed"]);
    for (name, entry) in &answers.ledger {
        let (LedgerAnswer::Mass { closure_error, .. } | LedgerAnswer::Energy { closure_error, .. }) =
            entry;
        let told = match *closure_error {
            error if !error.is_finite() => NO_NUMBER.to_owned(),
            0.0 => "0".to_owned(),
            error => format!("{error:.1e}"),
        };
        table.push([name.clone(), told]);
    }
    section.table("Closure errors", table);
    section
}
