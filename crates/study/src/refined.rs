//! Where the averaged driver does not stand on firm ground.

use dragback_plant::calendar::WEEK_S;
use dragback_plant::control::{Role, Signal};
use dragback_plant::ids::{TransferId, VesselId};
use dragback_plant::network::{End, Law, Transfer};
use dragback_run::Alarm;
use dragback_run::clock::Hours;
use dragback_scenario::Scenario;

use crate::answers::LoopAnswer;
use crate::figures::Means;

/// Duty above which thermostats are close to being always on.
const FIRM_DUTY: f64 = 0.9;
/// An overflow of less than this share of what runs into its tank is a small difference of large flows.
const SMALL_DIFFERENCE: f64 = 0.05;
/// A tank whose mean comes to this share at times may stand at its brim between the batches that fill and empty it.
const BRIM: f64 = 0.9;
/// A tank that is on the mean less full than this is filled and emptied.
const BUFFER: f64 = 0.9;
/// A tank whose batches keep step with the week is off its mean by more than this share of its volume.
const OUT_OF_MEAN: f64 = 0.005;
/// Time over which a mean is to hold, s.
const FIFTY_WEEKS_S: f64 = 50.0 * WEEK_S;
/// A tower that runs for less than this share of the time that its calendar gives it waits for water.
const WAITS: f64 = 0.99;

/// Why averages over pumps and thermostats may go astray here, in words; empty where they do not.
pub(crate) fn doubts(
    means: &Means<'_>,
    scenario: &Scenario,
    hours: Hours,
    (loops, alarms): (&[LoopAnswer], &[Alarm]),
) -> Vec<String> {
    let mut doubts = Vec::new();
    if !alarms.is_empty() {
        doubts.push("an alarm fired".to_owned());
    }
    if loops.iter().any(|l| l.heater_duty >= FIRM_DUTY) {
        doubts.push("heaters run at more than 90 % of their power while evaporating".to_owned());
    }
    let net = means.plant.network();
    if net
        .loops
        .iter()
        .any(|roles| means.heats_batches_only(roles))
    {
        doubts.push(
            "the heaters work for minutes only while evaporating, after each batch of cold water"
                .to_owned(),
        );
    }
    if let Some(name) = stands_at_its_brim(means) {
        doubts.push(format!(
            "{name} comes close to its brim and hardly runs over"
        ));
    }
    if let Some(name) = keeps_step(means) {
        doubts.push(format!(
            "{name} is pumped out at about the same hours every week, which leave it at rest at a level of their own"
        ));
    }
    if loops.iter().any(|l| waits_and_cools(means, scenario, l)) {
        doubts.push(
            "the tower waits for water in its hours while the holding tank may cool".to_owned(),
        );
    }
    if hours == Hours::WeekMean && loops.iter().any(|l| cools_at_rest(means, scenario, l)) {
        doubts.push(
            "work spread over the week leaves no hours of rest in which the holding tank would cool"
                .to_owned(),
        );
    }
    doubts
}

/// The first tank that comes close to its brim and hardly runs over it: what runs over, or just does not, is a small difference of large flows.
fn stands_at_its_brim(means: &Means<'_>) -> Option<String> {
    let net = means.plant.network();
    (0..net.vessels.len()).map(VesselId).find_map(|v| {
        let streams = |wanted: &dyn Fn(&Transfer) -> bool| -> f64 {
            let all = net.transfers.iter().enumerate();
            let ids: Vec<_> = all
                .filter(|(_, t)| wanted(t))
                .map(|(i, _)| TransferId(i))
                .collect();
            means.flow(&ids)
        };
        let into = streams(&|t| t.to == End::Vessel(v));
        let over = streams(&|t| t.from == End::Vessel(v) && matches!(t.law, Law::Overflow { .. }));
        let share_full = |y: &[f64]| means.plant.holdup(v, y).0 / net.vessels[v.index()].full_m3;
        let most = means
            .rows()
            .map(share_full)
            .fold(f64::NEG_INFINITY, f64::max);
        // Rinses are always full, and what passes them all runs over.
        let is_buffer = means.mean(share_full) < BUFFER;
        (is_buffer && most > BRIM && over < SMALL_DIFFERENCE * into)
            .then(|| net.vessels[v.index()].name.clone())
    })
}

/// The first tank that a pump empties by batches which come at the same hours week after week. What it holds when a shift ends is then not any share of a
/// batch, as the averaged driver takes it, but always the same.
fn keeps_step(means: &Means<'_>) -> Option<String> {
    let net = means.plant.network();
    let mut pumped = net.transfers.iter().enumerate();
    pumped.find_map(|(t, transfer)| {
        let (End::Vessel(v), &Law::Fixed { flow_m3_per_s }) = (transfer.from, &transfer.law) else {
            return None;
        };
        let vessel = &net.vessels[v.index()];
        let relays = net.devices[transfer.gate.device?.index()].relays();
        let mut permits = relays.into_iter().map(|r| &net.relays[r.index()]);
        let permit = permits.find(|r| r.role == Role::Permit && r.signal == Signal::Level(v))?;
        let band = [permit.lower, permit.upper].map(|m| vessel.shape.volume_m3(m));
        let volume_m3 = |y: &[f64]| means.plant.holdup(v, y).0;
        if means.rows().any(|y| volume_m3(y) > band[1]) {
            // A level holds the pump as well.
            return None;
        }
        let moved = means.plant.layout().moved(TransferId(t));
        let arrives = means
            .intervals()
            .zip(means.rows().zip(means.rows().skip(1)));
        let arrives = arrives.map(|(i, (before, after))| {
            let (stored_m3, seconds) = (volume_m3(after) - volume_m3(before), means.seconds(i));
            (seconds, (stored_m3 + means.gained(moved, i)) / seconds)
        });
        let arrives: Vec<(f64, f64)> = arrives.collect();
        let mean_m3 = means.mean(volume_m3);
        let by_batches_m3 = batched_mean_m3(&arrives, band, flow_m3_per_s, mean_m3);
        let is_off = (by_batches_m3 - mean_m3).abs() > OUT_OF_MEAN * vessel.full_m3;
        is_off.then(|| vessel.name.clone())
    })
}

/// Mean volume over fifty weeks of a tank that a pump empties from the upper to the lower volume each time that it is full so far, m³. What `arrives` is told by
/// intervals: seconds, m³/s; they come again and again.
fn batched_mean_m3(
    arrives: &[(f64, f64)],
    [low_m3, high_m3]: [f64; 2],
    flow_m3_per_s: f64,
    start_m3: f64,
) -> f64 {
    let span_s: f64 = arrives.iter().map(|a| a.0).sum();
    let (mut volume_m3, mut is_on, mut time_s, mut area) = (start_m3, false, 0.0, 0.0);
    while time_s < FIFTY_WEEKS_S && span_s > 0.0 {
        for &(seconds, arrives_m3_per_s) in arrives {
            let mut left_s = seconds;
            while left_s > 0.0 {
                let rises = if is_on {
                    arrives_m3_per_s - flow_m3_per_s
                } else {
                    arrives_m3_per_s
                };
                let room_m3 = if is_on { low_m3 } else { high_m3 } - volume_m3;
                let until_s = if rises * room_m3 > 0.0 {
                    room_m3 / rises
                } else if (rises < 0.0) == is_on && rises != 0.0 {
                    0.0
                } else {
                    f64::INFINITY
                };
                let step_s = left_s.min(until_s);
                area += step_s * (volume_m3 + 0.5 * step_s * rises);
                volume_m3 += step_s * rises;
                left_s -= step_s;
                if until_s <= step_s {
                    is_on = !is_on;
                    // No crumb of time is left by rounding.
                    left_s = if left_s < 1e-6 { 0.0 } else { left_s };
                }
            }
        }
        time_s += span_s;
    }
    if time_s > 0.0 {
        area / time_s
    } else {
        start_m3
    }
}

/// Whether a loop's tower has hours of its own, waits for water in them, and the holding tank goes to its idle set point meanwhile.
fn waits_and_cools(means: &Means<'_>, scenario: &Scenario, line: &LoopAnswer) -> bool {
    let mut open = hours_of_cooling(means, scenario, line).into_iter();
    open.any(|open| line.tower_share > 0.0 && line.tower_share < WAITS * open)
}

/// Whether a loop's holding tank goes to its idle set point in hours in which no tower may work.
fn cools_at_rest(means: &Means<'_>, scenario: &Scenario, line: &LoopAnswer) -> bool {
    let open = hours_of_cooling(means, scenario, line);
    !open.is_empty() && open.iter().all(|&open| open < 1.0)
}

/// Share of the week that each tower with hours of its own may work, in a loop whose holding tank has an idle set point.
fn hours_of_cooling(means: &Means<'_>, scenario: &Scenario, line: &LoopAnswer) -> Vec<f64> {
    let given = scenario.loops.get(&line.name);
    let holding = given.and_then(|g| g.holding_tank.as_ref());
    let (Some(given), true) = (given, holding.is_some_and(|h| h.idle_set_point.is_some())) else {
        return Vec::new();
    };
    let hours = given.towers.values().filter_map(|t| t.calendar.as_ref());
    let open = hours.filter_map(|name| {
        let calendars = &means.plant.network().calendars;
        Some(calendars.iter().find(|c| c.name == *name)?.open_share())
    });
    open.collect()
}
