//! The answers of any stretch of a run.

use std::collections::BTreeMap;

use dragback_plant::Plant;
use dragback_plant::climate::AirChoice;
use dragback_plant::ledger::Ledger;
use dragback_run::Trace;

use crate::answers::{LedgerAnswer, LoopAnswer};
use crate::books::books;
use crate::case::Case;
use crate::figures::Means;

/// The answers of one loop as means over the moments of a trace, run in the air given, from `from_s` to `to_s`, seconds; margins and days to settle are not told of a stretch.
///
/// `None` when there is no such loop, or when less than two recorded moments lie in the stretch. A mean over hours without work has no film on it: the final rinse is
/// not a number then.
#[must_use]
pub fn loop_between(
    case: &Case,
    air: AirChoice,
    trace: &Trace,
    loop_index: usize,
    (from_s, to_s): (f64, f64),
) -> Option<LoopAnswer> {
    let roles = case.plant.network().loops.get(loop_index)?;
    if trace.is_empty() {
        return None;
    }
    let (first, last) = (trace.at(from_s), trace.at(to_s));
    (first < last).then(|| {
        Means::between(&case.plant, trace, first, last).loop_answer(roles, &case.scenario, air)
    })
}

/// The audit of a stretch of a run: water, `energy` and each solute, by name.
#[derive(Clone, Debug, PartialEq)]
pub struct StretchLedger {
    /// Where it begins, s from the start of the run: the last recorded moment not after what was asked.
    pub from_s: f64,
    /// Where it ends, s from the start of the run.
    pub to_s: f64,
    /// The entries.
    pub entries: BTreeMap<String, LedgerAnswer>,
}

/// The audit of a trace from `from_s` to `to_s`, seconds. `plant` is the one that the run began with: events change no line of the ledger.
///
/// `None` when less than two recorded moments lie in the stretch.
#[must_use]
pub fn ledger_between(
    plant: &Plant,
    trace: &Trace,
    (from_s, to_s): (f64, f64),
) -> Option<StretchLedger> {
    if trace.is_empty() {
        return None;
    }
    let (first, last) = (trace.at(from_s), trace.at(to_s));
    (first < last).then(|| StretchLedger {
        from_s: trace.times_s()[first],
        to_s: trace.times_s()[last],
        entries: books(
            plant,
            &Ledger::between(plant, trace.row(first), trace.row(last)),
        ),
    })
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_run::clock::Clock;
    use dragback_units::constants::seconds_from_days;

    use super::*;
    use crate::{Case, Driver, run_span};

    #[test]
    fn a_day_of_work_and_a_sunday_differ_and_the_whole_is_the_whole() {
        let text = include_str!("../../../scenarios/demo.ron");
        let scenario = dragback_scenario::load(text).0.unwrap();
        let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
        let span_s = seconds_from_days(14.0);
        let clock = Clock::default();
        let span = run_span(&case, span_s, Driver::Preview, clock, &mut |_| true).unwrap();
        let day = |n: f64| {
            let ends = (seconds_from_days(n), seconds_from_days(n + 1.0));
            loop_between(&case, clock.air, &span.trace, 0, ends).unwrap()
        };
        // The demo works from Monday to Friday, 16 hours with 40 m²/h of 0.12 L/m²: 4.8 L/h, as a mean of 24 h 3.2 (hand derivation).
        assert!((day(8.0).drag_out_l_per_h - 3.2).abs() < 1e-9);
        assert!(day(13.0).drag_out_l_per_h.abs() < 1e-12);
        assert!(day(13.0).final_rinse.film_mg_per_l.is_nan());
        let whole = loop_between(&case, clock.air, &span.trace, 0, (0.0, span_s)).unwrap();
        let told = &span.answers().loops[0];
        assert_eq!(whole.drag_out_l_per_h, told.drag_out_l_per_h);
        assert_eq!(whole.lost_kg_per_day, told.lost_kg_per_day);
        assert!(loop_between(&case, clock.air, &span.trace, 0, (span_s, span_s)).is_none());
        assert!(loop_between(&case, clock.air, &span.trace, 9, (0.0, span_s)).is_none());
    }

    #[test]
    fn the_books_of_two_stretches_add_up_to_those_of_both() {
        let text = include_str!("../../../scenarios/demo.ron");
        let scenario = dragback_scenario::load(text).0.unwrap();
        let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
        let span_s = seconds_from_days(14.0);
        let clock = Clock::default();
        let span = run_span(&case, span_s, Driver::Preview, clock, &mut |_| true).unwrap();
        let water = |ends: (f64, f64)| {
            let found = ledger_between(&case.plant, &span.trace, ends).unwrap();
            match found.entries["water"] {
                LedgerAnswer::Mass {
                    in_kg,
                    out_kg,
                    held_change_kg,
                    closure_error,
                    ..
                } => {
                    assert!(closure_error <= dragback_plant::ledger::CLOSURE_BOUND);
                    [in_kg, out_kg, held_change_kg]
                }
                LedgerAnswer::Energy { .. } => unreachable!("water is a mass"),
            }
        };
        let middle = seconds_from_days(5.0);
        let (one, two, both) = (
            water((0.0, middle)),
            water((middle, span_s)),
            water((0.0, span_s)),
        );
        for i in 0..3 {
            // Lines only ever give or only ever take here, so sums add up to rounding.
            let apart = (one[i] + two[i] - both[i]).abs();
            assert!(apart <= 1e-9 * both[0], "{one:?} {two:?} {both:?}");
        }
        assert!(both[0] > 0.0);
        let whole = ledger_between(&case.plant, &span.trace, (0.0, span_s)).unwrap();
        assert_eq!(whole.entries, span.answers().ledger);
        assert!(ledger_between(&case.plant, &span.trace, (middle, middle)).is_none());
    }
}
