//! The answers as tables for a terminal of 80 columns.

mod alarms;
mod books;
mod figures;
mod impurities;
mod tanks;

use dragback_scenario::Scenario;
use dragback_study::Answers;

use crate::facts::paragraph;
use crate::show::Show;
use crate::table::Table;
use alarms::{alarms, events};
use books::{books, closing};
use figures::loop_facts;
use impurities::{about_impurities, impurities, precipitation};
use tanks::{counted_as, growing, per_day, strengths};

use tanks::leads;
pub(crate) use tanks::{not_shown, tanks};

/// Said below every answer.
pub(crate) const CAUTION: &str = "These are estimates from balances and published correlations, not a design. Hot solution, \
chromic acid and nickel, mains electricity and exhaust air can hurt people: local codes and licensed practice decide.";

/// A solute of which there is less than this everywhere, in g/L or kg/d, is not there.
const ABSENT: f64 = 1.0e-9;

/// Everything that the answers say, loop by loop.
pub(crate) fn render(answers: &Answers, scenario: &Scenario, show: Show) -> String {
    let mut out = paragraph(&answers.scenario);
    out.push_str(&paragraph(&headline(answers)));
    if is_settled(answers) {
        out.push_str(&left_out(scenario.events.len()));
    }
    for line in &answers.loops {
        let title = scenario
            .loops
            .get(&line.name)
            .and_then(|l| l.title.as_deref());
        let name = title.map_or_else(
            || line.name.clone(),
            |title| format!("{title} ({})", line.name),
        );
        out.push_str(&format!("\n{}", paragraph(&name)));
        out.push_str(&loop_facts(answers, line, show));
        section("Per day", &per_day(line, show), &mut out);
    }
    section(
        "Tanks, means",
        &tanks(&answers.vessels, answers, show),
        &mut out,
    );
    for (i, table) in strengths(answers, show).iter().enumerate() {
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
    out.push_str(&not_shown(&answers.vessels));
    out.push_str(&growing(answers));
    out.push_str(&counted_as(answers, show));
    section(
        "Impurities",
        &impurities(answers, is_settled(answers), show),
        &mut out,
    );
    out.push_str(&about_impurities(answers, is_settled(answers)));
    out.push_str(&precipitation(answers, show));
    out.push_str(&alarms(answers, show));
    out.push_str(&events(answers));
    section(&books_head(answers), &books(answers, show), &mut out);
    out.push_str(&closing(answers));
    if !answers.refined {
        out.push('\n');
        out.push_str(&paragraph(&format!(
            "Not refined: {}; averages over pumps and thermostats may go astray there. `dragback run --exact` locates every switch.",
            answers.doubts.join("; ")
        )));
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
    out.push_str(&paragraph(CAUTION));
    out
}

pub(crate) fn section(head: &str, table: &Table, out: &mut String) {
    if !table.is_empty() {
        out.push_str(&format!("\n{head}\n"));
        out.push_str(&table.render());
    }
}

fn headline(answers: &Answers) -> String {
    let air = match answers.air.as_str() {
        "mean" => "in the year's mean air".to_owned(),
        "calendar" => "in the air of each month".to_owned(),
        month => format!("in the air of {month}"),
    };
    if is_settled(answers) {
        return match answers.hours.as_str() {
            "in-shift" => format!(
                "Settled as if work never stopped (hours: in-shift), {air}; averaged model. Flows are those of work hours."
            ),
            "week-mean" => format!(
                "Settled as if work, without shifts, always ran at its mean over the week (hours: week-mean), {air}; averaged model."
            ),
            _ => format!("Settled week, {air}; averaged model. Flows are means over the week."),
        };
    }
    let how = if answers.driver == "exact" {
        "every switch located"
    } else {
        "averaged model"
    };
    let days = answers.span_h / 24.0;
    let days = match format!("{days:.0}").as_str() {
        "1" => "1 day".to_owned(),
        days => format!("{days} days"),
    };
    format!("Run of {days} from the start, {air}; {how}. Flows are means over the run.")
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

fn books_head(answers: &Answers) -> String {
    let hours = answers.span_h;
    if hours < 72.0 {
        format!("Across the boundary in {hours:.0} h")
    } else {
        format!("Across the boundary in {:.0} days", hours / 24.0)
    }
}

fn is_settled(answers: &Answers) -> bool {
    answers.driver == "settled"
}
