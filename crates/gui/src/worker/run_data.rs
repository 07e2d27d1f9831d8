//! What the window keeps of a run besides its curves.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::network::{Action, LoopRoles, Network, Trigger};
use dragback_run::Alarm;
use dragback_study::{Case, Span};
use dragback_units::constants::hours;

use crate::plots::{TankKind, tank_pen};
use crate::results::{EventMark, RunData};

/// The run itself.
pub(super) fn run_data(case: &Case, span: &Span, loop_index: usize) -> RunData {
    RunData {
        case: case.clone(),
        trace: Arc::clone(&span.trace),
        plants: plants(case, &span.alarms),
        alarms: span.alarms.clone(),
        loop_index,
    }
}

/// When an event happened: at its time, or with the first alarm that it waits for.
fn happened_s(net: &Network, trigger: &Trigger, alarms: &[Alarm]) -> Option<f64> {
    match trigger {
        Trigger::At(at_s) => Some(*at_s),
        Trigger::When(relay) => {
            let name = &net.relays[relay.index()].name;
            alarms.iter().find(|a| a.device == *name).map(|a| a.t_s)
        }
    }
}

/// Events that happen during the run and when, in the order of their times. Of those on a condition only the ones that wait for an alarm are known.
pub(super) fn events(plant: &Plant, alarms: &[Alarm]) -> Vec<EventMark> {
    let net = plant.network();
    let each = net.events.iter().enumerate().filter_map(|(index, event)| {
        Some(EventMark {
            index,
            at_h: hours(happened_s(net, &event.trigger, alarms)?),
            words: event.name.clone(),
        })
    });
    let mut found: Vec<EventMark> = each.collect();
    found.sort_by(|a, b| a.at_h.total_cmp(&b.at_h));
    found
}

/// The plants that timed events make of the first one, each with the second from which on it is in force.
fn plants(case: &Case, alarms: &[Alarm]) -> Vec<(f64, Arc<Plant>)> {
    let mut found = vec![(0.0, Arc::clone(&case.plant))];
    let mut order = events(&case.plant, alarms);
    order.retain(|e| e.at_h.is_finite());
    if order.is_empty() {
        return found;
    }
    let mut net = Arc::new(case.plant.network().clone());
    for mark in order {
        let Some(event) = net.events.get(mark.index) else {
            continue;
        };
        let from_s = happened_s(&net, &event.trigger, alarms);
        let Action::Become(next) = &event.action else {
            continue;
        };
        let next = Arc::clone(next);
        if let (Ok(plant), Some(from_s)) = (Plant::new(Arc::clone(&next), &case.cache), from_s) {
            found.push((from_s, Arc::new(plant)));
            net = next;
        }
    }
    found
}

/// Names of the tanks of a loop and their pens.
pub(super) fn tank_pens(plant: &Plant, roles: &LoopRoles) -> Vec<(String, usize)> {
    let mut rinses = 0;
    let each = roles.vessels.iter().map(|&v| {
        let kind = if v == roles.bath {
            TankKind::Bath
        } else if Some(v) == roles.collection {
            TankKind::Collection
        } else if Some(v) == roles.holding {
            TankKind::Holding
        } else {
            rinses += 1;
            TankKind::Rinse(rinses - 1)
        };
        (
            plant.network().vessels[v.index()].name.clone(),
            tank_pen(kind),
        )
    });
    each.collect()
}
