//! What a vessel's balances say of it: volume, temperature, level, strength.

use dragback_properties::water;

use crate::layout::Layout;
use crate::network::{Network, Shape, Vessel};
use crate::plant::Plant;

impl Shape {
    /// Level over the bottom, m, for a volume in m³; never negative.
    ///
    /// A sloped bottom is a wedge: its plan area grows evenly from nothing to the footprint over the slope's height.
    #[must_use]
    pub fn level_m(&self, volume_m3: f64) -> f64 {
        let volume = volume_m3.max(0.0);
        let wedge = 0.5 * self.footprint_m2 * self.slope_height_m;
        if volume < wedge {
            return (2.0 * volume * self.slope_height_m / self.footprint_m2).sqrt();
        }
        volume / self.footprint_m2 + 0.5 * self.slope_height_m
    }

    /// Volume in m³ that stands at a level in m; the inverse of [`Shape::level_m`].
    #[must_use]
    pub fn volume_m3(&self, level_m: f64) -> f64 {
        let level = level_m.max(0.0);
        if level < self.slope_height_m {
            return 0.5 * self.footprint_m2 * level * level / self.slope_height_m;
        }
        self.footprint_m2 * (level - 0.5 * self.slope_height_m)
    }
}

/// Share of the full volume that clings to a tank run dry: no pump, film or warmth takes it.
pub const DRY: f64 = 1.0e-4;

impl Vessel {
    /// Share of the rated flow that a low vessel still gives, 1 well above the outlet, falling evenly to 0 at it.
    ///
    /// The fall spans the last hundredth of the full volume, so that no outflow ever takes what is not there.
    #[must_use]
    pub fn taper(&self, volume_m3: f64, floor_m3: f64) -> f64 {
        ((volume_m3 - floor_m3) / (0.01 * self.full_m3)).clamp(0.0, 1.0)
    }
}

/// Derived figures of every vessel, kept side by side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Holdups {
    /// Volume, m³.
    pub volume_m3: Vec<f64>,
    /// Share of evaporation and heat exchange that the water held still allows: 1 in a wet vessel, falling to 0 as the last hundredth dries up.
    pub wet: Vec<f64>,
    /// Temperature, °C.
    pub temp_c: Vec<f64>,
    /// Heat capacity of the contents, J/K.
    pub heat_capacity_j_per_k: Vec<f64>,
    /// Water activity; refreshed only by [`Holdups::refresh_activity`].
    pub activity: Vec<f64>,
}

/// Apparent volumes and heat capacities in the order of a block, so that sums over a block are dot products.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Weights {
    volume: Vec<f64>,
    heat: Vec<f64>,
}

impl Weights {
    pub(crate) fn of(net: &Network) -> Self {
        Self {
            volume: net
                .solutes
                .iter()
                .map(|s| s.apparent_volume_m3_per_kg)
                .collect(),
            heat: net
                .solutes
                .iter()
                .map(|s| s.heat_capacity_j_per_kg_k)
                .collect(),
        }
    }

    /// Volume (m³), temperature (°C) and heat capacity (J/K) of a block.
    #[inline]
    pub(crate) fn derive(&self, block: &[f64]) -> (f64, f64, f64) {
        // Every other solute apart: the processor works on two chains of additions side by side.
        let mut volumes = [0.0; 2];
        let mut heats = [block[Layout::WATER] * water::CP_WATER, 0.0];
        let weights = self.volume.iter().zip(&self.heat);
        for (i, (mass, (phi, cp))) in block[2..].iter().zip(weights).enumerate() {
            volumes[i % 2] += mass * phi;
            heats[i % 2] += mass * cp;
        }
        let (solute_volume, heat) = (volumes[0] + volumes[1], heats[0] + heats[1]);
        let temp_c = if heat > 0.0 {
            block[Layout::ENTHALPY] / heat
        } else {
            0.0
        };
        let volume = block[Layout::WATER] / water::density_kg_per_m3(temp_c) + solute_volume;
        (volume, temp_c, heat)
    }

    /// Heat capacity of one m³ of a liquid given per m³ (water, solutes), J/m³·K.
    pub(crate) fn heat_of(&self, water_kg: f64, solutes_kg: &[f64]) -> f64 {
        water_kg * water::CP_WATER
            + solutes_kg
                .iter()
                .zip(&self.heat)
                .map(|(m, cp)| m * cp)
                .sum::<f64>()
    }

    /// Volume that solutes take, m³.
    pub(crate) fn volume_of(&self, solutes_kg: &[f64]) -> f64 {
        solutes_kg
            .iter()
            .zip(&self.volume)
            .map(|(m, phi)| m * phi)
            .sum()
    }
}

impl Holdups {
    /// Room for a number of vessels.
    #[must_use]
    pub fn sized(vessels: usize) -> Self {
        Self {
            volume_m3: vec![0.0; vessels],
            wet: vec![1.0; vessels],
            temp_c: vec![0.0; vessels],
            heat_capacity_j_per_k: vec![0.0; vessels],
            activity: vec![1.0; vessels],
        }
    }

    /// Refreshes volume, temperature and heat capacity from the state.
    #[inline]
    pub fn refresh(&mut self, plant: &Plant, y: &[f64]) {
        let weights = plant.weights();
        let blocks = y.chunks_exact(plant.layout().block_len());
        for (i, block) in blocks.take(self.volume_m3.len()).enumerate() {
            let (volume, temp, heat) = weights.derive(block);
            self.volume_m3[i] = volume;
            // Water, not volume: solutes stay behind when a tank dries up.
            let brim_kg = 1000.0 * plant.network().vessels[i].full_m3;
            let share = block[Layout::WATER] / brim_kg;
            self.wet[i] = ((share - DRY) / 0.01).clamp(0.0, 1.0);
            self.temp_c[i] = temp;
            self.heat_capacity_j_per_k[i] = heat;
        }
    }

    /// Refreshes the water activities. They change by less than 1e-5 in a step, so the drivers do this once per step.
    pub fn refresh_activity(&mut self, plant: &Plant, y: &[f64]) {
        let (net, block_len) = (plant.network(), plant.layout().block_len());
        let mut ratio = [0.0; 64];
        for (i, block) in y
            .chunks_exact(block_len)
            .take(self.activity.len())
            .enumerate()
        {
            let water = block[Layout::WATER];
            if water <= 0.0 {
                self.activity[i] = 1.0;
                continue;
            }
            let n = (block_len - 2).min(ratio.len());
            for (r, mass) in ratio.iter_mut().zip(&block[2..2 + n]) {
                *r = mass.max(0.0) / water;
            }
            self.activity[i] = net.activity.activity(&ratio[..n]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn level_and_volume_are_inverse_on_both_sides_of_the_slope() {
        let shape = Shape {
            footprint_m2: 1.5,
            slope_height_m: 0.2,
        };
        for level in [0.0, 0.05, 0.2, 0.4, 1.3] {
            let back = shape.level_m(shape.volume_m3(level));
            assert!((back - level).abs() < 1e-12, "{level} -> {back}");
        }
        // Hand derivation: the wedge under 0.2 m holds ½·1.5·0.2 = 0.15 m³.
        assert!((shape.volume_m3(0.2) - 0.15).abs() < 1e-12);
    }
}
