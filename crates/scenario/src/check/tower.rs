//! Towers.

use dragback_properties::tower::TowerError;
use dragback_properties::water;
use dragback_units::{Dim, Unit, format_in};

use super::{Findings, Part};
use crate::schema::{FedFrom, Rated};

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
        let (name, rated) = match (&tower.transfer.transfer_units, &tower.transfer.rated) {
            (Some(_), None) => ("transfer.transfer_units", None),
            (None, Some(rated)) => ("transfer.rated.evaporation", Some(rated)),
            _ => continue,
        };
        if let Err(fault) = crate::lower::tower_of(part.scenario, part.line, tower) {
            let parts = [
                "transfer",
                "air_flow",
                "feed",
                "fan",
                "exponent",
                "carry_over",
            ];
            let mut others = parts.map(path).to_vec();
            others.push("site.altitude".to_owned());
            others.push(part.path("bath.recipe"));
            let (message, advice) = match rated {
                Some(rated) => unreachable_rating(rated, &fault),
                None => (
                    format!("the tower cannot be worked out: {fault}"),
                    "correct the air flow, the feed or the contact",
                ),
            };
            found.add_about(path(name), &others, message, advice);
        }
    }
}

/// What is wrong with a rated point, in the unit in which rated points are written.
fn unreachable_rating(rated: &Rated, fault: &TowerError) -> (String, &'static str) {
    let text = rated.evaporation.quantity();
    match fault {
        TowerError::AboveCeiling {
            ceiling_kg_per_s, ..
        } => {
            // Rated litres are kilograms of water at 20 °C.
            let ceiling_m3_per_s = ceiling_kg_per_s / water::density_kg_per_m3(20.0);
            let ceiling = rated
                .evaporation
                .quantity()
                .with_si_keeping_unit(ceiling_m3_per_s);
            let shown = format_in(unit_of(ceiling.text()), ceiling.si(), 3);
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
                "\"{text}\" from solution at \"{}\", which is too close to boiling at {boiling_c:.1} °C here",
                rated.solution.quantity()
            ),
            "lower the temperature of the solution, or correct the altitude of the site",
        ),
        TowerError::DriesOut { .. } => (
            format!("\"{text}\" would dry the feed out in the tower"),
            "give more feed",
        ),
        TowerError::NotConverged { .. } => (
            format!(
                "\"{text}\" from solution at \"{}\" into air at \"{}\" cannot be worked out",
                rated.solution.quantity(),
                rated.air_temperature.quantity()
            ),
            "give a rated point of usual temperatures",
        ),
        other => (format!("\"{text}\": {other}"), "correct the rated point"),
    }
}

/// The unit in which a flow is written.
fn unit_of(text: &str) -> &'static Unit {
    Dim::VolumeFlow
        .parse_with_unit(text)
        .map_or_else(|_| Dim::VolumeFlow.si(), |p| p.unit)
}
