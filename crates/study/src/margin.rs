//! The closure margin: what the loop could evaporate, were its holding tank never short of water, less the water that runs into it.
//!
//! Evaporation is that of towers and of open surfaces. What runs in is rinse feed, sprays, refills of still rinses, films from other stations and
//! the water of additions, less the films that leave on the work. Make-up of the bath fills only what is missing and is not counted.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::climate::AirChoice;
use dragback_plant::control::{Condition, Role, Signal};
use dragback_plant::ids::{DeviceId, SoluteId, SupplyId, TransferId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{Account, End, Law, LoopRoles, Network, Side, Supply};
use dragback_run::clock::{Clock, Hours};
use dragback_run::preview::{Preview, PreviewOptions, run_with};
use dragback_run::settle::Settled;
use dragback_run::{RunError, Trace, World};
use dragback_units::constants as unit;

use crate::answers::{Answers, Margin};
use crate::balance::DUST_L_PER_H;
use crate::case::{Case, StudyError};
use crate::figures::TOLD_KG_PER_M3;
use crate::names::air_name;
use crate::settled::Depth;

/// Why a margin has no number.
const DRIES_UP: &str =
    "next to no rinse water runs in, so that the tank to be kept full would dry up";

/// Fills in margins and the storage needed.
pub(crate) fn margins(
    case: &Case,
    settled: &Settled,
    clock: Clock,
    depth: Depth,
    answers: &mut Answers,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<(), StudyError> {
    if !case.plant.network().loops.iter().any(applies) {
        return Ok(());
    }
    let plant = never_short_plant(case, settled)?;
    let week = two_weeks(&plant, settled, clock, watch)?;
    let shift = two_weeks(
        &plant,
        settled,
        Clock {
            hours: Hours::AlwaysOpen,
            ..clock
        },
        watch,
    )?;
    for (roles, answer) in plant.network().loops.iter().zip(&mut answers.loops) {
        if !applies(roles) {
            continue;
        }
        let told = |trace: Option<&Trace>| {
            trace.map_or(f64::NAN, |trace| margin_l_per_h(&plant, roles, trace))
        };
        let both = week.as_ref().map(|week| both_l_per_h(&plant, roles, week));
        let (could_evaporate, runs_in) = both.unwrap_or((f64::NAN, f64::NAN));
        let margin = could_evaporate - runs_in;
        answer.closure_margin_l_per_h = Some(Margin {
            week: margin,
            could_evaporate,
            runs_in,
            in_shift: told(shift.as_ref()),
            worst_month: margin,
            month: air_name(clock.air).to_owned(),
            not_shown: (week.is_none() || shift.is_none()).then(|| DRIES_UP.to_owned()),
        });
        // No tank holds what a week brings too much.
        let closing = week.as_ref().filter(|_| margin >= -DUST_L_PER_H);
        answer.storage_needed_l = closing.map(|week| storage_l(&plant, roles, week));
    }
    if depth == Depth::Full && !plant.network().climates.iter().all(|c| c.is_constant()) {
        worst_months(&plant, settled, clock, answers, watch)?;
    }
    Ok(())
}

/// The margin of one loop over the week, L/h; `None` where there is none.
pub(crate) fn week_margin_l_per_h(
    case: &Case,
    settled: &Settled,
    place: usize,
    clock: Clock,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<f64>, StudyError> {
    let own = &case.plant.network().loops[place];
    if !applies(own) {
        return Ok(None);
    }
    let plant = never_short_plant(case, settled)?;
    let week = two_weeks(&plant, settled, clock, watch)?;
    let margin = week.map(|week| margin_l_per_h(&plant, &plant.network().loops[place], &week));
    Ok(margin.filter(|margin| margin.is_finite()))
}

/// See [`never_short`].
fn never_short_plant(case: &Case, settled: &Settled) -> Result<Arc<Plant>, StudyError> {
    let net = Arc::new(never_short(&case.plant, settled));
    Ok(Arc::new(Plant::new(net, &case.cache)?))
}

fn worst_months(
    plant: &Arc<Plant>,
    settled: &Settled,
    clock: Clock,
    answers: &mut Answers,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<(), StudyError> {
    for month in 0..12 {
        let air = AirChoice::Month(month);
        let trace = two_weeks(plant, settled, Clock { air, ..clock }, watch)?;
        for (roles, answer) in plant.network().loops.iter().zip(&mut answers.loops) {
            let Some(worst) = &mut answer.closure_margin_l_per_h else {
                continue;
            };
            let margin = trace
                .as_ref()
                .map_or(f64::NAN, |trace| margin_l_per_h(plant, roles, trace));
            if margin.is_nan() {
                // A month without a margin leaves the worst unknown.
                worst.worst_month = f64::NAN;
                worst.month = String::new();
                worst.not_shown.get_or_insert_with(|| DRIES_UP.to_owned());
            } else if month == 0 || margin < worst.worst_month {
                worst.worst_month = margin;
                worst.month = air_name(air).to_owned();
            }
        }
    }
    Ok(())
}

/// Runs two weeks from the settled state and returns the second; `None` where a tank that is never short would dry up: a loop with next to no
/// rinse water has nothing like it to be topped up with, and so no margin.
fn two_weeks(
    plant: &Arc<Plant>,
    settled: &Settled,
    clock: Clock,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<Trace>, StudyError> {
    let mut world = World::new(Arc::clone(plant), settled.world.cache.clone());
    let states = plant.layout().state_len();
    world.y[..states].copy_from_slice(&settled.world.y[..states]);
    world.done.fill(true);
    let mut driver = Preview::new(Arc::clone(plant));
    let mut options = PreviewOptions {
        clock,
        records: false,
        ..PreviewOptions::default()
    };
    let mut trace = None;
    for week in [1.0, 2.0] {
        let until = week * unit::SECONDS_PER_WEEK;
        match run_with(&mut driver, &mut world, until, &options, watch) {
            Ok(outcome) => trace = Some(outcome.trace),
            Err(RunError::Contents { .. }) => return Ok(None),
            Err(other) => return Err(other.into()),
        }
        options.records = true;
    }
    Ok(trace)
}

/// The plant whose holding tanks are topped up from outside with liquid like that in the collection tank. A bath that feeds towers is topped up by its make-up:
/// its level stops no tower. Nor does it hold back rinse water that has no room in it.
fn never_short(plant: &Plant, settled: &Settled) -> Network {
    let mut net = plant.network().clone();
    for roles in net.loops.clone() {
        free_of_bath_level(&mut net, &roles);
    }
    let account = dragback_plant::ids::AccountId(net.accounts.len());
    net.accounts.push(Account {
        name: "outside store".to_owned(),
        side: Side::In,
    });
    let collections: Vec<VesselId> = net.loops.iter().filter_map(|l| l.collection).collect();
    for collection in collections {
        let supply = SupplyId(net.supplies.len());
        net.supplies
            .push(liquid_of(plant, collection, &settled.week_start));
        for t in &mut net.transfers {
            if t.from == End::Vessel(collection) && matches!(t.law, Law::Fixed { .. }) {
                t.from = End::Supply(supply, account);
            }
        }
        for d in &mut net.devices {
            let short = |c: &Condition| match c {
                Condition::On(r) => {
                    let relay = &net.relays[r.index()];
                    relay.role == Role::Permit && relay.signal == Signal::Level(collection)
                }
                _ => false,
            };
            d.requires.retain(|r| !short(&r.condition));
        }
    }
    net
}

/// Takes the level of the bath out of what lets rinse water in and towers on the bath work; its alarms stay.
fn free_of_bath_level(net: &mut Network, roles: &LoopRoles) {
    let mut devices: Vec<DeviceId> = Vec::new();
    for &feed in &roles.rinse_feed {
        devices.extend(net.transfers[feed.index()].gate.device);
    }
    for &tower in &roles.towers {
        let unit = &net.towers[tower.index()];
        if unit.vessel == roles.bath {
            devices.extend([unit.pump, unit.blower]);
        }
    }
    let relays = &net.relays;
    let is_by_level = |c: &Condition| {
        let Condition::On(relay) = c else {
            return false;
        };
        relays[relay.index()].signal == Signal::Level(roles.bath)
    };
    for device in devices {
        net.devices[device.index()]
            .requires
            .retain(|r| !is_by_level(&r.condition));
    }
}

fn liquid_of(plant: &Plant, v: VesselId, y: &[f64]) -> Supply {
    let (volume, temp_c, _) = plant.holdup(v, y);
    let layout = plant.layout();
    let start = layout.vessel(v);
    let per_m3 = |x: f64| x / volume.max(1e-9);
    Supply {
        name: "outside store".to_owned(),
        temp_c,
        water_kg_per_m3: per_m3(y[start]),
        solute_kg_per_m3: (0..plant.network().solutes.len())
            .map(|s| per_m3(y[start + layout.solute(SoluteId(s))]))
            .collect(),
    }
}

/// Whether room for rinse water is a question at all: not where nothing evaporates it and nothing brings it back.
fn applies(roles: &LoopRoles) -> bool {
    !(roles.towers.is_empty() && roles.returns.is_empty())
}

/// Water that has run into the loop since the world began, whether there was room or not, less what left on the work, m³.
fn demanded_m3(plant: &Plant, roles: &LoopRoles, y: &[f64]) -> f64 {
    let layout = plant.layout();
    let moved = |list: &[TransferId]| -> f64 { list.iter().map(|&t| y[layout.moved(t)]).sum() };
    // What a ledger line gave stands there below zero.
    let added_kg = roles
        .additions
        .map_or(0.0, |a| -y[layout.account(a) + Layout::WATER]);
    moved(&roles.water_in) - moved(&roles.water_out) + added_kg / TOLD_KG_PER_M3
}

/// Water that has left since the world began by towers and by the surfaces of the vessels that keep water in the loop, m³.
fn evaporated_m3(plant: &Plant, roles: &LoopRoles, y: &[f64]) -> f64 {
    let layout = plant.layout();
    let towers = roles.towers.iter().map(|&t| y[layout.tower_water(t)]);
    let surfaces = roles.keeping.iter().map(|&v| y[layout.surface_water(v)]);
    towers.chain(surfaces).sum::<f64>() / TOLD_KG_PER_M3
}

/// By how much demand has run ahead of evaporation since the world began, m³: the one balance behind margin and storage.
fn ahead_m3(plant: &Plant, roles: &LoopRoles, y: &[f64]) -> f64 {
    demanded_m3(plant, roles, y) - evaporated_m3(plant, roles, y)
}

/// What could evaporate over a trace, and what runs in, L/h.
fn both_l_per_h(plant: &Plant, roles: &LoopRoles, trace: &Trace) -> (f64, f64) {
    let last = trace.len().saturating_sub(1);
    let span_s = trace.times_s()[last] - trace.times_s()[0];
    let mean = |m3: &dyn Fn(&Plant, &LoopRoles, &[f64]) -> f64| {
        let grown_m3 = m3(plant, roles, trace.row(last)) - m3(plant, roles, trace.row(0));
        unit::l_per_h(grown_m3 / span_s)
    };
    (mean(&evaporated_m3), mean(&demanded_m3))
}

/// Room for more water over a trace, L/h.
fn margin_l_per_h(plant: &Plant, roles: &LoopRoles, trace: &Trace) -> f64 {
    let (could_evaporate, runs_in) = both_l_per_h(plant, roles, trace);
    could_evaporate - runs_in
}

/// The most that demand ever runs ahead of evaporation within repeated weeks, L; zero when every hour closes.
fn storage_l(plant: &Plant, roles: &LoopRoles, week: &Trace) -> f64 {
    let ahead: Vec<f64> = (0..week.len())
        .map(|i| ahead_m3(plant, roles, week.row(i)))
        .collect();
    let (mut waiting, mut most) = (0.0_f64, 0.0_f64);
    for _ in 0..2 {
        for pair in ahead.windows(2) {
            waiting = (waiting + pair[1] - pair[0]).max(0.0);
            most = most.max(waiting);
        }
    }
    unit::litres(most)
}

#[cfg(test)]
mod tests;
