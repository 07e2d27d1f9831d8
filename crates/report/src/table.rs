//! A table as data: what a terminal, a page and a spreadsheet set in their own ways.

use serde::Serialize;

/// A table: the first column is text, the others are numbers. A head may have two lines, parted by `\n`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Table {
    /// Heads of the columns.
    pub heads: Vec<String>,
    /// Rows, a cell for each head.
    pub rows: Vec<Vec<String>>,
    /// Numbers of the columns of text, which stand at the left.
    pub texts: Vec<usize>,
    /// Numbers of the rows that sum up or stand out.
    pub strong: Vec<usize>,
}

impl Table {
    /// A table without rows.
    pub fn new<S: Into<String>>(heads: impl IntoIterator<Item = S>) -> Self {
        Self {
            heads: heads.into_iter().map(Into::into).collect(),
            texts: vec![0],
            ..Self::default()
        }
    }

    /// Makes a further column one of text.
    #[must_use]
    pub fn text(mut self, column: usize) -> Self {
        self.texts.push(column);
        self
    }

    /// Adds a row.
    pub fn push<S: Into<String>>(&mut self, row: impl IntoIterator<Item = S>) {
        self.rows.push(row.into_iter().map(Into::into).collect());
    }

    /// Adds a row that sums up or stands out.
    pub fn push_strong<S: Into<String>>(&mut self, row: impl IntoIterator<Item = S>) {
        self.strong.push(self.rows.len());
        self.push(row);
    }

    /// Takes away columns, but for the first, in which no row has anything.
    pub fn drop_empty_columns(&mut self) {
        let is_kept = |column: usize| {
            let mut cells = self.rows.iter().filter_map(|row| row.get(column));
            column == 0 || cells.any(|cell| !cell.is_empty())
        };
        let kept: Vec<usize> = (0..self.heads.len()).filter(|&c| is_kept(c)).collect();
        let of = |all: &[String]| kept.iter().filter_map(|&c| all.get(c).cloned()).collect();
        self.heads = of(&self.heads);
        self.rows = self.rows.iter().map(|row| of(row)).collect();
        let place = |column: &usize| kept.iter().position(|c| c == column);
        self.texts = self.texts.iter().filter_map(place).collect();
    }

    /// Whether there is no row.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}
