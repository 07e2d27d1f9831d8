//! Volume and mass flows, work rates, speeds and flows per area.

use crate::factor as f;
use crate::unit::{Unit, metric, metric_read, us};

pub(crate) fn volume_flow() -> Vec<Unit> {
    vec![
        metric("L/h", &["lph", "LPH"], f::litre() / f::hour()),
        us(
            "gal/h",
            &["gph", "GPH", "US gal/h"],
            f::gallon() / f::hour(),
        ),
        metric("L/min", &["lpm", "LPM"], f::litre() / f::minute()),
        us(
            "gal/min",
            &["gpm", "GPM", "US gal/min"],
            f::gallon() / f::minute(),
        ),
        metric("m³/h", &[], 1.0 / f::hour()),
        us(
            "cfm",
            &["ft3/min", "CFM", "acfm", "ACFM"],
            f::foot3() / f::minute(),
        ),
        metric("L/d", &[], f::litre() / f::day()),
        us("gal/d", &["gpd", "GPD"], f::gallon() / f::day()),
        metric_read("L/s", &[], f::litre()),
        metric_read("L/week", &[], f::litre() / f::week()),
        metric_read("mL/s", &[], f::millilitre()),
        metric_read("mL/min", &["cm3/min"], f::millilitre() / f::minute()),
        metric_read("mL/h", &[], f::millilitre() / f::hour()),
        metric_read("m³/s", &[], 1.0),
        metric_read("m³/min", &[], 1.0 / f::minute()),
        metric_read("m³/d", &[], 1.0 / f::day()),
        us("gal/s", &[], f::gallon()),
        us("gal/week", &[], f::gallon() / f::week()),
        us("fl oz/h", &[], f::fluid_ounce() / f::hour()),
        us("ft³/h", &["cfh", "CFH"], f::foot3() / f::hour()),
        us("ft³/s", &[], f::foot3()),
        us(
            "imp gal/h",
            &["gal imperial/h", "gal UK/h"],
            f::imperial_gallon() / f::hour(),
        ),
        us(
            "imp gal/min",
            &["gal imperial/min", "gal UK/min"],
            f::imperial_gallon() / f::minute(),
        ),
        us(
            "imp gal/d",
            &["gal imperial/d", "gal UK/d"],
            f::imperial_gallon() / f::day(),
        ),
    ]
}

pub(crate) fn mass_flow() -> Vec<Unit> {
    vec![
        metric("kg/h", &[], f::kilogram() / f::hour()),
        us("lb/h", &[], f::pound() / f::hour()),
        metric("kg/d", &[], f::kilogram() / f::day()),
        metric("g/h", &[], f::gram() / f::hour()),
        metric("kg/s", &[], 1.0),
        metric("g/d", &[], f::gram() / f::day()),
        metric_read("kg/min", &[], f::kilogram() / f::minute()),
        metric_read("kg/week", &[], f::kilogram() / f::week()),
        metric_read("kg/year", &[], f::kilogram() / f::year()),
        metric_read("g/s", &[], f::gram()),
        metric_read("g/min", &[], f::gram() / f::minute()),
        metric_read("g/week", &[], f::gram() / f::week()),
        metric_read("mg/s", &[], f::milligram()),
        metric_read("mg/h", &[], f::milligram() / f::hour()),
        metric_read("mg/d", &[], f::milligram() / f::day()),
        metric_read("t/h", &[], f::tonne() / f::hour()),
        us("lb/min", &[], f::pound() / f::minute()),
        us("lb/d", &[], f::pound() / f::day()),
        us("lb/week", &[], f::pound() / f::week()),
        us("oz/h", &[], f::ounce() / f::hour()),
        us("oz/d", &[], f::ounce() / f::day()),
    ]
}

pub(crate) fn area_rate() -> Vec<Unit> {
    vec![
        metric("m²/h", &[], 1.0 / f::hour()),
        us("ft²/h", &[], f::foot2() / f::hour()),
        metric("m²/d", &[], 1.0 / f::day()),
        metric_read("m²/s", &[], 1.0),
        metric_read("m²/min", &[], 1.0 / f::minute()),
        metric_read("m²/week", &[], 1.0 / f::week()),
        metric_read("dm²/h", &[], f::decimetre2() / f::hour()),
        metric_read("dm²/min", &[], f::decimetre2() / f::minute()),
        us("ft²/min", &[], f::foot2() / f::minute()),
        us("ft²/d", &[], f::foot2() / f::day()),
        us("ft²/week", &[], f::foot2() / f::week()),
    ]
}

pub(crate) fn speed() -> Vec<Unit> {
    vec![
        metric("m/s", &[], 1.0),
        us("ft/min", &["fpm", "FPM"], f::foot() / f::minute()),
        metric_read("mm/s", &[], f::millimetre()),
        metric_read("cm/s", &[], f::centimetre()),
        metric_read("m/min", &[], 1.0 / f::minute()),
        metric_read("m/h", &[], 1.0 / f::hour()),
        metric_read("km/h", &[], f::kilo() / f::hour()),
        metric_read("mm/h", &[], f::millimetre() / f::hour()),
        us("ft/s", &["fps"], f::foot()),
        us("in/s", &[], f::inch()),
    ]
}

pub(crate) fn mass_flux() -> Vec<Unit> {
    vec![
        metric(
            "kg/(m²·h)",
            &["kg/m2/h", "kg/(h·m2)"],
            f::kilogram() / f::hour(),
        ),
        us(
            "lb/(h·ft²)",
            &["lb/h/ft2", "lb/ft2/h", "lb/(ft2·h)"],
            f::pound() / f::hour() / f::foot2(),
        ),
        metric("kg/(m²·s)", &["kg/m2/s", "kg/(s·m2)"], 1.0),
        metric_read("g/(m²·h)", &["g/m2/h", "g/(h·m2)"], f::gram() / f::hour()),
        metric_read("g/(m²·d)", &["g/m2/d", "g/(d·m2)"], f::gram() / f::day()),
        us(
            "lb/(min·ft²)",
            &["lb/min/ft2", "lb/ft2/min"],
            f::pound() / f::minute() / f::foot2(),
        ),
    ]
}

pub(crate) fn volume_flux() -> Vec<Unit> {
    vec![
        metric(
            "L/(m²·h)",
            &["L/m2/h", "L/(h·m2)", "L/h/m2"],
            f::litre() / f::hour(),
        ),
        us(
            "gal/(h·ft²)",
            &["gal/h/ft2", "gal/ft2/h", "gal/(ft2·h)", "gph/ft2"],
            f::gallon() / f::hour() / f::foot2(),
        ),
        metric(
            "m³/(m²·h)",
            &["m3/m2/h", "m3/(h·m2)", "m3/h/m2"],
            1.0 / f::hour(),
        ),
        us(
            "cfm/ft²",
            &["ft3/min/ft2", "ft3/(min·ft2)"],
            f::foot3() / f::minute() / f::foot2(),
        ),
        metric_read(
            "L/(m²·d)",
            &["L/m2/d", "L/(d·m2)", "L/d/m2"],
            f::litre() / f::day(),
        ),
        metric_read(
            "L/(m²·min)",
            &["L/m2/min", "L/(min·m2)", "L/min/m2"],
            f::litre() / f::minute(),
        ),
        metric_read("m³/(m²·s)", &["m3/m2/s", "m3/(s·m2)", "m3/s/m2"], 1.0),
        metric_read(
            "m³/(m²·min)",
            &["m3/m2/min", "m3/(min·m2)", "m3/min/m2"],
            1.0 / f::minute(),
        ),
        us(
            "gal/(min·ft²)",
            &["gal/min/ft2", "gpm/ft2", "gal/ft2/min"],
            f::gallon() / f::minute() / f::foot2(),
        ),
        us(
            "gal/(d·ft²)",
            &["gal/d/ft2", "gal/ft2/d"],
            f::gallon() / f::day() / f::foot2(),
        ),
    ]
}
