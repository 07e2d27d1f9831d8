//! A report for spreadsheets: all its facts, tables and curves in one CSV file, one below the other.

use std::borrow::Cow;

use crate::document::{Block, Document, Figure};
use crate::facts::Facts;
use crate::table::Table;

/// A cell of text as a spreadsheet takes it: one that would be read as a formula begins with an apostrophe.
#[must_use]
pub fn csv_text(text: &str) -> Cow<'_, str> {
    let is_formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if is_formula && text.parse::<f64>().is_err() {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// Every fact, table and curve of a report. Each begins with a row of its section and caption; an empty row parts them.
///
/// # Errors
/// When a row cannot be written, which only a full memory brings about.
pub fn csv(document: &Document) -> Result<Vec<u8>, csv::Error> {
    let mut out = csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(Vec::new());
    write(&mut out, [document.title.as_str()])?;
    for fact in &document.title_block.0 {
        write(&mut out, [&*fact.label, &*fact.value])?;
    }
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
                        write(&mut out, [said.word, &*said.text])?;
                    }
                }
                Block::Figure(Figure {
                    caption,
                    numbers: Some(table),
                    ..
                }) => {
                    begin(title, caption, &mut out)?;
                    cells(table, &mut out)?;
                }
                _ => {}
            }
        }
    }
    out.into_inner().map_err(|e| e.into_error().into())
}

type Out = csv::Writer<Vec<u8>>;

fn write<'t>(out: &mut Out, cells: impl IntoIterator<Item = &'t str>) -> Result<(), csv::Error> {
    out.write_record(cells.into_iter().map(|cell| csv_text(cell).into_owned()))
}

fn begin(section: &str, caption: &str, out: &mut Out) -> Result<(), csv::Error> {
    write(out, [""])?;
    if caption.is_empty() {
        write(out, [section])
    } else {
        write(out, [section, caption])
    }
}

/// Labels with their values, numbers apart from what they are of.
fn facts(all: &Facts, out: &mut Out) -> Result<(), csv::Error> {
    for fact in &all.0 {
        match parted(&fact.value) {
            Some((number, unit)) => write(out, [&*fact.label, number, unit])?,
            None => write(out, [&*fact.label, &*fact.value])?,
        }
    }
    Ok(())
}

/// The cells of a table, numbers apart from their units, so that a spreadsheet can reckon with them.
fn cells(table: &Table, out: &mut Out) -> Result<(), csv::Error> {
    let has_units = |column: usize| {
        let mut cells = table.rows.iter().filter_map(|row| row.get(column));
        !table.texts.contains(&column) && cells.any(|cell| parted(cell).is_some())
    };
    let mut heads = Vec::new();
    for (i, head) in table.heads.iter().enumerate() {
        // Heads are broken for a narrow column, words too.
        heads.push(head.replace("-\n", "").replace('\n', " "));
        if has_units(i) {
            heads.push("unit".to_owned());
        }
    }
    write(out, heads.iter().map(String::as_str))?;
    for row in &table.rows {
        let mut cells = Vec::new();
        for (i, cell) in row.iter().enumerate() {
            if has_units(i) {
                let (number, unit) = parted(cell).unwrap_or((cell, ""));
                cells.extend([number, unit]);
            } else {
                cells.push(cell.trim_start());
            }
        }
        write(out, cells)?;
    }
    Ok(())
}

/// A number and its unit, where a cell is just that.
fn parted(cell: &str) -> Option<(&str, &str)> {
    let (number, unit) = cell.split_once([' ', '\u{a0}'])?;
    number.parse::<f64>().ok()?;
    Some((number, unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Section;

    #[test]
    fn text_is_never_a_formula() {
        for (text, cell) in [
            ("=1+1", "'=1+1"),
            ("@a", "'@a"),
            ("+ 5 rinses", "'+ 5 rinses"),
            ("-", "'-"),
            ("-5.5", "-5.5"),
            ("-5.5 L/h", "'-5.5 L/h"),
            ("+5", "+5"),
            ("a = b", "a = b"),
            ("", ""),
        ] {
            assert_eq!(csv_text(text), cell);
        }
        let mut block = Facts::default();
        block.push("Shop", "=cmd()");
        let document = Document {
            title: "+T".to_owned(),
            title_block: block,
            sections: Vec::new(),
            foot: String::new(),
        };
        let text = String::from_utf8(csv(&document).unwrap()).unwrap();
        assert_eq!(text, "'+T\nShop,'=cmd()\n");
    }

    #[test]
    fn numbers_stand_apart_from_their_units() {
        let mut table = Table::new(["tank", "vol-\nume", "salt,\nall"]).text(2);
        table.push(["  bath", "4500 L", "1 of them"]);
        table.push(["a, b", "–", ""]);
        let mut section = Section::new("Where");
        section.table("Tanks", table);
        let mut facts = Facts::default();
        facts.push("Closure margin", "-28.8 L/h");
        facts.push("Lost", "0.5 kg/d of Ni");
        facts.push("Month", "Aug");
        section.facts(facts);
        let document = Document {
            title: "T".to_owned(),
            title_block: Facts::default(),
            sections: vec![section],
            foot: String::new(),
        };
        let text = String::from_utf8(csv(&document).unwrap()).unwrap();
        let wanted = "T\n\"\"\nWhere,Tanks\ntank,volume,unit,\"salt, all\"\nbath,4500,L,1 of them\n\"a, b\",–,,\n\"\"\nWhere\nClosure margin,-28.8,L/h\nLost,0.5,kg/d of Ni\nMonth,Aug\n";
        assert_eq!(text, wanted);
    }
}
