//! Every unit and every value survives the way to text and back.

use dragback_units::{Dim, Quantity, Style, System, dim, format, format_in};
use proptest::prelude::*;

/// `12.5 gal/1000 ft²`, or the bare number.
fn written(value: f64, symbol: &str) -> String {
    if symbol.is_empty() {
        value.to_string()
    } else {
        format!("{value} {symbol}")
    }
}

#[test]
fn every_spelling_of_every_unit_is_read_and_undone() {
    let mut spellings = 0;
    for &dim in Dim::ALL {
        let value = if dim == Dim::Count { 12.0 } else { 12.5 };
        for unit in dim.units() {
            for spelling in std::iter::once(&unit.symbol).chain(unit.aliases) {
                let text = written(value, spelling);
                let parsed = dim
                    .parse_with_unit(&text)
                    .unwrap_or_else(|e| panic!("{dim:?}: {e}"));
                assert_eq!(parsed.unit, unit, "{dim:?} {text}");
                assert_eq!(parsed.si, unit.to_si(value), "{dim:?} {text}");
                // A temperature loses the digits that absolute zero takes: one part in 5e2 of 2^-52.
                let tolerance = 4.0 * f64::EPSILON * (value + unit.offset);
                assert!(
                    (unit.from_si(parsed.si) - value).abs() <= tolerance,
                    "{dim:?} {text}"
                );
                // The space before the unit is a matter of taste, unless the unit begins with a digit (`1/m`).
                if !spelling.starts_with(|c: char| c.is_ascii_digit()) {
                    assert_eq!(
                        dim.parse(&text.replacen(' ', "", 1)),
                        Ok(parsed.si),
                        "{dim:?} {text}"
                    );
                }
                spellings += 1;
            }
        }
    }
    assert!(spellings > 400, "only {spellings} spellings");
}

#[test]
fn shown_values_are_read_again() {
    for &dim in Dim::ALL {
        for unit in dim.units() {
            for value in [0.0, 3.0, 45.0, 1234.0, 7e6] {
                let shown = format_in(unit, unit.to_si(value), 9);
                let si = dim.parse(&shown).unwrap_or_else(|e| panic!("{dim:?}: {e}"));
                let tolerance = 1e-8 * (unit.to_si(value).abs() + f64::MIN_POSITIVE);
                assert!(
                    (si - unit.to_si(value)).abs() <= tolerance,
                    "{dim:?} {shown}"
                );
            }
        }
        for system in [System::Metric, System::Us] {
            for style in [Style::Bath, Style::Rinse, Style::Air, Style::Default] {
                let shown = format(dim, 3.0, system, style);
                assert!(dim.parse(&shown).is_ok(), "{dim:?} {shown}");
            }
        }
    }
}

#[test]
fn plain_values_have_plain_texts() {
    assert_eq!(Quantity::<dim::Volume>::from_si(4.5).text(), "4500 L");
    assert_eq!(Quantity::<dim::Volume>::from_si(0.25e-3).text(), "0.25 L");
    assert_eq!(
        Quantity::<dim::Temperature>::from_si(335.15).text(),
        "62 °C"
    );
    assert_eq!(
        Quantity::<dim::TemperatureDifference>::from_si(1.5).text(),
        "1.5 K"
    );
    assert_eq!(Quantity::<dim::Time>::from_si(604_800.0).text(), "7 d");
    assert_eq!(
        Quantity::<dim::Time>::from_si(90.0 * 86_400.0).text(),
        "90 d"
    );
    assert_eq!(Quantity::<dim::Time>::from_si(600.0).text(), "10 min");
    assert_eq!(Quantity::<dim::Fraction>::from_si(0.45).text(), "45 %");
    assert_eq!(Quantity::<dim::Power>::from_si(12_000.0).text(), "12 kW");
    assert_eq!(Quantity::<dim::Film>::from_si(0.11e-3).text(), "0.11 L/m²");
    assert_eq!(Quantity::<dim::Count>::from_si(3.0).text(), "3");
    assert_eq!(
        Quantity::<dim::LoadRate>::from_si(20.0 / 3600.0).text(),
        "20 /h"
    );
    assert_eq!(
        Quantity::<dim::ElectricConductivity>::from_si(0.0055).text(),
        "55 µS/cm"
    );
    assert_eq!(
        Quantity::<dim::VolumeFlow>::from_si(0.110 / 60.0).text(),
        "6600 L/h"
    );
}

#[test]
fn the_unit_as_written_is_kept() {
    let film: Quantity<dim::Film> = Quantity::parse("  2.7 gal/1000ft2 ").unwrap();
    assert_eq!(film.text(), "2.7 gal/1000ft2");
    let thicker = film.with_si_keeping_unit(film.si() * 2.0);
    assert_eq!(thicker.text(), "5.4 gal/1000ft2");
    assert_eq!(film.with_si_keeping_unit(film.si()), film);

    let price: Quantity<dim::Money> = Quantity::parse("4.20 EUR").unwrap();
    assert_eq!((price.si(), price.text()), (4.2, "4.20 EUR"));
    assert_eq!(price.with_si_keeping_unit(5.0).text(), "5 EUR");

    let price: Quantity<dim::MoneyPerMass> = Quantity::parse("17 EUR/kg").unwrap();
    assert_eq!(price.with_si_keeping_unit(18.5).text(), "18.5 EUR/kg");

    let hot: Quantity<dim::Temperature> = Quantity::parse("160°F").unwrap();
    assert_eq!(hot.with_si_keeping_unit(335.15).text(), "143.6°F");
}

#[test]
fn temperatures_and_differences_are_different_types() {
    let set_point: Quantity<dim::Temperature> = Quantity::parse("140 °F").unwrap();
    let offset: Quantity<dim::TemperatureDifference> = Quantity::parse("5 °F").unwrap();
    assert_eq!((&set_point + &offset).text(), "145 °F");
    assert_eq!((&set_point - &offset).text(), "135 °F");
    assert!((set_point.celsius() - 60.0).abs() < 1e-12);
    let other: Quantity<dim::Temperature> = Quantity::parse("62 °C").unwrap();
    assert!(((&other - &set_point).si() - 2.0).abs() < 1e-12);
    assert!((offset.si() - 5.0 / 1.8).abs() < 1e-15);
}

#[test]
fn serde_uses_the_text() {
    let volume: Quantity<dim::Volume> = serde_json::from_str("\"2 imp gal\"").unwrap();
    assert_eq!(serde_json::to_string(&volume).unwrap(), "\"2 imp gal\"");
    let error = serde_json::from_str::<Quantity<dim::Volume>>("\"62 °C\"").unwrap_err();
    assert!(
        error
            .to_string()
            .contains("is a temperature; a volume such as L or gal is expected")
    );
    let error = serde_json::from_str::<Quantity<dim::Volume>>("62").unwrap_err();
    assert!(error.to_string().contains("a quoted volume with its unit"));
}

#[test]
fn impossible_values_are_refused() {
    assert!(Quantity::<dim::Volume>::try_from_si(f64::NAN).is_err());
    assert!(Quantity::<dim::Volume>::try_from_si(f64::INFINITY).is_err());
    assert!(Quantity::<dim::Temperature>::try_from_si(-1.0).is_err());
    assert!(Quantity::<dim::Count>::try_from_si(2.5).is_err());
    assert_eq!(
        Quantity::<dim::Count>::try_from_si(2.0).unwrap().text(),
        "2"
    );
    // Without the check the value is kept, and no reader takes its text for a number.
    let broken = Quantity::<dim::Volume>::from_si(f64::NAN);
    assert!(broken.si().is_nan() && Dim::Volume.parse(broken.text()).is_err());
}

fn any_finite() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>().prop_filter("finite", |x| x.is_finite()),
        -1e6..1e6_f64,
        1e-9..1.0_f64,
        (1_u32..100_000, -9_i32..6)
            .prop_map(|(digits, power)| f64::from(digits) * 10_f64.powi(power)),
    ]
}

fn reads_back<D: dragback_units::Dimension>(si: f64) -> Result<(), TestCaseError> {
    let possible = match D::DIM {
        Dim::Temperature => si.abs(),
        Dim::Count => si.abs().round(),
        _ => si,
    };
    let quantity = Quantity::<D>::from_si(possible);
    prop_assert_eq!(
        D::DIM.parse(quantity.text()),
        Ok(possible),
        "{}",
        quantity.text()
    );
    // Rewriting a value in a foreign unit moves it by rounding at most, and its text stands for it.
    for unit in D::DIM.units() {
        let Ok(old) = Quantity::<D>::parse(&written(1.0, unit.symbol)) else {
            continue;
        };
        let new = old.with_si_keeping_unit(possible);
        prop_assert_eq!(D::DIM.parse(new.text()), Ok(new.si()));
        let tolerance = 4.0 * f64::EPSILON * (possible.abs() + unit.offset * unit.factor_to_si);
        // Values so small that the smallest numbers of the machine lie coarsely are left out.
        if possible.abs() > 1e-290 {
            prop_assert!(
                (new.si() - possible).abs() <= tolerance,
                "{} for {}",
                new.text(),
                possible
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_value_reads_back_exactly(si in any_finite()) {
        macro_rules! each { ($($name:ident),+) => { $(reads_back::<dim::$name>(si)?;)+ } }
        each!(
            Volume, Area, Length, Mass, Time, Temperature, TemperatureDifference, VolumeFlow, MassFlow, Film,
            AreaRate, Concentration, MassPerArea, Power, Energy, Pressure, Speed, Current, CurrentDensity,
            ElectricConductivity, Charge, VolumePerCharge, MassPerCharge, Fraction, Number, Count, LoadRate,
            PerTime, ConcentrationRate, Money, MoneyPerMass,
            MoneyPerVolume, MoneyPerEnergy, MoneyPerPower, MoneyPerTime
        );
    }

    #[test]
    fn short_decimals_in_everyday_units_come_back_as_written(digits in 1_u32..10_000, power in -3_i32..1) {
        let value: f64 = format!("{digits}e{power}").parse().unwrap();
        let text = format!("{value} L/h");
        let flow = Quantity::<dim::VolumeFlow>::parse(&text).unwrap();
        prop_assert_eq!(flow.with_si_keeping_unit(flow.si()), flow);
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in any::<String>()) {
        for &dim in Dim::ALL {
            if let Err(error) = dim.parse(&text) {
                prop_assert!(!error.to_string().is_empty());
            }
        }
    }

    #[test]
    fn no_almost_quantity_makes_the_reader_panic(text in "[-+−.,0-9eE]{0,6} ?[a-zA-Z0-9/()²³°µ%·^ ]{0,12}") {
        for &dim in Dim::ALL {
            match dim.parse_with_unit(&text) {
                Ok(parsed) => prop_assert!(parsed.si.is_finite()),
                Err(error) => prop_assert!(error.to_string().len() < 900),
            }
        }
    }
}
