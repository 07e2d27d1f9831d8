//! The thread that sweeps a lever, and the one that runs what is compared with.

use std::sync::Arc;
use std::time::{Duration, Instant};

use dragback_scenario::{Scenario, set_si};
use dragback_study::{AirChoice, Case, Depth, Driver, Hours, settled_answers};

use super::{Job, Shared, Work, curve_set, figures, guarded, roles_of};
use crate::results::Reference;
use crate::sweep::{AT_BEND, Sweep, SweepPoint, SweepRequest, at_bend};

/// A sweep begins when no lever has moved for this long.
const CALM: Duration = Duration::from_millis(120);
/// Points are shown at least this often.
const SHOW_EVERY: Duration = Duration::from_millis(80);

/// What the last sweep found. A sweep of the same lever of a scenario that differs in nothing else goes on from it.
struct Known {
    path: String,
    loop_key: String,
    rest: Scenario,
    depth: Depth,
    points: Vec<SweepPoint>,
}

/// The scenario without its position of the lever.
fn rest_of(request: &SweepRequest) -> Option<Scenario> {
    let mut rest = Scenario::clone(&request.scenario);
    let anywhere = *request.positions.first()?;
    set_si(&mut rest, &request.path, anywhere).ok()?;
    Some(rest)
}

pub(super) fn sweep_thread(shared: &Shared) {
    let mut known: Option<Known> = None;
    while let Some((generation, request)) = shared.sweep.take(CALM) {
        let Some(rest) = rest_of(&request) else {
            continue;
        };
        let is_same = known.as_ref().is_some_and(|k| {
            let is_line = k.loop_key == request.asked.loop_key && k.rest == rest;
            k.path == request.path && is_line && request.figure.is_in(k.depth)
        });
        if !is_same {
            known = Some(Known {
                path: request.path.clone(),
                loop_key: request.asked.loop_key.clone(),
                rest,
                depth: request.figure.depth(),
                points: Vec::new(),
            });
        }
        if let Some(known) = &mut known {
            run(shared, generation, &request, known);
        }
    }
}

/// Finds the points from the present position outwards and then those where the figure bends most, and shows them as they come.
fn run(shared: &Shared, generation: u64, request: &SweepRequest, known: &mut Known) {
    let (depth, known) = (known.depth, &mut known.points);
    let mut order = request.positions.clone();
    let place = |si: f64| {
        request
            .positions
            .iter()
            .position(|p| p.to_bits() == si.to_bits())
    };
    let present = place(request.present).unwrap_or(0);
    order.sort_by_key(|si| place(*si).unwrap_or(0).abs_diff(present));
    let at_most = order.len() + request.rail.map_or(0, |_| AT_BEND);
    let mut asked = Asking {
        shared,
        generation,
        request,
        depth,
        work: shared.begin(Job::Sweep),
        wanted: Vec::new(),
        at_most,
        shown: Instant::now(),
        is_first: true,
    };
    if !asked.find(order, known) {
        return;
    }
    if let Some(rail) = request.rail {
        let found = asked.sweep(known);
        if !asked.find(at_bend(&found.values(request.figure), rail), known) {
            return;
        }
    }
    asked.at_most = asked.wanted.len();
    asked.show(known);
}

/// A sweep under way.
struct Asking<'a> {
    shared: &'a Shared,
    generation: u64,
    request: &'a SweepRequest,
    depth: Depth,
    work: Work<'a>,
    /// Positions that were asked for so far.
    wanted: Vec<f64>,
    /// How many there will be at most.
    at_most: usize,
    shown: Instant,
    is_first: bool,
}

impl Asking<'_> {
    /// Finds what is not known yet; `false` when something newer is asked.
    fn find(&mut self, positions: Vec<f64>, known: &mut Vec<SweepPoint>) -> bool {
        for si in positions {
            if !self.shared.sweep.is_latest(self.generation) {
                return false;
            }
            #[expect(clippy::cast_precision_loss, reason = "a few dozen")]
            let share = self.wanted.len() as f64 / self.at_most as f64;
            self.wanted.push(si);
            if known.iter().any(|p| p.si.to_bits() == si.to_bits()) {
                continue;
            }
            let progress = || self.work.tell(Some(share));
            let (shared, generation) = (self.shared, self.generation);
            let found = answer_at(
                shared,
                generation,
                self.request,
                (si, self.depth),
                &progress,
            );
            let Some(answer) = found else {
                return false;
            };
            known.push(SweepPoint { si, answer });
            if self.is_first || self.shown.elapsed() >= SHOW_EVERY {
                self.show(known);
                (self.shown, self.is_first) = (Instant::now(), false);
            }
        }
        true
    }

    /// What has been found at the positions of this request, those known from the last one among them.
    fn sweep(&self, known: &[SweepPoint]) -> Sweep {
        let is_wanted = |p: &&SweepPoint| {
            let mut all = self.request.positions.iter().chain(&self.wanted);
            all.any(|si| si.to_bits() == p.si.to_bits())
        };
        let mut points: Vec<SweepPoint> = known.iter().filter(is_wanted).cloned().collect();
        points.sort_by(|a, b| a.si.total_cmp(&b.si));
        Sweep {
            asked: self.request.asked.clone(),
            path: self.request.path.clone(),
            depth: self.depth,
            present: self.request.present,
            points,
            wanted: self.at_most,
        }
    }

    fn show(&self, known: &[SweepPoint]) {
        let sweep = Arc::new(self.sweep(known));
        self.shared.deliver(|inbox| inbox.sweep = Some(sweep));
    }
}

/// The settled answer at one position: `None` when the request was overtaken, `Some(None)` when there is no answer there.
fn answer_at(
    shared: &Shared,
    generation: u64,
    request: &SweepRequest,
    (si, depth): (f64, Depth),
    progress: &dyn Fn(),
) -> Option<Option<dragback_study::LoopAnswer>> {
    let mut scenario = Scenario::clone(&request.scenario);
    if set_si(&mut scenario, &request.path, si).is_err() {
        return Some(None);
    }
    let found = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        let case = Case::new(Arc::new(scenario), &shared.cache).ok()?;
        let (index, _) = roles_of(&case, &request.asked)?;
        let mut goes_on = |_: f64| {
            progress();
            shared.sweep.is_latest(generation)
        };
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let settled = settled_answers(&case, air, hours, depth, &mut goes_on).ok()?;
        settled.answers.loops.get(index).cloned()
    }));
    shared
        .sweep
        .is_latest(generation)
        .then(|| found.unwrap_or(None))
}

pub(super) fn reference_thread(shared: &Shared) {
    while let Some((generation, request)) = shared.reference.take(Duration::ZERO) {
        let work = shared.begin(Job::Reference);
        let mut is_latest = |_: f64| {
            work.tell(None);
            shared.reference.is_latest(generation)
        };
        guarded(shared, &request, Driver::Preview, || {
            let case = Case::new(Arc::clone(&request.scenario), &shared.cache)?;
            let figures = figures(&case, &request, Depth::Full, &mut is_latest)?;
            let curves = curve_set(&case, &request, Driver::Exact, &mut is_latest)?;
            shared.deliver(|inbox| {
                inbox.reference = Some(Reference {
                    figures: Arc::new(figures),
                    curves: Arc::new(curves),
                });
            });
            Ok(())
        });
    }
}
