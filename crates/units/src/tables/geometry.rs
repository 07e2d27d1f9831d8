//! Volumes, areas, lengths, films.

use crate::factor as f;
use crate::unit::{Unit, common_read, metric, metric_read, us};

pub(crate) fn volume() -> Vec<Unit> {
    vec![
        metric("L", &["dm3"], f::litre()),
        us("gal", &["US gal", "gal US", "U.S. gal"], f::gallon()),
        metric("m³", &[], 1.0),
        metric("mL", &["cm3", "cc"], f::millilitre()),
        metric_read("µL", &["mm3"], f::microlitre()),
        us("qt", &["quart", "quarts"], f::quart()),
        us("pt", &["pint", "pints"], f::pint()),
        us("fl oz", &["US fl oz"], f::fluid_ounce()),
        us("ft³", &["cf"], f::foot3()),
        us("in³", &[], f::inch3()),
        us(
            "imp gal",
            &[
                "gal imperial",
                "imperial gal",
                "gal imp",
                "gal UK",
                "UK gal",
            ],
            f::imperial_gallon(),
        ),
    ]
}

pub(crate) fn area() -> Vec<Unit> {
    vec![
        metric("m²", &[], 1.0),
        us("ft²", &[], f::foot2()),
        metric("dm²", &[], f::decimetre2()),
        metric("cm²", &[], f::centimetre2()),
        metric_read("mm²", &[], f::millimetre2()),
        us("in²", &[], f::inch2()),
    ]
}

pub(crate) fn length() -> Vec<Unit> {
    vec![
        metric("m", &[], f::metre()),
        us("ft", &[], f::foot()),
        metric("mm", &[], f::millimetre()),
        metric_read("cm", &[], f::centimetre()),
        metric_read("dm", &[], f::decimetre()),
        us("in", &[], f::inch()),
        metric("µm", &["micron", "microns"], f::micrometre()),
        metric_read("km", &[], f::kilo()),
        us("yd", &["yard", "yards"], f::yard()),
        us("mil", &["mils"], f::mil()),
    ]
}

pub(crate) fn film() -> Vec<Unit> {
    vec![
        metric("L/m²", &["mm"], f::litre()),
        us(
            "gal/1000 ft²",
            &["gal/1000 sqft", "gal/kft2", "gal/Mft2"],
            f::gallon() / (1000.0 * f::foot2()),
        ),
        metric("mL/m²", &["cm3/m2"], f::millilitre()),
        metric("mL/dm²", &["cm3/dm2"], f::millilitre() / f::decimetre2()),
        metric_read("mL/cm²", &["cm3/cm2"], f::millilitre() / f::centimetre2()),
        metric_read("m³/m²", &[], 1.0),
        metric_read("L/100 m²", &[], f::litre() / 100.0),
        metric_read("L/1000 m²", &[], f::litre() / f::kilo()),
        metric_read("µm", &["um"], f::micrometre()),
        us("gal/ft²", &[], f::gallon() / f::foot2()),
        us("gal/100 ft²", &[], f::gallon() / (100.0 * f::foot2())),
        us("mL/ft²", &["cm3/ft2"], f::millilitre() / f::foot2()),
        us("fl oz/ft²", &[], f::fluid_ounce() / f::foot2()),
        us(
            "imp gal/1000 ft²",
            &[],
            f::imperial_gallon() / (1000.0 * f::foot2()),
        ),
    ]
}

pub(crate) fn specific_surface() -> Vec<Unit> {
    vec![
        metric("m²/m³", &["1/m"], 1.0),
        us("ft²/ft³", &["1/ft"], f::foot2() / f::foot3()),
        common_read("cm²/cm³", &["1/cm"], 1.0 / f::centimetre()),
    ]
}
