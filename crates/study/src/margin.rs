//! The closure margin: what the loop could evaporate, were its holding tank never short of water, less what runs into it.

use std::sync::Arc;

use dragback_plant::Plant;
use dragback_plant::climate::AirChoice;
use dragback_plant::control::{Condition, Role, Signal};
use dragback_plant::ids::{SoluteId, SupplyId, TransferId, VesselId};
use dragback_plant::network::{Account, End, Law, LoopRoles, Network, Side, Supply};
use dragback_run::clock::{Clock, Hours};
use dragback_run::preview::{Preview, PreviewOptions, run_with};
use dragback_run::settle::Settled;
use dragback_run::{Trace, World};
use dragback_units::constants as unit;

use crate::answers::{Answers, Margin};
use crate::case::{Case, StudyError};
use crate::figures::{Means, TOLD_KG_PER_M3, air_name, told_l_per_h};
use crate::settled::Depth;

/// Fills in margins and the storage needed.
pub(crate) fn margins(
    case: &Case,
    settled: &Settled,
    clock: Clock,
    depth: Depth,
    answers: &mut Answers,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<(), StudyError> {
    let plant = Arc::new(Plant::new(
        Arc::new(never_short(&case.plant, settled)),
        &case.cache,
    )?);
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
        let means = Means::new(&plant, &week);
        let in_shift = Means::new(&plant, &shift);
        let margin = margin_of(&means, roles);
        answer.closure_margin_l_per_h = Margin {
            week: margin,
            in_shift: margin_of(&in_shift, roles),
            worst_month: margin,
            month: air_name(clock.air).to_owned(),
        };
        answer.storage_needed_l = storage_l(&means, roles);
    }
    if depth == Depth::Full && !plant.network().climates.iter().all(|c| c.is_constant()) {
        worst_months(&plant, settled, clock, answers, watch)?;
    }
    Ok(())
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
        let means = Means::new(plant, &trace);
        for (roles, answer) in plant.network().loops.iter().zip(&mut answers.loops) {
            let margin = margin_of(&means, roles);
            let worst = &mut answer.closure_margin_l_per_h;
            if month == 0 || margin < worst.worst_month {
                worst.worst_month = margin;
                worst.month = air_name(air).to_owned();
            }
        }
    }
    Ok(())
}

/// Runs two weeks from the settled state and returns the second.
fn two_weeks(
    plant: &Arc<Plant>,
    settled: &Settled,
    clock: Clock,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Trace, StudyError> {
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
    run_with(
        &mut driver,
        &mut world,
        unit::SECONDS_PER_WEEK,
        &options,
        watch,
    )?;
    options.records = true;
    let outcome = run_with(
        &mut driver,
        &mut world,
        2.0 * unit::SECONDS_PER_WEEK,
        &options,
        watch,
    )?;
    Ok(outcome.trace)
}

/// The plant whose holding tanks are topped up from outside with liquid like that in the collection tank.
fn never_short(plant: &Plant, settled: &Settled) -> Network {
    let mut net = plant.network().clone();
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

/// Feeds and sprays whose water the loop keeps; all of them where it keeps none.
fn kept(net: &Network, roles: &LoopRoles) -> Vec<TransferId> {
    let fresh = roles.rinse_feed.iter().chain(&roles.sprays).copied();
    let kept: Vec<TransferId> = fresh.clone().filter(|&t| stays(net, roles, t)).collect();
    if kept.is_empty() {
        fresh.collect()
    } else {
        kept
    }
}

/// Whether water fed by `t` runs, by overflow after overflow, into the bath or the collection tank.
fn stays(net: &Network, roles: &LoopRoles, t: TransferId) -> bool {
    let mut at = net.transfers[t.index()].to;
    for _ in 0..=net.vessels.len() {
        let End::Vessel(v) = at else { return false };
        if v == roles.bath || Some(v) == roles.collection || Some(v) == roles.holding {
            return true;
        }
        let next = net
            .transfers
            .iter()
            .find(|x| x.from == End::Vessel(v) && matches!(x.law, Law::Overflow { .. }));
        match next {
            Some(x) => at = x.to,
            None => return false,
        }
    }
    false
}

fn margin_of(means: &Means<'_>, roles: &LoopRoles) -> f64 {
    let capacity = told_l_per_h(means.tower_kg_per_s(roles) + means.surface_kg_per_s(roles));
    capacity - unit::l_per_h(demand(means, roles))
}

/// Water that runs into the loop less what leaves on the work, m³/s.
fn demand(means: &Means<'_>, roles: &LoopRoles) -> f64 {
    means.flow(&kept(means.plant.network(), roles)) - means.flow(&roles.lost_on_work)
}

/// The most that demand ever runs ahead of evaporation within repeated weeks, L; zero when every hour closes.
fn storage_l(means: &Means<'_>, roles: &LoopRoles) -> f64 {
    let plant = means.plant;
    let layout = plant.layout();
    let kept = kept(plant.network(), roles);
    let moved = |y: &[f64]| -> f64 {
        let into: f64 = kept.iter().map(|&t| y[layout.moved(t)]).sum();
        into - roles
            .lost_on_work
            .iter()
            .map(|&t| y[layout.moved(t)])
            .sum::<f64>()
    };
    let evaporated = |y: &[f64]| -> f64 {
        let towers: f64 = roles.towers.iter().map(|&t| y[layout.tower_water(t)]).sum();
        let surfaces: f64 = roles
            .vessels
            .iter()
            .map(|&v| y[layout.surface_water(v)])
            .sum();
        (towers + surfaces) / TOLD_KG_PER_M3
    };
    let (mut waiting, mut most) = (0.0_f64, 0.0_f64);
    for _ in 0..2 {
        for i in 1..means.trace.len() {
            let (a, b) = (means.trace.row(i - 1), means.trace.row(i));
            waiting = (waiting + moved(b) - moved(a) - (evaporated(b) - evaporated(a))).max(0.0);
            most = most.max(waiting);
        }
    }
    unit::litres(most)
}
