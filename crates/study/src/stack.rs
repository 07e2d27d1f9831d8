//! What a tower's air carries up the stack besides water.

use dragback_plant::climate::AirChoice;
use dragback_plant::ids::{SoluteId, TowerId};
use dragback_plant::network::LoopRoles;
use dragback_properties::tower::{carry_over_kg_per_s, solute_mg_per_dry_m3};

use crate::answers::StackAnswer;
use crate::figures::Means;

impl Means<'_> {
    /// Droplets of each tower of a loop.
    pub(crate) fn stacks(
        &self,
        roles: &LoopRoles,
        air: AirChoice,
        metal_fraction: f64,
    ) -> Vec<StackAnswer> {
        let towers = roles.towers.iter();
        towers
            .map(|&t| {
                let mg_per_dry_m3 = self.stack_mg_per_dry_m3(roles.lead, t, air);
                StackAnswer {
                    tower: self.plant.network().towers[t.index()].name.clone(),
                    species: self.plant.network().solutes[roles.lead.index()]
                        .name
                        .clone(),
                    mg_per_dry_m3,
                    metal_mg_per_dry_m3: mg_per_dry_m3.map(|mg| mg * metal_fraction),
                }
            })
            .collect()
    }

    /// The lead solute carried over, and the dry air that carried it, summed over the time that the tower ran.
    fn stack_mg_per_dry_m3(&self, s: SoluteId, t: TowerId, air: AirChoice) -> Option<f64> {
        let (plant, net) = (self.plant, self.plant.network());
        let tower = &net.towers[t.index()];
        let solute_kg = self.while_fed(t, |y, _| {
            let strength = plant.concentration(tower.vessel, s, y).unwrap_or(0.0);
            let fed_kg_per_s = tower.feed_m3_per_s * strength;
            // What the mesh pad lets through is in the carry-over already.
            carry_over_kg_per_s(fed_kg_per_s, tower.carry_over, 1.0)
        });
        let dry_air_kg = self.dry_air_kg(t, air);
        (dry_air_kg > 0.0).then(|| solute_mg_per_dry_m3(solute_kg, dry_air_kg))
    }

    /// Dry air that a tower's blower moved while its pump ran, kg.
    pub(crate) fn dry_air_kg(&self, t: TowerId, air: AirChoice) -> f64 {
        let (plant, net) = (self.plant, self.plant.network());
        let tower = &net.towers[t.index()];
        let start_month = net.climates[tower.climate.index()].start_month;
        self.while_fed(t, |y, at_s| {
            let table = plant.tower_table(t, air.slot(at_s, start_month));
            table.map_or(f64::NAN, |table| {
                let temp_c = plant.holdup(tower.vessel, y).1;
                let activity = plant.water_activity(tower.vessel, y).unwrap_or(1.0);
                table.dry_air_kg_per_s(temp_c, activity)
            })
        })
    }

    /// A rate, found from the state and the time at which its interval begins, summed over the time that a tower's pump ran. It holds over an interval as
    /// it is on average at its ends.
    fn while_fed(&self, t: TowerId, rate: impl Fn(&[f64], f64) -> f64) -> f64 {
        let ran = self
            .plant
            .layout()
            .ran(self.plant.network().towers[t.index()].pump);
        let ran_s = |i: usize| self.gained(ran, i);
        let working = self.intervals().filter(|&i| ran_s(i) > 0.0);
        let each = working.map(|i| {
            let at_s = self.trace.times_s()[i - 1];
            let ends = [self.trace.row(i - 1), self.trace.row(i)];
            0.5 * ran_s(i) * ends.map(|y| rate(y, at_s)).iter().sum::<f64>()
        });
        each.sum()
    }
}
