//! What a command's exit code says.

use std::process::ExitCode;

use dragback_run::RunError;
use dragback_study::verdict::amiss;
use dragback_study::{Answers, StudyError};

use dragback_report::{OfLoop, Show};

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

/// Everything that is wrong now, or within a year, one sentence each: what the verdict means as an alarm.
pub(crate) fn reasons(answers: &Answers, show: Show) -> Vec<String> {
    let found = amiss(answers).into_iter().map(|(line, finding)| {
        let Some(line) = line else {
            return finding.words(&show);
        };
        let words = finding.words(&OfLoop::of(answers, line, show));
        if answers.loops.len() > 1 {
            format!("{}: {words}", line.name)
        } else {
            words
        }
    });
    found.collect()
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
