//! Losses of surfaces, along a tangent as long as the temperature stays nearby.

use dragback_plant::Plant;
use dragback_plant::flows::SurfaceLoss;
use dragback_plant::ids::VesselId;

/// Within this of a temperature at which the loss was worked out, the tangent stands for it, K. Evaporation bends by some 0.3 % per K², so it is
/// off by less than a millionth.
const NEAR_K: f64 = 0.02;
/// The tangent is taken over this much, K.
const STEP_K: f64 = 0.02;

/// The loss of one surface at a temperature, and its tangent there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Nearby {
    temp_c: f64,
    activity: f64,
    air_slot: usize,
    at: SurfaceLoss,
    per_k: SurfaceLoss,
}

impl Default for Nearby {
    fn default() -> Self {
        Self {
            temp_c: f64::NAN,
            activity: f64::NAN,
            air_slot: 0,
            at: SurfaceLoss::default(),
            per_k: SurfaceLoss::default(),
        }
    }
}

impl Nearby {
    /// The loss of a vessel at a temperature (°C), a water activity and an air; along no tangent where it has to be fine.
    #[expect(
        clippy::float_cmp,
        reason = "an activity that is not the same is another one"
    )]
    pub(crate) fn loss(
        &mut self,
        plant: &Plant,
        v: VesselId,
        (temp_c, activity, air_slot): (f64, f64, usize),
        is_fine: bool,
    ) -> SurfaceLoss {
        if is_fine {
            return SurfaceLoss::of(plant, v, temp_c, activity, air_slot);
        }
        let off_k = temp_c - self.temp_c;
        let is_near = off_k.abs() <= NEAR_K && self.activity == activity;
        if !is_near || self.air_slot != air_slot {
            let at = SurfaceLoss::of(plant, v, temp_c, activity, air_slot);
            let beyond = SurfaceLoss::of(plant, v, temp_c + STEP_K, activity, air_slot);
            let per_k = |at: f64, beyond: f64| (beyond - at) / STEP_K;
            *self = Self {
                temp_c,
                activity,
                air_slot,
                at,
                per_k: SurfaceLoss {
                    water_kg_per_m2_s: per_k(at.water_kg_per_m2_s, beyond.water_kg_per_m2_s),
                    heat_w_per_m2: per_k(at.heat_w_per_m2, beyond.heat_w_per_m2),
                },
            };
            return at;
        }
        SurfaceLoss {
            water_kg_per_m2_s: self.at.water_kg_per_m2_s + off_k * self.per_k.water_kg_per_m2_s,
            heat_w_per_m2: self.at.heat_w_per_m2 + off_k * self.per_k.heat_w_per_m2,
        }
    }
}
