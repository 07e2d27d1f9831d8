//! Curves beyond those of the tanks: heat, impurities, losses, water.

use dragback_plant::Plant;
use dragback_plant::ids::{HeatId, TransferId};
use dragback_plant::network::{HeatLaw, LoopRoles};
use dragback_run::Trace;
use dragback_units::Dim;

use crate::figures::Means;
use crate::losses::lost_entries;

use super::{Series, over_time, rate_over_time};

/// Power of the evaporation heaters, of the bath's own and of its coolers; cooling is below zero.
pub(super) fn heat(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Vec<Series> {
    let layout = plant.layout();
    let heats = &plant.network().heats;
    let cools = |h: &HeatId| match heats[h.index()].law {
        HeatLaw::Cool { power_w, .. } => power_w > 0.0,
        _ => false,
    };
    let kinds = [
        ("evaporation heaters", roles.heaters.clone()),
        ("bath heating", roles.bath_heaters_apart().collect()),
        (
            "bath cooling",
            roles.bath_coolers.iter().copied().filter(cools).collect(),
        ),
    ];
    let there = kinds.into_iter().filter(|(_, of)| !of.is_empty());
    let each = there.map(|(name, of): (&str, Vec<HeatId>)| {
        let read = |y: &[f64]| of.iter().map(|&h| y[layout.delivered(h)]).sum();
        rate_over_time(trace, name, Dim::Power, read)
    });
    each.collect()
}

/// Each solute with a limit in the bath, as a share of its limit.
pub(super) fn impurities(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Vec<Series> {
    let limits = roles
        .impurity_limits
        .iter()
        .filter(|(_, limit)| *limit > 0.0);
    limits
        .map(|&(s, limit)| {
            let name = &plant.network().solutes[s.index()].name;
            over_time(trace, name, Dim::Fraction, |y| {
                plant
                    .concentration(roles.bath, s, y)
                    .map_or(f64::NAN, |c| c / limit)
            })
        })
        .collect()
}

/// The lead solute lost and brought back since the start, kg.
pub(super) fn losses(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Vec<Series> {
    let layout = plant.layout();
    let lead = layout.solute(roles.lead);
    let Some(first) = (!trace.is_empty()).then(|| trace.row(0)) else {
        return Vec::new();
    };
    let since =
        |entries: &[usize], y: &[f64]| -> f64 { entries.iter().map(|&e| y[e] - first[e]).sum() };
    let metered = |transfers: &[TransferId]| -> Vec<usize> {
        let meters = transfers.iter().filter_map(|&t| layout.meter(t));
        meters.map(|m| m + lead).collect()
    };
    let gone = lost_entries(plant, roles, roles.lead).into_iter();
    let gone: Vec<usize> = gone.map(|(_, entry)| entry).collect();
    let (back, taken) = (metered(&roles.returns), metered(&roles.withdrawals));
    let out = metered(&roles.drag_out);
    vec![
        over_time(trace, "dragged out", Dim::Mass, |y| since(&out, y)),
        over_time(trace, "brought back", Dim::Mass, |y| {
            since(&back, y) - since(&taken, y)
        }),
        over_time(trace, "lost for good", Dim::Mass, |y| since(&gone, y)),
    ]
}

/// Water to treatment, make-up of the bath, and liquid brought back to it.
pub(super) fn treatment(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Vec<Series> {
    let layout = plant.layout();
    let moved = |transfers: &[TransferId], y: &[f64]| -> f64 {
        transfers.iter().map(|&t| y[layout.moved(t)]).sum()
    };
    let flow = |name: &str, transfers: &[TransferId]| {
        rate_over_time(trace, name, Dim::VolumeFlow, |y| moved(transfers, y))
    };
    vec![
        flow("to treatment", &roles.to_treatment),
        flow("make-up to the bath", &roles.make_up),
        flow("back to the bath", &roles.returns),
    ]
}

/// Strength of the lead solute in the film that leaves on the work, kg/m³; a gap where nothing passes.
#[must_use]
pub fn film_on_work(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Series {
    let means = Means::new(plant, trace);
    let mut films = means.films_at_work(roles).peekable();
    let times = trace.times_s().iter().skip(1);
    let points = times.map(|&t_s| {
        let film = films.next_if(|(at_s, _)| *at_s <= t_s);
        let strength = film.map_or(f64::NAN, |(_, kg_per_m3)| kg_per_m3);
        [t_s / dragback_units::constants::SECONDS_PER_HOUR, strength]
    });
    Series {
        name: "film on the work".to_owned(),
        dim: Dim::Concentration,
        points: points.collect(),
    }
}
