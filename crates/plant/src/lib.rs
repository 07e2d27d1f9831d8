//! The plant as one network of vessels, transfers and controllers.
//!
//! Read [`network`] first: everything a plating line holds is plain data there. [`flows`] turns it into rates at one moment,
//! [`balance`] books every rate from one block to another, [`ledger`] audits the books. [`control`] says what
//! switches what. The crate opens no file, steps no time and knows no user interface.

pub mod balance;
pub mod calendar;
mod check;
pub mod climate;
pub mod control;
pub mod flows;
pub mod holdup;
pub mod ids;
pub mod layout;
pub mod ledger;
mod measure;
pub mod network;
mod plant;

pub use dragback_properties::Amount;
pub use dragback_properties::tower::TowerError;
pub use dragback_properties::water;

pub use check::{MAX_SOLUTES, NetworkError};
pub use network::Network;
pub use plant::{Plant, TowerCache};
