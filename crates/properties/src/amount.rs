//! Numbers in the errors of this crate, as data: a face writes each in the units of its people.

use std::fmt;

/// A number with what it measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// A temperature, °C.
    TemperatureC(f64),
    /// A pressure, Pa.
    PressurePa(f64),
    /// A mass flow, kg/s.
    KgPerS(f64),
    /// A flow of liquid, m³/s.
    M3PerS(f64),
    /// A flow of air, m³/s.
    AirM3PerS(f64),
    /// A volume, m³.
    M3(f64),
    /// A strength, kg/m³.
    KgPerM3(f64),
    /// A heat capacity, J/(kg·K).
    JPerKgK(f64),
    /// A part of a whole, 1 = 100 %.
    Share(f64),
    /// A bare number.
    Number(f64),
}

/// In metric units, four digits.
impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (value, unit) = match *self {
            Self::TemperatureC(temp_c) => (temp_c, " °C"),
            Self::PressurePa(pa) => (1e-3 * pa, " kPa"),
            Self::KgPerS(kg_per_s) => (kg_per_s, " kg/s"),
            Self::M3PerS(m3_per_s) | Self::AirM3PerS(m3_per_s) => (m3_per_s, " m³/s"),
            Self::M3(m3) => (1e3 * m3, " L"),
            Self::KgPerM3(kg_per_m3) => (kg_per_m3, " g/L"),
            Self::JPerKgK(j_per_kg_k) => (1e-3 * j_per_kg_k, " kJ/(kg·K)"),
            Self::Share(share) => (100.0 * share, " %"),
            Self::Number(number) => (number, ""),
        };
        let rounded: f64 = format!("{value:.3e}").parse().unwrap_or(value);
        write!(f, "{rounded}{unit}")
    }
}

/// Says [`Display`](fmt::Display) with the words of an error and its numbers in metric units.
macro_rules! told_in_metric {
    ($error:ty) => {
        impl std::fmt::Display for $error {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.words(&|amount| amount.to_string()))
            }
        }
    };
}

pub(crate) use told_in_metric;

#[cfg(test)]
mod tests {
    use super::Amount;

    #[test]
    fn numbers_have_four_digits_and_a_unit() {
        assert_eq!(Amount::TemperatureC(98.888_888_9).to_string(), "98.89 °C");
        assert_eq!(Amount::PressurePa(101_325.0).to_string(), "101.3 kPa");
        assert_eq!(Amount::KgPerM3(7.489_15).to_string(), "7.489 g/L");
        assert_eq!(Amount::Share(0.45).to_string(), "45 %");
        assert_eq!(Amount::Number(0.5).to_string(), "0.5");
    }
}
