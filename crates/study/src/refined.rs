//! Where the averaged driver does not stand on firm ground.

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
