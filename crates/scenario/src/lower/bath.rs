//! The process bath: heat, current, chemicals and plain water.

use dragback_plant::control::{Acts, Condition, DeviceKind, Role, Signal};
use dragback_plant::ids::{AccountId, DeviceId, RelayId};
use dragback_plant::network::{Addition, End, Gate, HeatLaw, Law, Pace};
use dragback_properties::faraday::{deposit_kg_per_s, metal_of, water_decomposed_kg_per_s};

use super::account;
use super::builder::{Band, Builder, Matter, Parts, filling, interlock, when};
use super::chemistry::{bath_concentrations, yields};
use super::levels::bath_bands;
use crate::record::Input;
use crate::schema::{Additions, Anode, Bath, FedFrom, Rectifier};

/// How far above the set point the bath's over-temperature alarm trips unless the scenario says otherwise, K.
const OVER_TEMPERATURE_K: f64 = 5.0;
/// An alarm may be reset where this share is left of the way from what the bath is held at to the alarm.
const COOLED_SHARE: f64 = 0.2;

/// Alarms of a bath that feeds a tower.
#[derive(Clone, Copy)]
pub struct BathAlarms {
    pub low: RelayId,
    over_temperature: RelayId,
}

/// How far above the set point the over-temperature alarm of a bath that feeds a tower trips, K.
pub fn over_temperature_k(bath: &Bath) -> f64 {
    let offset = bath.over_temperature_offset.as_ref();
    offset.map_or(OVER_TEMPERATURE_K, Input::si)
}

pub fn lower(builder: &mut Builder<'_>, parts: &mut Parts<'_>) {
    parts.bath_alarms = alarms(builder, parts);
    heat(builder, parts);
    let rectifier = parts.line.bath.rectifier.as_ref();
    let device = rectifier.map(|r| self::rectifier(builder, parts, r));
    if let Some(additions) = &parts.line.bath.additions {
        let line = builder.own_account(&parts.prefix, account::ADDITIONS);
        parts.roles.additions = Some(line);
        restoring(builder, parts, additions, line);
        if let (Some(device), Some(rectifier)) = (device, rectifier) {
            dosing(builder, parts, additions, (rectifier, device), line);
        }
    }
    impurities(builder, parts);
    make_up(builder, parts);
    let spilled = builder.account(account::SPILLED);
    let id = builder.transfer(
        parts.stream("spill of the bath"),
        End::Vessel(parts.bath),
        End::Account(spilled),
        Law::Overflow { weir_width_m: None },
        Gate::default(),
    );
    parts.roles.spills.push(id);
}

/// A bath that feeds a tower may be drawn down by it, so that its heater and the feed pump are guarded like those of a holding tank.
fn alarms(builder: &mut Builder<'_>, parts: &Parts<'_>) -> Option<BathAlarms> {
    let (line, vessel) = (parts.line, parts.bath);
    let mut towers = line.towers.values();
    if !towers.any(|t| t.fed_from == FedFrom::Bath) {
        return None;
    }
    let reset_s = line.bath.reset_after.as_ref().map(Input::si);
    let bands = bath_bands(line);
    let low = Band {
        signal: Signal::Level(vessel),
        lower: bands.low_alarm_m,
        upper: bands.low_m.1,
        acts: Acts::Below,
        role: Role::Alarm,
    };
    let set_c = line.bath.set_point.quantity().celsius();
    let offset_k = over_temperature_k(&line.bath);
    // A bath that its current warms stands where its cooler holds it; an alarm that could be reset only below that could never be reset.
    let held_k = if line.bath.cooler_power.si() > 0.0 {
        line.bath.cooler_offset.si()
    } else {
        0.0
    };
    let hot = Band {
        signal: Signal::Temperature(vessel),
        lower: set_c + held_k + COOLED_SHARE * (offset_k - held_k),
        upper: set_c + offset_k,
        acts: Acts::Above,
        role: Role::Alarm,
    };
    Some(BathAlarms {
        low: builder.latched(parts.path("bath.low_alarm"), low, reset_s),
        over_temperature: builder.latched(parts.path("bath.over_temperature"), hot, reset_s),
    })
}

fn heat(builder: &mut Builder<'_>, parts: &mut Parts<'_>) {
    let bath = &parts.line.bath;
    let (heat_w, cool_w) = (bath.heater_power.si(), bath.cooler_power.si());
    let alarms = parts.bath_alarms.iter();
    let alarms = alarms.flat_map(|a| [a.low, a.over_temperature]);
    let requires = alarms.map(|a| interlock(Condition::Off(a))).collect();
    let path = parts.path("bath.heater");
    let device = builder.device(path, DeviceKind::Heater, None, requires);
    let set_c = bath.set_point.quantity().celsius();
    let gate = Gate {
        device: Some(device),
        calendar: None,
    };
    let id = builder.heat(
        parts.stream("bath heater"),
        parts.bath,
        HeatLaw::Hold {
            set_c,
            power_w: heat_w,
        },
        gate,
        account::HEATERS,
    );
    parts.roles.bath_heaters.push(id);
    let cooler = builder.heat(
        parts.stream("bath cooler"),
        parts.bath,
        HeatLaw::Cool {
            set_c: set_c + bath.cooler_offset.si(),
            power_w: cool_w,
        },
        Gate::default(),
        account::COOLERS,
    );
    parts.roles.bath_coolers.push(cooler);
    if parts.holding.is_none() {
        parts.roles.heaters.push(id);
    }
}

/// Deposit, anodes, decomposed water and heat of the current.
fn rectifier(builder: &mut Builder<'_>, parts: &Parts<'_>, rectifier: &Rectifier) -> DeviceId {
    let hours = rectifier
        .calendar
        .as_ref()
        .unwrap_or(&parts.line.work.calendar);
    let calendar = builder.calendar(hours);
    let path = parts.path("bath.rectifier");
    let device = builder.device(path, DeviceKind::Rectifier, Some(calendar), Vec::new());
    let gate = Gate {
        device: Some(device),
        calendar: None,
    };
    let current_a = rectifier.current.si();
    let cathode = rectifier.cathode_efficiency.si();
    let (molar_mass, electrons) = equivalents(builder, &rectifier.metal);
    let mut push = |name: &str, water_kg: f64, metal_kg: f64, line: account::Line| {
        let solutes_kg = match builder.solute(&rectifier.metal) {
            Some(metal) if metal_kg != 0.0 => vec![(metal, metal_kg)],
            _ => Vec::new(),
        };
        let name = parts.stream(name);
        let matter = Matter {
            name,
            vessel: parts.bath,
            water_kg,
            solutes_kg,
            pace: Pace::Steady,
            gate,
        };
        let account = builder.account(line);
        builder.source(matter, account);
    };
    let plated = deposit_kg_per_s(current_a, cathode, molar_mass, electrons);
    push("deposit", 0.0, -plated, account::DEPOSITED);
    if rectifier.anode == Anode::Soluble {
        let anode = rectifier.anode_efficiency.si();
        let dissolved = deposit_kg_per_s(current_a, anode, molar_mass, electrons);
        push("anodes", 0.0, dissolved, account::ANODES);
    }
    let idle_a = current_a * (1.0 - cathode);
    if idle_a > 0.0 {
        push(
            "water gassed off",
            -water_decomposed_kg_per_s(idle_a),
            0.0,
            account::DECOMPOSED,
        );
    }
    let dissolved = rectifier.anode_impurities.iter();
    let solutes_kg: Vec<_> = dissolved
        .filter_map(|(key, per_charge)| Some((builder.solute(key)?, per_charge.si() * current_a)))
        .collect();
    if !solutes_kg.is_empty() {
        let matter = Matter {
            name: parts.stream("impurities of anodes"),
            vessel: parts.bath,
            water_kg: 0.0,
            solutes_kg,
            pace: Pace::Steady,
            gate,
        };
        let account = builder.account(account::ANODE_IMPURITIES);
        builder.source(matter, account);
    }
    let volts = rectifier.voltage.si() - rectifier.stored_voltage.si();
    let law = HeatLaw::Power {
        power_w: current_a * volts,
    };
    builder.heat(
        parts.stream("rectifier"),
        parts.bath,
        law,
        gate,
        account::RECTIFIER,
    );
    device
}

/// Molar mass of the species (kg/mol) and electrons by which it is deposited.
///
/// Chromium is counted as CrO3 and takes six electrons; its oxygen leaves the bath with it.
fn equivalents(builder: &Builder<'_>, key: &str) -> (f64, f64) {
    let species = builder.species.iter().find(|s| s.key == key);
    let molar_mass = species.map_or(1.0, |s| s.molar_mass_kg_per_mol);
    let charge = species.map_or(1.0, |s| f64::from(s.charge.max(1)));
    (molar_mass, metal_of(key).map_or(charge, |m| m.electrons))
}

/// Analyses that bring managed species back to their target.
fn restoring(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    additions: &Additions,
    account: AccountId,
) {
    let targets = bath_concentrations(builder.scenario, parts.line);
    for (species, salt) in additions.restore.iter() {
        let known = (builder.solute(species), yields(builder.scenario, salt));
        let (Some(solute), Some((made, crystal_water))) = known else {
            continue;
        };
        let target = targets
            .iter()
            .find(|(k, _)| k == species)
            .map_or(0.0, |(_, c)| *c);
        let yields = made
            .iter()
            .filter_map(|(k, y)| Some((builder.solute(k)?, *y)))
            .collect();
        builder.net.additions.push(Addition {
            name: parts.stream(&format!("{salt} for {species}")),
            vessel: parts.bath,
            solute,
            target_kg_per_m3: target,
            dead_band: additions.dead_band.si(),
            interval_s: additions.interval.si(),
            yields,
            crystal_water,
            account,
        });
    }
}

/// Dosing by ampere hour.
fn dosing(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    additions: &Additions,
    (rectifier, device): (&Rectifier, DeviceId),
    account: AccountId,
) {
    for (key, per_charge) in additions.per_charge.iter() {
        let Some((made, water)) = yields(builder.scenario, key) else {
            continue;
        };
        let kg_per_s = per_charge.si() * rectifier.current.si();
        let solutes_kg = made
            .iter()
            .filter_map(|(k, y)| Some((builder.solute(k)?, y * kg_per_s)))
            .collect();
        let matter = Matter {
            name: parts.stream(&format!("dosing of {key}")),
            vessel: parts.bath,
            water_kg: water * kg_per_s,
            solutes_kg,
            pace: Pace::Steady,
            gate: Gate {
                device: Some(device),
                calendar: None,
            },
        };
        builder.source(matter, account);
    }
}

/// Soil on work, purification and purge.
fn impurities(builder: &mut Builder<'_>, parts: &mut Parts<'_>) {
    let line = parts.line;
    let in_order = |builder: &Builder<'_>, list: Vec<(&str, f64)>| {
        list.into_iter()
            .filter_map(|(k, x)| Some((builder.solute(k)?, x)))
            .collect::<Vec<_>>()
    };
    let lists = [
        (
            "soil on work",
            in_order(
                builder,
                line.work.soil.iter().map(|(k, x)| (k, x.si())).collect(),
            ),
        ),
        (
            "purification",
            in_order(
                builder,
                line.bath
                    .purification
                    .iter()
                    .map(|(k, x)| (k, x.si()))
                    .collect(),
            ),
        ),
    ];
    for (name, solutes_kg) in lists {
        if solutes_kg.is_empty() {
            continue;
        }
        let is_soil = name == "soil on work";
        let (pace, ledger) = if is_soil {
            (Pace::PerArea(parts.work), account::ARRIVING_WORK)
        } else {
            (Pace::FirstOrder, account::PURIFIED)
        };
        let matter = Matter {
            name: parts.stream(name),
            vessel: parts.bath,
            water_kg: 0.0,
            solutes_kg,
            pace,
            gate: Gate::default(),
        };
        let account = builder.account(ledger);
        builder.source(matter, account);
    }
    if let Some(purge) = &line.bath.purge {
        let path = parts.path("bath.purge_pump");
        let pump = builder.device(path, DeviceKind::Pump, None, Vec::new());
        let to = builder.account(account::PURGED);
        let ends = (End::Vessel(parts.bath), End::Account(to));
        let id = builder.pumped(parts.stream("purge of the bath"), ends, purge.si(), pump);
        parts.roles.to_treatment.push(id);
    }
}

/// Plain water, let in only when the level has fallen below the band of the concentrate.
fn make_up(builder: &mut Builder<'_>, parts: &mut Parts<'_>) {
    let make_up = &parts.line.bath.make_up;
    let band = filling(parts.bath, bath_bands(parts.line).make_up_m);
    let level = builder.relay(parts.path("bath.make_up.level"), band, false);
    let path = parts.path("bath.make_up.valve");
    let valve = builder.device(
        path,
        DeviceKind::Valve,
        None,
        vec![when(Condition::On(level))],
    );
    let supply = builder.supply(&make_up.water);
    let line = builder.account(account::MAKE_UP);
    let ends = (End::Supply(supply, line), End::Vessel(parts.bath));
    let id = builder.pumped(
        parts.stream("make-up of the bath"),
        ends,
        make_up.flow.si(),
        valve,
    );
    parts.roles.make_up.push(id);
}
