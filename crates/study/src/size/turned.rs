//! The question turned round: how far the line as it is still closes with the evaporator that it has.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::AirChoice;
use dragback_run::RunError;
use dragback_run::clock::Hours;
use dragback_scenario::{Drain, FedFrom, Scenario, get, levers, set_si};
use dragback_units::{Dim, kelvin_from_celsius};
use serde::Serialize;

use crate::balance::margin;
use crate::case::{Case, StudyError};
use crate::settled::{Depth, settled_answers};

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
}

/// How far an input may be moved until the loop just closes, in the mean air of the year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reach {
    /// What is moved.
    pub moved: Moved,
    /// Its path.
    pub path: String,
    /// Dimension of the values.
    #[serde(skip)]
    pub dim: Dim,
    /// Its value, SI.
    pub now_si: f64,
    /// Value at which the closure margin of the week is nought, SI: the most of rinse water and drag-out, the least of a set point. `None` where it
    /// closes nowhere, or everywhere, within what was looked at: a twentieth to twenty times of a flow, 25 °C to the ceiling of a set point.
    pub closes_at_si: Option<f64>,
}

/// Flows are looked at up to so many times what they are, and down to that part of it.
const FAR: f64 = 20.0;
/// Lowest set point that is looked at, °C.
const COOLEST_C: f64 = 25.0;
/// Steps in which a flow and a set point (in kelvin, some 5 K) are moved until the loop closes no longer, or does.
const FLOW_STEP: f64 = 1.4;
const KELVIN_STEP: f64 = 1.015;
/// Halvings of the last step: a hundredth of it is left.
const HALVINGS: usize = 6;

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
    let recovered = line
        .sections
        .iter()
        .filter(|(_, s)| s.drain != Drain::Treatment);
    let feeds: Vec<String> = recovered
        .map(|(name, _)| format!("{key}.sections.{name}.flow"))
        .collect();
    let (tank, ceiling_k) = match (tower.fed_from, &line.holding_tank) {
        (FedFrom::HoldingTank, Some(holding)) => ("holding_tank", holding.ceiling.si()),
        _ => ("bath", f64::INFINITY),
    };
    let ceiling_k = ceiling_k.min(tower.ceiling.si());
    let drag_out = levers(scenario, key).map(|[drag_out, ..]| drag_out);
    let mut found = Vec::new();
    let mut look = |moved, path: &str, others: &[String], (low, high): (f64, f64)| {
        let Ok(input) = get(scenario, path) else {
            return Ok(());
        };
        let Some(now_si) = input.si().filter(|si| *si > 0.0) else {
            return Ok(());
        };
        let is_flow = moved != Moved::SetPoint;
        let (unit, step) = if is_flow {
            (now_si, FLOW_STEP)
        } else {
            (1.0, KELVIN_STEP)
        };
        let span = Span {
            now: now_si,
            low: low * unit,
            high: high * unit,
            step,
            low_closes: is_flow,
        };
        let mut at = |si: f64| {
            let mut changed = scenario.clone();
            let share = si / now_si;
            let is_set = set_si(&mut changed, path, si).is_ok()
                && others.iter().all(|other| {
                    let own = get(&changed, other).ok().and_then(|p| p.si());
                    own.is_some_and(|own| set_si(&mut changed, other, share * own).is_ok())
                });
            if is_set {
                closes(changed, key, cache, watch)
            } else {
                Ok(None)
            }
        };
        found.push(Reach {
            moved,
            path: path.to_owned(),
            dim: input.dim().unwrap_or(Dim::Number),
            now_si,
            closes_at_si: edge(&span, &mut at)?,
        });
        Ok::<(), StudyError>(())
    };
    if let [feed] = &feeds[..] {
        look(Moved::Rinse, feed, &[], (1.0 / FAR, FAR))?;
        if let Some(path) = &drag_out {
            look(Moved::DragOut, path, &feeds, (1.0 / FAR, FAR))?;
        }
    }
    let path = format!("{key}.{tank}.set_point");
    let span = (kelvin_from_celsius(COOLEST_C), ceiling_k);
    look(Moved::SetPoint, &path, &[], span)?;
    Ok(found)
}

/// Whether a loop closes over the week; `None` where there is no answer.
fn closes(
    scenario: Scenario,
    key: &str,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<bool>, StudyError> {
    let Ok(case) = Case::new(Arc::new(scenario), cache) else {
        return Ok(None);
    };
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    match settled_answers(&case, air, hours, Depth::Quick, watch) {
        Ok(found) => {
            let line = found.answers.loops.iter().find(|l| l.name == key);
            Ok(line.and_then(margin).map(|m| m >= 0.0))
        }
        Err(StudyError::Run(RunError::Cancelled)) => Err(StudyError::Run(RunError::Cancelled)),
        Err(_) => Ok(None),
    }
}

/// What is looked at: from a value on, between two others, in steps of a ratio; whether the lower values are those that close.
struct Span {
    now: f64,
    low: f64,
    high: f64,
    step: f64,
    low_closes: bool,
}

/// The value at which a loop just closes, on the side where it does.
fn edge(
    span: &Span,
    at: &mut dyn FnMut(f64) -> Result<Option<bool>, StudyError>,
) -> Result<Option<f64>, StudyError> {
    let Some(now_closes) = at(span.now)? else {
        return Ok(None);
    };
    let is_up = now_closes == span.low_closes;
    let mut there = span.now;
    let mut here;
    loop {
        let next = if is_up {
            there * span.step
        } else {
            there / span.step
        };
        let next = next.clamp(span.low, span.high);
        if next == there {
            return Ok(None);
        }
        here = there;
        there = next;
        match at(there)? {
            Some(closes) if closes == now_closes => {}
            Some(_) => break,
            None => return Ok(None),
        }
    }
    let (mut inside, mut outside) = if now_closes {
        (here, there)
    } else {
        (there, here)
    };
    for _ in 0..HALVINGS {
        // Flows span decades; a set point, in kelvin, hardly differs either way.
        let middle = (inside * outside).sqrt();
        match at(middle)? {
            Some(true) => inside = middle,
            Some(false) => outside = middle,
            None => return Ok(None),
        }
    }
    Ok(Some(inside))
}
