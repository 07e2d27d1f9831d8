//! The answers of the settled week.

use std::sync::Arc;

use dragback_plant::climate::AirChoice;
use dragback_plant::ledger::Ledger;
use dragback_run::clock::{Clock, Hours};
use dragback_run::settle::{Settled, settle};
use dragback_run::{Alarm, Trace};

use crate::answers::Answers;
use crate::case::{Case, StudyError};
use crate::figures::{About, Means, answers};
use crate::margin::margins;
use crate::outlook::outlook;
use crate::solutes::growing;

/// How much is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// The settled week and its margin: what a dragged lever shows.
    Quick,
    /// Also every month's margin, days to settle and the impurity outlook.
    Full,
}

/// The settled week of a case.
pub struct SettledCase {
    /// The figures.
    pub answers: Answers,
    /// The settled week, step by step.
    pub week: Arc<Trace>,
    /// The state itself.
    pub settled: Settled,
}

/// Finds the settled week of a case and says what it means.
///
/// # Errors
/// See [`StudyError`].
pub fn settled_answers(
    case: &Case,
    air: AirChoice,
    hours: Hours,
    depth: Depth,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<SettledCase, StudyError> {
    // Under a calendar of months no week repeats: the year's mean air stands for it.
    let air = if air == AirChoice::Calendar {
        AirChoice::Mean
    } else {
        air
    };
    let clock = Clock { hours, air };
    let settled = settle(&case.world(), clock, watch)?;
    let last = settled.trace.len().saturating_sub(1);
    let ledger = Ledger::between(&case.plant, settled.trace.row(0), settled.trace.row(last));
    let means = Means::new(&case.plant, &settled.trace);
    // Told from the week's Monday; the search for it took others.
    let monday_s = settled.trace.times_s()[0];
    let alarms: Vec<Alarm> = settled
        .world
        .alarms
        .iter()
        .map(|a| a.since(monday_s))
        .collect();
    let about = About {
        driver: "settled",
        clock,
        scenario: &case.scenario,
    };
    let mut found = answers(&means, &about, &ledger, &alarms);
    for (s, day) in growing(&case.plant, &settled) {
        let solute = &mut found.solutes[s.index()];
        (solute.creeps, solute.as_of_day) = (true, day);
    }
    let no_week = match &settled.restless {
        Some(what) => Some(format!("no week repeats: {what} keeps moving")),
        None if settled.round_weeks > 1 => Some(format!(
            "no single week repeats: the line comes round every {} weeks, whose means are shown",
            settled.round_weeks
        )),
        None => None,
    };
    if let Some(doubt) = no_week {
        found.doubts.push(doubt);
        found.refined = false;
    }
    margins(case, &settled, clock, depth, &mut found, watch)?;
    outlook(case, &settled, clock, depth, &mut found, watch)?;
    Ok(SettledCase {
        answers: found,
        week: Arc::new(settled.trace.clone()),
        settled,
    })
}
