//! What a tower's air carries up the stack besides water.

use dragback_plant::climate::AirChoice;
use dragback_plant::ids::{SoluteId, TowerId, VesselId};
use dragback_plant::layout::Layout;
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
        let ran = plant.layout().ran(tower.pump);
        let start_month = net.climates[tower.climate.index()].start_month;
        let (mut solute_kg, mut dry_air_kg) = (0.0, 0.0);
        for i in self.intervals() {
            // Strength and air hold over the interval as they are on average at its ends.
            let ran_s = self.gained(ran, i);
            if ran_s <= 0.0 {
                continue;
            }
            let slot = air.slot(self.trace.times_s()[i - 1], start_month);
            for y in [self.trace.row(i - 1), self.trace.row(i)] {
                let strength = plant.concentration(tower.vessel, s, y).unwrap_or(0.0);
                let fed_kg_per_s = tower.feed_m3_per_s * strength;
                // What the mesh pad lets through is in the carry-over already.
                solute_kg += 0.5 * ran_s * carry_over_kg_per_s(fed_kg_per_s, tower.carry_over, 1.0);
                let table = plant.tower_table(t, slot);
                let dry_air = table.map_or(f64::NAN, |table| {
                    let temp_c = plant.holdup(tower.vessel, y).1;
                    table.dry_air_kg_per_s(temp_c, self.water_activity(tower.vessel, y))
                });
                dry_air_kg += 0.5 * ran_s * dry_air;
            }
        }
        (dry_air_kg > 0.0).then(|| solute_mg_per_dry_m3(solute_kg, dry_air_kg))
    }

    fn water_activity(&self, v: VesselId, y: &[f64]) -> f64 {
        let (net, layout) = (self.plant.network(), self.plant.layout());
        let start = layout.vessel(v);
        let held = &y[start..start + layout.block_len()];
        let water_kg = held[Layout::WATER].max(1e-12);
        let ratios: Vec<f64> = held[layout.solutes()]
            .iter()
            .map(|m| m / water_kg)
            .collect();
        net.activity.activity(&ratios)
    }
}
