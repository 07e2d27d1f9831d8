//! Atmospheric evaporators.

use std::sync::{Arc, Mutex};

use dragback_plant::control::{Condition, DeviceKind, Requirement};
use dragback_plant::ids::{CalendarId, ClimateId, TowerId};
use dragback_plant::network::{Gate, HeatLaw, LoopRoles, TowerUnit};
use dragback_properties::air::{AirState, pressure_at_altitude_pa};
use dragback_properties::solution;
use dragback_properties::tower::{
    FanPosition, LewisFactor, RatedPoint, TableSpec, Tower, TowerDesign, TowerError, TowerTable,
    Transfer,
};
use dragback_properties::water;

use super::account;
use super::builder::{Builder, Parts, enough, interlock, when};
use super::chemistry::{bath_concentrations, species_of};
use super::holding::HoldingRelays;
use super::levels::bath_bands;
use super::site::{NEVER, extreme_airs};
use crate::record::Input;
use crate::schema::{self, FanPlace, FedFrom, Loop, Scenario, TowerAir};

/// Temperature at which a rated litre of water is weighed, °C.
const RATED_LITRE_C: f64 = 20.0;

/// Heat capacity of air, J/(kg·K).
const CP_MOIST_AIR: f64 = 1006.0;

/// Kilograms of feed for each kilogram of air below which a tower is not a usual one: towers get one to five.
const LEAST_USUAL_FEED: f64 = 0.5;

/// Factor by which air or feed may differ from those at which the contact is stated before a tower is not a usual one.
const FAR: f64 = 3.0;

/// Towers that are remembered.
const MOST_REMEMBERED: usize = 64;

/// Water that a cubic metre of the tower's feed is worth by its heat capacity, kg/m³: the mean of water and of the bath as made up,
/// since a holding tank stands between the two. The film equations know a feed by this product alone.
fn feed_worth_kg_per_m3(scenario: &Scenario, line: &Loop) -> f64 {
    let (species, kg_per_m3): (Vec<_>, Vec<_>) = bath_concentrations(scenario, line)
        .into_iter()
        .filter_map(|(key, c)| Some((species_of(scenario, &key)?, c)))
        .unzip();
    let water_kg = solution::water_kg_per_m3(RATED_LITRE_C, &species, &kg_per_m3);
    let bath = solution::heat_capacity_j_per_k(water_kg, &species, &kg_per_m3) / water::CP_WATER;
    0.5 * (bath + water::density_kg_per_m3(RATED_LITRE_C))
}

/// The contact tower of a scenario.
///
/// The feed in kilograms is that of water of the same heat capacity; a rated point is one of pure water.
///
/// # Errors
/// An input outside what the film equations carry, or a rated point that no packing reaches.
pub fn tower_of(
    scenario: &Scenario,
    line: &Loop,
    tower: &schema::Tower,
) -> Result<Tower, TowerError> {
    let water_kg_per_m3 = water::density_kg_per_m3(RATED_LITRE_C);
    let (contact, own_air) = (&tower.transfer, tower.air_flow.si());
    let air_flow_m3_per_s = contact.air_flow.as_ref().map_or(own_air, Input::si);
    let feed_m3_per_s = contact.feed.as_ref().map_or(tower.feed.si(), Input::si);
    let worth_kg_per_m3 = feed_worth_kg_per_m3(scenario, line);
    let transfer = match (&contact.rated, &contact.transfer_units) {
        (Some(rated), _) => Transfer::Rated(RatedPoint {
            evaporation_kg_per_s: rated.evaporation.si() * water_kg_per_m3,
            solution_c: rated.solution.quantity().celsius(),
            water_activity: 1.0,
            air: AirState::from_relative_humidity(
                rated.air_temperature.quantity().celsius(),
                rated.relative_humidity.si(),
                pressure_at_altitude_pa(scenario.site.altitude.si()),
            )?,
            air_flow_m3_per_s,
            feed_kg_per_s: feed_m3_per_s * water_kg_per_m3,
        }),
        (None, units) => Transfer::Units {
            ntu: units.as_ref().map_or(1.0, Input::si),
            air_flow_m3_per_s,
            feed_kg_per_s: feed_m3_per_s * worth_kg_per_m3,
        },
    };
    rate(TowerDesign {
        air_flow_m3_per_s: own_air,
        fan: match tower.fan {
            FanPlace::Before => FanPosition::Before,
            FanPlace::After => FanPosition::After,
        },
        feed_kg_per_s: tower.feed.si() * worth_kg_per_m3,
        transfer,
        flow_exponent: tower.exponent.si(),
        lewis: LewisFactor::default(),
        carry_over_fraction: carry_over(tower),
    })
}

/// By how much the fan warms the air that enters the contact, K.
pub fn fan_warming_k(scenario: &Scenario, tower: &schema::Tower) -> Result<f64, TowerError> {
    if tower.fan == FanPlace::After {
        return Ok(0.0);
    }
    let mut most_k = 0.0_f64;
    for air in extreme_airs(scenario, tower.air)? {
        let dry_air_kg_per_s = tower.air_flow.si() / air.specific_volume_m3_per_kg_da();
        most_k = most_k.max(tower.fan_power.si() / (dry_air_kg_per_s * CP_MOIST_AIR));
    }
    Ok(most_k)
}

/// Whether a tower can be worked out at every temperature of its feed in the air that it draws.
///
/// With a trickle of feed in a gale of air the film equations have no answer. To look costs milliseconds, so that
/// streams in the usual ratio are not looked at.
///
/// # Errors
/// What is wrong at the first temperature that has no answer.
pub fn works_at_all(
    scenario: &Scenario,
    tower: &schema::Tower,
    made: &Tower,
) -> Result<(), TowerError> {
    let (contact, own_air) = (&tower.transfer, tower.air_flow.si());
    let is_far = |given: Option<f64>, own: f64| {
        given.is_some_and(|si| !(own / FAR..=own * FAR).contains(&si))
    };
    let is_far_from_rated = is_far(contact.air_flow.as_ref().map(Input::si), own_air)
        || is_far(contact.feed.as_ref().map(Input::si), tower.feed.si());
    let warming_k = fan_warming_k(scenario, tower)?;
    for mut air in extreme_airs(scenario, tower.air)? {
        let dry_air_kg_per_s = own_air / air.specific_volume_m3_per_kg_da();
        let is_usual = made.design().feed_kg_per_s > LEAST_USUAL_FEED * dry_air_kg_per_s;
        if is_usual && !is_far_from_rated {
            continue;
        }
        air.temp_c += warming_k;
        works_in(made, air)?;
    }
    Ok(())
}

/// Whether a tower can be worked out in one air, remembering the last answers as [`rate`] does.
fn works_in(made: &Tower, air: AirState) -> Result<(), TowerError> {
    type Seen = (Tower, AirState, Result<(), TowerError>);
    static SEEN: Mutex<Vec<Seen>> = Mutex::new(Vec::new());
    if let Ok(list) = SEEN.lock()
        && let Some((.., answer)) = list.iter().find(|(t, a, _)| *t == *made && *a == air)
    {
        return *answer;
    }
    let answer = TowerTable::build_for(made, &air, &TableSpec::normal(made)).map(|_| ());
    if let Ok(mut list) = SEEN.lock() {
        if list.len() >= MOST_REMEMBERED {
            let _ = list.remove(0);
        }
        list.push((*made, air, answer));
    }
    answer
}

/// Rates a tower, remembering the last ones: a lever that does not touch the tower should not rate it again.
fn rate(design: TowerDesign) -> Result<Tower, TowerError> {
    static RATED: Mutex<Vec<(TowerDesign, Tower)>> = Mutex::new(Vec::new());
    if let Ok(list) = RATED.lock()
        && let Some((_, tower)) = list.iter().find(|(known, _)| *known == design)
    {
        return Ok(*tower);
    }
    let tower = Tower::new(design)?;
    if let Ok(mut list) = RATED.lock() {
        if list.len() >= MOST_REMEMBERED {
            list.remove(0);
        }
        list.push((design, tower));
    }
    Ok(tower)
}

fn carry_over(tower: &schema::Tower) -> f64 {
    tower.carry_over.si() * tower.mesh_pad.si()
}

pub fn lower(builder: &mut Builder<'_>, parts: &mut Parts<'_>, relays: Option<&HoldingRelays>) {
    let line = parts.line;
    let mut bath_permit = None;
    for (key, tower) in line.towers.iter() {
        let made = match tower_of(builder.scenario, line, tower) {
            Ok(made) => made,
            Err(fault) => {
                builder.dangling(
                    &format!("tower: {fault}"),
                    &parts.path(&format!("towers.{key}")),
                );
                continue;
            }
        };
        let (vessel, requires) = match (tower.fed_from, parts.holding, relays) {
            (FedFrom::HoldingTank, Some(v), Some(relays)) => (v, by_holding(relays)),
            (FedFrom::HoldingTank, _, _) => {
                builder.dangling(
                    "holding tank",
                    &parts.path(&format!("towers.{key}.fed_from")),
                );
                continue;
            }
            (FedFrom::Bath, _, _) => {
                let permit = *bath_permit.get_or_insert_with(|| {
                    let (stop_m, restart_m) = bath_bands(line).low_m;
                    let band = enough(parts.bath, stop_m, restart_m - stop_m);
                    builder.relay(format!("{}.bath.evaporation", parts.key), band, true)
                });
                let low = parts.bath_alarms.iter().map(|a| a.low);
                let low = low.map(|a| interlock(Condition::Off(a)));
                let permit = when(Condition::On(permit));
                (parts.bath, std::iter::once(permit).chain(low).collect())
            }
        };
        unit(
            builder,
            parts,
            (key, tower),
            Arc::new(made),
            vessel,
            requires,
        );
    }
}

fn by_holding(relays: &HoldingRelays) -> Vec<Requirement> {
    let mut requires = vec![
        when(Condition::On(relays.permit)),
        interlock(Condition::Off(relays.low_alarm)),
    ];
    if relays.high_alarm_stops_all {
        requires.push(interlock(Condition::Off(relays.high_alarm)));
    }
    requires
}

/// Hours in which a tower may work.
fn hours(builder: &mut Builder<'_>, tower: &schema::Tower) -> CalendarId {
    let key = if tower.on {
        tower.calendar.as_deref().unwrap_or(crate::check::ALWAYS)
    } else {
        NEVER
    };
    builder.calendar(key)
}

/// Hours of each tower that the holding tank feeds.
pub fn hours_of_holding(builder: &mut Builder<'_>, line: &Loop) -> Vec<CalendarId> {
    let fed = |t: &&schema::Tower| t.fed_from == FedFrom::HoldingTank;
    let towers = line.towers.values().filter(fed);
    towers.map(|t| hours(builder, t)).collect()
}

fn unit(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    (key, tower): (&str, &schema::Tower),
    made: Arc<Tower>,
    vessel: dragback_plant::ids::VesselId,
    requires: Vec<Requirement>,
) {
    let calendar = Some(hours(builder, tower));
    let at = |tail: &str| format!("{}.towers.{key}.{tail}", parts.key);
    // The blower answers to the low alarm only through the pump: it may go on blowing over a dry packing.
    let blows = requires
        .iter()
        .filter(|r| !r.is_interlock)
        .cloned()
        .collect();
    let blower = builder.device(at("blower"), DeviceKind::Blower, calendar, blows);
    let mut pumps = requires;
    pumps.push(interlock(Condition::Runs(blower)));
    let pump = builder.device(at("pump"), DeviceKind::FeedPump, calendar, pumps);
    if tower.pump_power.si() > 0.0 {
        let law = HeatLaw::Power {
            power_w: tower.pump_power.si(),
        };
        let gate = Gate {
            device: Some(pump),
            calendar: None,
        };
        let words = parts.stream(&format!("feed pump {key}"));
        builder.heat(words, vessel, law, gate, account::PUMPS);
    }
    let climate = match tower.air {
        TowerAir::Room => ClimateId(0),
        TowerAir::Outside => ClimateId(1),
    };
    let stack = builder.own_account(&parts.prefix, account::STACK);
    let air = builder.account(account::TOWERS);
    builder.net.towers.push(TowerUnit {
        name: format!("{}{key}", parts.prefix),
        vessel,
        tower: made,
        climate,
        pump,
        blower,
        feed_m3_per_s: tower.feed.si(),
        carry_over: carry_over(tower),
        fan_heat_w: if tower.fan == FanPlace::Before {
            tower.fan_power.si()
        } else {
            0.0
        },
        air_account: air,
        stack_account: stack,
    });
    let id = TowerId(builder.net.towers.len() - 1);
    parts.roles.towers.push(id);
    if tower.fed_from == FedFrom::Bath && parts.holding.is_some() {
        add_bath_heater(parts);
    }
}

/// The bath's heater is an evaporation heater too where the bath feeds a tower.
fn add_bath_heater(parts: &mut Parts<'_>) {
    let LoopRoles {
        heaters,
        bath_heaters,
        ..
    } = &mut parts.roles;
    for id in bath_heaters.iter() {
        if !heaters.contains(id) {
            heaters.push(*id);
        }
    }
}
