//! What curves are read against: electrodes, set points, alarms, limits, and the hours in which no work runs.

use dragback_plant::Plant;
use dragback_plant::control::{Relay, Role, Signal};
use dragback_plant::ids::VesselId;
use dragback_plant::network::{HeatLaw, LoopRoles};
use dragback_run::Trace;
use dragback_units::constants::{SECONDS_PER_DAY, SECONDS_PER_HOUR};
use dragback_units::kelvin_from_celsius;

use super::{Kind, more::bath_heaters};

/// How a guide is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GuideKind {
    /// Where something switches, or what is aimed at.
    Set,
    /// A limit that must not be passed, or an alarm.
    Limit,
}

/// A line, a band or a slowly moving limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    /// Name for people.
    pub name: String,
    /// How it is meant.
    pub kind: GuideKind,
    /// Number of the curve that it belongs to; `None` when it belongs to all.
    pub of: Option<usize>,
    /// Lower edge in SI; that of a line is its upper edge too.
    pub low: f64,
    /// Upper edge in SI.
    pub high: f64,
    /// A limit that moves: hours and SI; empty for a fixed one.
    pub points: Vec<[f64; 2]>,
}

impl Guide {
    fn line(name: &str, kind: GuideKind, of: Option<usize>, si: f64) -> Self {
        Self {
            name: name.to_owned(),
            kind,
            of,
            low: si,
            high: si,
            points: Vec::new(),
        }
    }
}

/// The guides of one kind for one loop, for the curves that [`curves`](super::curves) gives.
#[must_use]
pub fn guides(plant: &Plant, trace: &Trace, roles: &LoopRoles, kind: Kind) -> Vec<Guide> {
    let place = |v: VesselId| roles.vessels.iter().position(|x| *x == v);
    match kind {
        Kind::Concentration => {
            let limit = roles.final_limit_kg_per_m3;
            let of = place(roles.last_film.station);
            limit
                .map(|si| Guide::line("final rinse limit", GuideKind::Limit, of, si))
                .into_iter()
                .collect()
        }
        Kind::Level => relays(plant, |r| match r.signal {
            Signal::Level(v) => place(v),
            _ => None,
        }),
        Kind::Temperature => {
            let mut found = set_points(plant, &place);
            let relays = relays(plant, |r| match r.signal {
                Signal::Temperature(v) => place(v),
                _ => None,
            });
            found.extend(relays.into_iter().map(|g| Guide {
                low: kelvin_from_celsius(g.low),
                high: kelvin_from_celsius(g.high),
                ..g
            }));
            found
        }
        Kind::Strength => saturation(plant, trace, roles),
        Kind::Heat => full_power(plant, roles),
        Kind::Impurity => {
            let any = roles.impurity_limits.iter().any(|(_, limit)| *limit > 0.0);
            any.then(|| Guide::line("limit", GuideKind::Limit, None, 1.0))
                .into_iter()
                .collect()
        }
        Kind::Evaporation | Kind::Loss | Kind::Treatment => Vec::new(),
    }
}

/// The thresholds of instruments: a band where something is held, a line where an alarm goes off.
fn relays(plant: &Plant, of: impl Fn(&Relay) -> Option<usize>) -> Vec<Guide> {
    let each = plant.network().relays.iter().filter_map(|relay| {
        let of = of(relay)?;
        let (low, high) = match relay.role {
            Role::Regulate | Role::Permit => (relay.lower, relay.upper),
            Role::Alarm => match relay.acts {
                dragback_plant::control::Acts::Below => (relay.lower, relay.lower),
                dragback_plant::control::Acts::Above => (relay.upper, relay.upper),
            },
        };
        Some(Guide {
            name: relay.name.clone(),
            kind: if relay.role == Role::Alarm {
                GuideKind::Limit
            } else {
                GuideKind::Set
            },
            of: Some(of),
            low,
            high,
            points: Vec::new(),
        })
    });
    each.collect()
}

/// Temperatures that heaters and coolers hold without an instrument of their own.
fn set_points(plant: &Plant, place: &impl Fn(VesselId) -> Option<usize>) -> Vec<Guide> {
    let net = plant.network();
    let each = net.heats.iter().filter_map(|heat| match heat.law {
        HeatLaw::Hold { set_c, .. } => {
            let name = format!("{} set point", net.vessels[heat.vessel.index()].name);
            let of = Some(place(heat.vessel)?);
            Some(Guide::line(
                &name,
                GuideKind::Set,
                of,
                kelvin_from_celsius(set_c),
            ))
        }
        _ => None,
    });
    each.collect()
}

/// The strength at which the first salt would come out of each tank if all its solutes rose together, once a day.
fn saturation(plant: &Plant, trace: &Trace, roles: &LoopRoles) -> Vec<Guide> {
    let tanks = [Some(roles.bath), roles.holding].into_iter().flatten();
    let each = tanks.enumerate().filter_map(|(place, v)| {
        let mut salt = None;
        let mut points = Vec::new();
        for i in daily(trace) {
            let y = trace.row(i);
            let temp_c = plant.holdup(v, y).1;
            let (Some(found), Some(strength)) = (
                plant.nearest_saturation(v, y, temp_c),
                plant.concentration(v, roles.lead, y),
            ) else {
                continue;
            };
            if found.index > 1e-6 && strength > 0.0 {
                salt = Some(found.salt);
                points.push([
                    trace.times_s()[i] / SECONDS_PER_HOUR,
                    strength / found.index,
                ]);
            }
        }
        let low = points.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(|p| p[1]).fold(0.0, f64::max);
        Some(Guide {
            name: format!(
                "{}: {} comes out",
                plant.network().vessels[v.index()].name,
                salt?
            ),
            kind: GuideKind::Limit,
            of: Some(place),
            low,
            high,
            points,
        })
    });
    each.collect()
}

/// One moment of each day.
fn daily(trace: &Trace) -> Vec<usize> {
    let last = trace.times_s().last().copied().unwrap_or(0.0);
    let mut found = Vec::new();
    let mut at_s = 0.0;
    while !trace.is_empty() && at_s <= last {
        let i = trace.at(at_s);
        if found.last() != Some(&i) {
            found.push(i);
        }
        at_s += SECONDS_PER_DAY;
    }
    found
}

/// What all heaters together can give.
fn full_power(plant: &Plant, roles: &LoopRoles) -> Vec<Guide> {
    let heats = &plant.network().heats;
    let power = |h: &dragback_plant::ids::HeatId| match heats[h.index()].law {
        HeatLaw::Power { power_w } => power_w,
        HeatLaw::Coil { cap_w, .. } => cap_w,
        HeatLaw::Hold { heat_w, .. } => heat_w,
        HeatLaw::Work { .. } => 0.0,
    };
    let mut found = Vec::new();
    let evaporation: f64 = roles.heaters.iter().map(power).sum();
    if evaporation > 0.0 {
        let name = "evaporation heaters, full power";
        found.push(Guide::line(name, GuideKind::Limit, Some(0), evaporation));
    }
    let bath: f64 = bath_heaters(plant, roles).iter().map(power).sum();
    if bath > 0.0 {
        let place = usize::from(!roles.heaters.is_empty());
        found.push(Guide::line(
            "bath heating, full power",
            GuideKind::Limit,
            Some(place),
            bath,
        ));
    }
    found
}

/// Spans in which the work of a loop rests, hours from the start, over a run of so many hours.
#[must_use]
pub fn closed_spans(plant: &Plant, roles: &LoopRoles, span_h: f64) -> Vec<[f64; 2]> {
    let net = plant.network();
    let work = &net.works[roles.work.index()];
    let calendar = &net.calendars[work.calendar.index()];
    let end_s = span_h * SECONDS_PER_HOUR;
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut at_s = 0.0;
    while at_s < end_s {
        let next_s = calendar.next_change_s(at_s).min(end_s);
        if !calendar.is_open(at_s) {
            found.push([at_s / SECONDS_PER_HOUR, next_s / SECONDS_PER_HOUR]);
        }
        if next_s <= at_s {
            break;
        }
        at_s = next_s;
    }
    found
}
