//! A run as CSV: tanks and films at each moment; streams, evaporation, power and running shares as means over the interval before it.

use std::io::{self, Write};

use dragback_plant::Plant;
use dragback_plant::ids::{DeviceId, HeatId, SoluteId, TowerId, TransferId, VesselId};
use dragback_plant::network::{Gate, HeatLaw, Law};
use dragback_study::{Span, told_m3_per_s, trusted_conductivity, trusted_strength};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, kelvin_from_celsius};

use dragback_report::{Show, csv_number, csv_text};

/// What stands in one column: its head, and the text of each moment.
struct Column<'a> {
    head: String,
    read: Box<dyn Fn(usize) -> String + 'a>,
}

/// Writes the head and one row for each recorded moment.
pub(crate) fn write_trace(span: &Span, show: Show, out: &mut dyn Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    let columns = Columns::of(span, show);
    csv.write_record(columns.iter().map(|c| csv_text(&c.head).into_owned()))
        .map_err(into_io)?;
    for i in 0..span.trace.len() {
        csv.write_record(columns.iter().map(|c| (c.read)(i)))
            .map_err(into_io)?;
    }
    csv.flush()
}

pub(crate) fn into_io(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(e) => e,
        other => io::Error::other(format!("{other:?}")),
    }
}

/// The columns while they are put together.
struct Columns<'a> {
    span: &'a Span,
    show: Show,
    list: Vec<Column<'a>>,
}

impl<'a> Columns<'a> {
    fn of(span: &'a Span, show: Show) -> Vec<Column<'a>> {
        let times_s = span.trace.times_s();
        let time = Column {
            head: "time (h)".to_owned(),
            read: Box::new(|i| csv_number(unit::hours(times_s[i]))),
        };
        let mut columns = Self {
            span,
            show,
            list: vec![time],
        };
        columns.tanks();
        columns.streams();
        columns.evaporation();
        columns.heat_and_devices();
        columns.films();
        columns.list
    }

    /// A column of what a row of the trace says, in SI.
    fn state(
        &mut self,
        name: &str,
        (dim, style): (Dim, Style),
        read: impl Fn(&Plant, &[f64]) -> f64 + 'a,
    ) {
        let (span, show) = (self.span, self.show);
        self.list.push(Column {
            head: format!("{name} ({})", show.unit(dim, style)),
            read: Box::new(move |i| show.csv(dim, style, read(&span.plant, span.trace.row(i)))),
        });
    }

    /// A column of the mean rate since the row before, of an accumulator whose rate becomes SI by `told`.
    fn rate(&mut self, name: &str, dim: Dim, entry: usize, told: impl Fn(f64) -> f64 + 'a) {
        let (span, show) = (self.span, self.show);
        self.list.push(Column {
            head: format!("{name} ({})", show.unit(dim, Style::Default)),
            read: Box::new(move |i| {
                let before = i.checked_sub(1);
                let rate = before.and_then(|before| span.trace.rate(entry, before, i));
                rate.map_or_else(String::new, |r| show.csv(dim, Style::Default, told(r)))
            }),
        });
    }

    /// A column of the mean rate since the row before of all of some accumulators, as a share of a rate; empty where that is none.
    fn share(&mut self, name: &str, entries: Vec<usize>, rated: f64) {
        let (span, show) = (self.span, self.show);
        self.list.push(Column {
            head: format!("{name} ({})", show.unit(Dim::Fraction, Style::Default)),
            read: Box::new(move |i| {
                let before = i.checked_sub(1).filter(|_| rated != 0.0);
                let rate = |entry: &usize| span.trace.rate(*entry, before?, i);
                let rates: Option<Vec<f64>> = entries.iter().map(rate).collect();
                let used = rates.map(|all| all.iter().sum::<f64>() / rated);
                used.map_or_else(String::new, |r| show.csv(Dim::Fraction, Style::Default, r))
            }),
        });
    }

    fn tanks(&mut self) {
        let net = self.span.plant.network();
        for (n, vessel) in net.vessels.iter().enumerate() {
            let (v, name) = (VesselId(n), &vessel.name);
            self.state(
                &format!("{name} volume"),
                (Dim::Volume, Style::Default),
                move |plant, y| plant.holdup(v, y).0,
            );
            self.state(
                &format!("{name} level"),
                (Dim::Length, Style::Default),
                move |plant, y| vessel.shape.level_m(plant.holdup(v, y).0),
            );
            self.state(
                &format!("{name} temperature"),
                (Dim::Temperature, Style::Default),
                move |plant, y| kelvin_from_celsius(plant.holdup(v, y).1),
            );
            self.state(
                &format!("{name} conductivity"),
                (Dim::ElectricConductivity, Style::Default),
                move |plant, y| trusted_conductivity(plant, v, y),
            );
            for (s, solute) in net.solutes.iter().enumerate() {
                self.state(
                    &format!("{name} {}", solute.name),
                    (Dim::Concentration, Style::Bath),
                    move |plant, y| trusted_strength(plant, v, SoluteId(s), y),
                );
            }
        }
    }

    fn streams(&mut self) {
        let (net, layout) = (self.span.plant.network(), self.span.plant.layout());
        for (t, transfer) in net.transfers.iter().enumerate() {
            let name = format!("{} flow", transfer.name);
            self.rate(&name, Dim::VolumeFlow, layout.moved(TransferId(t)), |r| r);
        }
    }

    /// By each tower, and from each open surface.
    fn evaporation(&mut self) {
        let (net, layout) = (self.span.plant.network(), self.span.plant.layout());
        for (t, tower) in net.towers.iter().enumerate() {
            let name = format!("{} evaporation", tower.name);
            let entry = layout.tower_water(TowerId(t));
            self.rate(&name, Dim::VolumeFlow, entry, told_m3_per_s);
        }
        for (v, vessel) in net.vessels.iter().enumerate() {
            if vessel.surface.is_some() {
                let name = format!("{} surface evaporation", vessel.name);
                let entry = layout.surface_water(VesselId(v));
                self.rate(&name, Dim::VolumeFlow, entry, told_m3_per_s);
            }
        }
    }

    /// Power of heaters, coolers (below zero) and current, and how far each device was used.
    fn heat_and_devices(&mut self) {
        let (net, layout) = (self.span.plant.network(), self.span.plant.layout());
        for (h, heat) in net.heats.iter().enumerate() {
            if !matches!(heat.law, HeatLaw::Work { .. }) {
                let name = format!("{} power", heat.name);
                self.rate(&name, Dim::Power, layout.delivered(HeatId(h)), |r| r);
            }
        }
        for (d, device) in net.devices.iter().enumerate() {
            let (entries, rated) = self.used(DeviceId(d));
            self.share(&format!("{} used", device.name), entries, rated);
        }
    }

    /// What counts how far a device was used, and what it comes to in a second of full use: the time of a tower's pump, which its blower goes with; else what
    /// it moved or gave. A device that switches may be averaged, and then its time says nothing. Nothing of what has no rated flow.
    fn used(&self, device: DeviceId) -> (Vec<usize>, f64) {
        let (net, layout) = (self.span.plant.network(), self.span.plant.layout());
        let towers = net.towers.iter();
        if let Some(tower) = towers
            .clone()
            .find(|t| t.pump == device || t.blower == device)
        {
            return (vec![layout.ran(tower.pump)], 1.0);
        }
        let is_its = |gate: &Gate| gate.device == Some(device);
        let heats = net.heats.iter().enumerate().filter_map(|(h, heat)| {
            let rated_w = heat.law.rated_w().filter(|_| is_its(&heat.gate))?;
            Some((layout.delivered(HeatId(h)), rated_w))
        });
        let streams = net
            .transfers
            .iter()
            .enumerate()
            .filter_map(|(t, transfer)| {
                let Law::Fixed { flow_m3_per_s } = transfer.law else {
                    return None;
                };
                is_its(&transfer.gate).then(|| (layout.moved(TransferId(t)), flow_m3_per_s))
            });
        let (entries, rated): (Vec<usize>, Vec<f64>) = heats.chain(streams).unzip();
        (entries, rated.iter().sum())
    }

    /// Strength of each loop's lead solute in the film on the work that leaves its last station.
    fn films(&mut self) {
        let net = self.span.plant.network();
        for roles in &net.loops {
            let lead = &net.solutes[roles.lead.index()].name;
            let name = format!("{} film on the work {lead}", roles.name);
            self.state(&name, (Dim::Concentration, Style::Rinse), |plant, y| {
                plant.film(&roles.last_film, roles.lead, y)
            });
        }
    }
}
