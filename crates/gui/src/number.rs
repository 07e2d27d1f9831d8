//! Numbers as they stand in the window.

use dragback_properties::Amount;
use dragback_study::measured;
use dragback_units::System;
pub use dragback_units::digits::{
    NO_NUMBER, amount, amount_unit, daily_unit, fine, joined, money, shown, signed, significant,
    strength, three, whole, whole_moved,
};

/// A number that an error names, with its unit.
#[must_use]
pub fn amount_told(amount: Amount, system: System) -> String {
    let (dim, style, si) = measured(amount);
    joined(shown(dim, si, system, style))
}
