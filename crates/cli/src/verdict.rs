//! What a command's exit code says.

use std::process::ExitCode;

use dragback_run::RunError;
use dragback_study::{Answers, FORESEEN_D, Span, StudyError};
use dragback_units::constants as unit;

use crate::show::Show;

/// How a command went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It ran, and nothing was amiss: exit code 0.
    Good,
    /// It ran, but an alarm or a limit was hit: exit code 1.
    LimitHit,
    /// It could not run: exit code 2.
    CouldNotRun,
}

impl Verdict {
    /// The exit code.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Good => 0,
            Self::LimitHit => 1,
            Self::CouldNotRun => 2,
        }
    }

    /// Good, unless there is something to name.
    pub(crate) fn of(reasons: &[String]) -> Self {
        if reasons.is_empty() {
            Self::Good
        } else {
            Self::LimitHit
        }
    }

    /// What an error means: a run that happened but whose books do not close is not shown, yet it did run.
    pub(crate) fn of_error(error: &anyhow::Error) -> Self {
        let books = |e: &(dyn std::error::Error + 'static)| {
            matches!(
                e.downcast_ref(),
                Some(StudyError::Run(RunError::Ledger { .. }))
            )
        };
        if error.chain().any(books) {
            Self::LimitHit
        } else {
            Self::CouldNotRun
        }
    }
}

impl From<Verdict> for ExitCode {
    fn from(verdict: Verdict) -> Self {
        Self::from(verdict.code())
    }
}

/// Alarms and limits that were met, one sentence each.
pub(crate) fn reasons(answers: &Answers, show: Show) -> Vec<String> {
    let mut found = Vec::new();
    match answers.alarms.len() {
        0 => {}
        1 => found.push("1 alarm".to_owned()),
        n => found.push(format!("{n} alarms")),
    }
    for line in &answers.loops {
        let rinse = &line.final_rinse;
        let lead = show.counted.told(&answers.solutes, &rinse.species);
        let (behind, strength) = (lead.behind(), |mg: f64| show.rinse(lead.strength(mg)));
        if let Some(limit) = rinse
            .limit_mg_per_l
            .filter(|&limit| rinse.film_mg_per_l > limit)
        {
            found.push(format!(
                "the film leaving {} carries {} {behind}, above its limit of {}",
                rinse.vessel,
                strength(rinse.film_mg_per_l),
                strength(limit)
            ));
        } else if let (Some(day), Some(limit)) = (rinse.passed_limit_on_day, rinse.limit_mg_per_l) {
            found.push(format!(
                "the film leaving {} passed its limit of {} {behind} on day {day:.1}",
                rinse.vessel,
                strength(limit)
            ));
        }
    }
    // A run is judged by what it passed, not by what it would pass if it went on: see [`impurities_above`].
    let foreseen = answers.impurities.iter();
    for impurity in foreseen.filter(|_| answers.driver == "settled") {
        // Later ones are told but are no reason for alarm.
        let soon = impurity.days_to_limit.filter(|&days| days <= FORESEEN_D);
        if let (Some(limit), Some(days)) = (impurity.limit_g_per_l, soon) {
            let when = if days > 0.0 {
                format!("after {}", show.days(days))
            } else {
                "from the start".to_owned()
            };
            found.push(format!(
                "{} in {} passes its limit of {} {when}",
                impurity.species,
                impurity.vessel,
                show.strength(limit)
            ));
        }
    }
    found
}

/// Impurities that passed their limits in the course of a run.
pub(crate) fn impurities_above(span: &Span, show: Show) -> Vec<String> {
    let (plant, trace) = (&span.plant, &span.trace);
    let net = plant.network();
    let mut found = Vec::new();
    for roles in &net.loops {
        for &(s, limit) in &roles.impurity_limits {
            let above = |y: &[f64]| {
                plant
                    .concentration(roles.bath, s, y)
                    .is_some_and(|c| c > limit)
            };
            if let Some(i) = (0..trace.len()).find(|&i| above(trace.row(i))) {
                found.push(format!(
                    "{} in {} passed its limit of {} on day {:.1}",
                    net.solutes[s.index()].name,
                    net.vessels[roles.bath.index()].name,
                    show.strength(limit),
                    unit::days(trace.times_s()[i])
                ));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn books_that_do_not_close_are_a_run_and_other_errors_are_none() {
        let ledger = RunError::Ledger {
            what: "water".to_owned(),
            error: 1e-3,
            bound: 1e-9,
        };
        let error = anyhow::Error::new(StudyError::Run(ledger)).context("demo.ron");
        assert_eq!(Verdict::of_error(&error), Verdict::LimitHit);
        let error = anyhow::Error::new(StudyError::Run(RunError::Cancelled));
        assert_eq!(Verdict::of_error(&error), Verdict::CouldNotRun);
        assert_eq!(
            Verdict::of_error(&anyhow::anyhow!("no file")),
            Verdict::CouldNotRun
        );
    }
}
