//! Running a stretch of time.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::ids::VesselId;
use dragback_plant::ledger::Ledger;
use dragback_run::clock::Clock;
use dragback_run::exact::{self, ExactOptions, Statistics};
use dragback_run::preview::{self, PreviewOptions};
use dragback_run::{Alarm, Trace};
use dragback_scenario::{Scenario, called, event_words};
use dragback_units::constants::{days, hours};

use crate::answers::{Answers, EventAnswer, VesselAnswer};
use crate::case::{Case, StudyError};
use crate::figures::{About, Means, answers};
use crate::growth::impurities_of_run;

/// Which driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Driver {
    /// Averaged steps of an hour or two.
    Preview,
    /// Every switch located.
    Exact,
}

/// A stretch of time that was run.
#[derive(Clone)]
pub struct Span {
    /// The plant that ran (as at the start).
    pub plant: Arc<Plant>,
    /// Recorded moments.
    pub trace: Arc<Trace>,
    /// Alarms on the way.
    pub alarms: Vec<Alarm>,
    /// Events that happened: when, s, and their number in the list.
    pub happened: Vec<(f64, usize)>,
    /// The audit.
    pub ledger: Ledger,
    /// What it took.
    pub statistics: Statistics,
    /// Which driver ran.
    pub driver: Driver,
    clock: Clock,
    scenario: Arc<Scenario>,
}

/// Most moments that a run records.
const MOST_MOMENTS: f64 = 10_000.0;

/// Runs a case from its start for `span_s` seconds. `watch` is told the time now and then and stops the run by answering `false`.
///
/// # Errors
/// See [`StudyError`].
pub fn run_span(
    case: &Case,
    span_s: f64,
    driver: Driver,
    clock: Clock,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Span, StudyError> {
    let mut world = case.world();
    let outcome = match driver {
        Driver::Preview => {
            let options = PreviewOptions {
                clock,
                ..PreviewOptions::default()
            };
            preview::run(&mut world, span_s, &options, watch)?
        }
        Driver::Exact => {
            let sample_s = (span_s / MOST_MOMENTS).max(900.0);
            let options = ExactOptions {
                clock,
                sample_s,
                ..ExactOptions::default()
            };
            exact::run(&mut world, span_s, &options, watch)?
        }
    };
    Ok(Span {
        plant: Arc::clone(&case.plant),
        trace: Arc::new(outcome.trace),
        alarms: world.alarms,
        happened: world.happened,
        ledger: outcome.ledger,
        statistics: outcome.statistics,
        driver,
        clock,
        scenario: Arc::clone(&case.scenario),
    })
}

impl Span {
    /// The tanks as the stretch leaves them; none of an empty one.
    #[must_use]
    pub fn tanks_at_end(&self) -> Vec<VesselAnswer> {
        let Some(last) = self.trace.len().checked_sub(1) else {
            return Vec::new();
        };
        // A second in which nothing changes is its own mean.
        let y = self.trace.row(last);
        let mut moment = Trace::new(y.len());
        moment.push(self.trace.times_s()[last], y);
        moment.push(self.trace.times_s()[last] + 1.0, y);
        let means = Means::new(&self.plant, &moment);
        let tanks = 0..self.plant.network().vessels.len();
        tanks
            .map(|v| means.vessel(VesselId(v), self.clock.air))
            .collect()
    }

    /// Day on which film stronger than the limit of a loop's final rinse first left on the work; `None` where that never happened.
    #[must_use]
    pub fn passed_limit_on_day(&self, loop_index: usize) -> Option<f64> {
        let roles = self.plant.network().loops.get(loop_index)?;
        let means = Means::new(&self.plant, &self.trace);
        means.passes_film_limit(roles).map(days)
    }

    fn events(&self) -> Vec<EventAnswer> {
        let all = &self.plant.network().events;
        let loops = self.scenario.loops.len();
        let told = self.happened.iter().filter_map(|&(t_s, e)| {
            Some(EventAnswer {
                at_h: hours(t_s),
                what: all.get(e)?.name.clone(),
                words: event_words(self.scenario.events.get(e)?, loops, &|path| {
                    called(path, loops)
                }),
            })
        });
        told.collect()
    }

    /// The answers of the whole stretch, as means over it.
    #[must_use]
    pub fn answers(&self) -> Answers {
        let name = match self.driver {
            Driver::Preview => "preview",
            Driver::Exact => "exact",
        };
        let means = Means::new(&self.plant, &self.trace);
        let about = About {
            driver: name,
            clock: self.clock,
            scenario: &self.scenario,
        };
        let mut found = answers(&means, &about, &self.ledger, &self.alarms);
        found.events = self.events();
        for (i, line) in found.loops.iter_mut().enumerate() {
            line.final_rinse.passed_limit_on_day = self.passed_limit_on_day(i);
        }
        found.impurities = impurities_of_run(&self.plant, &self.trace);
        found
    }
}
