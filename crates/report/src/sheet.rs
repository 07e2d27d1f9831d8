//! A report for spreadsheets: all its facts and tables in one CSV file, one below the other.

use crate::document::{Block, Document};
use crate::facts::Facts;
use crate::table::Table;

/// Every fact and table of a report. Each begins with a row of its section and caption; an empty row parts them.
///
/// # Errors
/// When a row cannot be written, which only a full memory brings about.
pub fn csv(document: &Document) -> Result<Vec<u8>, csv::Error> {
    let mut out = csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(Vec::new());
    out.write_record([document.title.as_str()])?;
    facts(&document.title_block, &mut out)?;
    for section in &document.sections {
        for block in &section.blocks {
            let title = section.title.as_str();
            match block {
                Block::Facts(of) | Block::Figures(of) => {
                    begin(title, "", &mut out)?;
                    facts(of, &mut out)?;
                }
                Block::Table { caption, table } => {
                    begin(title, caption, &mut out)?;
                    cells(table, &mut out)?;
                }
                Block::Answer(all) => {
                    begin(title, "", &mut out)?;
                    for said in all {
                        out.write_record([said.word, &said.text])?;
                    }
                }
                _ => {}
            }
        }
    }
    out.into_inner().map_err(|e| e.into_error().into())
}

type Out = csv::Writer<Vec<u8>>;

fn begin(section: &str, caption: &str, out: &mut Out) -> Result<(), csv::Error> {
    out.write_record([""])?;
    if caption.is_empty() {
        out.write_record([section])
    } else {
        out.write_record([section, caption])
    }
}

fn facts(all: &Facts, out: &mut Out) -> Result<(), csv::Error> {
    let mut each = all.0.iter();
    each.try_for_each(|fact| out.write_record([&fact.label, &fact.value]))
}

fn cells(table: &Table, out: &mut Out) -> Result<(), csv::Error> {
    out.write_record(table.heads.iter().map(|h| h.replace('\n', " ")))?;
    table.rows.iter().try_for_each(|row| out.write_record(row))
}
