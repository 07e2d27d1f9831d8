//! How a table finds room on the page: smaller type down to a floor, then several tables below each other that repeat the first column.

use dragback_report::Table;
use serde::Serialize;

use crate::letters::{Letters, breakable, lines_in, width_em, word_em};

/// Type of a table that has room, points.
const LARGEST: f32 = 9.0;
/// Smaller type is not set, points.
const SMALLEST: f32 = 7.0;
/// Type of a table that must be split anyway, points.
const SPLIT: f32 = 8.0;
/// Steps of the size of type, points.
const STEP: f32 = 0.5;
/// Space beside a cell, left and right together, ems.
const GAP_EM: f32 = 0.9;
/// What a measured width may lack, since letters are kerned in pairs, ems.
const SAFE_EM: f32 = 0.15;
/// No column asks for more than this; what is wider breaks into lines, ems.
const WIDEST_EM: f32 = 16.0;
/// A column of text is not set narrower than this if its texts are wider, ems.
const COMFORT_EM: f32 = 9.0;
/// A column that needs no more room still gets so much of what is left, ems.
const LOOSE_EM: f32 = 1.6;
/// Height of a line, and what stands between rows, ems.
const LINE_EM: f32 = 1.3;
const ROW_EM: f32 = 0.7;

/// A table, or one of the tables that it is split into.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Part {
    /// Size of type, points.
    pub(crate) size: f32,
    /// Widths of the columns with the space beside them, points.
    pub(crate) widths: Vec<f32>,
    /// Whether each column is text, which stands at the left.
    pub(crate) is_text: Vec<bool>,
    /// Heads of the columns.
    pub(crate) heads: Vec<String>,
    /// Cells of the rows.
    pub(crate) rows: Vec<Vec<String>>,
    /// Rows that stand out.
    pub(crate) strong: Vec<usize>,
    /// Height on the page, about, points.
    pub(crate) height: f32,
}

/// What a column asks for, ems, without the space beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Need {
    least: f32,
    most: f32,
}

/// The cells of a table as the fonts can set them, each row as wide as the table.
struct Cells {
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
    is_text: Vec<bool>,
    strong: Vec<usize>,
}

impl Cells {
    fn of(table: &Table, letters: &mut Letters) -> Self {
        let columns = (table.rows.iter().map(Vec::len)).fold(table.heads.len(), usize::max);
        let mut row = |cells: &[String]| -> Vec<String> {
            let cells = (0..columns).map(|i| cells.get(i).map_or("", String::as_str));
            cells.map(|cell| letters.known(cell)).collect()
        };
        let heads = row(&table.heads);
        let rows = table.rows.iter().map(|cells| row(cells)).collect();
        let is_text = (0..columns).map(|i| table.texts.contains(&i)).collect();
        let strong = table.strong.clone();
        Self {
            heads,
            rows,
            is_text,
            strong,
        }
    }

    fn need(&self, column: usize) -> Need {
        let head = &self.heads[column];
        let cells = || self.rows.iter().map(|row| row[column].as_str());
        let widest = |of: fn(&str, bool) -> f32| cells().map(|c| of(c, true)).fold(0.0, f32::max);
        let most = widest(width_em).max(width_em(head, true)) + SAFE_EM;
        let least = if self.is_text[column] {
            widest(word_em).max(most.min(COMFORT_EM))
        } else {
            widest(width_em)
        };
        let least = least.max(word_em(head, true)) + SAFE_EM;
        Need {
            least: least.min(WIDEST_EM),
            most: most.max(least),
        }
    }

    /// Some of the columns, with these widths without the space beside them, ems.
    fn part(&self, columns: &[usize], widths_em: &[f32], size: f32) -> Part {
        let pick = |row: &[String]| -> Vec<String> {
            let cells = columns.iter().zip(widths_em);
            cells
                .map(|(&c, &room_em)| breakable(&row[c], room_em))
                .collect()
        };
        let heads = pick(&self.heads);
        let rows: Vec<Vec<String>> = self.rows.iter().map(|row| pick(row)).collect();
        let lines = |row: &[String]| -> usize {
            let cells = row.iter().zip(widths_em);
            let lines = cells.map(|(cell, &room_em)| lines_in(cell, room_em, true));
            lines.max().unwrap_or(1)
        };
        let height_em: f32 = (rows.iter().chain([&heads]))
            .map(|row| lines(row) as f32 * LINE_EM + ROW_EM)
            .sum();
        Part {
            size,
            widths: widths_em.iter().map(|w| (w + GAP_EM) * size).collect(),
            is_text: columns.iter().map(|&c| self.is_text[c]).collect(),
            heads,
            rows,
            strong: self.strong.clone(),
            height: height_em * size,
        }
    }
}

/// Finds room for a table in a width of so many points. A table without columns has no part.
pub(crate) fn fit(table: &Table, room: f32, letters: &mut Letters) -> Vec<Part> {
    let cells = Cells::of(table, letters);
    let needs: Vec<Need> = (0..cells.heads.len()).map(|c| cells.need(c)).collect();
    if needs.is_empty() {
        return Vec::new();
    }
    let least: f32 = needs.iter().map(|n| n.least + GAP_EM).sum();
    let size = ((room / least / STEP).floor() * STEP).min(LARGEST);
    let (size, groups) = if size >= SMALLEST {
        (size, vec![(0..needs.len()).collect()])
    } else {
        (SPLIT, split(&needs, room / SPLIT))
    };
    let parts = groups.iter().map(|columns: &Vec<usize>| {
        let needs: Vec<Need> = columns.iter().map(|&c| needs[c]).collect();
        cells.part(columns, &widths(&needs, room / size), size)
    });
    parts.collect()
}

/// Columns of the tables that a wide table is split into. All have the first column, and about the same width.
fn split(needs: &[Need], room_em: f32) -> Vec<Vec<usize>> {
    let Some((first, others)) = needs.split_first() else {
        return Vec::new();
    };
    let room_em = room_em - first.least - GAP_EM;
    let all: f32 = others.iter().map(|n| n.least + GAP_EM).sum();
    let share = all / (all / room_em).ceil().max(1.0);
    let mut groups = Vec::new();
    let mut columns = vec![0];
    let mut taken = 0.0;
    for (i, need) in others.iter().enumerate() {
        let width = need.least + GAP_EM;
        let is_full = taken + width > room_em || taken + width / 2.0 > share;
        if is_full && columns.len() > 1 {
            groups.push(std::mem::replace(&mut columns, vec![0]));
            taken = 0.0;
        }
        columns.push(i + 1);
        taken += width;
    }
    groups.push(columns);
    groups
}

/// Widths of columns that share a room, without the space beside them, ems: what each needs at least, then what texts ask for, then a little for all.
fn widths(needs: &[Need], room_em: f32) -> Vec<f32> {
    let least: f32 = needs.iter().map(|n| n.least + GAP_EM).sum();
    let asked: f32 = needs.iter().map(|n| n.most - n.least).sum();
    let left = (room_em - least).max(0.0);
    let share = if asked > 0.0 {
        (left / asked).min(1.0)
    } else {
        0.0
    };
    let loose = ((left - asked * share) / needs.len() as f32).clamp(0.0, LOOSE_EM);
    let width = |n: &Need| n.least + (n.most - n.least) * share + loose;
    needs.iter().map(width).collect()
}
