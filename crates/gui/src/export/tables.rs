//! Curves, settled answers, key figures and the ledger as tables, in the units of the window.

use std::collections::BTreeMap;

use dragback_study::curves::{Kind, Series};
use dragback_study::money::Plan;
use dragback_study::{LedgerAnswer, LoopAnswer};
use dragback_units::{Dim, Style, System, Unit};

use super::table::{Table, cell, head};
use crate::ledger::{Sheet, quantity_name};
use crate::money::{Told, told};
use crate::number::daily_unit;
use crate::plots::{KINDS, Measure, kind_name};
use crate::results::CurveSet;
use crate::sweep::{Figure, Sweep};

/// Curves against time. A row for each moment at which any of them has a value; the others have an empty cell there.
#[must_use]
pub fn curves_table(set: &CurveSet, kinds: &[Kind], system: System) -> Table {
    let mut heads = vec!["time (h)".to_owned()];
    let mut columns: Vec<(&Series, &'static Unit)> = Vec::new();
    for (kind, plot) in KINDS.iter().zip(&set.plots) {
        if !kinds.contains(kind) {
            continue;
        }
        let measure = Measure::of(*kind, system);
        for series in &plot.series {
            let name = if kinds.len() > 1 {
                format!("{}: {}", kind_name(*kind), series.name)
            } else {
                series.name.clone()
            };
            heads.push(head(&name, measure.table_unit_words()));
            columns.push((series, measure.table_unit()));
        }
    }
    let mut next = vec![0_usize; columns.len()];
    let mut rows = Vec::new();
    // A curve may have two values at one time, where something switches; then there are two rows.
    loop {
        let waiting = columns.iter().zip(&next);
        let times = waiting.filter_map(|((series, _), &i)| Some(series.points.get(i)?[0]));
        let Some(time_h) = times.reduce(f64::min) else {
            break;
        };
        let mut row = vec![cell(time_h)];
        for ((series, unit), i) in columns.iter().zip(&mut next) {
            let point = series.points.get(*i).filter(|p| p[0] <= time_h);
            *i += usize::from(point.is_some());
            row.push(point.map_or_else(String::new, |p| cell(unit.from_si(p[1]))));
        }
        rows.push(row);
    }
    Table { heads, rows }
}

/// Unit of a figure in plots and tables.
#[must_use]
pub fn figure_unit(figure: Figure, system: System) -> &'static Unit {
    let style = match figure {
        Figure::FinalRinse => Style::Rinse,
        _ => Style::Default,
    };
    match figure.dim() {
        Dim::MassFlow => return daily_unit(system, false),
        Dim::Time => return days_unit(),
        _ => {}
    }
    figure.dim().display_unit(system, style)
}

fn days_unit() -> &'static Unit {
    Dim::Time.find_unit("d").unwrap_or_else(|| Dim::Time.si())
}

/// Every figure of the settled week against the positions of a lever called `name`, told in `along`.
#[must_use]
pub fn sweep_table(sweep: &Sweep, (name, along): (&str, &Unit), system: System) -> Table {
    let mut heads = vec![head(name, along.symbol)];
    let figures = Figure::ALL.map(|f| (f, figure_unit(f, system)));
    heads.extend(figures.map(|(f, unit)| head(f.name(), unit.symbol)));
    let row = |point: &crate::sweep::SweepPoint| {
        let mut row = vec![cell(along.from_si(point.si))];
        row.extend(figures.map(|(f, unit)| {
            let value = point.answer.as_ref().and_then(|a| f.si(a));
            value.map_or_else(String::new, |si| cell(unit.from_si(si)))
        }));
        row
    };
    Table {
        rows: sweep.points.iter().map(row).collect(),
        heads,
    }
}

/// Key figures of the settled week, one a row; those of a kept state beside them.
#[must_use]
pub fn figures_table(
    line: &LoopAnswer,
    kept: Option<(&str, &LoopAnswer)>,
    system: System,
) -> Table {
    let mut heads = vec!["figure".to_owned(), "settled week".to_owned()];
    heads.extend(kept.map(|(name, _)| format!("kept: {name}")));
    heads.push("unit".to_owned());
    let row = |name: &str, unit: &str, value: &dyn Fn(&LoopAnswer) -> Option<f64>| {
        let told = |line: &LoopAnswer| value(line).map_or_else(String::new, cell);
        let mut row = vec![name.to_owned(), told(line)];
        row.extend(kept.map(|(_, kept)| told(kept)));
        row.push(unit.to_owned());
        row
    };
    let mut rows: Vec<Vec<String>> = Figure::ALL
        .iter()
        .map(|f| {
            let unit = figure_unit(*f, system);
            row(f.name(), unit.symbol, &|l| {
                f.si(l).map(|si| unit.from_si(si))
            })
        })
        .collect();
    let worth = |l: &LoopAnswer| Some(l.lost_worth.as_ref()?.per_year);
    let currency = line.lost_worth.as_ref().map_or("", |w| &w.currency);
    let a_year = format!("{currency}/year");
    rows.push(row(
        "Worth of what is lost",
        a_year.trim_start_matches('/'),
        &worth,
    ));
    Table { heads, rows }
}

/// Every line of the ledger. Masses are in kg or lb, energy in kWh.
#[must_use]
pub fn ledger_table(
    entries: &BTreeMap<String, LedgerAnswer>,
    stretch: &str,
    system: System,
) -> Table {
    let heads = ["stretch", "quantity", "side", "line", "amount", "unit"];
    let mut rows = Vec::new();
    for key in entries.keys() {
        let Some(sheet) = Sheet::of(entries, key, "") else {
            continue;
        };
        let (unit, from_told): (&Unit, f64) = if sheet.is_energy() {
            let unit = Dim::Energy.display_unit(system, Style::Default);
            (unit, dragback_units::constants::JOULES_PER_KWH)
        } else {
            (Dim::Mass.display_unit(system, Style::Default), 1.0)
        };
        let mut write = |side: &str, line: &str, amount: f64| {
            rows.push(vec![
                stretch.to_owned(),
                quantity_name(key),
                side.to_owned(),
                line.to_owned(),
                cell(unit.from_si(amount * from_told)),
                unit.symbol.to_owned(),
            ]);
        };
        for (side, lines) in [("in", &sheet.left), ("out", &sheet.right)] {
            for line in lines.iter().filter(|l| !l.is_held) {
                write(side, &line.name, line.amount);
            }
        }
        write("in", "all", sheet.came);
        write("out", "all", sheet.went);
        write("held", "change", sheet.held);
        rows.push(vec![
            stretch.to_owned(),
            quantity_name(key),
            "closure error".to_owned(),
            String::new(),
            cell(sheet.closure_error),
            String::new(),
        ]);
    }
    Table {
        heads: heads.map(str::to_owned).to_vec(),
        rows,
    }
}

/// Every line of a year's cost, before and after where there are two plans, and what the change means.
///
/// # Errors
/// Why nothing can be counted.
pub fn money_table(before: Option<&Plan>, now: &Plan) -> Result<Table, String> {
    let heads = [
        "what",
        "path of the price",
        "before",
        "after",
        "difference",
        "unit",
    ];
    let mut rows = Vec::new();
    let mut write = |name: &str, path: &str, amounts: [Option<f64>; 3], unit: &str| {
        let cells = amounts.map(|x| x.map_or_else(String::new, cell));
        let mut row = vec![name.to_owned(), path.to_owned()];
        row.extend(cells);
        row.push(unit.to_owned());
        rows.push(row);
    };
    match told(before, now).map_err(|why| why.to_string())? {
        Told::Alone(costs) => {
            let prices = now.scenario.prices.as_ref();
            let currency = prices.and_then(|p| p.currency.as_deref()).unwrap_or("");
            let unit = format!("{currency}/year");
            for line in &costs.lines {
                write(
                    &line.name,
                    &line.path,
                    [None, Some(line.per_year), None],
                    &unit,
                );
            }
            write("all", "", [None, Some(costs.per_year), None], &unit);
        }
        Told::Change(payback) => {
            let unit = format!("{}/year", payback.currency);
            for l in &payback.lines {
                let amounts = [Some(l.before), Some(l.after), Some(l.difference)];
                write(&l.name, &l.path, amounts, &unit);
            }
            let (old, new) = (payback.cost_before, payback.cost_after);
            write("all", "", [Some(old), Some(new), Some(new - old)], &unit);
            let currency = &payback.currency;
            let single = [
                ("laid out", Some(payback.laid_out), currency.as_str()),
                ("back without interest", payback.simple.number(), "years"),
                ("back with interest", payback.discounted.number(), "years"),
                (
                    "net present value",
                    Some(payback.net_present_value),
                    currency,
                ),
                (
                    "internal rate of return",
                    payback.rate_of_return.number(),
                    "1/year",
                ),
            ];
            for (name, value, unit) in single {
                write(name, "", [None, value, None], unit);
            }
        }
    }
    let heads = heads.map(str::to_owned).to_vec();
    Ok(Table { heads, rows })
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use dragback_study::Driver;

    use super::*;
    use crate::results::{Asked, PlotData};

    fn set() -> CurveSet {
        let series = |name: &str, dim: Dim, points: &[[f64; 2]]| Series {
            name: name.to_owned(),
            dim,
            points: points.to_vec(),
        };
        let plots = KINDS.map(|kind| {
            let series = match kind {
                Kind::Temperature => vec![
                    series("bath", Dim::Temperature, &[[0.0, 273.15], [1.0, 323.15]]),
                    series(
                        "tank",
                        Dim::Temperature,
                        &[[0.5, 283.15], [1.0, 293.15], [1.0, f64::NAN]],
                    ),
                ],
                Kind::Concentration => vec![series("bath", Dim::Concentration, &[[0.0, 0.012]])],
                _ => Vec::new(),
            };
            PlotData {
                pens: vec![0; series.len()],
                series,
                guides: Vec::new(),
            }
        });
        CurveSet {
            asked: Asked {
                generation: 1,
                document: 1,
                loop_key: "loop".to_owned(),
                moved: None,
            },
            driver: Driver::Exact,
            plots: plots.into(),
            rests: Vec::new(),
            final_station: None,
            holding_tank: None,
            alarms: Vec::new(),
            events: Vec::new(),
            run: None,
            took: Duration::ZERO,
        }
    }

    fn text(table: &Table) -> String {
        String::from_utf8(table.csv().unwrap()).unwrap()
    }

    #[test]
    fn curves_share_a_column_of_time_and_units_follow_the_window() {
        let metric = curves_table(&set(), &[Kind::Temperature], System::Metric);
        assert_eq!(
            text(&metric),
            "time (h),bath (°C),tank (°C)\n0,0,\n0.5,,10\n1,50,20\n1,,\n"
        );
        let us = curves_table(&set(), &[Kind::Temperature], System::Us);
        assert!(text(&us).starts_with("time (h),bath (°F),tank (°F)\n0,32,\n0.5,,50\n"));
    }

    #[test]
    fn several_plots_are_told_apart() {
        let all = curves_table(&set(), &KINDS, System::Metric);
        let wanted = [
            "time (h)",
            "Concentrations: bath (mg/L)",
            "Temperatures: bath (°C)",
            "Temperatures: tank (°C)",
        ];
        assert_eq!(all.heads, wanted);
        assert_eq!(all.rows[0], ["0", "12", "0", ""]);
    }
}
