//! From SI to text for people: which unit, and how many digits.

use crate::dimension::Dim;
use crate::natural::decimal;
use crate::unit::Unit;

/// The system of units that a person reads.
#[derive(
    Copy,
    Clone,
    Eq,
    PartialEq,
    Ord,
    PartialOrd,
    Hash,
    Debug,
    Default,
    serde::Serialize,
    serde::Deserialize,
)]
pub enum System {
    /// Litres, degrees Celsius, grams per litre.
    #[default]
    Metric,
    /// US gallons, degrees Fahrenheit, ounces per gallon.
    Us,
}

/// What is shown, where the same dimension is written differently by custom.
#[derive(Copy, Clone, Eq, PartialEq, Ord, PartialOrd, Hash, Debug, Default)]
pub enum Style {
    /// A process bath or concentrate: g/L or oz/gal, mS/cm.
    Bath,
    /// Rinse water: mg/L in both systems, µS/cm.
    Rinse,
    /// Air flow: m³/h or cfm.
    Air,
    /// Anything else.
    #[default]
    Default,
}

impl Dim {
    /// The unit in which values of this dimension are shown.
    #[must_use]
    pub fn display_unit(self, system: System, style: Style) -> &'static Unit {
        self.find_unit(self.display_symbol(system, style))
            .unwrap_or_else(|| self.si())
    }

    fn display_symbol(self, system: System, style: Style) -> &'static str {
        match (self, style) {
            (Dim::Concentration, Style::Rinse) => return "mg/L",
            (Dim::ConcentrationRate, Style::Rinse) => return "mg/L/d",
            (Dim::ElectricConductivity, Style::Bath) => return "mS/cm",
            _ => {}
        }
        let (metric, us) = match (self, style) {
            (Dim::VolumeFlow, Style::Air) => ("m³/h", "cfm"),
            (Dim::VolumeFlux, Style::Air) => ("m³/(m²·h)", "cfm/ft²"),
            _ => self.default_symbols(),
        };
        match system {
            System::Metric => metric,
            System::Us => us,
        }
    }

    /// Metric and US symbol.
    fn default_symbols(self) -> (&'static str, &'static str) {
        match self {
            Dim::Volume => ("L", "gal"),
            Dim::Area => ("m²", "ft²"),
            Dim::Length => ("m", "ft"),
            Dim::Mass => ("kg", "lb"),
            Dim::Time => ("h", "h"),
            Dim::Temperature => ("°C", "°F"),
            Dim::TemperatureDifference => ("K", "°F"),
            Dim::VolumeFlow => ("L/h", "gal/h"),
            Dim::MassFlow => ("kg/h", "lb/h"),
            Dim::Film => ("L/m²", "gal/1000 ft²"),
            Dim::AreaRate => ("m²/h", "ft²/h"),
            Dim::Concentration => ("g/L", "oz/gal"),
            Dim::MassPerArea => ("g/m²", "oz/ft²"),
            Dim::Power => ("kW", "kW"),
            Dim::Energy => ("kWh", "kWh"),
            Dim::Pressure => ("kPa", "psi"),
            Dim::Speed => ("m/s", "ft/min"),
            Dim::Current => ("A", "A"),
            Dim::Voltage => ("V", "V"),
            Dim::CurrentDensity => ("A/dm²", "A/ft²"),
            Dim::Conductance => ("W/K", "Btu/(h·°F)"),
            Dim::HeatTransferCoefficient => ("W/(m²·K)", "Btu/(h·ft²·°F)"),
            Dim::ThermalConductivity => ("W/(m·K)", "Btu/(h·ft·°F)"),
            Dim::HeatPerAreaKelvin => ("kJ/(m²·K)", "Btu/(ft²·°F)"),
            Dim::HeatFlux => ("W/m²", "Btu/(h·ft²)"),
            Dim::ElectricConductivity => ("µS/cm", "µS/cm"),
            Dim::Charge => ("Ah", "Ah"),
            Dim::VolumePerCharge => ("mL/kAh", "mL/kAh"),
            Dim::MassPerCharge => ("g/Ah", "g/Ah"),
            Dim::SpecificVolume => ("L/kg", "gal/lb"),
            Dim::SpecificHeat => ("kJ/(kg·K)", "Btu/(lb·°F)"),
            Dim::SpecificEnergy => ("kJ/kg", "Btu/lb"),
            Dim::EnergyPerVolume => ("kWh/m³", "kWh/gal"),
            Dim::MolarMass => ("g/mol", "g/mol"),
            Dim::MolarConductivity => ("S·cm²/mol", "S·cm²/mol"),
            Dim::Molality => ("mol/kg", "mol/kg"),
            Dim::MassFlux => ("kg/(m²·h)", "lb/(h·ft²)"),
            Dim::VolumeFlux => ("L/(m²·h)", "gal/(h·ft²)"),
            Dim::SpecificSurface => ("m²/m³", "ft²/ft³"),
            Dim::Fraction => ("%", "%"),
            Dim::Number | Dim::Count | Dim::Money => ("", ""),
            Dim::MoneyPerMass => ("per kg", "per lb"),
            Dim::MoneyPerVolume => ("per m³", "per 1000 gal"),
            Dim::MoneyPerEnergy => ("per kWh", "per kWh"),
            Dim::MoneyPerPower => ("per kW", "per kW"),
            Dim::MoneyPerTime => ("per year", "per year"),
            Dim::LoadRate => ("/h", "/h"),
            Dim::PerTime => ("/d", "/d"),
            Dim::ConcentrationRate => ("g/L/d", "oz/gal/d"),
        }
    }
}

/// An SI value as a person reads it: three significant digits and the unit that suits the system and style.
///
/// A number that is not finite is shown as `n/a`.
///
/// ```
/// use dragback_units::{Dim, Style, System, format};
/// assert_eq!(format(Dim::VolumeFlow, 110e-3 / 60.0, System::Metric, Style::Default), "6600 L/h");
/// assert_eq!(format(Dim::Concentration, 75.0, System::Us, Style::Bath), "10.0 oz/gal");
/// ```
#[must_use]
pub fn format(dim: Dim, si: f64, system: System, style: Style) -> String {
    match dim {
        // A count is shown whole, whatever its size.
        Dim::Count if si.is_finite() => decimal(si),
        _ => format_in(dim.display_unit(system, style), si, 3),
    }
}

/// An SI value in a given unit with so many significant digits (at least one, at most seventeen). Zeros after the
/// decimal point are dropped when the number is exact without them.
#[must_use]
pub fn format_in(unit: &Unit, si: f64, digits: usize) -> String {
    let number = significant(unit.from_si(si), digits);
    if unit.symbol.is_empty() {
        number
    } else {
        format!("{number} {}", unit.symbol)
    }
}

/// A share of a whole in per cent, without the sign, that never reads as the whole while something is missing: as many decimals as
/// leave two digits to what is missing, `> 99.99` where those would be more than four, and whole per cents below a half.
///
/// Less than a thousand-millionth missing is nothing: no ledger here closes better. A share that is not finite is `n/a`.
///
/// ```
/// use dragback_units::percent_of_whole;
/// assert_eq!(percent_of_whole(0.9996), "99.960");
/// assert_eq!(percent_of_whole(0.999_999_5), "> 99.99");
/// assert_eq!(percent_of_whole(1.0), "100");
/// ```
#[must_use]
pub fn percent_of_whole(share: f64) -> String {
    const NOTHING: f64 = 1e-9;
    let missing = 1.0 - share;
    if !share.is_finite() {
        return "n/a".to_owned();
    }
    if !(NOTHING..0.5).contains(&missing) {
        return format!("{:.0}", 100.0 * share);
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 8"
    )]
    let decimals = (-1.0 - missing.log10().floor()).clamp(0.0, 8.0) as usize;
    if decimals > 4 {
        return "> 99.99".to_owned();
    }
    format!("{:.decimals$}", 100.0 * share)
}

fn significant(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "n/a".to_owned();
    }
    let digits = digits.clamp(1, 17);
    // Rounding to so many digits first settles the exponent: 9.996 becomes 10.0, not 10.00.
    let rounded: f64 = format!("{value:.*e}", digits - 1).parse().unwrap_or(value);
    if rounded == 0.0 {
        return "0".to_owned();
    }
    let size = rounded.abs();
    if !(1e-4..1e9).contains(&size) {
        return format!("{rounded:.*e}", digits - 1);
    }
    let exponent = exponent_of(rounded);
    let last = i32::try_from(digits).unwrap_or(17) - 1;
    let decimals = usize::try_from(last - exponent).unwrap_or(0);
    let text = format!("{rounded:.decimals$}");
    let is_exact = (value - rounded).abs() <= 1e-9 * size;
    if is_exact && text.contains('.') {
        return text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    text
}

/// Decimal exponent of a number that is neither zero nor infinite.
fn exponent_of(value: f64) -> i32 {
    let text = format!("{value:e}");
    text.split('e')
        .nth(1)
        .and_then(|exponent| exponent.parse().ok())
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_display_unit_exists() {
        for &dim in Dim::ALL {
            for system in [System::Metric, System::Us] {
                for style in [Style::Bath, Style::Rinse, Style::Air, Style::Default] {
                    let symbol = dim.display_symbol(system, style);
                    assert_eq!(dim.display_unit(system, style).symbol, symbol, "{dim:?}");
                }
            }
        }
    }

    #[test]
    fn three_digits() {
        for (value, text) in [
            (0.0, "0"),
            (4500.0, "4500"),
            (12_345.0, "12300"),
            (4.5, "4.5"),
            (4.5012, "4.50"),
            (9.996, "10.0"),
            (0.012_345, "0.0123"),
            (-62.44, "-62.4"),
            (100.0, "100"),
            (1.234e-7, "1.23e-7"),
            (5e12, "5.00e12"),
            (f64::NAN, "n/a"),
            (f64::INFINITY, "n/a"),
        ] {
            assert_eq!(significant(value, 3), text);
        }
    }

    #[test]
    fn units_follow_system_and_style() {
        let show = |dim, si, system, style| format(dim, si, system, style);
        assert_eq!(
            show(Dim::Temperature, 335.15, System::Metric, Style::Default),
            "62 °C"
        );
        assert_eq!(
            show(Dim::Temperature, 344.261_111, System::Us, Style::Default),
            "160 °F"
        );
        assert_eq!(
            show(Dim::Concentration, 0.037, System::Us, Style::Rinse),
            "37 mg/L"
        );
        assert_eq!(
            show(Dim::VolumeFlow, 1.0, System::Metric, Style::Air),
            "3600 m³/h"
        );
        assert_eq!(
            show(Dim::Fraction, 0.45, System::Metric, Style::Default),
            "45 %"
        );
        assert_eq!(
            show(Dim::Count, 12_345.0, System::Metric, Style::Default),
            "12345"
        );
    }
}
