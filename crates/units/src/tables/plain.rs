//! Time, fractions, bare numbers and rates per time.

use crate::factor as f;
use crate::unit::{Unit, common, common_read, metric_read, us};

pub(crate) fn time() -> Vec<Unit> {
    vec![
        common("h", &[], f::hour()),
        common("d", &[], f::day()),
        common("min", &[], f::minute()),
        common("s", &[], f::second()),
        common_read("week", &[], f::week()),
        common_read("year", &[], f::year()),
    ]
}

pub(crate) fn fraction() -> Vec<Unit> {
    vec![
        common("%", &["percent", "pct"], f::percent()),
        common(
            "",
            &["kg/kg", "g/g", "lb/lb", "L/L", "m3/m3", "gal/gal"],
            1.0,
        ),
        common_read("‰", &[], f::per_mille()),
        metric_read("g/kg", &["mL/L", "L/m3"], f::gram()),
        us("gr/lb", &[], f::grain() / f::pound()),
    ]
}

pub(crate) fn bare() -> Vec<Unit> {
    vec![common("", &[], 1.0)]
}

macro_rules! loads_per {
    ($t:literal) => {
        &[
            concat!("loads/", $t),
            concat!("load/", $t),
            concat!("racks/", $t),
            concat!("rack/", $t),
            concat!("barrels/", $t),
            concat!("barrel/", $t),
            concat!("baskets/", $t),
            concat!("basket/", $t),
            concat!("parts/", $t),
            concat!("part/", $t),
            concat!($t, "-1"),
        ]
    };
}

pub(crate) fn load_rate() -> Vec<Unit> {
    vec![
        common("/h", loads_per!("h"), 1.0 / f::hour()),
        common("/d", loads_per!("d"), 1.0 / f::day()),
        common("/min", loads_per!("min"), 1.0 / f::minute()),
        common("/s", loads_per!("s"), 1.0),
        common_read("/week", loads_per!("week"), 1.0 / f::week()),
    ]
}

pub(crate) fn per_time() -> Vec<Unit> {
    vec![
        common("/h", &["h-1"], 1.0 / f::hour()),
        common("/d", &["d-1"], 1.0 / f::day()),
        common("/min", &["min-1"], 1.0 / f::minute()),
        common("/s", &["s-1"], 1.0),
        common_read("/week", &[], 1.0 / f::week()),
        common_read("/year", &[], 1.0 / f::year()),
        common_read("%/h", &[], f::percent() / f::hour()),
        common_read("%/d", &[], f::percent() / f::day()),
        common_read("%/week", &[], f::percent() / f::week()),
        common_read("%/year", &[], f::percent() / f::year()),
    ]
}
