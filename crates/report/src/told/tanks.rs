//! What the tanks hold.

use std::collections::{BTreeMap, BTreeSet};

use dragback_study::{Answers, LoopAnswer, SoluteAnswer, VesselAnswer};
use dragback_units::{Dim, Style, kelvin_from_celsius};

use super::ABSENT;
use crate::Table;
use crate::{NO_NUMBER, Show};

/// Solutes that one table of strengths has beside each other.
const SOLUTES_ABREAST: usize = 4;

/// What a loop loses and brings back of each solute.
#[must_use]
pub fn per_day(line: &LoopAnswer, show: Show) -> Table {
    let mut table = Table::new(["solute", "lost", "returned"]);
    let lead = &line.final_rinse.species;
    let mut names: Vec<&String> = line.lost_kg_per_day.keys().collect();
    names.sort_by_key(|&name| (name != lead, name.as_str()));
    for name in names {
        let of = |by: &BTreeMap<String, f64>| by.get(name).copied().unwrap_or(f64::NAN);
        let (lost, back) = (of(&line.lost_kg_per_day), of(&line.returned_kg_per_day));
        if lost.abs() < ABSENT && back.abs() < ABSENT {
            continue;
        }
        table.push([name.clone(), show.per_day(lost), show.per_day(back)]);
    }
    table
}

/// The lead solutes of the loops, each once.
#[must_use]
pub fn leads(answers: &Answers) -> Vec<String> {
    let all: BTreeSet<&String> = answers
        .loops
        .iter()
        .map(|l| &l.final_rinse.species)
        .collect();
    all.into_iter().cloned().collect()
}

/// Head of a column of strengths: `Ni`, and below it as what it is told if not as itself.
fn strength_head(answers: &Answers, name: &str, show: Show) -> String {
    let told = show.counted.told(&answers.solutes, name);
    told.as_salt()
        .map_or_else(|| name.to_owned(), |salt| format!("{name}\n{salt}"))
}

/// A strength in such a column.
fn strength_cell(answers: &Answers, vessel: &VesselAnswer, name: &str, show: Show) -> String {
    let held = vessel.concentration_g_per_l.get(name).copied();
    let told = show.counted.told(&answers.solutes, name);
    show.strength(told.strength(held.unwrap_or(f64::NAN)))
}

/// Volume, level, temperature and lead strength of tanks, among those of the answers or at another moment.
#[must_use]
pub fn tanks(vessels: &[VesselAnswer], answers: &Answers, show: Show) -> Table {
    let leads = leads(answers);
    let mut heads = vec![
        "tank".to_owned(),
        "volume".to_owned(),
        "level".to_owned(),
        "temperature".to_owned(),
    ];
    let heads_of = |lead: &String| strength_head(answers, lead, show);
    heads.extend(leads.iter().take(2).map(heads_of));
    heads.push("conductivity\nabout".to_owned());
    let mut table = Table::new(heads);
    for v in vessels {
        let mut row = vec![
            v.name.clone(),
            show.volume(v.volume_l),
            show.si(Dim::Length, Style::Default, v.level_m),
            show.si(
                Dim::Temperature,
                Style::Default,
                kelvin_from_celsius(v.temperature_c),
            ),
        ];
        for lead in leads.iter().take(2) {
            row.push(strength_cell(answers, v, lead, show));
        }
        row.push(show.conductivity(v.conductivity_us_per_cm));
        table.push(row);
    }
    table
}

/// Every solute in every tank, a few solutes at a time, and all of them together; that alone where there are more than `most` of them.
#[must_use]
pub fn strengths(answers: &Answers, most: usize, show: Show) -> Vec<Table> {
    let held = answers
        .vessels
        .iter()
        .flat_map(|v| &v.concentration_g_per_l);
    let names: BTreeSet<&String> = held
        .filter(|(_, c)| c.is_nan() || c.abs() >= ABSENT)
        .map(|(n, _)| n)
        .collect();
    let is_too_many = names.len() > most;
    // The sum comes last, like one more solute.
    let columns: Vec<Option<&String>> = names
        .into_iter()
        .filter(|_| !is_too_many)
        .map(Some)
        .chain([None])
        .collect();
    let tables = columns.chunks(SOLUTES_ABREAST).map(|some| {
        let head = |column: &Option<&String>| {
            column.map_or_else(
                || "all dissolved".to_owned(),
                |name| strength_head(answers, name, show),
            )
        };
        let mut table = Table::new(std::iter::once("tank".to_owned()).chain(some.iter().map(head)));
        for v in &answers.vessels {
            let of = |column: &Option<&String>| match column {
                Some(name) => strength_cell(answers, v, name, show),
                None => show.strength(v.dissolved_solids_g_per_l),
            };
            let cells = some.iter().map(of);
            table.push(std::iter::once(v.name.clone()).chain(cells));
        }
        table
    });
    tables.collect()
}

/// Why strengths that stand as a dash in the tables of tanks are not shown, a sentence each.
#[must_use]
pub fn not_shown(vessels: &[VesselAnswer]) -> Vec<String> {
    let told = vessels.iter().filter_map(|v| v.not_shown.as_deref());
    told.map(|why| format!("{NO_NUMBER} {why}.")).collect()
}

/// Of which day the strengths of solutes are that never settle, for those that are there at all.
#[must_use]
pub fn growing(answers: &Answers) -> Option<String> {
    let is_there = |name: &str| {
        let held = |v: &VesselAnswer| v.concentration_g_per_l.get(name).copied();
        answers.vessels.iter().filter_map(held).fold(0.0, f64::max) >= ABSENT
    };
    let told: Vec<String> = answers
        .solutes
        .iter()
        .filter(|s| is_there(&s.name))
        .filter_map(|s| Some(format!("{} {}", s.name, s.when_told()?)))
        .collect();
    (!told.is_empty()).then(|| {
        format!(
            "These would take years to settle, so their strengths are those of one day, counted from the start at the pace of their growth: {}.",
            told.join(", ")
        )
    })
}

/// Says which names stand for something else than an element or an ion, for those that are there at all.
#[must_use]
pub fn counted_as(answers: &Answers, show: Show) -> Option<String> {
    let is_there = |solute: &SoluteAnswer| {
        let held = |v: &VesselAnswer| v.concentration_g_per_l.get(&solute.name).copied();
        let most = answers.vessels.iter().filter_map(held).fold(0.0, f64::max);
        most >= ABSENT
    };
    let as_salt = |s: &SoluteAnswer| {
        let salt = show.counted.told(&answers.solutes, &s.name).salt?;
        let (name, formula) = (&s.name, &salt.formula);
        let grams = 1.0 / salt.per_solute;
        Some(format!(
            "strengths of {name} as {formula} (1 g holds {grams:.3} g of {name})"
        ))
    };
    let told: Vec<String> = answers
        .solutes
        .iter()
        .filter(|s| is_there(s) && !is_plain(s))
        .map(|s| {
            let metal = if s.metal_fraction < 1.0 {
                format!(" (1 g holds {:.3} g of {})", s.metal_fraction, s.metal)
            } else {
                String::new()
            };
            format!("{} as {}{metal}", s.name, substance(s))
        })
        .chain(answers.solutes.iter().filter_map(as_salt))
        .collect();
    (!told.is_empty()).then(|| format!("Counted: {}.", told.join("; ")))
}

/// What is weighed: `CrO₃` of `Cr(VI) as CrO₃`.
fn substance(solute: &SoluteAnswer) -> &str {
    let name = solute.counted_as.as_str();
    name.rsplit_once(" as ").map_or(name, |(_, what)| what)
}

/// Whether the name says all: `Ni` for `Ni²⁺`, `SO4` for `SO₄²⁻`, `Brightener` for `brightener, active part`.
fn is_plain(solute: &SoluteAnswer) -> bool {
    let letters = |text: &str| -> String {
        let low = |c: char| match c {
            '₀'..='₉' => char::from_digit(u32::from(c) - u32::from('₀'), 10),
            c if c.is_ascii_alphanumeric() => Some(c.to_ascii_lowercase()),
            _ => None,
        };
        text.chars().filter_map(low).collect()
    };
    solute.metal_fraction >= 1.0
        && letters(&solute.counted_as).starts_with(&letters(&solute.name))
        && (solute.name.len() > 1 || letters(&solute.counted_as).len() == 1)
}
