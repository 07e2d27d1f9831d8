//! Towers.

use dragback_properties::tower::TowerError;
use dragback_properties::water;
use dragback_units::kelvin_from_celsius;

use super::{Findings, Part};
use crate::schema::{FedFrom, Rated, Tower};

pub(super) fn check(part: &Part<'_>, found: &mut Findings) {
    for (key, tower) in part.line.towers.iter() {
        let path = |name: &str| part.path(&format!("towers.{key}.{name}"));
        if tower.fed_from == FedFrom::HoldingTank && part.line.holding_tank.is_none() {
            let others = [part.path("holding_tank")];
            let advice = "add `holding_tank` to the loop, or feed the tower from the bath";
            found.add_presence(
                path("fed_from"),
                &others,
                "the loop has no holding tank",
                advice,
            );
        }
        if let Some(calendar) = &tower.calendar {
            found.calendar(part.scenario, path("calendar"), calendar);
        }
        let advice = "give exactly one of `transfer_units` and `rated`";
        match (&tower.transfer.transfer_units, &tower.transfer.rated) {
            (Some(_), Some(_)) => {
                found.add(
                    path("transfer.rated"),
                    "the contact is given in two ways",
                    advice,
                );
            }
            (None, None) => found.add(path("transfer"), "the contact is not given", advice),
            _ => {}
        }
        let (source, name) = match tower.fed_from {
            FedFrom::Bath => (Some(&part.line.bath.set_point), "bath.set_point"),
            FedFrom::HoldingTank => (
                part.line.holding_tank.as_ref().map(|h| &h.set_point),
                "holding_tank.set_point",
            ),
        };
        if let Some(set) = source.filter(|set| set.si() > tower.ceiling.si() + 1e-6) {
            let message = format!(
                "its feed at \"{}\" is hotter than the \"{}\" that it stands",
                set.quantity(),
                tower.ceiling.quantity()
            );
            let advice = "lower the set point of the tank that feeds it";
            found.add_about(path("ceiling"), &[part.path(name)], message, advice);
        }
        fan(part, key, tower, found);
        contact(part, key, tower, found);
    }
}

/// The fan's power against the air that it moves.
fn fan(part: &Part<'_>, key: &str, tower: &Tower, found: &mut Findings) {
    // A fan that lifts air by 5 kPa, which is much, warms it by about 5 K.
    const MOST_K: f64 = 30.0;
    let path = |name: &str| part.path(&format!("towers.{key}.{name}"));
    let warming_k = crate::lower::fan_warming_k(part.scenario, tower).unwrap_or(0.0);
    if warming_k > MOST_K {
        let message = format!(
            "\"{}\" warms the \"{}\" of air by {warming_k:.0} K, more than the allowed {MOST_K:.0} K",
            tower.fan_power.quantity(),
            tower.air_flow.quantity()
        );
        let advice = "lower the power, give more air, or put the fan after the contact";
        let others = [path("air_flow"), path("fan"), "site.altitude".to_owned()];
        found.add_about(path("fan_power"), &others, message, advice);
    }
}

/// Whether the tower can be worked out with its contact, its air and its feed.
fn contact(part: &Part<'_>, key: &str, tower: &Tower, found: &mut Findings) {
    let path = |name: &str| part.path(&format!("towers.{key}.{name}"));
    let (name, rated) = match (&tower.transfer.transfer_units, &tower.transfer.rated) {
        (Some(_), None) => ("transfer.transfer_units", None),
        (None, Some(rated)) => ("transfer.rated.evaporation", Some(rated)),
        _ => return,
    };
    let parts = [
        "transfer",
        "air_flow",
        "feed",
        "fan",
        "fan_power",
        "exponent",
        "carry_over",
    ];
    let mut others = parts.map(path).to_vec();
    others.extend(["site.altitude", "site.room", "site.outside"].map(str::to_owned));
    others.push(part.path("bath.recipe"));
    match crate::lower::tower_of(part.scenario, part.line, tower) {
        Err(fault) => {
            let (message, advice) = match rated {
                Some(rated) => unreachable_rating(rated, &fault),
                None => (
                    format!("the tower cannot be worked out: {fault}"),
                    "correct the air flow, the feed or the contact",
                ),
            };
            found.add_about(path(name), &others, message, advice);
        }
        Ok(made) => {
            if crate::lower::works_at_all(part.scenario, tower, &made).is_err() {
                let message = format!(
                    "\"{}\" of air is too much for \"{}\" of feed, so that the tower cannot be worked out",
                    tower.air_flow.quantity(),
                    tower.feed.quantity()
                );
                let advice = "give less air, more feed or fewer transfer units";
                found.add_about(path("air_flow"), &others, message, advice);
            }
        }
    }
}

/// What is wrong with a rated point, in the unit in which rated points are written.
fn unreachable_rating(rated: &Rated, fault: &TowerError) -> (String, &'static str) {
    let (text, solution) = (rated.evaporation.quantity(), rated.solution.quantity());
    match fault {
        TowerError::AboveCeiling {
            ceiling_kg_per_s, ..
        } => {
            // Rated litres are kilograms of water at 20 °C.
            let ceiling_m3_per_s = ceiling_kg_per_s / water::density_kg_per_m3(20.0);
            let shown = text.in_its_unit(ceiling_m3_per_s, 3);
            if *ceiling_kg_per_s <= 0.0 {
                let message = format!(
                    "\"{text}\" cannot be: with the air and feed given water condenses instead"
                );
                return (message, "give hotter feed or drier air");
            }
            let message = format!(
                "\"{text}\" is above the ceiling of {shown} that the air and feed given allow with any packing"
            );
            (
                message,
                "give more air, more or hotter feed, or a lower rating",
            )
        }
        TowerError::Boiling { boiling_c, .. } => (
            format!(
                "\"{text}\" from solution at \"{solution}\", which is too close to boiling at {} here",
                solution.in_its_unit(kelvin_from_celsius(*boiling_c), 3)
            ),
            "lower the temperature of the solution, or correct the altitude of the site",
        ),
        TowerError::DriesOut { .. } => (
            format!("\"{text}\" would dry the feed out in the tower"),
            "give more feed",
        ),
        TowerError::NotConverged { .. } => (
            format!(
                "\"{text}\" from solution at \"{solution}\" into air at \"{}\" cannot be worked out",
                rated.air_temperature.quantity()
            ),
            "give a rated point of usual temperatures",
        ),
        other => (format!("\"{text}\": {other}"), "correct the rated point"),
    }
}
