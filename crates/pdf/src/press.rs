//! From the document to the bytes of the file.

use dragback_report::{Document, Paper};
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::error::PdfError;
use crate::setter::Setter;
use crate::sheet::Drawing;
use crate::world::{Shelf, id};

/// Told in the file's own data as what made it.
const CREATOR: &str = "Dragback";

/// Sets a report on paper.
///
/// The title is the file's title. The fact of the title block that is labelled "Prepared by" is its author, and the one labelled "Revision" stands
/// in the foot of each page. Characters that the built-in fonts lack are shown as `�`, and a remark at the end says which.
///
/// # Errors
/// When a figure is no drawing that can be set, or when the typesetter finds fault with the pages.
pub fn pdf(document: &Document, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let (sheet, drawings) = Setter::set(document, paper);
    let data = ("document.json".to_owned(), serde_json::to_vec(&sheet)?);
    let figures = (drawings.iter()).map(|d| (d.file.clone(), d.svg.clone().into_bytes()));
    let shelf = Shelf::new(figures.chain([data]))?;
    let set = typst::compile::<PagedDocument>(&shelf).output;
    let pages = set.map_err(|faults| fault(faults.as_slice(), &drawings))?;
    // Rules for readers who cannot see the page; a file that misses one of them is better than none.
    let bytes = file(&pages, &[PdfStandard::Ua_1]).or_else(|_| file(&pages, &[]));
    // The typesetter remembers what it set; the next report is another one.
    typst::comemo::evict(0);
    bytes
}

/// The pages as a file that keeps these standards.
fn file(pages: &PagedDocument, standards: &[PdfStandard]) -> Result<Vec<u8>, PdfError> {
    let standards = PdfStandards::new(standards).map_err(|why| PdfError::File {
        why: why.message().to_string(),
    })?;
    let options = PdfOptions {
        ident: Smart::Auto,
        creator: Smart::Custom(Some(CREATOR.to_owned())),
        timestamp: None,
        standards,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(pages, &options).map_err(|faults| PdfError::File {
        why: words(faults.first()),
    })
}

/// What the first fault is about: a figure, if it lies in one.
fn fault(faults: &[SourceDiagnostic], drawings: &[Drawing]) -> PdfError {
    let first = faults.first();
    let file = first.and_then(|fault| fault.span.id());
    let is_there = |d: &&Drawing| file.is_some() && id(&d.file).ok() == file;
    match drawings.iter().find(is_there) {
        Some(drawing) => PdfError::Figure {
            caption: drawing.caption.clone(),
            why: words(first),
        },
        None => PdfError::Pages { why: words(first) },
    }
}

fn words(fault: Option<&SourceDiagnostic>) -> String {
    fault.map_or_else(
        || "no reason is given".to_owned(),
        |f| f.message.to_string(),
    )
}
