//! Series for plots and tables, in hours and SI.

mod guides;
mod more;

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::network::LoopRoles;
use dragback_run::Trace;
use dragback_units::Dim;
use dragback_units::constants::SECONDS_PER_HOUR;

use crate::trust::trusted_moments;

pub use guides::{Guide, GuideKind, closed_spans, guides};
pub use more::film_on_work;

/// One curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Name for legend and table head.
    pub name: String,
    /// Dimension of the values.
    pub dim: Dim,
    /// Time in hours and value in SI (temperatures in kelvin as the dimension has it).
    pub points: Vec<[f64; 2]>,
}

/// What to plot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The lead solute in every tank of a loop.
    Concentration,
    /// Levels of every tank of a loop.
    Level,
    /// Temperatures of every tank of a loop.
    Temperature,
    /// Water evaporated by towers and surfaces, and fresh rinse water, as means over at least [`MEAN_H`] hours.
    Evaporation,
    /// The lead solute in bath and holding tank, where strength matters rather than cleanliness.
    Strength,
    /// Power given by the evaporation heaters and by the bath's own, as means over at least [`MEAN_H`] hours.
    Heat,
    /// Each solute with a limit in the bath, as a share of its limit.
    Impurity,
    /// The lead solute lost for good and brought back to the bath, since the start.
    Loss,
    /// Water to treatment, make-up of the bath, and liquid brought back to it, as means over at least [`MEAN_H`] hours.
    Treatment,
}

/// Flows are shown as means over this many hours: a switched flow is otherwise a picket fence.
pub const MEAN_H: f64 = 6.0;

fn hours(trace: &Trace) -> impl Iterator<Item = f64> + '_ {
    trace.times_s().iter().map(|t| t / SECONDS_PER_HOUR)
}

fn over_time(trace: &Trace, name: &str, dim: Dim, mut read: impl FnMut(&[f64]) -> f64) -> Series {
    let points = hours(trace)
        .enumerate()
        .map(|(i, h)| [h, read(trace.row(i))])
        .collect();
    Series {
        name: name.to_owned(),
        dim,
        points,
    }
}

/// Mean rate of accumulators over windows of [`MEAN_H`] hours, drawn at the window's end.
fn rate_over_time(trace: &Trace, name: &str, dim: Dim, read: impl Fn(&[f64]) -> f64) -> Series {
    let mut points = Vec::new();
    let times = trace.times_s();
    let mut from = 0;
    for i in 1..trace.len() {
        let dt = times[i] - times[from];
        if dt >= MEAN_H * SECONDS_PER_HOUR - 1.0 || i + 1 == trace.len() {
            points.push([
                times[i] / SECONDS_PER_HOUR,
                (read(trace.row(i)) - read(trace.row(from))) / dt,
            ]);
            from = i;
        }
    }
    Series {
        name: name.to_owned(),
        dim,
        points,
    }
}

/// The curves of one kind for one loop.
#[must_use]
pub fn curves(plant: &Plant, trace: &Trace, roles: &LoopRoles, kind: Kind) -> Vec<Series> {
    let net = plant.network();
    let per_vessel = |dim: Dim, read: &dyn Fn(VesselId, &[f64]) -> f64| -> Vec<Series> {
        let each = roles.vessels.iter();
        each.map(|&v| over_time(trace, &net.vessels[v.index()].name, dim, |y| read(v, y)))
            .collect()
    };
    match kind {
        Kind::Concentration => {
            let each = roles.vessels.iter();
            each.map(|&v| trusted(plant, trace, &net.vessels[v.index()].name, v, roles.lead))
                .collect()
        }
        Kind::Level => per_vessel(Dim::Length, &|v, y| {
            net.vessels[v.index()].shape.level_m(plant.holdup(v, y).0)
        }),
        Kind::Temperature => per_vessel(Dim::Temperature, &|v, y| {
            dragback_units::kelvin_from_celsius(plant.holdup(v, y).1)
        }),
        Kind::Evaporation => evaporation(plant, trace, roles),
        Kind::Strength => {
            let tanks = [Some(roles.bath), roles.holding].into_iter().flatten();
            let named = |v: VesselId| &net.vessels[v.index()].name;
            tanks
                .map(|v| trusted(plant, trace, named(v), v, roles.lead))
                .collect()
        }
        Kind::Heat => more::heat(plant, trace, roles),
        Kind::Impurity => more::impurities(plant, trace, roles),
        Kind::Loss => more::losses(plant, trace, roles),
        Kind::Treatment => more::treatment(plant, trace, roles),
    }
}

/// Water that leaves into the air, and fresh rinse water.
fn evaporation(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Vec<Series> {
    let layout = plant.layout();
    let water = |kg: f64| kg / crate::figures::TOLD_KG_PER_M3;
    let towers = |y: &[f64]| {
        water(
            roles
                .towers
                .iter()
                .map(|&t| y[layout.tower_water(t)])
                .sum::<f64>(),
        )
    };
    let surfaces = |y: &[f64]| {
        water(
            roles
                .vessels
                .iter()
                .map(|&v| y[layout.surface_water(v)])
                .sum::<f64>(),
        )
    };
    let feed = |y: &[f64]| {
        roles
            .rinse_feed
            .iter()
            .map(|&t| y[layout.moved(t)])
            .sum::<f64>()
    };
    vec![
        rate_over_time(trace, "towers and surfaces", Dim::VolumeFlow, |y| {
            towers(y) + surfaces(y)
        }),
        rate_over_time(trace, "surfaces", Dim::VolumeFlow, surfaces),
        rate_over_time(trace, "rinse feed", Dim::VolumeFlow, feed),
    ]
}

/// Strength of one solute in one tank over time, kg/m³.
#[must_use]
pub fn strength(plant: &Plant, trace: &Trace, v: VesselId, s: SoluteId) -> Series {
    let name = format!(
        "{} {}",
        plant.network().vessels[v.index()].name,
        plant.network().solutes[s.index()].name
    );
    trusted(plant, trace, &name, v, s)
}

/// Strength of one solute in one tank over time, kg/m³; a gap where it cannot be trusted.
fn trusted(plant: &Plant, trace: &Trace, name: &str, v: VesselId, s: SoluteId) -> Series {
    let is_trusted = trusted_moments(plant, trace, v, s);
    let mut moments = is_trusted.into_iter();
    over_time(trace, name, Dim::Concentration, |y| {
        let strength = plant.concentration(v, s, y);
        let told = strength.filter(|_| moments.next().unwrap_or(true));
        told.unwrap_or(f64::NAN)
    })
}
