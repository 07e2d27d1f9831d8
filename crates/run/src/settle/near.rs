//! A settled week found quickly, from one that is near it.

use dragback_plant::control::Role;
use dragback_plant::ids::VesselId;

use super::{Pace, Search, Settled, settle};
use crate::clock::Clock;
use crate::error::RunError;
use crate::world::World;

/// Weeks run before the first map is made, from nowhere near and from near, where volumes and temperatures are all but right.
const FIRST_WEEKS: usize = 4;
const FIRST_WEEKS_NEAR: usize = 0;
/// Weeks iterated before giving up.
const MAX_WEEKS: usize = 12;
/// Weeks after which levels that still change are left to it, and beside a line of which no week repeats.
const BEATING_WEEKS: usize = 6;
const BEATING_WEEKS_RESTLESS: usize = 3;
/// Weeks over which means are taken when nothing comes round.
const LOOSE_WEEKS: usize = 8;
/// Largest relative change of a week's end state that counts as settled: far below what a search can tell apart.
const SETTLED: f64 = 3.0e-5;

/// The settled week of `start`, for searches whose last word is a week by [`settle`]: it begins at what `known` settled at, a line with other numbers or
/// other towers, and gives up sooner where no week repeats. What creeps keeps about the inventory of `known`; where something creeps that did not there, its
/// inventory there says nothing, and the week is found from `start` itself.
///
/// # Errors
/// See [`RunError`].
pub fn settle_near(
    start: &World,
    known: Option<&Settled>,
    clock: Clock,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Settled, RunError> {
    let near = known.and_then(|known| Some((known, taken_over(start, &known.world)?)));
    if let Some((known, near)) = near {
        let beating_weeks = if known.restless.is_some() || known.round_weeks > 1 {
            BEATING_WEEKS_RESTLESS
        } else {
            BEATING_WEEKS
        };
        match quick(&near, clock, (FIRST_WEEKS_NEAR, beating_weeks), watch) {
            // What is near by its numbers may be far for a tank that is all but dry.
            Err(RunError::Contents { .. } | RunError::Singular { .. }) => {}
            Ok(found) if !found.creeps_within(known) => {}
            told => return told,
        }
    }
    match quick(start, clock, (FIRST_WEEKS, BEATING_WEEKS), watch) {
        Err(RunError::Contents { .. } | RunError::Singular { .. }) => settle(start, clock, watch),
        told => told,
    }
}

fn quick(
    from: &World,
    clock: Clock,
    (first_weeks, beating_weeks): (usize, usize),
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Settled, RunError> {
    let pace = Pace {
        first_weeks,
        max_weeks: MAX_WEEKS,
        loose_weeks: LOOSE_WEEKS,
        settled: SETTLED,
        takes_rounds: false,
        beating_weeks,
        moves_rest: false,
    };
    Search::new(from, clock, pace).by_jumps(watch)
}

/// `start` with the contents of the tanks that `known` has too, each at the level that it had, and its instruments as they stood there; alarms are those
/// of `start`. `None` where other things are dissolved.
fn taken_over(start: &World, known: &World) -> Option<World> {
    let (plant, other) = (&start.plant, &known.plant);
    let (net, old) = (plant.network(), other.network());
    let names = |net: &dragback_plant::network::Network| -> Vec<String> {
        net.solutes.iter().map(|s| s.name.clone()).collect()
    };
    if names(net) != names(old) {
        return None;
    }
    let mut near = start.clone();
    let (layout, from) = (plant.layout(), other.layout());
    for (v, vessel) in net.vessels.iter().enumerate() {
        let Some(w) = old.vessels.iter().position(|w| w.name == vessel.name) else {
            continue;
        };
        let more = vessel.full_m3 / old.vessels[w].full_m3;
        let (to, from) = (layout.vessel(VesselId(v)), from.vessel(VesselId(w)));
        for j in 0..layout.block_len() {
            near.y[to + j] = more * known.y[from + j];
        }
    }
    for (i, relay) in net.relays.iter().enumerate() {
        let stood = old.relays.iter().position(|r| r.name == relay.name);
        if relay.role != Role::Alarm {
            let was_on = stood.map_or(relay.starts_on, |r| known.relays[r].on);
            near.relays[i].on = relay.next(plant.read(relay.signal, &near.y), was_on);
        }
    }
    Some(near)
}
