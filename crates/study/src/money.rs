//! Money: what a year of the settled week uses, what that costs, and whether a change pays.
//!
//! [`Usage`] reads amounts from the ledger and the accumulators of the settled week; [`Costs`] puts prices to them, line by line. Prices may then be moved
//! without running anything again. [`Payback`] sets two layouts against each other.

mod bought;
mod break_even;
mod costs;
mod equipment;
mod invest;
mod kilogram;
mod payback;
mod power;
mod steps;
mod tornado;
mod usage;

pub use break_even::{
    BreakEven, Pays, Says, Subject, input_break_even, price_break_evens, work_inputs,
};
pub use costs::{CostKind, CostLine, Costs};
pub use invest::{CashFlow, HIGHEST_RATE, Item, Rate, Years, capital_recovery, simple_payback};
pub use kilogram::{Bought, Kilogram, kilograms};
pub use payback::{Difference, MoneyError, Payback, Plan};
pub use power::{Electricity, Load};
pub use steps::{Step, steps};
pub use tornado::{
    MOST_SWINGS, Stopped, Swing, Tornado, Tried, swing, tornado, uncertain_inputs, widest_first,
};
pub use usage::{Usage, WarmAir};
