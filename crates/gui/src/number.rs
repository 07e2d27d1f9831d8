//! Numbers as they stand in the window.

use dragback_properties::Amount;
use dragback_report::Show;
use dragback_study::measured;
pub use dragback_units::digits::{
    NO_NUMBER, amount, amount_unit, daily_unit, fine, joined, money, shown, signed, significant,
    strength, three, whole, whole_moved,
};
use dragback_units::{Dim, Style, System};

/// A price in the unit of the system, with its currency: `0.105 EUR/kWh`.
#[must_use]
pub fn price(dim: Dim, si: f64, currency: &str, system: System) -> String {
    let (number, unit) = shown(dim, si, system, Style::Default);
    joined((number, &format!("{currency}{}", unit.replace("per ", "/"))))
}

/// A time in years, as days where it is less than a tenth of one: as reports and the terminal tell it. Years are the same in all units.
#[must_use]
pub fn years(years: f64) -> String {
    Show::in_units(System::Metric).years(years)
}

/// A number that an error names, with its unit.
#[must_use]
pub fn amount_told(amount: Amount, system: System) -> String {
    let (dim, style, si) = measured(amount);
    joined(shown(dim, si, system, style))
}
