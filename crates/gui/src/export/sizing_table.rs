//! Layouts with their sizes as a table, in the units of the window.

use dragback_units::constants as unit;
use dragback_units::{Dim, Style, System, Unit, kelvin_from_celsius};

use super::table::{Table, cell, head};
use crate::sizing::SizingTable;

/// Every row: those that work first, the best of them first, then those that something stops.
#[must_use]
pub fn sizing_table(table: &SizingTable, system: System) -> Table {
    let of = |dim: Dim, style: Style| dim.display_unit(system, style);
    let flow = of(Dim::VolumeFlow, Style::Default);
    let air = of(Dim::VolumeFlow, Style::Air);
    let (volume, power) = (
        of(Dim::Volume, Style::Default),
        of(Dim::Power, Style::Default),
    );
    let temperature = of(Dim::Temperature, Style::Default);
    let currency = table.currency();
    let cost = format!("{currency}/year");
    let heads = [
        ("layout", ""),
        ("stages", ""),
        ("before", ""),
        ("free final rinse", ""),
        ("closed by", ""),
        ("rinse water", flow.symbol),
        ("free rinse water", flow.symbol),
        ("recovered share", ""),
        ("evaporation, mean air", flow.symbol),
        ("evaporation, worst month", flow.symbol),
        ("heaters", power.symbol),
        ("towers", ""),
        ("holding tank", volume.symbol),
        ("collection tank", volume.symbol),
        ("feed of all towers", flow.symbol),
        ("exhaust air", air.symbol),
        ("tank temperature", temperature.symbol),
        ("saturation of the nearest salt", ""),
        ("yearly cost", cost.trim_start_matches('/')),
        ("verified", ""),
        ("what stops it", ""),
    ];
    let told =
        |unit: &Unit, si: Option<f64>| si.map_or_else(String::new, |si| cell(unit.from_si(si)));
    let write =
        |dim, si| crate::number::joined(crate::number::shown(dim, si, system, Style::Default));
    let plain = |x: Option<f64>| x.map_or_else(String::new, cell);
    let l_per_h = |x: Option<f64>| told(flow, x.map(unit::m3_per_s_from_l_per_h));
    let litres = |x: Option<f64>| told(volume, x.map(unit::m3_from_litres));
    let rows = table.rows.iter().map(|row| {
        vec![
            row.layout.clone(),
            row.stages.to_string(),
            row.before.unwrap_or("").to_owned(),
            if row.free_final { "yes" } else { "no" }.to_owned(),
            row.closed_by.replace('_', " "),
            l_per_h(row.rinse_flow_l_per_h),
            l_per_h(row.free_rinse_flow_l_per_h),
            plain(row.recovered_fraction),
            l_per_h(row.evaporator_duty_l_per_h),
            l_per_h(row.worst_month_l_per_h),
            told(power, row.heater_kw.map(|kw| 1000.0 * kw)),
            row.towers.map_or_else(String::new, |n| n.to_string()),
            litres(row.holding_tank_l),
            litres(row.collection_tank_l),
            l_per_h(row.feed_pump_l_per_min.map(|x| 60.0 * x)),
            told(
                air,
                row.exhaust_air_m3_per_h.map(|x| x / unit::SECONDS_PER_HOUR),
            ),
            told(temperature, row.tank_temperature_c.map(kelvin_from_celsius)),
            plain(row.saturation_fraction),
            plain(row.yearly_cost),
            if row.verified { "yes" } else { "no" }.to_owned(),
            row.limit_as
                .as_ref()
                .map_or_else(String::new, |limit| limit.words(&write)),
        ]
    });
    Table {
        rows: rows.collect(),
        heads: heads.iter().map(|(name, unit)| head(name, unit)).collect(),
    }
}
