//! The answers as tables for a terminal of 80 columns.

use dragback_report::{Facts, Show, Table, told};
use dragback_scenario::Scenario;
use dragback_study::Answers;

use crate::facts::{self, paragraph};
use crate::io::printable;
use crate::table::{WIDTH, rendered, wrap};

/// Solutes beyond which strengths are left to JSON and CSV.
const MOST_SOLUTES: usize = 15;
/// Alarms listed before the rest is only counted.
const MOST_ALARMS: usize = 15;
/// Column at which words about an alarm or event begin.
const WORDS_AT: usize = 18;

/// Everything that the answers say, loop by loop.
pub(crate) fn render(answers: &Answers, scenario: &Scenario, show: Show) -> String {
    let is_settled = told::is_settled(answers);
    let mut out = paragraph(&answers.scenario);
    out.push_str(&paragraph(&told::headline(answers)));
    if is_settled {
        out.push_str(&left_out(scenario.events.len()));
    }
    for line in &answers.loops {
        let name = told::loop_name(scenario, &line.name);
        out.push_str(&format!("\n{}", paragraph(&name)));
        out.push_str(&facts::rendered(&told::loop_facts(answers, line, show)));
        section("Per day", &told::per_day(line, show), &mut out);
    }
    section(
        "Tanks, means",
        &told::tanks(&answers.vessels, answers, show),
        &mut out,
    );
    for (i, table) in told::strengths(answers, MOST_SOLUTES, show)
        .iter()
        .enumerate()
    {
        section(
            if i == 0 {
                "Strengths, means"
            } else {
                "Strengths, continued"
            },
            table,
            &mut out,
        );
    }
    out.push_str(&not_shown(&told::not_shown(&answers.vessels)));
    let notes = [told::growing(answers), told::counted_as(answers, show)];
    for sentence in notes.into_iter().flatten() {
        out.push_str(&format!("\n{}", paragraph(&sentence)));
    }
    section(
        "Impurities",
        &told::impurities(answers, is_settled, show),
        &mut out,
    );
    if let Some(about) = told::about_impurities(answers, is_settled) {
        out.push_str(&paragraph(about));
    }
    let salts = told::precipitation(answers, show);
    out.push_str(&sentences("Salts that come out as impurities grow", &salts));
    out.push_str(&alarms(&told::alarms(answers, show)));
    out.push_str(&events(&told::events(answers)));
    section(
        &told::books_head(answers),
        &told::books(answers, show),
        &mut out,
    );
    if let Some(closing) = told::closing(answers) {
        out.push_str(&paragraph(&closing));
    }
    if !answers.refined {
        out.push('\n');
        out.push_str(&paragraph(&format!(
            "Not refined: {}; averages over pumps and thermostats may go astray there. `dragback run --exact` locates every switch.",
            answers.doubts.join("; ")
        )));
    }
    out
}

/// Why strengths are not shown.
pub(crate) fn not_shown(why: &[String]) -> String {
    sentences("Not shown, since it cannot be trusted", why)
}

fn sentences(head: &str, all: &[String]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let lines: String = all.iter().map(|s| paragraph(s)).collect();
    format!("\n{head}\n{lines}")
}

fn events(all: &Facts) -> String {
    if all.is_empty() {
        return String::new();
    }
    format!("\nEvents\n{}", dated(all, usize::MAX))
}

fn alarms(all: &Facts) -> String {
    if all.is_empty() {
        return "\nAlarms: none\n".to_owned();
    }
    let mut out = format!("\nAlarms\n{}", dated(all, MOST_ALARMS));
    if let Some(more @ 1..) = all.0.len().checked_sub(MOST_ALARMS) {
        out.push_str(&format!("  … and {more} more; --json lists them all\n"));
    }
    out
}

/// Words behind the moments at which they came true.
fn dated(all: &Facts, most: usize) -> String {
    let mut out = String::new();
    for fact in all.0.iter().take(most) {
        let mut when = fact.label.as_str();
        for line in wrap(&printable(&fact.value), WIDTH - WORDS_AT) {
            out.push_str(&format!("  {when:<wide$}{line}\n", wide = WORDS_AT - 2));
            when = "";
        }
    }
    out
}

/// What is amiss, then the caution.
pub(crate) fn ending(reasons: &[String]) -> String {
    let mut out = String::new();
    if !reasons.is_empty() {
        out.push_str("\nAmiss\n");
        for reason in reasons {
            for (i, line) in paragraph(reason).lines().enumerate() {
                out.push_str(if i == 0 { "  " } else { "    " });
                out.push_str(line);
                out.push('\n');
            }
        }
    }
    out.push('\n');
    out.push_str(&paragraph(told::CAUTION));
    out
}

pub(crate) fn section(head: &str, table: &Table, out: &mut String) {
    if !table.is_empty() {
        out.push_str(&format!("\n{head}\n"));
        out.push_str(&rendered(table));
    }
}

/// A settled week knows no events; a reader who wrote some should hear that.
fn left_out(events: usize) -> String {
    match events {
        0 => String::new(),
        1 => paragraph("The event of this scenario is left out; `dragback run` plays it."),
        n => paragraph(&format!(
            "The {n} events of this scenario are left out; `dragback run` plays them."
        )),
    }
}
