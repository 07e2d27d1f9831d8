//! What the window keeps of a run besides its curves.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::network::Action;
use dragback_scenario::{Scenario, called, event_words};
use dragback_study::{Case, Span};
use dragback_units::constants::hours;

use crate::results::{EventMark, RunData};

/// The run itself.
pub(super) fn run_data(case: &Case, span: &Span, loop_index: usize) -> RunData {
    RunData {
        case: case.clone(),
        trace: Arc::clone(&span.trace),
        plants: plants(case, &span.happened),
        alarms: span.alarms.clone(),
        passed_limit_on_day: span.passed_limit_on_day(loop_index),
        loop_index,
    }
}

/// Events that happened during the run and when, in that order.
pub(super) fn events(scenario: &Scenario, span: &Span) -> Vec<EventMark> {
    let loops = scenario.loops.len();
    let each = span.happened.iter().filter_map(|&(t_s, index)| {
        Some(EventMark {
            index,
            at_h: hours(t_s),
            words: event_words(scenario.events.get(index)?, loops, &|path| {
                called(path, loops)
            }),
        })
    });
    each.collect()
}

/// The plants that events make of the first one, each with the second from which on it is in force.
fn plants(case: &Case, happened: &[(f64, usize)]) -> Vec<(f64, Arc<Plant>)> {
    let mut found = vec![(0.0, Arc::clone(&case.plant))];
    let mut plant = Arc::clone(&case.plant);
    for &(from_s, event) in happened {
        let Some(Action::Become(next)) =
            plant.network().events.get(event).map(|e| e.action.clone())
        else {
            continue;
        };
        if let Ok(changed) = Plant::new(next, &case.cache) {
            plant = Arc::new(changed);
            found.push((from_s, Arc::clone(&plant)));
        }
    }
    found
}
