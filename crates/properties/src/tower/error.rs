//! What can be wrong with a tower or its streams.

use crate::air::AirError;
use crate::amount::{Amount, told_in_metric};

/// Why a tower cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TowerError {
    /// An input is outside its range.
    OutOfRange {
        /// Which input.
        input: &'static str,
        /// The value given.
        value: Amount,
        /// Least allowed value.
        low: Amount,
        /// Greatest allowed value.
        high: Amount,
    },
    /// A rated evaporation that no packing reaches with the stated flows and temperatures.
    AboveCeiling {
        /// Evaporation asked for, kg/s.
        rated_kg_per_s: f64,
        /// Evaporation at [`super::CEILING_NTU`] transfer units, kg/s.
        ceiling_kg_per_s: f64,
    },
    /// The solution would boil.
    Boiling {
        /// Feed temperature, °C.
        temp_c: f64,
        /// Boiling temperature of water at the pressure, °C.
        boiling_c: f64,
        /// Pressure, Pa.
        pressure_pa: f64,
    },
    /// The solution would evaporate nearly wholly on its way down.
    DriesOut {
        /// Feed, kg/s.
        feed_kg_per_s: f64,
    },
    /// The air is impossible.
    Air(#[from] AirError),
    /// The film equations found no solution.
    NotConverged {
        /// Feed temperature, °C.
        feed_c: f64,
        /// Air temperature, °C.
        air_c: f64,
    },
}

impl TowerError {
    /// What is wrong; `write` writes a number with its unit.
    pub fn words(&self, write: &dyn Fn(Amount) -> String) -> String {
        let temperature = |temp_c: f64| write(Amount::TemperatureC(temp_c));
        match *self {
            Self::OutOfRange {
                input,
                value,
                low,
                high,
            } => format!(
                "{input} is {}, outside {} to {}",
                write(value),
                write(low),
                write(high)
            ),
            Self::AboveCeiling {
                rated_kg_per_s,
                ceiling_kg_per_s,
            } => format!(
                "rated evaporation {} is above the ceiling of {} that the stated air and feed allow; give more air, more or \
                 hotter feed, or a lower rating",
                write(Amount::KgPerS(rated_kg_per_s)),
                write(Amount::KgPerS(ceiling_kg_per_s))
            ),
            Self::Boiling {
                temp_c,
                boiling_c,
                pressure_pa,
            } => format!(
                "feed at {} is too close to boiling, {} at {}",
                temperature(temp_c),
                temperature(boiling_c),
                write(Amount::PressurePa(pressure_pa))
            ),
            Self::DriesOut { feed_kg_per_s } => format!(
                "feed of {} would dry out in the tower",
                write(Amount::KgPerS(feed_kg_per_s))
            ),
            Self::Air(air) => format!("inlet air: {}", air.words(write)),
            Self::NotConverged { feed_c, air_c } => format!(
                "the film equations did not converge at feed {} and air {}",
                temperature(feed_c),
                temperature(air_c)
            ),
        }
    }
}

told_in_metric!(TowerError);

/// Returns `value` if it lies in the range, else an error that names it; `of` says what it measures.
pub(super) fn within(
    input: &'static str,
    of: fn(f64) -> Amount,
    value: f64,
    (low, high): (f64, f64),
) -> Result<f64, TowerError> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(TowerError::OutOfRange {
            input,
            value: of(value),
            low: of(low),
            high: of(high),
        })
    }
}
