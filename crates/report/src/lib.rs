//! Answers as documents: tables, facts and sentences that every face sets in its own way, and the report that is handed over.
//!
//! [`Document`] is plain data; [`told`] has what its tables, facts and sentences say, which the terminal prints too. The crate opens no file.

mod chapters;
mod compose;
mod data;
mod document;
mod facts;
mod find;
mod findings;
mod html;
pub mod plot;
mod runs;
mod sheet;
mod show;
mod table;
pub mod told;

pub use compose::compose;
pub use data::Data;
pub use document::{Block, Document, Equation, Figure, Paper, PdfMaker, Section, Statement, Tone};
pub use dragback_units::System;
pub use facts::{Fact, Facts};
pub use find::{FindError, Wanted};
pub use findings::{COURSE_D, ChangeFindings, Findings, LineFindings, MoneyFindings, SizeFindings};
pub use html::html;
pub use runs::{Height, Run, Runs};
pub use sheet::{csv, csv_text};
pub use show::{NO_NUMBER, OfLoop, Show, csv_number};
pub use table::Table;
