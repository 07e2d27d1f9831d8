//! `dragback compare`.

use std::collections::BTreeSet;
use std::sync::Arc;

use anyhow::{Result, bail};
use dragback_scenario::Scenario;
use dragback_study::compare::{
    Compared, Differing, Paid, RECOVERED, WHOSE_PRICES, differing, figures, paid, unpaid,
};
use dragback_study::money::{MoneyError, Plan};
use dragback_study::{AirChoice, Answers, Hours};
use dragback_units::constants as unit;
use dragback_units::{Dim, percent_of_whole};
use serde::Serialize;

use dragback_report::told::CAUTION;

use crate::answers_text::section;
use crate::args::{CompareArgs, Input};
use crate::facts::paragraph;
use crate::io::Io;
use crate::settle::settled;
use crate::source::{Loaded, load};
use crate::target::Targets;
use crate::verdict::Verdict;
use dragback_report::Table;
use dragback_report::{NO_NUMBER, Show};

/// What the command writes as JSON.
#[derive(Serialize)]
struct Sheet {
    /// Titles of the lines.
    scenarios: Vec<String>,
    figures: Vec<Compared>,
    /// What each line costs to run for a year at its own prices; `null` where it has none.
    cost_per_year: Vec<Option<f64>>,
    /// The currency of each.
    currency: Vec<String>,
    /// Whether each pays against the first; `null` for the first and where there is no answer in money.
    pays: Vec<Option<Paid>>,
    /// Why lines with prices have no payback.
    no_payback: Vec<String>,
    inputs: Vec<Differing>,
}

/// Sets lines side by side.
pub(crate) fn compare(args: &CompareArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    if args.files.iter().filter(|f| *f == "-").count() > 1 {
        bail!("only one of the scenarios can come from standard input");
    }
    let mut targets = Targets::default();
    for file in &args.files {
        targets = Targets::new(None, args.json.as_ref(), file)?;
    }
    let mut lines = Vec::new();
    for file in &args.files {
        let input = Input {
            file: file.clone(),
            set: Vec::new(),
        };
        lines.push(load(&input, io)?);
    }
    if let [alone] = &lines[..] {
        lines = with_variants(alone)?;
    }
    set_somewhere(&mut lines, &args.set)?;
    let sheet = sheet(&lines, io)?;
    if let Some(target) = &targets.json {
        target.write_json(&sheet, io)?;
    }
    if !targets.take_standard() {
        io.print(&render(&sheet, show))?;
    }
    Ok(Verdict::Good)
}

/// A line with the variants that its file holds; these go by their names.
fn with_variants(line: &Loaded) -> Result<Vec<Loaded>> {
    let variants = &line.scenario.variants;
    if variants.is_empty() {
        bail!(
            "{}: there is nothing to compare with; give a second file, or write `variants` into this one",
            line.name
        );
    }
    let own = Loaded {
        name: line.name.clone(),
        scenario: line.scenario.alone(),
    };
    let each = variants.iter().map(|(name, variant)| Loaded {
        name: name.to_owned(),
        scenario: Scenario {
            title: name.to_owned(),
            ..Scenario::clone(variant)
        },
    });
    Ok(std::iter::once(own).chain(each).collect())
}

/// What is set is set in every line that has it; where none has, the first says what is wrong.
fn set_somewhere(lines: &mut [Loaded], changes: &[String]) -> Result<()> {
    for change in changes {
        let change = std::slice::from_ref(change);
        let before: Vec<Scenario> = lines.iter().map(|l| l.scenario.clone()).collect();
        for line in lines.iter_mut() {
            line.set_where_it_is(change)?;
        }
        let is_same = lines.iter().zip(&before).all(|(l, s)| l.scenario == *s);
        if let (true, Some(first)) = (is_same, lines.first_mut()) {
            first.set(change)?;
        }
    }
    Ok(())
}

fn sheet(lines: &[Loaded], io: &mut Io<'_>) -> Result<Sheet> {
    let mut answers: Vec<Answers> = Vec::new();
    let mut plans = Vec::new();
    let mut costs = Vec::new();
    for line in lines {
        let found = settled(line, AirChoice::Mean, Hours::Calendar, io)?;
        let scenario = Arc::new(line.scenario.clone());
        let plan = Plan::of(&found.settled.world.plant, scenario, &found.week);
        costs.push(cost(line, &plan)?);
        plans.push(plan);
        answers.push(found.answers);
    }
    let scenarios: Vec<&Scenario> = lines.iter().map(|l| &l.scenario).collect();
    let currency = |s: &&Scenario| {
        let prices = s.prices.as_ref();
        prices.and_then(|p| p.currency.clone()).unwrap_or_default()
    };
    let plans: Vec<Option<&Plan>> = plans.iter().map(Some).collect();
    Ok(Sheet {
        figures: figures(&answers.iter().collect::<Vec<_>>()),
        scenarios: scenarios.iter().map(|s| s.title.clone()).collect(),
        cost_per_year: costs,
        currency: scenarios.iter().map(currency).collect(),
        pays: paid(&plans, 0),
        no_payback: unpaid(&plans, 0),
        inputs: differing(&scenarios),
    })
}

/// What a line costs to run for a year; none without prices, or where a bath runs down.
fn cost(line: &Loaded, plan: &Plan) -> Result<Option<f64>> {
    match plan.costs() {
        Ok(costs) => Ok(Some(costs.per_year).filter(|_| !costs.lines.is_empty())),
        Err(MoneyError::NoPrices { .. } | MoneyError::RunsDown { .. }) => Ok(None),
        Err(why) => Err(anyhow::Error::new(why).context(line.name.clone())),
    }
}

/// A, B, C, …, Z, AA, AB, …
fn letter(place: usize) -> String {
    let last = ('A'..='Z').nth(place % LETTERS).unwrap_or('?');
    match place / LETTERS {
        0 => last.to_string(),
        more => format!("{}{last}", letter(more - 1)),
    }
}

/// Letters of the alphabet.
const LETTERS: usize = 26;

/// Lines that stand beside the first one in a table of 80 columns: with their differences, and without.
const FIGURES_ACROSS: usize = 2;
const INPUTS_ACROSS: usize = 4;

/// The lines of each of several tables: the first, and some of the others.
fn across(lines: usize, most: usize) -> Vec<Vec<usize>> {
    let others: Vec<usize> = (1..lines).collect();
    let tables = others.chunks(most);
    tables
        .map(|some| std::iter::once(0).chain(some.iter().copied()).collect())
        .collect()
}

fn render(sheet: &Sheet, show: Show) -> String {
    let mut out = String::new();
    for (i, title) in sheet.scenarios.iter().enumerate() {
        out.push_str(&paragraph(&format!("{}: {title}", letter(i))));
    }
    for lines in across(sheet.scenarios.len(), FIGURES_ACROSS) {
        section(
            "Settled figures",
            &figures_table(sheet, &lines, show),
            &mut out,
        );
    }
    if sheet.pays.iter().any(Option::is_some) {
        out.push_str(&paragraph(WHOSE_PRICES));
    }
    for (i, paid) in sheet.pays.iter().enumerate() {
        for warning in paid.iter().flat_map(|paid| &paid.warnings) {
            let letter = letter(i);
            out.push_str(&paragraph(&format!("Payback of {letter}: {warning}")));
        }
    }
    for why in &sheet.no_payback {
        out.push_str(&paragraph(&format!("No payback: {why}.")));
    }
    for lines in across(sheet.scenarios.len(), INPUTS_ACROSS) {
        section("Inputs that differ", &inputs_table(sheet, &lines), &mut out);
    }
    if sheet.inputs.is_empty() {
        out.push_str("\nNo input differs.\n");
    }
    out.push('\n');
    out.push_str(&paragraph(CAUTION));
    out
}

/// Inputs that are not the same in these lines.
fn inputs_table(sheet: &Sheet, lines: &[usize]) -> Table {
    let heads = lines.iter().map(|&i| letter(i));
    let mut table = Table::new(std::iter::once("path".to_owned()).chain(heads));
    for place in 1..=lines.len() {
        table = table.text(place);
    }
    for input in &sheet.inputs {
        let value = |i: &usize| input.values.get(*i).and_then(Option::as_deref);
        let values: Vec<Option<&str>> = lines.iter().map(value).collect();
        if values.iter().all(|v| *v == values[0]) {
            continue;
        }
        let words = values.iter().map(|v| match *v {
            Some("") => "has it".to_owned(),
            Some(text) => text.to_owned(),
            None => NO_NUMBER.to_owned(),
        });
        table.push(std::iter::once(input.path.clone()).chain(words));
    }
    table
}

/// Figures, and behind the second and later lines how far they are from the first.
fn figures_table(sheet: &Sheet, lines: &[usize], show: Show) -> Table {
    let mut heads = vec![String::new(), letter(0)];
    for &i in lines.iter().skip(1) {
        heads.extend([letter(i), format!("{} − A", letter(i))]);
    }
    let mut table = Table::new(heads);
    let first = sheet.figures.first().map(|f| &f.line);
    let has_loops = sheet.figures.iter().any(|f| Some(&f.line) != first);
    for row in &sheet.figures {
        let own = if lines.len() > 2 {
            short(row.name)
        } else {
            row.name
        };
        let name = if has_loops {
            format!("{}: {own}", row.line)
        } else {
            own.to_owned()
        };
        let told = |si: f64| match row.name {
            RECOVERED => format!("{} %", percent_of_whole(si)),
            _ => figure(show, row, si),
        };
        let values = some(&row.values, lines);
        let units = values.iter().flatten().map(|&si| unit_of(&told(si)));
        let units: BTreeSet<String> = units.collect();
        let moved = |si: f64| match row.dim {
            Dim::Temperature => show.bare(Dim::TemperatureDifference, row.style, si),
            // Grams beside kilograms: the difference says which it is in.
            _ if units.len() > 1 => figure(show, row, si),
            _ => without_unit(&figure(show, row, si)),
        };
        table.push(row_of(name, &values, told, moved));
    }
    money_rows(sheet, lines, show, &mut table);
    table
}

/// A name that leaves room for three lines.
fn short(name: &str) -> &str {
    match name {
        "evaporation temperature" => "evaporates at",
        "heat of the bath" => "bath heat",
        "heat for evaporation" => "evaporation heat",
        "evaporator heater duty" => "its heater duty",
        other => other,
    }
}

/// The values of some lines.
fn some<T: Clone>(values: &[Option<T>], lines: &[usize]) -> Vec<Option<T>> {
    lines
        .iter()
        .map(|&i| values.get(i).cloned().flatten())
        .collect()
}

fn money_rows(sheet: &Sheet, lines: &[usize], show: Show, table: &mut Table) {
    let currencies = lines.iter().filter_map(|&i| sheet.currency.get(i));
    let mut kinds: Vec<&String> = currencies.clone().filter(|c| !c.is_empty()).collect();
    kinds.dedup();
    let costs = some(&sheet.cost_per_year, lines);
    let none = || NO_NUMBER.to_owned();
    // Amounts in two currencies have no difference.
    if let [one] = kinds[..] {
        let told = |amount: f64| format!("{amount:.0}");
        let name = if lines.len() > 2 {
            format!("cost a year, {one}")
        } else {
            format!("running cost a year, {one}")
        };
        table.push(row_of(name, &costs, told, told));
    } else {
        let each = costs.iter().zip(currencies);
        let told = each.map(|(cost, of)| cost.map(|x| format!("{x:.0} {of}")));
        let mut row = vec!["running cost a year".to_owned()];
        for (i, cost) in told.enumerate() {
            row.push(cost.unwrap_or_else(none));
            if i > 0 {
                row.push(none());
            }
        }
        table.push(row);
    }
    let pays = some(&sheet.pays, lines);
    if pays.iter().any(Option::is_some) {
        let mut row = vec!["payback from A".to_owned(), none()];
        for paid in pays.iter().skip(1) {
            let words = paid.as_ref().map(|p| p.words(&|years| show.years(years)));
            let is_warned = paid.as_ref().is_some_and(|p| !p.warnings.is_empty());
            let mark = if is_warned { "(!)" } else { "" };
            row.extend([words.unwrap_or_else(none), mark.to_owned()]);
        }
        table.push(row);
    }
}

/// A figure in the unit in which the other commands tell it.
fn figure(show: Show, row: &Compared, si: f64) -> String {
    match row.dim {
        Dim::MassFlow => show.per_day(unit::kg_per_day(si)),
        Dim::Time => show.days(si / unit::SECONDS_PER_DAY),
        dim => show.si(dim, row.style, si),
    }
}

fn unit_of(told: &str) -> String {
    told.split_once(' ').map_or("", |(_, unit)| unit).to_owned()
}

fn without_unit(told: &str) -> String {
    told.split(' ').next().unwrap_or(told).to_owned()
}

/// A difference smaller than this share of what it is between is none.
const DUST: f64 = 1.0e-4;

fn row_of(
    name: String,
    values: &[Option<f64>],
    told: impl Fn(f64) -> String,
    moved: impl Fn(f64) -> String,
) -> Vec<String> {
    let none = || NO_NUMBER.to_owned();
    let first = values.first().copied().flatten();
    let mut row = vec![name, first.map_or_else(none, &told)];
    for value in values.iter().skip(1).copied() {
        let away = value.zip(first).map(|(now, was)| {
            let is_dust = (now - was).abs() <= DUST * now.abs().max(was.abs());
            if is_dust { 0.0 } else { now - was }
        });
        row.push(value.map_or_else(none, &told));
        row.push(away.map_or_else(none, |away| {
            let words = moved(away);
            if away > 0.0 {
                format!("+{words}")
            } else {
                words
            }
        }));
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_beyond_the_alphabet_have_letters_of_their_own() {
        let told = [0, 25, 26, 51, 52].map(letter);
        assert_eq!(told, ["A", "Z", "AA", "AZ", "BA"]);
        let all: BTreeSet<String> = (0..200).map(letter).collect();
        assert_eq!(all.len(), 200);
    }
}
