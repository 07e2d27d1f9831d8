//! Every input that a scenario gives, with its unit and where it comes from.

use dragback_scenario::{Origin, Parameter, Registry, Scenario, in_words};
use dragback_study::verdict::capitalised;
use dragback_units::{Dim, Style, System, Unit, format_in};

use crate::{Show, Table};

/// The inputs of one part of a scenario.
pub struct InputsOf {
    /// The part: `loop.bath`.
    pub part: String,
    /// Its inputs.
    pub table: Table,
}

impl InputsOf {
    /// The part in words; the key of a loop stands in them where there are several.
    #[must_use]
    pub fn title(&self, scenario: &Scenario) -> String {
        let (key, rest) = self.part.split_once('.').unwrap_or((&self.part, ""));
        let is_only = scenario.loops.get(key).is_some() && scenario.loops.keys().count() == 1;
        let words = match rest {
            "" if is_only => "loop".to_owned(),
            rest if is_only => in_words(rest),
            _ => in_words(&self.part),
        };
        capitalised(&words)
    }
}

/// The inputs that a scenario gives, part by part in its order. Words for people are left out, and air that changes with the month is a table of its own.
#[must_use]
pub fn inputs(scenario: &Scenario, show: Show) -> Vec<InputsOf> {
    let prices = scenario.prices.as_ref();
    let currency = prices.and_then(|p| p.currency.as_deref()).unwrap_or("");
    let mut found: Vec<InputsOf> = Vec::new();
    for parameter in Registry::of(scenario).iter() {
        if parameter.is_derived || !parameter.leaf.is_given || is_words(&parameter.path) {
            continue;
        }
        let Some(value) = value(parameter, currency, show) else {
            continue;
        };
        if let Some((air, month, what)) = of_month(&parameter.path) {
            of_air(&mut found, air, month, what, value);
            continue;
        }
        let part = part_of(&parameter.path);
        let heads = ["input", "value", "from", "low to high", "notes"];
        let table = table_of(&mut found, part, || Table::new(heads).text(2).text(4));
        let own = parameter.path.strip_prefix(part).unwrap_or("");
        let own = own.strip_prefix('.').unwrap_or(own);
        let own = if own.is_empty() { &parameter.path } else { own };
        table.push([
            in_words(own),
            value,
            parameter.leaf.origin.map_or("", word).to_owned(),
            spread(parameter, currency, show),
            parameter.leaf.notes.clone().unwrap_or_default(),
        ]);
    }
    for of in &mut found {
        of.table.drop_empty_columns();
    }
    found
}

/// The table of a part; a new one where it has none yet.
fn table_of<'f>(
    found: &'f mut Vec<InputsOf>,
    part: &str,
    begin: impl FnOnce() -> Table,
) -> &'f mut Table {
    let place = found.iter().position(|f| f.part == part);
    let place = place.unwrap_or_else(|| {
        let part = part.to_owned();
        let table = begin();
        found.push(InputsOf { part, table });
        found.len() - 1
    });
    &mut found[place].table
}

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// Path of the air, month and quantity of an input that is one month's: `site.room.Jan.temperature`.
fn of_month(path: &str) -> Option<(&str, &str, &str)> {
    let (head, what) = path.rsplit_once('.')?;
    let (air, month) = head.rsplit_once('.')?;
    MONTHS.contains(&month).then_some((air, month, what))
}

/// Puts a value into the row of its month and the column of its quantity.
fn of_air(found: &mut Vec<InputsOf>, air: &str, month: &str, what: &str, value: String) {
    let table = table_of(found, air, || Table::new(["month"]));
    let what = what.replace('_', " ");
    let column = table.heads.iter().position(|h| *h == what);
    let column = column.unwrap_or_else(|| {
        table.heads.push(what);
        table.heads.len() - 1
    });
    let row = table.rows.iter().position(|r| r[0] == month);
    let row = row.unwrap_or_else(|| {
        table.push([month]);
        table.rows.len() - 1
    });
    let cells = &mut table.rows[row];
    cells.resize(cells.len().max(column + 1), String::new());
    cells[column] = value;
}

/// Where a value comes from.
const fn word(origin: Origin) -> &'static str {
    match origin {
        Origin::Measured => "measured",
        Origin::Assumed => "assumed",
        Origin::Typical => "typical",
    }
}

fn is_words(path: &str) -> bool {
    let last = path.rsplit('.').next().unwrap_or(path);
    path.starts_with("title_block.") || ["title", "description", "notes", "version"].contains(&last)
}

/// The part of the scenario that an input stands in: the first two steps of a longer path, the first of a shorter one.
fn part_of(path: &str) -> &str {
    let mut dots = path.match_indices('.').map(|(at, _)| at);
    match (dots.next(), dots.next()) {
        (_, Some(second)) => &path[..second],
        (Some(first), None) => &path[..first],
        (None, None) => "",
    }
}

/// The unit in which a value is told: that of its ranges where people use it in both systems, else the one of the system that suits it.
fn unit_of(parameter: &Parameter, dim: Dim, show: Show) -> &'static Unit {
    let style = match (dim, parameter.meta.unit) {
        (Dim::Concentration, "mg/L") => Style::Rinse,
        (Dim::VolumeFlow, "m³/h") => Style::Air,
        _ => Style::Default,
    };
    let [metric, us] = [System::Metric, System::Us].map(|s| dim.display_unit(s, style).symbol);
    let own = dim.find_unit(parameter.meta.unit).filter(|_| metric == us);
    own.unwrap_or_else(|| dim.display_unit(show.system, style))
}

fn told(parameter: &Parameter, si: f64, currency: &str, show: Show) -> Option<String> {
    let dim = parameter.dim()?;
    let told = format_in(unit_of(parameter, dim, show), si, 3);
    Some(match told.split_once(" per ") {
        Some((number, of)) if !currency.is_empty() => format!("{number} {currency}/{of}"),
        _ if dim == Dim::Money => format!("{told} {currency}").trim_end().to_owned(),
        _ => told,
    })
}

fn value(parameter: &Parameter, currency: &str, show: Show) -> Option<String> {
    let text = parameter.text()?;
    let si = parameter.si();
    Some(
        si.and_then(|si| told(parameter, si, currency, show))
            .unwrap_or_else(|| plain(text)),
    )
}

/// A word of a scenario as people write it: `on off` for `on_off`, `yes` for `true`, and salts with the dot of their crystal water.
fn plain(text: &str) -> String {
    match text {
        "true" => "yes".to_owned(),
        "false" => "no".to_owned(),
        _ if text.contains("H2O") => in_words(text),
        _ => text.replace('_', " "),
    }
}

fn spread(parameter: &Parameter, currency: &str, show: Show) -> String {
    let spread = parameter.leaf.spread;
    let told = |si: Option<f64>| si.and_then(|si| told(parameter, si, currency, show));
    match (told(spread.low), told(spread.high)) {
        (Some(low), Some(high)) => format!("{low} to {high}"),
        (Some(low), None) => format!("from {low}"),
        (None, Some(high)) => format!("to {high}"),
        (None, None) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_scenario_are_written_as_people_write_them() {
        for (word, told) in [
            ("on_off", "on off"),
            ("true", "yes"),
            ("false", "no"),
            ("NiSO4.6H2O", "NiSO4·6H2O"),
            ("Mon-Fri", "Mon-Fri"),
            ("06:00", "06:00"),
        ] {
            assert_eq!(plain(word), told);
        }
    }

    #[test]
    fn every_given_input_stands_in_one_table() {
        let text = include_str!("../../../../scenarios/zinc-barrel.ron");
        let scenario = dragback_scenario::load(text).0.unwrap();
        let all = inputs(&scenario, Show::in_units(System::Metric));
        let of = |part: &str| {
            let found = all.iter().filter(|f| f.part == part).collect::<Vec<_>>();
            assert_eq!(found.len(), 1, "{part}");
            &found[0].table
        };
        let work = of("zinc.work");
        let load = work
            .rows
            .iter()
            .find(|r| r[0] == "drag-out, per load")
            .unwrap();
        assert_eq!(load[1..4], ["1.2 L", "measured", "0.9 L to 1.8 L"]);
        let labour = of("prices.labour");
        assert_eq!(labour.rows[0][..2], ["rate", "40 EUR/h"]);
        let outside = of("site.outside");
        assert_eq!(outside.heads, ["month", "temperature", "relative humidity"]);
        assert_eq!(outside.rows.len(), 12);
        let titles = ["zinc.work", "site.outside", "zinc"].map(|part| {
            let found = all.iter().find(|f| f.part == part);
            found.unwrap().title(&scenario)
        });
        assert_eq!(titles, ["Work", "Site, outside", "Loop"]);
        // What nothing is said of has no column.
        assert_eq!(of("waters.tap").heads, ["input", "value", "from"]);
        let counted = Registry::of(&scenario)
            .iter()
            .filter(|p| {
                !p.is_derived && p.leaf.is_given && !is_words(&p.path) && p.text().is_some()
            })
            .count();
        let rows: usize = all
            .iter()
            .map(|f| {
                let columns = if f.table.heads[0] == "month" {
                    f.table.heads.len() - 1
                } else {
                    1
                };
                columns * f.table.rows.len()
            })
            .sum();
        assert_eq!(rows, counted);
    }
}
