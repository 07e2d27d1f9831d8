//! What answers say, as tables, facts and sentences: the terminal and the report set the same ones.

mod alarms;
mod books;
mod figures;
mod impurities;
mod inputs;
pub mod money;
pub mod sizes;
mod tanks;
mod upsets;

use dragback_study::Answers;

pub use alarms::{alarms, events, moment};
pub use books::{books, closing};
pub use figures::{loop_facts, loop_figures};
pub use impurities::{about_impurities, impurities, precipitation};
pub use inputs::{InputsOf, inputs};
pub use tanks::{counted_as, growing, leads, not_shown, per_day, strengths, tanks};
pub use upsets::upsets;

/// Said below every answer.
pub const CAUTION: &str = "These are estimates from balances and published correlations, not a design. Hot solution, \
chromic acid and nickel, mains electricity and exhaust air can hurt people: local codes and licensed practice decide.";

/// A solute of which there is less than this everywhere, in g/L or kg/d, is not there.
const ABSENT: f64 = 1.0e-9;

/// Whether the answers are those of a settled week.
#[must_use]
pub fn is_settled(answers: &Answers) -> bool {
    answers.driver == "settled"
}

/// In which air, how, and over what the means are taken.
#[must_use]
pub fn headline(answers: &Answers) -> String {
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

/// What the books span.
#[must_use]
pub fn books_head(answers: &Answers) -> String {
    let hours = answers.span_h;
    if hours < 72.0 {
        format!("Across the boundary in {hours:.0} h")
    } else {
        format!("Across the boundary in {:.0} days", hours / 24.0)
    }
}

/// A loop as its title names it, with its key.
#[must_use]
pub fn loop_name(scenario: &dragback_scenario::Scenario, key: &str) -> String {
    let title = scenario.loops.get(key).and_then(|l| l.title.as_deref());
    title.map_or_else(|| key.to_owned(), |title| format!("{title} ({key})"))
}
