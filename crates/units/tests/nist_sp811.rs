//! Unit factors against the printed digits of NIST Special Publication 811 (A. Thompson and B. N. Taylor, *Guide for
//! the Use of the International System of Units (SI)*, 2008 edition, Appendix B.8).
//!
//! The literals are the table's entries as remembered ("from memory"; the publication was not at hand), each with
//! its number of digits. The factor is rounded to as many digits and must give the same text. Entries in bold type
//! in the publication are exact; here they are the ones with fewer than seven digits.

#![expect(
    clippy::panic,
    clippy::expect_used,
    reason = "helpers of tests stop the test that calls them"
)]

use dragback_units::{Dim, Unit};

fn unit(dim: Dim, symbol: &str) -> &'static Unit {
    dim.find_unit(symbol)
        .unwrap_or_else(|| panic!("{dim:?} has no {symbol}"))
}

/// Writes a number as the publication does: `3.785412E-03`.
fn printed_as(literal: &str, value: f64) -> String {
    let decimals = literal.find('E').expect("an exponent") - 2;
    let text = format!("{value:.decimals$E}");
    let (mantissa, exponent) = text.split_once('E').expect("an exponent");
    let exponent: i32 = exponent.parse().expect("a whole exponent");
    let sign = if exponent < 0 { '-' } else { '+' };
    format!("{mantissa}E{sign}{:02}", exponent.abs())
}

fn agree(entries: &[(Dim, &str, &str)]) {
    for &(dim, symbol, literal) in entries {
        let factor = unit(dim, symbol).factor_to_si;
        assert_eq!(
            printed_as(literal, factor),
            literal,
            "{symbol} ({dim:?}), factor {factor:e}"
        );
    }
}

#[test]
fn lengths_areas_and_volumes() {
    agree(&[
        (Dim::Length, "ft", "3.048E-01"),
        (Dim::Length, "in", "2.54E-02"),
        (Dim::Length, "yd", "9.144E-01"),
        (Dim::Length, "mil", "2.54E-05"),
        (Dim::Area, "ft²", "9.290304E-02"),
        (Dim::Area, "in²", "6.4516E-04"),
        (Dim::Volume, "ft³", "2.831685E-02"),
        (Dim::Volume, "in³", "1.638706E-05"),
        (Dim::Volume, "gal", "3.785412E-03"),
        (Dim::Volume, "imp gal", "4.54609E-03"),
        (Dim::Volume, "qt", "9.463529E-04"),
        (Dim::Volume, "pt", "4.731765E-04"),
        (Dim::Volume, "fl oz", "2.957353E-05"),
    ]);
}

#[test]
fn masses_and_concentrations() {
    agree(&[
        (Dim::Mass, "oz", "2.834952E-02"),
        (Dim::Mass, "lb", "4.535924E-01"),
        (Dim::Mass, "gr", "6.479891E-05"),
        (Dim::Mass, "short ton", "9.071847E+02"),
        (Dim::Concentration, "oz/gal", "7.489152E+00"),
        (Dim::Concentration, "oz/imp gal", "6.236023E+00"),
        (Dim::Concentration, "lb/gal", "1.198264E+02"),
        (Dim::Concentration, "lb/ft³", "1.601846E+01"),
        (Dim::Concentration, "gr/gal", "1.711806E-02"),
        (Dim::MassPerArea, "oz/ft²", "3.051517E-01"),
        (Dim::MassPerArea, "lb/ft²", "4.882428E+00"),
        (Dim::SpecificVolume, "ft³/lb", "6.242796E-02"),
    ]);
}

#[test]
fn flows_and_speeds() {
    agree(&[
        (Dim::VolumeFlow, "cfm", "4.719474E-04"),
        (Dim::VolumeFlow, "gal/min", "6.309020E-05"),
        (Dim::VolumeFlow, "gal/d", "4.381264E-08"),
        (Dim::MassFlow, "lb/h", "1.259979E-04"),
        (Dim::MassFlow, "lb/min", "7.559873E-03"),
        (Dim::Speed, "ft/min", "5.08E-03"),
        (Dim::Speed, "ft/s", "3.048E-01"),
    ]);
}

#[test]
fn energy_power_and_pressure() {
    agree(&[
        (Dim::Energy, "Btu", "1.055056E+03"),
        (Dim::Energy, "kWh", "3.6E+06"),
        (Dim::Energy, "cal", "4.184E+00"),
        (Dim::Power, "Btu/h", "2.930711E-01"),
        (Dim::Power, "hp", "7.456999E+02"),
        (Dim::Power, "PS", "7.354988E+02"),
        (Dim::Pressure, "psi", "6.894757E+03"),
        (Dim::Pressure, "inHg", "3.386389E+03"),
        (Dim::Pressure, "inH₂O", "2.490889E+02"),
        (Dim::Pressure, "mmHg", "1.333224E+02"),
        (Dim::Pressure, "Torr", "1.333224E+02"),
        (Dim::Pressure, "atm", "1.01325E+05"),
        (Dim::Pressure, "bar", "1.0E+05"),
        (
            Dim::HeatTransferCoefficient,
            "Btu/(h·ft²·°F)",
            "5.678263E+00",
        ),
        (Dim::ThermalConductivity, "Btu/(h·ft·°F)", "1.730735E+00"),
        (Dim::HeatFlux, "Btu/(h·ft²)", "3.154591E+00"),
        (Dim::HeatFlux, "W/in²", "1.550003E+03"),
        (Dim::HeatPerAreaKelvin, "Btu/(ft²·°F)", "2.044175E+04"),
        (Dim::SpecificHeat, "Btu/(lb·°F)", "4.1868E+03"),
        (Dim::SpecificEnergy, "Btu/lb", "2.326E+03"),
        (Dim::TemperatureDifference, "°F", "5.555556E-01"),
        (Dim::Charge, "Ah", "3.6E+03"),
    ]);
}

#[test]
fn temperatures() {
    // T/K = (t/°F + 459.67)/1.8 and T/K = t/°C + 273.15, Appendix B.8, from memory.
    for (text, literal) in [
        ("0 °F", "2.553722E+02"),
        ("32 °F", "2.7315E+02"),
        ("160 °F", "3.442611E+02"),
        ("212 °F", "3.7315E+02"),
        ("0 °C", "2.7315E+02"),
        ("62 °C", "3.3515E+02"),
        ("-40 °C", "2.3315E+02"),
        ("-40 °F", "2.3315E+02"),
    ] {
        let temp_k = Dim::Temperature.parse(text).unwrap();
        assert_eq!(printed_as(literal, temp_k), literal, "{text}");
    }
}

/// The plating trade's own compounds, each from two printed factors of the tables above.
#[test]
fn trade_units() {
    let factor = |dim: Dim, symbol: &str| unit(dim, symbol).factor_to_si;
    for (dim, symbol, by_hand) in [
        (
            Dim::Film,
            "gal/1000 ft²",
            3.785_412e-3 / (1000.0 * 9.290_304e-2),
        ),
        (Dim::VolumeFlow, "gal/h", 3.785_412e-3 / 3600.0),
        (
            Dim::VolumeFlux,
            "gal/(h·ft²)",
            3.785_412e-3 / 3600.0 / 9.290_304e-2,
        ),
        (Dim::VolumeFlux, "cfm/ft²", 4.719_474e-4 / 9.290_304e-2),
        (Dim::CurrentDensity, "A/ft²", 1.0 / 9.290_304e-2),
        (Dim::CurrentDensity, "A/dm²", 100.0),
        (Dim::AreaRate, "ft²/h", 9.290_304e-2 / 3600.0),
        (Dim::EnergyPerVolume, "Btu/gal", 1.055_056e3 / 3.785_412e-3),
        (Dim::EnergyPerVolume, "kWh/gal", 3.6e6 / 3.785_412e-3),
        (Dim::Conductance, "Btu/(h·°F)", 2.930_711e-1 * 1.8),
        (Dim::MassFlux, "lb/(h·ft²)", 1.259_979e-4 / 9.290_304e-2),
        (Dim::VolumePerCharge, "gal/kAh", 3.785_412e-3 / 3.6e6),
        (Dim::ConcentrationRate, "oz/gal/d", 7.489_152 / 86_400.0),
        (Dim::MassPerCharge, "oz/Ah", 2.834_952e-2 / 3600.0),
        (Dim::SpecificSurface, "ft²/ft³", 1.0 / 0.3048),
        (Dim::Fraction, "gr/lb", 6.479_891e-5 / 4.535_924e-1),
    ] {
        let ours = factor(dim, symbol);
        // Two factors of seven digits each leave a few parts in ten million.
        assert!(
            (ours / by_hand - 1.0).abs() < 3e-7,
            "{symbol}: {ours:e}, {by_hand:e}"
        );
    }
}

/// Metric compounds are exact decimals.
#[test]
fn metric_units_are_exact() {
    for (dim, symbol, factor) in [
        (Dim::Volume, "L", 1e-3),
        (Dim::Volume, "mL", 1e-6),
        (Dim::Area, "dm²", 1e-2),
        (Dim::Area, "cm²", 1e-4),
        (Dim::Film, "L/m²", 1e-3),
        (Dim::Film, "mL/dm²", 1e-4),
        (Dim::Concentration, "g/L", 1.0),
        (Dim::Concentration, "mg/L", 1e-3),
        (Dim::Concentration, "g/mL", 1e3),
        (Dim::Concentration, "mg/m³", 1e-6),
        (Dim::ElectricConductivity, "µS/cm", 1e-4),
        (Dim::ElectricConductivity, "mS/cm", 0.1),
        (Dim::MolarConductivity, "S·cm²/mol", 1e-4),
        (Dim::SpecificVolume, "L/kg", 1e-3),
        (Dim::MolarMass, "g/mol", 1e-3),
        (Dim::Power, "kW", 1e3),
        (Dim::Fraction, "%", 1e-2),
        (Dim::Pressure, "mbar", 1e2),
        (Dim::CurrentDensity, "mA/cm²", 10.0),
    ] {
        assert_eq!(unit(dim, symbol).factor_to_si, factor, "{symbol}");
    }
}
