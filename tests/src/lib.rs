//! Helpers of the acceptance tests, which live in this crate's `tests` folder, one file per topic.
//!
//! [`Sketch`] puts a network together by hand, [`sample`] is a whole loop made that way, [`random`] draws networks and events from a seed,
//! [`agree`] holds the averaged driver beside the exact one, [`read`] looks at worlds and traces, [`rinse`] holds closed forms of rinsing, [`shipped`] the shipped scenarios,
//! [`steady`] plants that come to rest.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a helper of tests stops the test when a plant that the test describes cannot be"
)]

pub mod agree;
pub mod random;
pub mod read;
pub mod rinse;
pub mod sample;
pub mod shipped;
mod sketch;
pub mod steady;

pub use sketch::{AREA_M2_PER_S, Sketch, Tank, TowerSize, WORK, plant};
