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
pub(crate) const GAP_EM: f32 = 1.2;
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
/// A table that is broken begins with at least so many rows.
const FIRST_ROWS: usize = 3;
/// Heads of more lines do not stand on every page.
const HEAD_LINES: usize = 8;

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
    /// Whether the heads are so high that they do not stand on every page.
    pub(crate) is_head_high: bool,
    /// Height of its heads and first rows, about, points.
    pub(crate) beginning: f32,
    /// Height on the page, about, points.
    #[serde(skip)]
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
        let height = |row: &Vec<String>| (lines(row) as f32 * LINE_EM + ROW_EM) * size;
        let all = || [&heads].into_iter().chain(&rows);
        let beginning = all().take(FIRST_ROWS + 1).map(height).sum();
        let whole = all().map(height).sum();
        Part {
            size,
            widths: widths_em.iter().map(|w| (w + GAP_EM) * size).collect(),
            is_text: columns.iter().map(|&c| self.is_text[c]).collect(),
            is_head_high: lines(&heads) > HEAD_LINES,
            heads,
            rows,
            strong: self.strong.clone(),
            beginning,
            height: whole,
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
    let widths: Vec<f32> = others.iter().map(|n| n.least + GAP_EM).collect();
    let room_em = room_em - first.least - GAP_EM;
    let fits = |group: &Vec<usize>| group.iter().map(|&i| widths[i]).sum::<f32>() <= room_em;
    let groups = (1..=others.len())
        .map(|count| shared(&widths, count))
        .find(|groups| groups.iter().all(fits))
        .unwrap_or_else(|| (0..others.len()).map(|i| vec![i]).collect());
    let with_first = |group: Vec<usize>| {
        [0].into_iter()
            .chain(group.into_iter().map(|i| i + 1))
            .collect()
    };
    groups.into_iter().map(with_first).collect()
}

/// Columns shared out to so many groups by where the middle of each lies.
fn shared(widths: &[f32], count: usize) -> Vec<Vec<usize>> {
    let share = widths.iter().sum::<f32>() / count as f32;
    let mut groups = vec![Vec::new(); count];
    let mut begin = 0.0;
    for (i, width) in widths.iter().enumerate() {
        let group = ((begin + width / 2.0) / share) as usize;
        groups[group.min(count - 1)].push(i);
        begin += width;
    }
    groups.retain(|group| !group.is_empty());
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use dragback_drawing::font;

    const ROOM: f32 = 482.0;

    fn table(columns: usize, cell: &str) -> Table {
        let mut table = Table::new((0..columns).map(|c| format!("head {c}")));
        table.push((0..columns).map(|_| cell.to_owned()));
        table
    }

    fn fitted(table: &Table) -> Vec<Part> {
        fit(table, ROOM, &mut Letters::default())
    }

    #[test]
    fn few_columns_have_large_type() {
        let parts = fitted(&table(5, "1,234.5"));
        assert_eq!(parts.len(), 1);
        assert_eq!(parts[0].size, LARGEST);
    }

    #[test]
    fn more_columns_have_smaller_type_then_several_tables() {
        let sizes: Vec<(usize, f32)> = (5..=40)
            .map(|columns| fitted(&table(columns, "1,234.5")))
            .map(|parts| (parts.len(), parts[0].size))
            .collect();
        assert!(
            sizes
                .iter()
                .any(|&(parts, size)| parts == 1 && size < LARGEST)
        );
        assert!(sizes.iter().all(|&(parts, size)| if parts > 1 {
            (size - SPLIT).abs() < 1e-6
        } else {
            size >= SMALLEST
        }));
        assert!(sizes.is_sorted_by_key(|&(parts, _)| parts));
        assert!(sizes.last().is_some_and(|&(parts, _)| parts > 2));
    }

    #[test]
    fn parts_are_about_as_wide() {
        let parts = fitted(&table(41, "1,234.5"));
        let counts: Vec<usize> = parts.iter().map(|p| p.heads.len()).collect();
        let (least, most) = (counts.iter().min(), counts.iter().max());
        assert!(
            most.zip(least)
                .is_some_and(|(most, least)| most - least <= 1),
            "{counts:?}"
        );
    }

    #[test]
    fn short_rows_are_filled_up_and_long_ones_get_heads() {
        let mut table = Table::new(["a", "b"]);
        table.push(["1"]);
        table.push(["1", "2", "3"]);
        let parts = fitted(&table);
        assert_eq!(parts[0].heads, ["a", "b", ""]);
        assert_eq!(parts[0].rows, [["1", "", ""], ["1", "2", "3"]]);
        assert!(fitted(&Table::default()).is_empty());
    }

    #[test]
    fn text_takes_the_room_that_numbers_leave() {
        let name = "a name of several words that would need some lines in a narrow column";
        let mut table = Table::new(["Station", "L/h"]);
        table.push([name, "1"]);
        let part = &fitted(&table)[0];
        assert_eq!(part.is_text, [true, false]);
        assert!(part.widths[0] > 4.0 * part.widths[1], "{:?}", part.widths);
        assert_eq!(
            lines_in(&part.rows[0][0], part.widths[0] / part.size - GAP_EM, true),
            1
        );
    }

    /// Cells from empty to endless.
    fn any_cell() -> impl Strategy<Value = String> {
        prop_oneof![
            "[0-9]{1,9}(\\.[0-9]{1,3})?",
            "[a-z]{0,12}( [a-z]{1,14}){0,6}",
            "[A-Za-z0-9/_-]{20,200}",
            "[a-z]{1,9}\n[a-z/]{1,9}",
        ]
    }

    fn any_table() -> impl Strategy<Value = Table> {
        (1usize..45, 0usize..6).prop_flat_map(|(columns, rows)| {
            let row = || prop::collection::vec(any_cell(), columns);
            let texts = prop::collection::vec(0..columns, 0..4);
            (row(), prop::collection::vec(row(), rows), texts).prop_map(|(heads, rows, texts)| {
                Table {
                    heads,
                    rows,
                    texts,
                    strong: Vec::new(),
                }
            })
        })
    }

    proptest! {
        #[test]
        fn every_table_finds_room_and_loses_nothing(table in any_table()) {
            let parts = fitted(&table);
            let columns: usize = parts.iter().map(|p| p.heads.len() - 1).sum();
            prop_assert_eq!(columns, table.heads.len() - 1);
            let plain = |text: &str| text.replace('\u{200b}', "");
            let mut next = 1;
            for part in &parts {
                prop_assert!((SMALLEST..=LARGEST).contains(&part.size));
                prop_assert!(part.widths.iter().sum::<f32>() <= ROOM + 0.1);
                prop_assert_eq!(plain(&part.heads[0]), table.heads[0].as_str());
                for (i, head) in part.heads.iter().enumerate().skip(1) {
                    prop_assert_eq!(plain(head), table.heads[next + i - 1].as_str());
                }
                for (row, whole) in part.rows.iter().zip(&table.rows) {
                    for (i, cell) in row.iter().enumerate().skip(1) {
                        prop_assert_eq!(plain(cell), whole[next + i - 1].as_str());
                    }
                }
                next += part.heads.len() - 1;
                for row in part.rows.iter().chain([&part.heads]) {
                    for (cell, width) in row.iter().zip(&part.widths) {
                        let room = width - GAP_EM * part.size;
                        for word in cell.split([' ', '\n', '\u{200b}']) {
                            prop_assert!(font::width(word, part.size, true) <= room + 0.01, "{} in {} at {}", word, room, part.size);
                        }
                    }
                }
            }
        }
    }
}
