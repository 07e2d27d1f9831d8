//! The operating points as a CSV file.

use anyhow::Result;
use dragback_units::{Dim, Style, kelvin_from_celsius};

use super::points::TowerSheet;
use super::{fog_unit, heat_unit};
use crate::io::Io;
use crate::target::Target;
use crate::trace_csv::into_io;
use dragback_report::{Show, csv_number, csv_text};

/// One row for each point of each tower.
pub(super) fn write_csv(
    target: &Target,
    sheets: &[TowerSheet],
    show: Show,
    io: &mut Io<'_>,
) -> Result<()> {
    let unit = |dim| show.unit(dim, Style::Default);
    let (t, q) = (unit(Dim::Temperature), unit(Dim::VolumeFlow));
    let (p, fog) = (heat_unit(show).symbol, fog_unit(show));
    let heads = [
        "tower".to_owned(),
        "inlet air".to_owned(),
        format!("air temperature ({t})"),
        "air relative humidity (%)".to_owned(),
        format!("solution temperature ({t})"),
        format!("evaporation ({q})"),
        format!("heat drawn ({p})"),
        format!("solution leaving ({t})"),
        format!("air leaving ({t})"),
        "air leaving saturation (%)".to_owned(),
        format!("fog ({fog})"),
    ];
    target.write(io, |out| {
        let mut csv = csv::Writer::from_writer(out);
        csv.write_record(&heads).map_err(into_io)?;
        for sheet in sheets {
            for point in &sheet.points {
                let c = |dim, si| show.csv(dim, Style::Default, si);
                let temperature = |temp_c: f64| c(Dim::Temperature, kelvin_from_celsius(temp_c));
                csv.write_record([
                    csv_text(&sheet.name).into_owned(),
                    csv_text(&point.inlet).into_owned(),
                    temperature(point.air_c),
                    c(Dim::Fraction, point.relative_humidity),
                    temperature(point.solution_c),
                    c(Dim::VolumeFlow, point.evaporation_m3_per_s()),
                    csv_number(heat_unit(show).from_si(1000.0 * point.heat_kw)),
                    temperature(point.solution_out_c),
                    temperature(point.air_out_c),
                    c(Dim::Fraction, point.air_out_saturation),
                    csv_number(point.fog_g_per_kg_dry_air),
                ])
                .map_err(into_io)?;
            }
        }
        csv.flush()
    })
}
