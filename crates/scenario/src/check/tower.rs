//! Towers.

use super::{Findings, Part};
use crate::schema::FedFrom;

pub(super) fn check(part: &Part<'_>, found: &mut Findings) {
    for (key, tower) in part.line.towers.iter() {
        let path = |name: &str| part.path(&format!("towers.{key}.{name}"));
        if tower.fed_from == FedFrom::HoldingTank && part.line.holding_tank.is_none() {
            let others = [part.path("holding_tank")];
            let advice = "add `holding_tank` to the loop, or feed the tower from the bath";
            found.add_about(path("fed_from"), &others, "the loop has no holding tank", advice);
        }
        if let Some(calendar) = &tower.calendar {
            found.calendar(part.scenario, path("calendar"), calendar);
        }
        let advice = "give exactly one of `transfer_units` and `rated`";
        match (&tower.transfer.transfer_units, &tower.transfer.rated) {
            (Some(_), Some(_)) => {
                found.add(path("transfer.rated"), "the contact is given in two ways", advice);
            }
            (None, None) => found.add(path("transfer"), "the contact is not given", advice),
            _ => {}
        }
        let (source, name) = match tower.fed_from {
            FedFrom::Bath => (Some(&part.line.bath.set_point), "bath.set_point"),
            FedFrom::HoldingTank => {
                (part.line.holding_tank.as_ref().map(|h| &h.set_point), "holding_tank.set_point")
            }
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
        if let (Some(rated), None) = (&tower.transfer.rated, &tower.transfer.transfer_units)
            && let Err(problem) = crate::lower::tower_of(part.scenario, part.line, tower)
        {
            let others =
                ["air_flow", "feed", "fan", "exponent", "carry_over"].map(path).to_vec();
            let others = [others, vec!["site.altitude".to_owned()]].concat();
            let text = rated.evaporation.quantity();
            found.add_about(
                path("transfer.rated.evaporation"),
                &others,
                format!("\"{text}\": {problem}"),
                "",
            );
        }
    }
}
