//! Calendars, waters, species and salts of the scenario.

use dragback_properties::solution;

use super::Findings;
use super::names::ALWAYS;
use crate::lower::species_of;
use crate::schema::Scenario;

pub(super) fn check(scenario: &Scenario, found: &mut Findings) {
    if scenario.calendars.contains_key(ALWAYS) {
        let message = "`always` is built in and cannot be declared";
        found.add(
            format!("calendars.{ALWAYS}"),
            message,
            "give it another key",
        );
    }
    for (key, calendar) in scenario.calendars.iter() {
        for (i, shut) in calendar.shutdowns.iter().enumerate() {
            if shut.from_day.si() >= shut.to_day.si() {
                let base = format!("calendars.{key}.shutdowns.{}", i + 1);
                let message = format!(
                    "the shutdown ends at \"{}\", not after its beginning at \"{}\"",
                    shut.to_day.quantity(),
                    shut.from_day.quantity()
                );
                found.add_about(
                    format!("{base}.to_day"),
                    &[format!("{base}.from_day")],
                    message,
                    "swap them",
                );
            }
        }
    }
    for (key, water) in scenario.waters.iter() {
        let path = format!("waters.{key}.solutes");
        found.species_map(scenario, &path, water.solutes.keys());
        if room_for_water(scenario, water.solutes.iter().map(|(k, c)| (k, c.si()))) < 0.5 {
            found.add(
                path,
                "what is dissolved leaves no room for water",
                "lower it",
            );
        }
    }
    own_species(scenario, found);
    own_salts(scenario, found);
}

/// Share of a solution's volume that is left for water.
pub(super) fn room_for_water<'k>(
    scenario: &Scenario,
    solutes: impl Iterator<Item = (&'k str, f64)>,
) -> f64 {
    let (species, kg_per_m3): (Vec<_>, Vec<_>) = solutes
        .filter_map(|(key, c)| Some((species_of(scenario, key)?, c)))
        .unzip();
    let water_kg_per_m3 = solution::water_kg_per_m3(20.0, &species, &kg_per_m3);
    water_kg_per_m3 / dragback_properties::water::density_kg_per_m3(20.0)
}

fn own_species(scenario: &Scenario, found: &mut Findings) {
    for (key, own) in scenario.species.iter() {
        let path = format!("species.{key}");
        if own.charge.si().fract() != 0.0 {
            let message = format!("charge \"{}\" is not a whole number", own.charge.quantity());
            found.add(
                format!("{path}.charge"),
                message,
                "write it like -2, 0 or 1",
            );
        }
        if dragback_properties::species::builtin(key).is_some() {
            let advice = "choose another key, or leave it out to use the built-in one";
            found.add(path, format!("`{key}` is a built-in species"), advice);
        }
    }
}

fn own_salts(scenario: &Scenario, found: &mut Findings) {
    for (key, own) in scenario.salts.iter() {
        let path = format!("salts.{key}");
        found.species_map(scenario, &format!("{path}.yields"), own.yields.keys());
        if dragback_properties::recipe::salt(key).is_some() {
            let advice = "choose another key, or leave it out to use the built-in one";
            found.add(path.clone(), format!("`{key}` is a built-in salt"), advice);
        }
        let total: f64 = own
            .yields
            .values()
            .map(crate::record::Input::si)
            .sum::<f64>()
            + own.crystal_water.si();
        if (total - 1.0).abs() > 0.01 {
            let message = format!(
                "a kilogram becomes {total:.3} kg of species and crystal water; mass must be kept"
            );
            found.add_about(
                format!("{path}.yields"),
                &[format!("{path}.crystal_water")],
                message,
                "correct the yields or the crystal water so that they add up to 1",
            );
        }
    }
}
