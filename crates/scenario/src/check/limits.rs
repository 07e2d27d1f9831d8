//! Version of the format and limits on number.

use super::Findings;
use crate::lower::used_species;
use crate::schema::{Loop, Scenario};

/// Most loops in a scenario.
pub const MAX_LOOPS: usize = 8;
/// Most vessels in a scenario: baths, stills, rinse stages, collection and holding tanks.
pub const MAX_VESSELS: usize = 80;
/// Most species in use.
pub const MAX_SPECIES: usize = 48;
/// Most events.
pub const MAX_EVENTS: usize = 200;
/// Most towers in a scenario.
const MAX_TOWERS: usize = 24;
/// Most calendars, waters, heating elements and visits, each.
const MAX_OTHERS: usize = 64;

/// Number of vessels of a loop.
fn vessels(line: &Loop) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "1 to 10"
    )]
    let stages: usize = line
        .sections
        .values()
        .map(|s| s.stages.si().clamp(0.0, 1e3) as usize)
        .sum();
    1 + line.stills.len()
        + stages
        + usize::from(line.collection.is_some())
        + usize::from(line.holding_tank.is_some())
}

/// Whether a scenario says that it is of a later format than this program reads.
pub(crate) fn is_newer(scenario: &Scenario) -> bool {
    scenario.version.si() > 1.0
}

/// Checks the limits; whether the scenario is small enough to be looked into.
pub(super) fn check(scenario: &Scenario, found: &mut Findings) -> bool {
    let version = scenario.version.si();
    if is_newer(scenario) {
        // Its other words are not known here.
        found.add(
            "version".to_owned(),
            format!("version {version} of the format is not known; this program reads version 1"),
            "open it with a newer program",
        );
        return false;
    } else if version < 1.0 {
        found.add(
            "version".to_owned(),
            "there is no version 0 of the format",
            "write version: 1",
        );
    }
    if scenario.loops.is_empty() {
        found.add(
            "loops".to_owned(),
            "there is no loop",
            "add at least one under `loops`",
        );
    }
    let mut is_small = true;
    let mut most = |path: &str, what: &str, count: usize, limit: usize| {
        if count > limit {
            is_small = false;
            let message = format!("{count} {what} are more than the allowed {limit}");
            found.add(path.to_owned(), message, "split the scenario");
        }
    };
    most("loops", "loops", scenario.loops.len(), MAX_LOOPS);
    most(
        "loops",
        "tanks",
        scenario.loops.values().map(vessels).sum(),
        MAX_VESSELS,
    );
    most(
        "loops",
        "species in use",
        used_species(scenario).len(),
        MAX_SPECIES,
    );
    let towers = scenario.loops.values().map(|line| line.towers.len()).sum();
    most("loops", "towers", towers, MAX_TOWERS);
    most("events", "events", scenario.events.len(), MAX_EVENTS);
    most(
        "calendars",
        "calendars",
        scenario.calendars.len(),
        MAX_OTHERS,
    );
    most("waters", "waters", scenario.waters.len(), MAX_OTHERS);
    most("species", "species", scenario.species.len(), MAX_OTHERS);
    for (key, line) in scenario.loops.iter() {
        most(
            &format!("{key}.route"),
            "visits",
            line.route.len(),
            MAX_OTHERS,
        );
        let elements = line.holding_tank.as_ref().map_or(0, |h| h.elements.len());
        most(
            &format!("{key}.holding_tank.elements"),
            "elements",
            elements,
            MAX_OTHERS,
        );
    }
    is_small
}
