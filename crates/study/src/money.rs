//! Money: what a year of the settled week uses, what that costs, and whether a change pays.
//!
//! [`Usage`] reads amounts from the ledger and the accumulators of the settled week; [`Costs`] puts prices to them, line by line. Prices may then be moved
//! without running anything again. [`Payback`] sets two layouts against each other.

mod bought;
mod costs;
mod invest;
mod payback;
mod power;
mod sensitivity;
mod steps;
mod usage;

pub use costs::{CostKind, CostLine, Costs};
pub use invest::{CashFlow, Item, Rate, Years, capital_recovery, simple_payback};
pub use payback::{Difference, MoneyError, Payback, Plan};
pub use power::Electricity;
pub use sensitivity::{
    BreakEven, MOST_SWINGS, Pays, Swing, input_break_even, price_break_evens, tornado,
};
pub use steps::{Step, steps};
pub use usage::{Usage, WarmAir};
