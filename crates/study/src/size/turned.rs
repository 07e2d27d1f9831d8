//! The question turned round: how far the line as it is still closes with the evaporator that it has.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_run::RunError;
use dragback_run::clock::{Clock, Hours};
use dragback_run::settle::settle;
use dragback_scenario::{
    Air, AirMap, Drain, FedFrom, Input, Loop, Scenario, Tower, TowerAir, get, levers, set_si,
};
use dragback_units::{Dim, Quantity, kelvin_from_celsius};
use serde::Serialize;

use super::edge::{Edge, Found, Span};
use super::holds::{Holds, holds_to};
use crate::balance::runs_over;
use crate::case::{Case, StudyError};
use crate::figures::Means;
use crate::margin::week_margin_l_per_h;

/// What is moved until the loop just closes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Moved {
    /// Rinse water, everything else as it is.
    Rinse,
    /// Drag-out, with rinse water in the same ratio.
    DragOut,
    /// Set point of the tank that feeds the towers.
    SetPoint,
    /// Relative humidity of the air that the tower draws, at the same temperature.
    AirHumidity,
    /// Temperature of the air that the tower draws, at the same relative humidity.
    AirTemperature,
}

/// How far an input may be moved until the loop just closes, in the mean air of the year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reach {
    /// What is moved.
    pub moved: Moved,
    /// Its path; of air that differs from month to month the path of the whole.
    pub path: String,
    /// Dimension of the values.
    #[serde(skip)]
    pub dim: Dim,
    /// Its value, SI; of air that differs from month to month that of its mean.
    pub now_si: f64,
    /// Value at which the closure margin of the week is nought, SI: the most of rinse water, drag-out, humidity and warmth of the air, the least of a set
    /// point. `None` where it closes nowhere, or everywhere, within what was looked at.
    pub closes_at_si: Option<f64>,
    /// Least and greatest value that was looked at, SI.
    pub looked_at_si: [f64; 2],
    /// Whether the loop closes as it is; `None` where there is no answer, as it is or at a value on which `closes_at_si` would rest.
    pub closes_now: Option<bool>,
    /// Of rinse water and drag-out, the most at which the collection tank does not run over, SI, where it does before the week ceases to close. `None` where it
    /// never does, or always, among the values at which the week closes.
    pub holds_to_si: Option<f64>,
    /// Whether the collection tank does not run over at the flow as it is; `None` of what is no flow, and where there is no answer, as it is or at a value on
    /// which `holds_to_si` would rest.
    pub holds_now: Option<bool>,
}

impl Reach {
    /// What was found of an input; of flows it is still to be told whether the collection tank holds them.
    fn of(
        moved: Moved,
        path: String,
        (dim, now_si): (Dim, f64),
        of: (Found, &Span),
        now: Option<bool>,
    ) -> Self {
        let (found, span) = of;
        let (closes_at_si, closes_now) = match found {
            Found::At(si) => (Some(si), now),
            Found::Nowhere => (None, now),
            Found::NoAnswer => (None, None),
        };
        Self {
            moved,
            path,
            dim,
            now_si,
            closes_at_si,
            looked_at_si: [span.low, span.high],
            closes_now,
            holds_to_si: None,
            holds_now: None,
        }
    }

    /// Where the loop closes, in words; `told` writes a value. `None` without an answer.
    #[must_use]
    pub fn closes_words(&self, told: &dyn Fn(f64) -> String) -> Option<String> {
        let is_least = self.moved == Moved::SetPoint;
        let word = if is_least { "from" } else { "up to" };
        let [low, high] = self.looked_at_si;
        Some(match (self.closes_at_si, self.closes_now?) {
            (Some(si), _) => format!("{word} {}", told(si)),
            (None, true) if is_least => format!("from {} or less", told(low)),
            (None, true) => format!("up to {} or more", told(high)),
            (None, false) => "at no value".to_owned(),
        })
    }

    /// Up to which flow the collection tank holds, in words; `None` where it always does, or that is not known.
    #[must_use]
    pub fn holds_words(&self, told: &dyn Fn(f64) -> String) -> Option<String> {
        match (self.holds_to_si, self.holds_now?) {
            (Some(si), _) => Some(format!("up to {}", told(si))),
            (None, false) => Some("at no value".to_owned()),
            (None, true) => None,
        }
    }
}

/// Flows are looked at up to so many times what they are, and down to that part of it.
const FAR: f64 = 20.0;
/// Lowest set point that is looked at, °C.
const COOLEST_C: f64 = 25.0;
/// Humidities and temperatures of air that are looked at.
const AIR_HUMIDITY: (f64, f64) = (0.01, 0.99);
const AIR_C: (f64, f64) = (-10.0, 45.0);
/// Steps in which a flow, a set point (in kelvin, some 5 K) and a humidity are moved until the loop closes no longer, or does.
const FLOW_STEP: f64 = 1.4;
const KELVIN_STEP: f64 = 1.015;
const HUMIDITY_STEP: f64 = 1.25;

/// The line that is asked about.
struct Line<'a> {
    scenario: &'a Scenario,
    key: &'a str,
    cache: &'a TowerCache,
    /// The margin of the line as it is, and whether its collection tank does not run over.
    now: Option<f64>,
    holds_now: bool,
}

/// How far the loop still closes; nothing for a loop without towers.
///
/// # Errors
/// When `watch` gives up.
pub fn reaches(
    scenario: &Scenario,
    key: &str,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Reach>, StudyError> {
    let Some(line) = scenario.loops.get(key) else {
        return Ok(Vec::new());
    };
    let Some(tower) = line.towers.values().find(|t| t.on) else {
        return Ok(Vec::new());
    };
    let mut asked = Line {
        scenario,
        key,
        cache,
        now: None,
        holds_now: true,
    };
    let now = asked.seen(scenario.clone(), watch)?;
    asked.now = now.and_then(|seen| seen.margin);
    asked.holds_now = now.is_none_or(|seen| seen.holds);
    let mut found = flows(&asked, line, watch)?;
    found.extend(set_point(&asked, line, tower, watch)?);
    found.extend(air(&asked, tower, watch)?);
    Ok(found)
}

/// Rinse water, and drag-out with it.
fn flows(
    asked: &Line<'_>,
    line: &Loop,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Reach>, StudyError> {
    let key = asked.key;
    let sections = line.sections.iter();
    let recovered = sections.filter(|(_, s)| s.drain != Drain::Treatment);
    let feeds: Vec<String> = recovered
        .map(|(name, _)| format!("{key}.sections.{name}.flow"))
        .collect();
    let [feed] = &feeds[..] else {
        return Ok(Vec::new());
    };
    let mut found = Vec::new();
    found.extend(asked.input(Moved::Rinse, feed, None, watch)?);
    if let Some([drag_out, ..]) = levers(asked.scenario, key) {
        found.extend(asked.input(Moved::DragOut, &drag_out, Some(feed), watch)?);
    }
    Ok(found)
}

/// The set point of the tank that feeds the towers.
fn set_point(
    asked: &Line<'_>,
    line: &Loop,
    tower: &Tower,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<Reach>, StudyError> {
    let (tank, ceiling_k) = match (tower.fed_from, &line.holding_tank) {
        (FedFrom::HoldingTank, Some(holding)) => ("holding_tank", holding.ceiling.si()),
        _ => ("bath", f64::INFINITY),
    };
    let path = format!("{}.{tank}.set_point", asked.key);
    let Some(now) = get(asked.scenario, &path).ok().and_then(|p| p.si()) else {
        return Ok(None);
    };
    let span = Span {
        now,
        low: kelvin_from_celsius(COOLEST_C),
        high: ceiling_k.min(tower.ceiling.si()),
        step: KELVIN_STEP,
        low_closes: false,
    };
    let mut at = |si: f64| {
        let mut changed = asked.scenario.clone();
        match set_si(&mut changed, &path, si) {
            Ok(()) => asked.margin(changed, watch),
            Err(_) => Ok(None),
        }
    };
    let found = Edge::of(&span, asked.now).find(&mut at)?;
    let what = (Dim::Temperature, now);
    let of = (found, &span);
    Ok(Some(Reach::of(
        Moved::SetPoint,
        path,
        what,
        of,
        asked.closes(),
    )))
}

/// Humidity and temperature of the air that a tower draws.
fn air(
    asked: &Line<'_>,
    tower: &Tower,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Reach>, StudyError> {
    let site = &asked.scenario.site;
    let (name, map) = match (tower.air, &site.outside) {
        (TowerAir::Outside, Some(outside)) => ("outside", outside),
        _ => ("room", &site.room),
    };
    let Ok(case) = Case::new(Arc::new(asked.scenario.clone()), asked.cache) else {
        return Ok(Vec::new());
    };
    let net = case.plant.network();
    let own = net.loops.iter().find(|roles| roles.name == asked.key);
    let Some(&first) = own.and_then(|roles| roles.towers.first()) else {
        return Ok(Vec::new());
    };
    let climate = net.towers[first.index()].climate;
    let mean = net.climates[climate.index()].air(MEAN_SLOT);
    let (now_k, now_share) = (kelvin_from_celsius(mean.temp_c), mean.relative_humidity());
    let mut found = Vec::new();
    for (moved, now, (low, high), step, dim) in [
        (
            Moved::AirHumidity,
            now_share,
            AIR_HUMIDITY,
            HUMIDITY_STEP,
            Dim::Fraction,
        ),
        (
            Moved::AirTemperature,
            now_k,
            (kelvin_from_celsius(AIR_C.0), kelvin_from_celsius(AIR_C.1)),
            KELVIN_STEP,
            Dim::Temperature,
        ),
    ] {
        let span = Span {
            now,
            low,
            high,
            step,
            low_closes: true,
        };
        let mut at = |si: f64| {
            let (temp_k, share) = match moved {
                Moved::AirHumidity => (now_k, si),
                _ => (si, now_share),
            };
            let mut changed = asked.scenario.clone();
            let all = AirMap::All(Box::new(Air {
                temperature: Input::new(Quantity::from_si(temp_k)),
                relative_humidity: Input::new(Quantity::from_si(share)),
                notes: None,
            }));
            if name == "outside" {
                changed.site.outside = Some(all);
            } else {
                changed.site.room = all;
            }
            asked.margin(changed, watch)
        };
        let tail = match moved {
            Moved::AirHumidity => "relative_humidity",
            _ => "temperature",
        };
        let path = match map {
            AirMap::All(_) => format!("site.{name}.all.{tail}"),
            AirMap::Months(_) => format!("site.{name}"),
        };
        let edge = Edge::of(&span, asked.now).find(&mut at)?;
        let of = (edge, &span);
        found.push(Reach::of(moved, path, (dim, now), of, asked.closes()));
    }
    Ok(found)
}

/// How a loop stands with an input moved.
#[derive(Clone, Copy)]
struct Seen {
    margin: Option<f64>,
    /// Whether its collection tank does not run over.
    holds: bool,
}

impl Line<'_> {
    /// How far a flow may be moved; another one keeps its ratio to it.
    fn input(
        &self,
        moved: Moved,
        path: &str,
        other: Option<&String>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<Reach>, StudyError> {
        let Ok(input) = get(self.scenario, path) else {
            return Ok(None);
        };
        let Some(now) = input.si().filter(|si| *si > 0.0) else {
            return Ok(None);
        };
        let span = Span {
            now,
            low: now / FAR,
            high: now * FAR,
            step: FLOW_STEP,
            low_closes: true,
        };
        let mut tried = vec![(now, self.holds_now)];
        let mut seen_at = |si: f64| {
            let mut changed = self.scenario.clone();
            let mut is_set = set_si(&mut changed, path, si).is_ok();
            if let Some(other) = other {
                let own = get(&changed, other).ok().and_then(|p| p.si());
                is_set &=
                    own.is_some_and(|own| set_si(&mut changed, other, si / now * own).is_ok());
            }
            if is_set {
                self.seen(changed, watch)
            } else {
                Ok(None)
            }
        };
        let mut margin_at = |si: f64| {
            let seen = seen_at(si)?;
            tried.extend(seen.map(|seen| (si, seen.holds)));
            Ok(seen.and_then(|seen| seen.margin))
        };
        let found = Edge::of(&span, self.now).find(&mut margin_at)?;
        let what = (input.dim().unwrap_or(Dim::Number), now);
        let mut reach = Reach::of(moved, path.to_owned(), what, (found, &span), self.closes());
        if reach.closes_now.is_some() {
            let most = reach.closes_at_si.unwrap_or(span.high);
            let holds = holds_to(&tried, most, &span, &mut |si| {
                Ok(seen_at(si)?.map(|seen| seen.holds))
            })?;
            (reach.holds_to_si, reach.holds_now) = match holds {
                Holds::UpTo(si) => (Some(si), Some(self.holds_now)),
                Holds::Everywhere => (None, Some(true)),
                Holds::Nowhere => (None, Some(false)),
                Holds::NoAnswer => (None, None),
            };
        }
        Ok(Some(reach))
    }

    /// Whether the loop closes as it is.
    fn closes(&self) -> Option<bool> {
        self.now.map(|margin| margin >= 0.0)
    }

    /// The closure margin of a scenario's loop over the week; `None` where there is no answer.
    fn margin(
        &self,
        scenario: Scenario,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<f64>, StudyError> {
        let seen = self.seen(scenario, watch)?;
        Ok(seen.and_then(|seen| seen.margin))
    }

    /// How a scenario's loop stands; `None` where there is no answer.
    fn seen(
        &self,
        scenario: Scenario,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<Seen>, StudyError> {
        let Ok(case) = Case::new(Arc::new(scenario), self.cache) else {
            return Ok(None);
        };
        match self.settled(&case, watch) {
            Ok(seen) => Ok(seen),
            Err(StudyError::Run(RunError::Cancelled)) => Err(StudyError::Run(RunError::Cancelled)),
            Err(_) => Ok(None),
        }
    }

    /// The same of a case.
    fn settled(
        &self,
        case: &Case,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<Seen>, StudyError> {
        let mut loops = case.plant.network().loops.iter();
        let Some(place) = loops.position(|roles| roles.name == self.key) else {
            return Ok(None);
        };
        let clock = Clock {
            hours: Hours::Calendar,
            air: AirChoice::Mean,
        };
        // Near an edge weeks settle slowly, and what a week beyond it held would stay: each is found as everybody finds it.
        let settled = settle(&case.world(), clock, watch)?;
        let margin = week_margin_l_per_h(case, &settled, place, clock, watch)?;
        let roles = &case.plant.network().loops[place];
        let means = Means::new(&case.plant, &settled.trace);
        let line = means.loop_answer(roles, &case.scenario, clock.air);
        Ok(Some(Seen {
            margin,
            holds: !runs_over(&line),
        }))
    }
}
