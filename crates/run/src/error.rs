//! Why a run cannot go on.

use dragback_plant::calendar::HOUR_S;
use dragback_plant::climate::MEAN_SLOT;
use dragback_plant::ledger::{CLOSURE_BOUND, Ledger};
use dragback_plant::{Amount, NetworkError, TowerError};
use dragback_solver::{SingularTransport, StepError};
use thiserror::Error;

use crate::world::World;

/// Why a run cannot go on. The world keeps its last good state.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RunError {
    /// The integrator failed in a named balance.
    #[error(
        "{what} cannot be followed beyond t = {hours:.3} h; look at the flows and heats of that tank, a volume may be far too small for them"
    )]
    Step {
        /// The balance, such as `rinses 2: Ni`.
        what: String,
        /// Time, h.
        hours: f64,
        /// What the integrator said.
        source: StepError,
    },
    /// A relay switches again and again within a minute.
    #[error("{relay} switched {count} times within a minute at t = {hours:.3} h; widen its band")]
    Chatter {
        /// The relay.
        relay: String,
        /// Switches counted.
        count: usize,
        /// Time, h.
        hours: f64,
    },
    /// A vessel's contents cannot be.
    #[error(
        "the run cannot follow {vessel} at t = {hours:.3} h: {what}; look there for too much heat or current, too little water, or solids that nothing takes out"
    )]
    Contents {
        /// The vessel.
        vessel: String,
        /// What its contents would do.
        what: &'static str,
        /// Time, h.
        hours: f64,
    },
    /// A tower cannot be worked out in the air of a month.
    #[error("{}", in_the_air(tower, air, &source.to_string()))]
    Tower {
        /// The tower.
        tower: String,
        /// `January` … `December`, or `the year's mean`.
        air: &'static str,
        /// What is wrong.
        source: TowerError,
    },
    /// The averaged step has no answer.
    #[error(
        "no balance can be struck for {vessel} at t = {hours:.3} h; look there for a flow or a load far from any usual one"
    )]
    Singular {
        /// The vessel.
        vessel: String,
        /// Time, h.
        hours: f64,
        /// What the solver said.
        source: SingularTransport,
    },
    /// The books do not close.
    #[error(
        "the ledger of {what} misses {error:.2e} of its throughput, more than {bound:.0e} allows; the result is not shown"
    )]
    Ledger {
        /// Water, energy or a solute.
        what: String,
        /// Closure error, relative.
        error: f64,
        /// Largest allowed.
        bound: f64,
    },
    /// An event turned the plant into an impossible one.
    #[error("event {event}: {source}")]
    Event {
        /// The event.
        event: String,
        /// What is wrong.
        source: NetworkError,
    },
    /// An event turned the plant into one of another shape.
    #[error(
        "event {event} changes the number of tanks, streams or devices; only values can change during a run"
    )]
    Shape {
        /// The event.
        event: String,
    },
    /// Someone asked it to stop.
    #[error("stopped on request")]
    Cancelled,
}

fn in_the_air(tower: &str, air: &str, fault: &str) -> String {
    format!("{tower} in the air of {air}: {fault}")
}

impl RunError {
    /// What is wrong; `write` writes a number with its unit.
    pub fn words(&self, write: &dyn Fn(Amount) -> String) -> String {
        match self {
            Self::Tower { tower, air, source } => in_the_air(tower, air, &source.words(write)),
            other => other.to_string(),
        }
    }

    /// The error of a vessel whose contents cannot be.
    pub(crate) fn contents(world: &World, vessel: usize, what: &'static str) -> Self {
        // Contents without a number may come of a tower without one.
        if let Some(fault) = Self::tower(world) {
            return fault;
        }
        Self::Contents {
            vessel: world.plant.network().vessels[vessel].name.clone(),
            what,
            hours: world.t_s / HOUR_S,
        }
    }

    /// The error of a tower that could not be worked out in the air in force.
    pub(crate) fn tower(world: &World) -> Option<Self> {
        let slot = world.setting.air_slot;
        let (t, source) = world.plant.tower_fault(slot)?;
        Some(Self::Tower {
            tower: world.plant.network().towers[t.index()].name.clone(),
            air: AIRS[slot.min(MEAN_SLOT)],
            source: *source,
        })
    }
}

/// The books from `start` to where the world is.
///
/// # Errors
/// [`RunError::Ledger`] when they do not close: a result that has lost something is not shown.
pub(crate) fn closed(world: &World, start: &[f64]) -> Result<Ledger, RunError> {
    let ledger = Ledger::between(&world.plant, start, &world.y);
    match ledger.worst() {
        Some((what, error)) if error > CLOSURE_BOUND => Err(RunError::Ledger {
            what: what.to_owned(),
            error,
            bound: CLOSURE_BOUND,
        }),
        _ => Ok(ledger),
    }
}

/// Words for each slot of the air.
const AIRS: [&str; MEAN_SLOT + 1] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
    "the year's mean",
];
