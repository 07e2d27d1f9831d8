//! The wanted final rinse as somebody writes it.

use dragback_scenario::{Problem, Scenario, set};
use dragback_units::Quantity;
use dragback_units::dim::Concentration;

/// The strength that the film of a loop is to stay below, from text with a unit.
///
/// # Errors
/// What is wrong with the text: no unit, another dimension, or more or less than `final_limit` of a loop allows.
pub fn wanted(
    scenario: &Scenario,
    key: &str,
    text: &str,
) -> Result<Quantity<Concentration>, Problem> {
    // The limit of the loop says what is allowed.
    let mut scenario = scenario.clone();
    let path = format!("{key}.final_limit");
    set(&mut scenario, &path, text.trim())?;
    let line = scenario.loops.get(key);
    let limit = line.and_then(|line| line.final_limit.as_ref());
    limit.map(|l| l.quantity().clone()).ok_or_else(|| {
        Problem::at(
            path,
            "there is no strength",
            "give one with its unit, such as \"20 mg/L\"",
        )
    })
}
