//! A table with a head.

use dragback_report::csv_text;

/// A table; every row has as many cells as the head.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// Head of each column, with its unit.
    pub heads: Vec<String>,
    /// Cells.
    pub rows: Vec<Vec<String>>,
}

/// A number with nine digits; nothing where there is none.
pub(super) fn cell(value: f64) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let rounded: f64 = format!("{value:.8e}").parse().unwrap_or(value);
    if rounded == 0.0 {
        "0".to_owned()
    } else if (1e-4..1e15).contains(&rounded.abs()) {
        format!("{rounded}")
    } else {
        format!("{rounded:e}")
    }
}

/// Name and unit as the head of a column.
pub(super) fn head(name: &str, unit: &str) -> String {
    if unit.is_empty() {
        name.to_owned()
    } else {
        format!("{name} ({unit})")
    }
}

impl Table {
    /// As comma-separated values, in UTF-8.
    ///
    /// # Errors
    /// In words, when a row has another number of cells than the head.
    pub fn csv(&self) -> Result<Vec<u8>, String> {
        let mut csv = csv::Writer::from_writer(Vec::new());
        for row in std::iter::once(&self.heads).chain(&self.rows) {
            let cells = row.iter().map(|cell| csv_text(cell).into_owned());
            csv.write_record(cells).map_err(|e| e.to_string())?;
        }
        csv.into_inner().map_err(|e| e.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_nine_digits_and_nothing_is_no_number() {
        for (value, text) in [
            (1.0 / 3.0, "0.333333333"),
            (-0.0, "0"),
            (1.25e-9, "1.25e-9"),
            (123_456_789.4, "123456789"),
            (f64::NAN, ""),
            (f64::INFINITY, ""),
        ] {
            assert_eq!(cell(value), text);
        }
    }

    #[test]
    fn commas_and_quotes_in_names_do_not_break_a_row() {
        let table = Table {
            heads: vec!["a, b".to_owned(), "c".to_owned()],
            rows: vec![vec!["say \"no\"".to_owned(), "1".to_owned()]],
        };
        let text = String::from_utf8(table.csv().unwrap()).unwrap();
        assert_eq!(text, "\"a, b\",c\n\"say \"\"no\"\"\",1\n");
        let uneven = Table {
            rows: vec![vec!["1".to_owned()]],
            ..table
        };
        assert!(uneven.csv().is_err());
    }
}
