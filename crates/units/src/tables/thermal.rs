//! Temperatures, heat, power, pressure.

use crate::factor as f;
use crate::unit::{Unit, common, metric, metric_read, us};

pub(crate) fn temperature() -> Vec<Unit> {
    vec![
        Unit {
            offset: f::celsius_offset(),
            ..metric("°C", &["C"], f::celsius_degree())
        },
        Unit {
            offset: f::fahrenheit_offset(),
            ..us("°F", &["F"], f::fahrenheit_degree())
        },
        metric("K", &["°K"], 1.0),
    ]
}

pub(crate) fn temperature_difference() -> Vec<Unit> {
    vec![
        metric("K", &["°K"], 1.0),
        us("°F", &["F"], f::fahrenheit_degree()),
        metric_read("°C", &["C"], f::celsius_degree()),
    ]
}

pub(crate) fn power() -> Vec<Unit> {
    vec![
        common("kW", &["kJ/s"], f::kilowatt()),
        common("W", &["J/s"], f::watt()),
        us("Btu/h", &["Btuh", "BTUH"], f::btu() / f::hour()),
        us("hp", &["HP", "horsepower"], f::horsepower()),
        metric_read("MW", &[], f::megawatt()),
        metric_read("kJ/h", &[], f::kilojoule() / f::hour()),
        metric_read("MJ/h", &[], f::megajoule() / f::hour()),
        metric_read("kcal/h", &[], f::kilocalorie() / f::hour()),
        metric_read("PS", &["hp metric"], f::metric_horsepower()),
        us("Btu/min", &[], f::btu() / f::minute()),
        us("MBH", &["kBtu/h"], 1000.0 * f::btu() / f::hour()),
    ]
}

pub(crate) fn energy() -> Vec<Unit> {
    vec![
        common("kWh", &[], f::kilowatt_hour()),
        us("Btu", &[], f::btu()),
        metric("MJ", &[], f::megajoule()),
        metric("kJ", &[], f::kilojoule()),
        metric("J", &["Ws"], 1.0),
        metric_read("Wh", &[], f::watt_hour()),
        metric_read("MWh", &[], 1000.0 * f::kilowatt_hour()),
        metric_read("cal", &[], f::calorie()),
        metric_read("kcal", &[], f::kilocalorie()),
        us("kBtu", &[], 1000.0 * f::btu()),
    ]
}

pub(crate) fn pressure() -> Vec<Unit> {
    vec![
        metric("kPa", &[], f::kilopascal()),
        us("psi", &["psia", "lbf/in2"], f::psi()),
        metric("bar", &["bara"], f::bar()),
        us("inHg", &["in Hg", "\"Hg"], f::inch_of_mercury()),
        metric("Pa", &["N/m2"], 1.0),
        metric_read("mbar", &["hPa"], f::millibar()),
        metric_read("MPa", &[], f::megapascal()),
        metric_read("atm", &[], f::atmosphere()),
        metric_read("mmHg", &["mm Hg"], f::millimetre_of_mercury()),
        metric_read("Torr", &["torr"], f::torr()),
        metric_read(
            "mmH₂O",
            &["mm H2O", "mmH2O", "mm wc"],
            f::millimetre_of_water(),
        ),
        us("inH₂O", &["in H2O", "in wc", "in wg"], f::inch_of_water()),
    ]
}

pub(crate) fn conductance() -> Vec<Unit> {
    vec![
        metric("W/K", &["W/°C"], 1.0),
        us(
            "Btu/(h·°F)",
            &["Btu/h/°F", "Btu/hF", "Btu/h/F"],
            f::btu() / f::hour() / f::fahrenheit_degree(),
        ),
        metric("kW/K", &["kW/°C"], f::kilowatt()),
    ]
}

pub(crate) fn heat_transfer_coefficient() -> Vec<Unit> {
    vec![
        metric("W/(m²·K)", &["W/m2/K", "W/m2°C"], 1.0),
        us(
            "Btu/(h·ft²·°F)",
            &["Btu/h/ft2/°F", "Btu/hft2F", "Btu/ft2h°F", "Btu/ft2hF"],
            f::btu() / f::hour() / f::foot2() / f::fahrenheit_degree(),
        ),
        metric("kW/(m²·K)", &["kW/m2/K", "kW/m2°C"], f::kilowatt()),
    ]
}

pub(crate) fn thermal_conductivity() -> Vec<Unit> {
    vec![
        metric("W/(m·K)", &["W/m/K", "W/m°C"], 1.0),
        us(
            "Btu/(h·ft·°F)",
            &["Btu/h/ft/°F", "Btu/hftF"],
            f::btu() / f::hour() / f::foot() / f::fahrenheit_degree(),
        ),
    ]
}

pub(crate) fn heat_per_area_kelvin() -> Vec<Unit> {
    vec![
        metric("kJ/(m²·K)", &["kJ/m2/K", "kJ/m2°C"], f::kilojoule()),
        us(
            "Btu/(ft²·°F)",
            &["Btu/ft2/°F", "Btu/ft2F"],
            f::btu() / f::foot2() / f::fahrenheit_degree(),
        ),
        metric("J/(m²·K)", &["J/m2/K", "J/m2°C"], 1.0),
    ]
}

pub(crate) fn heat_flux() -> Vec<Unit> {
    vec![
        metric("W/m²", &[], 1.0),
        us(
            "Btu/(h·ft²)",
            &["Btu/h/ft2", "Btu/ft2/h", "Btu/(ft2·h)"],
            f::btu() / f::hour() / f::foot2(),
        ),
        metric("kW/m²", &[], f::kilowatt()),
        us("W/in²", &[], f::watt() / f::inch2()),
        us("W/ft²", &[], f::watt() / f::foot2()),
        metric_read("W/cm²", &[], f::watt() / f::centimetre2()),
    ]
}

pub(crate) fn specific_heat() -> Vec<Unit> {
    vec![
        metric("kJ/(kg·K)", &["kJ/kg/K", "J/gK", "kJ/kg°C"], f::kilojoule()),
        us(
            "Btu/(lb·°F)",
            &["Btu/lb/°F", "Btu/lbF"],
            f::btu() / f::pound() / f::fahrenheit_degree(),
        ),
        metric("J/(kg·K)", &["J/kg/K", "J/kg°C"], 1.0),
        metric_read(
            "kcal/(kg·K)",
            &["cal/gK", "kcal/kg°C", "cal/g°C"],
            f::kilocalorie(),
        ),
    ]
}

pub(crate) fn specific_energy() -> Vec<Unit> {
    vec![
        metric("kJ/kg", &["J/g"], f::kilojoule()),
        us("Btu/lb", &[], f::btu() / f::pound()),
        metric("J/kg", &[], 1.0),
        metric_read("MJ/kg", &[], f::megajoule()),
        metric_read("kWh/kg", &[], f::kilowatt_hour()),
        metric_read("kWh/t", &[], f::kilowatt_hour() / f::tonne()),
        metric_read("kcal/kg", &["cal/g"], f::kilocalorie()),
    ]
}

pub(crate) fn energy_per_volume() -> Vec<Unit> {
    vec![
        metric("kWh/m³", &["Wh/L"], f::kilowatt_hour()),
        us("Btu/gal", &[], f::btu() / f::gallon()),
        metric("kJ/L", &["MJ/m3"], f::megajoule()),
        metric("J/m³", &[], 1.0),
        metric_read("kWh/L", &[], f::kilowatt_hour() / f::litre()),
        us("kWh/gal", &["kW/gph"], f::kilowatt_hour() / f::gallon()),
        us(
            "kWh/1000 gal",
            &["kWh/kgal"],
            f::kilowatt_hour() / (1000.0 * f::gallon()),
        ),
    ]
}
