//! The title block, and what else it is read for.

use dragback_report::{Facts, NO_NUMBER};

use crate::letters::lines_in;
use crate::setter::Setter;
use crate::sheet::{Label, SIZES};

/// Cells in a row of the title block.
const CELLS: usize = 3;
/// Space beside the text of a cell, left and right together, points.
const CELL_GAP: f32 = 12.0;
/// A value of more lines gets a row of its own.
const CELL_LINES: usize = 2;

/// Rows of the title block: pairs side by side, or one that needs the whole width.
pub(crate) fn block(setter: &mut Setter, facts: &Facts) -> Vec<Vec<Label>> {
    let whole = setter.page.room() - CELL_GAP;
    let cell = setter.page.room() / CELLS as f32 - CELL_GAP;
    let mut rows: Vec<Vec<Label>> = Vec::new();
    for (label, value) in joined(facts) {
        let is_wide = lines_in(&value, cell / SIZES.body, false) > CELL_LINES;
        let (room, span) = if is_wide { (whole, CELLS) } else { (cell, 1) };
        let pair = Label {
            label: setter.within(label, room, SIZES.fine),
            value: setter.within(&value, room, SIZES.body),
            span,
        };
        match rows.last_mut() {
            Some(row) if taken(row) + span <= CELLS => row.push(pair),
            _ => rows.push(vec![pair]),
        }
    }
    for row in &mut rows {
        let free = CELLS.saturating_sub(taken(row));
        if let Some(last) = row.last_mut() {
            last.span += free;
        }
    }
    rows
}

fn taken(row: &[Label]) -> usize {
    row.iter().map(|pair| pair.span).sum()
}

/// Facts with those that go on with the one before joined to it.
fn joined(facts: &Facts) -> Vec<(&str, String)> {
    let mut pairs: Vec<(&str, String)> = Vec::new();
    for fact in &facts.0 {
        match pairs.last_mut() {
            Some((_, value)) if fact.label.is_empty() => {
                value.push('\n');
                value.push_str(&fact.value);
            }
            _ => pairs.push((&fact.label, fact.value.clone())),
        }
    }
    pairs
}

/// The value of the first fact that goes by one of these labels; what was left open is none.
pub(crate) fn named<'a>(facts: &'a Facts, labels: &[&str]) -> Option<&'a str> {
    let is_one = |label: &str| labels.iter().any(|l| label.eq_ignore_ascii_case(l));
    let found = facts.0.iter().find(|fact| is_one(&fact.label));
    let is_said = |value: &&str| !value.is_empty() && *value != NO_NUMBER;
    found.map(|f| f.value.trim()).filter(is_said)
}

/// The letter of an appendix: A to Z, then a number.
pub(crate) fn letter(number: u8) -> String {
    match number {
        1..=26 => char::from(b'A' + number - 1).to_string(),
        _ => number.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use dragback_report::{Document, Paper};

    use super::*;

    fn rows(pairs: &[(&str, &str)]) -> Vec<Vec<(String, usize)>> {
        let mut title_block = Facts::default();
        for (label, value) in pairs {
            title_block.push(label, *value);
        }
        let document = Document {
            title: String::new(),
            title_block,
            sections: Vec::new(),
            foot: String::new(),
        };
        let rows = Setter::set(&document, Paper::A4).0.title_block;
        let row = |row: Vec<Label>| row.into_iter().map(|l| (l.value, l.span)).collect();
        rows.into_iter().map(row).collect()
    }

    #[test]
    fn every_row_is_full() {
        let long = "word ".repeat(30);
        let long = long.trim();
        let cell = |value: &str, span| (value.to_owned(), span);
        assert_eq!(
            rows(&[("a", "1"), ("b", "2"), ("c", long), ("d", "4")]),
            [
                vec![cell("1", 1), cell("2", 2)],
                vec![cell(long, 3)],
                vec![cell("4", 3)]
            ]
        );
        assert_eq!(rows(&[]), Vec::<Vec<(String, usize)>>::new());
    }

    #[test]
    fn a_fact_without_a_label_goes_on() {
        let found = rows(&[("", "first"), ("a", "1"), ("", "2")]);
        let cell = |value: &str, span| (value.to_owned(), span);
        assert_eq!(found, [vec![cell("first", 1), cell("1\n2", 2)]]);
    }

    #[test]
    fn what_was_left_open_is_not_told_again() {
        let mut facts = Facts::default();
        facts.push("Revision", NO_NUMBER);
        facts.push("Date", " 27 November ");
        facts.push("Shop", "");
        assert_eq!(named(&facts, &["revision"]), None);
        assert_eq!(named(&facts, &["Date"]), Some("27 November"));
        assert_eq!(named(&facts, &["shop"]), None);
        assert_eq!(named(&facts, &["author"]), None);
    }

    #[test]
    fn appendices_go_by_letters() {
        let letters: Vec<String> = [1, 2, 26, 27].map(letter).into();
        assert_eq!(letters, ["A", "B", "Z", "27"]);
    }
}
