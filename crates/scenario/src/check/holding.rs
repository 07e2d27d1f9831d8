//! Collection tank, holding tank, electrodes and the return.

use super::line::tank;
use super::{Findings, Part};
use crate::schema::{Holding, Return, ReturnRule};

pub(super) fn check(part: &Part<'_>, found: &mut Findings) {
    if let Some(collection) = &part.line.collection {
        tank(&part.path("collection.tank"), &collection.tank, found);
        if part.line.holding_tank.is_none() {
            let message = "the collection tank leads nowhere: there is no holding tank";
            let others = [part.path("holding_tank")];
            found.add_presence(
                part.path("collection"),
                &others,
                message,
                "add `holding_tank` to the loop",
            );
        }
    }
    let Some(holding) = &part.line.holding_tank else {
        return;
    };
    tank(&part.path("holding_tank.tank"), &holding.tank, found);
    if part.line.collection.is_none() {
        let message = "the holding tank gets no rinse water: there is no collection tank";
        let others = [part.path("collection")];
        found.add_presence(
            part.path("holding_tank"),
            &others,
            message,
            "add `collection` to the loop",
        );
    }
    if holding.elements.is_empty() && holding.coil.is_none() {
        let path = part.path("holding_tank");
        let others = [
            part.path("holding_tank.elements"),
            part.path("holding_tank.coil"),
        ];
        found.add_presence(
            path,
            &others,
            "the holding tank has no heater",
            "add `elements` or a `coil`",
        );
    }
    if let Some(calendar) = &holding.heat_calendar {
        found.calendar(
            part.scenario,
            part.path("holding_tank.heat_calendar"),
            calendar,
        );
    }
    temperatures(part, holding, found);
    electrodes(part, holding, found);
    give_back(part, holding, found);
}

fn temperatures(part: &Part<'_>, holding: &Holding, found: &mut Findings) {
    let path = |name: &str| part.path(&format!("holding_tank.{name}"));
    let set = &holding.set_point;
    if set.si() > holding.ceiling.si() + 1e-6 {
        let message = format!(
            "\"{}\" is above the ceiling \"{}\" of the material",
            set.quantity(),
            holding.ceiling.quantity()
        );
        found.add_about(
            path("set_point"),
            &[path("ceiling")],
            message,
            "lower the set point",
        );
    }
    if let Some(idle) = holding
        .idle_set_point
        .as_ref()
        .filter(|idle| idle.si() > set.si())
    {
        let message = format!(
            "\"{}\" is above the set point \"{}\"",
            idle.quantity(),
            set.quantity()
        );
        found.add_about(
            path("idle_set_point"),
            &[path("set_point")],
            message,
            "lower it",
        );
    }
    let (offset, band) = (&holding.over_temperature_offset, &holding.dead_band);
    if offset.si() <= 0.5 * band.si() {
        let message = format!(
            "\"{}\" is not more than half the dead band \"{}\": the alarm would trip in normal running",
            offset.quantity(),
            band.quantity()
        );
        let advice = "raise the offset or narrow the dead band";
        found.add_about(
            path("over_temperature_offset"),
            &[path("dead_band")],
            message,
            advice,
        );
    }
    let alarm_k = set.si() + offset.si();
    if holding.high_limit.si() <= alarm_k {
        let (limit, set) = (holding.high_limit.quantity(), set.quantity());
        // The alarm follows the set point, so both are told in its unit.
        let limit_too = if limit.unit().symbol == set.unit().symbol {
            String::new()
        } else {
            format!(" ({})", set.in_its_unit(limit.si(), 3))
        };
        let message = format!(
            "\"{limit}\"{limit_too} is not above the over-temperature alarm at {}",
            set.in_its_unit(alarm_k, 3)
        );
        let others = [path("set_point"), path("over_temperature_offset")];
        found.add_about(path("high_limit"), &others, message, "raise it");
    }
}

fn electrodes(part: &Part<'_>, holding: &Holding, found: &mut Findings) {
    let e = &holding.electrodes;
    let path = |name: &str| part.path(&format!("holding_tank.electrodes.{name}"));
    let ladder = [
        ("low_alarm", &e.low_alarm),
        ("evaporation_stop", &e.evaporation_stop),
        ("evaporation_restart", &e.evaporation_restart),
        ("transfer_start", &e.transfer_start),
        ("transfer_stop", &e.transfer_stop),
        ("high_alarm", &e.high_alarm),
    ];
    for pair in ladder.windows(2) {
        let [(low_name, low), (high_name, high)] = [pair[0], pair[1]];
        // Evaporation may restart at the very electrode that starts the transfer pump.
        let may_touch = low_name == "evaporation_restart";
        let is_wrong = if may_touch {
            low.si() > high.si()
        } else {
            low.si() >= high.si()
        };
        if is_wrong {
            let relation = if may_touch { "above" } else { "not below" };
            let message = format!(
                "{} at \"{}\" is {relation} {} at \"{}\"",
                low_name.replace('_', " "),
                low.quantity(),
                high_name.replace('_', " "),
                high.quantity()
            );
            let advice = "from the bottom up the order is low alarm < evaporation stop < evaporation restart ≤ transfer start < transfer stop < high alarm";
            found.add_about(path(high_name), &[path(low_name)], message, advice);
        }
    }
    let shape = crate::lower::shape(&holding.tank);
    let brim_m = shape.level_m(holding.tank.volume.si());
    if e.high_alarm.si() >= brim_m {
        let message = format!(
            "\"{}\" is not below the brim at {brim_m:.3} m",
            e.high_alarm.quantity()
        );
        let others = ["volume", "footprint", "slope_height"]
            .map(|n| part.path(&format!("holding_tank.tank.{n}")));
        found.add_about(
            path("high_alarm"),
            &others,
            message,
            "lower it or give a larger tank",
        );
    }
    let dead_m = shape.level_m(holding.tank.dead_volume.si());
    if e.low_alarm.si() <= dead_m && dead_m > 0.0 {
        let message = format!(
            "\"{}\" is not above the dead volume, which stands {dead_m:.3} m high",
            e.low_alarm.quantity()
        );
        found.add_about(
            path("low_alarm"),
            &[part.path("holding_tank.tank.dead_volume")],
            message,
            "raise it",
        );
    }
}

fn give_back(part: &Part<'_>, holding: &Holding, found: &mut Findings) {
    let path = |name: &str| part.path(&format!("holding_tank.return.{name}"));
    let back = &holding.give_back;
    let low = &holding.electrodes.low_alarm;
    if back.dry_run_level.si() <= low.si() {
        let message = format!(
            "\"{}\" is not above the low alarm at \"{}\": the pump would draw the tank into it",
            back.dry_run_level.quantity(),
            low.quantity()
        );
        let others = [part.path("holding_tank.electrodes.low_alarm")];
        found.add_about(
            path("dry_run_level"),
            &others,
            message,
            "raise it or lower the low alarm",
        );
    }
    return_rule(part, back, found);
}

fn return_rule(part: &Part<'_>, back: &Return, found: &mut Findings) {
    let path = |name: &str| part.path(&format!("holding_tank.return.{name}"));
    match back.rule {
        ReturnRule::BathLevel => {}
        ReturnRule::Strength => {
            let advice = "give `species` with `strength`, or `density`";
            match (&back.species, &back.strength, &back.density) {
                (Some(_), Some(_), None) | (None, None, Some(_)) => {}
                (_, _, Some(_)) => {
                    found.add(
                        path("density"),
                        "strength is given both by species and by density",
                        advice,
                    );
                }
                _ => {
                    let others = [path("species"), path("strength"), path("density")];
                    found.add_about(
                        path("rule"),
                        &others,
                        "return by strength needs a strength",
                        advice,
                    );
                }
            }
        }
        ReturnRule::Circulation => match &back.circulation_flow {
            None => {
                let others = [path("circulation_flow")];
                let message = "return by circulation needs its flow";
                found.add_about(path("rule"), &others, message, "add `circulation_flow`");
            }
            Some(flow) if flow.si() >= back.flow.si() => {
                let message = format!(
                    "\"{}\" is not less than the return pump's \"{}\": the bath would run empty",
                    flow.quantity(),
                    back.flow.quantity()
                );
                found.add_about(
                    path("circulation_flow"),
                    &[path("flow")],
                    message,
                    "lower it",
                );
            }
            Some(_) => {}
        },
    }
    if let Some(species) = &back.species {
        found.species(part.scenario, path("species"), species);
    }
}
