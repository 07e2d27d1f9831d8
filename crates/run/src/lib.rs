//! Running a plant in time.
//!
//! [`World`] is everything that changes: the vector, relays, failures, the clock. Two drivers move it over one right-hand side:
//! [`exact`] locates every switch, [`preview`] replaces switching by its averages. [`settle`] finds the state that repeats week after week
//! without waiting for it. The crate knows no file and no screen.

pub mod clock;
pub mod exact;
pub mod preview;
pub mod settle;
pub mod trace;
pub mod world;

mod alarm;
mod error;
mod saturation;
mod standins;
mod told;

pub use alarm::{Alarm, AlarmState, Cause};
pub use clock::Hours;
pub use error::RunError;
pub use saturation::{CameOut, Saturated};
pub use told::{Cure, Reading, Told};
pub use trace::Trace;
pub use world::World;
