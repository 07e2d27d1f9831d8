//! A run as CSV: tanks at each moment, streams as means over the interval before it.

use std::io::{self, Write};

use dragback_plant::ids::{SoluteId, TransferId, VesselId};
use dragback_study::Span;
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, kelvin_from_celsius};

use crate::show::{Show, csv_number};

/// Writes the head and one row for each recorded moment.
pub(crate) fn write_trace(span: &Span, show: Show, out: &mut dyn Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(heads(span, show)).map_err(into_io)?;
    for i in 0..span.trace.len() {
        csv.write_record(row(span, show, i)).map_err(into_io)?;
    }
    csv.flush()
}

pub(crate) fn into_io(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(e) => e,
        other => io::Error::other(format!("{other:?}")),
    }
}

fn heads(span: &Span, show: Show) -> Vec<String> {
    let net = span.plant.network();
    let of = |dim: Dim, style: Style| show.unit(dim, style);
    let (volume, level) = (
        of(Dim::Volume, Style::Default),
        of(Dim::Length, Style::Default),
    );
    let (temperature, strength) = (
        of(Dim::Temperature, Style::Default),
        of(Dim::Concentration, Style::Bath),
    );
    let flow = of(Dim::VolumeFlow, Style::Default);
    let mut heads = vec!["time (h)".to_owned()];
    for v in &net.vessels {
        heads.push(format!("{} volume ({volume})", v.name));
        heads.push(format!("{} level ({level})", v.name));
        heads.push(format!("{} temperature ({temperature})", v.name));
        heads.extend(
            net.solutes
                .iter()
                .map(|s| format!("{} {} ({strength})", v.name, s.name)),
        );
    }
    heads.extend(
        net.transfers
            .iter()
            .map(|t| format!("{} flow ({flow})", t.name)),
    );
    heads
}

fn row(span: &Span, show: Show, i: usize) -> Vec<String> {
    let (plant, trace) = (&span.plant, &span.trace);
    let (net, layout, y) = (plant.network(), plant.layout(), trace.row(i));
    let mut row = vec![csv_number(unit::hours(trace.times_s()[i]))];
    for (v, vessel) in net.vessels.iter().enumerate() {
        let (volume_m3, temp_c, _) = plant.holdup(VesselId(v), y);
        row.push(show.csv(Dim::Volume, Style::Default, volume_m3));
        row.push(show.csv(Dim::Length, Style::Default, vessel.shape.level_m(volume_m3)));
        row.push(show.csv(
            Dim::Temperature,
            Style::Default,
            kelvin_from_celsius(temp_c),
        ));
        row.extend((0..net.solutes.len()).map(|s| {
            let strength = plant
                .concentration(VesselId(v), SoluteId(s), y)
                .unwrap_or(f64::NAN);
            show.csv(Dim::Concentration, Style::Bath, strength)
        }));
    }
    row.extend((0..net.transfers.len()).map(|t| {
        let before = i.checked_sub(1);
        let rate = before.and_then(|before| trace.rate(layout.moved(TransferId(t)), before, i));
        rate.map_or_else(String::new, |flow| {
            show.csv(Dim::VolumeFlow, Style::Default, flow)
        })
    }));
    row
}
