//! Tables that fit a terminal of 80 columns.

use dragback_report::Table;

use crate::io::printable;

/// Columns of a terminal.
pub(crate) const WIDTH: usize = 80;
/// Narrowest that the first column is made.
const LEAST_FIRST: usize = 10;
/// Space between columns, and left of the first.
const GAP: usize = 2;
/// Space between columns of a table that is too wide otherwise.
const NARROW_GAP: usize = 1;

/// A table as text, indented by two.
pub(crate) fn rendered(table: &Table) -> String {
    let mut widths: Vec<usize> = table
        .heads
        .iter()
        .enumerate()
        .map(|(i, head)| {
            let lines = head.lines().map(width).max().unwrap_or(0);
            table
                .rows
                .iter()
                .filter_map(|r| r.get(i))
                .map(|c| width(&printable(c)))
                .fold(lines, usize::max)
        })
        .collect();
    shrink(table, &mut widths);
    let gap = if total(&widths, GAP) > WIDTH {
        NARROW_GAP
    } else {
        GAP
    };
    let mut out = String::new();
    let depth = table
        .heads
        .iter()
        .map(|h| h.lines().count())
        .max()
        .unwrap_or(1);
    for line in 0..depth {
        // Heads of one line stand on the last one, next to their numbers.
        let cell = |head: &String| {
            let lines: Vec<&str> = head.lines().collect();
            (line + lines.len())
                .checked_sub(depth)
                .and_then(|i| lines.get(i).copied())
                .unwrap_or("")
                .to_owned()
        };
        let cells: Vec<String> = table.heads.iter().map(cell).collect();
        write_line(table, &cells, &widths, gap, &mut out);
    }
    for row in &table.rows {
        write_line(table, row, &widths, gap, &mut out);
    }
    out
}

/// Takes from the text columns, the widest first, what is too much for the terminal.
fn shrink(table: &Table, widths: &mut [usize]) {
    loop {
        let widest = table
            .texts
            .iter()
            .copied()
            .filter(|&i| i < widths.len())
            .max_by_key(|&i| widths[i]);
        match widest {
            Some(i) if total(widths, GAP) > WIDTH && widths[i] > LEAST_FIRST => widths[i] -= 1,
            _ => return,
        }
    }
}

fn write_line(table: &Table, cells: &[String], widths: &[usize], gap: usize, out: &mut String) {
    let mut line = " ".repeat(GAP);
    for (i, (cell, &wide)) in cells.iter().zip(widths).enumerate() {
        if i > 0 {
            line.push_str(&" ".repeat(gap));
        }
        let cell = cut(&printable(cell).replace('\n', " "), wide);
        let blank = " ".repeat(wide.saturating_sub(width(&cell)));
        if table.texts.contains(&i) {
            line.push_str(&cell);
            line.push_str(&blank);
        } else {
            line.push_str(&blank);
            line.push_str(&cell);
        }
    }
    out.push_str(line.trim_end());
    out.push('\n');
}

/// Columns that a table takes.
fn total(widths: &[usize], gap: usize) -> usize {
    GAP + widths.iter().sum::<usize>() + gap * widths.len().saturating_sub(1)
}

/// Characters of a text; the program's own words have one column each.
pub(crate) fn width(text: &str) -> usize {
    text.chars().count()
}

/// A text cut to `wide` characters, with `…` where something is missing.
pub(crate) fn cut(text: &str, wide: usize) -> String {
    if width(text) <= wide {
        return text.to_owned();
    }
    text.chars()
        .take(wide.saturating_sub(1))
        .chain(['…'])
        .collect()
}

/// Words in lines of at most `wide` characters; a longer word has a line of its own.
pub(crate) fn wrap(text: &str, wide: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let is_full = lines
            .last()
            .is_some_and(|line| !line.is_empty() && width(line) + 1 + width(word) > wide);
        if is_full {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_and_heads_stand_on_their_numbers() {
        let mut table = Table::new(["tank", "level\nm", "°C"]);
        table.push(["bath", "1.2", "55"]);
        table.push(["rinses 1", "0.8", "21.5"]);
        let expected = "            level\n  tank          m    °C\n  bath        1.2    55\n  rinses 1    0.8  21.5\n";
        assert_eq!(rendered(&table), expected);
    }

    #[test]
    fn long_names_are_cut_to_80_columns() {
        let mut table = Table::new(["tank", "volume", "device"]).text(2);
        table.push(["x".repeat(90), "1200 L".to_owned(), "y".repeat(70)]);
        let text = rendered(&table);
        assert!(text.lines().all(|l| width(l) <= WIDTH), "{text}");
        assert!(text.contains('…'));
    }

    #[test]
    fn wrapping_keeps_words_whole() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("", 7), [""]);
    }
}
