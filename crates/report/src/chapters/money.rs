//! What the line costs, and what the change brings.

use dragback_study::money::{CostKind, Costs, kilograms};

use crate::document::Section;
use crate::findings::{ChangeFindings, Findings, MoneyFindings};
use crate::plot;
use crate::show::Show;
use crate::told::money::{
    Naming, TWO_PRICES, about_prices, conditions, cost_lines, cost_notes, difference_lines,
    kilogram_head, kilogram_table, long_words, payback_facts, short_words, so_far, stops,
    tornado_table, whole,
};

/// Money, or why there is none.
pub(crate) fn money(findings: &Findings, show: Show) -> Section {
    let mut section = Section::new("Money");
    let prices = findings.line.case.scenario.prices.as_ref();
    let currency = prices.and_then(|p| p.currency.as_deref()).unwrap_or("");
    match &findings.money {
        MoneyFindings::None(why) => section.text(format!("No answer in money: {why}.")),
        MoneyFindings::Alone(costs) => alone(&mut section, costs, currency, show),
        MoneyFindings::Change(change) => {
            let name = |path: &str| short_words(&findings.line.case.scenario, path);
            changed(&mut section, change, show, &name);
        }
    }
    let kilograms = kilograms(&findings.line.case.scenario);
    for kilogram in &kilograms {
        let table = kilogram_table(kilogram, currency, show, &long_words);
        section.table(&kilogram_head(kilogram), table);
    }
    if !kilograms.is_empty() {
        section.note(TWO_PRICES);
    }
    if let Some(prices) = prices {
        let (date, notes) = (prices.date.as_deref(), prices.notes.as_deref());
        section.note(about_prices(date, notes));
    }
    section
}

fn alone(section: &mut Section, costs: &Costs, currency: &str, show: Show) {
    let (cost, so_far) = (whole(costs.per_year, currency), so_far(costs));
    section.text(format!(
        "A year of the settled week costs {cost} to run{so_far}."
    ));
    let caption = format!("Running cost of a year, {currency}");
    section.table(&caption, cost_lines(costs, currency, show));
    notes(section, costs.lines.iter().map(|l| l.kind));
    uncounted(section, &costs.uncounted);
}

fn changed(section: &mut Section, change: &ChangeFindings, show: Show, name: Naming<'_>) {
    let payback = &change.payback;
    let currency = payback.currency.as_str();
    section.text(format!(
        "Before: {}. After: {}.",
        payback.before, payback.after
    ));
    let money = |amount: f64| whole(amount, currency);
    section.text(payback.words(&money, &|years| show.years(years)));
    for warning in payback.warnings() {
        section.text(warning);
    }
    let caption = format!("Running cost of a year, {currency}");
    section.table(&caption, difference_lines(payback));
    notes(section, payback.lines.iter().map(|l| l.kind));
    section
        .blocks
        .extend(plot::steps_plot(payback).map(crate::document::Block::Figure));
    section.facts(payback_facts(payback, show));
    section
        .blocks
        .extend(plot::cash(payback, show).map(crate::document::Block::Figure));
    // Where nothing is laid out there is nothing to come back.
    if payback.laid_out > 0.0 {
        for (head, all) in conditions(&change.break_even, change.within_years, currency, show) {
            section.text(head);
            section.list(all);
        }
        section.list(stops(&change.break_even_stopped, currency, show, name));
    }
    let figure = plot::tornado_plot(payback, &change.tornado, show, name);
    section
        .blocks
        .extend(figure.map(crate::document::Block::Figure));
    if payback.laid_out > 0.0 {
        section.table(
            "What moves the payback most, of the inputs with a low and a high value",
            tornado_table(&change.tornado, currency, show, name),
        );
        section.list(stops(&change.tornado_stopped, currency, show, name));
    }
    uncounted(section, &payback.uncounted);
}

/// How lines are counted, where that is to be known.
fn notes(section: &mut Section, kinds: impl Iterator<Item = CostKind>) {
    for note in cost_notes(kinds) {
        section.note(note);
    }
}

fn uncounted(section: &mut Section, all: &[String]) {
    if !all.is_empty() {
        section.text("Not counted:");
        section.list(all.to_vec());
    }
}
