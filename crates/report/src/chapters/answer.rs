//! The answer first: what stands in the verdict, what the change brings, and the few figures that matter most.

use dragback_study::verdict::{Severity, verdict};
use dragback_study::{Answers, LoopAnswer};
use dragback_units::percent_of_whole;

use crate::document::{Block, Section, Statement, Tone};
use crate::facts::Facts;
use crate::findings::{Findings, MoneyFindings};
use crate::show::{NO_NUMBER, OfLoop, Show};
use crate::told;
use crate::told::money::{whole, years_words};

/// The answer.
pub(crate) fn answer(findings: &Findings, show: Show) -> Section {
    let answers = &findings.line.settled.answers;
    let mut section = Section::new("The answer");
    let has_several = answers.loops.len() > 1;
    let mut statements: Vec<Statement> = Vec::new();
    if let MoneyFindings::Change(change) = &findings.money {
        let payback = &change.payback;
        let money = |amount: f64| whole(amount, &payback.currency);
        let text = payback.words(&money, &|years| show.years(years));
        let tone = if payback.is_good() {
            Tone::Good
        } else {
            Tone::Caution
        };
        let against = format!("Against {}: {text}", payback.before);
        statements.push(Statement::new(against, tone));
        let bought = told::money::bought_words(payback).into_iter();
        statements.extend(bought.map(|words| Statement::new(words, Tone::Plain)));
        let warnings = payback.warnings().into_iter();
        statements.extend(warnings.map(|w| Statement::new(w, Tone::Caution)));
        let scenario = &findings.line.case.scenario;
        let name = |path: &str| told::money::short_words(scenario, path);
        let range = told::money::range_words(payback, &change.tornado, show, &name);
        statements.extend(range.map(|words| Statement::new(words, Tone::Plain)));
        let prices = told::money::about_prices(payback.date.as_deref(), payback.notes.as_deref());
        statements.push(Statement::new(prices, Tone::Plain));
    }
    for line in &answers.loops {
        let told = OfLoop::of(answers, line, show);
        for finding in verdict(answers, line) {
            let words = finding.words(&told);
            let words = if has_several {
                format!("{}: {words}.", line.name)
            } else {
                format!("{words}.")
            };
            let text = dragback_study::verdict::capitalised(&words);
            statements.push(Statement::new(text, tone(finding.severity())));
        }
    }
    // What to install is decided where a change is told.
    if !matches!(findings.money, MoneyFindings::Change(_)) {
        statements.extend(first_layouts(findings, show));
    }
    if !answers.refined {
        let doubts = answers.doubts.join("; ");
        let text = format!(
            "Averages over pumps and thermostats may go astray here: {doubts}. A run that locates every switch tells more."
        );
        statements.push(Statement::new(text, Tone::Caution));
    }
    section.blocks.push(Block::Answer(statements));
    for line in &answers.loops {
        if has_several {
            section.heading(&told::loop_name(&findings.line.case.scenario, &line.name));
        }
        section
            .blocks
            .push(Block::Figures(key_figures(answers, line, findings, show)));
    }
    section
        .blocks
        .push(Block::Caution(vec![told::CAUTION.to_owned()]));
    section
}

/// The layout that comes first among those that were sized for each loop: what to install.
fn first_layouts(findings: &Findings, show: Show) -> Vec<Statement> {
    let scenario = &findings.line.case.scenario;
    let has_several = scenario.loops.keys().count() > 1;
    let each = findings.sizes.iter().filter_map(|found| {
        let lead = scenario.loops.get(&found.line).map_or("", |l| &l.lead);
        let limit = format!("{} of {lead}", show.rinse(found.final_rinse_mg_per_l));
        let words = told::sizes::first_words(&found.rows, &limit, show)?;
        let words = if has_several {
            let line = told::loop_name(scenario, &found.line);
            format!("{line}: {words}")
        } else {
            words
        };
        let first = found.rows.iter().find(|row| row.verified);
        let passes = first.is_some_and(|row| row.first_limit.is_some());
        let tone = if passes { Tone::Caution } else { Tone::Plain };
        Some(Statement::new(words, tone))
    });
    each.collect()
}

const fn tone(severity: Severity) -> Tone {
    match severity {
        Severity::Good => Tone::Good,
        Severity::Plain => Tone::Plain,
        Severity::Caution => Tone::Caution,
        Severity::Alarm => Tone::Alarm,
    }
}

fn key_figures(answers: &Answers, line: &LoopAnswer, findings: &Findings, show: Show) -> Facts {
    let mut facts = Facts::default();
    let lead = &line.final_rinse.species;
    let lost = line.lead_lost_kg_per_day().unwrap_or(f64::NAN);
    facts.push(&format!("{lead} lost for good"), show.per_day(lost));
    let recovered = line.recovered_fraction;
    let recovered = if recovered.is_finite() {
        format!("{} %", percent_of_whole(recovered))
    } else {
        NO_NUMBER.to_owned()
    };
    facts.push("of the drag-out recovered", recovered);
    let told = OfLoop::of(answers, line, show);
    let film = line.final_rinse.film_mg_per_l;
    let film = show.rinse(told.lead.strength(film));
    facts.push(&format!("{} in the last film", told.lead.behind()), film);
    if let Some(margin) = &line.closure_margin_l_per_h {
        facts.push("closure margin, week", show.flow(margin.week));
        facts.push("closure margin, worst month", show.flow(margin.worst_month));
    }
    if let MoneyFindings::Change(change) = &findings.money {
        let payback = &change.payback;
        let saving = whole(payback.saving_per_year, &payback.currency);
        facts.push("saved a year", saving);
        if payback.laid_out > 0.0 {
            facts.push("money back in", years_words(payback.simple, show));
        }
    }
    facts
}
