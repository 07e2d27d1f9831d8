//! What curves are read against: electrodes, set points, alarms, limits, and the hours in which no work runs.

use dragback_plant::Plant;
use dragback_plant::control::{Relay, Role, Signal};
use dragback_plant::ids::VesselId;
use dragback_plant::network::{HeatLaw, LoopRoles};
use dragback_run::Trace;
use dragback_units::constants::{SECONDS_PER_DAY, SECONDS_PER_HOUR};
use dragback_units::kelvin_from_celsius;

use super::Kind;

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
            name: threshold_name(plant, relay),
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

/// Name of a threshold for people: the tank, and what the last parts of the instrument's path say.
fn threshold_name(plant: &Plant, relay: &Relay) -> String {
    let net = plant.network();
    let tank = &net.vessels[relay.signal.vessel().index()].name;
    let key = |part: &str| net.loops.iter().any(|l| l.name == part);
    let is_place = |part: &str| {
        matches!(
            part,
            "holding_tank" | "collection" | "bath" | "electrodes" | "towers" | "tank"
        )
    };
    let parts = relay.name.split('.').filter(|p| !key(p) && !is_place(p));
    let words: Vec<String> = parts.map(|p| p.replace('_', " ")).collect();
    if words.is_empty() {
        tank.clone()
    } else {
        format!("{tank}: {}", words.join(" "))
    }
}

/// Temperatures that heaters and coolers hold without an instrument of their own.
fn set_points(plant: &Plant, place: &impl Fn(VesselId) -> Option<usize>) -> Vec<Guide> {
    let net = plant.network();
    let each = net.heats.iter().filter_map(|heat| match heat.law {
        HeatLaw::Cool { power_w: 0.0, .. } => None,
        HeatLaw::Hold { set_c, .. } | HeatLaw::Cool { set_c, .. } => {
            let what = match heat.law {
                HeatLaw::Cool { .. } => "cooler's set point",
                _ => "set point",
            };
            let name = format!("{} {what}", net.vessels[heat.vessel.index()].name);
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
    let power = |h: dragback_plant::ids::HeatId| heats[h.index()].law.most_w();
    let mut found = Vec::new();
    let evaporation: f64 = roles.heaters.iter().copied().map(power).sum();
    if evaporation > 0.0 {
        let name = "evaporation heaters, full power";
        found.push(Guide::line(name, GuideKind::Limit, Some(0), evaporation));
    }
    let bath: f64 = roles.bath_heaters_apart().map(power).sum();
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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_run::clock::Clock;
    use dragback_units::constants::{SECONDS_PER_DAY, hours};

    use super::super::{Series, curves};
    use super::*;
    use crate::{Case, Driver, Span, run_span};

    const DAYS: f64 = 28.0;

    fn demo() -> (Case, Span) {
        let text = include_str!("../../../../scenarios/demo.ron");
        let scenario = dragback_scenario::load(text).0.unwrap();
        let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
        let span_s = DAYS * SECONDS_PER_DAY;
        let span = run_span(
            &case,
            span_s,
            Driver::Preview,
            Clock::default(),
            &mut |_| true,
        );
        let span = span.unwrap();
        (case, span)
    }

    fn named<'g>(found: &'g [Guide], part: &str) -> &'g Guide {
        let mut with = found.iter().filter(|g| g.name.contains(part));
        let first = with.next();
        first.unwrap_or_else(|| panic!("no {part} among {found:?}"))
    }

    fn last(series: &[Series], name: &str) -> f64 {
        let found = series.iter().find(|s| s.name == name);
        found
            .and_then(|s| s.points.last())
            .map_or(f64::NAN, |p| p[1])
    }

    #[test]
    fn guides_are_those_of_the_scenario() {
        let (case, span) = demo();
        let roles = &case.plant.network().loops[0];
        let of = |kind| guides(&case.plant, &span.trace, roles, kind);
        let limit = of(Kind::Concentration);
        assert_eq!((limit.len(), limit[0].high), (1, 0.02));
        let levels = of(Kind::Level);
        let has = |si: f64| levels.iter().any(|g| g.low == si || g.high == si);
        for electrode_m in [0.20, 0.60, 0.66, 0.74, 0.77, 0.95] {
            assert!(has(electrode_m), "{electrode_m} m among {levels:?}");
        }
        assert_eq!(
            named(&levels, "high alarm").name,
            "holding tank: high alarm"
        );
        let warm = of(Kind::Temperature);
        let has = |c: f64| {
            warm.iter()
                .any(|g| (g.high - kelvin_from_celsius(c)).abs() < 1e-9)
        };
        assert!(has(55.0) && has(75.0), "{warm:?}");
        let power = of(Kind::Heat);
        assert_eq!(named(&power, "evaporation heaters").high, 52e3);
        assert_eq!(named(&power, "bath heating").high, 30e3);
        let salts = of(Kind::Strength);
        assert!(
            salts.iter().all(|g| g.low > 0.0 && g.points.len() > 20),
            "{salts:?}"
        );
        assert!(!salts.is_empty());
    }

    #[test]
    fn losses_and_water_add_up_to_the_answers_of_the_same_span() {
        let (case, span) = demo();
        let roles = &case.plant.network().loops[0];
        let answers = span.answers();
        let line = &answers.loops[0];
        let loss = curves(&case.plant, &span.trace, roles, Kind::Loss);
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
        let lost = last(&loss, "lost for good");
        assert!(near(lost, DAYS * line.lost_kg_per_day["Ni"]), "{lost}");
        let back = last(&loss, "brought back");
        assert!(near(back, DAYS * line.returned_kg_per_day["Ni"]), "{back}");
        let heat = curves(&case.plant, &span.trace, roles, Kind::Heat);
        let (mut joules, mut before) = (0.0, 0.0);
        for [hour, watts] in &heat[0].points {
            joules += watts * (hour - before) * SECONDS_PER_HOUR;
            before = *hour;
        }
        let mean_kw = joules / (DAYS * SECONDS_PER_DAY) / 1e3;
        assert!(
            (mean_kw / line.heater_mean_kw - 1.0).abs() < 1e-6,
            "{mean_kw}"
        );
        let impurity = curves(&case.plant, &span.trace, roles, Kind::Impurity);
        let names: Vec<&str> = impurity.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(names, ["Fe", "Na"]);
        // 10 mg/L of iron against a limit of 60 mg/L at the start.
        assert!((impurity[0].points[0][1] - 1.0 / 6.0).abs() < 1e-9);
    }

    #[test]
    fn rests_are_nights_and_weekends() {
        let (case, _) = demo();
        let roles = &case.plant.network().loops[0];
        let rests = closed_spans(&case.plant, roles, hours(DAYS * SECONDS_PER_DAY));
        // Two shifts from 6 to 22 on five days a week: the first rest ends on Monday at six.
        assert_eq!(rests[0], [0.0, 6.0]);
        assert_eq!(rests[1], [22.0, 30.0]);
        let weekends = rests.iter().filter(|r| r[1] - r[0] > 24.0).count();
        assert_eq!(weekends, 4);
        let closed: f64 = rests.iter().map(|r| r[1] - r[0]).sum();
        assert_eq!(closed, 4.0 * (168.0 - 80.0));
    }
}
