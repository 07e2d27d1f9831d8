//! Threads that work for the window: one for the preview, one for the settled week, one for the exact run, one that sweeps a lever, one that
//! runs what is compared with, one that looks for what would help, one that runs variants, one that finds what money hangs on, and one that sizes layouts on
//! as many more as there are cores.
//!
//! Each takes the newest request only and leaves its results in an inbox with one place for each kind of result, so that nothing queues up
//! however fast a lever moves.

mod advice;
mod hangs;
mod run_data;
mod sizing;
mod slot;
mod sweep;
mod underway;
mod variants;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use dragback_plant::network::LoopRoles;
use dragback_plant::{Plant, TowerCache};
use dragback_run::{Alarm, RunError, Trace};
use dragback_scenario::Scenario;
use dragback_study::curves::{Kind, closed_spans, curves, guides};
use dragback_study::{
    AirChoice, Case, Clock, Depth, Driver, Hours, StudyError, alarm_called, run_span,
    settled_answers,
};
use dragback_units::constants::{HOURS_PER_DAY, hours, seconds_from_days};

use crate::compare::VariantFound;
use crate::money::Hangs;
use crate::plots::{KINDS, pens, tank_pens};
use crate::results::{AdviceFound, Asked, CurveSet, Failure, Figures, PlotData, Reference};
use crate::sizing::{SizingRequest, SizingTable};
use crate::sweep::{Sweep, SweepRequest};
use crate::words::sentence;
pub use hangs::HangsRequest;
pub use slot::Slot;
use underway::{Board, Work};
pub use underway::{Job, LONG, Underway};
pub use variants::VariantsRequest;

/// Days that are shown.
pub const SPAN_DAYS: f64 = 90.0;
/// The exact run begins when no lever has moved for this long.
const CALM: Duration = Duration::from_millis(150);
/// Figures that take longer begin when no lever has moved for this long: more than lies between two moves of a hand.
const PAUSE: Duration = Duration::from_millis(50);
/// A preview that has run this long gives way to a newer request; a shorter one is finished, so that curves follow a moving hand.
const PATIENCE: Duration = Duration::from_millis(300);

/// A request.
#[derive(Clone)]
pub struct Request {
    /// What is asked.
    pub asked: Asked,
    /// Of which scenario.
    pub scenario: Arc<Scenario>,
}

/// What has been found since the window last looked: the newest of each kind.
#[derive(Default)]
pub struct Inbox {
    /// Averaged curves.
    pub preview: Option<Arc<CurveSet>>,
    /// Exact curves.
    pub exact: Option<Arc<CurveSet>>,
    /// Figures without the look ahead.
    pub quick: Option<Arc<Figures>>,
    /// All figures.
    pub full: Option<Arc<Figures>>,
    /// The settled answer against a lever.
    pub sweep: Option<Arc<Sweep>>,
    /// What would help.
    pub advice: Option<Arc<AdviceFound>>,
    /// The table of layouts as far as it has come.
    pub sizing: Option<Arc<SizingTable>>,
    /// What is compared with.
    pub reference: Option<Reference>,
    /// What was found of variants.
    pub variants: Vec<VariantFound>,
    /// What the answer in money hangs on.
    pub hangs: Option<Arc<Hangs>>,
    /// Failures, at most one per worker.
    pub failures: Vec<Failure>,
}

struct Shared {
    preview: Slot<Request>,
    settled: Slot<Request>,
    exact: Slot<Request>,
    sweep: Slot<SweepRequest>,
    reference: Slot<Request>,
    advice: Slot<Request>,
    variants: Slot<VariantsRequest>,
    sizing: Slot<SizingRequest>,
    hangs: Slot<HangsRequest>,
    inbox: Mutex<Inbox>,
    board: Board,
    cache: TowerCache,
    wake: Box<dyn Fn() + Send + Sync>,
}

impl Shared {
    fn deliver(&self, fill: impl FnOnce(&mut Inbox)) {
        fill(&mut self.inbox.lock().unwrap_or_else(PoisonError::into_inner));
        (self.wake)();
    }

    /// Puts work on the board.
    fn begin(&self, job: Job) -> Work<'_> {
        self.board.begin(job, &*self.wake)
    }
}

/// The threads; they end when this is dropped.
pub struct Workers {
    shared: Arc<Shared>,
    threads: Vec<JoinHandle<()>>,
}

impl Workers {
    /// Starts the threads. `wake` is called whenever something lies in the inbox.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn start(wake: impl Fn() + Send + Sync + 'static) -> std::io::Result<Self> {
        let shared = Arc::new(Shared {
            preview: Slot::new(),
            settled: Slot::new(),
            exact: Slot::new(),
            sweep: Slot::new(),
            reference: Slot::new(),
            advice: Slot::new(),
            variants: Slot::new(),
            sizing: Slot::new(),
            hangs: Slot::new(),
            inbox: Mutex::new(Inbox::default()),
            board: Board::default(),
            cache: TowerCache::default(),
            wake: Box::new(wake),
        });
        let spawn = |name: &str, work: fn(&Shared)| {
            let shared = Arc::clone(&shared);
            std::thread::Builder::new()
                .name(name.to_owned())
                .spawn(move || work(&shared))
        };
        let threads = vec![
            spawn("preview", preview_thread)?,
            spawn("settled week", settled_thread)?,
            spawn("exact run", exact_thread)?,
            spawn("sweep", sweep::sweep_thread)?,
            spawn("reference", sweep::reference_thread)?,
            spawn("advice", advice::advice_thread)?,
            spawn("variants", variants::variants_thread)?,
            spawn("sizing", sizing::sizing_thread)?,
            spawn("what money hangs on", hangs::hangs_thread)?,
        ];
        Ok(Self { shared, threads })
    }

    /// Asks for the settled answer against a lever.
    pub fn ask_sweep(&self, request: SweepRequest) {
        self.shared.sweep.put(request.number, request);
    }

    /// Asks for variants.
    pub fn ask_variants(&self, request: VariantsRequest) {
        self.shared.variants.put(request.number, request);
    }

    /// Asks what the answer in money hangs on.
    pub fn ask_hangs(&self, request: HangsRequest) {
        self.shared.hangs.put(request.number, request);
    }

    /// Asks for a scenario to compare with.
    pub fn ask_reference(&self, request: Request) {
        self.shared.reference.put(request.asked.generation, request);
    }

    /// Asks for a table of layouts.
    pub fn ask_sizing(&self, request: SizingRequest) {
        self.shared.sizing.put(request.number, request);
    }

    /// Asks for preview, settled week, exact run, and for what would help.
    pub fn ask(&self, request: Request) {
        let generation = request.asked.generation;
        self.shared.exact.put(generation, request.clone());
        self.shared.advice.put(generation, request.clone());
        self.shared.settled.put(generation, request.clone());
        self.shared.preview.put(generation, request);
    }

    /// Work that has gone on for [`LONG`] or more.
    #[must_use]
    pub fn underway(&self) -> Vec<Underway> {
        self.shared.board.long()
    }

    /// Gives up a piece of work; nothing comes of it.
    pub fn give_up(&self, job: Job) {
        match job {
            Job::Preview => self.shared.preview.give_up(),
            Job::Figures | Job::Ahead => self.shared.settled.give_up(),
            Job::Exact => self.shared.exact.give_up(),
            Job::Sweep => self.shared.sweep.give_up(),
            Job::Reference => self.shared.reference.give_up(),
            Job::Advice => self.shared.advice.give_up(),
            Job::Variants => self.shared.variants.give_up(),
            Job::Sizing => self.shared.sizing.give_up(),
            Job::Hangs => self.shared.hangs.give_up(),
        }
    }

    /// Takes what has been found.
    #[must_use]
    pub fn collect(&self) -> Inbox {
        std::mem::take(
            &mut *self
                .shared
                .inbox
                .lock()
                .unwrap_or_else(PoisonError::into_inner),
        )
    }
}

impl Drop for Workers {
    fn drop(&mut self) {
        self.shared.preview.close();
        self.shared.settled.close();
        self.shared.exact.close();
        self.shared.sweep.close();
        self.shared.reference.close();
        self.shared.advice.close();
        self.shared.variants.close();
        self.shared.sizing.close();
        self.shared.hangs.close();
        for thread in self.threads.drain(..) {
            // A worker that panicked has said so in its failure already.
            let _ = thread.join();
        }
    }
}

fn preview_thread(shared: &Shared) {
    while let Some((generation, request)) = shared.preview.take(Duration::ZERO) {
        let work = shared.begin(Job::Preview);
        let mut is_wanted = patience(&shared.preview, generation);
        let mut goes_on = |t_s: f64| {
            work.tell(Some(t_s / seconds_from_days(SPAN_DAYS)));
            is_wanted(t_s)
        };
        guarded(shared, &request, Driver::Preview, || {
            let case = Case::new(Arc::clone(&request.scenario), &shared.cache)?;
            let curves = curve_set(&case, &request, Driver::Preview, &mut goes_on)?;
            shared.deliver(|inbox| inbox.preview = Some(Arc::new(curves)));
            Ok(())
        });
    }
}

fn settled_thread(shared: &Shared) {
    while let Some((generation, request)) = shared.settled.take(Duration::ZERO) {
        let work = shared.begin(Job::Figures);
        let mut is_wanted = patience(&shared.settled, generation);
        let mut goes_on = |t_s: f64| {
            work.tell(None);
            is_wanted(t_s)
        };
        let case = guarded(shared, &request, Driver::Preview, || {
            let case = Case::new(Arc::clone(&request.scenario), &shared.cache)?;
            let figures = figures(&case, &request, Depth::Quick, &mut goes_on)?;
            shared.deliver(|inbox| inbox.quick = Some(Arc::new(figures)));
            Ok(case)
        });
        drop(work);
        let Some(case) = case else { continue };
        // Nobody reads the look ahead while a lever moves, and the processor is wanted for what is read.
        if !shared.settled.stays_latest(generation, PAUSE) {
            continue;
        }
        let work = shared.begin(Job::Ahead);
        let mut is_latest = |_: f64| {
            work.tell(None);
            shared.settled.is_latest(generation)
        };
        guarded(shared, &request, Driver::Preview, || {
            let figures = figures(&case, &request, Depth::Full, &mut is_latest)?;
            shared.deliver(|inbox| inbox.full = Some(Arc::new(figures)));
            Ok(())
        });
    }
}

/// Whether a run goes on: while its request is the latest, and for a little while beyond, so that what is shown follows a moving hand.
fn patience(slot: &Slot<Request>, generation: u64) -> impl FnMut(f64) -> bool + '_ {
    let began = Instant::now();
    move |_| {
        let is_wanted = slot.is_latest(generation) || began.elapsed() < PATIENCE;
        is_wanted && !slot.is_closed()
    }
}

fn exact_thread(shared: &Shared) {
    while let Some((generation, request)) = shared.exact.take(CALM) {
        let work = shared.begin(Job::Exact);
        let mut is_latest = |t_s: f64| {
            work.tell(Some(t_s / seconds_from_days(SPAN_DAYS)));
            shared.exact.is_latest(generation)
        };
        guarded(shared, &request, Driver::Exact, || {
            let case = Case::new(Arc::clone(&request.scenario), &shared.cache)?;
            let curves = curve_set(&case, &request, Driver::Exact, &mut is_latest)?;
            shared.deliver(|inbox| inbox.exact = Some(Arc::new(curves)));
            Ok(())
        });
    }
}

/// Runs a piece of work; a failure, or a panic in it, goes to the inbox. Being overtaken is no failure.
fn guarded<T>(
    shared: &Shared,
    request: &Request,
    driver: Driver,
    work: impl FnOnce() -> Result<T, StudyError>,
) -> Option<T> {
    let failure = match attempt(request, driver, work)? {
        Ok(done) => return Some(done),
        Err(failure) => failure,
    };
    shared.deliver(|inbox| {
        inbox
            .failures
            .retain(|f| f.asked.generation >= failure.asked.generation);
        inbox.failures.truncate(1);
        inbox.failures.push(failure);
    });
    None
}

/// Runs a piece of work; a panic in it is a failure as others are. `None` where it was overtaken.
fn attempt<T>(
    request: &Request,
    driver: Driver,
    work: impl FnOnce() -> Result<T, StudyError>,
) -> Option<Result<T, Failure>> {
    let (message, fault, problems) = match catch_unwind(AssertUnwindSafe(work)) {
        Ok(Ok(done)) => return Some(Ok(done)),
        Ok(Err(StudyError::Run(RunError::Cancelled))) => return None,
        Ok(Err(StudyError::Scenario { problems })) => {
            let message = "The scenario does not fit together.";
            (message.to_owned(), None, problems)
        }
        Ok(Err(error)) => (sentence(&error.to_string()), Some(error), Vec::new()),
        Err(_) => {
            let message = "The computation stopped by an error of the program.";
            (message.to_owned(), None, Vec::new())
        }
    };
    Some(Err(Failure {
        asked: request.asked.clone(),
        driver,
        message,
        fault,
        problems,
    }))
}

/// The loop that is asked for and its number; the first one when there is no such loop.
fn roles_of<'c>(case: &'c Case, asked: &Asked) -> Option<(usize, &'c LoopRoles)> {
    let loops = &case.plant.network().loops;
    let index = loops
        .iter()
        .position(|l| l.name == asked.loop_key)
        .unwrap_or(0);
    loops.get(index).map(|roles| (index, roles))
}

fn curve_set(
    case: &Case,
    request: &Request,
    driver: Driver,
    goes_on: &mut dyn FnMut(f64) -> bool,
) -> Result<CurveSet, StudyError> {
    let began = Instant::now();
    let span = run_span(
        case,
        seconds_from_days(SPAN_DAYS),
        driver,
        Clock::default(),
        goes_on,
    )?;
    let (loop_index, roles) =
        roles_of(case, &request.asked).map_or((0, None), |(index, roles)| (index, Some(roles)));
    let plots = roles.map_or_else(Vec::new, |roles| plots(&case.plant, &span.trace, roles));
    let rests = roles.map_or_else(Vec::new, |roles| {
        closed_spans(&case.plant, roles, HOURS_PER_DAY * SPAN_DAYS)
    });
    let curve_of = |r: &LoopRoles, vessel| r.vessels.iter().position(|v| *v == vessel);
    let final_station = roles.and_then(|r| curve_of(r, r.last_film.station));
    let holding_tank = roles.and_then(|r| curve_of(r, r.holding?));
    Ok(CurveSet {
        asked: request.asked.clone(),
        driver,
        plots,
        rests,
        final_station,
        holding_tank,
        alarms: span
            .alarms
            .iter()
            .map(|a| {
                let device = alarm_called(case.plant.network(), a);
                (
                    hours(a.t_s),
                    Alarm {
                        device,
                        ..a.clone()
                    },
                )
            })
            .collect(),
        events: run_data::events(&case.scenario, &span),
        run: Some(run_data::run_data(case, &span, loop_index)),
        took: began.elapsed(),
    })
}

/// What every plot shows.
fn plots(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Vec<PlotData> {
    let tanks = tank_pens(plant, roles);
    let plot = |kind: &Kind| {
        let series = curves(plant, trace, roles, *kind);
        PlotData {
            pens: pens(*kind, &series, &tanks),
            series,
            guides: guides(plant, trace, roles, *kind),
        }
    };
    KINDS.iter().map(plot).collect()
}

fn figures(
    case: &Case,
    request: &Request,
    depth: Depth,
    goes_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Figures, StudyError> {
    let began = Instant::now();
    let settled = settled_answers(case, AirChoice::Mean, Hours::Calendar, depth, goes_on)?;
    Ok(Figures {
        asked: request.asked.clone(),
        depth,
        answers: settled.answers,
        loop_index: roles_of(case, &request.asked).map_or(0, |(index, _)| index),
        scenario: Arc::clone(&case.scenario),
        plant: Arc::clone(&case.plant),
        week: settled.week,
        took: began.elapsed(),
    })
}

#[cfg(test)]
mod tests;
