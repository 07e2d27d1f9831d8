//! The dimension of a number that an error names, so that each face writes it in its own units.

use dragback_properties::Amount;
use dragback_units::{Dim, Style, kelvin_from_celsius};

/// Dimension, style and SI value of an amount.
#[must_use]
pub const fn measured(amount: Amount) -> (Dim, Style, f64) {
    match amount {
        Amount::TemperatureC(temp_c) => (
            Dim::Temperature,
            Style::Default,
            kelvin_from_celsius(temp_c),
        ),
        Amount::PressurePa(pa) => (Dim::Pressure, Style::Default, pa),
        Amount::KgPerS(kg_per_s) => (Dim::MassFlow, Style::Default, kg_per_s),
        Amount::M3PerS(m3_per_s) => (Dim::VolumeFlow, Style::Default, m3_per_s),
        Amount::AirM3PerS(m3_per_s) => (Dim::VolumeFlow, Style::Air, m3_per_s),
        Amount::M3(m3) => (Dim::Volume, Style::Default, m3),
        Amount::KgPerM3(kg_per_m3) => (Dim::Concentration, Style::Bath, kg_per_m3),
        Amount::JPerKgK(j_per_kg_k) => (Dim::SpecificHeat, Style::Default, j_per_kg_k),
        Amount::Share(share) => (Dim::Fraction, Style::Default, share),
        Amount::Number(number) => (Dim::Number, Style::Default, number),
    }
}
