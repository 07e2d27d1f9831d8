//! Currents, charges and what goes with them.

use crate::factor as f;
use crate::unit::{Unit, common, common_read, metric, metric_read, us};

pub(crate) fn current() -> Vec<Unit> {
    vec![
        common("A", &[], f::ampere()),
        common_read("kA", &[], f::kiloampere()),
        common_read("mA", &[], f::milliampere()),
    ]
}

pub(crate) fn voltage() -> Vec<Unit> {
    vec![
        common("V", &[], f::volt()),
        common_read("mV", &[], f::millivolt()),
    ]
}

pub(crate) fn current_density() -> Vec<Unit> {
    vec![
        metric("A/dm²", &["asd", "ASD"], f::ampere() / f::decimetre2()),
        us("A/ft²", &["asf", "ASF"], f::ampere() / f::foot2()),
        metric("A/m²", &[], 1.0),
        metric_read("mA/cm²", &[], f::milliampere() / f::centimetre2()),
        metric_read("A/cm²", &[], f::ampere() / f::centimetre2()),
        us("A/in²", &["asi", "ASI"], f::ampere() / f::inch2()),
    ]
}

pub(crate) fn conductivity() -> Vec<Unit> {
    vec![
        common(
            "µS/cm",
            &["micromho/cm", "umho/cm"],
            f::microsiemens() / f::centimetre(),
        ),
        common("mS/cm", &["mmho/cm"], f::millisiemens() / f::centimetre()),
        metric("S/m", &[], 1.0),
        common_read("S/cm", &[], f::siemens() / f::centimetre()),
        metric_read("mS/m", &[], f::millisiemens()),
        metric_read("µS/m", &[], f::microsiemens()),
    ]
}

pub(crate) fn charge() -> Vec<Unit> {
    vec![
        common("Ah", &["A·h"], f::ampere_hour()),
        common("kAh", &["kA·h"], f::kiloampere_hour()),
        metric("C", &["As", "A·s"], 1.0),
        common_read("A·min", &["Amin"], f::ampere() * f::minute()),
        common_read("MAh", &[], 1000.0 * f::kiloampere_hour()),
    ]
}

pub(crate) fn volume_per_charge() -> Vec<Unit> {
    vec![
        common(
            "mL/kAh",
            &["mL/1000 Ah", "L/MAh"],
            f::millilitre() / f::kiloampere_hour(),
        ),
        common(
            "L/kAh",
            &["L/1000 Ah", "mL/Ah"],
            f::litre() / f::kiloampere_hour(),
        ),
        us(
            "gal/kAh",
            &["gal/1000 Ah"],
            f::gallon() / f::kiloampere_hour(),
        ),
        us(
            "fl oz/kAh",
            &["fl oz/1000 Ah"],
            f::fluid_ounce() / f::kiloampere_hour(),
        ),
        common_read(
            "mL/10 kAh",
            &["mL/10000 Ah", "L/10 MAh"],
            f::millilitre() / (10.0 * f::kiloampere_hour()),
        ),
        common_read(
            "L/10 kAh",
            &["L/10000 Ah"],
            f::litre() / (10.0 * f::kiloampere_hour()),
        ),
        metric("m³/C", &[], 1.0),
    ]
}

pub(crate) fn mass_per_charge() -> Vec<Unit> {
    vec![
        common(
            "g/Ah",
            &["kg/kAh", "kg/1000 Ah"],
            f::gram() / f::ampere_hour(),
        ),
        common(
            "g/kAh",
            &["g/1000 Ah", "mg/Ah"],
            f::gram() / f::kiloampere_hour(),
        ),
        metric("kg/C", &[], 1.0),
        metric_read("mg/C", &["g/kC"], f::milligram()),
        us("oz/Ah", &[], f::ounce() / f::ampere_hour()),
        us("lb/kAh", &["lb/1000 Ah"], f::pound() / f::kiloampere_hour()),
    ]
}

pub(crate) fn molar_conductivity() -> Vec<Unit> {
    vec![
        metric(
            "S·cm²/mol",
            &["cm2 S/mol"],
            f::siemens() * f::centimetre2() / f::mole(),
        ),
        metric("S·m²/mol", &["m2 S/mol"], 1.0),
        metric_read("mS·m²/mol", &["m2 mS/mol"], f::millisiemens() / f::mole()),
    ]
}
