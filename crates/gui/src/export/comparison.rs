//! The line and its variants side by side as a table.

use dragback_study::compare::Compared;
use dragback_units::{Dim, Style, System, Unit};

use super::table::{Table, cell};
use crate::compare::{Column, cost, inputs, pays, settled};
use crate::number::daily_unit;

/// A row for each settled figure, for the running cost and the payback, and for each input that differs: a column for each line, and behind them how far
/// each is from the line at `from`. Figures are in the units shown, inputs as they are written.
#[must_use]
pub fn comparison_table(
    columns: &[Column<'_>],
    from: usize,
    loop_key: &str,
    system: System,
) -> Table {
    let names = || columns.iter().map(|c| c.name.to_owned());
    let others: Vec<usize> = (0..columns.len()).filter(|i| *i != from).collect();
    let reference = columns.get(from).map_or("", |c| c.name);
    let mut heads = vec!["what".to_owned(), "path".to_owned(), "unit".to_owned()];
    heads.extend(names());
    let moved = |i: &usize| format!("{} less {reference}", columns[*i].name);
    heads.extend(others.iter().map(moved));
    let mut rows = Vec::new();
    let mut write = |what: &str, unit: &str, values: &[Option<f64>], has_moved: bool| {
        let told = |value: Option<f64>| value.map_or_else(String::new, cell);
        let mut row = vec![what.to_owned(), String::new(), unit.to_owned()];
        row.extend(values.iter().map(|v| told(*v)));
        let away = |i: &usize| {
            let pair = values
                .get(*i)
                .copied()
                .flatten()
                .zip(values.get(from).copied().flatten());
            told(pair.filter(|_| has_moved).map(|(now, was)| now - was))
        };
        row.extend(others.iter().map(away));
        rows.push(row);
    };
    for row in settled(columns, loop_key) {
        let unit = unit_of(&row, system);
        let values: Vec<Option<f64>> = row
            .values
            .iter()
            .map(|v| v.map(|si| unit.from_si(si)))
            .collect();
        write(row.name, unit.symbol, &values, true);
    }
    let costs: Vec<Option<(f64, String)>> = columns.iter().map(cost).collect();
    let mut currencies: Vec<&String> = costs.iter().flatten().map(|(_, of)| of).collect();
    currencies.dedup();
    // Amounts in several currencies cannot stand in one row.
    if let [currency] = currencies[..] {
        let values: Vec<Option<f64>> = costs.iter().map(|c| c.as_ref().map(|(x, _)| *x)).collect();
        write("running cost", &format!("{currency}/year"), &values, true);
        let years: Vec<Option<f64>> = pays(columns, from)
            .iter()
            .map(|p| p.as_ref()?.years.number())
            .collect();
        write("payback", "years", &years, false);
    }
    for input in inputs(columns) {
        let mut row = vec!["input".to_owned(), input.path.clone(), String::new()];
        row.extend(input.values.iter().map(|value| match value.as_deref() {
            Some("") => "there".to_owned(),
            Some(text) => text.to_owned(),
            None => String::new(),
        }));
        row.extend(others.iter().map(|_| String::new()));
        rows.push(row);
    }
    Table { heads, rows }
}

fn unit_of(row: &Compared, system: System) -> &'static Unit {
    match row.dim {
        Dim::MassFlow => daily_unit(system, false),
        Dim::Time => Dim::Time.find_unit("d").unwrap_or_else(|| Dim::Time.si()),
        Dim::Concentration => row.dim.display_unit(system, Style::Rinse),
        dim => dim.display_unit(system, row.style),
    }
}
