//! Masses, concentrations, densities and molar quantities.

use crate::factor as f;
use crate::unit::{Unit, metric, metric_read, us};

pub(crate) fn mass() -> Vec<Unit> {
    vec![
        metric("kg", &[], f::kilogram()),
        us("lb", &["lbm"], f::pound()),
        metric("g", &[], f::gram()),
        metric("mg", &[], f::milligram()),
        metric_read("µg", &[], f::microgram()),
        us("oz", &["oz avdp", "avoirdupois oz"], f::ounce()),
        metric_read("t", &["tonne", "tonnes"], f::tonne()),
        us("gr", &["grain", "grains"], f::grain()),
        us("short ton", &["short tons"], 2000.0 * f::pound()),
    ]
}

pub(crate) fn concentration() -> Vec<Unit> {
    vec![
        metric("g/L", &[], f::gram() / f::litre()),
        us("oz/gal", &["opg"], f::ounce() / f::gallon()),
        metric("mg/L", &[], f::milligram() / f::litre()),
        metric("kg/m³", &[], 1.0),
        metric_read("kg/L", &["kg/dm3", "t/m3"], f::kilogram() / f::litre()),
        metric_read("g/mL", &["g/cm3", "g/cc"], f::gram() / f::millilitre()),
        metric_read("µg/L", &[], f::microgram() / f::litre()),
        metric_read("g/m³", &[], f::gram()),
        metric_read("mg/m³", &[], f::milligram()),
        metric_read("mg/mL", &[], f::milligram() / f::millilitre()),
        us("lb/gal", &[], f::pound() / f::gallon()),
        us("lb/ft³", &[], f::pound() / f::foot3()),
        us("g/gal", &[], f::gram() / f::gallon()),
        us("gr/gal", &["gpg"], f::grain() / f::gallon()),
        us(
            "oz/imp gal",
            &["oz/gal imperial", "oz/gal UK"],
            f::ounce() / f::imperial_gallon(),
        ),
    ]
}

pub(crate) fn mass_per_area() -> Vec<Unit> {
    vec![
        metric("g/m²", &[], f::gram()),
        us("oz/ft²", &[], f::ounce() / f::foot2()),
        metric("mg/m²", &[], f::milligram()),
        metric("kg/m²", &[], 1.0),
        metric_read("mg/dm²", &[], f::milligram() / f::decimetre2()),
        metric_read("g/dm²", &[], f::gram() / f::decimetre2()),
        metric_read("mg/cm²", &[], f::milligram() / f::centimetre2()),
        metric_read("g/cm²", &[], f::gram() / f::centimetre2()),
        us("mg/ft²", &[], f::milligram() / f::foot2()),
        us("g/ft²", &[], f::gram() / f::foot2()),
        us("lb/ft²", &[], f::pound() / f::foot2()),
        us("lb/1000 ft²", &[], f::pound() / (1000.0 * f::foot2())),
    ]
}

pub(crate) fn specific_volume() -> Vec<Unit> {
    vec![
        metric("L/kg", &["mL/g", "cm3/g", "dm3/kg"], f::litre()),
        us("gal/lb", &[], f::gallon() / f::pound()),
        metric("m³/kg", &[], 1.0),
        us("ft³/lb", &[], f::foot3() / f::pound()),
    ]
}

pub(crate) fn molar_mass() -> Vec<Unit> {
    vec![
        metric("g/mol", &[], f::gram() / f::mole()),
        metric_read("kg/mol", &["g/mmol"], 1.0),
    ]
}

pub(crate) fn molality() -> Vec<Unit> {
    vec![
        metric("mol/kg", &["mmol/g"], f::mole() / f::kilogram()),
        metric_read("mmol/kg", &[], f::millimole() / f::kilogram()),
    ]
}

pub(crate) fn concentration_rate() -> Vec<Unit> {
    let (gram_l, milligram_l) = (f::gram() / f::litre(), f::milligram() / f::litre());
    vec![
        metric("g/L/d", &["g/(L·d)"], gram_l / f::day()),
        us(
            "oz/gal/d",
            &["oz/(gal·d)"],
            f::ounce() / f::gallon() / f::day(),
        ),
        metric("mg/L/d", &["mg/(L·d)"], milligram_l / f::day()),
        metric_read("g/L/h", &["g/(L·h)"], gram_l / f::hour()),
        metric_read("mg/L/h", &["mg/(L·h)"], milligram_l / f::hour()),
        metric_read("g/L/week", &["g/(L·week)"], gram_l / f::week()),
        metric_read("mg/L/week", &["mg/(L·week)"], milligram_l / f::week()),
        metric_read("kg/(m³·s)", &["kg/m3/s"], 1.0),
    ]
}
