//! Prices. The currency stands before the stroke and is not converted.

use crate::factor as f;
use crate::unit::{Unit, common, common_read, metric, metric_read, us};

pub(crate) fn per_mass() -> Vec<Unit> {
    vec![
        metric("per kg", &[], 1.0 / f::kilogram()),
        us("per lb", &[], 1.0 / f::pound()),
        metric_read("per g", &[], 1.0 / f::gram()),
        metric_read("per t", &[], 1.0 / f::tonne()),
        us("per oz", &[], 1.0 / f::ounce()),
    ]
}

pub(crate) fn per_volume() -> Vec<Unit> {
    vec![
        metric("per m³", &[], 1.0),
        us("per 1000 gal", &["per kgal"], 1.0 / (1000.0 * f::gallon())),
        metric_read("per L", &[], 1.0 / f::litre()),
        us("per gal", &[], 1.0 / f::gallon()),
        us("per ft³", &[], 1.0 / f::foot3()),
    ]
}

pub(crate) fn per_energy() -> Vec<Unit> {
    vec![
        common("per kWh", &[], 1.0 / f::kilowatt_hour()),
        common_read("per MWh", &[], 1.0 / (1000.0 * f::kilowatt_hour())),
        metric_read("per MJ", &[], 1.0 / f::megajoule()),
        metric_read("per GJ", &[], 1.0 / (1000.0 * f::megajoule())),
        us("per MMBtu", &[], 1.0 / (1.0e6 * f::btu())),
        metric_read("per J", &[], 1.0),
    ]
}

pub(crate) fn per_power() -> Vec<Unit> {
    vec![
        common("per kW", &[], 1.0 / f::kilowatt()),
        common_read("per W", &[], 1.0),
    ]
}

pub(crate) fn per_time() -> Vec<Unit> {
    vec![
        common("per year", &[], 1.0 / f::year()),
        common("per h", &[], 1.0 / f::hour()),
        common_read("per d", &[], 1.0 / f::day()),
        common_read("per week", &[], 1.0 / f::week()),
        common_read("per s", &[], 1.0),
    ]
}
