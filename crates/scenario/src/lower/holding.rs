//! Collection tank, heated holding tank and the return of concentrate.

use dragback_plant::control::{
    Acts, Condition, DeviceKind, Proportional, Requirement, Role, Signal,
};
use dragback_plant::ids::{CalendarId, DeviceId, RelayId, VesselId};
use dragback_plant::network::{End, Gate, HeatLaw, Law};

use super::account;
use super::builder::{Band, Builder, Parts, enough, filling, interlock, when};
use super::levels::{bath_bands, full_level_m, shape};
use super::rinses::nearly_empty_m3;
use crate::schema::{Control, Holding, ReturnRule};

/// How far the high limit must cool before it may be reset, K.
const HIGH_LIMIT_BAND_K: f64 = 5.0;
/// How far below the upper end of a proportional band its thermostat closes again, as a share of the band.
const PROPORTIONAL_BACK: f64 = 0.1;
/// Least band above a dry-run level, m.
const DRY_RUN_BAND_M: f64 = 0.02;

/// Relays of the holding tank that other parts answer to.
pub struct HoldingRelays {
    /// There is enough to evaporate.
    pub permit: RelayId,
    pub low_alarm: RelayId,
    pub high_alarm: RelayId,
    /// The high alarm stops the evaporator and the heat too.
    pub high_alarm_stops_all: bool,
    over_temperature: RelayId,
    high_limit: RelayId,
}

pub fn lower(builder: &mut Builder<'_>, parts: &mut Parts<'_>) -> Option<HoldingRelays> {
    let (holding, vessel) = (parts.line.holding_tank.as_ref()?, parts.holding?);
    let relays = alarms(builder, parts, holding, vessel);
    heaters(builder, parts, holding, vessel, &relays);
    transfer(builder, parts, holding, vessel, &relays);
    give_back(builder, parts, holding, vessel);
    if holding.give_back.rule == ReturnRule::Circulation {
        circulation(builder, parts, holding, vessel, &relays);
    }
    let spilled = builder.account(account::SPILLED);
    let id = builder.transfer(
        parts.stream("spill of the holding tank"),
        End::Vessel(vessel),
        End::Account(spilled),
        Law::Overflow { weir_width_m: None },
        Gate::default(),
    );
    parts.roles.spills.push(id);
    Some(relays)
}

fn alarms(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    holding: &Holding,
    vessel: VesselId,
) -> HoldingRelays {
    let at = |tail: &str| format!("{}.holding_tank.{tail}", parts.key);
    let e = &holding.electrodes;
    let reset_s = holding.reset_after.as_ref().map(crate::record::Input::si);
    let set_c = holding.set_point.quantity().celsius();
    let half_k = 0.5 * holding.dead_band.si();
    let temperature = |lower: f64, upper: f64| Band {
        signal: Signal::Temperature(vessel),
        lower,
        upper,
        acts: Acts::Above,
        role: Role::Alarm,
    };
    let level = |lower: f64, upper: f64, acts: Acts| Band {
        signal: Signal::Level(vessel),
        lower,
        upper,
        acts,
        role: Role::Alarm,
    };
    let over = temperature(set_c + half_k, set_c + holding.over_temperature_offset.si());
    let over_temperature = builder.latched(at("over_temperature"), over, reset_s);
    let limit_c = holding.high_limit.quantity().celsius();
    let limit = temperature(limit_c - HIGH_LIMIT_BAND_K, limit_c);
    let high_limit = builder.latched(at("high_limit"), limit, reset_s);
    let low = level(e.low_alarm.si(), e.transfer_start.si(), Acts::Below);
    let low_alarm = builder.latched(at("electrodes.low_alarm"), low, reset_s);
    let high = level(
        e.high_alarm.si() - e.differential.si(),
        e.high_alarm.si(),
        Acts::Above,
    );
    let high_alarm = if holding.high_alarm_stops_all {
        // A full stop needs a manual act, whoever else resets alarms.
        builder.latched(at("electrodes.high_alarm"), high, None)
    } else {
        builder.relay(at("electrodes.high_alarm"), high, false)
    };
    let band_m = e.evaporation_restart.si() - e.evaporation_stop.si();
    let permit = enough(vessel, e.evaporation_stop.si(), band_m);
    let permit = builder.relay(at("electrodes.evaporation"), permit, true);
    HoldingRelays {
        permit,
        low_alarm,
        high_alarm,
        high_alarm_stops_all: holding.high_alarm_stops_all,
        over_temperature,
        high_limit,
    }
}

/// What lets the heaters run, besides their calendar.
fn heat_requirements(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    holding: &Holding,
    vessel: VesselId,
    relays: &HoldingRelays,
) -> Vec<Requirement> {
    let at = |tail: &str| format!("{}.holding_tank.{tail}", parts.key);
    let half_k = 0.5 * holding.dead_band.si();
    let thermostat = |lower: f64, upper: f64| Band {
        signal: Signal::Temperature(vessel),
        lower,
        upper,
        acts: Acts::Below,
        role: Role::Regulate,
    };
    let set_c = holding.set_point.quantity().celsius();
    let lower_c = match holding.control {
        Control::OnOff => set_c - half_k,
        // Within the band the power falls by itself; the thermostat only opens at its upper end, where nothing is given any more.
        Control::Proportional => set_c + half_k - PROPORTIONAL_BACK * 2.0 * half_k,
    };
    let working = builder.relay(at("thermostat"), thermostat(lower_c, set_c + half_k), true);
    let idle = holding.idle_set_point.as_ref().map(|idle| {
        let idle_c = idle.quantity().celsius();
        builder.relay(
            at("idle_thermostat"),
            thermostat(idle_c - half_k, idle_c + half_k),
            true,
        )
    });
    let condition = match idle {
        None => Condition::On(working),
        Some(idle) => {
            let (may, may_not) = evaporation(builder, parts, relays);
            Condition::Any(vec![
                Condition::All(vec![may, Condition::On(working)]),
                Condition::All(vec![may_not, Condition::On(idle)]),
            ])
        }
    };
    let mut requires = vec![when(condition)];
    for alarm in [relays.over_temperature, relays.high_limit, relays.low_alarm] {
        requires.push(interlock(Condition::Off(alarm)));
    }
    if relays.high_alarm_stops_all {
        requires.push(interlock(Condition::Off(relays.high_alarm)));
    }
    requires
}

/// That the holding tank may feed a tower, by its level and by the towers' hours, and that it may not.
fn evaporation(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    relays: &HoldingRelays,
) -> (Condition, Condition) {
    let (enough, too_low) = (Condition::On(relays.permit), Condition::Off(relays.permit));
    let hours = super::tower::hours_of_holding(builder, parts.line);
    let is_always = |c: &CalendarId| builder.net.calendars[c.index()].is_always();
    if hours.iter().any(is_always) {
        return (enough, too_low);
    }
    let open = hours.iter().map(|&c| Condition::Open(c)).collect();
    let shut = hours.iter().map(|&c| Condition::Shut(c)).collect();
    (
        Condition::All(vec![enough, Condition::Any(open)]),
        Condition::Any(vec![too_low, Condition::All(shut)]),
    )
}

fn heaters(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    holding: &Holding,
    vessel: VesselId,
    relays: &HoldingRelays,
) {
    let hours = holding
        .heat_calendar
        .as_ref()
        .map(|key| builder.calendar(key));
    let requires = heat_requirements(builder, parts, holding, vessel, relays);
    let mut heaters = Vec::new();
    for (key, element) in holding.elements.iter() {
        let law = HeatLaw::Power {
            power_w: element.power.si(),
        };
        heaters.push((format!("elements.{key}"), format!("element {key}"), law));
    }
    if let Some(coil) = &holding.coil {
        let law = HeatLaw::Coil {
            ua_w_per_k: coil.ua.si(),
            supply_c: coil.supply_temperature.quantity().celsius(),
            cap_w: coil.cap.si(),
        };
        heaters.push(("coil".to_owned(), "heating coil".to_owned(), law));
    }
    for (tail, words, law) in heaters {
        let device = heater(builder, parts, &tail, hours, requires.clone());
        if holding.control == Control::Proportional {
            builder.net.devices[device.index()].proportional = Some(Proportional {
                vessel,
                set_c: holding.set_point.quantity().celsius(),
                band_k: holding.dead_band.si(),
            });
        }
        let gate = Gate {
            device: Some(device),
            calendar: None,
        };
        let id = builder.heat(parts.stream(&words), vessel, law, gate, account::HEATERS);
        parts.roles.heaters.push(id);
    }
}

fn heater(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    tail: &str,
    hours: Option<CalendarId>,
    requires: Vec<Requirement>,
) -> DeviceId {
    let path = parts.path(&format!("holding_tank.{tail}"));
    builder.device(path, DeviceKind::Heater, hours, requires)
}

/// The pump that fetches rinse water from the collection tank, from its start to its stop electrode.
fn transfer(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    holding: &Holding,
    vessel: VesselId,
    relays: &HoldingRelays,
) {
    let (Some(from), Some(collection)) = (parts.collection, parts.line.collection.as_ref()) else {
        return;
    };
    let e = &holding.electrodes;
    let band = filling(vessel, (e.transfer_start.si(), e.transfer_stop.si()));
    let wanted = builder.relay(parts.path("holding_tank.electrodes.transfer"), band, false);
    let floor_m = shape(&collection.tank).level_m(nearly_empty_m3(&collection.tank));
    let band_m = DRY_RUN_BAND_M.max(0.08 * full_level_m(&collection.tank));
    let has_water = builder.relay(
        parts.path("collection.dry_run"),
        enough(from, floor_m, band_m),
        true,
    );
    let requires = vec![
        when(Condition::On(wanted)),
        when(Condition::On(has_water)),
        interlock(Condition::Off(relays.high_alarm)),
    ];
    let path = parts.path("holding_tank.transfer_pump");
    let pump = builder.device(path, DeviceKind::Pump, None, requires);
    let ends = (End::Vessel(from), End::Vessel(vessel));
    let words = parts.stream("transfer to the holding tank");
    builder.pumped(words, ends, holding.transfer_flow.si(), pump);
}

/// The pump that returns concentrate to the bath.
fn give_back(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    holding: &Holding,
    vessel: VesselId,
) {
    let back = &holding.give_back;
    let at = |tail: &str| format!("{}.holding_tank.return.{tail}", parts.key);
    let mut requires = Vec::new();
    if let Some(band) = bath_bands(parts.line).return_m {
        let calls = builder.relay(at("level"), filling(parts.bath, band), false);
        requires.push(when(Condition::On(calls)));
    }
    let band_m = DRY_RUN_BAND_M.max(holding.electrodes.differential.si());
    let dry_run = enough(vessel, back.dry_run_level.si(), band_m);
    let has_liquid = builder.relay(at("dry_run"), dry_run, true);
    requires.push(interlock(Condition::On(has_liquid)));
    if back.rule == ReturnRule::Strength
        && let Some(band) = strength_band(builder, holding, vessel)
    {
        let strong = builder.relay(at("strength"), band, false);
        requires.push(when(Condition::On(strong)));
    }
    let path = parts.path("holding_tank.return_pump");
    let pump = builder.device(path, DeviceKind::Pump, None, requires);
    let ends = (End::Vessel(vessel), End::Vessel(parts.bath));
    let id = builder.pumped(
        parts.stream("return of concentrate"),
        ends,
        back.flow.si(),
        pump,
    );
    parts.roles.returns.push(id);
}

fn strength_band(builder: &Builder<'_>, holding: &Holding, vessel: VesselId) -> Option<Band> {
    let back = &holding.give_back;
    let (signal, set, usual_share) = match (&back.density, &back.species, &back.strength) {
        (Some(density), _, _) => (Signal::Density(vessel), density.si(), 0.002),
        (None, Some(species), Some(strength)) => (
            Signal::Concentration(vessel, builder.solute(species)?),
            strength.si(),
            0.02,
        ),
        _ => return None,
    };
    let share = back
        .dead_band
        .as_ref()
        .map_or(usual_share, crate::record::Input::si);
    let half = 0.5 * share * set;
    Some(Band {
        signal,
        lower: set - half,
        upper: set + half,
        acts: Acts::Above,
        role: Role::Regulate,
    })
}

/// Bath pumped to the holding tank all the time, as long as the bath stands above its make-up level and the holding tank has room.
fn circulation(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    holding: &Holding,
    vessel: VesselId,
    relays: &HoldingRelays,
) {
    let Some(flow) = &holding.give_back.circulation_flow else {
        return;
    };
    let (low_m, high_m) = bath_bands(parts.line).make_up_m;
    let band = enough(parts.bath, low_m, high_m - low_m);
    let has_bath = builder.relay(parts.path("holding_tank.return.circulation"), band, true);
    let requires = vec![
        when(Condition::On(has_bath)),
        interlock(Condition::Off(relays.high_alarm)),
    ];
    let path = parts.path("holding_tank.circulation_pump");
    let pump = builder.device(path, DeviceKind::Pump, None, requires);
    let ends = (End::Vessel(parts.bath), End::Vessel(vessel));
    let id = builder.pumped(
        parts.stream("bath to the holding tank"),
        ends,
        flow.si(),
        pump,
    );
    parts.roles.withdrawals.push(id);
}
