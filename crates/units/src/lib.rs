//! Dimensions, units and quantities as people write them.
//!
//! Values enter the program as text with a unit (`"4500 L"`, `"2.7 gal/1000ft2"`, `"62 °C"`) and leave it as text
//! with a unit; between those doors everything is plain SI. This crate owns both doors and every conversion factor.
//!
//! * [`Dim`] names a dimension at run time: [`Dim::parse`] reads a text, [`format()`] writes one.
//! * [`Quantity`] is the typed form. It keeps the SI value **and** the text as written, so that saving never turns
//!   one unit into another.
//! * The conversion factors are composed from the coefficients of the `uom` crate in one module.

mod dimension;
mod unit;

mod factor;
mod tables;

mod registry;

mod error;
mod key;
mod number;
mod parse;

mod display;
mod natural;
mod quantity;

pub mod constants;
pub mod digits;
pub mod temperature;

pub use constants::*;
pub use dimension::{Dim, Dimension, dim};
pub use display::{Style, System, format, format_in, percent_of_whole};
pub use error::QuantityError;
pub use parse::{Parsed, currency_of};
pub use quantity::Quantity;
pub use temperature::{
    KELVIN_AT_ZERO_CELSIUS, celsius_from_fahrenheit, celsius_from_kelvin, fahrenheit_from_celsius,
    kelvin_from_celsius,
};
pub use unit::{Unit, from_unit, to_unit};
