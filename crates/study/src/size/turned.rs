//! The question turned round: how far the line as it is still closes with the evaporator that it has.

use std::cell::RefCell;
use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_run::RunError;
use dragback_run::clock::{Clock, Hours};
use dragback_run::settle::{Settled, settle_near};
use dragback_scenario::{
    Air, AirMap, Drain, FedFrom, Input, Loop, Scenario, Tower, TowerAir, get, levers, set_si,
};
use dragback_units::{Dim, Quantity, kelvin_from_celsius};
use serde::Serialize;

use super::edge::{Edge, Span};
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
    /// Of rinse water and drag-out, the most at which no tank runs over, SI, where tanks do before the week ceases to close; `None` where they do not.
    pub holds_to_si: Option<f64>,
    /// Least and greatest value that was looked at, SI.
    pub looked_at_si: [f64; 2],
    /// Whether the loop closes as it is; `None` where there is no answer.
    pub closes_now: Option<bool>,
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

/// To this share the flow is known at which a tank begins to run over.
const HOLDS: f64 = 0.01;

/// The line that is asked about.
struct Line<'a> {
    scenario: &'a Scenario,
    key: &'a str,
    cache: &'a TowerCache,
    /// The margin of the line as it is, and whether a tank runs over.
    now: Option<f64>,
    runs_over_now: bool,
    /// What settled last.
    known: RefCell<Option<Settled>>,
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
        runs_over_now: false,
        known: RefCell::new(None),
    };
    let now = asked.seen(scenario.clone(), watch)?;
    asked.now = now.and_then(|seen| seen.margin);
    asked.runs_over_now = now.is_some_and(|seen| seen.runs_over);
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
    let closes_at_si = Edge::of(&span, asked.now).find(&mut at)?;
    Ok(Some(Reach {
        moved: Moved::SetPoint,
        path,
        dim: Dim::Temperature,
        now_si: now,
        closes_at_si,
        holds_to_si: None,
        looked_at_si: [span.low, span.high],
        closes_now: asked.closes(),
    }))
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
        found.push(Reach {
            moved,
            path,
            dim,
            now_si: now,
            closes_at_si: Edge::of(&span, asked.now).find(&mut at)?,
            holds_to_si: None,
            looked_at_si: [low, high],
            closes_now: asked.closes(),
        });
    }
    Ok(found)
}

/// How a loop stands with an input moved.
#[derive(Clone, Copy)]
struct Seen {
    margin: Option<f64>,
    runs_over: bool,
}

/// The most of a flow at which no tank runs over, where one does at `most` or below: between what was tried already, or below it.
fn holds_to(
    tried: &[(f64, bool)],
    most: f64,
    span: &Span,
    runs_over: &mut dyn FnMut(f64) -> Result<bool, StudyError>,
) -> Result<Option<f64>, StudyError> {
    let of = |over: bool| {
        let all = tried.iter().filter(move |t| t.1 == over && t.0 <= most);
        all.map(|t| t.0)
    };
    let mut over = of(true).fold(f64::INFINITY, f64::min);
    if over.is_infinite() {
        return Ok(None);
    }
    let mut holds = of(false).filter(|x| *x < over).fold(0.0, f64::max);
    while holds <= 0.0 {
        let next = over / span.step;
        if next < span.low {
            return Ok(None);
        }
        if runs_over(next)? {
            over = next;
        } else {
            holds = next;
        }
    }
    while over - holds > HOLDS * holds {
        let middle = 0.5 * (over + holds);
        if runs_over(middle)? {
            over = middle;
        } else {
            holds = middle;
        }
    }
    Ok(Some(holds))
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
        let mut tried = vec![(now, self.runs_over_now)];
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
            tried.extend(seen.map(|seen| (si, seen.runs_over)));
            Ok(seen.and_then(|seen| seen.margin))
        };
        let closes_at_si = Edge::of(&span, self.now).find(&mut margin_at)?;
        let most = closes_at_si.unwrap_or(span.high);
        let holds_to_si = holds_to(&tried, most, &span, &mut |si| {
            Ok(seen_at(si)?.is_none_or(|seen| seen.runs_over))
        })?;
        Ok(Some(Reach {
            moved,
            path: path.to_owned(),
            dim: input.dim().unwrap_or(Dim::Number),
            now_si: now,
            closes_at_si,
            holds_to_si,
            looked_at_si: [span.low, span.high],
            closes_now: self.closes(),
        }))
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

    /// The same of a case, from what settled last.
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
        let known = self.known.take();
        let settled = settle_near(&case.world(), known.as_ref(), clock, watch)?;
        let margin = week_margin_l_per_h(case, &settled, place, clock, watch)?;
        let roles = &case.plant.network().loops[place];
        let means = Means::new(&case.plant, &settled.trace);
        let line = means.loop_answer(roles, &case.scenario, clock.air);
        self.known.replace(Some(settled));
        Ok(Some(Seen {
            margin,
            runs_over: runs_over(&line),
        }))
    }
}
