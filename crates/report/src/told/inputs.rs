//! Every input that a scenario gives, with its unit and where it comes from.

use dragback_scenario::{Origin, Parameter, Registry, Scenario};
use dragback_units::{Dim, Style};

use crate::{Show, Table};

/// The inputs of one part of a scenario.
pub struct InputsOf {
    /// The part: `loop.bath`.
    pub part: String,
    /// Its inputs.
    pub table: Table,
}

/// The inputs that a scenario gives, part by part in its order. Words for people are left out.
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
        let part = part_of(&parameter.path);
        if found.last().is_none_or(|f| f.part != part) {
            let heads = ["input", "value", "from", "low to high", "notes"];
            let table = Table::new(heads).text(2).text(4);
            let part = part.to_owned();
            found.push(InputsOf { part, table });
        }
        if let Some(of) = found.last_mut() {
            let own = parameter.path.strip_prefix(part).unwrap_or("");
            let own = own.strip_prefix('.').unwrap_or(own);
            let own = if own.is_empty() { &parameter.path } else { own };
            of.table.push([
                own.to_owned(),
                value,
                parameter.leaf.origin.map_or("", word).to_owned(),
                spread(parameter, currency, show),
                parameter.leaf.notes.clone().unwrap_or_default(),
            ]);
        }
    }
    found
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

/// The style in which the unit of its ranges asks to be told.
fn style(parameter: &Parameter) -> Style {
    match (parameter.dim(), parameter.meta.unit) {
        (Some(Dim::Concentration), "mg/L") => Style::Rinse,
        (Some(Dim::VolumeFlow), "m³/h") => Style::Air,
        _ => Style::Default,
    }
}

fn told(parameter: &Parameter, si: f64, currency: &str, show: Show) -> Option<String> {
    let dim = parameter.dim()?;
    Some(if dim.is_money() {
        show.any(dim, si, currency)
    } else {
        show.si(dim, style(parameter), si)
    })
}

fn value(parameter: &Parameter, currency: &str, show: Show) -> Option<String> {
    let text = parameter.text()?;
    let si = parameter.si();
    Some(
        si.and_then(|si| told(parameter, si, currency, show))
            .unwrap_or_else(|| text.to_owned()),
    )
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
