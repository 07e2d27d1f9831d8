//! What workers have found, and which of it is shown.

mod sizing;

use std::sync::Arc;
use std::time::{Duration, SystemTime};

use dragback_plant::Plant;
use dragback_run::{Alarm, Trace};
use dragback_scenario::{Problem, Scenario};
use dragback_study::advice::Advice;
use dragback_study::curves::{Guide, Series};
use dragback_study::{Answers, Case, Depth, Driver, LoopAnswer, StudyError};
use dragback_units::System;

use crate::number::amount_told;
use crate::sizing::{SizingTable, Taken};
use crate::sweep::Sweep;
use crate::words::sentence;
use crate::worker::Job;

/// What a result answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Number of the request; later ones are higher.
    pub generation: u64,
    /// Number of the document.
    pub document: u64,
    /// Key of the loop.
    pub loop_key: String,
    /// The lever that was moved, if one was.
    pub moved: Option<Moved>,
}

/// A lever that was moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Path of its input.
    pub path: String,
    /// Value, SI.
    pub si: f64,
    /// Everything that differs from the file, as paths and texts.
    pub changes: Vec<(String, String)>,
}

/// What one plot shows.
#[derive(Clone, Debug, Default)]
pub struct PlotData {
    /// Its curves.
    pub series: Vec<Series>,
    /// Number of the pen of each curve: tanks keep theirs in all plots.
    pub pens: Vec<usize>,
    /// What they are read against.
    pub guides: Vec<Guide>,
}

/// Something that the scenario lets happen during the run.
#[derive(Clone, Debug, PartialEq)]
pub struct EventMark {
    /// Number in the scenario's list.
    pub index: usize,
    /// When, hours from the start.
    pub at_h: f64,
    /// Words for people.
    pub words: String,
}

/// The run behind the curves, for what is drawn of any of its moments.
pub struct RunData {
    /// The scenario and the plant that it starts with.
    pub case: Case,
    /// What was recorded.
    pub trace: Arc<Trace>,
    /// The plants in force, each with the second from which on; the first one from the start.
    pub plants: Vec<(f64, Arc<Plant>)>,
    /// Alarms on the way.
    pub alarms: Vec<Alarm>,
    /// Day on which film stronger than the final rinse's limit first left on the work.
    pub passed_limit_on_day: Option<f64>,
    /// Number of the loop that is shown.
    pub loop_index: usize,
}

impl RunData {
    /// The plant in force at a time, s.
    #[must_use]
    pub fn plant_at(&self, t_s: f64) -> Option<&Arc<Plant>> {
        let in_force = self.plants.iter().rev().find(|(from_s, _)| *from_s <= t_s);
        in_force
            .or_else(|| self.plants.first())
            .map(|(_, plant)| plant)
    }
}

/// The curves of a run of 90 days.
pub struct CurveSet {
    /// What it answers.
    pub asked: Asked,
    /// Averaged or exact.
    pub driver: Driver,
    /// Curves of each plot, in the order of [`crate::plots::KINDS`].
    pub plots: Vec<PlotData>,
    /// Spans in which no work runs, hours from the start.
    pub rests: Vec<[f64; 2]>,
    /// Which curve of the tanks is the final station.
    pub final_station: Option<usize>,
    /// Which curve of the tanks is the holding tank.
    pub holding_tank: Option<usize>,
    /// Alarms on the way, each with its hours from the start and its instrument as people call it.
    pub alarms: Vec<(f64, Alarm)>,
    /// Events on the way, in the order of their times.
    pub events: Vec<EventMark>,
    /// The run itself.
    pub run: Option<RunData>,
    /// How long it took.
    pub took: Duration,
}

/// The figures of the settled week.
pub struct Figures {
    /// What it answers.
    pub asked: Asked,
    /// How much was asked.
    pub depth: Depth,
    /// All answers.
    pub answers: Answers,
    /// Number of the loop among the answers.
    pub loop_index: usize,
    /// The scenario that they answer; a lever may have moved on since.
    pub scenario: Arc<Scenario>,
    /// The plant behind them.
    pub plant: Arc<Plant>,
    /// The settled week, step by step.
    pub week: Arc<Trace>,
    /// How long it took.
    pub took: Duration,
}

impl Figures {
    /// The answers of the loop that is shown.
    #[must_use]
    pub fn line(&self) -> Option<&LoopAnswer> {
        self.answers.loops.get(self.loop_index)
    }

    /// Power of the heaters of which the duty is a share, W.
    #[must_use]
    pub fn heaters_w(&self) -> Option<f64> {
        let net = self.plant.network();
        let heaters = &net.loops.get(self.loop_index)?.heaters;
        let power = heaters.iter().map(|h| net.heats[h.index()].law.most_w());
        Some(power.sum::<f64>()).filter(|w| *w > 0.0)
    }
}

/// What would help, and what that answers.
pub struct AdviceFound {
    /// What it answers.
    pub asked: Asked,
    /// What limits, and changes that were tried and help.
    pub advice: Advice,
}

/// What was run of a scenario to compare with.
pub struct Reference {
    /// All figures.
    pub figures: Arc<Figures>,
    /// Exact curves.
    pub curves: Arc<CurveSet>,
}

/// A state that is kept to compare with.
#[derive(Clone)]
pub struct Pinned {
    /// What it is called: `pinned: ` and what stood on the bench, or the file.
    pub name: String,
    /// Since when.
    pub since: SystemTime,
    /// Its curves.
    pub curves: Option<Arc<CurveSet>>,
    /// Its figures.
    pub figures: Arc<Figures>,
    /// Its figures with days to settle and every month's margin.
    pub full: Option<Arc<Figures>>,
}

impl Pinned {
    /// Keeps what is on screen; `None` when there is nothing yet.
    #[must_use]
    pub fn of(results: &Results, name: String) -> Option<Self> {
        let figures = Arc::clone(results.figures()?);
        let is_same = |asked: &Asked| asked.generation == figures.asked.generation;
        Some(Self {
            name,
            since: SystemTime::now(),
            curves: results.curves().cloned(),
            full: results.full().filter(|f| is_same(&f.asked)).cloned(),
            figures,
        })
    }

    /// Takes better curves of the state that is kept.
    pub fn refine_curves(&mut self, new: &Arc<CurveSet>) {
        let kept = &self.figures.asked;
        if (new.asked.document, new.asked.generation) == (kept.document, kept.generation) {
            self.curves = Some(Arc::clone(new));
        }
    }

    /// Takes fuller figures of the state that is kept.
    pub fn refine_figures(&mut self, new: &Arc<Figures>) {
        let kept = &self.figures.asked;
        let is_same =
            (new.asked.document, new.asked.generation) == (kept.document, kept.generation);
        if is_same && new.depth == Depth::Full {
            self.full = Some(Arc::clone(new));
        }
    }
}

/// Why there is no result.
#[derive(Clone, Debug)]
pub struct Failure {
    /// What it answers.
    pub asked: Asked,
    /// Which driver failed; the settled week counts as averaged.
    pub driver: Driver,
    /// In one sentence, in metric units.
    pub message: String,
    /// The same as data, where it is an error of a run.
    pub fault: Option<StudyError>,
    /// What is wrong with the scenario, if that is the reason.
    pub problems: Vec<Problem>,
}

impl Failure {
    /// In one sentence, in the units of the window.
    #[must_use]
    pub fn words(&self, system: System) -> String {
        self.fault.as_ref().map_or_else(
            || self.message.clone(),
            |fault| sentence(&fault.words(&|amount| amount_told(amount, system))),
        )
    }
}

/// How good the curves on screen are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing yet.
    Waiting,
    /// From the averaged driver, or of an earlier position of a lever.
    Preview,
    /// Every switch located.
    Exact,
}

/// What is shown. Older results never replace newer ones, nor averaged curves exact ones of the same request.
#[derive(Default)]
pub struct Results {
    /// Number of the last request.
    pub requested: u64,
    /// Number of the document that is shown.
    pub document: u64,
    curves: Option<Arc<CurveSet>>,
    figures: Option<Arc<Figures>>,
    full: Option<Arc<Figures>>,
    failure: Option<Failure>,
    sweep: Option<Arc<Sweep>>,
    advice: Option<Arc<AdviceFound>>,
    sizing: Option<Arc<SizingTable>>,
    /// The row of the table that was last made the present line.
    pub taken: Option<Taken>,
    /// Work of the last request that was given up.
    given_up: Vec<Job>,
}

impl Results {
    /// A new request: nothing of it is given up. Returns its number.
    pub fn ask(&mut self) -> u64 {
        self.requested += 1;
        self.given_up.clear();
        self.requested
    }

    /// Work of the last request is given up.
    pub fn give_up(&mut self, job: Job) {
        self.given_up.push(job);
        self.give_up_sizing(job);
    }

    /// Whether work of the last request was given up.
    #[must_use]
    pub fn has_given_up(&self, job: Job) -> bool {
        self.given_up.contains(&job)
    }

    /// Takes advice.
    pub fn take_advice(&mut self, new: Arc<AdviceFound>) {
        if new.asked.document == self.document {
            self.advice = Some(new);
        }
    }

    /// What would help, if it was found for the levers as they stand now: advice on an earlier position is none.
    #[must_use]
    pub fn advice(&self) -> Option<&Advice> {
        let found = self.advice.as_ref()?;
        let is_current = found.asked.generation == self.requested;
        is_current.then_some(&found.advice)
    }

    /// Takes a sweep.
    pub fn take_sweep(&mut self, new: Arc<Sweep>) {
        if new.asked.document == self.document {
            self.sweep = Some(new);
        }
    }

    /// The last sweep.
    #[must_use]
    pub const fn sweep(&self) -> Option<&Arc<Sweep>> {
        self.sweep.as_ref()
    }

    /// A new document: what was found for the old one stays on screen until something new comes, but nothing more of it is taken.
    pub fn begin(&mut self, document: u64) {
        self.document = document;
        self.failure = None;
        self.sweep = None;
        self.advice = None;
        self.forget_sizing();
    }

    /// Takes curves; says whether they are shown.
    pub fn take_curves(&mut self, new: Arc<CurveSet>) -> bool {
        let rank = |c: &CurveSet| (c.asked.generation, c.driver == Driver::Exact);
        let is_newer = self
            .curves
            .as_ref()
            .is_none_or(|old| rank(&new) > rank(old));
        let is_shown = is_newer && new.asked.document == self.document;
        if is_shown {
            self.curves = Some(new);
        }
        is_shown
    }

    /// Takes figures; says whether they are shown.
    pub fn take_figures(&mut self, new: Arc<Figures>) -> bool {
        let rank = |f: &Figures| (f.asked.generation, f.depth == Depth::Full);
        let is_newer = self
            .figures
            .as_ref()
            .is_none_or(|old| rank(&new) > rank(old));
        let is_shown = is_newer && new.asked.document == self.document;
        if is_shown {
            self.failure = self.failure.take().filter(|f| {
                // An exact run that failed stays told beside averaged figures of the same request.
                let (failed, found) = (f.asked.generation, new.asked.generation);
                failed > found || (failed == found && f.driver == Driver::Exact)
            });
            if new.depth == Depth::Full {
                self.full = Some(Arc::clone(&new));
            }
            self.figures = Some(new);
        }
        is_shown
    }

    /// Takes a failure, unless something later has already worked.
    pub fn take_failure(&mut self, new: Failure) {
        let is_overtaken = self
            .figures
            .as_ref()
            .is_some_and(|f| f.asked.generation > new.asked.generation);
        if !is_overtaken && new.asked.document == self.document {
            self.failure = Some(new);
        }
    }

    /// Curves on screen.
    #[must_use]
    pub const fn curves(&self) -> Option<&Arc<CurveSet>> {
        self.curves.as_ref()
    }

    /// Figures on screen.
    #[must_use]
    pub const fn figures(&self) -> Option<&Arc<Figures>> {
        self.figures.as_ref()
    }

    /// The last figures with days to settle and every month's margin; they may be older than the others. Of this document only.
    #[must_use]
    pub fn full(&self) -> Option<&Arc<Figures>> {
        self.full
            .as_ref()
            .filter(|f| f.asked.document == self.document)
    }

    /// Why there is nothing newer.
    #[must_use]
    pub const fn failure(&self) -> Option<&Failure> {
        self.failure.as_ref()
    }

    /// How good the curves are.
    #[must_use]
    pub fn standing(&self) -> Standing {
        match &self.curves {
            None => Standing::Waiting,
            Some(c) if c.driver == Driver::Exact && c.asked.generation == self.requested => {
                Standing::Exact
            }
            Some(_) => Standing::Preview,
        }
    }

    /// Whether the figures on screen answer the last request.
    #[must_use]
    pub fn figures_are_current(&self) -> bool {
        self.figures
            .as_ref()
            .is_some_and(|f| f.asked.generation == self.requested)
    }

    /// Whether days to settle on screen answer the last request.
    #[must_use]
    pub fn full_is_current(&self) -> bool {
        self.full()
            .is_some_and(|f| f.asked.generation == self.requested)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(document: u64, generation: u64) -> Asked {
        Asked {
            generation,
            document,
            loop_key: "loop".to_owned(),
            moved: None,
        }
    }

    fn curves(document: u64, generation: u64, driver: Driver) -> Arc<CurveSet> {
        Arc::new(CurveSet {
            asked: asked(document, generation),
            driver,
            plots: Vec::new(),
            rests: Vec::new(),
            final_station: None,
            holding_tank: None,
            alarms: Vec::new(),
            events: Vec::new(),
            run: None,
            took: Duration::ZERO,
        })
    }

    #[test]
    fn stale_generations_are_dropped() {
        let mut results = Results {
            requested: 5,
            ..Results::default()
        };
        results.begin(1);
        assert!(results.take_curves(curves(1, 4, Driver::Preview)));
        assert_eq!(results.standing(), Standing::Preview);
        assert!(!results.take_curves(curves(1, 3, Driver::Exact)));
        assert!(results.take_curves(curves(1, 5, Driver::Preview)));
        assert!(results.take_curves(curves(1, 5, Driver::Exact)));
        assert!(!results.take_curves(curves(1, 5, Driver::Preview)));
        assert_eq!(results.standing(), Standing::Exact);
        results.requested = 6;
        assert_eq!(results.standing(), Standing::Preview);
    }

    #[test]
    fn another_document_takes_nothing_of_the_old_one() {
        let mut results = Results {
            requested: 9,
            ..Results::default()
        };
        results.begin(2);
        assert!(!results.take_curves(curves(1, 9, Driver::Exact)));
        results.take_failure(Failure {
            asked: asked(1, 9),
            driver: Driver::Preview,
            message: String::new(),
            fault: None,
            problems: Vec::new(),
        });
        assert!(results.failure().is_none());
        assert!(results.take_curves(curves(2, 9, Driver::Preview)));
    }
}
