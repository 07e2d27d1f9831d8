//! What is drawn and told of one moment: the scene of the drawing and the answers of the day before the cursor. Both are kept until the moment or
//! the run changes.

use std::sync::Arc;

use dragback_drawing::settled_scene;
use dragback_plant::Plant;
use dragback_study::{AirChoice, Clock, Counted, Driver, LoopAnswer, SoluteAnswer, loop_between};
use dragback_units::constants::{SECONDS_PER_DAY, SECONDS_PER_HOUR, seconds_from_days};

use crate::loop_view::{self, Circumstances, Moment, Scene};
use crate::results::{CurveSet, Figures, Results, RunData};

/// Flows in the drawing are means over so long, s.
const FLOW_WINDOW_S: f64 = SECONDS_PER_HOUR;

/// What a picture was made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Key {
    /// The settled week of a request.
    Settled(u64, u64, Counted),
    /// A recorded moment of a run: document, request, whether exact, row.
    Row(u64, u64, bool, usize, Counted),
}

/// The scene and the answers of the moment that is shown.
#[derive(Default)]
pub struct AtCursor {
    key: Option<Key>,
    scene: Option<(Scene, Arc<Plant>)>,
    line: Option<LoopAnswer>,
}

impl AtCursor {
    /// Finds what belongs to a day of the run, or to the settled week.
    pub fn follow(&mut self, results: &Results, day: Option<f64>, counted: Counted) {
        let figures = results.figures();
        let solutes = figures.map_or(&[][..], |f| &f.answers.solutes);
        let run = |c: &Arc<CurveSet>| c.run.as_ref().map(|_| Arc::clone(c));
        match (day, results.curves().and_then(run)) {
            (Some(day), Some(set)) => self.at(&set, day, (solutes, counted)),
            _ => match results.figures() {
                Some(figures) => self.settled(figures, counted),
                None => *self = Self::default(),
            },
        }
    }

    /// The scene, with the plant that it was compiled from.
    #[must_use]
    pub fn scene(&self) -> Option<(&Scene, &Plant)> {
        self.scene
            .as_ref()
            .map(|(scene, plant)| (scene, plant.as_ref()))
    }

    /// The answers of the day before the cursor; `None` while the settled week is shown.
    #[must_use]
    pub const fn line(&self) -> Option<&LoopAnswer> {
        self.line.as_ref()
    }

    fn settled(&mut self, figures: &Figures, counted: Counted) {
        let key = Key::Settled(figures.asked.document, figures.asked.generation, counted);
        if self.key == Some(key) || figures.week.is_empty() {
            return;
        }
        let plant = &figures.plant;
        // A settled week stands in the year's mean air.
        let (week, answers) = (&figures.week, &figures.answers);
        let scene = settled_scene(plant, week, answers, AirChoice::Mean, counted);
        *self = Self {
            key: Some(key),
            scene: Some((scene, Arc::clone(plant))),
            line: None,
        };
    }

    fn at(&mut self, set: &CurveSet, day: f64, (solutes, counted): (&[SoluteAnswer], Counted)) {
        let Some(run) = set.run.as_ref().filter(|r| !r.trace.is_empty()) else {
            return;
        };
        let t_s = seconds_from_days(day);
        let row = run.trace.at(t_s);
        let is_exact = set.driver == Driver::Exact;
        let key = Key::Row(
            set.asked.document,
            set.asked.generation,
            is_exact,
            row,
            counted,
        );
        if self.key == Some(key) {
            return;
        }
        let row_s = run.trace.times_s()[row];
        let Some(plant) = run.plant_at(row_s) else {
            return;
        };
        let y = run.trace.row(row);
        let around = Circumstances::at(plant, Clock::default(), row_s, y, &run.alarms);
        let moment = Moment::of_trace(plant, &run.trace, row, FLOW_WINDOW_S, around);
        let scene = loop_view::scene_counted(plant, &moment, solutes, counted);
        let ends = day_before(run, row_s);
        *self = Self {
            key: Some(key),
            scene: Some((scene, Arc::clone(plant))),
            line: loop_between(
                &run.case,
                Clock::default().air,
                &run.trace,
                run.loop_index,
                ends,
            ),
        };
    }
}

/// The answers of the day before the cursor in a run that is kept to compare with.
#[derive(Default)]
pub struct KeptDay {
    /// Document, request, whether exact, and row.
    key: Option<(u64, u64, bool, usize)>,
    line: Option<LoopAnswer>,
}

impl KeptDay {
    /// Finds what belongs to a day of a run; nothing where there is none of either.
    pub fn follow(&mut self, kept: Option<&Arc<CurveSet>>, day: Option<f64>) {
        let run = kept.and_then(|set| Some((set, set.run.as_ref()?)));
        let (Some((set, run)), Some(day)) = (run.filter(|(_, r)| !r.trace.is_empty()), day) else {
            *self = Self::default();
            return;
        };
        let row = run.trace.at(seconds_from_days(day));
        let (document, number) = (set.asked.document, set.asked.generation);
        let key = Some((document, number, set.driver == Driver::Exact, row));
        if self.key != key {
            let ends = day_before(run, run.trace.times_s()[row]);
            let air = Clock::default().air;
            let line = loop_between(&run.case, air, &run.trace, run.loop_index, ends);
            *self = Self { key, line };
        }
    }

    /// The answers.
    #[must_use]
    pub const fn line(&self) -> Option<&LoopAnswer> {
        self.line.as_ref()
    }
}

/// The 24 hours before a time; the first hours of a run are told by the first recorded step after the start.
fn day_before(run: &RunData, t_s: f64) -> (f64, f64) {
    let second = run.trace.times_s().get(1).copied().unwrap_or(t_s);
    ((t_s - SECONDS_PER_DAY).max(0.0), t_s.max(second))
}
