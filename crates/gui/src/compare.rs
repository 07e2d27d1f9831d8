//! Variants of the line beside it: what was found of each, its curves as seen from afar, and the sheet that sets them side by side.

mod curves;
mod found;
mod sheet;

pub use curves::{Overlaid, Which, names, one};
pub use found::{FoundVariants, VariantAnswers, VariantFound, Wanted};
pub use sheet::{Cell, Column, Row, Sheet, cost, inputs, pays, settled};
