//! Layouts with their sizes as a table, in the units of the window.

use dragback_study::size::{Heat, Row};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, System, Unit, kelvin_from_celsius};

use super::table::{Table, cell, head};
use crate::number::{joined, shown};
use crate::sizing::SizingTable;

/// A column: its head, its unit, and what stands in it.
struct Column {
    name: &'static str,
    unit: String,
    cell: Box<dyn Fn(&Row) -> String>,
}

/// A column of words.
fn words(name: &'static str, told: impl Fn(&Row) -> String + 'static) -> Column {
    Column {
        name,
        unit: String::new(),
        cell: Box::new(told),
    }
}

/// A column of numbers without a unit.
fn plain(name: &'static str, value: impl Fn(&Row) -> Option<f64> + 'static) -> Column {
    words(name, move |row| value(row).map_or_else(String::new, cell))
}

/// A column of numbers in a unit, from their SI values.
fn number(
    name: &'static str,
    unit: &'static Unit,
    si: impl Fn(&Row) -> Option<f64> + 'static,
) -> Column {
    Column {
        unit: unit.symbol.to_owned(),
        ..plain(name, move |row| si(row).map(|si| unit.from_si(si)))
    }
}

/// A column of a part of the heat.
fn heat(name: &'static str, power: &'static Unit, of: fn(&Heat) -> f64) -> Column {
    number(name, power, move |row| {
        row.heat.as_ref().map(|h| 1000.0 * of(h))
    })
}

fn yes_no(is_so: bool) -> String {
    if is_so { "yes" } else { "no" }.to_owned()
}

/// What tells a layout from the others, and what flows.
fn flows(system: System) -> Vec<Column> {
    let flow = Dim::VolumeFlow.display_unit(system, Style::Default);
    let l_per_h = |x: Option<f64>| x.map(unit::m3_per_s_from_l_per_h);
    vec![
        words("layout", |row| row.layout.clone()),
        words("stages", |row| row.stages.to_string()),
        words("before", |row| row.before.unwrap_or("").to_owned()),
        words("free final rinse", |row| yes_no(row.free_final_rinse)),
        words("closed by", |row| row.closed_by.replace('_', " ")),
        number("rinse water", flow, move |row| {
            l_per_h(row.rinse_flow_l_per_h)
        }),
        number("free rinse water", flow, move |row| {
            l_per_h(row.free_rinse_flow_l_per_h)
        }),
        plain("recovered share", |row| row.recovered_fraction),
        number("evaporation, mean air", flow, move |row| {
            l_per_h(row.evaporator_duty_l_per_h)
        }),
        number("evaporation, worst month", flow, move |row| {
            l_per_h(row.worst_month_l_per_h)
        }),
        words("worst month", |row| {
            row.worst_month.unwrap_or("").to_owned()
        }),
        words("film hardest in", |row| {
            row.film_month.unwrap_or("").to_owned()
        }),
    ]
}

/// What is installed.
fn equipment(system: System) -> Vec<Column> {
    let of = |dim: Dim, style: Style| dim.display_unit(system, style);
    let (flow, air) = (
        of(Dim::VolumeFlow, Style::Default),
        of(Dim::VolumeFlow, Style::Air),
    );
    let volume = of(Dim::Volume, Style::Default);
    let power = of(Dim::Power, Style::Default);
    let temperature = of(Dim::Temperature, Style::Default);
    let minutes = unit::SECONDS_PER_HOUR / unit::SECONDS_PER_MINUTE;
    vec![
        number("heaters", power, |row| row.heater_kw.map(|kw| 1000.0 * kw)),
        heat("heaters give, mean", power, |h| h.mean_kw),
        heat("heat to evaporate", power, |h| h.latent_kw),
        heat("heat to warm what comes in", power, |h| h.refill_kw),
        heat("heat to warm the towers' air", power, |h| h.air_kw),
        heat("heat lost by the tank", power, |h| h.losses_kw),
        heat("heat of work and coolers less current", power, |h| {
            h.others_kw
        }),
        plain("margin of the heaters", |row| {
            row.heat.and_then(|h| h.margin_fraction)
        }),
        words("towers", |row| {
            row.towers.map_or_else(String::new, |n| n.to_string())
        }),
        number("holding tank", volume, |row| {
            row.holding_tank_l.map(unit::m3_from_litres)
        }),
        number("collection tank", volume, |row| {
            row.collection_tank_l.map(unit::m3_from_litres)
        }),
        number("feed of all towers", flow, move |row| {
            let per_min = row.feed_pump_l_per_min;
            per_min.map(|x| unit::m3_per_s_from_l_per_h(minutes * x))
        }),
        number("exhaust air", air, |row| {
            row.exhaust_air_m3_per_h.map(|x| x / unit::SECONDS_PER_HOUR)
        }),
        number("tank temperature", temperature, |row| {
            row.tank_temperature_c.map(kelvin_from_celsius)
        }),
        plain("saturation of the nearest salt", |row| {
            row.saturation_fraction
        }),
    ]
}

/// Every row: those that work first, the best of them first, then those that something stops.
#[must_use]
pub fn sizing_table(table: &SizingTable, system: System) -> Table {
    let cost = format!("{}/year", table.currency());
    let write = move |dim, si| joined(shown(dim, si, system, Style::Default));
    let mut columns = flows(system);
    columns.extend(equipment(system));
    columns.extend([
        Column {
            unit: cost.trim_start_matches('/').to_owned(),
            ..plain("yearly cost", |row| row.yearly_cost)
        },
        words("first limit within a year", |row| {
            let first = row.first_limit.as_ref();
            first.map_or_else(String::new, |l| format!("{} in the {}", l.what, l.vessel))
        }),
        plain("days to it", |row| row.first_limit.as_ref().map(|l| l.days)),
        words("verified", |row| yes_no(row.verified)),
        words("what stops it", move |row| {
            let limit = row.limit_as.as_ref();
            limit.map_or_else(String::new, |limit| limit.words(&write))
        }),
    ]);
    let of = |row: &Row| columns.iter().map(|c| (c.cell)(row)).collect();
    Table {
        rows: table.rows.iter().map(of).collect(),
        heads: columns.iter().map(|c| head(c.name, &c.unit)).collect(),
    }
}
