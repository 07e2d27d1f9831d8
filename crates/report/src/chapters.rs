//! The parts of a report, each in a file of its own, in the order in which they stand.

mod answer;
mod course;
mod inputs;
mod ledger;
mod line;
mod method;
mod money;
mod outlook;
mod settled;
mod sizes;
mod upsets;

pub(crate) use answer::answer;
pub(crate) use course::course;
pub(crate) use inputs::inputs;
pub(crate) use ledger::ledger;
pub(crate) use line::line;
pub(crate) use method::{cautions, limits, method};
pub(crate) use money::money;
pub(crate) use outlook::outlook;
pub(crate) use settled::settled;
pub(crate) use sizes::sizes;
pub(crate) use upsets::upsets;
