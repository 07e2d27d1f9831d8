//! What can be wrong with a tower or its streams.

use crate::air::AirError;

/// Why a tower cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TowerError {
    /// An input is outside its range.
    #[error("{input} is {value}, outside {low} to {high}")]
    OutOfRange {
        /// Which input, with its unit.
        input: &'static str,
        /// The value given.
        value: f64,
        /// Least allowed value.
        low: f64,
        /// Greatest allowed value.
        high: f64,
    },
    /// A rated evaporation that no packing reaches with the stated flows and temperatures.
    #[error(
        "rated evaporation {rated_kg_per_s} kg/s is above the ceiling of {ceiling_kg_per_s} kg/s that the stated air \
         and feed allow; give more air, more or hotter feed, or a lower rating"
    )]
    AboveCeiling {
        /// Evaporation asked for, kg/s.
        rated_kg_per_s: f64,
        /// Evaporation at [`super::CEILING_NTU`] transfer units, kg/s.
        ceiling_kg_per_s: f64,
    },
    /// The solution would boil.
    #[error("feed at {temp_c} °C is too close to boiling, {boiling_c} °C at {pressure_pa} Pa")]
    Boiling {
        /// Feed temperature, °C.
        temp_c: f64,
        /// Boiling temperature of water at the pressure, °C.
        boiling_c: f64,
        /// Pressure, Pa.
        pressure_pa: f64,
    },
    /// The solution would evaporate nearly wholly on its way down.
    #[error("feed of {feed_kg_per_s} kg/s would dry out in the tower")]
    DriesOut {
        /// Feed, kg/s.
        feed_kg_per_s: f64,
    },
    /// The air is impossible.
    #[error("inlet air: {0}")]
    Air(#[from] AirError),
    /// The film equations found no solution.
    #[error("the film equations did not converge at feed {feed_c} °C and air {air_c} °C")]
    NotConverged {
        /// Feed temperature, °C.
        feed_c: f64,
        /// Air temperature, °C.
        air_c: f64,
    },
}

/// Returns `value` if it lies in the range, else an error that names it.
pub(super) fn within(
    input: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<f64, TowerError> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(TowerError::OutOfRange {
            input,
            value,
            low,
            high,
        })
    }
}
