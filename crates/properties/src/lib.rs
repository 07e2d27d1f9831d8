//! Properties of water, moist air and plating solutions, and the correlations that use them: pure functions only.
//!
//! Everything is SI; temperatures are in °C with the suffix `_c`. Every enthalpy of this crate is measured from
//! liquid water and dry air at 0 °C (see [`water`]), so that balances written with them close.

pub mod air;
mod amount;
pub mod conductivity;
pub mod faraday;
pub mod film;
pub mod osmotic;
pub mod recipe;
pub mod rinse;
pub mod solubility;
pub mod solution;
pub mod species;
pub mod surface;
pub mod tower;
pub mod treatment;
pub mod water;

pub use amount::Amount;
