//! The audit: what crossed the boundary under which name, and how well it closes.

use std::collections::BTreeMap;

use dragback_study::{Answers, LedgerAnswer, Way};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style};

use super::leads;
use crate::Show;
use crate::Table;

/// Lead solutes that have a column.
const MOST_LEADS: usize = 3;
/// Share of all that passed below which an amount is not shown.
const DUST: f64 = 1.0e-6;

/// Water, energy and the lead solutes, one row for each way in or out that carried any of them.
#[must_use]
pub fn books(answers: &Answers, show: Show) -> Table {
    let leads = leads(answers);
    let columns: Vec<(&str, &LedgerAnswer)> = ["water", "energy"]
        .into_iter()
        .chain(leads.iter().take(MOST_LEADS).map(String::as_str))
        .filter_map(|name| Some((name, answers.ledger.get(name)?)))
        .collect();
    let head = |entry: &LedgerAnswer| match entry {
        LedgerAnswer::Mass { .. } => show.unit(Dim::Mass, Style::Default),
        LedgerAnswer::Energy { .. } => show.unit(Dim::Energy, Style::Default),
    };
    let heads = columns
        .iter()
        .map(|(name, entry)| format!("{name}\n{}", head(entry)));
    let mut table = Table::new(["".to_owned(), "way".to_owned()].into_iter().chain(heads)).text(1);
    for (side, word) in [(Way::In, "in"), (Way::Out, "out")] {
        for (name, cells) in rows(&columns, side, show) {
            table.push([word.to_owned(), name].into_iter().chain(cells));
        }
    }
    let held = columns.iter().map(|(_, entry)| match entry {
        LedgerAnswer::Mass {
            held_change_kg: kg, ..
        } => mass(worth(*kg, entry), show),
        LedgerAnswer::Energy {
            held_change_kwh: kwh,
            ..
        } => energy(worth(*kwh, entry), show),
    });
    table.push(
        ["held".to_owned(), "more than at the start".to_owned()]
            .into_iter()
            .chain(held),
    );
    table
}

/// Name and cells of every way of one side that has a cell which is not nothing, the largest carriers of water first.
fn rows(columns: &[(&str, &LedgerAnswer)], side: Way, show: Show) -> Vec<(String, Vec<String>)> {
    let mut order: Vec<String> = Vec::new();
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (i, (_, entry)) in columns.iter().enumerate() {
        for (name, way, told) in lines(entry, show) {
            if way != side || told == "0" {
                continue;
            }
            if !found.contains_key(&name) {
                order.push(name.clone());
            }
            let cells = found
                .entry(name)
                .or_insert_with(|| vec![String::new(); columns.len()]);
            cells[i] = told;
        }
    }
    order
        .into_iter()
        .filter_map(|name| found.remove(&name).map(|cells| (name, cells)))
        .collect()
}

fn lines(entry: &LedgerAnswer, show: Show) -> Vec<(String, Way, String)> {
    match entry {
        LedgerAnswer::Mass { lines, .. } => lines
            .iter()
            .map(|l| (l.name.clone(), l.side, mass(worth(l.kg, entry), show)))
            .collect(),
        LedgerAnswer::Energy { lines, .. } => lines
            .iter()
            .map(|l| (l.name.clone(), l.side, energy(worth(l.kwh, entry), show)))
            .collect(),
    }
}

/// An amount, or nothing where it is less than a millionth of what came in or went out.
fn worth(amount: f64, of: &LedgerAnswer) -> f64 {
    let passed = match of {
        LedgerAnswer::Mass { in_kg, out_kg, .. } => in_kg.max(*out_kg),
        LedgerAnswer::Energy {
            in_kwh, out_kwh, ..
        } => in_kwh.max(*out_kwh),
    };
    if amount.abs() < DUST * passed {
        0.0
    } else {
        amount
    }
}

fn mass(kg: f64, show: Show) -> String {
    show.bare(Dim::Mass, Style::Default, kg)
}

fn energy(kwh: f64, show: Show) -> String {
    show.bare(Dim::Energy, Style::Default, kwh * unit::JOULES_PER_KWH)
}

/// How well the books close, in a sentence; `None` without books.
#[must_use]
pub fn closing(answers: &Answers) -> Option<String> {
    let error = |entry: &LedgerAnswer| match entry {
        LedgerAnswer::Mass { closure_error, .. } | LedgerAnswer::Energy { closure_error, .. } => {
            *closure_error
        }
    };
    let worst = answers
        .ledger
        .iter()
        .max_by(|a, b| error(a.1).total_cmp(&error(b.1)));
    let (name, entry) = worst?;
    let worst = if error(entry) > 0.0 {
        format!("within {:.0e} of what passed ({})", error(entry), name)
    } else {
        "to the last digit".to_owned()
    };
    Some(format!(
        "Books: water, energy and {} solutes close {worst}",
        answers.ledger.len().saturating_sub(2)
    ))
}
