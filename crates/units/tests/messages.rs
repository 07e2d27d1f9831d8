//! What the reader says about texts that it refuses.

#![expect(
    clippy::panic,
    reason = "helpers of tests stop the test that calls them"
)]

use dragback_units::{Dim, QuantityError};

fn message(dim: Dim, text: &str) -> String {
    match dim.parse(text) {
        Ok(si) => panic!("{text:?} was read as {si} {}", dim.si_unit()),
        Err(error) => error.to_string(),
    }
}

/// Dimension, text, and the whole message.
const REFUSED: &[(Dim, &str, &str)] = &[
    (
        Dim::Volume,
        "62 °C",
        "'62 °C' is a temperature; a volume such as L or gal is expected",
    ),
    (
        Dim::Temperature,
        "4500 L",
        "'4500 L' is a volume; a temperature such as °C or °F is expected",
    ),
    (
        Dim::Concentration,
        "45 %",
        "'45 %' is a fraction; a concentration such as g/L or oz/gal is expected",
    ),
    (
        Dim::Volume,
        "3 m2",
        "'3 m2' is an area; a volume such as L or gal is expected",
    ),
    (
        Dim::Area,
        "5 A",
        "'5 A' is an electric current; an area such as m² or ft² is expected",
    ),
    (
        Dim::Number,
        "5 kg",
        "'5 kg' is a mass; a bare number such as 2.5 is expected",
    ),
    (
        Dim::Volume,
        "4500",
        "'4500' has no unit; a volume such as L or gal is expected",
    ),
    (
        Dim::Volume,
        "  ",
        "no value is written; a volume such as L or gal is expected",
    ),
    (
        Dim::Time,
        "soon",
        "'soon' does not begin with a number; a time such as h or d is expected",
    ),
    (
        Dim::Time,
        "nan h",
        "'nan h' does not begin with a number; a time such as h or d is expected",
    ),
    (
        Dim::Power,
        "1e999 kW",
        "'1e999 kW' is not a finite number; a power such as kW or W is expected",
    ),
    (
        Dim::Count,
        "2.5",
        "'2.5' is not a whole number from 0 up; a whole number such as 3 is expected",
    ),
    (
        Dim::Count,
        "-2",
        "'-2' is not a whole number from 0 up; a whole number such as 3 is expected",
    ),
    (
        Dim::Temperature,
        "-300 °C",
        "'-300 °C' is below absolute zero; a temperature such as °C or °F is expected",
    ),
    (
        Dim::Speed,
        "5 furlong",
        "'5 furlong' has an unknown unit 'furlong'; a speed such as m/s or ft/min is expected (accepted: m/s, \
             ft/min, mm/s, cm/s, m/min, m/h, km/h, mm/h, ft/s, in/s)",
    ),
    (
        Dim::Volume,
        "1,000 L",
        "'1,000 L' has a mark inside its number that may mean decimals or thousands; write a decimal point and \
             nothing between thousands, such as 1000 or 1.5 (a volume such as L or gal is expected)",
    ),
    (
        Dim::Concentration,
        "37 ppm",
        "'37 ppm': ppm may mean mass or volume parts; write mg/L for a concentration or % for a fraction (a \
             concentration such as g/L or oz/gal is expected)",
    ),
    (
        Dim::Power,
        "12 mw",
        "'12 mw': upper and lower case matter in units; write MW (a power such as kW or W is expected)",
    ),
    (
        Dim::Volume,
        "5 oz",
        "'5 oz': an oz alone is a mass; write fl oz for a volume (a volume such as L or gal is expected)",
    ),
    (
        Dim::Fraction,
        "5 L",
        "'5 L' is a volume; a fraction such as 45 % or 0.45 is expected",
    ),
    (
        Dim::Money,
        "5 kg",
        "'5 kg' is a mass; an amount of money such as 4.20 USD is expected",
    ),
    (
        Dim::MoneyPerMass,
        "17 EUR",
        "'17 EUR' has an unknown unit 'EUR'; a price per mass such as 17 USD/kg is expected (accepted: per kg, per lb, \
             per g, per t, per oz)",
    ),
];

#[test]
fn messages_name_the_value_the_expectation_and_the_units() {
    for &(dim, text, expected) in REFUSED {
        assert_eq!(message(dim, text), expected);
    }
}

#[test]
fn separators_are_refused_in_every_form() {
    for text in [
        "1,5 L",
        "1,000,000 L",
        "1 000 L",
        "1'000 L",
        "1_000 L",
        "1.000.000 L",
    ] {
        let error = Dim::Volume.parse(text).unwrap_err();
        assert!(
            matches!(error, QuantityError::SeparatorInNumber { .. }),
            "{text}: {error}"
        );
    }
}

#[test]
fn gallons_are_american_unless_spelt_out() {
    let us = Dim::Volume.parse("1 gal").unwrap();
    let imperial = Dim::Volume.parse("1 imp gal").unwrap();
    assert!(imperial > 1.2 * us);
    for text in [
        "1 gal (imperial)",
        "1 imperial gallon",
        "1 gal (UK)",
        "1 imp. gal",
    ] {
        assert_eq!(Dim::Volume.parse(text), Ok(imperial), "{text}");
    }
    for text in ["1 US gal", "1 gallon", "1 U.S. gallon", "1gal"] {
        assert_eq!(Dim::Volume.parse(text), Ok(us), "{text}");
    }
}

#[test]
fn texts_as_people_write_them() {
    let close = |dim: Dim, text: &str, si: f64| {
        let read = dim.parse(text).unwrap_or_else(|e| panic!("{e}"));
        assert!(
            (read - si).abs() <= 1e-12 * si.abs(),
            "{text}: {read} {}",
            dim.si_unit()
        );
    };
    close(Dim::Volume, "4500 L", 4.5);
    close(
        Dim::Film,
        "2.7 gal/1000ft2",
        2.7 * 231.0 * 0.0254_f64.powi(3) / 92.903_04,
    );
    close(Dim::Temperature, "62 °C", 335.15);
    close(Dim::VolumeFlow, "110 L/min", 0.11 / 60.0);
    close(
        Dim::VolumeFlow,
        "3 gallons per hour",
        3.0 * 231.0 * 0.0254_f64.powi(3) / 3600.0,
    );
    close(Dim::TemperatureDifference, "1.5 K", 1.5);
    close(Dim::TemperatureDifference, "9 °F", 5.0);
    close(Dim::Power, "12 kW", 12e3);
    close(Dim::Fraction, "45 %", 0.45);
    close(Dim::Fraction, "0.45", 0.45);
    close(Dim::Time, "168 h", 604_800.0);
    close(Dim::Time, "2 days", 172_800.0);
    close(Dim::Time, "90d", 7_776_000.0);
    close(Dim::LoadRate, "20 racks/h", 20.0 / 3600.0);
    close(Dim::LoadRate, "6 barrels per hour", 6.0 / 3600.0);
    close(Dim::LoadRate, "20/h", 20.0 / 3600.0);
    close(Dim::PerTime, "0.5 1/day", 0.5 / 86_400.0);
    close(Dim::VolumePerCharge, "150 mL/1000 Ah", 150e-6 / 3.6e6);
    close(Dim::ElectricConductivity, "55 \u{3bc}S/cm", 55e-4);
    close(Dim::Money, "4.20 USD", 4.2);
    close(Dim::MoneyPerMass, "17 EUR/kg", 17.0);
    close(Dim::MoneyPerMass, "8 USD per lb", 8.0 / 0.453_592_37);
    close(Dim::MoneyPerMass, "17 per kg", 17.0);
    close(Dim::MoneyPerVolume, "4.6 EUR/m³", 4.6);
    close(Dim::MoneyPerVolume, "9 USD/1000 gal", 9.0 / 3.785_411_784);
    close(Dim::MoneyPerEnergy, "0.18 EUR/kWh", 0.18 / 3.6e6);
    close(Dim::MoneyPerEnergy, "9 USD/MMBtu", 9.0 / 1.055_055_852_62e9);
    close(Dim::MoneyPerPower, "12 EUR per kW", 0.012);
    close(Dim::MoneyPerTime, "38 EUR/h", 38.0 / 3600.0);
    close(Dim::MoneyPerTime, "365 EUR/year", 1.0 / 86_400.0);
    close(Dim::Energy, "1e3 kWh", 3.6e9);
}

#[test]
fn long_texts_are_cut_in_messages() {
    let long = format!("5 {}", "x".repeat(10_000));
    let error = message(Dim::Volume, &long);
    assert!(error.len() < 200, "{error}");
    assert!(error.contains("is too long"), "{error}");
}
