//! What is weighed under the name of a solute, and all that is dissolved together.

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::{Network, Plant};
use dragback_run::settle::Settled;
use dragback_scenario::{Scenario, species_of};
use dragback_units::constants::SECONDS_PER_DAY;

use crate::answers::SoluteAnswer;
use crate::counted::lead_salt;
use crate::figures::Means;

/// What each solute of a network is counted as.
pub(crate) fn solutes(net: &Network, scenario: &Scenario) -> Vec<SoluteAnswer> {
    let told = net.solutes.iter().map(|solute| {
        let species = species_of(scenario, &solute.name);
        let of = |read: fn(&dragback_properties::species::Species) -> String| {
            species.as_ref().map_or_else(|| solute.name.clone(), read)
        };
        SoluteAnswer {
            name: solute.name.clone(),
            counted_as: of(|s| s.name.to_string()),
            metal: of(|s| s.shown_as.to_string()),
            metal_fraction: metal_fraction(scenario, &solute.name),
            salt: lead_salt(scenario, &solute.name),
            creeps: false,
            as_of_day: None,
        }
    });
    told.collect()
}

/// Growth in a year of less than this share of what is held is not told of.
const NOTABLE: f64 = 0.01;

/// Which solutes creep notably, with the day at whose amount a settled week holds them at its middle, counted from the start by their growth in the tanks
/// where they creep. There is none where no day of the search had that amount at this pace, since additions or a purification brought it there.
pub(crate) fn growing(plant: &Plant, settled: &Settled) -> Vec<(SoluteId, Option<f64>)> {
    let layout = plant.layout();
    let start = plant.initial();
    let times_s = settled.trace.times_s();
    let shown_s = times_s
        .last()
        .zip(times_s.first())
        .map_or(0.0, |(end, start)| end - start);
    let shown_days = shown_s / SECONDS_PER_DAY;
    let mut found = Vec::new();
    for (s, weekly) in &settled.creeping {
        let weekly_kg: f64 = weekly.iter().sum();
        let held = |y: &[f64], s: SoluteId| -> f64 {
            let growing = weekly.iter().enumerate().filter(|(_, kg)| **kg != 0.0);
            let places = growing.map(|(v, _)| layout.vessel(VesselId(v)) + layout.solute(s));
            places.map(|place| y[place]).sum()
        };
        let gained_kg = held(&settled.week_start, *s) - held(&start, *s);
        // What hardly changes in a year stands for many years as it stands; what additions brought at first is not growth.
        if weekly_kg.abs() * 52.0 < NOTABLE * held(&settled.week_start, *s).abs() {
            continue;
        }
        #[expect(clippy::cast_precision_loss, reason = "a few dozen")]
        let searched = 7.0 * settled.weeks as f64;
        let first = Some(7.0 * gained_kg / weekly_kg);
        let first = first.filter(|day| (0.0..=searched).contains(day));
        // What is shown are means, in which it has grown for half of the time.
        found.push((*s, first.map(|day| day + 0.5 * shown_days)));
    }
    found
}

/// Mass of metal in a mass of a solute, kg/kg.
pub(crate) fn metal_fraction(scenario: &Scenario, name: &str) -> f64 {
    species_of(scenario, name).map_or(1.0, |s| s.metal_fraction)
}

impl Means<'_> {
    /// All that is dissolved in a vessel at one moment, kg/m³, each solute as it is counted.
    pub(crate) fn dissolved_kg_per_m3(&self, v: VesselId, y: &[f64]) -> f64 {
        let solutes = 0..self.plant.network().solutes.len();
        solutes
            .map(|s| self.plant.concentration(v, SoluteId(s), y).unwrap_or(0.0))
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_plant::ids::VesselId;
    use dragback_run::clock::Clock;
    use dragback_units::constants::seconds_from_days;

    use crate::figures::Means;
    use crate::{AirChoice, Case, Depth, Driver, Hours, run_span, settled_answers};

    /// In the week around that day a run from the start holds what the settled answer shows, to 5 % in the bath: growth in a straight line leaves out the
    /// weeks in which still rinse and tanks fill.
    #[test]
    fn a_run_comes_to_the_strength_that_is_told_around_that_day() {
        let mut told = Vec::new();
        for text in [
            include_str!("../../../scenarios/zinc-barrel.ron"),
            include_str!("../../../scenarios/demo.ron"),
        ] {
            let scenario = Arc::new(dragback_scenario::load(text).0.unwrap());
            let case = Case::new(scenario, &TowerCache::default()).unwrap();
            let (air, hours) = (AirChoice::Mean, Hours::Calendar);
            let settled = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true);
            let settled = settled.unwrap().answers;
            for solute in &settled.solutes {
                let name = &solute.name;
                let Some(day) = solute.as_of_day else {
                    continue;
                };
                assert!(solute.creeps);
                told.push(name.clone());
                let (from_s, to_s) = (seconds_from_days(day - 3.5), seconds_from_days(day + 3.5));
                let clock = Clock { hours, air };
                let ran = run_span(&case, to_s, Driver::Preview, clock, &mut |_| true).unwrap();
                let trace = &ran.trace;
                let week = Means::between(&case.plant, trace, trace.at(from_s), trace.at(to_s));
                let shown = settled.vessels[0].concentration_g_per_l[name];
                let on_that_day = week.vessel(VesselId(0), air).concentration_g_per_l[name];
                let apart = shown / on_that_day - 1.0;
                assert!(
                    apart.abs() < 0.05,
                    "{name}: {shown} is not {on_that_day} of day {day}"
                );
            }
            // Chloride comes with the salts that restore the bath, and grows by less than that: no day of its growth has what the bath holds.
            let chloride = settled.solutes.iter().find(|s| s.name == "Cl").unwrap();
            assert!(chloride.creeps && chloride.as_of_day.is_none());
        }
        for name in ["Ca", "Mg", "Na"] {
            assert!(told.iter().any(|t| t == name), "{name} is not in {told:?}");
        }
    }
}
