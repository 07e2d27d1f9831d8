//! Why a run cannot go on.

use dragback_plant::NetworkError;
use dragback_solver::{SingularTransport, StepError};
use thiserror::Error;

/// Why a run cannot go on. The world keeps its last good state.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RunError {
    /// The integrator failed in a named balance.
    #[error(
        "{what} at t = {hours:.3} h: {source}; look at the flows of that tank, a volume may be far too small for them"
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
    /// The averages cannot follow a vessel.
    #[error(
        "the averaged driver cannot follow {vessel} at t = {hours:.3} h: it runs dry or its temperature leaps; run it with the exact driver"
    )]
    Averages {
        /// The vessel.
        vessel: String,
        /// Time, h.
        hours: f64,
    },
    /// The averaged step has no answer.
    #[error("the averaged step has no answer for {vessel} at t = {hours:.3} h")]
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
