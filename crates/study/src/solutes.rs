//! What is weighed under the name of a solute, and all that is dissolved together.

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::{Network, Plant};
use dragback_run::settle::Settled;
use dragback_scenario::{Scenario, species_of};

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
            as_of_day: None,
        }
    });
    told.collect()
}

/// Growth in a year of less than this share of what is held is not told of.
const NOTABLE: f64 = 0.01;

/// The day at whose amount a settled week holds each solute that creeps, counted from the start by its growth, in the tanks where it creeps; by solute,
/// `None` for all others, and where no day of the search had that amount at this pace, since additions or a purification brought it there.
pub(crate) fn days_of_growing(plant: &Plant, settled: &Settled) -> Vec<Option<f64>> {
    let layout = plant.layout();
    let start = plant.initial();
    let mut days = vec![None; plant.network().solutes.len()];
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
        let found = 7.0 * gained_kg / weekly_kg;
        days[s.index()] = Some(found).filter(|day| (0.0..=searched).contains(day));
    }
    days
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
    use dragback_run::clock::Clock;
    use dragback_units::constants::seconds_from_days;

    use crate::{AirChoice, Case, Depth, Driver, Hours, run_span, settled_answers};

    /// A run from the start holds on that day what the settled answer shows, to 5 % in the bath: growth in a straight line leaves out the weeks
    /// in which still rinse and tanks fill.
    #[test]
    fn a_run_of_so_many_days_ends_at_the_strength_that_is_told() {
        let text = include_str!("../../../scenarios/zinc-barrel.ron");
        let scenario = Arc::new(dragback_scenario::load(text).0.unwrap());
        let case = Case::new(scenario, &TowerCache::default()).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let settled = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true);
        let settled = settled.unwrap().answers;
        let mut told = 0;
        for name in ["Ca", "Mg", "SO4"] {
            let solute = settled.solutes.iter().find(|s| s.name == name).unwrap();
            let Some(day) = solute.as_of_day else {
                continue;
            };
            told += 1;
            let span_s = seconds_from_days(day);
            let clock = Clock { hours, air };
            let ran = run_span(&case, span_s, Driver::Preview, clock, &mut |_| true).unwrap();
            let bath = |tanks: &[crate::VesselAnswer]| tanks[0].concentration_g_per_l[name];
            let (shown, on_that_day) = (bath(&settled.vessels), bath(&ran.tanks_at_end()));
            let apart = shown / on_that_day - 1.0;
            assert!(
                apart.abs() < 0.05,
                "{name}: {shown} is not {on_that_day} of day {day}"
            );
        }
        assert!(told >= 2);
    }
}
