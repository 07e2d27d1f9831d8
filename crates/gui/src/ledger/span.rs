//! Which stretch of time the ledger tells of.

use std::collections::BTreeMap;

use dragback_study::{LedgerAnswer, ledger_between};
use dragback_units::constants::{HOURS_PER_DAY, hours, seconds_from_days};

use crate::playhead::moment_words;
use crate::results::Results;
use crate::worker::SPAN_DAYS;

/// How far back from the cursor the stretch reaches; without a cursor, from the end of the run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Back {
    /// No stretch of the run: the settled week.
    #[default]
    Settled,
    /// A day.
    Day,
    /// A week.
    Week,
    /// To the start of the run.
    Start,
    /// To a day of the run.
    From(f64),
}

/// A ledger with the words for its stretch.
pub struct Told {
    /// The entries by name.
    pub entries: BTreeMap<String, LedgerAnswer>,
    /// The stretch, in words.
    pub words: String,
}

impl Back {
    /// Name to choose it by.
    #[must_use]
    pub const fn name(self, has_cursor: bool) -> &'static str {
        match (self, has_cursor) {
            (Self::Settled, _) => "Settled week",
            (Self::Day, true) => "Day before the cursor",
            (Self::Day, false) => "Last day of the run",
            (Self::Week, true) => "Week before the cursor",
            (Self::Week, false) => "Last week of the run",
            (Self::Start, true) => "Start to cursor",
            (Self::Start, false) => "Whole run",
            (Self::From(_), true) => "From a day to the cursor",
            (Self::From(_), false) => "From a day to the end",
        }
    }

    /// Ends of the stretch, days; `None` for the settled week.
    #[must_use]
    pub fn days(self, cursor: Option<f64>) -> Option<(f64, f64)> {
        let to = cursor.unwrap_or(SPAN_DAYS);
        let from = match self {
            Self::Settled => return None,
            Self::Day => to - 1.0,
            Self::Week => to - 7.0,
            Self::Start => 0.0,
            Self::From(day) => day.min(to),
        };
        Some((from.max(0.0), to))
    }
}

/// The ledger of a stretch; `None` while there is no run, or nothing was recorded between its ends.
#[must_use]
pub fn told(results: &Results, back: Back, cursor: Option<f64>) -> Option<Told> {
    let Some((from, to)) = back.days(cursor) else {
        let answers = &results.figures()?.answers;
        return Some(Told {
            entries: answers.ledger.clone(),
            words: settled_words(answers.span_h),
        });
    };
    let run = results.curves()?.run.as_ref()?;
    let ends = (seconds_from_days(from), seconds_from_days(to));
    let found = ledger_between(&run.case.plant, &run.trace, ends)?;
    let day = |t_s: f64| hours(t_s) / HOURS_PER_DAY;
    Some(Told {
        words: format!(
            "from {} to {}",
            moment_words(day(found.from_s)),
            moment_words(day(found.to_s))
        ),
        entries: found.entries,
    })
}

/// A settled week; where no week repeats, the means of several stand for it.
fn settled_words(span_h: f64) -> String {
    let weeks = (span_h / (7.0 * HOURS_PER_DAY)).round();
    if weeks > 1.5 {
        format!("{weeks:.0} weeks of settled running")
    } else {
        "the settled week".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_end_at_the_cursor_and_never_begin_before_the_run() {
        assert_eq!(Back::Settled.days(Some(3.0)), None);
        assert_eq!(Back::Day.days(Some(3.5)), Some((2.5, 3.5)));
        assert_eq!(Back::Week.days(Some(3.5)), Some((0.0, 3.5)));
        assert_eq!(Back::Week.days(None), Some((SPAN_DAYS - 7.0, SPAN_DAYS)));
        assert_eq!(Back::Start.days(None), Some((0.0, SPAN_DAYS)));
        assert_eq!(Back::From(8.0).days(Some(3.5)), Some((3.5, 3.5)));
    }
}
