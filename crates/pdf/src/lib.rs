//! A report as a PDF file.
//!
//! [`pdf`] sets a [`dragback_report::Document`] with a typesetting library and one fixed template, `report.typ`, which reads the document as data:
//! no text of a report is ever taken for a command. The crate opens no file, asks no clock and no network; the same document gives the same bytes.

mod error;
mod fit;
mod keys;
mod letters;
mod press;
mod setter;
mod sheet;
mod title;
mod world;

pub use error::PdfError;
pub use press::pdf;
